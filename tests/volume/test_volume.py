"""Ways to a tank's volume, their errors, and their mean."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.meta_analysis import combine_effects

from kit.errors import SumError
from kit.volume import (
    CONDUCTIVITY_PER_G_L,
    Found,
    counted_fill,
    found_lines,
    geometry,
    level_fall,
    mean,
    mean_sentences,
    nitrate_exchange,
    salinity,
    settings_lines,
    tracer,
)

DOUBLING = (0, 5, 10, 20, 40, 80, 160)


# --- the ways ------------------------------------------------------------------------


def test_geometry_by_hand() -> None:
    # 120 x 50 x 45 cm = 270 L; sand 120 x 50 x 5 cm = 30 L, six tenths of it grain,
    # 18 L; 20 kg / 2.6 = 7.7 L; 270 - 18 - 7.7 = 244.3.
    assert geometry(120, 50, 45, sand_cm=5, rock_kg=20).litres == pytest.approx(
        244.3, abs=0.05
    )


def test_glass_comes_off_both_sides_and_the_floor() -> None:
    # Over 10 mm panes the same tank measures 122 x 52 x 46.
    outside = geometry(122, 52, 46, sand_cm=5, rock_kg=20, glass_mm=10)
    inside = geometry(120, 50, 45, sand_cm=5, rock_kg=20)
    assert outside.litres == pytest.approx(inside.litres)


def test_geometry_error_agrees_with_simulation() -> None:
    # Reference: numpy draws of each number with the errors the docstring states.
    dice = np.random.default_rng(3)
    n = 200_000
    length, width, line = (dice.normal(v, 0.5, n) for v in (120, 50, 45))
    sand, holes = dice.normal(5, 1.0, n), dice.normal(0.4, 0.05, n)
    rock, weight = dice.normal(20, 2.0, n), dice.normal(2.6, 0.2, n)
    litres = length * width * (line - (1 - holes) * sand) / 1000 - rock / weight
    litres = litres * dice.normal(1, 0.02, n)
    found = geometry(120, 50, 45, sand_cm=5, rock_kg=20)
    assert found.sd_l == pytest.approx(litres.std(), rel=0.02)
    assert 2 < found.error_percent < 6  # job: 3 to 6 %, common practice, no source


def test_level_fall_error_agrees_with_simulation() -> None:
    dice = np.random.default_rng(4)
    n = 200_000
    litres = (
        dice.normal(54, 1.08, n)
        / dice.normal(10, 0.2, n)
        * (
            dice.normal(45, 0.5, n)
            - (1 - dice.normal(0.4, 0.05, n)) * dice.normal(5, 1, n)
        )
        * dice.normal(1, 0.03, n)
    )
    found = level_fall(54, 10, 120, 50, 45, sand_cm=5)
    assert found.litres == pytest.approx(54 / 10 * 42)
    assert found.sd_l == pytest.approx(litres.std(), rel=0.02)


def test_level_fall_of_an_empty_box_is_the_box() -> None:
    # 120 x 50 cm falls 10 cm for each 60 L.
    assert level_fall(60, 10, 120, 50, 45).litres == pytest.approx(270)


def test_counted_fill() -> None:
    # Mark 1 % in all buckets alike, each filled to 3 %: sqrt(1 + 9/34.2) %.
    found = counted_fill(34.2, 10)
    assert found.litres == pytest.approx(342)
    assert found.error_percent == pytest.approx(math.sqrt(1 + 9 / 34.2))
    assert found.error_percent <= 2  # job: 1 to 2 %, common practice, no source


def test_tracer_finds_what_the_dose_was_spread_in() -> None:
    # 34.2 g in 342 L is 0.1 g/L.
    assert tracer(34.2, 0.2, 0.3).litres == pytest.approx(342)


@pytest.mark.parametrize(
    ("ionic", "slope"), [(0.001, 2090), (0.005, 2000), (0.01, 1930)]
)
def test_conductivity_of_salt_by_the_limiting_law(ionic: float, slope: float) -> None:
    # Debye-Huckel-Onsager for NaCl at 25 C, from memory (textbooks of physical
    # chemistry): 126.45 - (60.20 + 0.229 x 126.45) sqrt(c) S cm2/mol; the slope of the
    # conductivity is its derivative in c. M(NaCl) 58.44 g/mol.
    molar = 126.45 - 1.5 * (60.20 + 0.229 * 126.45) * math.sqrt(ionic)
    per_g_l = molar / 58.44 * 1000
    assert per_g_l == pytest.approx(slope, rel=0.005)
    assert pytest.approx(per_g_l, rel=0.05) == CONDUCTIVITY_PER_G_L


def test_salinity_keeps_the_salt() -> None:
    # 214 L at 35.0 loses 10.5 L: salt 214 x 35.0 in 203.5 L is 36.806 (by hand).
    low = salinity(10.5, 36.806, 35.0)
    assert low.litres == pytest.approx(203.5, abs=0.1)
    assert salinity(10.5, 36.806, 35.0, filled=True).litres == pytest.approx(
        214, abs=0.1
    )


def test_a_coarse_salinity_meter_says_how_little_it_gives() -> None:
    found = salinity(10.5, 36.8, 35.0, reading_sd=0.3)
    assert found.error_percent > 20
    assert "larger top-up" in found.said[0]
    with pytest.raises(SumError, match="differ by less than twice their own error"):
        salinity(3, 35.5, 35.0, reading_sd=0.3)


def test_nitrate_before_and_after() -> None:
    # 0.40 of the water at new-water nitrate 5: 36 -> 23.6; a meter of 5 % gives single
    # fractions of 0.30 to 0.49 (5 to 95 %) in the simulation of the job description.
    found = nitrate_exchange(
        80, 36, 23.6, 5, reading_part=0.05, exchanged_part=0, new_sd_mg_l=0
    )
    assert found.litres == pytest.approx(200)
    fractions = [80 / (found.litres + z * found.sd_l) for z in (1.645, -1.645)]
    assert fractions[0] == pytest.approx(0.30, abs=0.05)
    assert fractions[1] == pytest.approx(0.49, abs=0.05)
    assert "poor way" in found.said[0]


def test_two_neighbouring_squares_give_no_volume() -> None:
    # On the doubling card 40 is 28 to 57 and 20 is 14 to 28: they touch.
    with pytest.raises(SumError, match="could be the same level"):
        nitrate_exchange(137, 40, 20, 5, steps_mg_l=DOUBLING)


def test_squares_far_apart_give_a_wide_volume() -> None:
    # Reference: levels anywhere in the two bands, with the eye's 12 %, drawn by numpy.
    dice = np.random.default_rng(5)
    n = 200_000
    before = dice.uniform(math.sqrt(3200), math.sqrt(12800), n) * dice.normal(
        1, 0.12, n
    )
    after = dice.uniform(math.sqrt(200), math.sqrt(800), n) * dice.normal(1, 0.12, n)
    litres = 200 * (before - 5) / (before - after)
    found = nitrate_exchange(200, 80, 20, 5, steps_mg_l=DOUBLING)
    assert found.litres == pytest.approx(float(np.median(litres)), rel=0.05)
    assert found.sd_l == pytest.approx(litres.std(), rel=0.35)
    assert found.error_percent > 8


@pytest.mark.parametrize(
    "bad",
    [
        lambda: geometry(0, 50, 45),
        lambda: geometry(120, 50, math.nan),
        lambda: geometry(120, 50, 45, sand_cm=60),
        lambda: geometry(120, 50, 45, rock_kg=-1),
        lambda: geometry(20, 20, 20, rock_kg=100),
        lambda: geometry(120, 50, 45, glass_mm=300),
        lambda: level_fall(100, 10, 120, 50, 45),
        lambda: level_fall(54, 0, 120, 50, 45),
        lambda: counted_fill(0, 10),
        lambda: tracer(30, 0.3, 0.2),
        lambda: salinity(10, 35, 36),
        lambda: nitrate_exchange(50, 40, 30, 45),
        lambda: nitrate_exchange(50, 160, 20, 5, steps_mg_l=DOUBLING),
        lambda: mean([]),
        lambda: mean([Found("geometry", 100, 0)]),
    ],
)
def test_impossible_numbers_are_refused_in_a_sentence(bad: object) -> None:
    with pytest.raises(SumError, match=r"[a-z]{3}.*\.$"):
        bad()  # type: ignore[operator]


@given(st.floats(20, 300), st.floats(20, 100), st.floats(15, 90), st.floats(0, 10))
def test_twice_the_size_is_eight_times_the_water(
    length: float, width: float, line: float, sand: float
) -> None:
    one = geometry(length, width, line, sand_cm=sand)
    two = geometry(2 * length, 2 * width, 2 * line, sand_cm=2 * sand)
    assert two.litres == pytest.approx(8 * one.litres)


# --- the mean ------------------------------------------------------------------------


def test_weighted_mean_of_a_textbook() -> None:
    # Taylor, An Introduction to Error Analysis, weighted averages: resistances 11 +- 1,
    # 12 +- 1 and 10 +- 3 ohm have the mean 11.42 +- 0.69 (from memory; arithmetic
    # (11 + 12 + 10/9) / (2 + 1/9) redone).
    found = mean([Found("a", 11, 1), Found("b", 12, 1), Found("c", 10, 3)])
    assert found.litres == pytest.approx(11.42, abs=0.005)
    assert found.sd_l == pytest.approx(0.69, abs=0.005)
    assert found.agree


@pytest.mark.parametrize(
    "ways", [[(342, 12), (335, 5), (360, 9)], [(342, 3), (300, 5), (360, 9)]]
)
def test_mean_agrees_with_statsmodels(ways: list[tuple[float, float]]) -> None:
    litres, sds = np.array(ways, float).T
    reference = combine_effects(litres, sds**2)
    found = mean([Found("geometry", v, s) for v, s in ways])
    assert found.litres == pytest.approx(reference.mean_effect_fe)
    assert found.sd_l / found.widened == pytest.approx(reference.sd_eff_w_fe)
    assert found.chi_square == pytest.approx(reference.q)
    assert found.chance == pytest.approx(stats.chi2.sf(reference.q, len(ways) - 1))
    assert sum(found.shares) == pytest.approx(1)


def test_ways_that_disagree_widen_the_error_and_say_so() -> None:
    # The scale factor of the Particle Data Group's averages: sqrt(chi2 / (n - 1)) (from
    # memory). Here chi2 = (100 - 120)^2 / (2 x 16) x ... = 20^2 / 32 = 12.5, n - 1 = 1.
    found = mean([Found("geometry", 100, 4), Found("tracer", 120, 4)])
    assert found.chi_square == pytest.approx(12.5)
    assert not found.agree
    assert found.sd_l == pytest.approx(4 / math.sqrt(2) * math.sqrt(12.5))
    assert "do not agree" in mean_sentences(found)[1]


def test_one_way_is_its_own_mean() -> None:
    found = mean([Found("tracer", 120, 4)])
    assert (found.litres, found.sd_l, found.agree) == (120, 4, True)
    assert found.how == "tracer"
    assert "only one way" in mean_sentences(found)[1]


WAY = st.tuples(st.floats(10, 1000), st.floats(0.5, 100)).map(
    lambda p: Found("geometry", p[0], p[1])
)


@given(st.lists(WAY, min_size=1, max_size=6))
def test_mean_lies_between_its_ways_and_is_no_less_sure(ways: list[Found]) -> None:
    found = mean(ways)
    litres = [w.litres for w in ways]
    assert min(litres) - 1e-6 <= found.litres <= max(litres) + 1e-6
    assert found.sd_l / found.widened <= min(w.sd_l for w in ways) + 1e-9
    assert mean(ways[::-1]).litres == pytest.approx(found.litres)


def test_weighted_mean_covers_as_it_says() -> None:
    # By construction: three ways with normal errors; 2,000 tanks, sampling error 0.5
    # points. Widening on a chance disagreement may only add.
    dice = np.random.default_rng(11)
    held = 0
    for _ in range(2000):
        ways = [Found("geometry", dice.normal(300, sd), sd) for sd in (12.0, 5.0, 9.0)]
        found = mean(ways)
        held += abs(found.litres - 300) < 1.96 * found.sd_l
    assert 0.935 <= held / 2000 <= 0.985


# --- the words -----------------------------------------------------------------------


def test_words_and_lines() -> None:
    ways = [geometry(120, 50, 45, sand_cm=5, rock_kg=20), counted_fill(24.2, 10)]
    found = mean(ways)
    # By hand: weights 1/7.52^2 and 1/2.83^2 give 242.3 +- 2.65.
    assert mean_sentences(found)[0] == (
        "The tank holds about 242 L (237 L to 247 L, 19 times in 20); two times in "
        "three the error is at most 1.1 %."
    )
    assert "US gal" in mean_sentences(found, "us")[0]
    assert found_lines(ways)[1].startswith("counted fill: 242 L, give or take 1.2 %")
    lines = settings_lines(ways)
    assert lines.count("[[volume_found]]") == 2
    assert 'how = "geometry"' in lines
