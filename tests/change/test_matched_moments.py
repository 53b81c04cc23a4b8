"""The matched-moments likelihood against other programs and exact integrals."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.datasets.nile as nile
from scipy import stats
from scipy.stats import multivariate_normal

from kit.change._filter import Chances, swept
from kit.change._luck import among_many, at_one, on_a_path
from kit.change._scan import base_fit, scan
from kit.fit.model import Noise, Readings

FREE = np.array([np.inf])


def readings(low, high, exog, *, kept=None, wander=None):
    n = len(low)
    return Readings(
        np.asarray(low, float),
        np.asarray(high, float),
        np.asarray(exog, float),
        np.zeros(n),
        np.zeros(n) if kept is None else np.asarray(kept, float),
        np.zeros(n) if wander is None else np.asarray(wander, float),
    )


def plain(low, high, exog, start):
    """One free additive spread about which nothing is known."""
    r = readings(low, high, exog)
    chances = Chances(r, Noise(None, 0.0, 0.0), np.zeros(1), FREE)
    return base_fit(chances, r.exog, np.asarray(start, float))


def test_bands_against_survreg():
    # Interval-censored line, made up here, answered by R's survreg (interval2,
    # gaussian): 1.573354, slope 1.608169, sigma 1.013296, logLik -3.858400.
    day = np.array([0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 21, 24.0])
    low = [0, 0, 5, 5, 5, 5, 10, 10, 10, 10, 10, 20, 20, 20, 20, 40]
    high = [5, 5, 10, 10, 10, 10, 20, 20, 20, 20, 20, 40, 40, 40, 40, 80]
    exog = np.column_stack([np.ones(16), day])
    found = plain(low, high, exog, [1.0, 1.8, 0.5])
    assert found.height == pytest.approx(-3.858400, abs=2e-3)
    assert found.at[:2] == pytest.approx([1.573354, 1.608169], abs=0.05)
    assert np.exp(found.at[2]) == pytest.approx(1.013296, rel=0.05)


def test_exact_readings_against_a_dense_normal():
    rng = np.random.default_rng(3)
    n = 6
    kept = np.array([0, 1, 0.7, 1, 0.7, 0.7])
    wander = np.array([0.0, 3, 2, 4, 2, 5])
    mu = rng.uniform(20, 40, n)
    y = mu + rng.normal(0, 4, n)
    r = readings(y, y, np.ones((n, 1)), kept=kept, wander=wander)
    noise = Noise(1.0, 0.1, 1.5)
    cov = np.zeros((n, n))
    for t in range(n):
        # Each day's noise is carried to later readings and diluted on the way.
        carried = np.zeros(n)
        carried[t:] = np.concatenate([[1.0], np.cumprod(kept[t + 1 :])])
        cov += 1.5**2 * wander[t] * np.outer(carried, carried)
    cov += np.diag(1.0 + (0.1 * mu) ** 2)
    value, _ = swept(mu[None], np.zeros((1, 0)), r, noise)
    assert value[0] == pytest.approx(multivariate_normal(mu, cov).logpdf(y), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_linked_bands_against_a_box_integral(seed):
    # scipy's randomised lattice rule for the normal probability of a box (Genz 1992).
    rng = np.random.default_rng(seed)
    n = 5
    kept, wander = np.array([0, 1, 0.7, 1, 0.7]), np.array([0.0, 4, 4, 4, 4])
    mu = rng.uniform(20, 40, n)
    edges = np.array([0, 2.5, 7.07, 14.1, 28.3, 56.6, 113.0])
    place = np.searchsorted(edges, mu * rng.uniform(0.8, 1.25, n))
    low, high = edges[place - 1], edges[place]
    r = readings(low, high, np.ones((n, 1)), kept=kept, wander=wander)
    cov = np.zeros((n, n))
    for t in range(n):
        carried = np.zeros(n)
        carried[t:] = np.concatenate([[1.0], np.cumprod(kept[t + 1 :])])
        cov += 2.0**2 * wander[t] * np.outer(carried, carried)
    cov += np.diag((0.12 * mu) ** 2)
    box = multivariate_normal(mu, cov, seed=1, abseps=1e-8, releps=1e-5)
    exact = np.log(box.cdf(high, lower_limit=low))
    value, _ = swept(mu[None], np.zeros((1, 0)), r, Noise(0.0, 0.12, 2.0))
    assert value[0] == pytest.approx(exact, abs=0.05)


def test_a_reading_far_outside_its_band_stays_finite():
    r = readings([500.0, -np.inf], [600.0, 1.0], np.ones((2, 1)))
    value, error = swept(np.full((1, 2), 30.0), np.zeros((1, 0)), r, Noise(0.1, 0, 0))
    # log of the normal tail at z = 4700 and at z = -290: -z^2/2 to first order.
    assert value[0] == pytest.approx(-0.5 * (4700.0**2 + 290.0**2), rel=1e-3)
    assert np.isfinite(error).all()


def nile_scan():
    """Annual flow of the Nile at Aswan, 1871 to 1970; a level shift at each year."""
    flow = nile.load_pandas().data["volume"].to_numpy(float)
    base = plain(flow, flow, np.ones((100, 1)), [900.0, 5.0])
    first = np.arange(5, 96)
    later = (np.arange(100)[:, None] >= first[None, :]).astype(float)
    return flow, first, scan(base, later)


def test_the_nile_changed_after_1898():
    # Cobb (1978, Biometrika 65:243) and many since: 1898 is the last year of the high
    # flow. Zeileis, Kleiber, Kraemer and Hornik (2003, Comput. Stat. Data Anal.
    # 44:109): break after 1898, 95 % interval 1895 to 1902; residual sums of squares
    # 2835157 without and 1597457 with it (from memory of the printed summary).
    _, first, tried = nile_scan()
    best = int(np.argmax(tried.gain))
    assert 1871 + first[best] - 1 == 1898
    assert tried.gain[best] == pytest.approx(100 * np.log(2835157 / 1597457), abs=0.02)
    # The means on both sides, 1097.75 and 849.97, differ by 247.78.
    assert tried.size[best] == pytest.approx(849.97 - 1097.75, abs=0.05)
    weight = np.exp(0.5 * (tried.gain - tried.gain.max()))
    total = np.cumsum(weight / weight.sum())
    low, high = (1870 + first[np.searchsorted(total, q)] for q in (0.025, 0.975))
    assert 1895 <= low <= 1898 <= high <= 1902
    assert on_a_path(tried.gain, tried.size) < 1e-10


def test_a_named_place_follows_chi_square():
    assert at_one(stats.chi2.ppf(0.95, 1)) == pytest.approx(0.05)
    rng = np.random.default_rng(8)
    n, gains = 60, []
    later = (np.arange(n) >= 35).astype(float)[:, None]
    for _ in range(150):
        y = rng.normal(30.0, 3.0, n)
        base = plain(y, y, np.ones((n, 1)), [30.0, 1.0])
        gains.append(scan(base, later).gain[0])
    assert stats.kstest(gains, "chi2", args=(1,)).pvalue > 0.01


def test_the_best_of_independent_places():
    # Sidak: at the 1 - 0.95^(1/k) point of one place, the best of k has chance 0.05.
    single = stats.chi2.isf(1 - 0.95 ** (1 / 26), 1)
    assert among_many(single, 26) == pytest.approx(0.05)


def test_the_best_of_a_path_is_rarely_alarmed():
    # Andrews (2003, Econometrica 71:395), one coefficient, 15 % left out at each end:
    # the best gain passes 8.68 in 1 of 20 (from memory). Davies's bound may be passed
    # a little less often than it says, never clearly more.
    rng = np.random.default_rng(5)
    n, count = 400, 1500
    share = np.arange(1, n) / n
    inside = (share > 0.15) & (share < 0.85)
    noise = rng.standard_normal((count, n))
    walk = np.cumsum(noise, axis=1)
    bridge = (walk - walk[:, -1:] * np.arange(1, n + 1) / n)[:, :-1] / n**0.5
    roots = (bridge / np.sqrt(share * (1 - share)))[:, inside]
    assert np.mean((roots**2).max(axis=1) > 8.68) == pytest.approx(0.05, abs=0.015)
    alarmed = np.mean([on_a_path(r**2, r) < 0.05 for r in roots[:, ::6]])
    assert 0.015 < alarmed < 0.06
