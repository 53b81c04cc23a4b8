"""How far the tank has strayed from its balance, for very many candidates at once.

Notes
-----
Two noises make it stray: one of each day by itself, which gathers in the level and is
diluted, and a lasting deviation of the rate (`kit.fit.model.Memory`).
"""

from __future__ import annotations

import numpy as np

from kit.balance import Floats
from kit.fit.model import Memory, Readings

__all__ = ["Strayed", "covariance"]


class Strayed:
    """Mean and covariance of the deviations of level and rate, a row each candidate.

    Parameters
    ----------
    readings : Readings
        How deviations are kept, collected and forgotten.
    tank_var : ndarray, shape (N,)
        Variance of the day-to-day noise. [mg2/L2/day]
    slow_var : ndarray, shape (N,)
        Variance of the lasting deviation of the rate. [mg2/L2/day2]
    lasts : bool
        Whether any noise lasts; half the work where none does.
    """

    def __init__(
        self, readings: Readings, tank_var: Floats, slow_var: Floats, *, lasts: bool
    ) -> None:
        self.readings = readings
        self.memory: Memory | None = readings.memory if lasts else None
        self.tank_var, self.slow_var = tank_var, slow_var
        none = np.zeros(len(tank_var))
        self.level, self.rate = none, none
        self.level_var, self.both_var, self.rate_var = none, none, slow_var

    def carry(self, t: int) -> None:
        """Go from one reading to the next, number ``t``."""
        r, memory = self.readings, self.memory
        kept = float(r.kept[t])
        fresh = self.tank_var * r.wander[t] + r.jolts[t]
        if memory is None:
            self.level = kept * self.level
            self.level_var = kept * kept * self.level_var + fresh
            return
        gained, lasting = float(memory.gained[t]), float(memory.lasting[t])
        self.level = kept * self.level + gained * self.rate
        self.rate = lasting * self.rate
        through = kept * self.both_var + gained * self.rate_var
        self.level_var = (
            kept * (kept * self.level_var + gained * self.both_var)
            + gained * through
            + self.slow_var * memory.level[t]
            + fresh
        )
        self.both_var = lasting * through + self.slow_var * memory.both[t]
        self.rate_var = lasting**2 * self.rate_var + self.slow_var * memory.rate[t]

    def learn(self, off: Floats, told: Floats) -> None:
        """Take in a reading.

        Parameters
        ----------
        off : ndarray, shape (N,)
            Its distance from the forecast, over the forecast's variance. [L/mg]
        told : ndarray, shape (N,)
            What it tells: 1 over the forecast's variance for an exact reading, less
            for a band. [L2/mg2]
        """
        self.level = self.level + self.level_var * off
        if self.memory is not None:
            shared = self.both_var * told
            self.rate = self.rate + self.both_var * off
            self.rate_var = self.rate_var - self.both_var * shared
            self.both_var = self.both_var - self.level_var * shared
        self.level_var = self.level_var * (1.0 - self.level_var * told)


def covariance(readings: Readings, tank: float, slow: float) -> Floats:
    """Covariance of the levels at the readings, before any is read.

    Parameters
    ----------
    readings : Readings
        How deviations are kept, collected and forgotten.
    tank : float
        Day-to-day noise. [mg/L per root day]
    slow : float
        Spread of the lasting deviation of the rate. [mg/L/day]

    Returns
    -------
    ndarray, shape (n, n)
        What strayed up to the earlier reading, carried on to the later. [mg2/L2]
    """
    n, memory = len(readings.kept), readings.memory
    at = Strayed(
        readings, np.array([tank**2]), np.array([slow**2]), lasts=memory is not None
    )
    out, level, rate = np.zeros((n, n)), np.zeros(n), np.zeros(n)
    for i in range(n):
        at.carry(i)
        level[:i] *= readings.kept[i]
        if memory is not None:
            level[:i] += memory.gained[i] * rate[:i]
            rate[:i] *= memory.lasting[i]
        level[i], rate[i] = at.level_var[0], at.both_var[0]
        out[: i + 1, i] = out[i, : i + 1] = level[: i + 1]
    return out
