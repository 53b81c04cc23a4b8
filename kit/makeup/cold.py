"""One exchange, judged by how cold its new water is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.makeup._values import Floats
from kit.makeup.heat import (
    drip_heater_w,
    heating_kwh,
    largest_fraction,
    mixed_temperature_c,
    parts_needed,
    temper_to_c,
    temperature_drop_c,
)

__all__ = ["ColdExchange", "cold_exchange", "drop_curve"]


@dataclass(frozen=True, slots=True)
class ColdExchange:
    """What one exchange does to the warmth of the tank.

    Parameters
    ----------
    fraction, litres : float
        Part exchanged [-] and its new water. [L]
    tank_c, new_c, after_c : float
        Temperature of the tank, of the new water, and right after. [°C]
    drop_c, allowed_c : float
        Fall at once (negative is a rise), and the keeper's limit for it. [K]
    most : float
        Largest part that keeps the limit. [-]
    warm_to_c : float
        What to bring the new water to so that this exchange keeps it. [°C]
    parts : int or None
        Equal parts to split it into; None where no number keeps the limit.
    heating_kwh : float
        Heat to bring the new water to the tank's temperature. [kWh]
    drip_l_day, drip_w, drip_kwh_day : float
        The drip [L/day], and the heater's share that goes into it. [W], [kWh/day]
    """

    fraction: float
    litres: float
    tank_c: float
    new_c: float
    after_c: float
    drop_c: float
    allowed_c: float
    most: float
    warm_to_c: float
    parts: int | None
    heating_kwh: float
    drip_l_day: float
    drip_w: float
    drip_kwh_day: float

    @property
    def keeps(self) -> bool:
        """Whether it keeps the keeper's limit."""
        return abs(self.drop_c) <= self.allowed_c + 1e-9


def cold_exchange(
    volume_l: float,
    fraction: float,
    *,
    tank_c: float,
    new_c: float,
    allowed_c: float,
    drip_l_day: float = 0.0,
) -> ColdExchange:
    """Work out what one exchange does to the warmth of the tank.

    Parameters
    ----------
    volume_l, fraction : float
        Water of the tank [L], and the part exchanged, 0 to 1. [-]
    tank_c, new_c : float
        Temperature of the tank and of the new water. [°C]
    allowed_c : float
        The keeper's own limit for the change at once. [K]
    drip_l_day : float, optional
        Fresh water of the same temperature running in. [L/day]

    Returns
    -------
    ColdExchange
        Fall, limit, ways to keep it, and heat.

    Raises
    ------
    PlanError
        Fraction outside 0 to 1, or a limit below zero.

    Examples
    --------
    >>> cold = cold_exchange(262.0, 0.2, tank_c=25.0, new_c=10.0, allowed_c=2.0)
    >>> cold.drop_c, cold.keeps, cold.parts, cold.warm_to_c
    (3.0, False, 2, 15.0)
    """
    limit = allowed_c if new_c <= tank_c else -allowed_c
    return ColdExchange(
        fraction=fraction,
        litres=volume_l * fraction,
        tank_c=tank_c,
        new_c=new_c,
        after_c=mixed_temperature_c(fraction, tank_c, new_c),
        drop_c=temperature_drop_c(fraction, tank_c, new_c),
        allowed_c=allowed_c,
        most=largest_fraction(allowed_c, tank_c, new_c),
        warm_to_c=temper_to_c(fraction, tank_c, limit),
        parts=parts_needed(fraction, tank_c, new_c, allowed_c),
        heating_kwh=heating_kwh(volume_l * fraction, new_c, tank_c),
        drip_l_day=drip_l_day,
        drip_w=drip_heater_w(drip_l_day, new_c, tank_c),
        drip_kwh_day=heating_kwh(drip_l_day, new_c, tank_c),
    )


def drop_curve(tank_c: float, new_c: float, most: float = 0.6) -> tuple[Floats, Floats]:
    """Give the fall of temperature for exchanges from none to a large one.

    Parameters
    ----------
    tank_c, new_c : float
        Temperature of the tank and of the new water. [°C]
    most : float, optional
        Largest part. [-]

    Returns
    -------
    tuple of ndarray
        Parts [-] and falls; negative is a rise. [K]
    """
    parts = np.linspace(0.0, most, 61)
    return parts, temperature_drop_c(parts, tank_c, new_c)
