"""Plans of percent against interval: which of them hold a ceiling, and how surely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.schedule.grid import fractions_for, long_runs
from kit.schedule.trial import Trial, chances, few_draws
from kit.steps import Floats

__all__ = ["DAYS", "PERCENTS", "ScheduleMap", "schedule_map"]

PERCENTS: Floats = np.arange(1.5, 91.0, 1.5)
"""Percents of a map. [%]"""
DAYS: Floats = np.arange(0.5, 30.5, 0.5)
"""Intervals of a map. [day]"""
_FEW = 250
"""Draws behind each chance of a map; the tests hold them beside a thousand. [-]"""


@dataclass(frozen=True, slots=True)
class ScheduleMap:
    """Plans of percent against interval for one tank and ceiling.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    percent : ndarray, shape (p,)
        Part exchanged each time. [%]
    interval_days : ndarray, shape (t,)
        Days between exchanges. [day]
    peak_mg_l : ndarray, shape (p, t)
        Usual peak at the middle of the estimate, as NO3. [mg/L]
    chance : ndarray, shape (p, t)
        Chance that a single peak stays under the ceiling. [-]
    needed, needed_low, needed_high : ndarray, shape (t,)
        Percent at which the usual peak meets the ceiling, with its 95 % band; above
        100 where no exchange does. [%]
    """

    trial: Trial
    percent: Floats
    interval_days: Floats
    peak_mg_l: Floats
    chance: Floats
    needed: Floats
    needed_low: Floats
    needed_high: Floats


def schedule_map(
    trial: Trial,
    *,
    percent: Floats = PERCENTS,
    interval_days: Floats = DAYS,
    most_draws: int = _FEW,
) -> ScheduleMap:
    """Work out every plan of a map.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    percent, interval_days : ndarray, optional
        Percents [%] and intervals [day] of the map.
    most_draws : int, optional
        Draws behind each chance. The ceiling's band takes all there are.

    Returns
    -------
    ScheduleMap
        Peaks, chances and the ceiling's line with its band.

    Examples
    --------
    >>> from kit.draws import Draws
    >>> from kit.sawtooth import Habit
    >>> sure = Draws(*(np.array([v]) for v in (1.0, 30.0, 0.0, 10.0)))
    >>> trial = Trial(Habit(200.0, 0.25, 7.0, 10.0), 1.0, sure, 38.0)
    >>> weekly = schedule_map(trial, interval_days=np.array([7.0]))
    >>> weekly.needed.tolist()
    [25.0]
    """
    habit, ceiling, draws = trial.habit, trial.ceiling_mg_l, trial.draws
    parts, days = percent[:, None] / 100.0, interval_days[None, :]
    runs = long_runs(habit, parts, days, trial.rate_mg_l_day)
    middle = fractions_for(
        habit,
        interval_days,
        np.asarray(trial.rate_mg_l_day),
        np.asarray(habit.source_mg_l),
        ceiling,
    )
    drawn = fractions_for(
        habit, interval_days[:, None], draws.rate_mg_l_day, draws.source_mg_l, ceiling
    )
    low, high = np.quantile(drawn, [0.025, 0.975], axis=1, method="inverted_cdf")
    return ScheduleMap(
        trial=trial,
        percent=percent,
        interval_days=interval_days,
        peak_mg_l=runs.peak_mg_l,
        chance=chances(trial, parts, days, draws=few_draws(draws, most_draws)),
        needed=100.0 * middle,
        needed_low=100.0 * low,
        needed_high=100.0 * high,
    )
