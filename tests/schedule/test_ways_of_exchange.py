"""Orders, equivalents, mixing, top-up, and all the ways of exchange together.

Expected values come from scipy's integrator, from published sums, or from tables
computed separately beforehand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.errors import PlanError
from kit.sawtooth import Habit, long_run
from kit.schedule.equivalent import (
    batch_advantage,
    batch_for_drip,
    combined_fraction,
    drip_for_batch,
    drip_to_replace,
    repeated_fraction,
)
from kit.schedule.mixing import (
    effective_drip,
    effective_fraction,
    level_while_mixing,
    mixed_habit,
)
from kit.schedule.order import (
    ORDERS,
    compare_orders,
    free_fraction,
    level_after,
    part_removed,
)
from kit.schedule.topup import (
    compare_topups,
    concentrated,
    drip_level,
    floor_mg_l,
    salts_factor,
    topup_rise,
)
from kit.schedule.ways import Ways, part_per_interval, steady_cycle, ways_water_l_day

MONTH = 365.25 / 12.0  # days in an average month


def integrate(rate, flows, exchanges, start, days, *, volume):
    """Integrate a tank by scipy: flows (in, out, source) and dated exchanges."""
    inflow, outflow, source = flows
    level, seen = start, []
    moments = sorted({0.0, days, *(day for day, _ in exchanges)})
    for begin, end in pairwise(moments):
        for day, part in exchanges:
            if day == begin:
                level = (1.0 - part) * level + part * source

        def slope(_t, c):
            return [rate + inflow / volume * source - outflow / volume * c[0]]

        run = solve_ivp(slope, (begin, end), [level], rtol=1e-11, atol=1e-12)
        level = float(run.y[0, -1])
        seen.append((begin, float(run.y[0, 0]), end, level))
    return level, seen


# Orders -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("order", "evaporated", "percent"),
    [
        ("drain first", 0.0, 25.0),
        ("drain first", 15.0, 26.3),
        ("top up first", 15.0, 25.0),
        ("fill while draining", 0.0, 22.1),
        ("fill first", 0.0, 20.0),
    ],
)
def test_seventy_five_litres_of_three_hundred(order, evaporated, percent):
    found = part_removed(order, 75.0, 300.0, evaporated)
    assert 100.0 * found == pytest.approx(percent, abs=0.05)


def test_half_the_tank_while_filling():
    assert part_removed("fill while draining", 150.0, 300.0) == pytest.approx(
        0.39347, abs=5e-6
    )


@pytest.mark.parametrize("turnover", [0.1, 0.2, 0.5, 1.0, 2.0])
def test_filling_while_draining_agrees_with_an_integrator(turnover):
    run = solve_ivp(
        lambda _t, c: [-c[0] + 7.0], (0.0, turnover), [52.0], rtol=1e-12, atol=1e-12
    )
    found = level_after(
        "fill while draining", 52.0, 7.0, drained_l=turnover * 80.0, volume_l=80.0
    )
    assert found == pytest.approx(float(run.y[0, -1]), rel=1e-8)


parts = st.floats(0.0, 0.9)
levels = st.floats(0.0, 200.0)


@given(parts, st.floats(0.0, 0.3), levels, levels)
def test_no_nitrate_is_lost_or_made_by_draining_and_filling(part, missing, c, source):
    volume = 300.0
    evaporated = missing * volume
    drained = part * (volume - evaporated)
    for way in compare_orders(
        c, source, drained_l=drained, volume_l=volume, evaporated_l=evaporated
    ):
        low, high = sorted((c * (1.0 - missing), source))
        assert min(low, source) - 1e-9 <= way.level_mg_l
        assert way.level_mg_l <= max(high, c) + 1e-9
        assert 0.0 <= way.part <= 1.0
    after = level_after(
        "drain first",
        c,
        source,
        drained_l=drained,
        volume_l=volume,
        evaporated_l=evaporated,
    )
    left = (volume - evaporated - drained) * c + (drained + evaporated) * source
    assert after == pytest.approx(left / volume, abs=1e-9)


@given(st.floats(0.01, 0.9), st.floats(1.0, 200.0))
def test_draining_first_takes_most_for_the_same_water(part, level):
    seen = compare_orders(level, 0.0, drained_l=part * 200.0, volume_l=200.0)
    by = {way.order: way.part for way in seen}
    assert by["drain first"] > by["fill while draining"] > by["fill first"]
    assert tuple(by) == ORDERS


def test_free_water_counts_until_the_rest_has_mixed():
    assert free_fraction(75.0, 300.0, 30.0) == pytest.approx(75.0 / 270.0)
    assert free_fraction(75.0, 300.0, 0.0) == 0.25


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: part_removed("drain first", 301.0, 300.0),
        lambda: part_removed("drain first", -1.0, 300.0),
        lambda: part_removed("drain first", 10.0, 300.0, 300.0),
        lambda: free_fraction(280.0, 300.0, 30.0),
        lambda: combined_fraction(0.2, 1.2),
        lambda: repeated_fraction(0.2, -1.0),
        lambda: batch_advantage(1.5, 1),
        lambda: batch_for_drip(Habit(100.0, 0.0, 7.0, drip_l_day=20.0)),
        lambda: drip_to_replace(Habit(100.0, 0.0, 7.0), Habit(100.0, 0.2, 7.0)),
        lambda: drip_to_replace(Habit(1.0, 0.2, 7.0), Habit(1.0, 0.2, 9.0), 0.0),
        lambda: effective_fraction(0.2, 1.5),
        lambda: effective_drip(5.0, -0.1),
        lambda: salts_factor(-1.0, 2.0),
        lambda: concentrated(10.0, 100.0, 100.0),
        lambda: topup_rise(1.0, 10.0, 0.0),
        lambda: Ways(Habit(100.0, 0.2, 7.0), 120.0, 3.0),
        lambda: steady_cycle(Ways(Habit(100.0, 0.0, 7.0)), 1.0),
        lambda: steady_cycle(Ways(Habit(100.0, 0.2, 7.0)), -1.0),
        lambda: steady_cycle(Ways(Habit(100.0, 0.2, 59.96), 5.0, 58.04), 1.0),
    ],
)
def test_what_cannot_be_is_refused_in_words(wrong):
    with pytest.raises(PlanError, match=r"^[A-Z].*\.$"):
        wrong()


# Common practice, computed anew ------------------------------------------------------


def test_weekly_against_monthly_fifths():
    """Peaks above the source for a rise of 1 a day: 35.0 and 152.2, ratio 4.35.

    Common practice, no source; the figures are g T / f by hand.
    """
    weekly = long_run(Habit(100.0, 0.2, 7.0), 1.0).peak_mg_l
    monthly = long_run(Habit(100.0, 0.2, MONTH), 1.0).peak_mg_l
    assert weekly == pytest.approx(35.0)
    assert monthly == pytest.approx(152.2, abs=0.05)
    assert monthly / weekly == pytest.approx(30.44 / 7.0, abs=0.002)


@pytest.mark.parametrize(
    ("drip", "weekly", "monthly"), [(2.0, 21.5, 40.4), (5.0, 13.5, 18.9)]
)
def test_the_same_with_a_drip(drip, weekly, monthly):
    for days, peak in ((7.0, weekly), (MONTH, monthly)):
        habit = Habit(100.0, 0.2, days, drip_l_day=drip)
        assert long_run(habit, 1.0).peak_mg_l == pytest.approx(peak, abs=0.06)


@pytest.mark.parametrize(
    ("days", "by", "percent"),
    [(7.0, "peak", 2.41), (7.0, "mean", 2.45), (14.0, "peak", 0.85)],
)
def test_the_drip_that_lets_a_keeper_exchange_monthly(days, by, percent):
    """A fifth a month with so much drip does as well as a fifth every so many days."""
    often, monthly = Habit(100.0, 0.2, days), Habit(100.0, 0.2, MONTH)
    found = drip_to_replace(often, monthly, by=by)
    assert found == pytest.approx(percent, abs=0.006)


def test_that_drip_agrees_with_an_integrator():
    drip = drip_to_replace(Habit(100.0, 0.2, 7.0), Habit(100.0, 0.2, 30.0))
    dates = [(30.0 * i, 0.2) for i in range(40)]
    level, _ = integrate(1.0, (drip, drip, 0.0), dates, 0.0, 1200.0, volume=100.0)
    assert level == pytest.approx(35.0, rel=1e-6)


@given(st.floats(0.02, 0.9), st.floats(1.0, 30.0), st.floats(1.0, 4.0), levels)
def test_the_drip_found_ends_where_the_other_habit_ends(part, days, longer, source):
    wanted = Habit(250.0, part, days, source_mg_l=source)
    rare = Habit(250.0, part, days * longer, source_mg_l=source)
    drip = drip_to_replace(wanted, rare, 1.3)
    found = long_run(
        Habit(250.0, part, days * longer, source_mg_l=source, drip_l_day=drip), 1.3
    )
    assert found.peak_mg_l == pytest.approx(long_run(wanted, 1.3).peak_mg_l, rel=1e-6)
    assert drip_to_replace(rare, wanted, 1.3) == pytest.approx(0.0, abs=1e-9)


def test_two_meanings_of_the_same():
    """Weekly 20 %: 2.86 % of the tank a day by litres, 3.19 % by decay."""
    twice = drip_for_batch(Habit(100.0, 0.2, 7.0))
    assert twice.litres == pytest.approx(100.0 * 0.2 / 7.0)
    assert twice.decay == pytest.approx(3.19, abs=0.005)
    back = batch_for_drip(Habit(100.0, 0.0, 7.0, drip_l_day=twice.decay))
    assert back.decay == pytest.approx(0.2)
    assert drip_for_batch(Habit(100.0, 1.0, 7.0)).decay == math.inf


@given(st.floats(0.02, 1.0), st.floats(0.5, 60.0), st.floats(0.01, 10.0), levels)
def test_equal_water_is_equal_peak(part, days, rate, source):
    """Peak of the batches is where the drip settles; their mean is g T/2 lower."""
    batch = Habit(180.0, part, days, source_mg_l=source)
    drip = Habit(
        180.0,
        0.0,
        days,
        source_mg_l=source,
        drip_l_day=drip_for_batch(batch).litres,
    )
    sawtooth, flat = long_run(batch, rate), long_run(drip, rate)
    assert sawtooth.peak_mg_l == pytest.approx(flat.mean_mg_l, rel=1e-9)
    lower = flat.mean_mg_l - sawtooth.mean_mg_l
    assert lower == pytest.approx(rate * days / 2.0, rel=1e-6, abs=1e-7)


@pytest.mark.parametrize(
    ("turnover", "batches", "batch", "drip"),
    [
        (0.25, 1, 25.0, 22.1),
        (0.5, 1, 50.0, 39.3),
        (1.0, 10, 65.1, 63.2),
        (0.2, 1, 20.0, 18.127),
        (1.0, 1, 100.0, 63.212),
        (2.0, 4, 93.75, 86.466),
    ],
)
def test_a_batch_removes_more_than_a_drip_of_the_same_water(
    turnover, batches, batch, drip
):
    seen = batch_advantage(turnover, batches)
    assert 100.0 * seen.batch == pytest.approx(batch, abs=0.05)
    assert 100.0 * seen.drip == pytest.approx(drip, abs=0.05)


def test_exchanges_put_together():
    """Products of what is left, by hand: 0.75^2, 0.8^3 and 0.8^8."""
    assert combined_fraction(0.25, 0.25) == pytest.approx(0.4375)
    assert combined_fraction() == 0.0
    assert repeated_fraction(0.2, 3) == pytest.approx(1.0 - 0.512)
    assert repeated_fraction(0.2, 8) == pytest.approx(1.0 - 0.16777216)
    assert repeated_fraction(1.0, 0) == 0.0


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=5))
def test_order_of_exchanges_does_not_matter(fractions):
    found = combined_fraction(*fractions)
    assert found == pytest.approx(combined_fraction(*reversed(fractions)))
    assert max(fractions) - 1e-12 <= found <= min(sum(fractions), 1.0) + 1e-12


# Mixing ------------------------------------------------------------------------------


def test_dead_corners_and_short_circuits():
    assert effective_fraction(0.25, 0.8) == pytest.approx(0.2)
    assert effective_drip(20.0, 0.5) == 10.0
    # What evaporates is replaced whole; only the overflow can be cut short.
    assert effective_drip(20.0, 0.5, 4.0) == pytest.approx(4.0 + 0.5 * 16.0)
    assert effective_drip(3.0, 0.5, 4.0) == 3.0
    felt = mixed_habit(Habit(100.0, 0.25, 7.0, drip_l_day=4.0), reached=0.8, mixed=0.5)
    assert (felt.fraction, felt.drip_l_day) == (pytest.approx(0.2), 2.0)


def test_two_part_tank_agrees_with_an_integrator():
    """Open and held water trade places until both are the same."""
    reached, part, tau, volume = 0.8, 0.25, 3.0, 100.0
    open_l, held_l = reached * volume, (1.0 - reached) * volume
    trade = open_l * held_l / volume / tau  # L/h between them gives that tau
    start = [(1.0 - part) * 50.0 + part * 10.0, 50.0]

    def slope(_t, c):
        flow = trade * (c[1] - c[0])
        return [flow / open_l, -flow / held_l]

    for hours in (0.0, 1.0, 5.0, 30.0):
        run = solve_ivp(slope, (0.0, max(hours, 1e-9)), start, rtol=1e-11, atol=1e-12)
        found = level_while_mixing(
            50.0, 10.0, fraction=part, reached=reached, hours=hours, mixing_hours=tau
        )
        assert found == pytest.approx(float(run.y[0, -1]), rel=1e-7)


# Evaporation ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drip", "evaporation", "times"),
    [(20.0, 12.0, 2.5), (40.0, 12.0, 1.4286), (15.0, 12.0, 5.0), (12.0, 12.0, None)],
)
def test_salts_build_up_where_water_evaporates(drip, evaporation, times):
    found = salts_factor(drip, evaporation)
    if times is None:
        assert found == math.inf
        return
    assert found == pytest.approx(times, abs=1e-4)
    run = solve_ivp(
        lambda _t, c: [(drip * 3.0 - (drip - evaporation) * c[0]) / 100.0],
        (0.0, 3000.0),
        [0.0],
        rtol=1e-10,
    )
    assert float(run.y[0, -1]) == pytest.approx(3.0 * found, rel=1e-6)
    habit = Habit(
        100.0,
        0.0,
        7.0,
        source_mg_l=3.0,
        drip_l_day=drip,
        evaporation_l_day=evaporation,
    )
    assert floor_mg_l(habit) == pytest.approx(3.0 * found)


@pytest.mark.parametrize(
    ("drip", "evaporation", "level"),
    [(22.0, 3.0, 51.5), (22.0, 0.0, 44.5), (12.0, 3.0, 95.4)],
)
def test_a_drip_less_what_evaporates(drip, evaporation, level):
    """262 L, 3.2 g of food at 215 mg/g and 0.10 mg/L a day, tap at 12 mg/L."""
    rate = 3.2 * 215.0 / 262.0 + 0.10
    habit = Habit(
        262.0,
        0.3,
        42.0,
        source_mg_l=12.0,
        drip_l_day=drip,
        evaporation_l_day=evaporation,
    )
    assert drip_level(habit, rate) == pytest.approx(level, abs=0.06)
    out, _ = integrate(
        rate, (drip, drip - evaporation, 12.0), [], 20.0, 900.0, volume=262.0
    )
    assert drip_level(habit, rate) == pytest.approx(out, rel=1e-6)


def test_topping_up_with_tap_water():
    """149 L losing 2.2 L a day of 10 mg/L: 0.15 a day and 6 mg/L at the peak."""
    assert topup_rise(2.2, 10.0, 149.0) == pytest.approx(0.148, abs=5e-4)
    assert topup_rise(2.0, 20.0, 200.0) == pytest.approx(0.2)
    habit = Habit(149.0, 0.25, 10.0, source_mg_l=10.0, evaporation_l_day=2.2)
    seen = compare_topups(habit, 0.945)
    assert seen.source.peak_mg_l == pytest.approx(53.7, abs=0.3)
    assert seen.pure.peak_mg_l == pytest.approx(47.8, abs=0.3)
    assert seen.rise_mg_l_day == pytest.approx(0.148, abs=5e-4)
    assert concentrated(10.0, 300.0, 60.0) == pytest.approx(12.5)


# All ways together --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rate", "turnover", "part", "days", "source", "peak", "trough", "mean"),
    [
        (2.0, 0.02, 0.2, 30.0, 5.0, 85.432803, 69.346242, 78.189066),
        (2.0, 0.01, 0.25, 14.0, 5.0, 80.085504, 61.314128, 70.918744),
        (3.0, 0.05, 0.3, 14.0, 10.0, 56.298791, 42.409154, 50.157661),
        (1.0, 1 / 30, 0.2, 30.0, 0.0, 26.872201, 21.497761, 24.625560),
    ],
)
def test_batch_and_drip(rate, turnover, part, days, source, peak, trough, mean):
    """Computed by scipy's integrator beforehand, at tolerances of 1e-11."""
    habit = Habit(200.0, part, days, source_mg_l=source, drip_l_day=200.0 * turnover)
    run = steady_cycle(Ways(habit), rate)
    assert run.peak_mg_l == pytest.approx(peak, abs=2e-6)
    assert run.trough_mg_l == pytest.approx(trough, abs=2e-6)
    assert run.mean_mg_l == pytest.approx(mean, abs=2e-6)


def test_batches_and_backwashes_agree_with_an_integrator():
    habit = Habit(
        300.0,
        0.25,
        10.0,
        source_mg_l=8.0,
        drip_l_day=4.0,
        evaporation_l_day=1.5,
    )
    ways = Ways(habit, 24.0, 4.0)
    dates = [(10.0 * i, 0.25) for i in range(60)]
    dates += [(4.0 * i, 0.08) for i in range(150)]
    level, seen = integrate(2.0, (4.0, 2.5, 8.0), dates, 30.0, 600.0, volume=300.0)
    run = steady_cycle(ways, 2.0)
    assert float(run.days[-1]) == 20.0
    assert run.level_mg_l[0] == pytest.approx(level, rel=1e-7)
    last = [s for s in seen if s[0] >= 580.0]
    assert run.peak_mg_l == pytest.approx(max(s[3] for s in last), rel=1e-7)
    assert run.trough_mg_l == pytest.approx(min(s[1] for s in last), rel=1e-7)


def test_a_backwash_is_an_exchange():
    """1,020 L, a net rise of 2.57, tap 8: peak near 70 with backwashes, 110 without.

    Computed beforehand by a daily simulator that puts test, exchange and backwash at
    the day's end, with uptake that varies with the level; hence the allowance.
    """
    habit = Habit(1020.0, 0.25, 10.0, source_mg_l=8.0)
    with_them = steady_cycle(Ways(habit, 60.0, 3.0), 2.57)
    without = steady_cycle(Ways(habit), 2.57)
    assert with_them.peak_mg_l == pytest.approx(69.9, abs=1.5)
    assert with_them.trough_mg_l == pytest.approx(51.7, abs=2.5)
    assert with_them.mean_mg_l == pytest.approx(60.9, abs=1.5)
    assert without.peak_mg_l == pytest.approx(110.0, abs=1.5)
    assert Ways(habit, 60.0, 3.0).backwash_fraction == pytest.approx(0.059, abs=5e-4)
    assert ways_water_l_day(Ways(habit, 60.0, 3.0)) == pytest.approx(25.5 + 20.0)


def test_ways_put_into_one_part():
    vat = Ways(Habit(1020.0, 0.25, 10.0, drip_l_day=10.2), 60.0, 5.0)
    left = 0.75 * (1.0 - 60.0 / 1020.0) ** 2 * math.exp(-0.1)
    assert part_per_interval(vat) == pytest.approx(1.0 - left)


@given(st.floats(0.05, 0.8), st.integers(1, 20), st.integers(1, 15), st.floats(0.1, 5))
def test_another_way_out_never_raises_the_level(part, days, every, rate):
    habit = Habit(250.0, part, float(days), source_mg_l=6.0)
    alone = steady_cycle(Ways(habit), rate)
    both = steady_cycle(Ways(habit, 12.0, float(every)), rate)
    sawtooth = long_run(habit, rate)
    assert alone.peak_mg_l == pytest.approx(sawtooth.peak_mg_l, rel=1e-9)
    assert alone.mean_mg_l == pytest.approx(sawtooth.mean_mg_l, rel=1e-9)
    assert both.peak_mg_l < alone.peak_mg_l
    assert both.trough_mg_l >= 6.0


def test_a_cycle_is_repeated_and_cut_to_the_days_wanted():
    run = steady_cycle(Ways(Habit(200.0, 0.25, 7.0)), 1.0)
    days, levels = run.stretch(30.0)
    assert days[-1] == pytest.approx(30.0, abs=0.51)
    assert len(days) == len(levels)
    assert np.all(np.diff(days) >= 0)
    assert float(levels.max()) == pytest.approx(28.0)
