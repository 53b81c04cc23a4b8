"""Water for what evaporates: the nitrate it brings, and where that leads."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kit.makeup._values import check_volume
from kit.sawtooth import Habit, long_run

__all__ = ["TopUp", "top_up_effect", "top_up_nitrate_mg_l_day"]


def top_up_nitrate_mg_l_day(
    top_up_l_day: float, source_mg_l: float, volume_l: float
) -> float:
    """Nitrate that topping up adds, thinning out nothing.

    Parameters
    ----------
    top_up_l_day : float
        Water added for evaporation. [L/day]
    source_mg_l : float
        Its nitrate as NO3. [mg/L]
    volume_l : float
        Water of the tank. [L]

    Returns
    -------
    float
        Rise in the tank, ``e Cs / V``. [mg/L/day]

    Raises
    ------
    PlanError
        A volume that is not above zero.

    Examples
    --------
    >>> round(top_up_nitrate_mg_l_day(2.2, 10.0, 149.0), 2)
    0.15
    """
    check_volume(volume_l)
    return top_up_l_day * source_mg_l / volume_l


@dataclass(frozen=True, slots=True)
class TopUp:
    """Topping up from the tap against topping up with pure water.

    Parameters
    ----------
    litres_day : float
        What evaporates beyond the drip. [L/day]
    added_mg_l_day : float
        Nitrate that tap water for it adds, as NO3. [mg/L/day]
    tap_peak_mg_l, pure_peak_mg_l, pure_trough_mg_l : float
        Usual peak in the long run with each, and lowest level with pure water, as
        NO3. [mg/L]
    tap, pure : Habit
        The two habits.
    """

    litres_day: float
    added_mg_l_day: float
    tap_peak_mg_l: float
    pure_peak_mg_l: float
    pure_trough_mg_l: float
    tap: Habit
    pure: Habit


def top_up_effect(habit: Habit, rate_mg_l_day: float) -> TopUp:
    """Compare topping up from the tap with topping up with pure water.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip, evaporation and the new water's nitrate.
    rate_mg_l_day : float
        Net rate without what the new water brings, as NO3. [mg/L/day]

    Returns
    -------
    TopUp
        Both peaks, and what tap water adds.

    Examples
    --------
    >>> brackish = Habit(149.0, 0.25, 10.0, 10.0, evaporation_l_day=2.2)
    >>> found = top_up_effect(brackish, 0.945)
    >>> round(found.tap_peak_mg_l), round(found.pure_peak_mg_l)
    (54, 48)
    """
    tap, pure = replace(habit, top_up="source"), replace(habit, top_up="pure")
    clean = long_run(pure, rate_mg_l_day)
    short = max(habit.evaporation_l_day - habit.drip_l_day, 0.0)
    return TopUp(
        litres_day=short,
        added_mg_l_day=top_up_nitrate_mg_l_day(
            short, habit.source_mg_l, habit.volume_l
        ),
        tap_peak_mg_l=long_run(tap, rate_mg_l_day).peak_mg_l,
        pure_peak_mg_l=clean.peak_mg_l,
        pure_trough_mg_l=clean.trough_mg_l,
        tap=tap,
        pure=pure,
    )
