"""Batch exchanges, backwashes and a drip together, and the cycle they settle to.

Notes
-----
Each exchange and each stretch between two of them turns a level ``x`` into
``a x + b`` (`kit.balance`). Over the shortest time after which the pattern repeats the
steps make one such sum, and the level it gives back unchanged, ``b / (1 - a)``, is
where the cycle begins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np

from kit.balance import Exchanged, Floats, Flow, Observed, Step, carry, link
from kit.errors import PlanError
from kit.sawtooth import Habit
from kit.schedule.equivalent import combined_fraction, repeated_fraction

__all__ = ["Cycle", "Ways", "part_per_interval", "steady_cycle", "ways_water_l_day"]

_STRETCH_DAYS = 0.5
_LONGEST_DAYS = 4000


@dataclass(frozen=True, slots=True)
class Ways:
    """All the ways in which one tank's water is exchanged.

    Parameters
    ----------
    habit : Habit
        Batch exchanges, drip, evaporation and source.
    backwash_l : float, optional
        Water that one backwash takes and new water replaces. [L]
    backwash_days : float, optional
        Days between backwashes. [day]
    """

    habit: Habit
    backwash_l: float = 0.0
    backwash_days: float = 7.0

    def __post_init__(self) -> None:
        """Refuse a backwash that cannot be.

        Raises
        ------
        PlanError
            More water than the tank holds, or no days between.
        """
        if not (0 <= self.backwash_l <= self.habit.volume_l and self.backwash_days > 0):
            msg = "A backwash takes at most the tank's water, every some days."
            raise PlanError(msg)

    @property
    def backwash_fraction(self) -> float:
        """Part of the water that one backwash exchanges. [-]."""
        return self.backwash_l / self.habit.volume_l


@dataclass(frozen=True, slots=True)
class Cycle:
    """The level over one whole repeat of a pattern, in the long run.

    Parameters
    ----------
    days, level_mg_l : ndarray
        Days from the start [day] and level as NO3 [mg/L]; two entries share a day
        where an exchange makes a step.
    peak_mg_l, trough_mg_l, mean_mg_l : float
        Highest, lowest and average over time. [mg/L]
    """

    days: Floats
    level_mg_l: Floats
    peak_mg_l: float
    trough_mg_l: float
    mean_mg_l: float

    def stretch(self, days: float) -> tuple[Floats, Floats]:
        """Repeat the cycle over some days, or cut it to them.

        Parameters
        ----------
        days : float
            How many. [day]

        Returns
        -------
        ndarray
            Days. [day]
        ndarray
            Levels. [mg/L]
        """
        length = float(self.days[-1])
        times = math.ceil(days / length - 1e-9)
        all_days = np.concatenate([self.days + i * length for i in range(times)])
        levels = np.tile(self.level_mg_l, times)
        kept = all_days <= days + 1e-9
        return all_days[kept], levels[kept]


def ways_water_l_day(ways: Ways) -> float:
    """New water used a day by all the ways together.

    Parameters
    ----------
    ways : Ways
        Every way.

    Returns
    -------
    float
        Water. [L/day]

    Examples
    --------
    >>> vat = Ways(Habit(1000.0, 0.25, 10.0), 60.0, 3.0)
    >>> ways_water_l_day(vat)
    45.0
    """
    return ways.habit.water_l_day + ways.backwash_l / ways.backwash_days


def part_per_interval(ways: Ways) -> float:
    """Put all the ways together into one exchange at the habit's interval.

    Parameters
    ----------
    ways : Ways
        Every way.

    Returns
    -------
    float
        Part of a high level that leaves in one interval. [-]

    Notes
    -----
    ``1 - (1 - f) (1 - f_bw)**(T/T_bw) exp(-k T)``.

    Examples
    --------
    >>> round(part_per_interval(Ways(Habit(1020.0, 0.25, 10.0), 60.0, 3.0)), 3)
    0.387
    """
    habit = ways.habit
    washed = repeated_fraction(
        ways.backwash_fraction, habit.interval_days / ways.backwash_days
    )
    dripped = -math.expm1(-habit.decay_per_day * habit.interval_days)
    return combined_fraction(habit.fraction, washed, dripped)


def steady_cycle(ways: Ways, rate_mg_l_day: float) -> Cycle:
    """Give the cycle that all the ways together settle to.

    Parameters
    ----------
    ways : Ways
        Every way; one exchange of each falls on the first day.
    rate_mg_l_day : float
        Net rate, source water not included, as NO3; not below zero. [mg/L/day]

    Returns
    -------
    Cycle
        One whole repeat of the pattern.

    Raises
    ------
    PlanError
        Nothing holds the level, the rate is below zero, or the pattern takes more
        than ten years to repeat.

    Examples
    --------
    >>> run = steady_cycle(Ways(Habit(200.0, 0.25, 7.0, source_mg_l=10.0)), 1.0)
    >>> round(run.peak_mg_l, 6), round(run.trough_mg_l, 6), round(run.mean_mg_l, 6)
    (38.0, 31.0, 34.5)
    """
    if not rate_mg_l_day >= 0:
        msg = "Where nitrate falls by itself, exchanges are not what holds it."
        raise PlanError(msg)
    steps, days = _pattern(ways)
    chain = link(steps)
    gained = carry(chain, start_mg_l=0.0, base_mg_l_day=rate_mg_l_day)
    kept = float(np.prod(chain.keep))
    if kept >= 1.0:
        msg = "Nothing takes nitrate out: with these ways the level climbs on and on."
        raise PlanError(msg)
    start = float(gained[-1]) / (1.0 - kept)
    level = carry(chain, start_mg_l=start, base_mg_l_day=rate_mg_l_day)
    mean = _mean(ways.habit, rate_mg_l_day, days, level)
    return Cycle(days, level, float(level.max()), float(level.min()), mean)


def _mean(habit: Habit, rate_mg_l_day: float, days: Floats, level: Floats) -> float:
    """Average over time, exact: between exchanges what came in less the rise left."""
    k, length = habit.decay_per_day, float(days[-1])
    if k * _STRETCH_DAYS < 1e-4:
        return float(np.trapezoid(level, days)) / length
    rise = float(np.diff(level)[np.diff(days) > 0.0].sum())
    return (habit.income(rate_mg_l_day) * length - rise) / k / length


def _pattern(ways: Ways) -> tuple[list[Step], Floats]:
    """Steps over one repeat, with the days at which the level is asked for."""
    habit = ways.habit
    exchanges = [(habit.interval_days, habit.fraction)]
    if ways.backwash_l > 0.0:
        exchanges.append((ways.backwash_days, ways.backwash_fraction))
    length = _repeat(exchanges)
    events: dict[Fraction, list[float]] = {Fraction(0): []}
    for every, fraction in exchanges:
        gap = _whole(every)
        for i in range(int(length / gap)):
            events.setdefault(i * gap, []).append(fraction)
    steps: list[Step] = [Observed()]
    days = [0.0]
    moments = [*sorted(events), length]
    for begin, end in pairwise(moments):
        steps += [Exchanged(f, habit.source_mg_l) for f in events[begin]]
        steps.append(Observed())
        days.append(float(begin))
        pieces = max(math.ceil(float(end - begin) / _STRETCH_DAYS), 1)
        flow = _flow(habit, float(end - begin) / pieces)
        for i in range(1, pieces + 1):
            steps += [flow, Observed()]
            days.append(float(begin + (end - begin) * Fraction(i, pieces)))
    return steps, np.array(days)


def _whole(days: float) -> Fraction:
    """Days as a fraction with hours as its finest part."""
    return max(Fraction(days).limit_denominator(24), Fraction(1, 24))


def _repeat(exchanges: list[tuple[float, float]]) -> Fraction:
    """Shortest time after which all intervals start together again."""
    length = Fraction(1, 24)
    for every, _ in exchanges:
        gap = _whole(every)
        top = math.lcm(
            length.numerator * gap.denominator, gap.numerator * length.denominator
        )
        length = Fraction(top, length.denominator * gap.denominator)
    if length > _LONGEST_DAYS:
        msg = "These intervals hardly ever meet. Round them to whole or half days."
        raise PlanError(msg)
    return length


def _flow(habit: Habit, days: float) -> Flow:
    """A stretch between exchanges."""
    return Flow(
        days,
        habit.volume_l,
        inflow_l_day=habit.inflow_l_day,
        overflow_l_day=habit.overflow_l_day,
        source_mg_l=habit.source_mg_l,
        loss_per_day=habit.loss_per_day,
    )
