"""A time away, against scipy's integrator and sums done by hand."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.away import Stretch, Trip, away_sentences, come_home, days_until
from kit.draws import Draws
from kit.errors import PlanError
from kit.feed import STATED_YIELDS, YieldRange
from kit.sawtooth import Habit

EXACT = YieldRange(205.0, 0.0, earned=True, food="food")
FEN = Habit(203.0, 0.33, 10.0, source_mg_l=5.0)


def fen_runs(level, days, feed):
    """Run the demo tank with its plants, by scipy."""
    run = solve_ivp(
        lambda _, c: feed * 205 / 203 + 0.10 - 0.32 * c / (2 + c),
        (0, days),
        [level],
        rtol=1e-10,
        atol=1e-10,
    )
    return float(run.y[0, -1])


def fen_settled():
    level = 31.0
    for _ in range(60):
        peak = fen_runs(level, 10, 1.5)
        level = peak + 0.33 * (5 - peak)
    return peak, level


# The demo scenario: the usual peak is 44.7, and 55.7 with a trip of 16 days on 0.6 g
# a day that skips two exchanges; it does not say on which day it was at its highest.
def test_the_demo_trip():
    peak, trough = fen_settled()
    assert peak == pytest.approx(44.7, abs=0.1)
    leaving = fen_runs(trough, 5, 1.5)
    home = fen_runs(leaving, 16, 0.6)
    highest = fen_runs(home, 9, 1.5)
    assert highest == pytest.approx(55.7, abs=1.3)
    rate = 1.5 * 205 / 203 + 0.10 - 0.32 * 40 / 42
    trip = Trip(16, 0.6, leave_in_days=5, exchange_before=False, exchange_after=False)
    found = come_home(FEN, rate, trough, trip, EXACT, home_feed_g_day=1.5)
    assert found.leaving_mg_l.estimate == pytest.approx(leaving, abs=0.2)
    assert found.home_mg_l.estimate == pytest.approx(home, abs=0.2)
    assert found.peak_mg_l.estimate == pytest.approx(highest, abs=0.3)
    # One exchange the day before and one on return keep it at the usual peak.
    kept = Trip(16, 0.6, leave_in_days=10)
    planned = come_home(FEN, rate, trough, kept, EXACT, home_feed_g_day=1.5)
    assert planned.peak_mg_l.estimate < peak + 0.5
    assert planned.peak_as_usual_mg_l.estimate > peak + 8.0


# By hand: (50 - 35)/1 = 15 days; at half the food the rate is 1 - 0.5 x 200/200.
def test_days_until_the_ceiling_by_hand():
    habit = Habit(200.0, 0.25, 7.0, source_mg_l=5.0)
    grams = YieldRange(200.0, 0.0, earned=True, food="food")
    trip = Trip(14, 0.5, leave_in_days=0.0, exchange_before=False)
    found = come_home(
        habit, 1.0, 35.0, trip, grams, home_feed_g_day=0.9, ceiling_mg_l=50.0
    )
    parts = {part: band.estimate for part, band in found.until}
    assert parts[1.0] == pytest.approx(15.0)
    assert parts[0.5] == pytest.approx(15.0 / (1.0 - 0.45))
    assert parts[0.0] == pytest.approx(15.0 / (1.0 - 0.9))


stretches = st.builds(
    Stretch,
    volume_l=st.floats(20, 2000),
    drip_l_day=st.one_of(st.just(0.0), st.floats(0.01, 40)),
    evaporation_l_day=st.one_of(st.just(0.0), st.floats(0.01, 5)),
    top_up=st.sampled_from(["source", "pure", "none"]),
    source_mg_l=st.floats(0, 40),
    loss_per_day=st.one_of(st.just(0.0), st.floats(0.001, 0.02)),
)


@given(stretches, st.floats(0, 120), st.floats(0, 3), st.floats(1, 30))
def test_nitrate_and_water_agree_with_an_integrator(stretch, level, rate, days):
    fall = stretch.evaporation_l_day - stretch.drip_l_day
    falling = stretch.top_up == "none" and fall > 0
    assume(not falling or fall * days < 0.45 * stretch.volume_l)

    def mass_and_water(_, y):
        mass, water = y
        made = rate * stretch.volume_l + stretch.drip_l_day * stretch.source_mg_l
        made -= stretch.loss_per_day * mass
        if falling:
            return made, -fall
        out = max(-fall, 0.0)
        topped = max(fall, 0.0) * (
            stretch.source_mg_l if stretch.top_up == "source" else 0.0
        )
        return made + topped - out * mass / water, 0.0

    run = solve_ivp(
        mass_and_water,
        (0, days),
        [level * stretch.volume_l, stretch.volume_l],
        rtol=1e-9,
        atol=1e-9,
    )
    mass, water = run.y[:, -1]
    assert float(stretch.level_after(days, level, rate)) == pytest.approx(
        mass / water, rel=1e-6, abs=1e-6
    )
    assert float(stretch.volume_after(days)) == pytest.approx(water, rel=1e-9)


def test_the_ceiling_day_is_the_integrators_event():
    stretch = Stretch(203.0, 4.0, 1.0, "none", 5.0)

    def over(_, c):
        return c[0] - 50.0

    over.terminal = True
    run = solve_ivp(
        lambda _, c: 1.3 + (4.0 * 5.0 - 3.0 * c) / 203.0,
        (0, 400),
        [32.0],
        events=over,
        rtol=1e-10,
        atol=1e-10,
    )
    found = days_until(stretch, 50.0, np.array([32.0]), np.array([1.3]))
    assert found[0] == pytest.approx(float(run.t_events[0][0]), rel=1e-6)
    never = days_until(stretch, 50.0, np.array([32.0, 60.0]), np.array([0.1, 0.1]))
    assert never.tolist() == [math.inf, 0.0]


# Salt kept, by hand: 6.6 x 149/(149 - 15.4) = 7.4; 35 x 214/(214 - 10.5) = 36.8.
@pytest.mark.parametrize(
    ("volume", "gone", "salt", "after"),
    [(149, 15.4, 6.6, 7.4), (214, 10.5, 35.0, 36.8)],
)
def test_salt_stays_behind(volume, gone, salt, after):
    habit = Habit(float(volume), 0.25, 10.0, evaporation_l_day=gone / 14)
    trip = Trip(14, 0.0, salt_g_kg=salt, area_cm2=4000.0)
    found = come_home(habit, 0.5, 20.0, trip, EXACT, home_feed_g_day=0.0)
    assert found.salt_g_kg == pytest.approx(after, abs=0.05)
    assert found.lost_l == pytest.approx(gone)
    # 1 L on 1,000 cm2 is 1 cm.
    assert found.fall_cm == pytest.approx(gone / 4.0)
    kept = Trip(14, 0.0, salt_g_kg=salt, top_up="pure")
    assert come_home(habit, 0.5, 20.0, kept, EXACT).salt_g_kg == pytest.approx(salt)


def test_topping_up_thins_what_the_air_thickened():
    habit = Habit(149.0, 0.25, 10.0, source_mg_l=10.0, evaporation_l_day=1.1)
    trip = Trip(14, 0.0, leave_in_days=0.0, exchange_before=False)
    found = come_home(habit, 0.0, 40.0, trip, EXACT, home_feed_g_day=0.0)
    # Nothing is made: 40 x 149/133.6, and topped up (40 x 149 + 15.4 x 10)/149.
    assert found.home_mg_l.estimate == pytest.approx(40 * 149 / 133.6)
    assert found.topped_mg_l.estimate == pytest.approx((40 * 149 + 154) / 149)
    with pytest.raises(PlanError, match="More than half"):
        come_home(habit, 0.0, 40.0, Trip(80, 0.0), EXACT)


# 12 g at 205 mg into 203 L is 12.1 mg/L, less what 16 days of 0.6 g would have made,
# 9.7. Timmons and Ebeling with solids left in: 12 g x 45 % x 0.144/203 L = 3.8 mg/L.
def test_a_feeder_that_empties_itself():
    trip = Trip(16, 0.6, leave_in_days=1.0, feeder_g=12.0)
    found = come_home(
        FEN, 1.3, 40.0, trip, EXACT, home_feed_g_day=1.5, protein_percent=45.0
    )
    more = found.spilled_mg_l.estimate - found.home_mg_l.estimate
    assert more == pytest.approx((12 - 16 * 0.6) * 205 / 203, rel=1e-6)
    assert found.ammonia_mg_l == pytest.approx(1000 * 12 * 0.45 * 0.144 / 203)
    text = " ".join(away_sentences(found))
    assert "If the feeder drops all its 12 g at once" in text
    none = come_home(FEN, 1.3, 40.0, Trip(16, 0.6, feeder_g=9.0), EXACT)
    assert none.spilled_mg_l is None


def test_a_drip_shut_off_exports_nothing():
    habit = Habit(262.0, 0.30, 42.0, source_mg_l=12.0, drip_l_day=22.0)
    on = come_home(habit, 2.7, 45.0, Trip(14, 0.0, leave_in_days=2.0), EXACT)
    off = come_home(
        habit, 2.7, 45.0, Trip(14, 0.0, leave_in_days=2.0, drip=False), EXACT
    )
    # Without a drip the level climbs by the rate alone.
    climb = off.home_mg_l.estimate - off.leaving_mg_l.estimate
    assert climb == pytest.approx(14 * 2.7)
    assert on.home_mg_l.estimate < off.home_mg_l.estimate


def test_backwashes_do_not_happen_while_away():
    habit = Habit(1020.0, 0.25, 10.0, source_mg_l=8.0, drip_l_day=20.0)
    trip = Trip(14, 0.0, leave_in_days=2.0, backwash_l_day=20.0)
    found = come_home(habit, 2.0, 45.0, trip, EXACT)
    climb = found.home_mg_l.estimate - found.leaving_mg_l.estimate
    assert climb == pytest.approx(14 * 2.0)


# 1.0 - 1.5 x 205/203 = -0.51 mg/L a day without food: plants would go on for ever.
def test_a_level_that_falls_by_itself_is_not_to_be_counted_on():
    found = come_home(FEN, 1.0, 40.0, Trip(10, 0.0), EXACT, home_feed_g_day=1.5)
    assert found.rate_away_mg_l_day == pytest.approx(1.0 - 1.5 * 205 / 203)
    assert "Do not count on it" in " ".join(away_sentences(found))
    rising = come_home(FEN, 2.0, 40.0, Trip(10, 0.0), EXACT, home_feed_g_day=1.5)
    assert "Do not count on it" not in " ".join(away_sentences(rising))


def test_a_tank_without_exchanges_gets_no_advice_on_them():
    habit = Habit(262.0, 0.0, 7.0, source_mg_l=12.0, drip_l_day=22.0)
    found = come_home(habit, 2.7, 45.0, Trip(14, 0.0), EXACT)
    assert "Change 0 %" not in " ".join(away_sentences(found))


def many(count=800):
    rng = np.random.default_rng(3)
    return Draws(
        rng.normal(1.3, 0.15, count),
        rng.normal(40.0, 3.0, count),
        np.zeros(count),
        np.full(count, 5.0),
    )


def test_the_band_holds_level_rate_and_yield():
    trip = Trip(16, 0.6, leave_in_days=0.0, exchange_before=False)
    found = come_home(
        FEN, 1.3, 40.0, trip, STATED_YIELDS["dry"], home_feed_g_day=1.5,
        ceiling_mg_l=50.0, draws=many(),
    )  # fmt: skip
    rng = np.random.default_rng(4)
    c, g = rng.normal(40, 3, 10**6), rng.normal(1.3, 0.15, 10**6)
    y = np.maximum(rng.normal(210, 40, 10**6), 2.1)
    ends = np.maximum(c + 16 * (g - 0.9 * y / 203), 0.0)
    low, high = np.quantile(ends, [0.025, 0.975])
    assert found.home_mg_l.low == pytest.approx(low, abs=0.8)
    assert found.home_mg_l.high == pytest.approx(high, abs=0.8)
    assert found.chance == pytest.approx(np.mean(ends <= 50), abs=0.04)


def test_sentences_put_the_plan_and_refuse_the_giant_exchange():
    trip = Trip(16, 0.6, leave_in_days=10.0)
    found = come_home(
        FEN, 1.3, 31.6, trip, EXACT, home_feed_g_day=1.5, ceiling_mg_l=50.0,
        draws=many(),
    )  # fmt: skip
    said = away_sentences(found, start=dt.date(2026, 9, 13))
    assert "2026-09-23 to 2026-10-09" in said[0]
    assert "with neither it would be" in said[1]
    assert said[2].startswith("Change 33 %, your usual size, the day before you leave")
    assert "one large exchange" in said[2]
    assert "with all the usual food" in said[3]


@pytest.mark.parametrize(
    ("trip", "words"),
    [
        (lambda: Trip(0, 0.5), "days away"),
        (lambda: Trip(400, 0.5), "days away"),
        (lambda: Trip(10, -1), "cannot be negative"),
        (lambda: Trip(10, 1, area_cm2=0.0), "surface"),
    ],
)
def test_trips_that_cannot_be_are_refused(trip, words):
    with pytest.raises(PlanError, match=words):
        trip()
