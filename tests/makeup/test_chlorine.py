"""Chlorine of untreated water: the stirred tank, the criteria, and its nitrogen."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from scipy.integrate import solve_ivp

from kit import sources
from kit.errors import PlanError
from kit.makeup import chlorine


# ug/L for a tap of 1 mg/L, computed anew: q C / (k + q) with q = 0.02, 0.05, 0.10 and
# k = 1, 5, 20 a day.
@pytest.mark.parametrize(
    ("percent", "levels"),
    [(2.0, (20, 4, 1)), (5.0, (48, 10, 2.5)), (10.0, (91, 20, 5))],
)
def test_an_untreated_drip(percent, levels):
    found = chlorine.drip_level_mg_l(
        percent + np.zeros(3), 100.0, 1.0, np.array([1.0, 5.0, 20.0])
    )
    assert 1000 * found == pytest.approx(np.array(levels), rel=0.03)


def test_the_steady_level_against_an_integrator():
    drip, volume, tap, k = 22.0, 262.0, 1.3, 2.0
    run = solve_ivp(
        lambda _t, c: drip / volume * (tap - c) - k * c,
        (0.0, 60.0),
        [0.0],
        rtol=1e-10,
        atol=1e-12,
    )
    assert chlorine.drip_level_mg_l(drip, volume, tap, k) == pytest.approx(
        run.y[0, -1], rel=1e-6
    )


def test_a_batch_of_30_percent_is_300_micrograms_at_once():
    assert chlorine.batch_level_mg_l(0.3, 1.0) == pytest.approx(0.300)
    with pytest.raises(PlanError, match="between 0 and 100 percent"):
        chlorine.batch_level_mg_l(1.3, 1.0)


def test_the_criteria_are_those_of_the_source():
    # US EPA 440/5-84-030: fresh 19 and 11, salt 13 and 7.5 ug/L.
    gives = sources.SOURCES["epa_chlorine"].gives
    for criteria, acute, chronic in (
        (chlorine.CRITERIA["fresh"], "19", "11"),
        (chlorine.CRITERIA["salt"], "13", "7.5"),
    ):
        assert 1000 * criteria.acute_mg_l == pytest.approx(float(acute))
        assert 1000 * criteria.chronic_mg_l == pytest.approx(float(chronic))
        assert acute in gives
        assert chronic in gives
    assert "4.0 mg/L" in sources.SOURCES["cfr_141_65"].gives
    assert chlorine.TAP_LIMIT_MG_L == 4.0


def test_a_tap_at_its_legal_limit():
    # By hand: 0.019 / 4.0 = 0.475 % of the tank; 20 % of 4.0 is 0.8 mg/L, 42 times.
    share = chlorine.largest_untreated_fraction(chlorine.TAP_LIMIT_MG_L)
    assert 100 * share == pytest.approx(0.475)
    jump = chlorine.batch_level_mg_l(0.2, chlorine.TAP_LIMIT_MG_L)
    assert jump / chlorine.CRITERIA["fresh"].acute_mg_l == pytest.approx(42, abs=0.2)
    assert chlorine.largest_untreated_fraction(0.0) == 1.0
    assert chlorine.largest_untreated_fraction(0.001) == 1.0


def test_a_drips_range_and_its_criterion():
    found = chlorine.drip_range(5.0, 100.0, 1.0, k_per_day=(1.0, 5.0))
    assert 1000 * found.high_mg_l == pytest.approx(48, abs=0.5)
    assert 1000 * found.low_mg_l == pytest.approx(10, abs=0.5)
    assert found.can_pass_chronic
    calm = chlorine.drip_range(1.0, 100.0, 0.1, k_per_day=(20.0, 1.0), water="salt")
    assert not calm.can_pass_chronic
    assert calm.low_mg_l < calm.high_mg_l
    with pytest.raises(PlanError, match="fresh or salt"):
        chlorine.drip_range(1.0, 100.0, 0.1, water="soda")
    with pytest.raises(PlanError, match="more than 0 L"):
        chlorine.drip_range(1.0, 0.0, 0.1)


def test_no_drip_and_no_decay_is_no_chlorine():
    assert chlorine.drip_level_mg_l(0.0, 100.0, 1.0, 0.0) == 0.0
    assert chlorine.drip_level_mg_l(1.0, 100.0, 1.0, 0.0) == pytest.approx(1.0)


def test_days_until_it_is_gone():
    # By hand: half of it is gone after ln 2 / k.
    assert chlorine.days_until(1.0, 0.5, 2.0) == pytest.approx(math.log(2) / 2)
    assert chlorine.days_until(0.01, 0.019, 2.0) == 0.0
    assert chlorine.days_until(0.3, 0.019, 0.0) == math.inf


def test_the_nitrogen_of_chloramine_against_molmass():
    ratio = Formula("Cl2").mass / Formula("N").mass
    assert ratio == pytest.approx(5.06, abs=0.005)
    ammonia = chlorine.chloramine_ammonia_n_mg_l(2.0)
    assert ammonia == pytest.approx(2.0 / ratio, rel=1e-4)
    nitrate = 2.0 / ratio * Formula("NO3").mass / Formula("N").mass
    assert chlorine.chloramine_nitrate_mg_l(2.0) == pytest.approx(nitrate, rel=2e-4)
    assert nitrate == pytest.approx(1.75, abs=0.005)


@given(
    st.floats(0.0, 100.0),
    st.floats(1.0, 1000.0),
    st.floats(0.0, 4.0),
    st.floats(0.01, 50.0),
)
def test_never_more_than_the_tap_and_less_the_faster_it_goes(drip, volume, tap, k):
    level = chlorine.drip_level_mg_l(drip, volume, tap, k)
    assert 0.0 <= level <= tap
    assert chlorine.drip_level_mg_l(drip, volume, tap, 2 * k) <= level
