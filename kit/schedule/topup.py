"""Evaporation and top-up: what they add, and the floor they put under a schedule.

Notes
-----
Water that evaporates leaves its salts behind. What replaces it brings its own, so
top-up raises the level and dilutes nothing. A drip has to replace what evaporates
first; only the rest carries anything out, and salts settle at ::

    Cs q_in / (q_in - e)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kit.errors import PlanError
from kit.sawtooth import Habit, Sawtooth, long_run

__all__ = [
    "TopUps",
    "compare_topups",
    "concentrated",
    "drip_level",
    "floor_mg_l",
    "salts_factor",
    "topup_rise",
]


def salts_factor(drip_l_day: float, evaporation_l_day: float) -> float:
    """How many times the new water's salts build up in a tank kept by a drip.

    Parameters
    ----------
    drip_l_day : float
        Water dripped in. [L/day]
    evaporation_l_day : float
        Water lost to the air. [L/day]

    Returns
    -------
    float
        ``math.inf`` where all that comes in evaporates. [-]

    Raises
    ------
    PlanError
        Less than nothing of either.

    Examples
    --------
    >>> salts_factor(20.0, 12.0), salts_factor(15.0, 12.0)
    (2.5, 5.0)
    """
    if not min(drip_l_day, evaporation_l_day) >= 0:
        msg = "Drip and evaporation cannot be negative."
        raise PlanError(msg)
    out = drip_l_day - evaporation_l_day
    return math.inf if out <= 0.0 else drip_l_day / out


def topup_rise(evaporation_l_day: float, source_mg_l: float, volume_l: float) -> float:
    """Rise of a level through topping up what evaporates with the new water.

    Parameters
    ----------
    evaporation_l_day : float
        Water replaced. [L/day]
    source_mg_l : float
        Its nitrate, as NO3, or any other thing in it. [mg/L]
    volume_l : float
        Water volume. [L]

    Returns
    -------
    float
        ``e Cs / V``. [mg/L/day]

    Raises
    ------
    PlanError
        No volume.

    Examples
    --------
    >>> round(topup_rise(2.0, 20.0, 200.0), 2)
    0.2
    """
    if not volume_l > 0:
        msg = "The water volume must be more than 0 L."
        raise PlanError(msg)
    return evaporation_l_day * source_mg_l / volume_l


def concentrated(level_mg_l: float, volume_l: float, evaporated_l: float) -> float:
    """Level in a tank that was not topped up.

    Parameters
    ----------
    level_mg_l : float
        Level when full. [mg/L]
    volume_l : float
        Water when full. [L]
    evaporated_l : float
        Water missing. [L]

    Returns
    -------
    float
        ``c V / (V - E)``. [mg/L]

    Raises
    ------
    PlanError
        All the water is missing.

    Examples
    --------
    >>> concentrated(38.0, 300.0, 15.0)
    40.0
    """
    if not 0 <= evaporated_l < volume_l:
        msg = "Less can evaporate than the tank holds."
        raise PlanError(msg)
    return level_mg_l * volume_l / (volume_l - evaporated_l)


def drip_level(habit: Habit, rate_mg_l_day: float) -> float:
    """Level at which a tank settles on its drip alone.

    Parameters
    ----------
    habit : Habit
        Its batch exchanges are left out.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]

    Returns
    -------
    float
        ``(g V + q_in Cs) / (q_in - e)``; ``math.inf`` where nothing flows out. [mg/L]

    Examples
    --------
    >>> millrace = Habit(262.0, 0.3, 42.0, source_mg_l=12.0, drip_l_day=22.0,
    ...                  evaporation_l_day=3.0)
    >>> round(drip_level(millrace, 2.726), 1)
    51.5
    """
    return long_run(replace(habit, fraction=0.0), rate_mg_l_day).mean_mg_l


def floor_mg_l(habit: Habit) -> float:
    """Lowest level a habit can reach in the long run, with no source but the water.

    Parameters
    ----------
    habit : Habit
        Exchanges, drip, evaporation and what tops it up.

    Returns
    -------
    float
        Long-run peak without any rise of the tank's own, as NO3; ``math.inf`` where
        top-up piles up. [mg/L]

    Examples
    --------
    >>> drip = Habit(262.0, 0.0, 42.0, source_mg_l=12.0, drip_l_day=20.0,
    ...              evaporation_l_day=12.0)
    >>> round(floor_mg_l(drip), 6)
    30.0
    """
    return long_run(habit, 0.0).peak_mg_l


@dataclass(frozen=True, slots=True)
class TopUps:
    """Where a habit leads by what replaces its evaporation.

    Parameters
    ----------
    source, pure : Sawtooth
        Topped up with the new water, and with pure water.
    rise_mg_l_day : float
        What topping up with the new water adds, beyond the drip. [mg/L/day]
    """

    source: Sawtooth
    pure: Sawtooth
    rise_mg_l_day: float


def compare_topups(habit: Habit, rate_mg_l_day: float) -> TopUps:
    """Set top-up with the new water beside top-up with pure water.

    Parameters
    ----------
    habit : Habit
        Its own top-up is not used.
    rate_mg_l_day : float
        Net rate, top-up not included, as NO3. [mg/L/day]

    Returns
    -------
    TopUps
        Both long runs.

    Examples
    --------
    >>> seen = compare_topups(
    ...     Habit(149.0, 0.25, 10.0, source_mg_l=10.0, evaporation_l_day=2.2), 0.945)
    >>> round(seen.rise_mg_l_day, 2), round(seen.source.peak_mg_l - seen.pure.peak_mg_l)
    (0.15, 6)
    """
    short = max(habit.evaporation_l_day - habit.drip_l_day, 0.0)
    return TopUps(
        long_run(replace(habit, top_up="source"), rate_mg_l_day),
        long_run(replace(habit, top_up="pure"), rate_mg_l_day),
        topup_rise(short, habit.source_mg_l, habit.volume_l),
    )
