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

from dataclasses import replace

import numpy as np
from scipy.special import log_ndtr, logsumexp, ndtr, ndtri
from scipy.stats import qmc

from kit.balance import Floats
from kit.fit._readings import Noise, Readings
from kit.fit._state import State

__all__ = ["log_likelihood", "one_step_residuals", "quantiles", "sweep"]

_TINY = 1e-300
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
    logw, _ = sweep(params, readings, noise, u)
    return np.asarray(logsumexp(logw, axis=1) - np.log(u.shape[1]))


def sweep(
    params: Floats,
    readings: Readings,
    noise: Noise,
    u: Floats,
    at: State | None = None,
) -> tuple[Floats, State]:
    """Judge every reading in turn from where the ones before have left the tank.

    Parameters
    ----------
    params, readings, noise, u
        As for `log_likelihood`.
    at : State, optional
        Where to begin; a fresh one when left out.

    Returns
    -------
    ndarray, shape (N, M)
        Log weight of each path.
    State
        Where the paths stand after the last reading.
    """
    p = readings.exog.shape[1]
    mu = params[:, :p] @ readings.exog.T + readings.known
    additive, relative, tank = noise.spreads(params[:, p:])
    slow_var = noise.lasting(params[:, p:]) ** 2
    variance = additive**2 + (relative * np.maximum(mu, 0.0)) ** 2
    exact = readings.exact
    readings = _with_memory(readings, noise, needed=at is not None)
    zero, none = np.zeros((len(params), u.shape[1])), np.zeros((len(params), 1))
    if at is None:
        at = State(zero, zero, none, none, none)
    if readings.memory is not None:
        at.rate_var = slow_var
    logw = np.zeros_like(zero)
    for t in range(len(readings.low)):
        at.carry(readings, t, tank**2, slow_var)
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


def _with_memory(readings: Readings, noise: Noise, *, needed: bool) -> Readings:
    """Leave the memory out where no noise lasts: half the work."""
    if needed or noise.slow is None or noise.slow > 0.0:
        return readings
    return replace(readings, memory=None)


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
    slow_var = noise.lasting(row[:, p:]) ** 2
    readings = _with_memory(readings, noise, needed=False)
    zero = np.zeros((1, 1))
    at = State(zero, zero, zero, zero, zero if readings.memory is None else slow_var)
    tank_var = np.full((1, 1), tank**2)
    out = np.zeros(len(mu))
    for t in range(len(mu)):
        at.carry(readings, t, tank_var, slow_var)
        noisy = additive**2 + (relative * max(mu[t], 0.0)) ** 2
        total = np.maximum(at.level_var + noisy, 1e-12)
        sd = np.sqrt(total)
        centre = mu[t] + float(at.level[0, 0])
        nearest = float(np.clip(centre, readings.low[t], readings.high[t]))
        out[t] = (nearest - centre) / float(sd[0, 0])
        at.learn(np.full((1, 1), out[t]), total, sd)
    return out
