"""The exact balance against scipy's integrator, published series, and its own laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.balance import (
    Exchanged,
    Flow,
    Observed,
    Resized,
    Restarted,
    carry,
    design,
    link,
)

V = 200.0


def levels(steps, **unknowns):
    return carry(link(steps), **unknowns)


# Wash-out C0 exp(-q t/V), V 200 L, q 20 L/d, C0 40: textbook stirred tank, values by
# scipy solve_ivp at rtol 1e-11.
@pytest.mark.parametrize(
    ("days", "expected"),
    [(5, 24.26123), (10, 14.71518), (20, 5.41341), (30, 1.99148), (60, 0.0991501)],
)
def test_wash_out(days, expected):
    steps = [Flow(days, V, inflow_l_day=20, overflow_l_day=20), Observed()]
    assert levels(steps, start_mg_l=40.0)[0] == pytest.approx(expected, abs=6e-6)


# Wash-in (Ct + P/D)(1 - exp(-D t)), P 2, Ct 5: same source.
@pytest.mark.parametrize(
    ("decay", "days", "expected"),
    [
        (0.05, 10, 17.706120),
        (0.05, 30, 34.959143),
        (0.05, 100, 44.696792),
        (0.01, 10, 19.508329),
        (0.01, 100, 129.584715),
    ],
)
def test_wash_in(decay, days, expected):
    flow = Flow(
        days, V, inflow_l_day=decay * V, overflow_l_day=decay * V, source_mg_l=5.0
    )
    got = levels([flow, Observed()], start_mg_l=0.0, base_mg_l_day=2.0)[0]
    assert got == pytest.approx(expected, abs=1e-6)


# (1 - f)^n: geometric series. 25 % twice is 43.75 %, not 50; 3 x 20 % is 48.8 %.
@pytest.mark.parametrize(
    ("fraction", "times", "left"),
    [(0.2, 1, 0.8), (0.2, 4, 0.4096), (0.2, 8, 0.16777216), (0.25, 2, 0.5625)],
)
def test_batches(fraction, times, left):
    steps = [Exchanged(fraction)] * times + [Observed()]
    assert levels(steps, start_mg_l=1.0)[0] == pytest.approx(left, rel=1e-12)


# Weekly peaks from 12 with P 2.2, 20 %, tap 5: the series of a published check table
# (geometric approach to 82), by hand: 12 + 2.2 x 7 = 27.4; 0.8 x 27.4 + 1 + 15.4 =
# 38.32.
def test_approach_to_the_long_run():
    steps = [Flow(7, V), Observed(), Exchanged(0.2, 5.0)] * 6
    expected = [27.4, 38.32, 47.056, 54.0448, 59.63584, 64.108672]
    got = levels(steps, start_mg_l=12.0, base_mg_l_day=2.2)
    np.testing.assert_allclose(got, expected, rtol=1e-12)


# Top-up of 2 L/d of 20 mg/L into 200 L adds 0.2 mg/L a day and dilutes nothing.
def test_top_up_adds_and_dilutes_nothing():
    flow = Flow(10, V, inflow_l_day=2.0, overflow_l_day=0.0, source_mg_l=20.0)
    assert levels([flow, Observed()], start_mg_l=30.0)[0] == pytest.approx(32.0)


def ode(parts, start, yield_mg_g, base):
    """The same tank by scipy's integrator with jumps: an independent answer."""
    level, out = start, []
    for part in parts:
        if isinstance(part, Observed):
            out.append(level)
        elif isinstance(part, Exchanged):
            level += part.fraction * (part.source_mg_l - level)
        elif isinstance(part, Flow):

            def slope(_, c, p=part):
                come = yield_mg_g * p.feed_g_day + p.inflow_l_day * p.source_mg_l
                gone = (p.overflow_l_day + p.loss_per_day * p.volume_l) * c
                return (come - gone) / p.volume_l + base

            run = solve_ivp(slope, (0, part.days), [level], rtol=1e-11, atol=1e-12)
            level = run.y[0, -1]
    return out


def test_a_whole_season_against_an_integrator():
    rng = np.random.default_rng(5)
    steps = []
    for day in range(60):
        steps.append(
            Flow(
                1.0,
                V,
                feed_g_day=rng.uniform(0, 3),
                inflow_l_day=12.0,
                overflow_l_day=9.0,
                source_mg_l=rng.uniform(0, 20),
                loss_per_day=0.004,
            )
        )
        if day % 9 == 5:
            steps += [Observed(), Exchanged(0.3, 7.0)]
    steps.append(Observed())
    got = levels(steps, start_mg_l=15.0, yield_mg_g=210.0, base_mg_l_day=0.2)
    np.testing.assert_allclose(got, ode(steps, 15.0, 210.0, 0.2), rtol=1e-9)
    d = design(link(steps))
    linear = d.start[:, 0] * 15.0 + d.feed * 210.0 + d.base * 0.2 + d.known
    np.testing.assert_allclose(linear, got, rtol=1e-10)


@pytest.mark.parametrize("fraction", [0.0, 1.0, 0.2])
@pytest.mark.parametrize("drip", [0.0, 1e-12, 5.0])
def test_ten_years_stay_finite_and_agree_with_the_closed_form(fraction, drip):
    steps = []
    for day in range(3650):
        steps.append(
            Flow(1.0, V, inflow_l_day=drip, overflow_l_day=drip, source_mg_l=5.0)
        )
        if day % 7 == 6:
            steps += [Observed(), Exchanged(fraction, 5.0)]
    got = levels(steps, start_mg_l=20.0, base_mg_l_day=1.0)
    # Geometric series written out here: x -> E ((1-f) x + f Cs) + G.
    k = drip / V
    kept = np.exp(-7 * k)
    gain = (1.0 + k * 5.0) * (7.0 if k < 1e-13 else -np.expm1(-7 * k) / k)
    x = 20.0 * kept + gain
    want = []
    for _ in range(len(got)):
        want.append(x)
        x = kept * ((1 - fraction) * x + fraction * 5.0) + gain
    np.testing.assert_allclose(got, want, rtol=1e-9)


@given(
    st.lists(
        st.tuples(st.floats(0.1, 9), st.floats(0, 30), st.floats(0, 1)),
        min_size=1,
        max_size=12,
    ),
    st.floats(0, 80),
)
def test_mass_is_conserved(days, start):
    """What is in the tank is what was in it, plus income, less what left."""
    level, mass = start, start * V
    for length, flow, fraction in days:
        steps = [
            Flow(length, V, 1.5, flow, flow, 4.0),
            Observed(),
            Exchanged(fraction, 4.0),
            Observed(),
        ]
        before, after = levels(
            steps, start_mg_l=level, yield_mg_g=200.0, base_mg_l_day=0.1
        )
        income = length * (1.5 * 200.0 + 0.1 * V + flow * 4.0)
        # Nitrate lost to the overflow, by quadrature of the level itself.
        grid = np.linspace(0, length, 401)
        c = [
            levels(
                [Flow(t, V, 1.5, flow, flow, 4.0), Observed()],
                start_mg_l=level,
                yield_mg_g=200.0,
                base_mg_l_day=0.1,
            )[0]
            for t in grid[:: 400 if flow == 0 else 8]
        ]
        gone = flow * np.trapezoid(c, grid[:: 400 if flow == 0 else 8])
        assert before * V == pytest.approx(mass + income - gone, rel=2e-3, abs=1e-6)
        mass = before * V * (1 - fraction) + fraction * V * 4.0
        level = after
        assert after * V == pytest.approx(mass, rel=1e-12, abs=1e-9)
        mass = after * V


def test_many_small_exchanges_tend_to_the_drip():
    """The drip is the limit of ever smaller and more frequent exchanges."""
    drip = levels(
        [Flow(30, V, inflow_l_day=10, overflow_l_day=10, source_mg_l=5), Observed()],
        start_mg_l=60.0,
        base_mg_l_day=1.0,
    )[0]
    gaps = []
    for n in (30, 300, 3000):
        steps = [Flow(30 / n, V), Exchanged(0.05 * 30 / n, 5.0)] * n + [Observed()]
        gaps.append(abs(levels(steps, start_mg_l=60.0, base_mg_l_day=1.0)[0] - drip))
    assert gaps[2] < gaps[1] / 8 < gaps[0] / 60
    assert gaps[2] < 0.02


def test_volume_changes():
    start = {"start_mg_l": 30.0}
    filled = levels([Resized(1.5, "filled", 6.0), Observed()], **start)
    drained = levels([Resized(0.5, "drained"), Observed()], **start)
    evaporated = levels([Resized(0.75, "evaporated"), Observed()], **start)
    # Mass balances by hand: (30 x 1 + 6 x 0.5)/1.5; unchanged; 30/0.75.
    assert [filled[0], drained[0], evaporated[0]] == pytest.approx([22.0, 30.0, 40.0])


def test_uptake_stops_at_zero():
    steps = [Flow(10, V), Observed(), Flow(5, V), Observed()]
    got = levels(steps, start_mg_l=3.0, base_mg_l_day=0.5, uptake_mg_l_day=1.0)
    assert list(got) == [0.0, 0.0]


def test_order_inside_a_day_is_the_order_given():
    before = levels([Observed(), Exchanged(0.5)], start_mg_l=40.0)[0]
    after = levels([Exchanged(0.5), Observed()], start_mg_l=40.0)[0]
    assert (before, after) == (40.0, 20.0)


def test_a_restart_parts_the_starting_levels():
    steps = [
        Observed(),
        Flow(7, V),
        Observed(),
        Exchanged(0.25, 0.0),
        Restarted(),
        Flow(3, V),
        Observed(),
        Exchanged(0.25, 8.0),
        Observed(),
    ]
    d = design(link(steps))
    np.testing.assert_allclose(d.start, [[1, 0], [1, 0], [0, 1], [0, 0.75]])
    np.testing.assert_allclose(d.base, [0, 7, 3, 2.25])
    np.testing.assert_allclose(d.known, [0, 0, 0, 2.0])
    assert d.kept.tolist() == [0, 1, 0, 0.75]
    with pytest.raises(ValueError, match="after a restart is not known"):
        carry(link(steps), start_mg_l=1.0)


def test_tank_noise_is_diluted_as_a_simulation_says():
    """Variance and covariance of wandering levels against a plain random walk."""
    steps = [
        Flow(6, V),
        Observed(),
        Exchanged(0.4),
        Flow(8, V, inflow_l_day=10, overflow_l_day=10),
        Observed(),
    ]
    d = design(link(steps))
    rng = np.random.default_rng(11)
    n, h = 40_000, 0.05
    x = np.zeros(n)
    for _ in range(round(6 / h)):
        x += rng.standard_normal(n) * h**0.5
    first = x.copy()
    x *= 0.6
    for _ in range(round(8 / h)):
        x += -0.05 * x * h + rng.standard_normal(n) * h**0.5
    v1 = d.wander[0]
    v2 = d.kept[1] ** 2 * v1 + d.wander[1]
    assert first.var() == pytest.approx(v1, rel=0.03)
    assert x.var() == pytest.approx(v2, rel=0.03)
    assert np.cov(first, x)[0, 1] == pytest.approx(d.kept[1] * v1, rel=0.05)


@pytest.mark.parametrize(
    ("step", "message"),
    [
        (Exchanged(1.2), "between 0 and 1 of the tank, not 1.2"),
        (Exchanged(-0.1), "between 0 and 1 of the tank, not -0.1"),
        (Flow(1.0, 0.0), "volume must be more than nothing"),
        (Flow(-1.0, V), "cannot be negative"),
        (Resized(0.0), "must be more than nothing, not 0.0"),
    ],
)
def test_impossible_steps_are_refused(step, message):
    with pytest.raises(ValueError, match=message):
        link([step])
