"""The way down: an integrator with events, printed examples, and its laws."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.catchup import (
    Caps,
    Pulled,
    TwoWaters,
    catch_up,
    catch_up_rows,
    catch_up_sentences,
    check_water,
    one_go,
    stated_start,
    water_sentences,
)
from kit.draws import Draws
from kit.errors import PlanError
from kit.logbook import Tank
from kit.sawtooth import Habit

BACKWATER = Habit(168.0, 0.0, 7.0, source_mg_l=5.0, loss_per_day=0.004)
DOUBLING = Tank(kit_steps_mg_l=(0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0))


def by_integrator(start, target, days, percent, step=None, most=400):
    """Count exchanges with scipy's integrator between them; no formula of the kit."""
    level, fractions = start, []
    while len(fractions) < most:
        f = percent / 100
        if step is not None:
            f = min(f, step / (level - 5.0))
        fractions.append(f)
        level -= f * (level - 5.0)
        if level <= target:
            break
        run = solve_ivp(
            lambda _, c: 1.325 - 0.004 * c, (0, days), [level], rtol=1e-10, atol=1e-10
        )
        level = float(run.y[0, -1])
    return fractions, level


# A demo tank that stands at 229 mg/L with tap water of 5, a rise of 1.325 and a loss of
# 0.004 a day, target 40; the counts were worked out before this module existed.
@pytest.mark.parametrize(
    ("percent", "days", "step", "count", "last_day"),
    [
        (15, 3, None, 16, 45),
        (20, 3, None, 10, 27),
        (25, 7, None, 10, 63),
        (25, 3, 30, 9, 24),
        (10, 1, None, 21, 20),
    ],
)
def test_schedules_agree_with_an_integrator(percent, days, step, count, last_day):
    fractions, end = by_integrator(229.0, 40.0, days, percent, step)
    found = catch_up(
        BACKWATER, 1.325, 229.0, 40.0, Caps(percent, days, nitrate_step_mg_l=step)
    )
    assert [t.fraction for t in found.turns] == pytest.approx(fractions, rel=1e-8)
    assert found.turns[-1].after.estimate == pytest.approx(end, rel=1e-8)
    assert (len(fractions), found.days) == (count, last_day)
    assert found.litres == pytest.approx(168.0 * sum(fractions))


def test_a_step_cap_starts_small_and_grows():
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(25, 3, nitrate_step_mg_l=30.0))
    whole = [round(100 * t.fraction) for t in found.turns]
    assert whole[:5] == [13, 15, 18, 21, 25]
    assert {t.why for t in found.turns} == {
        "your nitrate step",
        "your largest exchange",
    }
    assert found.turns[0].before.estimate - found.turns[0].after.estimate == (
        pytest.approx(30.0)
    )


# From 80 down to 20 with tap water of 5, nothing made: ln(15/75)/ln(1 - f) exchanges,
# the standard result for repeated dilution; tap left out would give 5 and 4.
@pytest.mark.parametrize(("percent", "count"), [(25, 6), (30, 5), (50, 3)])
def test_repeated_dilution(percent, count):
    assert math.ceil(math.log(15 / 75) / math.log(1 - percent / 100)) == count
    habit = Habit(100.0, 0.0, 1.0, source_mg_l=5.0)
    found = catch_up(habit, 0.0, 80.0, 20.0, Caps(percent, 1.0))
    assert len(found.turns) == count


# Mass balance of one exchange, by hand: (229 - 40)/(229 - 5) = 0.84375.
def test_one_go_is_refused_with_its_reasons():
    assert one_go(229.0, 5.0, 40.0) == 0.84375
    assert one_go(30.0, 5.0, 40.0) == 0.0
    assert one_go(30.0, 25.0, 20.0) == math.inf
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(20, 3))
    text = " ".join(catch_up_sentences(found))
    assert "In one go it would take 84 % of the water" in text
    assert "does not plan" in text
    assert "acidity, hardness, dissolved solids and warmth" in text
    # (45 - 40)/(45 - 5) = 12.5 %, within the limit at once but not within a step of 2.
    small = catch_up(BACKWATER, 0.1, 45.0, 40.0, Caps(20, 3, nitrate_step_mg_l=2.0))
    said = " ".join(catch_up_sentences(small))
    assert "would do it, but your nitrate step asks for smaller ones" in said
    # (50 - 40)/(50 - 5) = 22 %, a little over the limit.
    near = catch_up(BACKWATER, 0.1, 50.0, 40.0, Caps(20, 3))
    assert "22 % of the water, more than your limit of 20 %" in " ".join(
        catch_up_sentences(near)
    )
    single = catch_up(BACKWATER, 1.325, 42.0, 40.0, Caps(20, 3))
    assert "In one go" not in " ".join(catch_up_sentences(single))


# The level every exchange of 10 % a week ends at is 5 + 1.3 x 7/0.1 = 96, over 20.
def test_what_cannot_be_held_is_said_before_planning():
    habit = Habit(168.0, 0.0, 7.0, source_mg_l=5.0)
    with pytest.raises(PlanError, match=r"10 % every 7 days .* peaks of 96 mg/L"):
        catch_up(habit, 1.3, 229.0, 20.0, Caps(10, 7))
    with pytest.raises(PlanError, match="already holds 5 mg/L"):
        catch_up(habit, 1.3, 229.0, 5.0, Caps(20, 3))
    # A step of 3 mg/L every 3 days cannot outrun a rise of 1.3: 3.9 in 3 days.
    with pytest.raises(PlanError, match="your nitrate step"):
        catch_up(habit, 1.3, 229.0, 40.0, Caps(20, 3, nitrate_step_mg_l=3.0))
    with pytest.raises(PlanError, match="more than 200 exchanges"):
        catch_up(habit, 0.0, 229.0, 40.0, Caps(0.1, 1))


def test_nothing_to_do_is_said():
    found = catch_up(BACKWATER, 1.325, 30.0, 40.0, Caps(20, 3))
    assert found.turns == ()
    assert "no catch-up is needed" in catch_up_sentences(found)[0]


# Dissolved solids of 900 against 300 in the tap, by hand: 15 % takes 90, which is 10 %
# of 900; 25 % takes 150, 16.7 %.
@pytest.mark.parametrize(("percent", "fraction"), [(10.0, 0.15), (100 / 6, 0.25)])
def test_a_cap_on_dissolved_solids(percent, fraction):
    solids = Pulled("dissolved solids", "mg/L", 900.0, 300.0, most_percent=percent)
    assert solids.fraction_at(900.0) == pytest.approx(fraction)
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(50, 3, pulled=(solids,)))
    first, second = found.turns[:2]
    assert first.fraction == pytest.approx(fraction)
    assert first.why == "your limit for dissolved solids"
    # What was pulled stays pulled: the next may be larger.
    assert second.pulled[0][0] == first.pulled[0][1]
    assert second.fraction > first.fraction


# Mixing by volumes: 20 % at 15 K colder is 3 K; 2 K allow 2/15 = 13.3 %.
def test_warmth_returns_and_caps_every_exchange():
    warmth = Pulled("temperature", "°C", 25.0, 10.0, most=2.0, returns=True)
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(20, 1, pulled=(warmth,)))
    assert {round(t.fraction, 6) for t in found.turns} == {round(2 / 15, 6)}
    assert {t.pulled[0] for t in found.turns} == {(25.0, 23.0)}
    rows = catch_up_rows(found, DOUBLING)
    assert "temperature moves more than 2 °C" in rows[0][-1]


def test_percent_a_day_caps_the_interval():
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(50, 3, percent_a_day=5.0))
    assert found.turns[0].fraction == pytest.approx(0.15)
    assert found.turns[0].why == "your percent a day"


@given(
    st.floats(60, 400),
    st.floats(0, 3),
    st.floats(5, 60),
    st.floats(1, 10),
    st.one_of(st.none(), st.floats(10, 80)),
)
def test_a_plan_keeps_its_caps_and_ends_at_the_target(start, rate, percent, days, step):
    caps = Caps(percent, days, nitrate_step_mg_l=step)
    try:
        found = catch_up(
            Habit(100.0, 0.0, 1.0, source_mg_l=5.0), rate, start, 40.0, caps
        )
    except PlanError:
        return
    levels = [t.after.estimate for t in found.turns]
    assert levels[-1] <= 40.0
    assert all(level > 40.0 for level in levels[:-1])
    for turn in found.turns:
        assert 0.0 < turn.fraction <= percent / 100 + 1e-12
        if step is not None:
            assert turn.before.estimate - turn.after.estimate <= step + 1e-9


def draws(rng, count=2000):
    return Draws(
        rng.normal(1.3, 0.2, count),
        rng.uniform(200.0, 240.0, count),
        np.zeros(count),
        np.full(count, 5.0),
    )


def test_the_band_is_that_of_the_draws_carried_one_by_one():
    many = draws(np.random.default_rng(5), 400)
    found = catch_up(BACKWATER, 1.3, 220.0, 40.0, Caps(20, 3), draws=many)
    ends = []
    for g, c in zip(many.rate_mg_l_day, many.level_mg_l, strict=True):
        for i in range(4):
            c = 0.8 * c + 0.2 * 5.0
            if i < 3:
                run = solve_ivp(
                    lambda _, y, g=g: g - 0.004 * y, (0, 3), [c], rtol=1e-8, atol=1e-8
                )
                c = float(run.y[0, -1])
        ends.append(c)
    low, high = np.quantile(ends, [0.025, 0.975])
    fourth = found.turns[3].after
    assert (fourth.low, fourth.high) == pytest.approx((low, high), rel=1e-5)
    assert found.needed.low <= found.needed.estimate <= found.needed.high
    assert 0.0 < found.chance < 1.0


def test_the_tanks_own_noise_widens_the_band():
    quiet = draws(np.random.default_rng(5))
    noisy = Draws(
        quiet.rate_mg_l_day, quiet.level_mg_l, np.full(2000, 2.0), quiet.source_mg_l
    )
    widths = [
        (lambda b: b.high - b.low)(
            catch_up(BACKWATER, 1.3, 220.0, 40.0, Caps(20, 3), draws=d).turns[-1].after
        )
        for d in (quiet, noisy)
    ]
    assert widths[1] > widths[0]


def test_a_test_of_the_keepers_own_sets_the_start():
    many = stated_start(draws(np.random.default_rng(5)), 200.0, 240.0)
    assert many.level_mg_l.min() >= 200.0
    assert many.level_mg_l.max() <= 240.0
    # An even spread: mean 220, standard deviation 40/sqrt(12).
    assert many.level_mg_l.mean() == pytest.approx(220.0, abs=0.1)
    assert many.level_mg_l.std() == pytest.approx(40 / math.sqrt(12), rel=0.01)


def test_dates_rows_and_stop_signs():
    found = catch_up(
        BACKWATER,
        1.3,
        220.0,
        40.0,
        Caps(20, 3),
        draws=draws(np.random.default_rng(5)),
        now=dt.date(2026, 9, 14),
    )
    assert found.turns[2].date == dt.date(2026, 9, 20)
    rows = catch_up_rows(found, DOUBLING)
    assert len(rows) == len(found.turns)
    assert rows[0][0].startswith("1. 2026-09-14: 20 % (33.6 L)")
    # 0.8 x 220 + 1 = 177, off the card: a quarter of it, 44, reads 40.
    assert "177" in rows[0][2]
    assert "1 part tank water" in rows[0][3]
    assert all("gasp" in row[-1] for row in rows)
    # An expected step may stand for more than the band: only a higher one stops.
    assert all("higher step than expected" in row[-1] for row in rows)
    metered = catch_up_rows(found, Tank(kit_resolution_mg_l=1.0))
    assert all("means more than" in row[-1] for row in metered)
    assert "2026-09-14 to" in catch_up_sentences(found)[0]


# Ten days at 1.325 less 0.4 % a day, by scipy's integrator, before the first exchange.
def test_waiting_lets_the_level_climb():
    run = solve_ivp(
        lambda _, c: 1.325 - 0.004 * c, (0, 10), [229.0], rtol=1e-10, atol=1e-10
    )
    found = catch_up(
        BACKWATER,
        1.325,
        229.0,
        40.0,
        Caps(20, 3),
        now=dt.date(2026, 9, 14),
        wait_days=10.0,
    )
    assert found.start_mg_l.estimate == pytest.approx(float(run.y[0, -1]), rel=1e-8)
    assert found.turns[0].date == dt.date(2026, 9, 24)


def test_a_percent_is_never_written_above_its_limit():
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(25, 3, nitrate_step_mg_l=30.0))
    for row, turn in zip(catch_up_rows(found, DOUBLING), found.turns, strict=True):
        written = float(row[0].partition(": ")[2].partition(" %")[0])
        assert turn.fraction * 100 - 0.1 <= written <= turn.fraction * 100 + 1e-6


# 2 mg/L of total ammonia at pH 6.2 and 7.4, 25 °C: 0.002 and 0.028 mg/L by Emerson and
# others (1975), pKa 9.2464 at 25 °C, so 2/(1 + 10**3.0464) and 2/(1 + 10**1.8464).
def test_ammonia_at_the_acidity_after_mixing():
    found = catch_up(BACKWATER, 1.325, 229.0, 40.0, Caps(20, 3))
    check = check_water(found, TwoWaters(6.2, 7.4, 2.0, 25.0, 25.0, 0.5, 5.0))
    assert check.ammonia.nh3_before_mg_l == pytest.approx(
        2 / (1 + 10**3.0464), rel=2e-3
    )
    # The exchange thins total ammonia to 1.6 as well.
    assert check.ammonia.nh3_most_mg_l == pytest.approx(
        1.6 / (1 + 10**1.8464), rel=2e-3
    )
    said = water_sentences(check)
    assert "0.002 mg/L now" in said[0]
    assert "it rises" in said[0]
    # One milliequivalent a millimole: 224/62.005 mmol/L x 2.804 dKH a milliequivalent.
    assert check.reserve.used_dkh == pytest.approx(224 / 62.005 * 2.804, rel=1e-3)
    assert "nothing is left to hold the pH" in said[1]
    hard = check_water(found, TwoWaters(6.2, 8.4, 2.0, 25.0, 25.0))
    assert "Do not begin" in water_sentences(hard)[0]
    # What forbids to begin stands before the plan.
    assert "Do not begin" in catch_up_sentences(found, hard)[0]
    assert catch_up_sentences(found, check)[0].startswith("Coming down")
    none = water_sentences(check_water(found, TwoWaters()))
    assert "cannot be judged" in none[0]


@pytest.mark.parametrize(
    ("caps", "words"),
    [
        (lambda: Caps(0, 3), "largest exchange"),
        (lambda: Caps(20, 0), "days between"),
        (lambda: Caps(20, 3, nitrate_step_mg_l=-1), "above zero"),
        (lambda: Pulled("warmth", "K", 25.0, 10.0, most=0.0), "limit for warmth"),
        (lambda: Pulled("warmth", "K", math.nan, 10.0), "as numbers"),
    ],
)
def test_caps_that_allow_nothing_are_refused(caps, words):
    with pytest.raises(PlanError, match=words):
        caps()
