"""What-ifs: the habit a log shows, equal water, safe rounding and honest warnings."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest
from handmade import fitted

from kit.draws import Draws
from kit.errors import PlanError
from kit.logbook import Exchange, Logbook, Tank, Test, VolumeChange
from kit.plan import plan
from kit.sawtooth import Habit
from kit.scenario import (
    on_the_safe_side,
    same_water,
    settling_day,
    settling_days,
    try_habit,
)
from kit.subject import backwash_flow, present_habit, seen_in, subject_of
from kit.window import days_ahead, picture_top

DAY = dt.date(2026, 3, 1)
WEEKLY = Habit(200.0, 0.25, 7.0, source_mg_l=10.0)


def exchange(day: int, fraction: float | None, **more: object) -> Exchange:
    return Exchange(
        DAY + dt.timedelta(day), None, fraction, None, "exchanges.csv", 2, **more
    )  # type: ignore[arg-type]


def log(*exchanges: Exchange, tank: Tank | None = None) -> Logbook:
    test = Test(DAY + dt.timedelta(60), None, 20.0, 20.0, 20.0, "20", "tests.csv", 2)
    return Logbook(tank or Tank(volume_l=200.0), (test,), exchanges)


def test_a_log_shows_its_usual_habit():
    seen = seen_in(log(exchange(0, 0.2), exchange(7, 0.3), exchange(21, 0.25)))
    assert seen is not None
    assert seen.fraction == (0.2, 0.25, 0.3)
    assert seen.interval_days == (7.0, 10.5, 14.0)
    assert seen.length_days == 60.0


def test_backwashes_and_unknown_sizes_are_no_habit():
    backwash = exchange(3, 0.06, kind="backwash")
    seen = seen_in(log(exchange(0, 0.2), backwash, exchange(5, None), exchange(7, 0.2)))
    assert seen is not None
    assert seen.interval_days == (7.0, 7.0, 7.0)
    assert seen_in(log(exchange(0, 0.2))) is None


def test_the_latest_drip_and_volume_hold():
    tank = Tank(
        volume_l=200.0,
        drip_l_day=1.0,
        volume_changes=(VolumeChange(DAY, 180.0, "drained"),),
    )
    change = exchange(9, None, kind="drip change", drip_l_day=22.0)
    habit = present_habit(log(change, tank=tank), None)
    assert habit is not None
    assert (habit.volume_l, habit.drip_l_day, habit.source_mg_l) == (180.0, 22.0, 0.0)
    assert present_habit(log(tank=Tank()), 5.0) is None


def test_a_tank_without_rate_or_volume_is_refused_in_words():
    with pytest.raises(PlanError, match="too few tests"):
        subject_of(
            log(), fitted(net_rate=None, usual_rate=None, refused="too few tests")
        )
    with pytest.raises(PlanError, match="how much water the tank holds"):
        subject_of(log(tank=Tank()), fitted())
    subject = subject_of(log(), fitted())
    assert (subject.rate_mg_l_day, subject.last) == (2.0, DAY + dt.timedelta(60))


def test_backwashes_count_as_a_drip_of_as_much_water():
    """Ten litres of 200 every third day are 3.33 L a day."""
    washes = [exchange(3 * n, 0.05, kind="backwash") for n in range(10)]
    washed = log(exchange(0, 0.2), *washes, exchange(7, 0.2))
    assert backwash_flow(washed) == pytest.approx(10.0 / 3.0)
    assert backwash_flow(log(washes[0])) == 0.0
    assert backwash_flow(log(*washes, tank=Tank())) == 0.0
    assert subject_of(washed, fitted()).habit.drip_l_day == pytest.approx(10.0 / 3.0)
    # Against the washes one by one: a drip of 1.67 % a day keeps exp(-0.05) in three
    # days, a wash 0.95.
    assert math.exp(-3 * backwash_flow(washed) / 200.0) == pytest.approx(0.95, abs=2e-3)


def test_equal_water_keeps_the_peak():
    """Peak is Cs + g T/f, so it stays while T/f stays: a club exercise."""
    for fraction, days, mean in ((0.125, 3.5, 36.25), (0.5, 14.0, 31.0)):
        by_fraction = same_water(replace(WEEKLY, fraction=fraction), WEEKLY)
        by_days = same_water(
            replace(WEEKLY, interval_days=days), WEEKLY, keep="interval"
        )
        assert (
            by_fraction
            == by_days
            == replace(WEEKLY, fraction=fraction, interval_days=days)
        )
        tried = plan(by_days, 1.0)
        assert tried.peak_mg_l.estimate == pytest.approx(38.0)
        assert tried.mean_mg_l.estimate == pytest.approx(mean)
        assert tried.litres_month == pytest.approx(plan(WEEKLY, 1.0).litres_month)


def test_equal_water_has_its_ends():
    none = replace(WEEKLY, fraction=0.0)
    assert same_water(none, WEEKLY) == none
    assert same_water(WEEKLY, none) == WEEKLY
    rare = replace(WEEKLY, interval_days=60.0)
    assert same_water(rare, WEEKLY, keep="interval").fraction == 1.0


def test_a_solved_habit_is_rounded_to_the_safe_side():
    solved = Habit(200.0, 0.3501, 7.49)
    safe = on_the_safe_side(solved)
    assert (safe.fraction, safe.interval_days) == (0.355, 7.0)
    exact = Habit(200.0, 0.35, 7.0)
    assert on_the_safe_side(exact) == exact
    assert on_the_safe_side(Habit(200.0, 0.999, 0.3)).interval_days == 0.5


def test_a_change_is_counted_in_whole_exchanges():
    tried = plan(WEEKLY, 1.0)
    # 0.75**n = 0.05 at n = 10.4, so the eleventh exchange.
    assert settling_days(tried) == 77.0
    assert settling_day(tried, DAY) == dt.date(2026, 5, 17)
    never = plan(replace(WEEKLY, fraction=0.0), 1.0)
    assert math.isinf(settling_days(never))
    assert settling_day(never, DAY) is None
    drip = plan(Habit(200.0, 0.0, 7.0, drip_l_day=20.0), 1.0)
    # A stirred tank is 95 % there after ln 20 = 3.0 turnovers of 10 days.
    assert settling_days(drip) == pytest.approx(10.0 * math.log(20.0))


def warned(habit: Habit, days: float = 60.0, draws: Draws | None = None) -> str:
    seen = seen_in(log(exchange(0, 0.2), exchange(7, 0.3), exchange(14, 0.25)))
    tried = try_habit(habit, 1.0, 30.0, days=days, draws=draws, seen=seen)
    return " ".join(tried.warnings)


def test_the_untried_is_said():
    """Beyond half or twice what the log saw of percent or days."""
    assert warned(WEEKLY) == ""
    assert "20 to 30 %. 61 % is untried" in warned(replace(WEEKLY, fraction=0.61))
    assert warned(replace(WEEKLY, fraction=0.6)) == ""
    assert "9 % is untried" in warned(replace(WEEKLY, fraction=0.09))
    assert "every 7 days. Every 14.5 days" in warned(
        replace(WEEKLY, interval_days=14.5)
    )
    assert "200 days ahead from a log of 60 days" in warned(WEEKLY, days=200.0)


def test_a_rise_that_may_be_none_is_said():
    still = np.full(101, 30.0)
    unsure = Draws(np.linspace(-0.5, 1.5, 101), still, still, still)
    assert "whether nitrate builds up" in warned(WEEKLY, draws=unsure)


def test_the_trace_meets_the_exact_levels():
    """From 31 mg/L the settled sawtooth of 25 % a week repeats: 31, 38, 31, 38."""
    tried = try_habit(WEEKLY, 1.0, 31.0, days=14.0)
    assert tried.trace.level == pytest.approx([31.0, 38.0, 31.0, 38.0, 31.0])


def test_a_bent_line_gets_points_enough():
    """With a drip the level bends: against the stirred tank's own formula."""
    habit = Habit(200.0, 0.25, 60.0, drip_l_day=20.0)
    trace = try_habit(habit, 1.0, 0.0, days=60.0).trace
    k = 20.0 / 200.0
    exact = (1.0 - np.exp(-k * trace.days)) / k
    assert len(trace.days) > 12
    assert trace.level[:-1] == pytest.approx(exact[:-1], abs=1e-9)


def test_the_height_of_a_picture_does_not_depend_on_the_habit():
    assert picture_top(1.0, 10.0) == 50.0
    assert picture_top(1.0, 10.0, ceiling_mg_l=60.0) >= 60.0
    assert picture_top(0.0, 0.0) > 0.0
    assert picture_top(1e6, 0.0) == 1000.0
    # A tank that peaks at 38 by habit gets room for twice that.
    assert picture_top(1.0, 10.0, usual=WEEKLY) == 80.0
    none = replace(WEEKLY, fraction=0.0)
    assert picture_top(1.0, 10.0, usual=none) == 50.0


def test_a_short_log_looks_ahead_a_short_way():
    short = seen_in(log(exchange(0, 0.2), exchange(7, 0.2)))
    assert days_ahead(short) == 120.0  # a log of 60 days
    daily = seen_in(log(*(exchange(n, 0.2) for n in range(40))))
    assert days_ahead(daily) == 56.0
    assert days_ahead(None) == 182.0
