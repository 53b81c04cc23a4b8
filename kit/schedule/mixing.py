"""Water that does not mix: dead corners, and a drip that runs straight out again.

Notes
-----
Where only a part ``m`` of the tank is reached at once, exchanging a part ``f`` of that
exchanges ``m f`` of the whole. A test soon afterwards shows the part that was reached
and promises too much; it drifts up as the rest mixes in.

Where a drip's inlet is close to the overflow, only a part ``eta`` of what flows out is
tank water, the rest is new water that never mixed.
"""

from __future__ import annotations

import math
from dataclasses import replace

from kit.errors import PlanError
from kit.sawtooth import Habit

__all__ = ["effective_drip", "effective_fraction", "level_while_mixing", "mixed_habit"]


def _is_part(part: float, what: str) -> None:
    if not 0 <= part <= 1:
        msg = f"The {what} lies between none and all of it."
        raise PlanError(msg)


def effective_fraction(fraction: float, reached: float = 1.0) -> float:
    """Part of the whole tank exchanged where only some of it is reached.

    Parameters
    ----------
    fraction : float
        Part exchanged of the water that is reached, 0 to 1. [-]
    reached : float, optional
        Part of the tank that is reached at once. [-]

    Returns
    -------
    float
        Their product. [-]

    Raises
    ------
    PlanError
        A part outside 0 to 1.

    Examples
    --------
    >>> round(effective_fraction(0.25, 0.9), 3)
    0.225
    """
    _is_part(fraction, "part exchanged")
    _is_part(reached, "part of the tank that is reached")
    return fraction * reached


def effective_drip(
    drip_l_day: float, mixed: float = 1.0, evaporation_l_day: float = 0.0
) -> float:
    """Drip that reaches the tank where some runs straight to the overflow.

    Parameters
    ----------
    drip_l_day : float
        Water dripped in. [L/day]
    mixed : float, optional
        Part of the overflow that is tank water: 1 with inlet and overflow at opposite
        ends, 0.5 is possible where they are close (from memory). [-]
    evaporation_l_day : float, optional
        Water lost to the air, which the drip replaces first. [L/day]

    Returns
    -------
    float
        Drip to count. [L/day]

    Raises
    ------
    PlanError
        A part outside 0 to 1.

    Examples
    --------
    >>> effective_drip(20.0, 0.5), effective_drip(20.0, 0.5, 4.0)
    (10.0, 12.0)
    """
    _is_part(mixed, "part of the overflow that mixed")
    out = max(drip_l_day - evaporation_l_day, 0.0)
    return drip_l_day - (1.0 - mixed) * out


def mixed_habit(habit: Habit, *, reached: float = 1.0, mixed: float = 1.0) -> Habit:
    """Give the habit that a poorly mixed tank feels.

    Parameters
    ----------
    habit : Habit
        As the keeper does it.
    reached : float, optional
        Part of the tank that a batch exchange reaches. [-]
    mixed : float, optional
        Part of the overflow that is tank water. [-]

    Returns
    -------
    Habit
        With a smaller fraction and drip; its water use is not the keeper's.

    Examples
    --------
    >>> felt = mixed_habit(Habit(100.0, 0.2, 7.0, drip_l_day=4.0), reached=0.9,
    ...                    mixed=0.75)
    >>> round(felt.fraction, 2), felt.drip_l_day
    (0.18, 3.0)
    """
    return replace(
        habit,
        fraction=effective_fraction(habit.fraction, reached),
        drip_l_day=effective_drip(habit.drip_l_day, mixed, habit.evaporation_l_day),
    )


def level_while_mixing(
    level_mg_l: float,
    source_mg_l: float,
    *,
    fraction: float,
    reached: float,
    hours: float,
    mixing_hours: float,
) -> float:
    """Level a test shows some hours after an exchange that did not reach all.

    Parameters
    ----------
    level_mg_l, source_mg_l : float
        Level before and nitrate of the new water, as NO3. [mg/L]
    fraction : float
        Part exchanged of the water that is reached. [-]
    reached : float
        Part of the tank that is reached at once, above 0. [-]
    hours : float
        Since the exchange. [h]
    mixing_hours : float
        Time in which the difference falls to 37 %. [h]

    Returns
    -------
    float
        Level in the open water, as NO3. [mg/L]

    Raises
    ------
    PlanError
        A part or time that cannot be.

    Notes
    -----
    Between the open water and the whole tank's level the difference dies away as
    ``exp(-t / tau)``; what is in the tank altogether stays the same.

    Examples
    --------
    >>> [round(level_while_mixing(40.0, 0.0, fraction=0.25, reached=0.8, hours=h,
    ...                           mixing_hours=2.0), 1) for h in (0.0, 2.0, 24.0)]
    [30.0, 31.3, 32.0]
    """
    whole = effective_fraction(fraction, reached)
    if not (reached > 0 and hours >= 0 and mixing_hours > 0):
        msg = "Some of the tank is reached, and mixing takes some time."
        raise PlanError(msg)
    at_once = (1.0 - fraction) * level_mg_l + fraction * source_mg_l
    in_the_end = (1.0 - whole) * level_mg_l + whole * source_mg_l
    left = math.exp(-hours / mixing_hours)
    return in_the_end + (at_once - in_the_end) * left
