"""A what-if: one habit tried on a fitted tank, with what it goes beyond.

Everything a tuning panel shows is worked out here, so that a panel only draws.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from kit.ahead import Trace, forecast
from kit.draws import Draws
from kit.plan import Plan, plan
from kit.sawtooth import Habit
from kit.subject import Seen

__all__ = [
    "Scenario",
    "on_the_safe_side",
    "same_water",
    "settling_day",
    "settling_days",
    "try_habit",
]

Keep = Literal["fraction", "interval"]
_BEYOND = 2.0
"""A habit further than this factor from what the log saw is called untried."""
_POINTS_MOST = 1200


@dataclass(frozen=True, slots=True)
class Scenario:
    """One habit tried.

    Parameters
    ----------
    plan : Plan
        Where the habit leads in the long run.
    trace : Trace
        The level from now on.
    warnings : tuple of str
        In plain sentences, what the habit or the look ahead goes beyond.
    """

    plan: Plan
    trace: Trace
    warnings: tuple[str, ...]


def same_water(habit: Habit, other: Habit, *, keep: Keep = "fraction") -> Habit:
    """Make exchanges use as much water a day as another habit.

    Parameters
    ----------
    habit : Habit
        The habit to change.
    other : Habit
        The habit whose exchange water a day is matched.
    keep : {"fraction", "interval"}, optional
        What stays; the other one follows from ``fraction / interval``.

    Returns
    -------
    Habit
        `habit` with one side changed; unchanged when either exchanges nothing. A
        fraction never passes 1.

    Examples
    --------
    >>> weekly = Habit(200.0, 0.25, 7.0)
    >>> same_water(Habit(200.0, 0.5, 7.0), weekly).interval_days
    14.0
    >>> same_water(Habit(200.0, 0.5, 3.5), weekly, keep="interval").fraction
    0.125
    """
    if habit.fraction == 0.0 or other.fraction == 0.0:
        return habit
    if keep == "fraction":
        days = habit.fraction * other.interval_days / other.fraction
        return replace(habit, interval_days=days)
    fraction = habit.interval_days * other.fraction / other.interval_days
    return replace(habit, fraction=min(fraction, 1.0))


def on_the_safe_side(habit: Habit) -> Habit:
    """Round a solved habit to halves so that the ceiling still holds.

    Parameters
    ----------
    habit : Habit
        From `kit.plan.solve_percent` or `kit.plan.solve_interval`.

    Returns
    -------
    Habit
        Percent up to the next half, the interval down to the half before.

    Examples
    --------
    >>> safe = on_the_safe_side(Habit(200.0, 0.361, 7.3))
    >>> safe.fraction, safe.interval_days
    (0.365, 7.0)
    """
    percent = math.ceil(200.0 * habit.fraction - 1e-9) / 2.0
    days = math.floor(2.0 * habit.interval_days + 1e-9) / 2.0
    return replace(
        habit, fraction=min(percent / 100.0, 1.0), interval_days=max(days, 0.5)
    )


def settling_days(tried: Plan) -> float:
    """Days until 95 % of a change is done, counted in whole exchanges.

    Parameters
    ----------
    tried : Plan
        The plan; its first exchange comes after one interval.

    Returns
    -------
    float
        ``math.inf`` where it never settles. [day]
    """
    if not math.isfinite(tried.cycles_to_95) or tried.habit.fraction == 0.0:
        return tried.days_to_95
    cycles = max(math.ceil(tried.cycles_to_95 - 1e-9), 1)
    return cycles * tried.habit.interval_days


def settling_day(tried: Plan, start: dt.date) -> dt.date | None:
    """Day by which 95 % of the change is done.

    Parameters
    ----------
    tried : Plan
        The plan.
    start : datetime.date
        Day zero.

    Returns
    -------
    datetime.date or None
        None when it never settles or only in more than twenty years.
    """
    days = settling_days(tried)
    return start + dt.timedelta(math.ceil(days - 1e-9)) if days < 7300.0 else None


def _points_a_cycle(habit: Habit, days: float) -> int:
    """Points between exchanges: one where the line is straight, more where it bends."""
    bend = habit.decay_per_day * min(habit.interval_days, days)
    cycles = max(days / habit.interval_days, 1.0)
    most = max(int(_POINTS_MOST / cycles), 1)
    return min(math.ceil(12.0 * min(bend, 2.0)) or 1, most)


def try_habit(
    habit: Habit,
    rate_mg_l_day: float,
    start_mg_l: float,
    *,
    days: float,
    draws: Draws | None = None,
    ceiling_mg_l: float | None = None,
    seen: Seen | None = None,
) -> Scenario:
    """Try one habit on a tank.

    Parameters
    ----------
    habit : Habit
        The habit to try.
    rate_mg_l_day, start_mg_l : float
        Net rate [mg/L/day] and level now [mg/L], as NO3.
    days : float
        How far to look ahead. [day]
    draws : Draws, optional
        Equally likely answers of the fit.
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]
    seen : Seen, optional
        What the log has seen.

    Returns
    -------
    Scenario
        Plan, level ahead and what goes beyond the log.
    """
    rates = errors = None
    if draws is not None and len(draws):
        rates, errors = draws.rate_mg_l_day, draws.source_errors()
    tried = plan(
        habit, rate_mg_l_day, rates, source_errors=errors, ceiling_mg_l=ceiling_mg_l
    )
    trace = forecast(
        habit,
        start_mg_l,
        rate_mg_l_day,
        days=days,
        draws=draws,
        per_cycle=_points_a_cycle(habit, days),
    )
    return Scenario(tried, trace, _unsure(rates) + _beyond(habit, days, seen))


def _unsure(rates: NDArray[np.float64] | None) -> tuple[str, ...]:
    """Say when the readings cannot tell a rise from a fall."""
    if rates is None or float(np.quantile(rates, 0.025)) > 0.0:
        return ()
    return (
        "The readings cannot tell whether nitrate builds up in this tank at all. "
        "Take the whole band for possible, not the line in its middle.",
    )


def _beyond(habit: Habit, days: float, seen: Seen | None) -> tuple[str, ...]:
    """Say where a habit leaves what the log has seen."""
    if seen is None:
        return ()
    said = []
    low, _, high = seen.fraction
    if not low / _BEYOND <= habit.fraction <= high * _BEYOND and habit.fraction > 0:
        said.append(
            f"Your log saw exchanges of {_range(low * 100, high * 100)} %. "
            f"{habit.fraction * 100:.3g} % is untried in this tank, so the sum may "
            "miss what such an exchange changes."
        )
    low, _, high = seen.interval_days
    if not low / _BEYOND <= habit.interval_days <= high * _BEYOND:
        said.append(
            f"Your log saw exchanges every {_range(low, high)} days. Every "
            f"{habit.interval_days:.3g} days is untried in this tank."
        )
    if days > _BEYOND * seen.length_days:
        said.append(
            f"The picture looks {days:.0f} days ahead from a log of "
            f"{seen.length_days:.0f} days; feed and fish may change before then."
        )
    return tuple(said)


def _range(low: float, high: float) -> str:
    """Write a range, or one number when both ends read the same."""
    ends = f"{low:.0f}", f"{high:.0f}"
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)
