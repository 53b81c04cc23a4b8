"""Plans: uncertainty carried through, solved habits, and the level from now on."""

import math
from dataclasses import replace

import numpy as np
import pytest

from kit.errors import PlanError
from kit.plan import plan, solve_interval, solve_percent
from kit.sawtooth import Habit

V = 200.0
WEEKLY = Habit(V, 0.25, 7.0, source_mg_l=10.0)
# The normal distribution's 2.5, 50 and 97.5 % points, from any table: 1.959964.
RATES = np.random.default_rng(1).normal(1.0, 0.1, 40_000)


def test_bands_follow_from_the_rates():
    """Peak is 10 + g 28 at 25 % a week, so its band is 28 times the rate's."""
    p = plan(WEEKLY, 1.0, RATES, ceiling_mg_l=40.0)
    assert p.peak_mg_l.estimate == 38.0
    assert p.peak_mg_l.low == pytest.approx(10 + 28 * (1 - 0.1959964), abs=0.1)
    assert p.peak_mg_l.high == pytest.approx(10 + 28 * (1 + 0.1959964), abs=0.1)
    # g < 30/28: the normal distribution below 0.7143 standard deviations, 0.7625.
    assert p.chance_under_ceiling == pytest.approx(0.7625, abs=0.01)
    assert p.litres_month == pytest.approx(V * 0.25 / 7 * 30.4375)
    assert p.days_to_95 == pytest.approx(7 * math.log(0.05) / math.log(0.75))


def test_without_draws_there_is_no_chance():
    p = plan(WEEKLY, 1.0, ceiling_mg_l=40.0)
    assert p.chance_under_ceiling is None
    assert p.peak_mg_l.low == p.peak_mg_l.high == 38.0


def test_nothing_that_holds_the_level_has_no_limit():
    p = plan(replace(WEEKLY, fraction=0.0), 1.0, RATES)
    assert math.isinf(p.peak_mg_l.estimate)
    assert math.isinf(p.cycles_to_95)


def test_a_surer_percent_is_larger_by_the_rates_own_quantile():
    middle = solve_percent(WEEKLY, 1.0, 40.0)
    surer = solve_percent(WEEKLY, 1.0, 40.0, rate_draws=RATES, chance=0.9)
    # Without a drip f = g T/(ceiling - Cs): 90 % point of the rate is 1 + 0.12816.
    assert middle.fraction == pytest.approx(7 / 30)
    assert surer.fraction == pytest.approx(7 / 30 * 1.12816, rel=0.01)
    chance = plan(surer, 1.0, RATES, ceiling_mg_l=40.0).chance_under_ceiling
    assert chance == pytest.approx(0.9, abs=0.005)


def test_a_limit_at_once_is_kept_with_what_it_would_take():
    with pytest.raises(PlanError, match=r"more than your limit of 20 % at once\. 20 %"):
        solve_percent(WEEKLY, 1.0, 40.0, max_percent=20.0)
    # f (ceiling - Cs)/g = 0.2 x 30 days.
    with pytest.raises(PlanError, match=r"every 6\.0 days"):
        solve_percent(WEEKLY, 1.0, 40.0, max_percent=20.0)


def test_interval_for_a_percent():
    found = solve_interval(WEEKLY, 1.0, 40.0)
    assert found.interval_days == pytest.approx(0.25 * 30)
    with pytest.raises(PlanError, match="stays under 40 mg/L without any exchange"):
        solve_interval(WEEKLY, -0.2, 40.0)


def test_basis_does_not_matter():
    """In NO3-N every level is 4.4268 times smaller and the percent is the same."""
    f = solve_percent(WEEKLY, 1.0, 40.0).fraction
    small = replace(WEEKLY, source_mg_l=10 / 4.4268)
    assert solve_percent(small, 1 / 4.4268, 40 / 4.4268).fraction == pytest.approx(f)


# A steady log fixes Cs + gT/f and neither alone: what comes with the water, the tank
# need not make.
def test_rate_and_new_water_of_a_draw_go_together():
    errors = np.linspace(-3.0, 3.0, 101)
    rates = 1.0 - errors * WEEKLY.fraction / WEEKLY.interval_days
    apart = plan(WEEKLY, 1.0, rates)
    together = plan(WEEKLY, 1.0, rates, source_errors=errors)
    assert apart.peak_mg_l.high - apart.peak_mg_l.low > 5.0
    assert together.peak_mg_l.high - together.peak_mg_l.low < 1e-9
