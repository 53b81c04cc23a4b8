"""What the next readings will show, and the chances of usual and single peaks."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.ahead import (
    Kit,
    course,
    days_to_exchange,
    follow,
    outlook,
    outlook_sentences,
    peaks_under,
    reading_words,
    usual_peaks,
)
from kit.draws import Draws
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.sawtooth import Habit, long_run

WEEKLY = Habit(200.0, 0.3, 7.0, source_mg_l=5.0)
START = dt.date(2026, 9, 13)
# Doubling steps, split at geometric midpoints as the bands of `kit.bands`.
EDGES = np.array([2.5, 50**0.5, 200**0.5, 800**0.5, 3200**0.5, 12800**0.5])
DOUBLING = Kit(
    np.concatenate([[-np.inf], EDGES]),
    np.concatenate([EDGES, [np.inf]]),
    (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0),
    0.0,
    0.12,
    0.0,
)
METER = Kit(np.array([]), np.array([]), (), 1.0, 0.05, 0.5)


def tank(rate=1.289, level=26.0, noise=0.5, source=5.0, n=400):
    return Draws(
        np.full(n, rate), np.full(n, level), np.full(n, noise), np.full(n, source)
    )


def test_chances_of_the_next_step_by_hand():
    """35.1 read with 12 %: sd 4.212; 28.284 is 1.618 sd below, 56.569 5.1 above.

    The normal table gives 0.0528 below the one, nothing above the other.
    """
    found = DOUBLING.chances(np.full(10, 35.1))
    assert found.share[3] == pytest.approx(0.0528, abs=2e-4)
    assert found.share[4] == pytest.approx(0.9472, abs=2e-4)
    assert found.likely == (40.0,)
    assert reading_words(found, DOUBLING) == "40"


def test_near_an_edge_two_steps_are_named():
    found = DOUBLING.chances(np.full(10, 800**0.5))
    assert found.likely == (20.0, 40.0)
    assert reading_words(found, DOUBLING) == "20 or 40"


def test_a_meter_names_a_range_in_its_own_digits():
    found = METER.chances(np.full(10, 40.0))
    # 80 % of a normal of sd (0.5^2 + 2^2)^0.5 = 2.06 is +- 2.64.
    low, high = reading_words(found, METER).split(" to ")
    assert float(low) == pytest.approx(37.4, abs=1.0)
    assert float(high) == pytest.approx(42.6, abs=1.0)
    assert float(low).is_integer()


@given(st.lists(st.floats(0, 300), min_size=2, max_size=20), st.floats(0, 20))
def test_chances_add_up_to_one(levels, extra):
    some = np.array(levels)
    for kit in (DOUBLING, METER.cells(some), DOUBLING.diluted(1.5)):
        assert kit.likelihood(some, extra).sum(axis=0) == pytest.approx(1.0)
    assert DOUBLING.chances(some).held >= 0.8 - 1e-9


def test_diluting_two_and_one_puts_the_edges_half_as_high_again():
    """28.28 becomes 42.4: a level of 40 and one of 45 then read apart."""
    diluted = DOUBLING.diluted(1.5)
    assert diluted.low[4] == pytest.approx(42.43, abs=0.01)


def test_bands_are_widened_to_the_ends_of_steps():
    assert DOUBLING.widened(30.0, 50.0) == (EDGES[3], EDGES[4])
    assert DOUBLING.widened(1.0, 200.0) == (0.0, 2 * EDGES[-1])
    assert METER.widened(30.0, 50.0) == (29.5, 50.5)


def test_a_usual_peak_on_the_ceiling_and_a_single_one():
    """Rate exactly known: the usual peak is 5 + 7 x 1.289/0.3 = 35.08.

    Single peaks: the tank gives 0.5 (7/(1 - 0.49))^0.5 = 1.852; exchanges a twentieth
    off 0.05 x 0.3 x 30.08/0.51^0.5 = 0.632; together 1.957. So 37 lies 0.981 of it
    above, 0.8367 by the normal table.
    """
    found = peaks_under(WEEKLY, tank(), 37.0, exchange_error=0.05)
    assert found.usual == 1.0
    assert found.single == pytest.approx(0.8367, abs=0.002)
    without = peaks_under(WEEKLY, tank(noise=0.0), 37.0, exchange_error=0.05)
    # 1.92/0.632 = 3.04: 0.9988.
    assert without.single == pytest.approx(0.9988, abs=2e-4)


def test_nothing_that_holds_the_level_gives_no_chance():
    found = peaks_under(replace(WEEKLY, fraction=0.0), tank(), 37.0)
    assert (found.usual, found.single) == (0.0, 0.0)


def test_single_peaks_of_the_days_ahead_scatter_as_said():
    way = course(WEEKLY, 40 * 7.0)
    levels = follow(way.chain, tank(level=24.6, n=20_000), exchange_error=0.1)
    last = levels[np.flatnonzero(way.before)[-1]]
    said = peaks_under(WEEKLY, tank(), 37.0, exchange_error=0.1).single
    assert float(np.mean(last <= 37.0)) == pytest.approx(said, abs=0.01)


def test_chances_ahead_count_every_peak():
    levels = np.array([[30.0, 30.0, 50.0, 30.0], [30.0, 50.0, 30.0, 30.0]])
    assert peaks_under(WEEKLY, tank(), 40.0, levels).all_ahead == 0.5


def test_each_draw_has_its_own_source():
    some = tank(n=3)
    sources = np.array([3.0, 5.0, 9.0])
    peaks = usual_peaks(WEEKLY, replace(some, source_mg_l=sources))
    # At constant rate the peak is source + gT/f.
    assert peaks == pytest.approx(sources + 7 * 1.289 / 0.3)


@given(st.floats(-1, 3), st.floats(0.05, 0.95), st.floats(0, 20))
def test_usual_peaks_are_those_of_the_long_run(rate, fraction, drip):
    habit = replace(WEEKLY, fraction=fraction, drip_l_day=drip)
    expected = long_run(habit, rate).peak_mg_l
    assert usual_peaks(habit, tank(rate, n=2)) == pytest.approx(expected)


def test_the_outlook_names_both_sides_of_each_exchange():
    seen = outlook(
        WEEKLY,
        tank(),
        DOUBLING,
        start=START,
        days=21,
        level_mg_l=26.0,
        rate_mg_l_day=1.289,
        first_days=3.0,
        ceiling_mg_l=40.0,
    )
    days = [(c.day, c.place) for c in seen.coming]
    assert days == [
        (START + dt.timedelta(days=d), place)
        for d in (3, 10, 17)
        for place in ("before", "after")
    ]
    # 26 + 3 x 1.289 = 29.87; the exchange leaves 0.7 of it and 1.5.
    assert seen.coming[0].level == pytest.approx(29.87, abs=0.05)
    assert seen.coming[1].level == pytest.approx(0.7 * 29.87 + 1.5, abs=0.05)
    for c in seen.coming:
        assert c.low <= c.low_80 <= c.level <= c.high_80 <= c.high
    said = " ".join(outlook_sentences(seen, DOUBLING))
    assert "2026-09-16" in said
    assert "20 or 40" in said
    assert "any one peak" in said


def test_without_exchanges_the_end_is_said():
    seen = outlook(
        replace(WEEKLY, fraction=0.0),
        tank(),
        DOUBLING,
        start=START,
        days=14,
        level_mg_l=26.0,
        rate_mg_l_day=1.289,
    )
    assert seen.coming == ()
    (said,) = outlook_sentences(seen, DOUBLING)
    assert said.startswith("In 14 days the level will be 44")


def log_with(last_test, exchange):
    test = Test(START, None, 20.0, 20.0, 20.0, "20", "t.csv", 2)
    done = (
        ()
        if exchange is None
        else (Exchange(START + dt.timedelta(exchange), None, 0.3, None, "e.csv", 2),)
    )
    return Logbook(
        Tank(), (test, replace(test, date=START + dt.timedelta(last_test))), done
    )


@pytest.mark.parametrize(
    ("last_test", "exchange", "due"),
    [(0, 0, 7.0), (3, 0, 4.0), (9, 0, 0.0), (3, None, 7.0), (3, 3, 7.0)],
)
def test_when_the_next_exchange_is_due(last_test, exchange, due):
    assert days_to_exchange(log_with(last_test, exchange), 7.0) == due
    assert math.isfinite(due)
