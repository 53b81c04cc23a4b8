"""Sentences on new water: the numbers in them, their units, and what they advise."""

from __future__ import annotations

import pytest

from kit import makeup
from kit.makeup.alkalinity import kh_reserve
from kit.makeup.ammonia import rescue_step
from kit.makeup.chlorine import batch_level_mg_l, drip_range
from kit.makeup.cold import cold_exchange
from kit.makeup.evaporation import evaporation_guess
from kit.makeup.money import Tariff, month_of_habit, side_by_side
from kit.makeup.salt import salt_dose
from kit.makeup.topup import top_up_effect
from kit.makeup.year import year_of
from kit.sawtooth import Habit

DRIP = Habit(262.0, 0.3, 42.0, 12.0, drip_l_day=22.0, evaporation_l_day=3.0)


def cold(fraction: float, new_c: float, allowed: float = 2.0, drip: float = 0.0):
    return cold_exchange(
        262.0, fraction, tank_c=25.0, new_c=new_c, allowed_c=allowed, drip_l_day=drip
    )


def test_a_cold_exchange_is_said_with_what_to_do():
    # By hand: 0.2 x 15 = 3; 2 / 15 = 13.3 %, rounded down as it is a limit.
    said = makeup.cold_sentences(cold(0.2, 10.0, drip=22.0))
    assert "cools the tank by 3 °C at once, from 25 °C to 22 °C" in said[0]
    assert "at most 13 % at a time" in said[1]
    assert "2 parts" in said[1]
    assert "warm the new water to 15 °C" in said[1]
    assert "0.91 kWh" in said[2]
    assert "16 W" in said[3]


def test_the_same_in_fahrenheit_and_gallons():
    # 3 K is 5.4 °F, without the 32; 25 °C is 77 °F; 52.4 L is 13.8 US gallons.
    said = makeup.cold_sentences(cold(0.2, 10.0), "us")
    assert "by 5.4 °F at once, from 77 °F to 71.6 °F" in said[0]
    assert "warm the new water to 59 °F" in said[1]
    assert "13.8 US gal" in said[2]


def test_warm_water_and_water_that_keeps_the_limit():
    assert "warms the tank by 2.5 °C" in makeup.cold_sentences(cold(0.5, 30.0))[0]
    assert "ool the new water to 29 °C" in makeup.cold_sentences(cold(0.5, 30.0))[1]
    assert "up to 66 % would" in makeup.cold_sentences(cold(0.2, 22.0))[1]
    assert "so would any other" in makeup.cold_sentences(cold(0.2, 24.0))[1]
    # Nothing at all allowed: the only way is water of the tank's own warmth.
    none = makeup.cold_sentences(cold(1.0, 10.0, 0.0))
    assert "at most 0 %" in none[1]
    assert "Warm the new water to 25 °C first" in none[1]


def test_a_year_says_heat_money_and_the_lid():
    # By hand at a steady 13 K: 22 x 13 x 1.163 x 30.44 / 1000 = 10.1 kWh a month; three
    # litres of evaporation 2.035 x 30.44 = 61.9; 72 kWh at 0.20 is 14.4.
    year = year_of(
        22.0, [12.0] * 12, 25.0, evaporation_l_day=3.0, tariff=Tariff("EUR", 4.0, 0.2)
    )
    said = " ".join(makeup.year_sentences(year, "EUR"))
    assert "takes 10 kWh and evaporation 62 kWh" in said
    assert "14 EUR for heat and 2.7 EUR for water" in said
    assert "6.1 times" in said
    assert "not in your log" in said


def test_a_year_without_prices_asks_for_one():
    said = " ".join(makeup.year_sentences(year_of(22.0, [12.0] * 12, 25.0)))
    assert "State your price of energy" in said
    assert "lid" not in said


@pytest.mark.parametrize(("litres", "word"), [(3.0, "fits"), (9.0, "does not fit")])
def test_evaporation_is_held_against_the_guess(litres, word):
    year = year_of(0.0, [12.0] * 12, 25.0, evaporation_l_day=litres)
    guess = evaporation_guess(0.5, 26.0, 22.0)
    assert word in " ".join(makeup.year_sentences(year, "EUR", guess))


def test_two_habits_of_unlike_peaks_are_called_so():
    trial = Habit(262.0, 0.3, 7.0, 12.0, evaporation_l_day=3.0)
    months = tuple(month_of_habit(h, new_c=12.0) for h in (DRIP, trial))
    said = makeup.habit_sentences((DRIP, trial), 2.73, months)
    # The demo tank's simulated peak 50.9 at 2.73 mg/L a day; weekly 30 % by hand:
    # 12 + (2.73 + 3 x 12 / 262) x 7 / 0.3 = 78.9.
    assert "usual peak 51 mg/L" in said[0]
    assert "usual peak 79 mg/L" in said[0]
    assert "higher" in said[1]
    assert "heat, water" in " ".join(said)
    same = makeup.habit_sentences((DRIP, DRIP), 2.6, months)
    assert not any("do not do the same work" in line for line in same)


def test_a_drip_that_only_replaces_evaporation_holds_no_peak():
    stuck = Habit(262.0, 0.0, 7.0, 12.0, drip_l_day=3.0, evaporation_l_day=3.0)
    months = (month_of_habit(stuck), month_of_habit(stuck))
    said = makeup.habit_sentences((stuck, stuck), 2.6, months)
    assert "without limit" in said[0]


def test_rows_say_more_less_the_same_and_no_price():
    now = month_of_habit(DRIP, minutes_each=40.0, tariff=Tariff("EUR", 4.0))
    bare = Habit(262.0, 0.0, 42.0, 12.0, drip_l_day=24.0, evaporation_l_day=3.0)
    trial = month_of_habit(bare, minutes_each=40.0)
    rows = {r[0]: r[1:] for r in makeup.habit_rows(side_by_side(now, trial, "EUR"))}
    # 22 x 30.44 + 78.6 x 30.44 / 42 = 727 L; 24 x 30.44 = 731 L.
    assert rows["new water"] == ("730 L", "730 L", "3.9 L more")
    assert rows["salt"] == ("none", "none", "the same")
    assert rows["time"] == ("0.48 h", "none", "0.48 h less")
    assert rows["money"] == ("2.9 EUR", "no price stated", "no price stated")
    us = {r[0]: r[1:] for r in makeup.habit_rows(side_by_side(now, trial), "us")}
    assert us["new water"][0] == "193 US gal"


def chlorine(tap: float, drip: float, fraction: float, *, amine: bool = False):
    found = drip_range(drip, 100.0, tap, k_per_day=(1.0, 5.0))
    return makeup.chlorine_sentences(
        found,
        batch_level_mg_l(fraction, tap),
        tap_mg_l=tap,
        fraction=fraction,
        drip_l_day=drip,
        chloramine=amine,
    )


def test_chlorine_is_said_as_a_range_beside_its_criteria():
    said = " ".join(chlorine(1.0, 5.0, 0.3))
    # By hand: 0.05 / 1.05 = 48 and 0.05 / 5.05 = 9.9 ug/L; 0.3 x 1 mg/L = 300.
    assert "from 9.9 to 48 µg/L" in said
    assert "puts 300 µg/L" in said
    assert "19 µg/L as the mean of an hour and 11" in said
    assert "Treat it" in said
    assert "ammonia" not in said
    amine = " ".join(chlorine(2.0, 5.0, 0.0, amine=True))
    # 2 / 5.062 = 0.395 mg/L of nitrogen, 1.749 mg/L of nitrate.
    assert "0.4 mg/L of ammonia" in amine
    assert "1.7 mg/L of nitrate" in amine
    assert "exchange" not in amine
    assert "stays under" in " ".join(chlorine(0.01, 1.0, 0.0))


def test_salt_is_said_for_drained_litres_alone():
    dose = salt_dose(149.0, 0.25, 1.005, moisture=0.05, evaporation_l_day=2.2)
    said = " ".join(makeup.salt_sentences(dose))
    assert "248 g of dry sea salts" in said
    assert "261 g from the bag" in said
    assert "from 6.6 to 7.4 g/kg" in said
    assert "never dosed for what evaporated" in said
    # 6.646 g/L x 3.78541 L = 25.16 g, over 28.3495 g an ounce 0.887 (NIST Handbook 44).
    assert "0.887 oz for each US gallon" in makeup.salt_sentences(dose, "us")[0]
    dry = makeup.salt_sentences(salt_dose(149.0, 0.25, 1.005))
    assert "bag" not in dry[0]
    assert "fresh water" in makeup.salt_sentences(salt_dose(149.0, 0.25, 1.0))[0]


def test_top_up_is_said_with_both_peaks():
    brackish = Habit(149.0, 0.25, 10.0, 10.0, evaporation_l_day=2.2)
    said = " ".join(makeup.top_up_sentences(top_up_effect(brackish, 0.945)))
    assert "0.15 mg/L of nitrate a day" in said
    assert "tap water 54 mg/L, with pure water 48 mg/L" in said
    assert "no top-up is needed" in makeup.top_up_sentences(top_up_effect(DRIP, 2.6))[0]


def step(new_ph: float, tan: float = 2.0, *, kh: float | None = None, salt: float = 0):
    return rescue_step(
        0.2,
        tan_mg_l=tan,
        tank_ph=6.2,
        new_ph=new_ph,
        tank_c=25.0,
        new_c=25.0,
        tank_dkh=kh,
        new_dkh=kh,
        salinity_g_kg=salt,
    )


def test_a_rescue_is_stopped_warned_of_or_let_pass():
    stop = " ".join(makeup.ammonia_sentences(step(8.0)))
    assert "0.0018 mg/L now" in stop
    assert "0.086 mg/L, at pH 8" in stop
    assert "Do not do this exchange" in stop
    warn = " ".join(makeup.ammonia_sentences(step(7.4, kh=5.0)))
    assert "It rises" in warn
    assert "the mix has pH" in warn
    calm = " ".join(makeup.ammonia_sentences(step(6.2)))
    assert "does not rise" in calm
    # EPA 2013 at pH 7.4 and 25 °C: 1.1 mg/L over thirty days; 1.6 are left.
    assert "must not stay that high" in warn
    few = " ".join(makeup.ammonia_sentences(step(7.4, tan=0.2)))
    assert "must not stay" not in few
    acute = " ".join(makeup.ammonia_sentences(step(6.2, tan=60.0)))
    assert "Total ammonia passes" in acute


def test_salt_water_is_said_without_criteria_for_fresh():
    said = " ".join(makeup.ammonia_sentences(step(7.4, kh=5.0, salt=35.0)))
    assert "not worked out" in said
    assert "EPA" not in said


def test_hardness_and_oxygen_are_cautions():
    spent = makeup.reserve_sentence(kh_reserve(229.0, 5.0, 5.0), 229.0, 5.0)
    assert "none may be left" in spent
    kept = makeup.reserve_sentence(kh_reserve(40.0, 5.0, 5.0), 40.0, 5.0)
    assert "used up about 1.6 dKH" in kept
    # 5 dKH are gone at 5 + 110.6 mg/L, by the masses.
    assert "None would be left at 116 mg/L" in kept
    assert "at most 8.3 mg/L" in makeup.oxygen_sentence(8.263, 25.0)
    assert "77 °F" in makeup.oxygen_sentence(8.263, 25.0, "us")
