"""Warmth of new water: steam tables, the mix by masses, and the keeper's rules."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95, IAPWS97

from kit.errors import PlanError
from kit.makeup import heat
from kit.makeup.enthalpy import mixed_temperature_by_heat_c

AIR_MPA = 0.101325
fractions = st.floats(0.0, 1.0)
warmths = st.floats(5.0, 35.0)


def steam(celsius: float) -> IAPWS95:
    return IAPWS95(T=celsius + 273.15, P=AIR_MPA)


def test_the_reference_itself_gives_the_printed_verification_point():
    # IAPWS-IF97, table 5 (region 1), T = 300 K, p = 3 MPA.
    water = IAPWS97(T=300, P=3)
    assert water.v == pytest.approx(0.100215168e-2, rel=1e-8)
    assert water.h == pytest.approx(115.331273, rel=1e-8)
    assert water.cp == pytest.approx(4.17301218, rel=1e-8)


@pytest.mark.parametrize(
    ("litres", "cold", "warm"),
    [(100.0, 10.0, 26.0), (100.0, 15.0, 25.0), (50.0, 18.0, 26.0), (300.0, 5.0, 30.0)],
)
def test_heat_of_new_water_against_iapws_95(litres, cold, warm):
    # Heat from enthalpies and the mass of the litres as they come from the tap.
    mass_kg = litres * steam(cold).rho / 1000.0
    kwh = mass_kg * (steam(warm).h - steam(cold).h) / 3600.0
    assert heat.heating_kwh(litres, cold, warm) == pytest.approx(kwh, rel=0.003)


def test_the_hours_of_a_heater():
    # 100 L from 10 to 26 °C: 1.8603 kWh by IAPWS-95, so 6.20 h at 300 W.
    hours = heat.heating_hours(heat.heating_kwh(100.0, 10.0, 26.0), 300.0)
    assert hours == pytest.approx(6.20, abs=0.01)
    with pytest.raises(PlanError, match="more than 0 W"):
        heat.heating_hours(1.0, 0.0)


def mixed_by_iapws(fraction: float, tank: float, new: float) -> float:
    old_kg, new_kg = (1 - fraction) * steam(tank).rho, fraction * steam(new).rho
    held = (old_kg * steam(tank).h + new_kg * steam(new).h) / (old_kg + new_kg)
    low, high = 0.5, 45.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if steam(middle).h < held else (low, middle)
    return low


@pytest.mark.parametrize(
    ("fraction", "tank", "new"),
    [(0.2, 26.0, 12.0), (0.5, 26.0, 10.0), (0.3, 25.0, 18.0), (0.9, 30.0, 5.0)],
)
def test_the_mix_by_masses_and_heats_against_iapws_95(fraction, tank, new):
    exact = mixed_by_iapws(fraction, tank, new)
    by_heat = mixed_temperature_by_heat_c(fraction, tank, new)
    assert by_heat == pytest.approx(exact, abs=0.005)
    assert heat.mixed_temperature_c(fraction, tank, new) == pytest.approx(
        exact, abs=0.03
    )


def test_volumes_do_as_well_as_masses_to_a_twentieth():
    share = np.linspace(0.0, 1.0, 41)[:, None] + np.zeros((1, 31))
    new = np.linspace(5.0, 35.0, 31)[None, :] + np.zeros((41, 1))
    apart = heat.mixed_temperature_c(share, 26.0, new) - (
        mixed_temperature_by_heat_c(share, 26.0, new)
    )
    assert np.abs(apart).max() < 0.05


def test_a_fifth_at_fifteen_degrees_colder_is_three_degrees():
    # By hand: 0.2 x 15 = 3.0; for 2 degrees at most 2 / 15 = 13.3 %.
    assert heat.temperature_drop_c(0.2, 25.0, 10.0) == pytest.approx(3.0)
    assert heat.largest_fraction(2.0, 25.0, 10.0) == pytest.approx(2 / 15)
    # Warmed to T it cools by 0.2 (25 - T) = 2 at T = 15.
    assert heat.temper_to_c(0.2, 25.0, 2.0) == pytest.approx(15.0)
    # Two parts of 1 - sqrt(0.8) = 10.6 % each cool by 1.6 degrees.
    assert heat.parts_needed(0.2, 25.0, 10.0, 2.0) == 2


def test_warmer_new_water_is_limited_as_well():
    assert heat.temperature_drop_c(0.2, 20.0, 30.0) == pytest.approx(-2.0)
    assert heat.largest_fraction(1.0, 20.0, 30.0) == pytest.approx(0.1)
    assert heat.heating_kwh(100.0, 30.0, 20.0) == 0.0


def test_ends_of_the_limits():
    assert heat.largest_fraction(2.0, 25.0, 25.0) == 1.0
    assert heat.parts_needed(0.2, 25.0, 25.0, 0.0) == 1
    assert heat.parts_needed(0.2, 25.0, 10.0, 0.0) is None
    assert heat.parts_needed(1.0, 25.0, 10.0, 2.0) is None
    assert heat.temper_to_c(0.0, 25.0, 2.0) == -np.inf
    with pytest.raises(PlanError, match="between 0 and 100 percent"):
        heat.temperature_drop_c(1.2, 25.0, 10.0)
    with pytest.raises(PlanError, match="cannot be negative"):
        heat.largest_fraction(-1.0, 25.0, 10.0)


@given(fractions, warmths, warmths)
def test_a_mix_lies_between_its_waters(fraction, tank, new):
    for mix in (heat.mixed_temperature_c, mixed_temperature_by_heat_c):
        mixed = mix(fraction, tank, new)
        assert min(tank, new) - 1e-6 <= mixed <= max(tank, new) + 1e-6


@given(st.floats(0.01, 0.95), warmths, warmths, st.floats(0.1, 10.0))
def test_parts_keep_the_limit_and_one_fewer_would_not(fraction, tank, new, allowed):
    parts = heat.parts_needed(fraction, tank, new, allowed)

    def change(n: int) -> float:
        return abs((1 - (1 - fraction) ** (1 / n)) * (tank - new))

    assert change(parts) <= allowed * (1 + 1e-6)
    if parts > 1:
        assert change(parts - 1) >= allowed * (1 - 1e-6)


def test_many_at_once_equal_one_at_a_time():
    share = np.array([0.1, 0.2, 0.5])
    new = np.array([8.0, 12.0, 27.0])
    for function in (
        heat.mixed_temperature_c,
        mixed_temperature_by_heat_c,
        heat.temperature_drop_c,
    ):
        many = function(share, 25.0, new)
        one = [
            function(float(s), 25.0, float(n)) for s, n in zip(share, new, strict=True)
        ]
        assert many == pytest.approx(one, rel=1e-14)
    assert heat.largest_fraction(2.0, 25.0, new) == pytest.approx(
        [heat.largest_fraction(2.0, 25.0, float(n)) for n in new]
    )
    assert heat.heating_kwh(np.array([10.0, 20.0]), 12.0, 25.0) == pytest.approx(
        [heat.heating_kwh(10.0, 12.0, 25.0), heat.heating_kwh(20.0, 12.0, 25.0)]
    )


def test_a_drip_of_22_litres_13_degrees_colder():
    # Computed anew: 22 L x 13 K x 4.186 kJ = 1197 kJ = 0.3326 kWh a day, over
    # 86,400 s 13.86 W; 22 x 4186 / 86,400 = 1.066 W a degree.
    assert heat.heating_kwh(22.0, 12.0, 25.0) == pytest.approx(1197.2 / 3600, rel=1e-3)
    assert heat.drip_heater_w(22.0, 12.0, 25.0) == pytest.approx(13.86, abs=0.01)
    assert heat.drip_loss_w_k(22.0) == pytest.approx(1.066, abs=0.001)


@pytest.mark.parametrize("celsius", [10.0, 20.0, 25.0, 26.0, 28.0, 35.0])
def test_latent_heat_against_iapws_95(celsius):
    vapour = IAPWS95(T=celsius + 273.15, x=1)
    liquid = IAPWS95(T=celsius + 273.15, x=0)
    assert heat.latent_heat_kj_kg(celsius) == pytest.approx(
        vapour.h - liquid.h, rel=1e-3
    )


def test_three_litres_a_day_into_the_air():
    # Computed anew from IAPWS-95 at 25 °C: 2441.7 kJ/kg / 3600 = 0.678 kWh; three of
    # them are 2.03 kWh a day, 85 W.
    assert heat.evaporation_kwh(1.0) == pytest.approx(2441.7 / 3600, rel=1e-3)
    assert heat.evaporation_kwh(3.0) == pytest.approx(2.03, abs=0.01)
    assert heat.evaporation_kwh(3.0) / 24 * 1000 == pytest.approx(85, abs=0.5)
