"""Likelihood ratios of many single additions to one design."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Floats
from kit.change._climb import Ints, climb
from kit.change._filter import Chances

__all__ = ["Base", "Scan", "base_fit", "scan"]

_LEAST_LOG_SCALE = 0.1
_MOST_LOG_SCALE = 1.0


@dataclass(frozen=True, slots=True)
class Base:
    """The fit without any addition.

    Parameters
    ----------
    chances : Chances
        What it is judged by.
    exog : ndarray, shape (n, p)
        Its columns.
    at : ndarray, shape (p + k,)
        Its highest point: coefficients, then logarithms of the fitted spreads.
    scale : ndarray, shape (p + k,)
        Standard errors there.
    height : float
        Log posterior there.
    """

    chances: Chances
    exog: Floats
    at: Floats
    scale: Floats
    height: float

    @property
    def width(self) -> int:
        """Count the columns."""
        return int(self.exog.shape[1])

    @property
    def levels(self) -> Floats:
        """Fitted level at each reading. [mg/L]."""
        mu = self.exog @ self.at[: self.width] + self.chances.readings.known
        return np.asarray(np.maximum(mu, 0.0))

    @property
    def reading_sd(self) -> Floats:
        """Spread each reading has by itself, its band's width counted in. [mg/L]."""
        r = self.chances.readings
        additive, relative, _ = self.chances.noise.spreads(self.at[None, self.width :])
        width = np.where(np.isfinite(r.high - r.low), r.high - r.low, self.levels + 1.0)
        square = additive[0, 0] ** 2 + (relative[0, 0] * self.levels) ** 2
        return np.asarray(np.sqrt(square + width**2 / 12.0))


@dataclass(frozen=True, slots=True)
class Scan:
    """What each addition gains.

    Parameters
    ----------
    gain : ndarray, shape (c,)
        Twice the rise of the log posterior. [-]
    size, error : ndarray, shape (c,)
        Coefficient of the addition and its standard error, in the addition's unit.
    at : ndarray, shape (c, p + 1 + k)
        Highest points: coefficients, the addition's, then the spreads.
    """

    gain: Floats
    size: Floats
    error: Floats
    at: Floats


def base_fit(chances: Chances, exog: Floats, start: Floats) -> Base:
    """Fit a design without any addition.

    Parameters
    ----------
    chances : Chances
        Readings, noise and prior.
    exog : ndarray, shape (n, p)
        Columns.
    start : ndarray, shape (p + k,)
        Where to begin.

    Returns
    -------
    Base
        Its highest point.
    """
    p = exog.shape[1]

    def height(points: Floats, _owner: Ints) -> Floats:
        return chances.log_posterior(points[:, :p], points[:, p:], exog)

    scale = np.where(np.abs(start) > 0, 0.1 * np.abs(start), 0.1)
    scale[p:] = 0.3
    found = climb(height, start[None, :], scale[None, :])
    error = np.sqrt(np.maximum(np.diag(found.covariance[0]), 1e-12))
    error[p:] = np.clip(error[p:], _LEAST_LOG_SCALE, _MOST_LOG_SCALE)
    return Base(chances, exog, found.at[0], error, float(found.height[0]))


def scan(base: Base, additions: Floats, spread: float = np.inf) -> Scan:
    """Fit the design with each addition in turn, all at once.

    Parameters
    ----------
    base : Base
        The fit without.
    additions : ndarray, shape (n, c)
        One column for each.
    spread : float, optional
        How large an addition is on the whole beforehand, to one standard deviation, in
        its unit; infinite where nothing is known.

    Returns
    -------
    Scan
        One entry for each addition.
    """
    p, count = base.width, additions.shape[1]
    if not count:
        none = np.zeros(0)
        return Scan(none, none, none, np.zeros((0, len(base.at) + 1)))
    exog = np.empty((count, *base.exog.shape[:1], p + 1))
    exog[:, :, :p] = base.exog
    exog[:, :, p] = additions.T

    def height(points: Floats, owner: Ints) -> Floats:
        value = base.chances.log_posterior(
            points[:, : p + 1], points[:, p + 1 :], exog[owner]
        )
        return np.asarray(value - 0.5 * (points[:, p] / spread) ** 2)

    start = np.insert(base.at, p, 0.0)
    weight = (additions / base.reading_sd[:, None]) ** 2
    unit = 1.0 / np.sqrt(np.maximum(weight.sum(axis=0), 1e-12))
    scale = np.repeat(np.insert(base.scale, p, 0.0)[None, :], count, axis=0)
    scale[:, p] = unit
    found = climb(height, np.repeat(start[None, :], count, axis=0), scale)
    return Scan(
        gain=2.0 * np.maximum(found.height - base.height, 0.0),
        size=found.at[:, p],
        error=np.sqrt(np.maximum(found.covariance[:, p, p], 0.0)),
        at=found.at,
    )
