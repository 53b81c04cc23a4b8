"""Generalised least squares with the covariance of tank noise and reading noise."""

from __future__ import annotations

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.balance import Floats
from kit.fit._banded import Readings

__all__ = ["covariance", "source_pull"]


def covariance(
    kept: Floats, wander: Floats, tank_variance: float, reading_variance: Floats
) -> Floats:
    """Covariance of readings: the diluted integral of tank noise, and reading noise.

    Parameters
    ----------
    kept, wander : ndarray, shape (n,)
        As in `kit.balance.Design`. [-], [day]
    tank_variance : float
        Day-to-day variance of the tank. [mg2/L2/day]
    reading_variance : ndarray, shape (n,)
        Variance of each reading. [mg2/L2]

    Returns
    -------
    ndarray, shape (n, n)
        ``cov[i, j] = v_i * kept from i to j`` for ``i <= j``, where ``v_i`` is the
        variance that wandered in up to reading i and was not diluted away. [mg2/L2]
    """
    n = len(kept)
    out = np.zeros((n, n))
    variance = 0.0
    for i in range(n):
        variance = kept[i] ** 2 * variance + tank_variance * wander[i]
        out[i, i:] = variance * np.concatenate([[1.0], np.cumprod(kept[i + 1 :])])
    out = np.triu(out) + np.triu(out, 1).T
    return np.asarray(out + np.diag(reading_variance))


def source_pull(
    readings: Readings,
    source: Floats,
    rate: int,
    tank_variance: float,
    reading_variance: Floats,
) -> float:
    """Change of the fitted rate for each mg/L more in the new water.

    Parameters
    ----------
    readings : Readings
        The design fitted.
    source : ndarray, shape (n,)
        Source share of each level. [-]
    rate : int
        Column of the rate.
    tank_variance, reading_variance : float, ndarray
        As in `covariance`.

    Returns
    -------
    float
        Usually below zero: what the water brings the tank need not. [1/day]
    """
    sigma = covariance(readings.kept, readings.wander, tank_variance, reading_variance)
    found = lm.GLS(source, readings.exog, sigma=sigma).fit()
    return -float(found.params[rate])
