"""Draws of how far the tank strayed from its balance, in level and in rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Floats
from kit.fit._readings import Noise, Readings
from kit.fit._state import Tally
from kit.fit._sweep import quantiles, sweep

__all__ = ["Strayed", "strayed"]

_PATHS = 16


@dataclass(frozen=True, slots=True)
class Strayed:
    """How far a tank strayed from its balance, one draw for each row of parameters.

    Parameters
    ----------
    level : ndarray, shape (N,)
        Deviation of the level at the last reading. [mg/L]
    rate : ndarray, shape (N,)
        Lasting deviation of the rate there. [mg/L/day]
    mean : ndarray, shape (N,)
        Deviation of the rate on the mean over all days between readings; a gap that
        restarts the level does not count. [mg/L/day]
    """

    level: Floats
    rate: Floats
    mean: Floats


def strayed(
    params: Floats,
    readings: Readings,
    noise: Noise,
    rng: np.random.Generator,
) -> Strayed:
    """Draw how far the tank strayed from its balance.

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
    Strayed
        Level, rate and mean rate of one row belong together.
    """
    u = quantiles(len(readings.low), _PATHS)
    zero, none = np.zeros((len(params), _PATHS)), np.zeros((len(params), 1))
    tally = Tally(zero, zero, none, none, none, zero, none, none, none)
    logw, _ = sweep(params, readings, noise, u, tally)
    # One path a row, picked by its weight (the Gumbel trick).
    picked = np.argmax(logw + rng.gumbel(size=logw.shape), axis=1)
    rows = np.arange(len(params))
    # The three go together: level first, then rate given it, then the rise given both.
    cov = np.zeros((len(params), 3, 3))
    cov[:, 0, 0] = tally.level_var[:, 0]
    cov[:, 1, 1] = tally.rate_var[:, 0]
    cov[:, 2, 2] = tally.risen_var[:, 0]
    cov[:, 0, 1] = cov[:, 1, 0] = tally.both_var[:, 0]
    cov[:, 0, 2] = cov[:, 2, 0] = tally.risen_level[:, 0]
    cov[:, 1, 2] = cov[:, 2, 1] = tally.risen_rate[:, 0]
    values, vectors = np.linalg.eigh(cov)
    root = vectors * np.sqrt(np.maximum(values, 0.0))[:, None, :]
    fresh = np.einsum("nij,nj->ni", root, rng.standard_normal((len(params), 3)))
    days = 0.0 if readings.memory is None else float(readings.memory.days.sum())
    return Strayed(
        tally.level[rows, picked] + fresh[:, 0],
        tally.rate[rows, picked] + fresh[:, 1],
        (tally.risen[rows, picked] + fresh[:, 2]) / max(days, 1e-12),
    )
