"""A loss in the tank: found where the level climbs far, and only there.

The tanks are lived through by scipy's integrator, which knows nothing of the kit.
"""

import datetime as dt

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from kit import fit
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.subject import subject_of

DAY0 = dt.date(2026, 1, 5)
SOURCE = 5.0


def lived(rate, loss, weeks, *, fraction=0.0, drip=0.0, start=30.0, seed=1):
    """Log of a tank with a test a week, and its true level at each."""
    rng = np.random.default_rng(seed)
    volume, level, levels = 200.0, start, []
    tests, exchanges = [], []

    def slope(_, c):
        return rate - loss * c + drip / volume * (SOURCE - c)

    for week in range(weeks):
        day = DAY0 + dt.timedelta(7 * week)
        levels.append(level)
        read = level * (1 + 0.08 * rng.standard_normal())
        value = float(round(read))
        low, high = value - 0.5, value + 0.5
        tests.append(
            Test(day, dt.time(18), low, high, value, f"{value:g}", "t.csv", week + 2)
        )
        if fraction:
            exchanges.append(
                Exchange(day, dt.time(19), fraction, None, "e.csv", week + 2)
            )
            level += fraction * (SOURCE - level)
        level = float(solve_ivp(slope, (0, 7), [level], rtol=1e-8).y[0, -1])
    tank = Tank(
        volume_l=volume,
        source_nitrate_mg_l=SOURCE,
        kit_resolution_mg_l=1.0,
        drip_l_day=drip,
    )
    return Logbook(tank, tuple(tests), tuple(exchanges)), np.array(levels)


@pytest.fixture(scope="module")
def climbed():
    """Nine months without an exchange: 1.5 mg/L a day come in, 1 % of all is lost."""
    log, levels = lived(1.5, 0.01, 39)
    return log, levels, fit.rate(log)


def test_a_climb_that_slows_shows_the_loss(climbed):
    _, levels, result = climbed
    loss = result.loss_per_day
    assert loss is not None
    assert loss.low < 0.01 < loss.high
    assert result.usual_rate.low < 1.5 < result.usual_rate.high
    assert result.level_now.low < levels[-1] < result.level_now.high
    # Without a loss the line would end far above: 30 + 1.5 x 266 days = 429 mg/L.
    assert result.level_now.high < 200.0


def test_the_net_rate_is_the_rise_that_came_about(climbed):
    _, levels, result = climbed
    true = (levels[-1] - levels[0]) / (7 * 38)
    assert result.net_rate.low < true < result.net_rate.high
    assert result.net_rate.high < 1.0


def test_the_loss_is_said_and_plans_carry_it(climbed):
    log, _, result = climbed
    said = " ".join(result.statements)
    assert "The rise slows as nitrate climbs" in said
    assert "not logged look the same" in said
    assert "from a loss in the tank" not in said
    habit = subject_of(log, result).habit
    assert habit.loss_per_day == result.loss_per_day.estimate


def test_a_steady_climb_has_no_loss():
    log, levels = lived(1.0, 0.0, 39)
    result = fit.rate(log)
    assert result.loss_per_day is None
    assert result.level_now.low < levels[-1] < result.level_now.high


def test_a_steady_sawtooth_does_not_tell_a_loss():
    log, _ = lived(1.5, 0.01, 39, fraction=0.3, start=40.0)
    result = fit.rate(log)
    assert result.loss_per_day is None
    assert "from a loss in the tank" in " ".join(result.statements)


def test_with_a_drip_a_loss_is_the_drips():
    log, _ = lived(1.5, 0.01, 39, drip=2.0)
    assert fit.rate(log).loss_per_day is None
