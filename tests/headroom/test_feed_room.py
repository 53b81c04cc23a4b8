"""Room for food: by hand, by an integrator, by published yields."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.draws import Draws
from kit.errors import PlanError
from kit.feed import STATED_YIELDS, YieldRange, believed_yield
from kit.headroom import (
    feed_room,
    rate_for,
    room_sentences,
    trial_sentences,
    try_feed,
)
from kit.logbook import Tank
from kit.plan import Band
from kit.sawtooth import Habit

EXACT = YieldRange(210.0, 0.0, earned=True, food="food")
SPRING_RUN = Habit(141.0, 0.30, 7.0, source_mg_l=5.0)
SPRING_RATE = 0.8 * 210 / 141 + 0.10
DOUBLING = Tank(kit_steps_mg_l=(0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0))


def peak_by_integrator(habit, rate, cycles=400):
    """Run a habit until it settles, with scipy's integrator between exchanges."""
    volume = habit.volume_l
    out = max(habit.drip_l_day - habit.evaporation_l_day, 0.0)
    short = max(habit.evaporation_l_day - habit.drip_l_day, 0.0)
    inflow = habit.drip_l_day + (short if habit.top_up == "source" else 0.0)
    level = habit.source_mg_l
    for _ in range(cycles):
        run = solve_ivp(
            lambda _, c: rate + (inflow * habit.source_mg_l - out * c) / volume,
            (0, habit.interval_days),
            [level],
            rtol=1e-10,
            atol=1e-10,
        )
        peak = float(run.y[0, -1])
        new = peak + habit.fraction * (habit.source_mg_l - peak)
        if abs(new - level) < 1e-9:
            break
        level = new
    return peak


# By hand: (40 - 5) x 0.3/7 = 1.5; the rate is 1.2915; (1.5 - 1.2915) x 141/210 = 0.14,
# 17 % of 0.8 g. Half a gram more: 5 + (1.2915 + 0.7447) x 7/0.3 = 52.5.
def test_a_demo_tank_by_hand():
    room = feed_room(SPRING_RUN, SPRING_RATE, 40.0, EXACT, feed_g_day=0.8)
    assert room.room_g_day.estimate == pytest.approx(0.14, abs=0.0005)
    assert room.room_g_day.estimate / 0.8 == pytest.approx(0.175, abs=0.001)
    trial = try_feed(SPRING_RUN, SPRING_RATE, 26.1, 0.5, EXACT, ceiling_mg_l=40.0)
    assert trial.now.peak_mg_l.estimate == pytest.approx(35.1, abs=0.05)
    assert trial.then.peak_mg_l.estimate == pytest.approx(52.5, abs=0.05)
    # ln 0.05/ln 0.7 = 8.4, so nine exchanges of seven days.
    assert trial.days_to_95 == 63.0


# 3 g on six days of seven into 342 L at 215 mg/g and 0.15 a day, 40 % a week, tap 5,
# ceiling 40: allowed (40 - 5) x 0.4/7 = 2, so (2 - 0.15) x 342/215 = 2.94 g a day,
# and 215/342 x 7/35 = 12.6 points of exchange for a gram.
def test_the_feed_ceiling_of_another_demo_tank():
    habit = Habit(342.0, 0.40, 7.0, source_mg_l=5.0)
    feed = 3.0 * 6 / 7
    rate = feed * 215 / 342 + 0.15
    grams = YieldRange(215.0, 0.0, earned=True, food="food")
    room = feed_room(habit, rate, 40.0, grams, feed_g_day=feed)
    assert feed + room.room_g_day.estimate == pytest.approx(2.94, abs=0.005)
    assert room.percent_a_gram == pytest.approx(12.6, abs=0.05)
    assert room.peak_a_gram == pytest.approx(215 / 342 * 7 / 0.4)


@pytest.mark.parametrize(
    "habit",
    [
        Habit(
            262.0, 0.30, 42.0, source_mg_l=12.0, drip_l_day=22.0, evaporation_l_day=3.0
        ),
        Habit(262.0, 0.0, 7.0, source_mg_l=12.0, drip_l_day=22.0),
        Habit(149.0, 0.25, 10.0, source_mg_l=10.0, evaporation_l_day=2.2),
        Habit(
            149.0, 0.25, 10.0, source_mg_l=10.0, evaporation_l_day=2.2, top_up="pure"
        ),
    ],
)
def test_at_the_rate_allowed_the_integrator_peaks_at_the_ceiling(habit):
    assert peak_by_integrator(habit, rate_for(habit, 50.0)) == pytest.approx(
        50.0, rel=1e-6
    )


@given(
    st.floats(0.05, 1.0),
    st.floats(1, 60),
    st.floats(0, 30),
    st.floats(0, 40),
    st.floats(35, 100),
)
def test_more_ceiling_or_less_source_never_takes_room_away(f, days, source, drip, goal):
    habit = Habit(200.0, f, days, source_mg_l=source, drip_l_day=drip)
    allowed = rate_for(habit, goal)
    assert rate_for(habit, goal + 5.0) > allowed
    assert rate_for(replace(habit, source_mg_l=source / 2), goal) >= allowed - 1e-9


def test_what_nothing_can_hold_is_refused():
    with pytest.raises(PlanError, match="See to the water first"):
        rate_for(SPRING_RUN, 5.0)
    with pytest.raises(PlanError, match="nothing carries nitrate away"):
        rate_for(replace(SPRING_RUN, fraction=0.0), 40.0)


# FAO Food and Nutrition Paper 77 (2003), chapter 2: protein is 6.25 times nitrogen.
# Timmons and Ebeling: 0.092 of the protein leaves as ammonia nitrogen where solids are
# taken out (2,000 g of 32 % give 58.9 g), 0.144 where they stay. All of it to nitrate,
# times 62.005/14.007: the usual range holds both ends for dry food of 35 to 45 %
# protein, and for frozen food of 6 to 8 %; and it never passes all the nitrogen.
@pytest.mark.parametrize(
    ("food", "least", "most"), [("dry", 0.35, 0.45), ("frozen", 0.06, 0.08)]
)
def test_the_stated_ranges_hold_what_is_published(food, least, most):
    assert pytest.approx(58.9, abs=0.05) == 2000 * 0.32 * 0.092
    per_n, stated = 1000 * 62.005 / 14.007, STATED_YIELDS[food]
    assert stated.low_mg_g <= least * 0.092 * per_n
    assert stated.high_mg_g >= most * 0.144 * per_n * 0.99
    assert least * 0.092 * per_n < stated.mg_g < most * 0.144 * per_n
    # All the nitrogen of food at the upper protein of its kind, times a tenth of slack.
    assert stated.high_mg_g <= 1.15 * most / 6.25 * per_n


def test_a_yield_from_the_log_goes_before_the_stated_one():
    earned = believed_yield(Band(216.0, 160.0, 272.0))
    assert earned.earned
    assert (earned.low_mg_g, earned.high_mg_g) == pytest.approx((160.0, 272.0), abs=0.1)
    assert not believed_yield(None, "frozen").earned
    # A band wider than the usual range, 132 to 288, tells nothing new.
    assert believed_yield(Band(214.0, 17.0, 435.0)) == STATED_YIELDS["dry"]
    assert believed_yield(None, "frozen").mg_g == 40.0


def many(count=1000, rate=SPRING_RATE, sd=0.1):
    rng = np.random.default_rng(9)
    ones = np.ones(count)
    return Draws(rng.normal(rate, sd, count), 30 * ones, 0 * ones, 5 * ones)


def test_the_band_holds_rate_and_yield_together():
    room = feed_room(SPRING_RUN, SPRING_RATE, 40.0, STATED_YIELDS["dry"], draws=many())
    rng = np.random.default_rng(10)
    g, y = rng.normal(SPRING_RATE, 0.1, 10**6), rng.normal(210, 40, 10**6)
    low, high = np.quantile((1.5 - g) * 141 / np.maximum(y, 2.1), [0.025, 0.975])
    assert room.room_g_day.low == pytest.approx(low, abs=0.02)
    assert room.room_g_day.high == pytest.approx(high, abs=0.02)
    assert room.chance == pytest.approx(np.mean(g <= 1.5), abs=0.03)


# On the doubling card 35 and 52 both read 40, but just after an exchange 26 and 38
# straddle 28.3, the midpoint of 20 and 40: only a test after the exchange tells.
def test_a_wide_card_tells_only_after_an_exchange():
    trial = try_feed(SPRING_RUN, SPRING_RATE, 26.1, 0.5, EXACT, tank=DOUBLING)
    assert trial.tells_after
    assert 0.0 < trial.tells_on < 63.0
    blind = try_feed(
        SPRING_RUN, SPRING_RATE, 26.1, 0.05, EXACT, tank=DOUBLING, reading_noise=0.12
    )
    assert blind.tells_on is None
    assert "No single test" in trial_sentences(blind)[2]


def test_a_finer_kit_tells_no_later():
    card = try_feed(SPRING_RUN, SPRING_RATE, 26.1, 0.5, EXACT, tank=DOUBLING)
    meter = try_feed(
        SPRING_RUN, SPRING_RATE, 26.1, 0.5, EXACT, tank=Tank(kit_resolution_mg_l=1.0)
    )
    assert meter.tells_on <= card.tells_on


def test_sentences_name_the_range_its_origin_and_the_dates():
    stated = STATED_YIELDS["dry"]
    room = feed_room(
        SPRING_RUN, SPRING_RATE, 40.0, stated, feed_g_day=0.8, draws=many(sd=0.05)
    )
    text = " ".join(room_sentences(room))
    assert "30 % every 7 days leaves room for" in text
    assert "It is not your tank's own" in text
    assert "as your log tells" in " ".join(
        room_sentences(feed_room(SPRING_RUN, SPRING_RATE, 40.0, EXACT))
    )
    over = feed_room(SPRING_RUN, 1.6, 40.0, EXACT, feed_g_day=0.8)
    assert "leaves no room" in room_sentences(over)[0]
    trial = try_feed(SPRING_RUN, SPRING_RATE, 26.1, 0.5, EXACT, ceiling_mg_l=40.0)
    said = trial_sentences(trial, start=dt.date(2026, 6, 22))
    # Nine exchanges of seven days from 22 June end on 24 August.
    assert "by 2026-08-24, after 9 exchanges or 63 days" in said[1]
    assert "ammonia" in said[-1]
    assert "mg/L" not in said[-1]
