"""How wide a colour is, dilution, and readings of nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from kit.errors import SumError
from kit.sawtooth import Habit
from kit.testkit import (
    best_dilution,
    colour_of,
    colour_sentences,
    colours,
    dilution,
    dilution_sentences,
    read_diluted,
    reading_chances,
    zero_reading,
    zero_sentences,
)

DOUBLING = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
MIXED = (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0)
STRIP = (0.0, 10.0, 25.0, 50.0, 100.0, 250.0)
LOW = (0.0, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0)
CARDS = st.sampled_from((DOUBLING, MIXED, STRIP, LOW))


def test_bands_of_the_doubling_card() -> None:
    # Geometric midpoints by hand: 5 = 2.5-7.1, 10 = 7.1-14.1, 20 = 14-28, 40 = 28-57,
    # 80 = 57-113, 160 = more than 113, 0 = less than 2.5.
    seen = [(round(c.low_mg_l, 1), c.high_mg_l) for c in colours(DOUBLING, 0.0)]
    assert [low for low, _ in seen] == [0, 2.5, 7.1, 14.1, 28.3, 56.6, 113.1]
    assert [high and round(high) for _, high in seen] == [2, 7, 14, 28, 57, 113, None]


def test_noise_widens_to_one_level_in_forty() -> None:
    # Reference: scipy's normal distribution.
    forty = colours(DOUBLING, 0.12)[4]
    assert norm.sf(math.log(28.2843 / forty.widest_low_mg_l) / 0.12) == pytest.approx(
        0.025, abs=1e-4
    )
    assert forty.widest_high_mg_l == pytest.approx(56.5685 * math.exp(1.959964 * 0.12))


def test_chances_agree_with_drawn_readings() -> None:
    # Reference: 200,000 draws; sampling error at most 0.0011.
    dice = np.random.default_rng(2)
    seen = 33 * np.exp(dice.normal(0, 0.2, 200_000))
    edges = [math.sqrt(a * b) for a, b in ((5, 10), (10, 20), (20, 40), (40, 80))]
    places = np.searchsorted([2.5, *edges, math.sqrt(80 * 160)], seen)
    drawn = np.bincount(places, minlength=7) / len(seen)
    assert reading_chances(33, DOUBLING, 0.2) == pytest.approx(drawn, abs=0.005)


@given(CARDS, st.floats(0.01, 600), st.floats(0, 0.5))
def test_chances_are_chances(
    card: tuple[float, ...], level: float, noise: float
) -> None:
    found = reading_chances(level, card, noise)
    assert sum(found) == pytest.approx(1)
    assert min(found) >= 0


@given(CARDS, st.floats(0.01, 600))
def test_a_level_lies_in_its_own_colour(card: tuple[float, ...], level: float) -> None:
    colour = colours(card, 0.0)[colour_of(level, card)]
    assert colour.low_mg_l <= level
    assert colour.high_mg_l is None or level < colour.high_mg_l


@pytest.mark.parametrize("card", [(), (5,), (0, 10, 5), (-1, 5), (0, 0, 5)])
def test_no_card(card: tuple[float, ...]) -> None:
    with pytest.raises(SumError, match="each larger than the one before"):
        colours(card)


def test_words_of_a_colour() -> None:
    card = colours(DOUBLING, 0.12)
    assert colour_sentences(card[4], 0.12)[0] == (
        "A reading of 40 on this card means 28 to 57 mg/L."
    )
    assert (
        "22 to 72 mg/L" in colour_sentences(card[4], 0.12)[1]
    )  # 28.3/1.265, 56.6x1.265
    assert "no proof of none" in colour_sentences(card[0], 0.12)[-1]
    assert "dilute the sample" in colour_sentences(card[6], 0.12)[-1]


# --- dilution ------------------------------------------------------------------------


def test_two_and_one_gives_new_edges_at_21_42_85() -> None:
    # By hand: 1.5 times the card's edges 14.1, 28.3 and 56.6.
    wide = dilution(14.2, 113, DOUBLING, (2, 1))
    assert [round(e) for e in wide.edges_mg_l] == [21, 42, 85]
    assert wide.factor == 1.5


def test_one_and_one_adds_nothing_on_a_doubling_card() -> None:
    low, high = math.sqrt(20 * 40), math.sqrt(40 * 80)
    assert dilution(low, high, DOUBLING, (1, 1)).edges_mg_l == ()
    assert (
        "adds nothing"
        in dilution_sentences((low, high), dilution(low, high, DOUBLING, (1, 1)))[1]
    )


@pytest.mark.parametrize("step", [20, 40, 80])
def test_two_and_one_is_proposed_inside_the_doubling_card(step: float) -> None:
    low, high = step / math.sqrt(2), step * math.sqrt(2)
    found = best_dilution(low, high, DOUBLING)
    assert found is not None
    assert found.name == "2 + 1"
    assert [round(e, 1) for e in found.edges_mg_l] == [round(1.5 * low, 1)]


def test_one_and_three_is_proposed_past_the_end_of_the_card() -> None:
    found = best_dilution(math.sqrt(80 * 160), None, DOUBLING)
    assert found is not None
    assert (found.name, found.factor) == ("1 + 3", 4)
    # By hand: 4 times 56.6 and 113.1.
    assert [round(e) for e in found.edges_mg_l] == [226, 453]


def test_no_dilution_finds_less_than_the_lowest_band() -> None:
    assert best_dilution(0, 2.5, DOUBLING) is None
    assert "No dilution helps" in dilution_sentences((0, 2.5), None)[0]


@given(CARDS, st.floats(0.1, 300), st.sampled_from([(2, 1), (1, 1), (3, 1), (1, 3)]))
def test_both_readings_of_a_perfect_eye_hold_the_level(
    card: tuple[float, ...], level: float, parts: tuple[int, int]
) -> None:
    own = colours(card, 0.0)[colour_of(level, card)]
    weak = level * parts[0] / sum(parts)
    value = card[colour_of(weak, card)]
    both = read_diluted((own.low_mg_l, own.high_mg_l), value, card, parts)
    assert both is not None
    assert both[0] <= level * (1 + 1e-9)
    assert both[1] is None or level <= both[1] * (1 + 1e-9)


def test_readings_that_contradict_each_other() -> None:
    assert read_diluted((28.3, 56.6), 80, DOUBLING, (2, 1)) is None


# --- a reading of nothing ------------------------------------------------------------


def test_food_that_a_reading_of_nothing_contradicts() -> None:
    # By hand: 0.2 g x 200 mg/g / 48 L = 0.8333 a day; peak 2 + 0.8333 x 7 / 0.3 = 21.4;
    # under 2.5 hides (2.5 - 2) x 0.3 / 7 = 0.0214, so uptake 0.8119 or more.
    found = zero_reading(0.2, 200, Habit(48, 0.3, 7, source_mg_l=2), 2.5)
    assert found.expected_mg_l == pytest.approx(21.44, abs=0.005)
    assert found.uptake_needed_mg_l_day == pytest.approx(0.8119, abs=1e-4)
    assert not found.hides
    assert "known solution" in zero_sentences(found)[1]


def test_food_that_hides_under_the_lowest_colour() -> None:
    found = zero_reading(0.01, 200, Habit(100, 0.5, 7), 2.5)
    assert found.hides
    assert found.uptake_needed_mg_l_day == 0
    assert "agrees with the food" in zero_sentences(found)[0]


def test_new_water_above_the_limit_is_said() -> None:
    found = zero_reading(0.2, 200, Habit(48, 0.3, 7, source_mg_l=10), 2.5)
    assert "new water alone" in zero_sentences(found)[-1]


def test_nothing_ever_leaves() -> None:
    with pytest.raises(SumError, match="nothing leaves"):
        zero_reading(0.2, 200, Habit(48, 0.0, 7), 2.5)
