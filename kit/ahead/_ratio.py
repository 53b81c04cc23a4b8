"""Likelihood ratios of many simulated logs at once, with the noise held fixed.

A reading off a chart is judged as the band it allows, one off a meter as a number. The
level is linear in the unknowns, so each log's best fit is found by a few steps of
scoring, all logs together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from kit.steps import Floats

__all__ = ["Read", "fitted", "ratios"]

_TINY: Final = 1e-12
_STEPS: Final = 30
_SETTLED: Final = 1e-5
_SMALLEST: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Read:
    """Readings of many logs with one design.

    Parameters
    ----------
    low, high : ndarray, shape (s, n)
        What each reading allows, ``-inf`` and ``inf`` where open; the same number
        twice for a meter. [mg/L]
    spread : ndarray, shape (n,)
        Standard deviation of each reading, held. [mg/L]
    known : ndarray, shape (n,)
        Known part of the level. [mg/L]
    """

    low: Floats
    high: Floats
    spread: Floats
    known: Floats

    @property
    def exact(self) -> bool:
        """Whether the readings are numbers and not bands."""
        return bool((self.low == self.high).all())

    def logs(self, chosen: NDArray[np.intp]) -> Read:
        """Give some of the logs."""
        return Read(self.low[chosen], self.high[chosen], self.spread, self.known)

    def rows(self, chosen: NDArray[np.bool_]) -> Read:
        """Give some of the readings."""
        return Read(
            self.low[:, chosen],
            self.high[:, chosen],
            self.spread[chosen],
            self.known[chosen],
        )


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi))


def _judge(read: Read, level: Floats) -> tuple[Floats, Floats, Floats]:
    """Log-likelihood, its slope in the level, and how sharp it is there."""
    sd = read.spread
    if read.exact:
        z = (read.low - level) / sd
        return -0.5 * z**2, z / sd, np.tile(1.0 / sd**2, (len(z), 1))
    a, b = (read.low - level) / sd, (read.high - level) / sd
    flip = a > 0
    a, b = np.where(flip, -b, a), np.where(flip, -a, b)
    p = np.maximum(ndtr(b) - ndtr(a), _TINY)
    slope = (_density(a) - _density(b)) / p
    with np.errstate(invalid="ignore"):
        bend = np.where(np.isfinite(a), a * _density(a), 0.0)
        bend = bend - np.where(np.isfinite(b), b * _density(b), 0.0)
    # The log of a normal band is concave in its middle: this is never below zero.
    sharp = np.maximum(slope**2 - bend / p, 0.02)
    return np.log(p), np.where(flip, -slope, slope) / sd, sharp / sd**2


def fitted(read: Read, x: Floats, start: Floats) -> Floats:
    """Best log-likelihood of each log.

    Parameters
    ----------
    read : Read
        The readings.
    x : ndarray, shape (n, p)
        Design columns.
    start : ndarray, shape (p,)
        Where to begin.

    Returns
    -------
    ndarray, shape (s,)
        At the best coefficients found; where they run off, where that stops paying.
    """
    beta = np.tile(start, (len(read.low), 1))
    value, slope, sharp = _judge(read, beta @ x.T + read.known)
    best = value.sum(axis=1)
    damp = np.ones(len(best))
    left = np.arange(len(best))
    ridge = 1e-9 * np.eye(x.shape[1])
    for _ in range(_STEPS):
        curve = np.einsum("sn,ni,nj->sij", sharp, x, x) + ridge
        step = np.linalg.solve(curve, (slope @ x)[..., None])[..., 0]
        trial = beta[left] + damp[left, None] * step
        some = read.logs(left)
        value, new_slope, new_sharp = _judge(some, trial @ x.T + read.known)
        gain = value.sum(axis=1) - best[left]
        better = gain >= 0.0
        beta[left[better]] = trial[better]
        best[left[better]] += gain[better]
        slope[better], sharp[better] = new_slope[better], new_sharp[better]
        damp[left] = np.where(better, np.minimum(2.0 * damp[left], 1.0), damp[left] / 4)
        # Logs whose answer has settled need no more work.
        more = np.where(better, gain > _SETTLED, damp[left] > _SMALLEST)
        left, slope, sharp = left[more], slope[more], sharp[more]
        if not len(left):
            break
    return np.asarray(best)


def ratios(read: Read, x: Floats, column: int, start: Floats) -> Floats:
    """Twice the gain in log-likelihood from one column.

    Parameters
    ----------
    read : Read
        The readings.
    x : ndarray, shape (n, p)
        Design columns.
    column : int
        The column in question.
    start : ndarray, shape (p,)
        Where to begin, with 0 for the column.

    Returns
    -------
    ndarray, shape (s,)
        Near a chi-squared distribution of one degree where the column means nothing,
        for many readings. [-]
    """
    others = [i for i in range(x.shape[1]) if i != column]
    small = fitted(read, x[:, others], start[others])
    large = fitted(read, x, start)
    return np.asarray(np.maximum(2.0 * (large - small), 0.0))
