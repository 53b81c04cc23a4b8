"""One exchange, one dose, one top-up: the whole answers of the panels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.errors import PlanError
from kit.makeup import ammonia, chlorine, cold, salt, topup
from kit.sawtooth import Habit


def test_a_fifth_in_winter():
    # By hand: 262 L, a fifth is 52.4 L; 15 K colder is 3.0 K; 2 K allow 13.3 %, or
    # water of 15 °C; 52.4 x 15 x 4.186 / 3600 = 0.914 kWh; the drip 22 x 15 x 4.186 /
    # 86.4 = 16.0 W.
    found = cold.cold_exchange(
        262.0, 0.2, tank_c=25.0, new_c=10.0, allowed_c=2.0, drip_l_day=22.0
    )
    assert found.litres == pytest.approx(52.4)
    assert found.after_c == pytest.approx(22.0)
    assert found.drop_c == pytest.approx(3.0)
    assert not found.keeps
    assert found.most == pytest.approx(2 / 15)
    assert found.warm_to_c == pytest.approx(15.0)
    assert found.parts == 2
    assert found.heating_kwh == pytest.approx(0.914, abs=0.001)
    assert found.drip_w == pytest.approx(15.99, abs=0.02)
    assert found.drip_kwh_day == pytest.approx(15.99 * 0.024, abs=0.001)


def test_warmer_water_is_cooled_to_the_limit_above():
    found = cold.cold_exchange(100.0, 0.5, tank_c=20.0, new_c=28.0, allowed_c=2.0)
    assert found.drop_c == pytest.approx(-4.0)
    assert not found.keeps
    assert found.warm_to_c == pytest.approx(24.0)
    assert found.heating_kwh == 0.0


@given(st.floats(0.01, 1.0), st.floats(5.0, 35.0), st.floats(5.0, 35.0))
def test_water_brought_to_its_temperature_just_keeps_the_limit(fraction, tank, new):
    found = cold.cold_exchange(100.0, fraction, tank_c=tank, new_c=new, allowed_c=1.5)
    again = cold.cold_exchange(
        100.0, fraction, tank_c=tank, new_c=found.warm_to_c, allowed_c=1.5
    )
    assert abs(again.drop_c) == pytest.approx(1.5)
    assert again.keeps


def test_the_curves_are_the_sums():
    parts, drops = cold.drop_curve(25.0, 10.0)
    assert (parts[0], drops[0]) == (0.0, 0.0)
    assert drops == pytest.approx(15.0 * parts)
    k, levels = chlorine.decay_curve(5.0, 100.0, 1.0)
    assert np.interp(1.0, k, levels) == pytest.approx(0.05 / 1.05, rel=0.01)
    assert (np.diff(levels) < 0).all()
    ph, harmful = ammonia.ph_curve(2.0, 25.0)
    # Emerson (1975): 5.366 % at pH 8, 25 °C.
    assert np.interp(8.0, ph, harmful) == pytest.approx(2.0 * 0.05366, rel=1e-3)


def test_the_dose_of_the_brackish_tank():
    # As in the tests of salt: 37.25 L x 6.646 g/L; 149 L losing 15.4 L goes from 6.63
    # to 7.4 g/kg.
    dose = salt.salt_dose(149.0, 0.25, 1.005, moisture=0.05, evaporation_l_day=2.2)
    assert dose.litres == pytest.approx(37.25)
    assert dose.salt_g_l == pytest.approx(6.65, abs=0.005)
    assert dose.dry_g == pytest.approx(248, abs=0.5)
    assert dose.bag_g == pytest.approx(248 / 0.95, abs=0.6)
    assert dose.lost_l == pytest.approx(15.4)
    assert dose.saltier_g_kg == pytest.approx(7.4, abs=0.05)
    with pytest.raises(PlanError, match="evaporate"):
        salt.salt_dose(149.0, 0.25, 1.005, evaporation_l_day=2.2, days=90.0)


def test_topping_up_from_the_tap():
    # By hand: 2.2 x 10 / 149 = 0.148 mg/L a day; peaks Cs + g T / f with g 0.945 and
    # with 0.945 + 0.148: 10 + 37.8 = 47.8 and 10 + 43.7 = 53.7.
    brackish = Habit(149.0, 0.25, 10.0, 10.0, evaporation_l_day=2.2)
    found = topup.top_up_effect(brackish, 0.945)
    assert found.added_mg_l_day == pytest.approx(22 / 149)
    assert found.pure_peak_mg_l == pytest.approx(47.8)
    assert found.tap_peak_mg_l == pytest.approx(10 + (0.945 + 22 / 149) * 40)


def test_a_drip_larger_than_evaporation_is_its_top_up():
    found = topup.top_up_effect(
        Habit(262.0, 0.3, 42.0, 12.0, drip_l_day=22.0, evaporation_l_day=3.0), 2.6
    )
    assert found.litres_day == 0.0
    assert found.added_mg_l_day == 0.0
    assert found.tap_peak_mg_l == found.pure_peak_mg_l
    with pytest.raises(PlanError, match="more than 0 L"):
        topup.top_up_nitrate_mg_l_day(1.0, 10.0, 0.0)
