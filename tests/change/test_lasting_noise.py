"""The filter's noise that lasts: the multivariate normal, and the fit's own sampler."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import multivariate_normal, qmc

from kit.balance import Exchanged, Flow, Observed, Restarted, design, link
from kit.change._candidates import step_days
from kit.change._filter import Chances, swept
from kit.change._luck import LIMIT
from kit.change._report import laid_out
from kit.change._scan import base_fit, scan
from kit.change._search import search
from kit.change._strayed import covariance
from kit.fit._memory import memory_of
from kit.fit.model import Noise, Readings, log_likelihood

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "bench"))
import change_sim as sim

MEMORY = 10.0
"""Days a richer or poorer time lasts, as the model says it. [day]"""
READ = (0, 4, 9, 14, 21)
FRACTION, EXCHANGED = 0.4, 14


def steps():
    """Readings on five days, an exchange of 40 % after the one of day 14."""
    out = [Observed()]
    for first, last in pairwise(READ):
        if first == EXCHANGED:
            out.append(Exchanged(FRACTION))
        out += [Flow(float(last - first), 100.0), Observed()]
    return out


def tank_covariance(slow, white):
    """Of the level on the days read: sums over days, A S A' of the textbook."""
    days = np.arange(READ[-1])
    lags = np.abs(np.subtract.outer(days, days))
    daily = slow**2 * np.exp(-lags / MEMORY) + white**2 * np.eye(len(days))
    to_level = np.zeros((len(READ), len(days)))
    for i, read in enumerate(READ):
        to_level[i, :read] = 1.0
        if read > EXCHANGED:
            to_level[i, :EXCHANGED] = 1.0 - FRACTION
    return to_level @ daily @ to_level.T


def readings(low, high):
    d = design(link(steps()))
    memory, _ = memory_of(steps())
    exog = np.column_stack([d.start, d.base])
    return Readings(low, high, exog, d.known, d.kept, d.wander, memory=memory)


def test_exact_readings_have_the_density_of_scipys_multivariate_normal():
    y = np.array([30.0, 36.0, 41.0, 55.0, 47.0])
    r = readings(y, y)
    coefs = np.array([[29.0, 2.1], [31.0, 1.6], [27.0, 2.4]])
    mu = coefs @ r.exog.T
    # Each row of candidates has its own spreads.
    logs = np.log(np.array([[0.08, 0.6], [0.12, 0.3], [0.05, 1.1]]))
    value, _ = swept(mu, logs, r, Noise(1.5, None, 0.8, None))
    for i, (part, slow) in enumerate(np.exp(logs)):
        cov = tank_covariance(slow, 0.8) + np.diag(1.5**2 + (part * mu[i]) ** 2)
        wanted = multivariate_normal(mu[i], cov).logpdf(y)
        assert value[i] == pytest.approx(wanted, abs=1e-9)


def test_forecast_errors_of_exact_readings_are_those_of_the_triangular_root():
    # Cholesky's root takes the errors of each reading given those before it.
    y = np.array([30.0, 36.0, 41.0, 55.0, 47.0])
    r = readings(y, y)
    mu = np.array([29.0, 2.1]) @ r.exog.T
    noise = Noise(1.5, 0.0, 0.8, 0.6)
    _, errors = swept(mu[None], np.zeros((1, 0)), r, noise)
    root = np.linalg.cholesky(tank_covariance(0.6, 0.8) + 1.5**2 * np.eye(len(y)))
    assert errors[0] == pytest.approx(np.linalg.solve(root, y - mu), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_bands_agree_with_the_sampler_of_the_fit(seed):
    rng = np.random.default_rng(seed)
    d = design(link(steps()))
    mu = 29.0 * d.start[:, 0] + 2.1 * d.base
    edges = np.array([0.0, 2.5, 7.07, 14.1, 28.3, 56.6, 113.0])
    place = np.searchsorted(edges, mu * rng.uniform(0.75, 1.3, len(mu)))
    r = readings(edges[place - 1], edges[place])
    noise = Noise(0.5, 0.12, 0.4, 0.6)
    params = np.array([[29.0, 2.1]])
    points = qmc.Halton(d=len(mu), rng=np.random.default_rng(9)).random(20000).T
    sampled = log_likelihood(params, r, noise, np.clip(points, 1e-9, 1 - 1e-9))[0]
    value, _ = swept(mu[None], np.zeros((1, 0)), r, noise)
    assert value[0] == pytest.approx(sampled, abs=0.05)


def test_held_at_nothing_it_is_the_filter_without_memory():
    y = np.array([30.0, 36.0, 41.0, 55.0, 47.0])
    r = readings(np.where(y > 40, 40.0, 20.0), np.where(y > 40, 80.0, 40.0))
    mu = np.array([29.0, 2.1]) @ r.exog.T
    none = swept(mu[None], np.zeros((1, 0)), r, Noise(0.5, 0.1, 0.8, 0.0))
    least = swept(mu[None], np.zeros((1, 0)), r, Noise(0.5, 0.1, 0.8, 1e-9))
    assert none[0] == pytest.approx(least[0], abs=1e-9)
    assert none[1] == pytest.approx(least[1], abs=1e-9)


def test_a_gap_of_unknown_days_breaks_the_link_of_levels_but_not_of_noise():
    first = [Observed(), Flow(7.0, 100.0), Observed(), Flow(40.0, 100.0)]
    chain = [*first, Restarted(), Observed(), Flow(7.0, 100.0), Observed()]
    d, (memory, _) = design(link(chain)), memory_of(chain)
    y = np.array([30.0, 44.0, 25.0, 41.0])
    exog = np.ones((4, 1))
    r = Readings(y, y, exog, np.zeros(4), d.kept, d.wander, memory=memory)
    mu = np.array([30.0, 42.0, 26.0, 38.0])
    value, _ = swept(mu[None], np.zeros((1, 0)), r, Noise(1.0, 0.0, 0.0, 0.7))
    days = np.arange(54)
    daily = 0.7**2 * np.exp(-np.abs(np.subtract.outer(days, days)) / MEMORY)
    to_level = np.zeros((4, 54))
    to_level[1, :7], to_level[3, 47:] = 1.0, 1.0
    cov = to_level @ daily @ to_level.T + np.eye(4)
    assert value[0] == pytest.approx(multivariate_normal(mu, cov).logpdf(y), abs=1e-9)


def test_the_covariance_of_levels_is_the_sum_over_days():
    y = np.full(len(READ), 30.0)
    got = covariance(readings(y, y), 0.8, 0.6)
    assert got == pytest.approx(tank_covariance(0.6, 0.8), abs=1e-9)


def test_what_is_known_of_an_addition_is_counted_as_in_the_textbook():
    # Linear model with normal noise and a normal prior of one coefficient: posterior
    # precision X'S^-1 X + 1/spread^2 (Gelman et al., Bayesian Data Analysis, 14.8).
    y = np.array([30.0, 36.0, 41.0, 55.0, 47.0])
    r = readings(y, y)
    none = np.zeros(0)
    base = base_fit(
        Chances(r, Noise(1.5, 0.0, 0.8, 0.6), none, none), r.exog, np.array([29.0, 2.0])
    )
    later = np.array([0.0, 0.0, 0.0, 5.0, 10.0])[:, None]
    tried = scan(base, later, 0.4)
    x = np.hstack([r.exog, later])
    s = tank_covariance(0.6, 0.8) + 1.5**2 * np.eye(len(y))
    told = x.T @ np.linalg.solve(s, x) + np.diag([0.0, 0.0, 1.0 / 0.4**2])
    wanted = np.linalg.solve(told, x.T @ np.linalg.solve(s, y))
    assert tried.at[0] == pytest.approx(wanted, rel=1e-4)
    assert tried.error[0] == pytest.approx(np.linalg.inv(told)[2, 2] ** 0.5, rel=1e-3)


def test_a_restless_tank_is_seldom_taken_for_a_changed_one():
    # Its rise stays high or low for ten days on the mean, by 30 %: no change at all.
    life = sim.Life(
        "meter", "before and after", 26, start=25.0, reader=0.05, tank=0.3, memory=10.0
    )
    alarmed = 0
    for seed in range(16):
        found = laid_out(sim.live(life, np.random.default_rng([21, seed])))
        assert not isinstance(found, str)
        alarmed += search(found)[0].chance < LIMIT
    # By a fit of day-to-day noise only nine of these sixteen were.
    assert alarmed <= 2


def test_no_step_is_sought_within_twice_the_memory_of_an_end():
    life = sim.Life("meter", "days 2, 4, 7 and after", 12, start=25.0)
    found = laid_out(sim.live(life, np.random.default_rng(1)))
    assert not isinstance(found, str)
    days, tried = found.ledger.days, step_days(found.ledger)
    assert tried[0] - days[0] >= 2 * MEMORY
    assert days[-1] - tried[-1] >= 2 * MEMORY
    assert tried[-1] - tried[0] > 7 * 12 - 4 * MEMORY - 7
