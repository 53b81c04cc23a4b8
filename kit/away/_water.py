"""One stretch of days with nobody at home: level of nitrate, of water and of salt.

Notes
-----
Where the water level holds, by a drip that outruns the air or by a top-up, the balance
is that of `kit.balance`. Where it falls, nothing leaves but pure water, and the mass is
kept: ``m(t) = m0 exp(-l t) + (g V0 + d Cs) (1 - exp(-l t))/l`` in a volume of
``V(t) = V0 - (e - d) t`` with ``d`` the drip, ``e`` the evaporation and ``l`` the loss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kit.balance import Floats
from kit.errors import PlanError
from kit.sawtooth import Habit

__all__ = ["Stretch", "days_until"]

_HORIZON_DAYS = 3650.0
_HALVINGS = 60
_LEAST_PART = 0.5
"""Part of the water that must be left for the sum to mean anything."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """How the water stands while nobody tends it.

    Parameters
    ----------
    volume_l : float
        Water at its beginning. [L]
    drip_l_day, evaporation_l_day : float
        Running in; lost to the air. [L/day]
    top_up : {"source", "pure", "none"}
        What a machine or a sitter replaces evaporated water with.
    source_mg_l : float
        Nitrate of the new water, as NO3. [mg/L]
    loss_per_day : float
        First-order loss. [1/day]
    """

    volume_l: float
    drip_l_day: float
    evaporation_l_day: float
    top_up: str
    source_mg_l: float
    loss_per_day: float = 0.0

    @classmethod
    def of(cls, habit: Habit, *, drip: bool, top_up: str) -> Stretch:
        """Take a habit's water, with the drip on or off.

        Parameters
        ----------
        habit : Habit
            Volume, drip, evaporation and source.
        drip : bool
            Whether the drip runs.
        top_up : {"source", "pure", "none"}
            What replaces evaporated water.
        """
        return cls(
            habit.volume_l,
            habit.drip_l_day if drip else 0.0,
            habit.evaporation_l_day,
            top_up,
            habit.source_mg_l,
            habit.loss_per_day,
        )

    @property
    def short_l_day(self) -> float:
        """Water the air takes beyond the drip. [L/day]."""
        return max(self.evaporation_l_day - self.drip_l_day, 0.0)

    @property
    def falling_l_day(self) -> float:
        """Fall of the water level, as water. [L/day]."""
        return self.short_l_day if self.top_up == "none" else 0.0

    @property
    def overflow_l_day(self) -> float:
        """Water that leaves as water. [L/day]."""
        return max(self.drip_l_day - self.evaporation_l_day, 0.0)

    @property
    def inflow_l_day(self) -> float:
        """Source water that comes in. [L/day]."""
        return self.drip_l_day + (self.short_l_day if self.top_up == "source" else 0.0)

    def volume_after(self, days: Floats | float) -> Floats:
        """Water left after some days. [L].

        Raises
        ------
        PlanError
            More than half of the water would be gone.
        """
        left = self.volume_l - self.falling_l_day * np.asarray(days, dtype=np.float64)
        if np.any(left < _LEAST_PART * self.volume_l):
            msg = (
                "More than half of the water would evaporate in that time. Arrange for "
                "a top-up, or for a lid, before you think of nitrate."
            )
            raise PlanError(msg)
        return left

    def level_after(
        self,
        days: Floats | float,
        level_mg_l: Floats | float,
        rate_mg_l_day: Floats | float,
        source_mg_l: Floats | float | None = None,
    ) -> Floats:
        """Nitrate after some days, held at zero.

        Parameters
        ----------
        days : float or ndarray
            How long. [day]
        level_mg_l, rate_mg_l_day : float or ndarray
            At the beginning [mg/L], and the net rate in the full tank [mg/L/day].
        source_mg_l : float or ndarray, optional
            Nitrate of the new water; the stretch's own when left out. [mg/L]

        Returns
        -------
        ndarray
            Level as NO3. [mg/L]
        """
        source = self.source_mg_l if source_mg_l is None else source_mg_l
        days = np.asarray(days, dtype=np.float64)
        income = rate_mg_l_day + self.inflow_l_day / self.volume_l * source
        k = self.overflow_l_day / self.volume_l + self.loss_per_day
        worth = days if k < 1e-12 else -np.expm1(-k * days) / k
        held = np.maximum(level_mg_l * np.exp(-k * days) + income * worth, 0.0)
        full: Floats = held * self.volume_l / self.volume_after(days)
        return full

    def salt_after(self, days: float, salt_g_kg: float) -> float:
        """Salinity after some days, with fresh water coming in.

        Parameters
        ----------
        days : float
            How long. [day]
        salt_g_kg : float
            Salinity at the beginning. [g/kg]

        Returns
        -------
        float
            Salinity; a top-up keeps it, an overflow washes it out. [g/kg]

        Notes
        -----
        Grams in a litre are taken for grams in a kilogram: the change of density
        over so small a change is left out.

        Examples
        --------
        >>> tank = Stretch(149.0, 0.0, 1.1, "none", 10.0)
        >>> round(tank.salt_after(14.0, 6.6), 1)
        7.4
        """
        washed = math.exp(-self.overflow_l_day / self.volume_l * days)
        return salt_g_kg * washed * self.volume_l / float(self.volume_after(days))


def days_until(
    stretch: Stretch,
    ceiling_mg_l: float,
    level_mg_l: Floats,
    rate_mg_l_day: Floats,
) -> Floats:
    """Days until a ceiling is met with nobody tending the tank.

    Parameters
    ----------
    stretch : Stretch
        How the water stands.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]
    level_mg_l, rate_mg_l_day : ndarray
        At the beginning [mg/L], and the net rate [mg/L/day], as NO3.

    Returns
    -------
    ndarray
        0 where it is met already, ``math.inf`` where it is not met in ten years or
        before half of the water is gone. [day]

    Examples
    --------
    >>> tank = Stretch(200.0, 0.0, 0.0, "none", 5.0)
    >>> days_until(tank, 50.0, np.array([35.0]), np.array([1.0])).round(6)
    array([15.])
    """
    horizon = _HORIZON_DAYS
    if stretch.falling_l_day > 0.0:
        gone = _LEAST_PART * stretch.volume_l / stretch.falling_l_day
        horizon = min(horizon, gone * (1.0 - 1e-9))
    low, high = np.zeros(len(level_mg_l)), np.full(len(level_mg_l), horizon)
    never = stretch.level_after(high, level_mg_l, rate_mg_l_day) < ceiling_mg_l
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        over = stretch.level_after(middle, level_mg_l, rate_mg_l_day) >= ceiling_mg_l
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    days = np.where(never, math.inf, high)
    return np.where(level_mg_l >= ceiling_mg_l, 0.0, days)
