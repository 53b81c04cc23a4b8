"""Covariance of readings: tank noise carried and diluted, and reading noise."""

from __future__ import annotations

import numpy as np

from kit.balance import Floats

__all__ = ["covariance"]


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
