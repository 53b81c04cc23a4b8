"""Salt: the UNESCO check values, the oceanographers' library, and keeper's sums."""

from __future__ import annotations

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95

from kit.errors import PlanError
from kit.makeup import density, salt

# Reference salinity of TEOS-10 for a practical salinity of 35. [g/kg]
SA_35 = 35.16504 / 35
salts, warmths = st.floats(0.0, 40.0), st.floats(5.0, 35.0)


@pytest.mark.parametrize(
    ("salinity", "celsius", "kg_m3"),
    # Check values printed with EOS-80 (UNESCO Technical Papers 36 and 44).
    [(0.0, 5.0, 999.96675), (35.0, 5.0, 1027.67547), (35.0, 25.0, 1023.34306)],
)
def test_the_printed_check_values(salinity, celsius, kg_m3):
    found = 1000 * density.density_kg_l(salinity, celsius)
    assert found == pytest.approx(kg_m3, abs=1e-5)


def test_density_against_teos_10():
    salinity = np.array([5.0, 10.0, 20.0, 35.0, 40.0])[:, None] + np.zeros((1, 5))
    celsius = np.array([5.0, 15.0, 20.0, 25.0, 30.0])[None, :] + np.zeros((5, 1))
    exact = gsw.rho_t_exact(salinity * SA_35, celsius, 0.0) / 1000
    found = density.density_kg_l(salinity, celsius)
    assert np.abs(found - exact).max() < 2e-5


@pytest.mark.parametrize("celsius", [4.0, 10.0, 20.0, 30.0, 35.0])
def test_pure_water_against_iapws_95(celsius):
    exact = IAPWS95(T=celsius + 273.15, P=0.101325).rho / 1000
    assert density.density_kg_l(0.0, celsius) == pytest.approx(exact, abs=1e-5)


def test_conductivity_against_gsw():
    # UNESCO (1983): 42.914 mS/cm at 15 °C is 35 by definition of the scale.
    assert density.salinity_of_conductivity(42.914, 15.0) == pytest.approx(35, abs=1e-4)
    measured = np.array([5.0, 10.0, 20.0, 35.0, 53.0, 60.0])
    for celsius in (15.0, 25.0, 28.0):
        exact = gsw.SP_from_C(measured, celsius, 0.0)
        found = density.salinity_of_conductivity(measured, celsius)
        assert found == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize(
    ("gravity", "g_kg"),
    # Gravity 25/25 by TEOS-10, worked out below in the same test.
    [(1.005, 6.6), (1.010, 13.3), (1.020, 26.6), (1.025, 33.2), (1.0264, 35.0)],
)
def test_gravity_to_salinity(gravity, g_kg):
    found = density.salinity_of_gravity(gravity)
    assert found == pytest.approx(g_kg, abs=0.05)
    exact = gsw.rho_t_exact(found * SA_35, 25.0, 0.0) / gsw.rho_t_exact(0.0, 25.0, 0.0)
    assert exact == pytest.approx(gravity, abs=2e-5)


@given(salts, warmths, st.sampled_from([15.0, 15.5556, 20.0, 25.0]))
def test_gravity_there_and_back(salinity, celsius, reference):
    gravity = density.gravity_of(salinity, celsius, reference)
    back = density.salinity_of_gravity(gravity, celsius, reference)
    assert back == pytest.approx(salinity, abs=1e-6)


def test_gravity_of_many_and_of_none():
    many = density.salinity_of_gravity(np.array([1.0, 1.005, 1.025]))
    assert many.shape == (3,)
    assert many[0] == 0.0
    for wrong in (0.5, 1.2, float("nan")):
        with pytest.raises(PlanError, match="specific gravity"):
            density.salinity_of_gravity(wrong)


def test_salt_in_a_litre_of_sea():
    # TEOS-10: 35 g/kg at 25 °C, 1.0233 kg/L, 35.8 g in a litre.
    exact = 35.0 * gsw.rho_t_exact(35 * SA_35, 25.0, 0.0) / 1000
    assert salt.salt_g_l(35.0) == pytest.approx(exact, abs=0.01)
    assert exact == pytest.approx(35.8, abs=0.05)


def test_the_brackish_dose():
    # Computed anew: a quarter of 149 L is 37.25 L; gravity 1.005 is 6.633 g/kg, at
    # 1.0020 kg/L (TEOS-10) 6.646 g/L; 37.25 x 6.646 = 247.6 g.
    target = density.salinity_of_gravity(1.005)
    assert salt.exchange_dose_g(37.25, target) == pytest.approx(247.6, abs=0.5)
    assert round(salt.from_the_bag_g(salt.exchange_dose_g(37.25, target), 0.05)) == 261


def test_salty_new_water_needs_less_and_never_less_than_none():
    assert salt.exchange_dose_g(10.0, 5.0, new_water_g_kg=5.0) == 0.0
    assert salt.exchange_dose_g(10.0, 5.0, new_water_g_kg=8.0) == 0.0
    full = salt.exchange_dose_g(10.0, 5.0)
    assert 0.0 < salt.exchange_dose_g(10.0, 5.0, new_water_g_kg=1.0) < full


@pytest.mark.parametrize(
    ("before", "volume", "lost", "after"),
    # By volumes: 6.6 x 149 / 133.6 = 7.4; 35 x 214 / 203.5 = 36.8.
    [(6.6, 149.0, 15.4, 7.4), (35.0, 214.0, 10.5, 36.8)],
)
def test_evaporation_leaves_the_salt(before, volume, lost, after):
    found = salt.salinity_after_evaporation(before, volume, lost)
    assert found == pytest.approx(after, abs=0.05)
    # And the remedy is water alone: the salt in the tank has not changed.
    held = volume * density.density_kg_l(before, 25.0)
    left = held - lost * density.density_kg_l(0.0, 25.0)
    assert found * left == pytest.approx(before * held)


@given(salts, st.floats(10.0, 2000.0), st.floats(0.0, 0.5))
def test_no_salt_is_made_or_lost_in_the_air(salinity, volume, part):
    found = salt.salinity_after_evaporation(salinity, volume, part * volume)
    assert found >= salinity
    assert found <= salinity / (1 - part) * 1.05 + 1e-9


def test_a_correction_up_and_down():
    # By hand with densities near 1: 149 L from 6.0 to 6.6 is 149 x 0.6 = 89.4 g,
    # a little more for the heavier water.
    assert salt.correction_g(149.0, 6.0, 6.6) == pytest.approx(90, abs=0.6)
    assert salt.correction_g(149.0, 6.6, 6.0) == pytest.approx(-90, abs=0.6)
    assert salt.correction_g(149.0, 6.6, 6.6) == 0.0
    part = salt.freshening_fraction(36.8, 35.0)
    assert 36.8 * (1 - part) == pytest.approx(35.0)
    assert salt.freshening_fraction(30.0, 35.0) == 0.0
    assert salt.freshening_fraction(0.0, 0.0) == 0.0


def test_topping_up_with_sea_water_creeps():
    # By hand: 3.5 L a day of 35 g/kg into 214 L.
    assert salt.creep_g_kg_day(3.5, 35.0, 214.0) == pytest.approx(122.5 / 214)
    assert salt.creep_g_kg_day(3.5, 0.0, 214.0) == 0.0


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: salt.exchange_dose_g(-1.0, 5.0),
        lambda: salt.exchange_dose_g(1.0, 5.0, new_water_g_kg=-1.0),
        lambda: salt.from_the_bag_g(10.0, 1.0),
        lambda: salt.salinity_after_evaporation(35.0, 100.0, 100.0),
    ],
)
def test_what_makes_no_sense_is_refused(wrong):
    with pytest.raises(PlanError, match=r"^[A-Z].*\.$"):
        wrong()
