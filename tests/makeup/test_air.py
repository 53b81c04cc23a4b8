"""What passes between water and air: oxygen in, vapour out."""

from __future__ import annotations

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97

from kit.errors import PlanError
from kit.makeup.evaporation import evaporation_guess, vapour_pressure_kpa
from kit.makeup.oxygen import oxygen_saturation_mg_l


def test_oxygen_against_the_printed_table():
    # EN 25814, fresh water at 1013 hPa, mg/L.
    for celsius, printed in ((20.0, 9.09), (25.0, 8.26), (28.0, 7.83), (30.0, 7.56)):
        assert oxygen_saturation_mg_l(celsius) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize("salinity", [0.0, 10.0, 35.0])
def test_oxygen_against_gsw(salinity):
    celsius = np.arange(0.0, 36.0, 5.0)
    mol_mass = 31.998  # O2, IUPAC
    density = gsw.rho_t_exact(salinity * 35.16504 / 35, celsius, 0.0) / 1000
    exact = gsw.O2sol_SP_pt(salinity, celsius) * mol_mass / 1000 * density
    assert oxygen_saturation_mg_l(celsius, salinity) == pytest.approx(exact, abs=0.005)


@given(st.floats(0.0, 39.0), st.floats(0.0, 39.0))
def test_warm_and_salt_water_hold_less(celsius, salinity):
    held = oxygen_saturation_mg_l(celsius, salinity)
    assert oxygen_saturation_mg_l(celsius + 1.0, salinity) < held
    assert oxygen_saturation_mg_l(celsius, salinity + 1.0) < held


@pytest.mark.parametrize("celsius", [10.0, 20.0, 25.0, 26.0, 28.0, 35.0])
def test_vapour_pressure_against_iapws(celsius):
    exact = IAPWS97(T=celsius + 273.15, x=0).P * 1000
    assert vapour_pressure_kpa(celsius) == pytest.approx(exact, rel=0.002)


@pytest.mark.parametrize(("square_m", "litres"), [(0.5, 2.37), (0.3, 1.42)])
def test_the_ashrae_formula_worked_by_hand(square_m, litres):
    # Water 26 °C, air 22 °C at 50 %, still. IAPWS: 3363.7 - 0.5 x 2644.8 = 2041 Pa;
    # 0.0885 x 2041 = 180.6 W/m2 over 2439.3 kJ/kg; 74 % of it over quiet water.
    guess = evaporation_guess(square_m, 26.0, 22.0, 0.5)
    by_hand = 0.74 * 0.0885 * 2041 * square_m * 86_400 / 2_439_300
    assert by_hand == pytest.approx(litres, abs=0.01)
    assert guess.guess_l_day == pytest.approx(by_hand, rel=0.005)
    # The constants in SI follow from the printed ones: 95 and 0.425 in Btu, ft2, inHg
    # and ft/min, with 1 Btu/h = 0.29307 W, 1 ft2 = 0.092903 m2, 1 inHg = 3386.39 Pa.
    printed = 0.29307 / 0.092903 / 3386.39
    assert 95 * printed == pytest.approx(0.0885, abs=5e-5)
    assert 0.425 * printed * 196.850 == pytest.approx(0.0779, abs=5e-5)


def test_a_logged_top_up_is_held_against_it_to_a_factor_of_two():
    guess = evaporation_guess(0.5, 26.0, 22.0, 0.5)
    assert guess.agrees(3.0)
    assert guess.agrees(1.3)
    assert not guess.agrees(0.8)
    assert not guess.agrees(8.0)


def test_wind_a_lid_and_damp_air_each_do_their_part():
    still = evaporation_guess(0.5, 26.0, 22.0).guess_l_day
    assert evaporation_guess(0.5, 26.0, 22.0, wind_m_s=1.0).guess_l_day > still
    assert evaporation_guess(0.0, 26.0, 22.0).guess_l_day == 0.0
    assert evaporation_guess(0.5, 26.0, 22.0, 0.9).guess_l_day < still
    # No dew is counted: cool water in a damp warm room loses nothing.
    assert evaporation_guess(0.5, 15.0, 28.0, 0.9).guess_l_day == 0.0


def test_a_humidity_past_one_is_refused():
    with pytest.raises(PlanError, match="between 0 and 100 percent"):
        evaporation_guess(0.5, 26.0, 22.0, 50.0)
