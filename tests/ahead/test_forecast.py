"""The level ahead, against published bands and an independent way of the days."""

import math
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from handmade import fitted
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.datasets import nile

from kit.ahead import course, follow, forecast, future_draws
from kit.ahead._kit import Kit
from kit.draws import Draws
from kit.fit import Estimate
from kit.sawtooth import Habit, long_run, peak_spread

V = 200.0
WEEKLY = Habit(V, 0.25, 7.0, source_mg_l=10.0)
NONE = Habit(V, 0.0, 1000.0)


def draws(rate, level=20.0, tank=0.0, source=10.0):
    """Give draws from numbers or arrays."""
    parts = np.broadcast_arrays(
        np.asarray(rate, float), *(np.asarray(x, float) for x in (level, tank, source))
    )
    return Draws(*(np.array(p) for p in parts))


def test_starts_now_and_settles_at_the_long_run():
    rates = np.random.default_rng(1).normal(1.0, 0.1, 400)
    trace = forecast(WEEKLY, 20.0, 1.0, days=700, draws=draws(rates))
    assert trace.days[0] == 0.0
    assert trace.level[0] == trace.low[0] == trace.high[0] == 20.0
    assert trace.level[1] == 27.0
    assert trace.level[2] == pytest.approx(27 * 0.75 + 2.5)
    # A quarter a week of 1 mg/L a day over 10: peak 10 + 7/0.25.
    assert trace.level[trace.days > 600].max() == pytest.approx(38.0, abs=1e-6)
    assert (trace.low <= trace.level).all()
    assert (trace.level <= trace.high).all()


def test_with_a_drip_it_is_curved_between_exchanges():
    habit = replace(WEEKLY, drip_l_day=20.0)
    trace = forecast(habit, 40.0, 1.0, days=7, per_cycle=7)
    # The stirred tank's formula at k = 0.1: limit (1 + 1)/0.1 = 20, from 40 down.
    assert trace.level[:8] == pytest.approx(20 + 20 * np.exp(-0.1 * trace.days[:8]))
    # Then a quarter is exchanged for water of 10.
    assert trace.level[8] == pytest.approx(0.75 * trace.level[7] + 2.5)


def test_the_first_exchange_may_be_due_sooner():
    way = course(WEEKLY, 20.0, first_days=3.0)
    assert way.days[way.before].tolist() == [3.0, 10.0, 17.0]
    assert way.days[way.after].tolist() == [3.0, 10.0, 17.0]
    now = course(WEEKLY, 6.0, first_days=0.0)
    assert now.days[now.after].tolist() == [0.0]


# Durbin and Koopman (2012), Time Series Analysis by State Space Methods, sec. 2.10:
# variances of the Nile's local level, 15099 and 1469.1; bands by statsmodels'
# UnobservedComponents with the exact diffuse start.
def test_a_pure_random_walk_has_the_band_of_the_local_level_model():
    model = sm.tsa.UnobservedComponents(
        nile.load_pandas().data["volume"], "llevel", use_exact_diffuse=True
    )
    done = model.smooth([15099.0, 1469.1])
    level, spread = done.predicted_state[0, -1], done.predicted_state_cov[0, 0, -1]
    foretold = done.get_forecast(10)
    # The state is predicted one year on already: take that year's wandering off.
    n = 40_000
    z = np.random.default_rng(3).standard_normal(n)
    tank = draws(
        np.zeros(n), level + math.sqrt(spread - 1469.1) * z, math.sqrt(1469.1), 0.0
    )
    levels = follow(course(NONE, 10.0).chain, tank)[-1]
    expected = math.sqrt(spread + 9 * 1469.1)
    for tail in (0.025, 0.1):
        low, high = np.quantile(levels, [tail, 1 - tail])
        width = -2 * expected * {0.025: -1.959964, 0.1: -1.281552}[tail]
        assert high - low == pytest.approx(width, rel=0.02)
        assert (high + low) / 2 == pytest.approx(level, abs=4.0)
    # The next observation: statsmodels' own 95 and 80 % bands, with 15099 in them.
    kit = Kit(np.array([]), np.array([]), (), 1.0, 0.0, math.sqrt(15099.0))
    for alpha in (0.05, 0.2):
        ends = foretold.conf_int(alpha=alpha).iloc[-1].to_numpy()
        edges = np.array([-np.inf, *ends, np.inf])
        three = replace(kit, low=edges[:-1], high=edges[1:], shown=(0.0, 1.0, 2.0))
        share = three.likelihood(levels).mean(axis=1)
        assert share == pytest.approx([alpha / 2, 1 - alpha, alpha / 2], abs=0.006)


# US EPA (2009), Statistical Analysis of Groundwater Monitoring Data at RCRA
# Facilities, Unified Guidance, Example 21-7: 90 % two-sided limits of a linear trend.
MONTHS = np.array([2, 4, 8, 11, 13, 16, 20, 23, 26, 30.0])
PPB = np.array([54.2, 44.3, 45.4, 38.3, 27.1, 30.2, 28.3, 17.6, 14.7, 4.1])


def test_a_trend_has_the_published_band():
    line = sm.OLS(PPB, sm.add_constant(MONTHS)).fit()
    rng, n = np.random.default_rng(4), 60_000
    # With flat priors a straight line's draws are a t distribution of 8 degrees.
    z = rng.multivariate_normal([0, 0], line.cov_params(), n)
    beta = line.params + z / np.sqrt(rng.chisquare(8, (n, 1)) / 8)
    tank = draws(beta[:, 1], beta[:, 0] + 2.0 * beta[:, 1], 0.0, 0.0)
    for month, low, high in ((26.0, 9.642500, 16.900908), (30.0, 2.380887, 11.341365)):
        level = follow(course(NONE, month - 2.0).chain, tank)[-1]
        assert np.quantile(level, [0.05, 0.95]) == pytest.approx([low, high], abs=0.12)


def test_noise_of_days_and_exchanges_is_diluted_as_days_lived_one_by_one():
    habit = Habit(V, 0.4, 7.0, 5.0, drip_l_day=4.0)
    n = 20_000
    tank = draws(np.full(n, 2.0), 30.0, 1.2, 5.0)
    levels = follow(course(habit, 28.0).chain, tank, exchange_error=0.1)
    rng, lived, part = np.random.default_rng(9), np.full(8000, 30.0), 0.05
    for step in range(1, 28 * 20 + 1):
        lived = lived + part * (2.0 + 0.02 * (5.0 - lived))
        lived += 1.2 * math.sqrt(part) * rng.standard_normal(len(lived))
        if step % 140 == 0:
            part_out = 0.4 * (1 + 0.1 * rng.standard_normal(len(lived)))
            lived += part_out * (5.0 - lived)
    assert levels[-1].mean() == pytest.approx(lived.mean(), abs=0.15)
    assert levels[-1].std() == pytest.approx(lived.std(), rel=0.03)


def test_in_the_long_run_single_peaks_scatter_as_the_closed_form_says():
    way = course(WEEKLY, 40 * 7.0)
    tank = draws(np.ones(20_000), 38.0, 0.6, 10.0)
    levels = follow(way.chain, tank, exchange_error=0.0)
    last = levels[np.flatnonzero(way.before)[-1]]
    assert last.std() == pytest.approx(peak_spread(WEEKLY, 0.6), rel=0.02)
    assert last.mean() == pytest.approx(long_run(WEEKLY, 1.0).peak_mg_l, rel=0.01)


def test_what_is_not_known_of_the_source_widens_the_band():
    error = np.random.default_rng(2).normal(10.0, 2.0, 4000)
    sure, unsure = draws(np.ones(4000)), draws(np.ones(4000), source=error)
    way = course(WEEKLY, 280.0).chain
    one, two = (follow(way, d, exchange_error=0.0)[-1] for d in (sure, unsure))
    assert one.std() < 1e-9
    # In the long run each mg/L of the source lifts the level by 1.
    assert two.std() == pytest.approx(error.std(), rel=1e-3)


def test_a_source_that_the_readings_move_counts_as_moved():
    """Tests of the tank may say 8 where the tap's own said 10: each exchange tells."""
    moved = draws(np.ones(50), level=20.0, source=8.0)
    way = course(WEEKLY, 7.0).chain
    meant = follow(way, moved, exchange_error=0.0, meant_mg_l=10.0)[-1]
    # 20 + 7 = 27; a quarter exchanged for 8 leaves 20.25 + 2.
    assert meant == pytest.approx(22.25)


@given(
    rate=st.floats(-2, 4),
    level=st.floats(0, 100),
    tank=st.floats(0, 2),
    fraction=st.floats(0, 1),
    first=st.floats(0, 10),
)
def test_levels_never_fall_below_zero_and_bands_lie_in_order(
    rate, level, tank, fraction, first
):
    habit = replace(WEEKLY, fraction=fraction)
    some = draws(np.full(50, rate), level, tank)
    t = forecast(habit, level, rate, days=30, draws=some, first_days=first)
    assert (np.diff(t.days) >= 0).all()
    assert (t.low >= 0).all()
    assert (t.low <= t.low_80 + 1e-9).all()
    assert (t.low_80 <= t.high_80 + 1e-9).all()
    assert (t.high_80 <= t.high + 1e-9).all()


def test_the_same_is_said_twice():
    some = draws(np.linspace(0.9, 1.1, 300), 20.0, 0.5)
    one = forecast(WEEKLY, 20.0, 1.0, days=60, draws=some)
    two = forecast(WEEKLY, 20.0, 1.0, days=60, draws=some)
    assert (one.high == two.high).all()


def test_days_ahead_take_the_noise_of_single_days_alone():
    """A fit whose day-to-day noise is half of what its draws hold in all."""
    result = fitted(
        params={"log_tank_noise": math.log(0.25)},
        tank_noise=Estimate(0.5, 0.4, 0.6),
    )
    ahead = future_draws(result)
    assert ahead.tank_noise == pytest.approx(0.5 * result.draws.tank_noise)
    assert (ahead.rate_mg_l_day == result.draws.rate_mg_l_day).all()
    assert future_draws(fitted(tank_noise=None)) is not None
