"""Exchanges that may be missing and readings that stand out, on planted logs."""

from __future__ import annotations

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kit import change
from kit.change._rhythm import rhythm, with_exchanges
from kit.files import read_logbook
from kit.logbook import Exchange, Logbook, Tank, Test

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "bench"))
import change_sim as sim  # noqa: E402


def day(n: int) -> dt.date:
    return sim.DAY0 + dt.timedelta(days=n)


def exchanged(days, last=120, fraction=0.3, unknown=()) -> Logbook:
    """Exchanges on some days, a test on the first and the last."""
    tests = tuple(
        Test(day(n), None, 20, 21, 20.5, "20.5", "tests.csv", 2) for n in (0, last)
    )
    batches = tuple(
        Exchange(day(n), None, fraction, None, "x.csv", i + 2)
        for i, n in enumerate(days)
    )
    gone = tuple(day(n) for n in unknown)
    return Logbook(Tank(volume_l=100.0), tests, batches, unknown_exchanges=gone)


def missing(log: Logbook) -> list[int]:
    usual = rhythm(log)
    assert usual is not None
    return [(d - sim.DAY0).days for d in usual.missing]


def test_gaps_of_twice_and_three_times_the_usual():
    weeks = [w for w in range(1, 18) if w not in (5, 9, 10)]
    assert missing(exchanged([7 * w for w in weeks])) == [35, 63, 70]


def test_a_day_early_or_late_is_no_gap_and_still_shows_one():
    days = [7, 13, 21, 29, 35, 42, 57, 63, 70, 76, 84, 91, 98, 105, 112]
    assert missing(exchanged(days, last=113)) == [50]


def test_a_gap_that_is_no_multiple_hides_nothing():
    # 11 days between weekly exchanges: neither one nor two intervals.
    assert missing(exchanged([7, 14, 21, 28, 39, 46, 53, 60, 67], last=70)) == []


def test_the_stretch_to_the_last_test_counts():
    assert missing(exchanged([7, 14, 21, 28, 35, 42], last=58)) == [49, 56]


def test_an_exchange_of_unknown_size_is_not_missing():
    log = exchanged([7, 14, 21, 28, 42, 49, 56], last=60, unknown=(35,))
    assert missing(log) == []


@pytest.mark.parametrize(
    "days", [[], [7], [3, 4, 19, 33, 34, 60, 61, 90], [10, 20, 30, 40]]
)
def test_without_a_rhythm_nothing_is_suspected(days):
    assert rhythm(exchanged(days)) is None


def test_litres_count_as_parts_of_the_tank():
    log = exchanged([7, 14, 21, 28, 35, 42])
    wet = tuple(replace(e, fraction=None, litres=25.0) for e in log.exchanges)
    usual = rhythm(replace(log, exchanges=wet))
    assert usual is not None
    assert usual.fraction == pytest.approx(0.25)


def test_the_log_itself_is_left_as_it_is():
    log = exchanged([7, 14, 21])
    more = with_exchanges(log, (day(10),), 0.3, None)
    assert len(log.exchanges) == 3
    assert [e.date for e in more.exchanges] == [day(7), day(10), day(14), day(21)]


@pytest.fixture(scope="module")
def forgetful():
    """A weekly keeper who forgot to write down weeks 5, 9, 13 and 20."""
    life = sim.Life(
        "meter", "before and after", 26, rate=1.5, start=25, unlogged=(5, 9, 13, 20)
    )
    return life, sim.live(life, np.random.default_rng([21, 4]))


def test_unlogged_exchanges_are_asked_about(forgetful):
    life, log = forgetful
    found = change.unlogged(log)
    assert found is not None
    assert found.days == tuple(day(7 * w) for w in (5, 9, 13, 20))
    assert (found.interval_days, found.fraction) == (7.0, 0.30)
    asked = found.statements[0]
    assert "Was water exchanged then?" in asked
    assert "Monday" in asked  # 2 March 2026 was one
    # Exchanges left out always make the rate too low.
    assert found.as_logged.estimate < found.with_usual.estimate
    assert found.as_logged.high < life.rate
    assert found.hull.low <= life.rate <= found.hull.high
    assert found.hull.low == found.as_logged.low
    assert found.hull.high == found.with_usual.high
    assert found.favour > 4
    assert "agree better with the exchanges having been made" in found.statements[-1]


def test_a_holiday_without_exchange_is_asked_about_and_not_assumed():
    log = read_logbook(ROOT / "data_demo" / "fen", today=dt.date(2026, 9, 20))
    found = change.unlogged(log)
    assert found is not None
    assert found.days == (dt.date(2026, 6, 10), dt.date(2026, 6, 20))
    assert found.favour < 4


def test_a_full_log_is_left_in_peace(forgetful):
    life, _ = forgetful
    log = sim.live(replace(life, unlogged=()), np.random.default_rng([21, 4]))
    found = change.unlogged(log)
    assert found is not None
    assert (found.days, found.statements) == ((), ())
    said = change.doubts(log)
    assert said[0].startswith("No exchange is missing")


def planted(places, factor: float) -> tuple[sim.Life, Logbook]:
    life = sim.Life("meter", "before and after", 26, rate=1.5, start=25, reader=0.08)
    log = sim.live(life, np.random.default_rng([22, 1]))
    tests = list(log.tests)
    for i in places:
        value = round(factor * (tests[i].value_mg_l or 0.0))
        tests[i] = replace(
            tests[i],
            value_mg_l=value,
            low_mg_l=max(value - 0.5, 0.0),
            high_mg_l=value + 0.5,
            raw=str(value),
        )
    return life, replace(log, tests=tuple(tests))


@pytest.mark.parametrize("factor", [0.3, 2.5])
def test_odd_readings_are_kept_and_marked(factor):
    places = (9, 22, 33)
    life, log = planted(places, factor)
    found = change.outliers(log)
    assert found is not None
    assert [r.line for r in found.readings] == [log.tests[i].line for i in places]
    for odd in found.readings:
        assert abs(odd.distance) > 3.5
        assert (odd.distance > 0) == (factor > 1)
    assert found.without.high - found.without.low < (
        found.with_all.high - found.with_all.low
    )
    assert found.hull.low <= life.rate <= found.hull.high
    assert "still count" in found.statements[-1]


def test_no_reading_of_a_clean_log_stands_out():
    _, log = planted((), 1.0)
    found = change.outliers(log)
    assert found is not None
    assert (found.readings, found.statements) == ((), ())


def test_a_log_without_a_fit_says_so():
    log = exchanged([7, 14, 21])
    assert change.outliers(log) is None
    assert change.unlogged(log) is None
    assert all("cannot be told" in s or "no fit" in s for s in change.doubts(log))
