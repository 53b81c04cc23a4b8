"""Noise that lasts: against sums over its days, and the multivariate normal."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from kit.balance import (
    Exchanged,
    Flow,
    Observed,
    Restarted,
    after_last,
    design,
    link,
)
from kit.fit._memory import MEMORY_DAYS, memory_of, over_weeks
from kit.fit._readings import Noise, Readings
from kit.fit._state import passage
from kit.fit._stray import astray, ends_of
from kit.fit._sweep import log_likelihood, quantiles, sweep

# Twenty days with readings on days 5, 10, 15 (before and after an exchange) and 20.
STEPS = [
    *(Flow(5.0, 100.0, overflow_l_day=3.0), Observed()),
    *(Flow(5.0, 100.0, overflow_l_day=3.0), Observed()),
    *(Flow(5.0, 100.0, overflow_l_day=3.0), Observed()),
    *(Exchanged(0.4), Observed()),
    *(Flow(5.0, 100.0, overflow_l_day=3.0), Observed()),
]
AFTER = [Flow(3.0, 100.0, overflow_l_day=3.0)]
READ = [(5, False), (10, False), (15, False), (15, True), (20, False)]


def maps(days=20):
    """Level deviations at the readings as sums over the daily rate deviations."""
    keep = np.exp(-0.03)
    worth = -np.expm1(-0.03) / 0.03
    at, out = np.zeros(days), []
    for day in range(days):
        at = keep * at
        at[day] += worth
        for read, after in READ:
            if read == day + 1:
                if after:
                    at = 0.6 * at
                out.append(at.copy())
    return np.array(out)


def covariances(slow, white):
    """Of the readings: AR(1) days for the slow noise, an integral for the white."""
    lags = np.abs(np.subtract.outer(np.arange(20), np.arange(20)))
    daily = slow**2 * np.exp(-lags / MEMORY_DAYS)
    to_level = maps()
    d = design(link(STEPS))
    n = len(READ)
    carried = np.zeros((n, n))
    variance = 0.0
    for i in range(n):
        variance = d.kept[i] ** 2 * variance + white**2 * d.wander[i]
        part = variance
        for j in range(i, n):
            part = part * d.kept[j] if j > i else part
            carried[i, j] = carried[j, i] = part
    return to_level @ daily @ to_level.T + carried


Y = np.array([30.0, 36.0, 41.0, 52.0, 31.0, 35.0])
NOISE = Noise(additive=1.5, relative=0.0, tank=0.8, slow=0.6)
BETA = np.array([29.0, 2.1])


def six_readings():
    """Exact readings of the twenty days, and how far each lies from the balance."""
    first = [Observed(), *STEPS]
    d = design(link(first))
    memory, _ = memory_of(first)
    x = np.column_stack([d.start, d.base])
    readings = Readings(Y, Y, x, d.known, d.kept, d.wander, memory=memory)
    return readings, Y - (x @ BETA + d.known)


def whole_covariance():
    """Of all six; the balance starts at the first, so its row stands for the start."""
    cov = np.zeros((6, 6))
    cov[1:, 1:] = covariances(0.6, 0.8)
    return cov


def drawn(readings, count):
    """Draws of how far the tank strayed, all at the same parameters."""
    u, on = quantiles(len(Y), 16), passage(readings, 3)
    ends = ends_of(*sweep(np.tile(BETA, (count, 1)), readings, NOISE, u, on))
    return astray(ends, readings, np.random.default_rng(2))


# The textbook: linear sums of Gaussian days are Gaussian with covariance A S A'.
def test_exact_readings_have_the_density_of_scipys_multivariate_normal():
    readings, gap = six_readings()
    got = log_likelihood(BETA[None, :], readings, NOISE, quantiles(len(Y), 1))[0]
    cov = whole_covariance() + 1.5**2 * np.eye(6)
    assert got == pytest.approx(multivariate_normal(cov=cov).logpdf(gap), abs=1e-6)


def test_the_last_deviation_is_the_conditional_normal():
    readings, gap = six_readings()
    got = drawn(readings, 4000)
    cov = whole_covariance()
    whole = cov + 1.5**2 * np.eye(6)
    mean = cov[-1] @ np.linalg.solve(whole, gap)
    var = cov[-1, -1] - cov[-1] @ np.linalg.solve(whole, cov[-1])
    assert got.level.mean() == pytest.approx(mean, abs=4 * np.sqrt(var / 4000))
    assert got.level.std() == pytest.approx(np.sqrt(var), rel=0.05)
    days = (
        0.6**2 * np.exp(-np.arange(20)[::-1] / MEMORY_DAYS) * np.exp(-1 / MEMORY_DAYS)
    )
    with_rate = np.append(0.0, maps() @ days)
    assert got.rate.mean() == pytest.approx(
        with_rate @ np.linalg.solve(whole, gap), abs=0.05
    )


# What the days brought on the mean is Gaussian with the readings, so its conditional
# mean and variance are the textbook's, and so is its covariance with the last level.
def test_the_mean_over_the_log_is_the_conditional_normal():
    readings, gap = six_readings()
    got = drawn(readings, 20000)
    days = np.arange(20)
    daily = 0.6**2 * np.exp(-np.abs(np.subtract.outer(days, days)) / MEMORY_DAYS)
    cov = whole_covariance()
    whole = cov + 1.5**2 * np.eye(6)
    # White noise of a day counts once in the sum and, diluted, in the level.
    with_sum = np.append(
        0.0, (maps() @ daily).sum(axis=1) + 0.8**2 * maps().sum(axis=1)
    )
    mean = with_sum @ np.linalg.solve(whole, gap) / 20
    var = daily.sum() + 0.8**2 * 20 - with_sum @ np.linalg.solve(whole, with_sum)
    both = with_sum[-1] - with_sum @ np.linalg.solve(whole, cov[-1])
    sd = np.sqrt(var) / 20
    assert got.mean.mean() == pytest.approx(mean, abs=4 * sd / 20000**0.5)
    assert got.mean.std() == pytest.approx(sd, rel=0.03)
    assert np.cov(got.mean, got.level)[0, 1] == pytest.approx(both / 20, rel=0.05)


def test_a_gap_that_restarts_the_level_counts_for_no_day():
    steps = [Observed(), *STEPS[:2], Flow(40.0, 100.0), Restarted(), Observed()]
    memory, _ = memory_of(steps)
    assert memory.days.tolist() == [0.0, 5.0, 0.0]
    assert memory.risen[-1] == 0.0
    assert memory.risen_var[-1] == 0.0


def test_what_gathers_after_the_last_reading():
    steps = [Observed(), *STEPS, *AFTER]
    _, tail = memory_of(steps)
    kept, _ = after_last(link(steps))
    keep, worth = np.exp(-0.03), -np.expm1(-0.03) / 0.03
    rho = np.exp(-1 / MEMORY_DAYS)
    assert kept == pytest.approx(keep**3)
    by_hand = worth * (keep**2 + keep * rho + rho**2)
    assert tail.gained[0] == pytest.approx(by_hand)
    assert tail.lasting[0] == pytest.approx(rho**3)


# Sum of fourteen AR(1) days, by the double sum of its autocovariance.
def test_one_noise_for_both_over_two_weeks():
    lags = np.abs(np.subtract.outer(np.arange(14), np.arange(14)))
    total = 0.5**2 * np.exp(-lags / MEMORY_DAYS).sum()
    wanted = np.sqrt(0.3**2 + total / 14)
    assert over_weeks(np.array([0.3]), np.array([0.5]))[0] == pytest.approx(wanted)
