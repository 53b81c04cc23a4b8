"""Everyday plans side by side: that they hold, what they take, and why some do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tanks import sure, unsure

from kit.makeup.money import Tariff
from kit.sawtooth import Habit
from kit.schedule.line import Terms, line_for
from kit.schedule.shortlist import (
    EVERYDAY,
    drip_for_chance,
    equal_water,
    percent_for_chance,
    shortlist,
)
from kit.schedule.trial import chances

TANK = Habit(200.0, 0.25, 7.0, 10.0)
NONE = Terms()


def offer_of(offers, way, days=None):
    (found,) = [o for o in offers if o.way == way and days in (None, o.interval_days)]
    return found


def test_each_plan_holds_and_one_percent_less_does_not():
    trial = unsure(TANK, 1.2, 45.0)
    offers = shortlist(trial, NONE, chance=0.9)
    held = [o for o in offers if o.line is not None]
    assert 4 <= len(held) <= 6
    for offer in held:
        habit = offer.line.habit
        assert offer.line.chance >= 0.9
        if offer.way == "every":
            less = np.array(habit.fraction - 0.01), np.array(habit.interval_days)
            assert float(chances(trial, *less)) < 0.9
        else:
            less = replace(habit, drip_l_day=habit.drip_l_day - 0.5)
            assert line_for(trial, less, NONE).chance < 0.9


# f = g T/(c - Cs) and q = g V/(c - Cs) by hand: 1 * 7/30 = 23.3 %, 200/30 = 6.67 L.
def test_a_sure_tank_by_hand():
    trial = sure(TANK, 1.0, 40.0)
    offers = shortlist(trial, NONE)
    assert 100 * offer_of(offers, "every", 7).line.habit.fraction == 24
    assert 100 * offer_of(offers, "every", 14).line.habit.fraction == 47
    assert offer_of(offers, "drip").line.habit.drip_l_day == pytest.approx(6.7)
    assert percent_for_chance(trial, 7.0, 0.5) == 24


def test_a_limit_on_one_exchange_is_kept_and_named():
    offers = shortlist(sure(TANK, 1.0, 40.0), NONE, max_percent=30)
    assert offer_of(offers, "every", 7).line.habit.fraction <= 0.30
    refused = offer_of(offers, "every", 14)
    assert (refused.line, refused.lacks, refused.needs) == (None, "limit", 47)
    assert offer_of(offers, "both").line.habit.fraction <= 0.30


def test_too_little_water_and_too_much_in_the_new_water():
    # Every 28 days all the water: 10 + 2 * 28 = 66 before the next.
    offers = shortlist(sure(TANK, 2.0, 40.0), NONE)
    monthly = offer_of(offers, "every", 28)
    assert (monthly.lacks, monthly.line) == ("water", None)
    assert monthly.reaches_mg_l == pytest.approx(66.0)
    high = shortlist(sure(replace(TANK, source_mg_l=50.0), 2.0, 40.0), NONE)
    assert {o.lacks for o in high} == {"source"}


def test_a_drip_that_suffices_leaves_nothing_to_do():
    held = sure(replace(TANK, drip_l_day=10.0), 1.0, 40.0)
    offers = shortlist(held, NONE)
    assert offer_of(offers, "every", 7).lacks == "nothing to do"
    assert offer_of(offers, "drip").line.habit.drip_l_day == pytest.approx(6.7)


@given(st.floats(0.2, 3), st.floats(0, 20), st.floats(0.01, 0.5))
def test_a_drip_found_is_the_least(rate, source, fraction):
    tank = replace(TANK, source_mg_l=source)
    habit = replace(tank, fraction=fraction, interval_days=28.0)
    trial = sure(tank, rate, 40.0, noise=0.5)
    drip = drip_for_chance(trial, habit, 0.9)
    assert drip is not None
    assert line_for(trial, replace(habit, drip_l_day=drip), NONE).chance >= 0.9
    if drip > 1.0:
        less = replace(habit, drip_l_day=drip - 1.0)
        assert line_for(trial, less, NONE).chance < 0.9


# Equal water, equal peak: Cs + g V/w; means lower by g T/2 (g 1, source 10, 25 % a
# week): peak 38 throughout, means 34.5 at 7 and 31 at 14 days.
def test_equal_water_side_by_side():
    offers = equal_water(sure(TANK, 1.0, 40.0), TANK, NONE)
    lines = [o.line for o in offers if o.line is not None and o.way != "both"]
    assert [x.peak_mg_l.estimate for x in lines] == pytest.approx([38.0] * len(lines))
    litres = [x.month.litres for x in lines]
    assert litres == pytest.approx([50.0 / 7.0 * 30.4375] * len(lines))
    assert offer_of(offers, "every", 7).line.mean_mg_l.estimate == pytest.approx(34.5)
    fortnight = offer_of(offers, "every", 14).line
    assert fortnight.habit.fraction == pytest.approx(0.5)
    assert fortnight.mean_mg_l.estimate == pytest.approx(31.0)
    drip = offer_of(offers, "drip").line
    assert (drip.mean_mg_l.estimate, drip.swing_mg_l) == pytest.approx((38.0, 0.0))
    assert offer_of(offers, "every", 28).line.habit.fraction == pytest.approx(1.0)


def test_equal_water_keeps_the_limit():
    offers = equal_water(sure(TANK, 1.0, 40.0), TANK, NONE, max_percent=40)
    refused = offer_of(offers, "every", 14)
    assert (refused.line, refused.lacks) == (None, "limit")
    assert refused.needs == pytest.approx(50.0)


@given(st.floats(0.05, 0.9), st.floats(1, 20), st.floats(0, 30), st.floats(0.1, 4))
def test_equal_water_is_equal(fraction, days, drip, rate):
    like = Habit(150.0, fraction, days, 5.0, drip_l_day=drip)
    for offer in equal_water(sure(like, rate, 40.0), like, NONE):
        if offer.line is not None:
            month = offer.line.month.litres
            if offer.way == "both" and offer.line.habit.fraction >= 1.0:
                continue
            assert month == pytest.approx(like.water_l_day * 30.4375)


# 300 L, 30 % weekly, 13 K colder water: 391 L and 5.9 kWh a month; 1 L by 1 K is 1.163
# Wh (CRC Handbook, specific heat of water 4.186 kJ/(kg K) at 15 degrees).
def test_a_month_of_a_plan():
    terms = Terms(25.0, 12.0, 20.0, 2.0, 10.0, Tariff("EUR", 4.0, 0.2))
    line = line_for(
        sure(Habit(300.0, 0.3, 7.0, 5.0), 1.0, 40.0), Habit(300.0, 0.3, 7.0, 5.0), terms
    )
    assert line.month.litres == pytest.approx(391, abs=1)
    assert line.month.heating_kwh == pytest.approx(5.9, abs=0.05)
    assert line.month.money == pytest.approx(0.391 * 4 + 5.9 * 0.2, abs=0.02)
    # Nine buckets of 10 L at 2 minutes and 20 besides, 4.348 times a month.
    assert line.minutes_month == pytest.approx(38 * 30.4375 / 7)
    assert line.drop_c == pytest.approx(3.9)


# 20 % of water 15 K colder cools the tank by 3.0 K: 0.2 * 15.
def test_the_drop_of_an_exchange():
    terms = Terms(tank_c=25.0, new_c=10.0)
    habit = Habit(100.0, 0.2, 7.0)
    line = line_for(sure(habit, 1.0, 40.0), habit, terms)
    assert line.drop_c == pytest.approx(3.0)


def test_what_is_not_stated_stays_unknown():
    line = line_for(sure(TANK, 1.0, 40.0), TANK, NONE)
    assert line.minutes_month is None
    assert line.drop_c is None
    assert line.month.money is None
    assert not NONE.warmth_known
    drip = replace(TANK, fraction=0.0, drip_l_day=8.0)
    assert line_for(sure(TANK, 1.0, 40.0), drip, NONE).drop_c == 0.0


def test_the_order_is_by_days():
    offers = shortlist(sure(TANK, 2.0, 40.0), NONE)
    days = [o.interval_days for o in offers if o.way == "every"]
    assert days == sorted(days)
    assert set(days) <= set(EVERYDAY)
    assert [o.way for o in offers][-2:] == ["drip", "both"]
