"""Many habits at once: the scalar sums, and scipy's integrator as an outside check."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.errors import PlanError
from kit.sawtooth import Habit, fraction_for, long_run, peak_spread
from kit.schedule.grid import (
    before_weights,
    fractions_for,
    long_runs,
    peak_spreads,
)

habits = st.builds(
    Habit,
    volume_l=st.floats(10, 5000),
    fraction=st.one_of(st.just(0.0), st.just(1.0), st.floats(0.001, 1.0)),
    interval_days=st.floats(0.2, 90),
    source_mg_l=st.floats(0, 60),
    drip_l_day=st.one_of(st.just(0.0), st.floats(0.05, 100)),
    evaporation_l_day=st.one_of(st.just(0.0), st.floats(0.05, 30)),
    top_up=st.sampled_from(["source", "pure", "none"]),
    loss_per_day=st.one_of(st.just(0.0), st.floats(1e-5, 0.05)),
)
rates = st.lists(st.floats(-3, 10), min_size=1, max_size=4)


@given(habits, rates, st.floats(0.5, 3.0))
def test_many_equal_one_by_one(habit, rate, longer):
    """Percent, interval, rate and source broadcast to the scalar function's values."""
    # Below this the scalar sum itself loses its digits.
    assume(not 0.0 < habit.decay_per_day < 1e-6)
    fractions = np.array([habit.fraction, min(1.0, habit.fraction * longer)])
    days = np.array([habit.interval_days, habit.interval_days * longer])
    sources = np.array([habit.source_mg_l, habit.source_mg_l / 2])
    runs = long_runs(
        habit,
        fractions[:, None, None, None],
        days[:, None, None],
        np.array(rate)[:, None],
        sources,
    )
    assert runs.peak_mg_l.shape == (2, 2, len(rate), 2)
    for (i, j, m, n), peak in np.ndenumerate(runs.peak_mg_l):
        one = replace(
            habit,
            fraction=float(fractions[i]),
            interval_days=float(days[j]),
            source_mg_l=float(sources[n]),
        )
        run = long_run(one, rate[m])
        got = (peak, runs.trough_mg_l[i, j, m, n], runs.mean_mg_l[i, j, m, n])
        want = (run.peak_mg_l, run.trough_mg_l, run.mean_mg_l)
        assert got == pytest.approx(want, rel=1e-9, abs=1e-9, nan_ok=True)
        if math.isfinite(run.peak_mg_l):
            swing = runs.swing_mg_l[i, j, m, n]
            assert swing == pytest.approx(run.peak_mg_l - run.trough_mg_l, abs=1e-9)


@given(habits, st.floats(0.01, 4))
def test_spreads_equal_one_by_one(habit, noise):
    assume(not 0.0 < habit.decay_per_day < 1e-6)
    got = noise * peak_spreads(
        habit, np.array([habit.fraction]), np.array([habit.interval_days])
    )
    want = peak_spread(habit, noise)
    if math.isfinite(want):
        assert got[0] == pytest.approx(want, rel=1e-9)


@given(habits, st.floats(-1, 8), st.floats(1, 100))
def test_needed_percents_equal_one_by_one(habit, rate, ceiling):
    got = fractions_for(
        habit,
        np.array([habit.interval_days]),
        np.array([rate]),
        np.array([habit.source_mg_l]),
        ceiling,
    )[0]
    try:
        want = fraction_for(habit, rate, ceiling)
    except PlanError:
        assert got > 1.0
        return
    assert min(got, 1.0) == pytest.approx(want, rel=1e-9, abs=1e-12)


# An ordinary habit, one with drip and evaporation, one with a loss, two that fall.
CASES = [
    (Habit(342.0, 0.4, 7.0, 5.0), 1.77),
    (Habit(262.0, 0.3, 42.0, 12.0, drip_l_day=22.0, evaporation_l_day=3.0), 2.73),
    (Habit(149.0, 0.25, 10.0, 10.0, evaporation_l_day=2.2), 0.94),
    (Habit(149.0, 0.25, 10.0, 10.0, evaporation_l_day=2.2, top_up="pure"), 0.94),
    (Habit(168.0, 0.2, 14.0, 5.0, loss_per_day=0.02), 1.3),
    (Habit(214.0, 0.5, 7.0, 30.0, drip_l_day=4.0), -2.0),
    (Habit(48.0, 0.3, 7.0, 2.0), -1.6),
]


@pytest.mark.parametrize(("habit", "rate"), CASES)
def test_against_an_integrator(habit, rate):
    """Cycles run by scipy solve_ivp (rtol 1e-10) until they repeat."""
    inflow = habit.drip_l_day
    if habit.top_up == "source":
        inflow = max(inflow, habit.evaporation_l_day)
    outflow = max(habit.drip_l_day - habit.evaporation_l_day, 0.0)
    v, cs = habit.volume_l, habit.source_mg_l

    def slope(_, y):
        c = y[0]
        rise = rate + (inflow * cs - outflow * c) / v - habit.loss_per_day * c
        return [0.0 if c <= 0.0 and rise < 0.0 else rise, c]

    def dry(_, y):
        return y[0] - 1e-13

    dry.terminal, dry.direction = True, -1
    level = cs
    for _ in range(900):
        start = (1 - habit.fraction) * level + habit.fraction * cs
        run = solve_ivp(
            slope,
            (0.0, habit.interval_days),
            [start, 0.0],
            rtol=1e-10,
            atol=1e-12,
            events=dry,
        )
        # Once at zero it stays there until the exchange.
        before = 0.0 if run.status == 1 else run.y[0, -1]
        if abs(before - level) < 1e-10:
            break
        level = before
    runs = long_runs(habit, habit.fraction, habit.interval_days, rate)
    got = [float(x) for x in (runs.peak_mg_l, runs.trough_mg_l, runs.mean_mg_l)]
    mean = run.y[1, -1] / habit.interval_days
    want = [max(before, start), min(before, start), mean]
    assert got == pytest.approx(want, rel=1e-7, abs=1e-7)


# Equal water: peak Cs + g T/f for each, mean lower by g T/2, common arithmetic of the
# geometric series (g 1 mg/L a day, source 10).
@pytest.mark.parametrize(
    ("percent", "days", "mean"), [(12.5, 3.5, 36.25), (25, 7, 34.5), (50, 14, 31)]
)
def test_equal_water_has_equal_peaks_and_unequal_means(percent, days, mean):
    runs = long_runs(Habit(200.0, 0.0, 1.0, 10.0), percent / 100, days, 1.0)
    assert float(runs.peak_mg_l) == pytest.approx(38.0)
    assert float(runs.mean_mg_l) == pytest.approx(mean)


@given(habits, st.floats(0.01, 8), st.floats(0, 30))
def test_the_level_before_is_linear_in_rate_and_source(habit, rate, source):
    f, days = np.array(habit.fraction), np.array(habit.interval_days)
    of_rate, of_source = before_weights(habit, f, days)
    run = long_run(replace(habit, source_mg_l=source), rate)
    before = float(of_rate) * rate + float(of_source) * source
    if math.isfinite(run.peak_mg_l) and math.isfinite(before):
        ends = (run.peak_mg_l, run.trough_mg_l)
        assert min(abs(before - e) for e in ends) <= 1e-9 * max(1.0, before)
