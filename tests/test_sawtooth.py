"""Long runs and their inverses against published tables and worked examples."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.tsa.arima_process import ArmaProcess

from kit.balance import Exchanged, Flow, Observed, carry, link
from kit.errors import PlanError
from kit.sawtooth import Habit, fraction_for, interval_for, long_run, peak_spread

V = 100.0


# Periodic steady state by scipy solve_ivp at rtol 1e-11, to the printed digits.
@pytest.mark.parametrize(
    ("rate", "decay", "fraction", "days", "source", "peak", "trough", "mean"),
    [
        (2, 0.02, 0.2, 30, 5, 85.432803, 69.346242, 78.189066),
        (2, 0.01, 0.25, 14, 5, 80.085504, 61.314128, 70.918744),
        (3, 0.05, 0.3, 14, 10, 56.298791, 42.409154, 50.157661),
        (1, 1 / 30, 0.2, 30, 0, 26.872201, 21.497761, 24.625560),
    ],
)
def test_batch_and_drip(rate, decay, fraction, days, source, peak, trough, mean):
    habit = Habit(V, fraction, days, source, drip_l_day=decay * V)
    run = long_run(habit, rate)
    got = (run.peak_mg_l, run.trough_mg_l, run.mean_mg_l)
    assert got == pytest.approx((peak, trough, mean), abs=1e-6)
    assert fraction_for(habit, rate, peak) == pytest.approx(fraction, abs=1e-7)
    assert interval_for(habit, rate, peak) == pytest.approx(days, rel=1e-7)


def test_limits_of_the_closed_form():
    """D to 0 gives the batch formula, f to 0 the drip's level, f 1 a full exchange."""
    batch = long_run(Habit(V, 0.2, 7, 5.0), 2.0)
    assert (batch.peak_mg_l, batch.trough_mg_l) == pytest.approx((75.0, 61.0))
    nearly = long_run(Habit(V, 0.2, 7, 5.0, drip_l_day=1e-9), 2.0)
    assert nearly.peak_mg_l == pytest.approx(75.0, abs=1e-6)
    assert nearly.mean_mg_l == pytest.approx(68.0, abs=1e-5)
    drip = long_run(Habit(V, 0.0, 7, 5.0, drip_l_day=2.0), 2.0)
    assert drip.peak_mg_l == drip.trough_mg_l == pytest.approx(105.0)
    full = long_run(Habit(V, 1.0, 7, 5.0), 2.0)
    assert (full.peak_mg_l, full.trough_mg_l) == (19.0, 5.0)
    assert full.cycles_to_95 == 0.0
    tiny = long_run(Habit(V, 0.02 * 1e-6, 1e-6, 5.0), 2.0)
    assert tiny.peak_mg_l == pytest.approx(105.0, rel=1e-6)


# Bourne, A First Course in Pharmacokinetics and Biopharmaceutics, ch. 14: half-life
# 4 h,
# 100 mg every 6 h into 10 L: plateau 15.5 and 5.48 mg/L printed (their 5.48 from a
# rounded R); exact 15.4691816, 5.4691816, mean Dose/(V k tau) 9.6179670. A dose is an
# exchange without water: rise dose/V at once, so the level just before it is the
# trough.
def test_bourne_multiple_dosing():
    k, tau, rise = math.log(2) / 4, 6.0, 10.0
    flow = Flow(tau, V, inflow_l_day=k * V, overflow_l_day=k * V)
    low = carry(link([flow] * 1 + [Observed()]), start_mg_l=15.4691816)[0]
    assert low == pytest.approx(5.4691816, abs=1e-6)
    assert low + rise == pytest.approx(15.4691816, abs=1e-6)
    # The same series read as our sawtooth: what is left of each interval's rise.
    left = math.exp(-k * tau)
    habit = Habit(V, 1 - left, 1.0)
    run = long_run(habit, rise)
    assert run.peak_mg_l == pytest.approx(15.4691816, abs=1e-6)
    assert run.trough_mg_l == pytest.approx(5.4691816, abs=1e-6)


# Same chapter: k 0.15/h, V 25 L, tau 8 h, wanted maximum 35: R 0.3011942, dose
# 611.455 mg
# (printed 612); rounded to 600 mg gives 34.344 / 10.344.
def test_bourne_maintenance_dose():
    left = math.exp(-0.15 * 8)
    run = long_run(Habit(25.0, 1 - left, 1.0), 611.455 / 25)
    assert run.peak_mg_l == pytest.approx(35.0, abs=1e-4)
    run = long_run(Habit(25.0, 1 - left, 1.0), 600.0 / 25)
    assert (run.peak_mg_l, run.trough_mg_l) == pytest.approx((34.344, 10.344), abs=5e-4)


# n = ln 0.05/ln(1 - f): a table of the geometric approach.
@pytest.mark.parametrize(
    ("fraction", "cycles"),
    [(0.1, 28.4), (0.2, 13.4), (0.25, 10.4), (0.5, 4.3), (0.75, 2.2), (0.9, 1.3)],
)
def test_cycles_to_95(fraction, cycles):
    run = long_run(Habit(V, fraction, 7), 1.0)
    assert run.cycles_to_95 == pytest.approx(cycles, abs=0.05)


# Cap 40, P 2, tap 5: f = P T/(L - Ct).
@pytest.mark.parametrize(
    ("days", "fraction", "trough"), [(3, 0.171429, 34), (7, 0.4, 26), (14, 0.8, 12)]
)
def test_percent_for_a_ceiling(days, fraction, trough):
    habit = Habit(V, 0.0, days, 5.0)
    got = fraction_for(habit, 2.0, 40.0)
    assert got == pytest.approx(fraction, abs=1e-6)
    run = long_run(replace(habit, fraction=got), 2.0)
    assert (run.peak_mg_l, run.trough_mg_l) == pytest.approx((40.0, trough), abs=0.01)


def test_percent_with_a_drip():
    # Drip 1 %/d, T 14, cap 40: 0.7084336, trough 15.204823 (scipy root of the series).
    habit = Habit(V, 0.0, 14, 5.0, drip_l_day=1.0)
    got = fraction_for(habit, 2.0, 40.0)
    assert got == pytest.approx(0.7084336, abs=1e-7)
    run = long_run(replace(habit, fraction=got), 2.0)
    assert run.trough_mg_l == pytest.approx(15.204823, abs=1e-6)


def test_what_cannot_be_held_is_refused_with_why():
    with pytest.raises(PlanError, match="even changing all the water"):
        fraction_for(Habit(V, 0.0, 30, 5.0), 2.0, 40.0)
    with pytest.raises(PlanError, match="already holds 45 mg/L"):
        fraction_for(Habit(V, 0.0, 7, 45.0), 2.0, 40.0)
    with pytest.raises(PlanError, match="already holds 40 mg/L"):
        interval_for(Habit(V, 0.5, 7, 40.0), 2.0, 40.0)
    with pytest.raises(PlanError, match="Without an exchange"):
        interval_for(Habit(V, 0.0, 7, 5.0), 2.0, 40.0)
    assert fraction_for(Habit(V, 0.0, 7, 5.0), -0.1, 40.0) == 0.0
    assert interval_for(Habit(V, 0.2, 7, 5.0), -0.1, 40.0) == math.inf


# Weekly against monthly 20 % without a drip: 35.0 g and 152.2 g above the source, ratio
# 30.44/7; with a drip of 2 % V/d 21.5 and 40.4. The habits are common practice, no
# source; the arithmetic follows from the series.
@pytest.mark.parametrize(
    ("drip", "weekly", "monthly"), [(0, 35.0, 152.2), (2, 21.5, 40.4), (5, 13.5, 18.9)]
)
def test_common_habits_compared(drip, weekly, monthly):
    run = [
        long_run(Habit(V, 0.2, days, drip_l_day=drip), 1.0).peak_mg_l
        for days in (7, 30.4375)
    ]
    assert run == pytest.approx([weekly, monthly], abs=0.06)


habits = st.builds(
    Habit,
    volume_l=st.floats(10, 5000),
    fraction=st.floats(0.01, 1.0),
    interval_days=st.floats(0.2, 60),
    source_mg_l=st.floats(0, 50),
    drip_l_day=st.floats(0, 100),
)


@given(st.floats(0.01, 5), st.floats(0.2, 40), st.floats(0, 40), st.floats(0.05, 4))
def test_equal_water_gives_equal_peak_and_drip_level(per_day, days, source, rate):
    """Peak of batches of w litres a day is the level a drip of w settles at."""
    assume(per_day / 100 * days <= 1)
    batch = long_run(Habit(V, per_day / 100 * days, days, source), rate)
    drip = long_run(Habit(V, 0.0, days, source, drip_l_day=per_day / 100 * V), rate)
    assert batch.peak_mg_l == pytest.approx(drip.peak_mg_l, rel=1e-9)
    assert batch.mean_mg_l == pytest.approx(
        drip.mean_mg_l - rate * days / 2, rel=1e-6, abs=1e-6
    )


@given(habits, st.floats(-3, 10))
def test_the_long_run_repeats_itself(habit, rate):
    """One more cycle from the long run's own level ends where it began."""
    run = long_run(habit, rate)
    after = run.trough_mg_l if rate >= 0 else None
    assume(after is not None and habit.source_mg_l <= run.peak_mg_l)
    flow = Flow(
        habit.interval_days,
        habit.volume_l,
        inflow_l_day=habit.inflow_l_day,
        overflow_l_day=habit.overflow_l_day,
        source_mg_l=habit.source_mg_l,
    )
    steps = [flow, Observed(), Exchanged(habit.fraction, habit.source_mg_l), Observed()]
    got = carry(link(steps), start_mg_l=after, base_mg_l_day=rate)
    assert got == pytest.approx([run.peak_mg_l, after], rel=1e-7, abs=1e-7)


@given(habits, st.floats(-4, 3))
def test_mean_is_the_area_under_the_cycle(habit, rate):
    """Mean over time against the trapezoid rule on a fine grid, floor included."""
    run = long_run(habit, rate)
    after = run.trough_mg_l if run.trough_mg_l < run.peak_mg_l else run.peak_mg_l
    cycle = long_run(habit, rate)
    before = _before(habit, rate)
    after = (1 - habit.fraction) * before + habit.fraction * habit.source_mg_l
    n = 4000
    flow = Flow(
        habit.interval_days / n,
        habit.volume_l,
        inflow_l_day=habit.inflow_l_day,
        overflow_l_day=habit.overflow_l_day,
        source_mg_l=habit.source_mg_l,
    )
    path = carry(
        link([Observed(), *[flow, Observed()] * n]),
        start_mg_l=after,
        base_mg_l_day=rate,
    )
    area = (path[:-1] + path[1:]).mean() / 2
    assert cycle.mean_mg_l == pytest.approx(
        area, rel=1e-3, abs=2e-3 * path.max() + 1e-9
    )


def _before(habit, rate):
    """Level before an exchange after very many cycles, by repetition."""
    x = habit.source_mg_l
    flow = Flow(
        habit.interval_days,
        habit.volume_l,
        inflow_l_day=habit.inflow_l_day,
        overflow_l_day=habit.overflow_l_day,
        source_mg_l=habit.source_mg_l,
    )
    chain = link(
        [flow, Exchanged(habit.fraction, habit.source_mg_l)] * 40 + [flow, Observed()]
    )
    for _ in range(60):
        x = carry(chain, start_mg_l=x, base_mg_l_day=rate)[0]
        x = (1 - habit.fraction) * x + habit.fraction * habit.source_mg_l
    return carry(link([flow, Observed()]), start_mg_l=x, base_mg_l_day=rate)[0]


@given(habits, st.floats(0.01, 5))
def test_inverses_undo_the_forward_sum(habit, rate):
    peak = long_run(habit, rate).peak_mg_l
    assume(peak > habit.source_mg_l * (1 + 1e-6) + 1e-3)
    assume(habit.income(rate) - habit.decay_per_day * peak > 1e-9)
    assert fraction_for(habit, rate, peak) == pytest.approx(habit.fraction, rel=1e-5)
    assert interval_for(habit, rate, peak) == pytest.approx(
        habit.interval_days, rel=1e-4
    )


@given(habits, st.floats(0.01, 5), st.floats(1.01, 3))
def test_more_water_never_means_more_nitrate(habit, rate, more):
    assume(habit.fraction * more <= 1)
    less = long_run(habit, rate).peak_mg_l
    assert long_run(
        replace(habit, fraction=habit.fraction * more), rate
    ).peak_mg_l <= less * (1 + 1e-9)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"volume_l": 0.0}, "volume must be more than 0"),
        ({"fraction": 1.2}, "between 0 and 100 percent"),
        ({"interval_days": 0.0}, "more than 0 days"),
        ({"drip_l_day": -1.0}, "cannot be negative"),
    ],
)
def test_impossible_habits_are_refused(change, message):
    with pytest.raises(PlanError, match=message):
        replace(Habit(V, 0.2, 7.0), **change)


def test_with_nothing_coming_or_going_the_level_stays():
    run = long_run(Habit(V, 0.0, 7.0, 10.0), 0.0)
    assert math.isnan(run.peak_mg_l)
    assert math.isinf(run.cycles_to_95)


@pytest.mark.parametrize("fraction", [0.1, 0.25, 0.5, 0.9])
def test_single_peaks_scatter_as_an_autoregression(fraction):
    """Without a drip peaks are an AR(1) in cycles: statsmodels' own variance."""
    process = ArmaProcess([1.0, -(1.0 - fraction)], [1.0])
    variance = float(process.acovf(2)[0]) * 7.0 * 0.8**2
    spread = peak_spread(Habit(V, fraction, 7.0), 0.8)
    assert spread**2 == pytest.approx(variance, rel=1e-9)


def test_single_peaks_scatter_as_days_lived_one_by_one():
    """Noise, drip and exchanges stepped a twentieth of a day at a time."""
    habit = Habit(V, 0.3, 5.0, drip_l_day=6.0)
    rng, part, level = np.random.default_rng(5), 0.05, np.zeros(4000)
    for step in range(1, 5 * 12 * 20 + 1):
        level = level * (1 - 0.06 * part) + 0.7 * math.sqrt(part) * rng.standard_normal(
            len(level)
        )
        if step % 100 == 0:
            peaks, level = level, 0.7 * level
    # The standard error of a standard deviation from 4,000 is 1.1 %.
    assert peak_spread(habit, 0.7) == pytest.approx(float(peaks.std()), rel=0.04)
    both = peak_spread(habit, np.array([0.7, 1.4]))
    assert both[1] == pytest.approx(2 * both[0])


def test_single_peaks_without_anything_leaving_scatter_without_end():
    assert peak_spread(Habit(V, 0.0, 7.0), 0.5) == math.inf
