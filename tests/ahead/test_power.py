"""Chances of seeing a change, against another program and an earlier simulation."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm
from statsmodels.regression.linear_model import OLS

from kit.ahead import WAYS, Kit, Way, power
from kit.ahead._ratio import Read, fitted, ratios
from kit.bands import bands
from kit.charts import CHARTS
from kit.sawtooth import Habit

DATA = Path(__file__).parents[1] / "published" / "data" / "batch_log_24.csv"
# A community tank with 30 % a week over a tap of 5: at 1.29 mg/L a day the peak is
# 5 + 7 x 1.29/0.3 = 35.1, at 58 % more 52.6.
HABIT = Habit(141.0, 0.3, 7.0, 5.0)


def chart(name):
    ends = bands(CHARTS[name])
    low = np.array([a if i else -np.inf for i, (a, _) in enumerate(ends)])
    high = np.array([np.inf if b is None else b for _, b in ends])
    return Kit(low, high, CHARTS[name], 0.0, 0.12, 0.0)


METER = Kit(np.array([]), np.array([]), (), 1.0, 0.12, 0.0)


# The batch log's colour-card bands with sigma held: R's survreg (interval2, gaussian,
# scale=) prints logLik -1.840703 at sigma 2 and -4.837929 at sigma 5.
@pytest.mark.parametrize(("sigma", "llf"), [(2.0, -1.840703), (5.0, -4.837929)])
def test_banded_likelihood_with_the_spread_held(sigma, llf):
    rows = np.genfromtxt(DATA, delimiter=",", names=True)
    x = np.column_stack([rows["a"], rows["b"]])
    low = np.where(rows["lo"] <= 0, -np.inf, rows["lo"])[None, :]
    known = 5.0 * rows["c"]
    read = Read(low, rows["hi"][None, :], np.full(24, sigma), known)
    assert fitted(read, x, np.array([10.0, 2.0]))[0] == pytest.approx(llf, abs=2e-4)


def test_ratio_of_numbers_is_the_squared_t_of_a_regression():
    rng = np.random.default_rng(4)
    x = np.column_stack([np.ones(30), np.arange(30.0), rng.random(30)])
    y = x @ [3.0, 0.5, 2.0] + rng.standard_normal((5, 30))
    read = Read(y, y, np.ones(30), np.zeros(30))
    found = ratios(read, x, 2, np.zeros(3))
    for i in range(5):
        fit = OLS(y[i], x).fit()
        # The regression estimates the spread; the ratio holds it at 1.
        assert found[i] == pytest.approx(fit.tvalues[2] ** 2 * fit.scale, rel=1e-6)


# An earlier simulation apart from this code (12 % reader noise, 16 weeks before, step
# of 58 %, 120 runs each, the meter 400): share seen at 2, 4, 6, 8 and 12 weeks.
TABLE = [
    ("doubling", WAYS[0], (0.01, 0.14, 0.27, 0.39, 0.63), 120),
    ("doubling", WAYS[1], (0.40, 0.80, 0.94, 0.99, 1.00), 120),
    ("mixed", WAYS[0], (0.13, 0.60, 0.75, 0.86, 0.96), 120),
    ("mixed", WAYS[1], (0.33, 0.79, 0.97, 1.00, 1.00), 120),
    ("doubling", WAYS[2], (0.53, 0.96, 1.00, 1.00, 1.00), 120),
    ("meter", WAYS[0], (0.45, 0.91, 0.99, 1.00, 1.00), 400),
]


@pytest.mark.parametrize(("kit", "way", "shares", "runs"), TABLE)
def test_pattern_of_a_simulation_made_apart(kit, way, shares, runs):
    used = METER if kit == "meter" else chart(kit)
    found = power(HABIT, 1.29, 0.58, used, way)
    for row, share in zip(found, shares, strict=True):
        error = (max(share * (1 - share), 1 / runs) / runs + row.error**2) ** 0.5
        assert row.chance == pytest.approx(share, abs=2.8 * error), row.weeks


def test_a_meter_without_rounding_has_the_power_of_a_normal_test():
    """Two levels with known spread: the chance that a normal of that mean passes."""
    meter = Kit(np.array([]), np.array([]), (), 0.01, 0.0, 3.0)
    # Full exchanges: each peak is source + 7 g by itself, a mean of n of them.
    full = Habit(100.0, 1.0, 7.0, 5.0)
    (row,) = power(
        full, 1.0, 0.5, meter, WAYS[0], weeks_before=16, weeks_after=(4,), logs=2000
    )
    mean = 0.5 * 7.0 / (3.0 * (1 / 4 + 1 / 16) ** 0.5)
    expected = norm.sf(1.959964 - mean) + norm.cdf(-1.959964 - mean)
    assert row.chance == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize("noise", [0.0, 0.5])
@pytest.mark.parametrize("way", WAYS[:2])
def test_without_a_change_about_one_in_twenty_is_seen(way, noise):
    found = power(HABIT, 1.29, 0.0, chart("doubling"), way, tank_noise=noise)
    for row in found:
        # 0 to 11 % in the earlier simulation; never more than 5 % with tank noise.
        assert row.chance <= (0.11 if noise == 0.0 else 0.055)


def test_more_noise_and_fewer_tests_see_less():
    def at(noise, way):
        found = power(HABIT, 1.29, 0.58, chart("mixed"), way, tank_noise=noise)
        return np.array([r.chance for r in found])

    quiet, loud = at(0.0, WAYS[0]), at(1.0, WAYS[0])
    assert (loud <= quiet + 0.03).all()
    assert (at(0.0, WAYS[2]) >= quiet - 0.03).all()
    assert (np.diff(quiet) > -0.03).all()


def test_tests_at_every_other_exchange_see_less():
    weekly = Habit(100.0, 0.2, 7.0, 0.0)
    some = power(weekly, 1.0, 0.5, METER, WAYS[0], every=2, weeks_after=(8,))
    each = power(weekly, 1.0, 0.5, METER, WAYS[0], weeks_after=(8,))
    assert some[0].chance < each[0].chance
    half = power(weekly, 1.0, 0.5, METER, WAYS[0], every=2, weeks_after=(8,), logs=900)
    twice = Kit(np.array([]), np.array([]), (), 1.0, 0.12 * 2**0.5, 0.0)
    # Half the tests are worth as much as all with twice the variance.
    same = power(weekly, 1.0, 0.5, twice, WAYS[0], weeks_after=(8,), logs=900)
    assert half[0].chance == pytest.approx(same[0].chance, abs=0.06)


def test_no_change_of_the_way_needs_no_test_after():
    """Tests on odd days alone are a way too."""
    way = Way("mid-week", days=(3.0,), before=False)
    found = power(HABIT, 1.29, 0.58, METER, way, weeks_after=(8,))
    assert found[0].chance > 0.9
