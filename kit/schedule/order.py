"""What one exchange does, by the order in which it is done.

Notes
-----
Of the water in the tank, ``V`` litres less what evaporated, and ``D`` litres drained,
this part of the old water's nitrate leaves ::

    drain first            D / V
    top up first           D / V, with V full again
    fill while draining    1 - exp(-D / V), both streams equal and well mixed
    fill first             D / (V + D), in a tank with room for it

Draining an evaporated tank takes stronger water, so the same litres take more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from kit.errors import PlanError

__all__ = [
    "ORDERS",
    "ORDER_WORDS",
    "Order",
    "Outcome",
    "compare_orders",
    "free_fraction",
    "level_after",
    "level_at_once",
    "part_removed",
]

Order = Literal["drain first", "top up first", "fill while draining", "fill first"]
ORDERS: Final[tuple[Order, ...]] = (
    "drain first",
    "top up first",
    "fill while draining",
    "fill first",
)
"""Every order, the usual one first."""
ORDER_WORDS: Final[dict[Order, str]] = {
    "drain first": "drain, then fill",
    "top up first": "top up, drain, then fill",
    "fill while draining": "fill while draining",
    "fill first": "fill first, then drain",
}
"""Each order as a keeper would do it."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one order of draining and filling does.

    Parameters
    ----------
    order : Order
        Which.
    part : float
        Part of the old water's nitrate that leaves. [-]
    level_mg_l : float
        Level afterwards, tank full, as NO3. [mg/L]
    new_l : float
        New water used, what replaces the evaporated included. [L]
    """

    order: Order
    part: float
    level_mg_l: float
    new_l: float


def _check(drained_l: float, volume_l: float, evaporated_l: float) -> float:
    """Give the water in the tank, or say what cannot be."""
    if not (volume_l > 0 and 0 <= evaporated_l < volume_l):
        msg = "The tank must hold some water, and less can be missing than it holds."
        raise PlanError(msg)
    if not drained_l >= 0:
        msg = "The water drained cannot be less than nothing."
        raise PlanError(msg)
    return volume_l - evaporated_l


def part_removed(
    order: Order, drained_l: float, volume_l: float, evaporated_l: float = 0.0
) -> float:
    """Part of the old water's nitrate that an exchange takes out.

    Parameters
    ----------
    order : {"drain first", "top up first", "fill while draining", "fill first"}
        How it is done.
    drained_l : float
        Water drained. [L]
    volume_l : float
        Water in the full tank. [L]
    evaporated_l : float, optional
        What is missing from it at the start. [L]

    Returns
    -------
    float
        0 to 1. [-]

    Raises
    ------
    PlanError
        More is drained than there is, or a size cannot be.

    Examples
    --------
    >>> part_removed("drain first", 75.0, 300.0)
    0.25
    >>> round(part_removed("drain first", 75.0, 300.0, 15.0), 3)
    0.263
    >>> round(part_removed("fill while draining", 75.0, 300.0), 3)
    0.221
    >>> part_removed("fill first", 75.0, 300.0)
    0.2
    """
    water = _check(drained_l, volume_l, evaporated_l)
    if order == "top up first":
        water = volume_l
    if order == "fill while draining":
        return -math.expm1(-drained_l / water)
    if order == "fill first":
        return drained_l / (water + drained_l)
    if drained_l > water:
        msg = f"There are {water:.4g} L in the tank, so {drained_l:.4g} L cannot leave."
        raise PlanError(msg)
    return drained_l / water


def level_after(
    order: Order,
    level_mg_l: float,
    source_mg_l: float,
    *,
    drained_l: float,
    volume_l: float,
    evaporated_l: float = 0.0,
) -> float:
    """Level after an exchange that leaves the tank full.

    Parameters
    ----------
    order : {"drain first", "top up first", "fill while draining", "fill first"}
        How it is done.
    level_mg_l : float
        Level before, as read in the tank with what is missing, as NO3. [mg/L]
    source_mg_l : float
        Nitrate of the new water, as NO3. [mg/L]
    drained_l : float
        Water drained. [L]
    volume_l : float
        Water in the full tank. [L]
    evaporated_l : float, optional
        What is missing from it at the start. [L]

    Returns
    -------
    float
        Level, as NO3. [mg/L]

    Notes
    -----
    Old nitrate left over plus what the new water brings, over the full volume. Of the
    new water that runs in while or before the tank is drained, some leaves again.

    Examples
    --------
    >>> level_after("drain first", 40.0, 0.0, drained_l=75.0, volume_l=300.0)
    30.0
    """
    water = _check(drained_l, volume_l, evaporated_l)
    part = part_removed(order, drained_l, volume_l, evaporated_l)
    if order == "top up first":
        topped = (water * level_mg_l + evaporated_l * source_mg_l) / volume_l
        return (1.0 - part) * topped + part * source_mg_l
    old = (1.0 - part) * water * level_mg_l
    new = part * water * source_mg_l + evaporated_l * source_mg_l
    return (old + new) / volume_l


def compare_orders(
    level_mg_l: float,
    source_mg_l: float,
    *,
    drained_l: float,
    volume_l: float,
    evaporated_l: float = 0.0,
) -> tuple[Outcome, ...]:
    """Set the orders side by side for the same litres drained.

    Parameters
    ----------
    level_mg_l, source_mg_l : float
        Level before and nitrate of the new water, as NO3. [mg/L]
    drained_l : float
        Water drained. [L]
    volume_l : float
        Water in the full tank. [L]
    evaporated_l : float, optional
        What is missing from it at the start. [L]

    Returns
    -------
    tuple of Outcome
        One for each of `ORDERS`, all with the same new water.

    Examples
    --------
    >>> seen = compare_orders(40.0, 0.0, drained_l=150.0, volume_l=300.0)
    >>> [round(100.0 * way.part, 1) for way in seen]
    [50.0, 50.0, 39.3, 33.3]
    """
    return tuple(
        Outcome(
            order,
            part_removed(order, drained_l, volume_l, evaporated_l),
            level_after(
                order,
                level_mg_l,
                source_mg_l,
                drained_l=drained_l,
                volume_l=volume_l,
                evaporated_l=evaporated_l,
            ),
            drained_l + evaporated_l,
        )
        for order in ORDERS
    )


def free_fraction(drained_l: float, volume_l: float, held_l: float) -> float:
    """Part of the free water exchanged where some is held in sand or dead corners.

    Parameters
    ----------
    drained_l : float
        Water drained. [L]
    volume_l : float
        All water in the tank. [L]
    held_l : float
        Water that does not mix at once, such as that between grains of sand. [L]

    Returns
    -------
    float
        Part of the free water, which is what a test shows at first; after hours of
        mixing it is ``drained_l / volume_l``. [-]

    Raises
    ------
    PlanError
        More is drained than is free.

    Examples
    --------
    >>> round(free_fraction(75.0, 300.0, 30.0), 3)
    0.278
    """
    free = _check(drained_l, volume_l, held_l)
    if drained_l > free:
        msg = f"Only {free:.4g} L are free to drain, so {drained_l:.4g} L cannot leave."
        raise PlanError(msg)
    return drained_l / free


def level_at_once(
    level_mg_l: float,
    source_mg_l: float,
    *,
    drained_l: float,
    volume_l: float,
    evaporated_l: float = 0.0,
    reached: float = 1.0,
) -> float:
    """Level a test shows right after draining and filling, before all has mixed.

    Parameters
    ----------
    level_mg_l, source_mg_l : float
        Level before and nitrate of the new water, as NO3. [mg/L]
    drained_l : float
        Water drained. [L]
    volume_l : float
        Water in the full tank. [L]
    evaporated_l : float, optional
        What is missing from it at the start. [L]
    reached : float, optional
        Part of the water that is free to drain and mixes at once. [-]

    Returns
    -------
    float
        Level of the free water, as NO3. [mg/L]

    Raises
    ------
    PlanError
        More is drained than is free.

    Examples
    --------
    >>> level_at_once(40.0, 0.0, drained_l=75.0, volume_l=300.0)
    30.0
    >>> round(level_at_once(40.0, 0.0, drained_l=75.0, volume_l=300.0, reached=0.8), 1)
    27.5
    """
    water = _check(drained_l, volume_l, evaporated_l)
    free = reached * water
    part = free_fraction(drained_l, water, water - free)
    filled = drained_l + evaporated_l
    left = (1.0 - part) * free
    return (left * level_mg_l + filled * source_mg_l) / (left + filled)
