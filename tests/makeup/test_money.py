"""A month's water, heat, salt, hours and money, by hand and side by side."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.errors import PlanError
from kit.logbook import Tank
from kit.makeup import money, year
from kit.makeup.money import Tariff, month_of

# Invented prices: 4 a cubic metre, 0.20 a kWh, 3 a kilogram of salt.
TARIFF = Tariff("EUR", 4.0, 0.20, 3.0)


@pytest.mark.parametrize(
    ("volume", "fraction", "apart", "litres", "kwh"),
    # By hand: 300 L, 30 % weekly, 13 K: 90 x 30.44 / 7 = 391 L, x 13 x 4.186 / 3600
    # = 5.9 kWh. 900 L, 20 % weekly, 12 K: 783 L, 10.9 kWh.
    [(300.0, 0.30, 13.0, 391, 5.9), (900.0, 0.20, 12.0, 783, 10.9)],
)
def test_a_months_litres_and_heat(volume, fraction, apart, litres, kwh):
    month = month_of(
        exchange_l=volume * fraction, interval_days=7.0, tank_c=25.0, new_c=25.0 - apart
    )
    assert round(month.litres) == litres
    assert month.heating_kwh == pytest.approx(kwh, abs=0.05)
    assert month.money is None
    assert month.unpriced == ("water", "heat")


def test_every_part_of_the_sum_by_hand():
    month = month_of(
        exchange_l=50.0,
        interval_days=10.0,
        drip_l_day=4.0,
        top_up_l_day=1.0,
        evaporation_l_day=1.0,
        tank_c=25.0,
        new_c=15.0,
        salt_g_l=6.65,
        minutes_each=40.0,
        tariff=TARIFF,
        days=30.0,
    )
    assert month.litres == pytest.approx(150 + 120 + 30)
    # 300 L x 10 K x 4.186 kJ = 12,558 kJ = 3.488 kWh; 30 kg x 2442 kJ = 20.35 kWh.
    assert month.heating_kwh == pytest.approx(3.488, abs=0.002)
    assert month.evaporation_kwh == pytest.approx(20.35, abs=0.02)
    assert month.salt_kg == pytest.approx(0.9975)
    assert month.hours == pytest.approx(2.0)
    assert month.water_cost == pytest.approx(1.20)
    assert month.energy_cost == pytest.approx(4.77, abs=0.01)
    assert month.salt_cost == pytest.approx(2.9925)
    assert month.money == pytest.approx(1.20 + 4.77 + 2.99, abs=0.01)
    assert month.unpriced == ()


def test_a_heat_pump_buys_less_and_gas_more():
    def cost(efficiency: float) -> float:
        price = Tariff("EUR", None, 0.20, None, efficiency)
        return month_of(
            exchange_l=70.0, interval_days=7.0, new_c=12.0, tariff=price
        ).energy_cost

    assert cost(3.0) == pytest.approx(cost(1.0) / 3.0)
    assert cost(0.9) == pytest.approx(cost(1.0) / 0.9)


def test_prices_come_from_the_tank_and_none_is_made_up():
    tank = Tank(currency="EUR", water_per_m3=4.0, energy_per_kwh=0.2)
    assert money.tariff_of(tank, efficiency=0.9) == Tariff("EUR", 4.0, 0.2, None, 0.9)
    month = month_of(
        exchange_l=10.0, interval_days=5.0, salt_g_l=30.0, tariff=money.tariff_of(tank)
    )
    assert month.salt_cost is None
    assert month.unpriced == ("salt",)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Tariff(water_per_m3=-1.0),
        lambda: Tariff(efficiency=0.0),
        lambda: month_of(exchange_l=10.0, interval_days=0.0),
        lambda: month_of(drip_l_day=-1.0),
        lambda: year.year_of(10.0, [12.0] * 11, 25.0),
        lambda: year.year_of(-1.0, [12.0] * 12, 25.0),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_sentence(wrong):
    with pytest.raises(PlanError, match=r"^[A-Z].*\.$"):
        wrong()


def test_two_habits_side_by_side():
    now = month_of(exchange_l=60.0, interval_days=7.0, minutes_each=30.0, tariff=TARIFF)
    trial = month_of(drip_l_day=60.0 / 7.0, minutes_each=30.0, tariff=TARIFF)
    rows = {row.what: row for row in money.side_by_side(now, trial, "EUR")}
    assert rows["new water"].more == pytest.approx(0.0, abs=1e-9)
    assert rows["time"].now == pytest.approx(30.0 / 60.0 * 30.4375 / 7.0)
    assert rows["time"].trial == 0.0
    assert rows["money"].unit == "EUR"
    unpriced = money.side_by_side(month_of(), month_of())
    assert {row.what: row.more for row in unpriced}["money"] is None


def test_months_have_their_days():
    # The calendar itself, over the 400 years after which it repeats.
    counts = np.zeros(12)
    day, end = dt.date(2000, 1, 1), dt.date(2400, 1, 1)
    counts = [
        sum(
            (dt.date(y + m // 12, m % 12 + 1, 1) - dt.date(y, m, 1)).days
            for y in range(day.year, end.year)
        )
        / 400
        for m in range(1, 13)
    ]
    # 97 leap years in 400, taken as 100.
    assert pytest.approx(counts, abs=0.01) == year.DAYS_OF_MONTHS
    assert sum(year.DAYS_OF_MONTHS) / 12 == pytest.approx(money.MONTH_DAYS)


def test_a_year_of_a_steady_tap_is_twelve_equal_days_worth():
    months = year.year_of(
        22.0, [12.0] * 12, 25.0, evaporation_l_day=3.0, tariff=Tariff("EUR", 4.0, 0.2)
    )
    # 0.3326 and 2.035 kWh a day, by hand as in the tests of heat.
    assert months.heating_kwh / year.DAYS_OF_MONTHS == pytest.approx(0.3326, abs=2e-4)
    assert months.evaporation_kwh / year.DAYS_OF_MONTHS == pytest.approx(
        2.035, abs=2e-3
    )
    assert months.energy_cost == pytest.approx(
        0.2 * (months.heating_kwh + months.evaporation_kwh)
    )
    assert months.water_cost.sum() == pytest.approx(4.0 * 22.0 * 365.25 / 1000.0)
    bare = year.year_of(22.0, [12.0] * 12, 25.0)
    assert bare.energy_cost is None
    assert bare.water_cost is None


@given(st.floats(0.0, 15.0), st.floats(15.0, 25.0), st.integers(1, 12))
def test_the_guessed_seasons_keep_to_their_ends(cold, warm, month):
    wave = year.seasonal_c(cold, warm, month)
    assert wave[month - 1] == pytest.approx(cold)
    assert wave[(month + 5) % 12] == pytest.approx(warm)
    assert min(wave) >= cold - 1e-9
    assert max(wave) <= warm + 1e-9
    assert np.mean(wave) == pytest.approx((cold + warm) / 2)
