"""Scores of foretold bands against published formulas and other programs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import ttest_1samp

from kit.ahead import compare, interval_score, miss, share_held


def test_interval_score_by_the_published_formula():
    """Gneiting and Raftery (2007), JASA 102:359, equation 43, worked by hand."""
    assert interval_score(10, 20, 15, level=0.95) == pytest.approx(10)
    # 2/0.05 = 40 for each unit outside.
    assert interval_score(10, 20, 8, level=0.95) == pytest.approx(10 + 80)
    assert interval_score(10, 20, 21, level=0.8) == pytest.approx(10 + 10)


def test_interval_score_of_a_true_normal_band():
    """Mean 4 phi(z)/alpha: with z 1.644854 and phi 0.103136 (normal tables) 4.12544."""
    x = np.random.default_rng(1).standard_normal(200_000)
    scored = np.mean(
        [interval_score(-1.644854, 1.644854, v, level=0.9) for v in x[:40_000]]
    )
    assert scored == pytest.approx(4 * 0.103136 / 0.1, rel=0.02)


@given(st.floats(-50, 50), st.floats(0, 50), st.floats(-99, 99))
def test_interval_score_is_two_quantile_losses(low, width, seen):
    """The same paper: the score is 2/alpha times both quantile losses."""
    high, alpha = low + width, 0.2

    def loss(quantile, tail):
        return (tail - (seen < quantile)) * (seen - quantile)

    both = 2 / alpha * (loss(low, alpha / 2) + loss(high, 1 - alpha / 2))
    assert interval_score(low, high, seen, level=0.8) == pytest.approx(both, abs=1e-9)


@given(st.floats(0, 100), st.floats(0, 50), st.floats(0, 100), st.floats(0, 50))
def test_a_reading_in_a_band_is_blamed_for_no_more_than_any_point_of_it(
    low, width, seen, wide
):
    banded = interval_score(low, low + width, seen, seen + wide, level=0.95)
    for part in (0.0, 0.3, 1.0):
        point = interval_score(low, low + width, seen + part * wide, level=0.95)
        assert banded <= point + 1e-9


def test_a_reading_open_above_is_never_too_low():
    assert miss(200.0, 113.0, math.inf) == 0.0
    assert miss(100.0, 113.0, math.inf) == 13.0
    assert interval_score(10, 400, 113, math.inf, level=0.8) == 390


@pytest.mark.parametrize("level", [0.8, 0.95])
def test_a_true_forecast_holds_what_it_claims_however_wide_the_steps(level):
    """Czado, Gneiting and Held (2009): the spread transform is uniform."""
    rng = np.random.default_rng(3)
    share = np.array([0.05, 0.3, 0.45, 0.15, 0.05])
    ends = np.concatenate([[0.0], np.cumsum(share)])
    seen = rng.choice(5, size=20_000, p=share)
    held = np.mean([share_held(ends[i], ends[i + 1], level) for i in seen])
    assert held == pytest.approx(level, abs=0.01)


def test_a_difference_is_judged_as_a_t_test_does_without_overlap():
    rng = np.random.default_rng(8)
    winners = set()
    for _ in range(60):
        ours, theirs = rng.gamma(2.0, 1.0, 14), rng.gamma(2.0, 1.5, 14)
        p = ttest_1samp(ours - theirs, 0.0).pvalue
        found = compare(ours, theirs)
        side = "kit" if ours.mean() < theirs.mean() else "plain"
        assert found.winner == (side if p < 0.025 else "open")
        winners.add(found.winner)
    assert {"kit", "open"} <= winners


def test_few_days_say_nothing_and_equal_ones_no_difference():
    assert compare([0.0] * 7, [9.0] * 7).winner == "short"
    assert compare([2.0] * 9, [2.0] * 9).winner == "open"
    assert compare([2.0] * 9, [3.0] * 9).winner == "kit"
    assert compare([], []).winner == "short"
