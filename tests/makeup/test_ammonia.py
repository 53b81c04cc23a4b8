"""Un-ionised ammonia: published tables, the EPA criteria, and a rescue step."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.errors import PlanError
from kit.makeup import ammonia

acids = st.floats(5.5, 9.5)
warmths = st.floats(0.0, 35.0)


# Emerson and others (1975), percent at pH 8.0 with 273.15 K; the often printed 5.38 at
# 25 °C belongs to 273.2, hence 0.02 points.
@pytest.mark.parametrize(
    ("ph", "celsius", "percent"),
    [
        (8.0, 5.0, 1.230),
        (8.0, 10.0, 1.822),
        (8.0, 15.0, 2.656),
        (8.0, 20.0, 3.807),
        (8.0, 25.0, 5.38),
        (8.0, 28.0, 6.538),
        (8.0, 30.0, 7.432),
        (7.0, 25.0, 0.564),
        (7.5, 25.0, 1.762),
        (9.0, 25.0, 36.19),
    ],
)
def test_fresh_water_against_emerson(ph, celsius, percent):
    share = ammonia.unionised_fraction(ph, celsius)
    assert 100 * share == pytest.approx(percent, abs=0.02)


def test_the_printed_row_of_ifas_fact_sheet_fa_16():
    # University of Florida IFAS, FA-16, row pH 7.0, 6 to 32 °C by 2.
    row = (
        *(0.0013, 0.0016, 0.0018, 0.0022, 0.0025, 0.0029, 0.0034),
        *(0.0039, 0.0046, 0.0052, 0.0060, 0.0069, 0.0080, 0.0093),
    )
    shares = ammonia.unionised_fraction(7.0 + np.zeros(14), np.arange(6.0, 33.0, 2.0))
    assert shares == pytest.approx(np.array(row), abs=0.0002)


def test_the_worked_example_of_ifas_fact_sheet_fa_16():
    # TAN 1.0 mg/L, 24 °C, pH 8.0: factor 0.0502, just above 0.05.
    nh3 = ammonia.unionised_mg_l(1.0, 8.0, 24.0)
    assert nh3 == pytest.approx(0.0502, abs=0.0002)
    assert nh3 > ammonia.NH3_HARM_MG_L == 0.05


def test_sea_water_against_bower_and_bidwell():
    # Bower and Bidwell (1978), S 34, pH 8.0, percent at 10, 15, 20, 25 °C.
    shares = ammonia.unionised_fraction(
        8.0 + np.zeros(4), np.array([10.0, 15.0, 20.0, 25.0]), 34.0
    )
    assert 100 * shares == pytest.approx(np.array([1.44, 2.07, 2.98, 4.28]), rel=0.02)


@pytest.mark.parametrize(
    ("ph", "acute", "chronic"),
    # US EPA (2013), EPA 822-R-13-001, at 20 °C, mg TAN/L as printed.
    [
        (6.5, 23, 2.1),
        (7.0, 17, 1.9),
        (7.5, 9.2, 1.4),
        (8.0, 3.9, 0.78),
        (8.5, 1.5, 0.35),
        (9.0, 0.62, 0.16),
    ],
)
def test_the_criteria_of_epa_2013_at_20_degrees(ph, acute, chronic):
    assert float(f"{ammonia.acute_tan_mg_l(ph, 20.0):.2g}") == acute
    assert float(f"{ammonia.chronic_tan_mg_l(ph, 20.0):.2g}") == chronic


def test_the_criteria_to_four_figures():
    # The same source's own reference point, pH 7 and 20 °C: 16.76 and 1.887.
    assert ammonia.acute_tan_mg_l(7.0, 20.0) == pytest.approx(16.76, abs=0.01)
    assert ammonia.chronic_tan_mg_l(7.0, 20.0) == pytest.approx(1.887, abs=0.001)


def test_a_rescue_that_lifts_the_ph():
    # Computed anew with the equation of Emerson at 25 °C: total 2 mg/L is 0.002 at
    # pH 6.2, 0.028 at 7.4, 0.107 at 8.0; a fifth of clean water takes a fifth off.
    def step(new_ph: float) -> ammonia.RescueStep:
        return ammonia.rescue_step(
            0.2, tan_mg_l=2.0, tank_ph=6.2, new_ph=new_ph, tank_c=25.0, new_c=25.0
        )

    for new_ph, undiluted in ((7.4, 0.028), (8.0, 0.107)):
        found = step(new_ph)
        assert found.nh3_before_mg_l == pytest.approx(0.002, abs=5e-4)
        assert found.nh3_most_mg_l == pytest.approx(0.8 * undiluted, abs=5e-4)
        assert found.nh3_after_mg_l is None
        assert found.rises
    assert not step(7.4).harms
    assert step(8.0).harms


def test_with_both_hardnesses_the_middle_is_worked_out():
    found = ammonia.rescue_step(
        0.2,
        tan_mg_l=2.0,
        tank_ph=6.2,
        new_ph=7.4,
        tank_c=25.0,
        new_c=10.0,
        tank_dkh=0.5,
        new_dkh=5.0,
    )
    assert found.temperature_c == pytest.approx(22.0)
    assert found.ph.low == 6.2 < found.ph.estimate < found.ph.high == 7.4
    assert found.nh3_before_mg_l < found.nh3_after_mg_l < found.nh3_most_mg_l
    # The heater brings the 25 °C back: 1.6 mg/L at 1.402 % of Emerson, pH 7.4.
    assert found.nh3_most_mg_l == pytest.approx(1.6 * 0.01402, rel=2e-3)


def test_salt_water_gets_no_criteria_and_no_ph_of_the_mix():
    found = ammonia.rescue_step(
        0.2,
        tan_mg_l=0.5,
        tank_ph=7.8,
        new_ph=8.2,
        tank_c=25.0,
        new_c=25.0,
        tank_dkh=4.0,
        new_dkh=8.0,
        salinity_g_kg=35.0,
    )
    assert found.ph.estimate is None
    assert found.acute_tan_mg_l is None
    assert found.chronic_tan_mg_l is None


def test_a_total_above_the_acute_criterion_harms_whatever_the_ph():
    found = ammonia.rescue_step(
        0.1, tan_mg_l=40.0, tank_ph=6.5, new_ph=6.5, tank_c=20.0, new_c=20.0
    )
    # EPA 2013 at pH 6.5 and 20 °C: 23 mg/L; 36 are left.
    assert found.nh3_most_mg_l == pytest.approx(36 * 0.00125, rel=0.03)
    assert found.nh3_most_mg_l < ammonia.NH3_HARM_MG_L
    assert found.harms
    assert not found.rises


def test_chloramine_brings_ammonia_along():
    found = ammonia.rescue_step(
        0.5,
        tan_mg_l=0.0,
        tank_ph=7.0,
        new_ph=8.0,
        tank_c=25.0,
        new_c=25.0,
        new_tan_mg_l=0.4,
    )
    assert found.tan_mg_l == pytest.approx(0.2)
    assert found.rises


@given(acids, warmths, st.floats(0.0, 40.0))
def test_more_ph_more_warmth_and_less_salt_make_more_of_it(ph, celsius, salt):
    share = ammonia.unionised_fraction(ph, celsius, salt)
    assert 0.0 < share < 1.0
    assert ammonia.unionised_fraction(ph + 0.1, celsius, salt) > share
    assert ammonia.unionised_fraction(ph, celsius + 1.0, salt) > share
    assert ammonia.unionised_fraction(ph, celsius, salt + 1.0) < share


@given(st.floats(0.0, 1.0), acids, acids, warmths, warmths)
def test_the_most_is_no_less_than_what_is_worked_out(fraction, old, new, tank_c, new_c):
    found = ammonia.rescue_step(
        fraction,
        tan_mg_l=1.0,
        tank_ph=old,
        new_ph=new,
        tank_c=tank_c,
        new_c=new_c,
        tank_dkh=3.0,
        new_dkh=8.0,
    )
    assert found.nh3_after_mg_l <= found.nh3_most_mg_l * (1 + 1e-9)
    assert found.tan_mg_l <= 1.0


def test_a_fraction_past_one_is_refused():
    with pytest.raises(PlanError, match="between 0 and 100 percent"):
        ammonia.rescue_step(
            1.1, tan_mg_l=1.0, tank_ph=7.0, new_ph=7.0, tank_c=25.0, new_c=25.0
        )
