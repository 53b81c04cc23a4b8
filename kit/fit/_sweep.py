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

from functools import cache

import numpy as np
from scipy.stats import qmc

from kit.balance import Floats
from kit.fit._inside import inside
from kit.fit._readings import Noise, Readings
from kit.fit._state import LEVEL, Passage, State, passage

__all__ = [
    "carried",
    "log_likelihood",
    "log_mean",
    "one_step_residuals",
    "quantiles",
    "sweep",
]

_LOG_2PI = float(np.log(2.0 * np.pi))
_LEAST = 1e-12


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
    logw, _ = sweep(params, readings, noise, u, carried(readings, noise))
    return log_mean(logw)


def log_mean(logw: Floats) -> Floats:
    """Logarithm of the mean weight of each row's paths.

    Parameters
    ----------
    logw : ndarray, shape (M, N)
        Log weights.

    Returns
    -------
    ndarray, shape (N,)
        Log of the mean over the paths.
    """
    if len(logw) == 1:
        return np.asarray(logw[0])
    top = logw.max(axis=0)
    top = np.where(np.isfinite(top), top, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.exp(logw - top).mean(axis=0)) + top)


def carried(readings: Readings, noise: Noise) -> Passage:
    """Carry as little as the likelihood needs: the rate only where noise lasts.

    Parameters
    ----------
    readings : Readings
        The data.
    noise : Noise
        Which spreads are fitted.

    Returns
    -------
    Passage
        Of the level, or of level and rate.
    """
    lasts = noise.slow is None or noise.slow > 0.0
    return passage(readings, 2 if lasts and readings.memory is not None else 1)


def sweep(
    params: Floats, readings: Readings, noise: Noise, u: Floats, on: Passage
) -> tuple[Floats, State]:
    """Judge every reading in turn from where the ones before have left the tank.

    Parameters
    ----------
    params, readings, noise, u
        As for `log_likelihood`.
    on : Passage
        What is carried from reading to reading.

    Returns
    -------
    ndarray, shape (M, N)
        Log weight of each path.
    State
        Where the paths stand after the last reading.
    """
    p = readings.exog.shape[1]
    mu = readings.exog @ params[:, :p].T + readings.known[:, None]
    additive, relative, tank = (x[:, 0] for x in noise.spreads(params[:, p:]))
    slow = noise.lasting(params[:, p:])[:, 0]
    variance = additive**2 + (relative * np.maximum(mu, 0.0)) ** 2
    exact = readings.exact.tolist()
    at = State(on, tank**2, slow**2)
    logw = np.zeros((u.shape[1], len(params)))
    ends = zip(readings.low.tolist(), readings.high.tolist(), strict=True)
    for t, (low, high) in enumerate(ends):
        at.carry(t)
        sd = np.sqrt(np.maximum(at.cov[LEVEL] + variance[t], _LEAST))
        centre = mu[t] + at.mean[LEVEL]
        if exact[t]:
            z = (low - centre) / sd
            logw -= 0.5 * z**2 + (np.log(sd) + 0.5 * _LOG_2PI)
        else:
            chance, z = inside(low, high, centre, sd, u[t][:, None])
            logw += chance
        at.learn(z, sd)
    return logw, at


@cache
def quantiles(n: int, draws: int, seed: int = 20260302) -> Floats:
    """Fixed quasi-random quantiles for `log_likelihood`, shape (n, draws)."""
    if draws == 1:
        out = np.full((n, 1), 0.5)
    else:
        points = qmc.Halton(d=n, scramble=True, rng=np.random.default_rng(seed))
        out = np.clip(points.random(draws).T, 1e-9, 1 - 1e-9)
    # All who ask for as many get the same array.
    out.flags.writeable = False
    return out


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
    slow = noise.lasting(row[:, p:])[0]
    at = State(carried(readings, noise), np.array([tank**2]), slow**2)
    out = np.zeros(len(mu))
    for t in range(len(mu)):
        at.carry(t)
        noisy = additive**2 + (relative * max(mu[t], 0.0)) ** 2
        sd = np.sqrt(np.maximum(at.cov[LEVEL] + noisy, _LEAST))
        centre = mu[t] + float(at.mean[LEVEL, 0, 0])
        nearest = float(np.clip(centre, readings.low[t], readings.high[t]))
        out[t] = (nearest - centre) / float(sd[0])
        at.learn(np.full((1, 1), out[t]), sd)
    return out
