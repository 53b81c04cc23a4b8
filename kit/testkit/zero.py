"""A reading of nothing: the water may be that clean, or the kit may not see it."""

from __future__ import annotations

from dataclasses import dataclass

from kit.errors import SumError
from kit.sawtooth import Habit, long_run

__all__ = ["Zero", "zero_reading"]


@dataclass(frozen=True, slots=True)
class Zero:
    """What the food makes, against what can hide under the lowest colour.

    Parameters
    ----------
    feed_rate_mg_l_day : float
        Rise that the food alone would make. [mg/L/day]
    expected_mg_l : float
        Level before an exchange that it would lead to. [mg/L]
    hidden_rate_mg_l_day : float
        Largest rise that stays under the limit before an exchange; below 0 where the
        new water alone lies above it. [mg/L/day]
    limit_mg_l : float
        Level that the kit does not tell from none. [mg/L]
    """

    feed_rate_mg_l_day: float
    expected_mg_l: float
    hidden_rate_mg_l_day: float
    limit_mg_l: float

    @property
    def uptake_needed_mg_l_day(self) -> float:
        """Uptake that a true reading of nothing takes, at least. [mg/L/day]."""
        return max(self.feed_rate_mg_l_day - self.hidden_rate_mg_l_day, 0.0)

    @property
    def hides(self) -> bool:
        """Whether all that the food makes can hide under the limit."""
        return self.feed_rate_mg_l_day <= self.hidden_rate_mg_l_day


def zero_reading(
    feed_g_day: float, yield_mg_g: float, habit: Habit, limit_mg_l: float
) -> Zero:
    """Compare what the food makes with what can hide under a kit's lowest colour.

    Use this when the kit shows nothing, week after week.

    Parameters
    ----------
    feed_g_day : float
        Food. [g/day]
    yield_mg_g : float
        Nitrate that a gram of it makes. [mg/g]
    habit : Habit
        How the tank is kept, with its new water.
    limit_mg_l : float
        Level that the kit does not tell from none: the upper edge of its lowest
        colour, or a meter's detection limit. [mg/L]

    Returns
    -------
    Zero
        Rates and levels of the long run.

    Raises
    ------
    SumError
        A number is below zero, or nothing ever leaves the tank.

    Notes
    -----
    The peak of the long run is linear in the rate; two runs give the rate at which it
    meets the limit.

    Examples
    --------
    >>> found = zero_reading(0.2, 200, Habit(48, 0.30, 7, source_mg_l=2), 2.5)
    >>> round(found.expected_mg_l, 1), round(found.uptake_needed_mg_l_day, 2)
    (21.4, 0.81)
    """
    if feed_g_day < 0 or yield_mg_g < 0 or not limit_mg_l > 0:
        raise SumError("Food cannot be below 0, and the kit's limit must be above it.")
    rate = feed_g_day * yield_mg_g / habit.volume_l
    if habit.fraction == 0 and habit.decay_per_day == 0:
        raise SumError(
            "Without exchanges or a drip nothing leaves this tank, so any food at all "
            "shows in time."
        )
    none, one = (long_run(habit, r).peak_mg_l for r in (0.0, 1.0))
    return Zero(
        feed_rate_mg_l_day=rate,
        expected_mg_l=none + rate * (one - none),
        hidden_rate_mg_l_day=(limit_mg_l - none) / (one - none),
        limit_mg_l=limit_mg_l,
    )
