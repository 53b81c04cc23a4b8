"""What a habit of exchanges leads to, and what habit holds a ceiling, with chances."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kit.balance import Floats
from kit.errors import PlanError
from kit.sawtooth import Habit, fraction_for, interval_for, long_run

__all__ = [
    "Band",
    "Plan",
    "plan",
    "solve_interval",
    "solve_percent",
]

SHORTEST_DAYS = 0.5
"""Shortest interval offered; more often than that is a drip. [day]"""
DAYS_A_MONTH = 30.4375
"""Mean month, 365.25/12. [day]"""


@dataclass(frozen=True, slots=True)
class Band:
    """A number with its 95 % band; ``math.inf`` where nothing holds the level."""

    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Where a steady habit leads, with the fit's uncertainty carried through.

    Parameters
    ----------
    habit : Habit
        The habit planned.
    peak_mg_l, trough_mg_l, mean_mg_l : Band
        Long-run highest, lowest and mean level, as NO3. [mg/L]
    cycles_to_95 : float
        Exchanges until 95 % of the change is done; ``math.inf`` when never.
    days_to_95 : float
        The same in days. [day]
    litres_month : float
        Source water used. [L/month]
    ceiling_mg_l : float or None
        The keeper's ceiling, as NO3. [mg/L]
    chance_under_ceiling : float or None
        Part of the draws whose long-run peak stays under the ceiling; None without a
        ceiling or draws. [-]
    """

    habit: Habit
    peak_mg_l: Band
    trough_mg_l: Band
    mean_mg_l: Band
    cycles_to_95: float
    days_to_95: float
    litres_month: float
    ceiling_mg_l: float | None
    chance_under_ceiling: float | None


def _band(estimate: float, values: Floats) -> Band:
    """95 % band of draws round an estimate."""
    if not len(values):
        return Band(estimate, estimate, estimate)
    low, high = np.quantile(values, [0.025, 0.975], method="inverted_cdf")
    return Band(estimate, float(low), float(high))


def plan(
    habit: Habit,
    rate_mg_l_day: float,
    rate_draws: Floats | None = None,
    *,
    source_errors: Floats | None = None,
    ceiling_mg_l: float | None = None,
) -> Plan:
    """Carry a net rate and its uncertainty to the long run of a habit.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    rate_draws : ndarray, shape (d,), optional
        Equally likely rates; without them the bands have no width. [mg/L/day]
    source_errors : ndarray, shape (d,), optional
        How far the new water of each draw lies from the habit's; a draw's rate and its
        new water belong together. [mg/L]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]

    Returns
    -------
    Plan
        Peak, trough, mean, water and the chance of staying under the ceiling.

    Examples
    --------
    >>> p = plan(Habit(200.0, 0.25, 7.0, source_mg_l=10.0), 1.0, ceiling_mg_l=40.0)
    >>> p.peak_mg_l.estimate, round(p.litres_month)
    (38.0, 217)
    """
    draws = np.array([]) if rate_draws is None else np.asarray(rate_draws)
    middle = long_run(habit, rate_mg_l_day)
    habits = _habits(habit, source_errors, len(draws))
    runs = [long_run(h, float(g)) for h, g in zip(habits, draws, strict=True)]
    peaks = np.array([r.peak_mg_l for r in runs])
    chance = None
    if ceiling_mg_l is not None and len(peaks):
        chance = float(np.mean(peaks <= ceiling_mg_l))
    return Plan(
        habit=habit,
        peak_mg_l=_band(middle.peak_mg_l, peaks),
        trough_mg_l=_band(middle.trough_mg_l, np.array([r.trough_mg_l for r in runs])),
        mean_mg_l=_band(middle.mean_mg_l, np.array([r.mean_mg_l for r in runs])),
        cycles_to_95=middle.cycles_to_95,
        days_to_95=middle.cycles_to_95 * habit.interval_days,
        litres_month=habit.water_l_day * DAYS_A_MONTH,
        ceiling_mg_l=ceiling_mg_l,
        chance_under_ceiling=chance,
    )


def _habits(habit: Habit, errors: Floats | None, count: int) -> list[Habit]:
    """The habit with the new water of each draw."""
    if errors is None or not np.any(errors):
        return [habit] * count
    levels = np.maximum(habit.source_mg_l + errors, 0.0)
    return [replace(habit, source_mg_l=float(level)) for level in levels]


def _rate_at(rate: float, draws: Floats | None, chance: float | None) -> float:
    """Rate to plan for: the middle one, or the one not exceeded with a chance."""
    if chance is None or draws is None or not len(draws):
        return rate
    return float(np.quantile(draws, chance))


def solve_percent(
    habit: Habit,
    rate_mg_l_day: float,
    ceiling_mg_l: float,
    *,
    rate_draws: Floats | None = None,
    chance: float | None = None,
    max_percent: float | None = None,
) -> Habit:
    """Find the smallest exchange at this interval that holds the ceiling.

    Parameters
    ----------
    habit : Habit
        Its own fraction is not used.
    rate_mg_l_day, ceiling_mg_l : float
        Net rate [mg/L/day] and ceiling [mg/L], as NO3.
    rate_draws : ndarray, optional
        Equally likely rates. [mg/L/day]
    chance : float, optional
        Plan for this chance of staying under the ceiling in place of the middle
        estimate, 0 to 1. [-]
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]

    Returns
    -------
    Habit
        The habit with its fraction set.

    Raises
    ------
    PlanError
        The ceiling cannot be held at this interval; the text says why.
    """
    rate = _rate_at(rate_mg_l_day, rate_draws, chance)
    fraction = fraction_for(habit, rate, ceiling_mg_l)
    if max_percent is not None and 100.0 * fraction > max_percent:
        days = interval_for(
            replace(habit, fraction=max_percent / 100.0), rate, ceiling_mg_l
        )
        msg = (
            f"It would take {100 * fraction:.0f} % every {habit.interval_days:g} days, "
            f"more than your limit of {max_percent:g} % at once. {max_percent:g} % "
            f"would have to come every {days:.1f} days."
        )
        raise PlanError(msg)
    return replace(habit, fraction=fraction)


def solve_interval(
    habit: Habit,
    rate_mg_l_day: float,
    ceiling_mg_l: float,
    *,
    rate_draws: Floats | None = None,
    chance: float | None = None,
) -> Habit:
    """Find the longest interval at this percent that holds the ceiling.

    Parameters
    ----------
    habit : Habit
        Its own interval is not used.
    rate_mg_l_day, ceiling_mg_l : float
        Net rate [mg/L/day] and ceiling [mg/L], as NO3.
    rate_draws : ndarray, optional
        Equally likely rates. [mg/L/day]
    chance : float, optional
        As in `solve_percent`.

    Returns
    -------
    Habit
        The habit with its interval set.

    Raises
    ------
    PlanError
        No interval holds the ceiling, or it holds without any exchange; the text
        says which.
    """
    rate = _rate_at(rate_mg_l_day, rate_draws, chance)
    days = interval_for(habit, rate, ceiling_mg_l)
    if math.isinf(days):
        msg = (
            f"The level stays under {ceiling_mg_l:g} mg/L without any exchange, so "
            "there is no longest interval. Exchange for other reasons as you see fit."
        )
        raise PlanError(msg)
    if days < SHORTEST_DAYS:
        msg = (
            f"{100 * habit.fraction:.3g} % would have to come more often than every "
            "half a day to hold this ceiling. Exchange more at a time, feed less, or "
            "run a drip."
        )
        raise PlanError(msg)
    return replace(habit, interval_days=days)
