"""The new water as the floor, and blends with pure water."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from kit.errors import PlanError
from kit.headroom import (
    AddedFish,
    blend_rows,
    blend_table,
    feed_for_fish,
    feed_for_more_alike,
    fish_weight_g,
    pure_share_for,
    source_for,
    source_sentences,
)
from kit.sawtooth import Habit, long_run

CULVERT = Habit(61.0, 0.25, 7.0, source_mg_l=30.0)


def peak_with_plants(source, fraction=0.25):
    """Run the demo tank with plants that take less at a lower level, by scipy."""
    level = source
    for _ in range(200):
        run = solve_ivp(
            lambda _, c: 0.25 * 190 / 61 + 0.05 - 0.40 * c / (3 + c),
            (0, 7),
            [level],
            rtol=1e-9,
            atol=1e-9,
        )
        peak = float(run.y[0, -1])
        level = peak + fraction * (source - peak)
    return peak


# The demo scenario's figures, worked out with plants by another program: 42.8 as it is,
# 36.4 at twice the water, 23.4 with 2 parts pure water to 1.
def test_blending_moves_the_floor_and_more_water_does_not():
    as_it_is = peak_with_plants(30.0)
    assert as_it_is == pytest.approx(42.8, abs=0.1)
    rate = (as_it_is - 30.0) * 0.25 / 7
    twice = long_run(Habit(61.0, 0.5, 7.0, source_mg_l=30.0), rate).peak_mg_l
    assert twice == pytest.approx(peak_with_plants(30.0, 0.5), abs=0.1)
    assert twice == pytest.approx(36.4, abs=0.1)
    blend = blend_table(CULVERT, rate)[3]
    assert blend.source_mg_l == pytest.approx(10.0)
    # Plants take less at the lower level; the kit's peak lies that much under it.
    truth = peak_with_plants(10.0)
    assert truth == pytest.approx(23.4, abs=0.1)
    assert truth - 1.0 < blend.peak_mg_l.estimate < truth


# Mixing by volumes: 1 part of 30 and 2 parts of 0 is 10.
def test_shares_of_pure_water():
    assert pure_share_for(30.0, 10.0) == pytest.approx(2 / 3)
    assert pure_share_for(5.0, 10.0) == 0.0
    with pytest.raises(PlanError, match="below zero"):
        pure_share_for(5.0, -1.0)


@given(
    st.floats(0.05, 1.0), st.floats(1, 40), st.floats(0, 30), st.floats(0, 30),
    st.floats(0.0, 1.0),
)  # fmt: skip
def test_with_the_source_allowed_the_peak_is_the_ceiling(f, days, drip, air, rate):
    habit = Habit(200.0, f, days, drip_l_day=drip, evaporation_l_day=air)
    try:
        most = source_for(habit, rate, 40.0)
    except PlanError:
        assert long_run(habit, rate).peak_mg_l > 40.0 - 1e-6
        return
    held = Habit(200.0, f, days, most, drip, air)
    assert long_run(held, rate).peak_mg_l == pytest.approx(40.0, rel=1e-6)


def test_the_floor_in_words():
    blends = blend_table(CULVERT, 0.457)
    text = " ".join(source_sentences(CULVERT, 0.457, blends))
    assert "no exchange brings the tank below that" in text
    assert "50 % each time, would bring the usual peak to 36 mg/L" in text
    assert "2 parts pure water to 1 part of it the floor is 10 mg/L" in text
    assert blend_rows(blends)[3][1] == "10"
    pure = Habit(61.0, 0.25, 7.0)
    said = source_sentences(pure, 0.457, blend_table(pure, 0.457))
    assert "nothing is gained" in said[0]


# Plain arithmetic: ten fish of 2 g at 1.5 % eat 0.3 g; five more like eight that eat
# 0.8 g eat 0.5 g.
def test_fish_as_food():
    assert feed_for_fish([AddedFish(10, 2.0, 1.5)]) == pytest.approx(0.3)
    assert feed_for_more_alike(0.8, 8, 5) == pytest.approx(0.5)
    with pytest.raises(PlanError, match="how many fish"):
        feed_for_more_alike(0.8, 0, 5)
    with pytest.raises(PlanError, match="negative"):
        feed_for_fish([AddedFish(-1, 2.0)])
    with pytest.raises(PlanError, match="length"):
        fish_weight_g(500.0)


# Twice as long is eight times as heavy: the cube law, whatever the build.
def test_weight_goes_with_the_cube_of_length():
    assert fish_weight_g(8.0) / fish_weight_g(4.0) == pytest.approx(8.0)
