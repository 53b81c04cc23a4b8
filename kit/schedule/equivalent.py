"""Drips, batches and backwashes that do the same, and in which sense.

Notes
-----
"The same" has two meanings, and a sentence has to say which.

Same litres, ``q = f V / T``: the peak of a sawtooth is ``Cs + g T / f`` and a drip
settles at ``Cs + g V / q``, so equal water holds an equal peak. This is the one for
holding a ceiling.

Same decay, ``q = -ln(1 - f) V / T``: a level far above where it will settle shrinks
equally fast. This is the one for bringing a high tank down. A batch removes more than
a drip of the same litres, as none of its new water leaves again.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from kit.errors import PlanError
from kit.sawtooth import Habit, long_run

__all__ = [
    "Advantage",
    "Equivalent",
    "batch_advantage",
    "batch_for_drip",
    "combined_fraction",
    "drip_for_batch",
    "drip_to_replace",
    "repeated_fraction",
]

By = Literal["peak", "mean"]


@dataclass(frozen=True, slots=True)
class Equivalent:
    """One way of exchanging put as another, in both meanings.

    Parameters
    ----------
    litres, decay : float
        The equivalent that uses the same litres, and the one that brings a high
        level down as fast: a drip [L/day], or a fraction [-].
    """

    litres: float
    decay: float


def drip_for_batch(habit: Habit) -> Equivalent:
    """Drip that stands for a habit's batch exchanges.

    Parameters
    ----------
    habit : Habit
        Its volume, fraction and interval are used.

    Returns
    -------
    Equivalent
        Two drips; the one by decay is ``math.inf`` for a full exchange. [L/day]

    Examples
    --------
    >>> twice = drip_for_batch(Habit(100.0, 0.2, 7.0))
    >>> round(twice.litres, 2), round(twice.decay, 2)
    (2.86, 3.19)
    """
    a_day = habit.volume_l / habit.interval_days
    left = 1.0 - habit.fraction
    decay = math.inf if left <= 0.0 else -math.log(left) * a_day
    return Equivalent(habit.fraction * a_day, decay)


def batch_for_drip(habit: Habit) -> Equivalent:
    """Batch exchange, at the habit's interval, that stands for its drip.

    Parameters
    ----------
    habit : Habit
        Its volume, interval, drip and evaporation are used; only what leaves as
        water counts.

    Returns
    -------
    Equivalent
        Two fractions. [-]

    Raises
    ------
    PlanError
        The drip turns over more than the tank in that interval.

    Examples
    --------
    >>> twice = batch_for_drip(Habit(100.0, 0.0, 7.0, drip_l_day=5.0))
    >>> round(twice.litres, 3), round(twice.decay, 3)
    (0.35, 0.295)
    """
    turnover = habit.overflow_l_day * habit.interval_days / habit.volume_l
    if turnover > 1.0:
        msg = (
            f"In {habit.interval_days:g} days this drip brings more water than the "
            "tank holds, which no single exchange can match. Choose fewer days."
        )
        raise PlanError(msg)
    return Equivalent(turnover, -math.expm1(-turnover))


def combined_fraction(*fractions: float) -> float:
    """Put several exchanges together into one.

    Parameters
    ----------
    *fractions : float
        Part exchanged in each, 0 to 1. [-]

    Returns
    -------
    float
        ``1 - (1 - f1) (1 - f2) ...``, in whatever order. [-]

    Raises
    ------
    PlanError
        A part outside 0 to 1.

    Examples
    --------
    >>> round(combined_fraction(0.25, 0.25), 4)
    0.4375
    """
    left = 1.0
    for fraction in fractions:
        if not 0 <= fraction <= 1:
            msg = "An exchange lies between 0 and 100 percent of the water."
            raise PlanError(msg)
        left *= 1.0 - fraction
    return 1.0 - left


def repeated_fraction(fraction: float, times: float) -> float:
    """Put equal exchanges together into one, such as the backwashes of a month.

    Parameters
    ----------
    fraction : float
        Part exchanged in each, 0 to 1. [-]
    times : float
        How many; between whole numbers it is the average over many cycles. [-]

    Returns
    -------
    float
        ``1 - (1 - f)**n``. [-]

    Raises
    ------
    PlanError
        A part outside 0 to 1, or fewer than no times.

    Examples
    --------
    >>> round(repeated_fraction(0.2, 3), 3)
    0.488
    """
    if not (0 <= fraction <= 1 and times >= 0):
        msg = "Exchanges lie between 0 and 100 percent, and happen 0 times or more."
        raise PlanError(msg)
    return 0.0 if times == 0 else 1.0 - (1.0 - fraction) ** times


def drip_to_replace(
    wanted: Habit, rare: Habit, rate_mg_l_day: float = 1.0, *, by: By = "peak"
) -> float:
    """Drip that a rarer habit needs to end where another habit ends.

    Parameters
    ----------
    wanted : Habit
        Whose long run to match.
    rare : Habit
        To be joined by a drip; its own drip is not used.
    rate_mg_l_day : float, optional
        Net rate, as NO3; without evaporation the answer hardly depends on it.
        [mg/L/day]
    by : {"peak", "mean"}, optional
        What to match.

    Returns
    -------
    float
        Drip; 0 where the rarer habit does as well by itself. [L/day]

    Raises
    ------
    PlanError
        Nothing holds the level wanted, it is not above the new water, or the rate is
        not above zero.

    Notes
    -----
    Found by halving on `kit.sawtooth.long_run`, which falls as the drip grows.

    Examples
    --------
    >>> weekly, monthly = Habit(100.0, 0.2, 7.0), Habit(100.0, 0.2, 365.25 / 12.0)
    >>> round(drip_to_replace(weekly, monthly), 2)
    2.41
    >>> round(drip_to_replace(weekly, monthly, by="mean"), 2)
    2.45
    """
    if not rate_mg_l_day > 0:
        msg = "Where nitrate does not rise, no drip is needed to hold it."
        raise PlanError(msg)

    def ends(habit: Habit) -> float:
        run = long_run(habit, rate_mg_l_day)
        return run.peak_mg_l if by == "peak" else run.mean_mg_l

    goal = ends(wanted)
    if not (math.isfinite(goal) and goal > rare.source_mg_l):
        msg = "The level to match must be held by something, above the new water."
        raise PlanError(msg)
    return _least_drip(lambda drip: ends(replace(rare, drip_l_day=drip)), goal, rare)


def _least_drip(ends: Callable[[float], float], goal: float, rare: Habit) -> float:
    """Find the drip at which a falling function meets its goal."""
    if ends(0.0) <= goal:
        return 0.0
    low, high = 0.0, rare.volume_l / 100.0 + rare.evaporation_l_day
    while ends(high) > goal:
        low, high = high, 2.0 * high
    for _ in range(60):
        middle = (low + high) / 2.0
        if ends(middle) > goal:
            low = middle
        else:
            high = middle
    return high


@dataclass(frozen=True, slots=True)
class Advantage:
    """What the same water removes as a batch and as a drip.

    Parameters
    ----------
    batch, drip : float
        Part of the nitrate above the new water that leaves. [-]
    """

    batch: float
    drip: float


def batch_advantage(turnover: float, batches: int = 1) -> Advantage:
    """Compare batches with a drip of the same water.

    Parameters
    ----------
    turnover : float
        New water over tank volume. [-]
    batches : int, optional
        Into how many equal exchanges it is cut.

    Returns
    -------
    Advantage
        ``1 - (1 - x/n)**n`` and ``1 - exp(-x)``.

    Raises
    ------
    PlanError
        A batch of more than the tank, or none at all.

    Examples
    --------
    >>> seen = batch_advantage(1.0, 10)
    >>> round(seen.batch, 3), round(seen.drip, 3)
    (0.651, 0.632)
    """
    if not (batches >= 1 and 0 <= turnover <= batches):
        msg = "Cut the water into batches that are each no more than the tank."
        raise PlanError(msg)
    batch = 1.0 - (1.0 - turnover / batches) ** batches
    return Advantage(batch, -math.expm1(-turnover))
