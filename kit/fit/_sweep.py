"""Likelihood of readings in bands, with reading noise and the tank's own noise.

Notes
-----
The level of the balance is ``mu = X beta + known``. The tank strays from it by day to
day noise that is carried along and diluted: between two readings the deviation keeps
the part ``kept`` and collects the variance ``s^2 wander`` (`kit.balance.Design`). A
reading falls with a reading error of variance ``a^2 + (cv mu)^2`` into ``[low, high]``.

The probability of all bands together is a Gaussian box of as many dimensions as there
are readings. It is taken one reading at a time: a draw from inside the band updates
the deviation as a Kalman filter does, and the next band is judged from there (the
sequential importance sampler known as GHK after Geweke, Hajivassiliou and Keane), on
fixed quasi-random numbers so that the result is smooth in the parameters. For exact
readings the same pass is the Kalman filter itself; without tank noise the product of
the single bands, the usual interval likelihood.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, logsumexp, ndtr, ndtri
from scipy.stats import qmc

from kit.balance import Floats
from kit.fit._memory import Memory
from kit.fit._readings import Noise, Readings

__all__ = ["last_deviation", "log_likelihood", "one_step_residuals", "quantiles"]

_TINY = 1e-300
_PATHS = 16
_LOG_2PI = float(np.log(2.0 * np.pi))


def _band(low: Floats, high: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Log probability of standard bands, and a draw inside each at quantile ``u``."""
    flip = low > 0  # work in the lower tail, where the digits are
    a = np.where(flip, -high, low)
    b = np.where(flip, -low, high)
    pa, pb = ndtr(a), ndtr(b)
    width = pb - pa
    far = width < _TINY
    with np.errstate(divide="ignore", invalid="ignore"):
        logp = np.log(np.where(far, 1.0, width))
        if far.any():
            logp = np.where(far, log_ndtr(b), logp)
        quantile = np.where(flip, 1.0 - u, u)
        z = ndtri(np.clip(pa + quantile * width, _TINY, 1.0))
        z = np.clip(np.where(far, b, z), a, b)
    return logp, np.where(flip, -z, z)


def log_likelihood(
    params: Floats, readings: Readings, noise: Noise, u: Floats
) -> Floats:
    """Log-likelihood at each row of parameters.

    Parameters
    ----------
    params : ndarray, shape (N, p + k)
        Coefficients of the design, then logarithms of the ``k`` fitted spreads.
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    u : ndarray, shape (n, M)
        Quantiles for the draws inside the bands, one column per draw.

    Returns
    -------
    ndarray, shape (N,)
        Log-likelihood of all bands (density for exact readings).
    """
    logw, _ = _sweep(params, readings, noise, u)
    return np.asarray(logsumexp(logw, axis=1) - np.log(u.shape[1]))


def last_deviation(
    params: Floats, readings: Readings, noise: Noise, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Draw how far the tank strayed from its balance at the last reading.

    Parameters
    ----------
    params : ndarray, shape (N, p + k)
        Draws of the parameters, as for `log_likelihood`.
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.
    rng : numpy.random.Generator
        Source of the draws.

    Returns
    -------
    ndarray, shape (N,)
        Deviation of the level for each row. [mg/L]
    ndarray, shape (N,)
        Lasting deviation of the rate for each row. [mg/L/day]
    """
    u = quantiles(len(readings.low), _PATHS)
    logw, at = _sweep(params, readings, noise, u)
    # One path a row, picked by its weight (the Gumbel trick).
    picked = np.argmax(logw + rng.gumbel(size=logw.shape), axis=1)
    rows = np.arange(len(params))
    first, second = rng.standard_normal((2, len(params)))
    # The two deviations go together: the second is drawn given the first.
    level_sd = np.sqrt(np.maximum(at.level_var[:, 0], 0.0))
    pull = at.both_var[:, 0] / np.maximum(level_sd, 1e-12)
    rate_var = np.maximum(at.rate_var[:, 0] - pull**2, 0.0)
    level = at.level[rows, picked] + level_sd * first
    rate = at.rate[rows, picked] + pull * first + np.sqrt(rate_var) * second
    return np.asarray(level), np.asarray(rate)


@dataclass(slots=True)
class _State:
    """Deviations of level and rate on every path, and their covariance by row."""

    level: Floats
    rate: Floats
    level_var: Floats
    both_var: Floats
    rate_var: Floats

    def carry(
        self, kept: float, memory: Memory | None, t: int, slow: Floats, white: Floats
    ) -> None:
        """Go from one reading to the next."""
        if memory is None:
            self.level = kept * self.level
            self.level_var = kept**2 * self.level_var + white
            return
        gained, lasting = float(memory.gained[t]), float(memory.lasting[t])
        var = slow**2
        self.level = kept * self.level + gained * self.rate
        self.rate = lasting * self.rate
        self.level_var = (
            kept**2 * self.level_var
            + 2.0 * kept * gained * self.both_var
            + gained**2 * self.rate_var
            + var * memory.level[t]
            + white
        )
        self.both_var = (
            lasting * (kept * self.both_var + gained * self.rate_var)
            + var * memory.both[t]
        )
        self.rate_var = lasting**2 * self.rate_var + var * memory.rate[t]

    def learn(self, z: Floats, total: Floats, sd: Floats) -> None:
        """Take in a reading that lies ``z`` standard deviations off."""
        self.level = self.level + self.level_var / sd * z
        if self.rate_var.any():
            self.rate = self.rate + self.both_var / sd * z
            self.rate_var = self.rate_var - self.both_var**2 / total
            self.both_var = self.both_var - self.both_var * self.level_var / total
        self.level_var = self.level_var - self.level_var**2 / total


def _sweep(
    params: Floats, readings: Readings, noise: Noise, u: Floats
) -> tuple[Floats, _State]:
    """Log weights of all paths, shape (N, M), and where they stand after the last."""
    p = readings.exog.shape[1]
    mu = params[:, :p] @ readings.exog.T + readings.known
    additive, relative, tank = noise.spreads(params[:, p:])
    slow = noise.lasting(params[:, p:])
    variance = additive**2 + (relative * np.maximum(mu, 0.0)) ** 2
    exact = readings.exact
    memory = readings.memory if noise.slow is None or noise.slow > 0.0 else None
    zero, none = np.zeros((len(params), u.shape[1])), np.zeros((len(params), 1))
    known_rate = none if memory is None else slow**2
    at = _State(zero, zero, none, none, known_rate)
    logw = np.zeros_like(zero)
    jolts = readings.jolts
    for t in range(len(readings.low)):
        white = tank**2 * readings.wander[t] + jolts[t]
        at.carry(float(readings.kept[t]), memory, t, slow, white)
        total = np.maximum(at.level_var + variance[:, t : t + 1], 1e-12)
        sd = np.sqrt(total)
        centre = mu[:, t : t + 1] + at.level
        if exact[t]:
            z = (readings.low[t] - centre) / sd
            logw += -0.5 * z**2 - np.log(sd) - 0.5 * _LOG_2PI
        else:
            low = (readings.low[t] - centre) / sd
            high = (readings.high[t] - centre) / sd
            logp, z = _band(low, high, u[t])
            logw += logp
        at.learn(z, total, sd)
    return logw, at


def quantiles(n: int, draws: int, seed: int = 20260302) -> Floats:
    """Fixed quasi-random quantiles for `log_likelihood`, shape (n, draws)."""
    if draws == 1:
        return np.full((n, 1), 0.5)
    points = qmc.Halton(d=n, scramble=True, rng=np.random.default_rng(seed))
    return np.asarray(np.clip(points.random(draws).T, 1e-9, 1 - 1e-9))


def one_step_residuals(params: Floats, readings: Readings, noise: Noise) -> Floats:
    """Standardised distance of each reading from what the ones before foretell.

    Parameters
    ----------
    params : ndarray, shape (p + k,)
        As one row of `log_likelihood`.
    readings : Readings
        The data; a band counts from its nearer end, so a reading whose band holds
        the forecast has residual 0.
    noise : Noise
        Which spreads are fitted.

    Returns
    -------
    ndarray, shape (n,)
        In standard deviations; positive when read higher than foretold.
    """
    row = params[None, :]
    p = readings.exog.shape[1]
    mu = (row[:, :p] @ readings.exog.T + readings.known)[0]
    additive, relative, tank = (float(x[0, 0]) for x in noise.spreads(row[:, p:]))
    slow = noise.lasting(row[:, p:])
    memory = readings.memory if noise.slow is None or noise.slow > 0.0 else None
    zero = np.zeros((1, 1))
    at = _State(zero, zero, zero, zero, zero if memory is None else slow**2)
    out = np.zeros(len(mu))
    jolts = readings.jolts
    for t in range(len(mu)):
        white = np.full((1, 1), tank**2 * readings.wander[t] + jolts[t])
        at.carry(float(readings.kept[t]), memory, t, slow, white)
        noisy = additive**2 + (relative * max(mu[t], 0.0)) ** 2
        total = np.maximum(at.level_var + noisy, 1e-12)
        sd = np.sqrt(total)
        centre = mu[t] + float(at.level[0, 0])
        nearest = float(np.clip(centre, readings.low[t], readings.high[t]))
        out[t] = (nearest - centre) / float(sd[0, 0])
        at.learn(np.full((1, 1), out[t]), total, sd)
    return out
