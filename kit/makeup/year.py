"""Heat and money of new water, month by month."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.errors import PlanError
from kit.makeup._values import Floats
from kit.makeup.heat import evaporation_kwh, heating_kwh
from kit.makeup.money import Tariff

__all__ = ["DAYS_OF_MONTHS", "Year", "seasonal_c", "year_of"]

DAYS_OF_MONTHS = (31.0, 28.25, *(31.0, 30.0) * 2, 31.0, *(31.0, 30.0) * 2, 31.0)
"""January to December, leap years spread over all. [day]"""


def seasonal_c(
    coldest_c: float, warmest_c: float, coldest_month: int = 2
) -> tuple[float, ...]:
    """Guess the tap's temperature in each month from the coldest and the warmest.

    Parameters
    ----------
    coldest_c, warmest_c : float
        Coldest and warmest month. [°C]
    coldest_month : int, optional
        1 to 12; February in the north as a rule, August in the south. [-]

    Returns
    -------
    tuple of float
        January to December, a wave between the two. [°C]

    Notes
    -----
    A cosine of one year, common practice for soil and shallow mains. A thermometer
    under the tap in each month is better.

    Examples
    --------
    >>> [round(t) for t in seasonal_c(9.0, 17.0)]
    [10, 9, 10, 11, 13, 15, 16, 17, 16, 15, 13, 11]
    """
    middle, swing = (warmest_c + coldest_c) / 2.0, (warmest_c - coldest_c) / 2.0
    angles = [2.0 * math.pi * (m - coldest_month) / 12.0 for m in range(1, 13)]
    return tuple(middle - swing * math.cos(angle) for angle in angles)


@dataclass(frozen=True, slots=True)
class Year:
    """Heat and money of a habit from January to December.

    Parameters
    ----------
    litres, evaporated_l : ndarray, shape (12,)
        New water, and water lost to the air. [L]
    heating_kwh, evaporation_kwh : ndarray, shape (12,)
        Heat that warms the one and that the other takes. [kWh]
    energy_cost, water_cost : ndarray, shape (12,), or None
        Money; None where the price is not stated. [currency]
    """

    litres: Floats
    evaporated_l: Floats
    heating_kwh: Floats
    evaporation_kwh: Floats
    energy_cost: Floats | None
    water_cost: Floats | None


def year_of(
    litres_day: float,
    tap_c: Sequence[float],
    tank_c: float,
    *,
    evaporation_l_day: float = 0.0,
    tariff: Tariff | None = None,
) -> Year:
    """Work out heat and money for each month of a year.

    Parameters
    ----------
    litres_day : float
        New water of exchanges, drip and top-up on a mean day. [L/day]
    tap_c : sequence of float
        Temperature of the new water, January to December. [°C]
    tank_c : float
        Temperature of the tank. [°C]
    evaporation_l_day : float, optional
        Water lost to the air. [L/day]
    tariff : Tariff, optional
        The keeper's prices.

    Returns
    -------
    Year
        Twelve of each.

    Raises
    ------
    PlanError
        Not twelve temperatures, or a flow below zero.

    Examples
    --------
    >>> year = year_of(22.0, [12.0] * 12, 25.0)
    >>> round(float(year.heating_kwh[0]), 1)
    10.3
    """
    if len(tap_c) != len(DAYS_OF_MONTHS):
        msg = "Give the new water's temperature for each of the twelve months."
        raise PlanError(msg)
    if min(litres_day, evaporation_l_day) < 0.0:
        msg = "A flow cannot be below zero."
        raise PlanError(msg)
    price = Tariff() if tariff is None else tariff
    days = np.array(DAYS_OF_MONTHS)
    litres = litres_day * days
    warmed = heating_kwh(litres, np.array(tap_c, dtype=float), tank_c)
    evaporated = evaporation_l_day * days
    lost = evaporation_kwh(evaporated, tank_c)
    energy, water = price.energy_per_kwh, price.water_per_m3
    return Year(
        litres=litres,
        evaporated_l=evaporated,
        heating_kwh=warmed,
        evaporation_kwh=lost,
        energy_cost=(
            None if energy is None else (warmed + lost) * (energy / price.efficiency)
        ),
        water_cost=None if water is None else litres * (water / 1000.0),
    )
