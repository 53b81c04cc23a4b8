"""Nitrate of the new water through time, from its own tests or the tank's settings."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from kit.balance import Floats
from kit.logbook import Logbook, SourceTest

__all__ = ["SourceWater", "source_water"]

_READER_NOISE = 0.12
"""Spread of one eye on one sample, common practice, no source. [-]"""


@dataclass(frozen=True, slots=True)
class SourceWater:
    """Nitrate of the new water.

    Parameters
    ----------
    days, levels_mg_l : ndarray, shape (s,)
        Days of its tests since day zero [day] and levels as NO3 [mg/L].
    error_mg_l : float
        Standard error of the mean level; 0 when stated without tests. [mg/L]
    known : bool
        False when the log holds no word on it; its level is then taken as 0 and the
        rate is net of whatever the new water brings.
    """

    days: Floats
    levels_mg_l: Floats
    error_mg_l: float
    known: bool

    @property
    def steady(self) -> bool:
        """Whether one level holds throughout."""
        return len(self.levels_mg_l) < 2

    def on(self, day: float) -> float:
        """Level on a day, on straight lines between tests. [mg/L]."""
        if self.steady:
            return float(self.levels_mg_l[0]) if len(self.levels_mg_l) else 0.0
        return float(np.interp(day, self.days, self.levels_mg_l))

    @property
    def mean_mg_l(self) -> float:
        """Mean of the tested or stated levels; 0 when unknown. [mg/L]."""
        return float(self.levels_mg_l.mean()) if len(self.levels_mg_l) else 0.0


def _level_and_error(test: SourceTest) -> tuple[float, float]:
    """Level a source reading stands for, and its standard error. [mg/L]."""
    high = test.high_mg_l if test.high_mg_l is not None else 1.5 * test.low_mg_l
    level = (test.low_mg_l + high) / 2.0
    if test.low_mg_l == 0.0 and test.value_mg_l == 0.0:
        level = high / 2.0
    return level, float(
        np.hypot((high - test.low_mg_l) / 12**0.5, _READER_NOISE * level)
    )


def source_water(log: Logbook, day0: dt.date) -> SourceWater:
    """Read the source's level from its tests, else from the tank's settings.

    Parameters
    ----------
    log : Logbook
        The loaded log.
    day0 : datetime.date
        Day zero.

    Returns
    -------
    SourceWater
        With ``known`` False when there is neither a test nor a stated level.
    """
    if log.source:
        rows = sorted(log.source, key=lambda s: (s.date, s.time or dt.time()))
        pairs = [_level_and_error(s) for s in rows]
        days = np.array([float((s.date - day0).days) for s in rows])
        levels = np.array([level for level, _ in pairs])
        errors = np.array([error for _, error in pairs])
        return SourceWater(days, levels, float(errors.mean()) / len(rows) ** 0.5, True)
    stated = log.tank.source_nitrate_mg_l
    if stated is None:
        return SourceWater(np.array([]), np.array([]), 0.0, False)
    return SourceWater(np.array([0.0]), np.array([stated]), 0.0, True)
