"""Readings as bands beside their design, the spreads and what is known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.balance import Floats
from kit.fit._memory import Memory

__all__ = ["Noise", "Prior", "Readings"]


@dataclass(frozen=True, slots=True)
class Readings:
    """Bands and the design they are judged against, in time order.

    Parameters
    ----------
    low, high : ndarray, shape (n,)
        Ends of each band as NO3; ``-inf``/``inf`` where open; equal for an exact
        reading. [mg/L]
    exog : ndarray, shape (n, p)
        Design columns.
    known : ndarray, shape (n,)
        Known part of the level. [mg/L]
    kept, wander : ndarray, shape (n,)
        As in `kit.balance.Design`. [-], [day]
    jolt : ndarray, shape (n,), or None
        Variance that exchanges of inexact size add since the reading before, diluted
        by what follows; None for none. [mg2/L2]
    memory : Memory or None
        How noise that lasts passes from reading to reading; needed where it is fitted.
    """

    low: Floats
    high: Floats
    exog: Floats
    known: Floats
    kept: Floats
    wander: Floats
    jolt: Floats | None = None
    memory: Memory | None = None

    @property
    def jolts(self) -> Floats:
        """Jolt of each reading, 0 where there is none. [mg2/L2]."""
        return np.zeros(len(self.low)) if self.jolt is None else self.jolt

    @property
    def exact(self) -> NDArray[np.bool_]:
        """True where the reading is one number."""
        same: NDArray[np.bool_] = self.low == self.high
        return same


@dataclass(frozen=True, slots=True)
class Noise:
    """Which spreads are fitted, and what the others are held at.

    Parameters
    ----------
    additive, relative, tank : float or None
        Reading noise that is the same at all levels [mg/L], reading noise as a part
        of the level [-], day-to-day noise of the tank [mg/L per root day]. None means
        fitted (as a logarithm), a number is held.
    slow : float or None
        Spread of a deviation of the rate that lasts, likewise. [mg/L/day]
    """

    additive: float | None = 0.0
    relative: float | None = 0.0
    tank: float | None = 0.0
    slow: float | None = 0.0

    @property
    def free(self) -> tuple[str, ...]:
        """Names of the fitted spreads."""
        pairs = (
            ("additive", self.additive),
            ("relative", self.relative),
            ("tank", self.tank),
            ("slow", self.slow),
        )
        return tuple(name for name, value in pairs if value is None)

    def spreads(self, logs: Floats) -> tuple[Floats, Floats, Floats]:
        """Spreads for each row of fitted logarithms, shape (N, 1) each."""
        out, column = [], 0
        for value in (self.additive, self.relative, self.tank):
            if value is None:
                out.append(np.exp(logs[:, column : column + 1]))
                column += 1
            else:
                out.append(np.full((len(logs), 1), value))
        return out[0], out[1], out[2]

    def lasting(self, logs: Floats) -> Floats:
        """Spread of the slow noise for each row of fitted logarithms, shape (N, 1)."""
        if self.slow is None:
            return np.exp(logs[:, len(self.free) - 1 :])
        return np.full((len(logs), 1), self.slow)


@dataclass(frozen=True, slots=True)
class Prior:
    """What is known beforehand: log-normal of each spread, normal of coefficients.

    Parameters
    ----------
    log_mean, log_sd : tuple of float
        In the order of `Noise.free`; both empty for a plain likelihood.
    mean, sd : tuple of float
        Of each coefficient; an infinite ``sd`` for one of which nothing is known. Both
        empty for none.
    """

    log_mean: tuple[float, ...] = ()
    log_sd: tuple[float, ...] = ()
    mean: tuple[float, ...] = ()
    sd: tuple[float, ...] = ()

    def log_density(self, params: Floats, columns: int) -> Floats:
        """Log prior density of each row, up to a constant."""
        out = np.zeros(len(params))
        if self.log_mean:
            logs = params[:, columns:]
            z = (logs - np.array(self.log_mean)) / np.array(self.log_sd)
            out -= 0.5 * (z**2).sum(axis=1)
        if self.sd:
            z = (params[:, :columns] - np.array(self.mean)) / np.array(self.sd)
            out -= 0.5 * (z**2).sum(axis=1)
        return out
