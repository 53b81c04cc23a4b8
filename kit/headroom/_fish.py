"""Added fish as added food."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kit.errors import PlanError

__all__ = ["AddedFish", "feed_for_fish", "feed_for_more_alike", "fish_weight_g"]

_CONDITION = 0.015
"""Grams in the cube of a centimetre of length, for a fish of common build; 0.01 to
0.02, common practice, from memory. [g/cm3]"""


@dataclass(frozen=True, slots=True)
class AddedFish:
    """Fish to be added.

    Parameters
    ----------
    count : int
        How many.
    weight_g : float
        Weight of one. [g]
    percent_a_day : float
        Food a day as a part of the body's weight; grown fish 1 to 2, young ones 3 to
        5, common practice, no source. [%]
    """

    count: int
    weight_g: float
    percent_a_day: float = 1.5


def fish_weight_g(length_cm: float) -> float:
    """Weight of a fish of common build from its length without the tail fin.

    Parameters
    ----------
    length_cm : float
        Length. [cm]

    Returns
    -------
    float
        Weight, within about a third for most; eels and discs lie far off. [g]

    Examples
    --------
    >>> round(fish_weight_g(5.0), 2)
    1.88
    """
    if not 0.0 <= length_cm < 200.0:
        msg = "A length lies between 0 and 200 cm."
        raise PlanError(msg)
    return _CONDITION * length_cm**3


def feed_for_fish(fish: Sequence[AddedFish]) -> float:
    """Food for added fish by their weight.

    Parameters
    ----------
    fish : sequence of AddedFish
        One entry for each kind.

    Returns
    -------
    float
        Food. [g/day]

    Raises
    ------
    PlanError
        A number below zero.

    Examples
    --------
    >>> feed_for_fish([AddedFish(10, 2.0, 1.5)])
    0.3
    """
    total = 0.0
    for kind in fish:
        parts = (kind.count, kind.weight_g, kind.percent_a_day)
        if not all(math.isfinite(p) and p >= 0.0 for p in parts):
            msg = "Number, weight and food of added fish cannot be negative."
            raise PlanError(msg)
        total += kind.count * kind.weight_g * kind.percent_a_day / 100.0
    return total


def feed_for_more_alike(feed_g_day: float, now: int, added: int) -> float:
    """Food for more fish like those in the tank, by what those eat.

    Parameters
    ----------
    feed_g_day : float
        Food now. [g/day]
    now, added : int
        Fish now, and fish to be added.

    Returns
    -------
    float
        Food to add. [g/day]

    Raises
    ------
    PlanError
        No fish now, or a number below zero.

    Examples
    --------
    >>> feed_for_more_alike(0.8, 8, 5)
    0.5
    """
    if now <= 0 or added < 0 or feed_g_day < 0.0:
        msg = "Say how many fish eat the food now, and how many more there will be."
        raise PlanError(msg)
    return feed_g_day * added / now
