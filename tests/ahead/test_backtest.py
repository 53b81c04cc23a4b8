"""Looking back through a log: nothing later is used, and the scores are fair."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from handmade import fitted

from kit.ahead import backtest, backtest_sentences, tally
from kit.ahead._cut import past_of, upto
from kit.draws import Draws
from kit.fit import Estimate
from kit.logbook import Exchange, Logbook, SourceTest, Tank, Test

DAY0 = dt.date(2026, 3, 2)
TRUE_RATE, SOURCE, FRACTION = 2.0, 5.0, 0.4


def written(day, hour, value, half=0.5):
    when = DAY0 + dt.timedelta(days=day)
    return Test(
        when,
        dt.time(hour),
        max(value - half, 0.0),
        value + half,
        value,
        f"{value:g}",
        "tests.csv",
        day + 2,
    )


def a_log(weeks=16, start=20.0):
    """A tank that rises exactly 2 mg/L a day; 40 % a week, tested before and after.

    Each level by hand: seven days' rise, then 0.6 of it and 0.4 of 5.
    """
    level, tests, exchanges = start, [written(0, 12, start)], []
    for week in range(1, weeks + 1):
        day = 7 * week
        level += 7 * TRUE_RATE
        tests.append(written(day, 12, level))
        level = (1 - FRACTION) * level + FRACTION * SOURCE
        tests.append(written(day, 12, level))
        when = DAY0 + dt.timedelta(days=day)
        exchanges.append(Exchange(when, dt.time(12), FRACTION, None, "e.csv", day + 2))
    for i, test in enumerate(tests[1:], start=1):
        tests[i] = replace(test, order="before" if i % 2 else "after")
    tank = Tank(volume_l=200.0, source_nitrate_mg_l=SOURCE, kit_resolution_mg_l=1.0)
    return Logbook(tank, tuple(tests), tuple(exchanges))


def knows_the_rate(log):
    """A fit that knows the rate and reads the last test."""
    last = log.tests[-1].value_mg_l
    n = 200
    rate = np.full(n, TRUE_RATE)
    draws = Draws(rate, np.full(n, last), np.full(n, 0.1), np.full(n, SOURCE))
    return fitted(
        draws=draws,
        net_rate=Estimate(TRUE_RATE, TRUE_RATE, TRUE_RATE),
        usual_rate=Estimate(TRUE_RATE, TRUE_RATE, TRUE_RATE),
        reading_noise=Estimate(0.02, 0.01, 0.03),
    )


def test_a_right_rate_foretells_every_reading_and_beats_both_guesses():
    found = backtest(a_log(), refit=knows_the_rate)
    assert found.origins == 13
    assert max(r.miss("kit") for r in found.rows) < 0.5
    next_day = tally(found)[0]
    assert next_day.miss_last.winner == "kit"
    # Repeating 20-odd after an exchange misses the 35 before the next, and so on.
    assert next_day.miss_last.theirs > 4.0
    assert "better than" in backtest_sentences(found)[0]


def test_horizons_are_the_next_test_day_and_those_near_two_and_four_weeks():
    found = backtest(a_log(), refit=knows_the_rate)
    for row in found.rows:
        days = (row.day - row.origin).days
        assert days == {"next": 7, "2 weeks": 14, "4 weeks": 28}[row.horizon]


def test_nothing_later_than_the_day_is_looked_at():
    log = a_log()
    seen = []

    def spy(part):
        seen.append(part)
        return knows_the_rate(part)

    first = backtest(log, refit=spy)
    for part in seen:
        days = [t.date for t in part.tests] + [e.date for e in part.exchanges]
        assert max(days) <= max(t.date for t in part.tests)
    # Readings of the last two weeks, mistaken: what was said before stays as it was.
    late = DAY0 + dt.timedelta(days=7 * 14)
    wrong = tuple(
        replace(t, value_mg_l=1.0, low_mg_l=0.5, high_mg_l=1.5) if t.date > late else t
        for t in log.tests
    )
    again = backtest(replace(log, tests=wrong), refit=knows_the_rate)
    said = [r.kit for r in first.rows if r.origin <= late]
    assert said == [r.kit for r in again.rows if r.origin <= late]
    assert [r.last for r in first.rows if r.origin <= late] == [
        r.last for r in again.rows if r.origin <= late
    ]


def test_an_exchange_of_unknown_size_ends_what_can_be_foretold():
    log = a_log()
    day = DAY0 + dt.timedelta(days=7 * 10)
    exchanges = tuple(e for e in log.exchanges if e.date != day)
    log = replace(log, exchanges=exchanges, unknown_exchanges=(day,))
    found = backtest(log, refit=knows_the_rate)
    before = [r for r in found.rows if r.origin < day]
    assert max(r.day for r in before) <= day
    assert not [r for r in found.rows if r.origin == day]


def test_the_new_water_is_that_known_on_the_day():
    log = replace(
        a_log(),
        source=(
            SourceTest(DAY0, None, 4.5, 5.5, 5.0, "5", "s.csv", 2),
            SourceTest(
                DAY0 + dt.timedelta(days=100), None, 39.5, 40.5, 40.0, "40", "s.csv", 3
            ),
        ),
    )
    past = past_of(log, DAY0 + dt.timedelta(days=70))
    assert past is not None
    assert len(upto(log, DAY0 + dt.timedelta(days=70)).source) == 1
    batches = past.chain().keep == 1 - FRACTION
    assert past.chain().known[batches].max() == pytest.approx(FRACTION * 5.0)


@pytest.mark.parametrize("weeks", [0, 1, 2])
def test_a_short_log_is_said_to_be_short(weeks):
    found = backtest(a_log(weeks), refit=knows_the_rate)
    assert found.rows == ()
    assert "too short" in backtest_sentences(found)[0]
    assert backtest(Logbook(Tank())).rows == ()


def test_a_few_weeks_more_do_not_name_a_winner():
    found = backtest(a_log(6), refit=knows_the_rate)
    assert found.rows
    assert {t.miss_last.winner for t in tally(found)} == {"short"}
    assert "too few to say" in backtest_sentences(found)[0]


def test_days_without_a_rate_are_counted():
    def refuses(log):
        if len(log.tests) < 13:
            return fitted(
                net_rate=None, usual_rate=None, draws=Draws.none(), refused="too thin"
            )
        return knows_the_rate(log)

    found = backtest(a_log(), refit=refuses)
    assert found.refused == 3
    assert backtest_sentences(found)[-1] == "On 3 days the log gave no rate."


def test_a_log_that_never_gives_a_rate_says_why():
    found = backtest(
        a_log(),
        refit=lambda _log: fitted(
            net_rate=None, usual_rate=None, refused="The readings are all 0."
        ),
    )
    assert found.rows == ()
    (said,) = backtest_sentences(found)
    assert said.endswith("The readings are all 0.")


def test_a_drip_that_is_not_in_the_log_shows_as_bands_that_hold_too_little():
    def sure_of_too_much(log):
        result = knows_the_rate(log)
        return replace(
            result, draws=replace(result.draws, rate_mg_l_day=np.full(200, 3.0))
        )

    found = backtest(a_log(), refit=sure_of_too_much)
    said = " ".join(backtest_sentences(found))
    assert tally(found)[0].held_80 < 0.2
    assert "do not trust these bands" in said


def test_a_real_fit_of_a_real_log_goes_back_in_time():
    found = backtest(a_log(10), most=3)
    assert found.origins == 3
    assert max(r.miss("kit") for r in found.rows) < 2.0
