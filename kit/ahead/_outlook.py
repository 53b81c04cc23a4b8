"""The weeks ahead of one tank with dates: levels, readings, chances of a peak."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.special import ndtr

from kit.ahead._forecast import Trace, forecast
from kit.ahead._kit import Chances, Kit
from kit.ahead._paths import EXCHANGE_ERROR, course, follow
from kit.draws import Draws
from kit.logbook import Logbook
from kit.sawtooth import Habit, long_run, peak_spread
from kit.steps import Floats

__all__ = [
    "Coming",
    "Outlook",
    "Peaks",
    "days_to_exchange",
    "outlook",
    "peaks_under",
    "usual_peaks",
]

Place = Literal["before", "after"]


@dataclass(frozen=True, slots=True)
class Peaks:
    """Chances that a habit keeps to a ceiling.

    Parameters
    ----------
    usual : float
        Chance that the usual peak, the mean of many, stays under it. [-]
    single : float
        Chance that any one peak does, in the long run: the tank's days are not all
        alike, so single peaks scatter round the usual one. [-]
    all_ahead : float or None
        Chance that every peak of the days looked ahead to does; None where none falls
        in them. [-]
    """

    usual: float
    single: float
    all_ahead: float | None = None


@dataclass(frozen=True, slots=True)
class Coming:
    """One moment ahead at which the keeper may test.

    Parameters
    ----------
    day : datetime.date
        When.
    place : {"before", "after"}
        Just before or just after that day's exchange.
    level, low, high, low_80, high_80 : float
        True level: middle and bands, as NO3. [mg/L]
    reading : Chances
        What the kit may show.
    """

    day: dt.date
    place: Place
    level: float
    low: float
    high: float
    low_80: float
    high_80: float
    reading: Chances


@dataclass(frozen=True, slots=True)
class Outlook:
    """The weeks ahead.

    Parameters
    ----------
    habit : Habit
        What is supposed to be done.
    start : datetime.date
        Day of the last record.
    first_days : float
        Days until the first exchange. [day]
    trace : Trace
        The level with its bands, for the picture.
    coming : tuple of Coming
        Before and after each exchange.
    peaks : Peaks or None
        Chances under the ceiling; None without one.
    ceiling_mg_l : float or None
        The keeper's ceiling, as NO3. [mg/L]
    """

    habit: Habit
    start: dt.date
    first_days: float
    trace: Trace
    coming: tuple[Coming, ...]
    peaks: Peaks | None
    ceiling_mg_l: float | None


def days_to_exchange(log: Logbook, interval_days: float) -> float:
    """Days from the last record to the next exchange, if the habit goes on.

    Parameters
    ----------
    log : Logbook
        With at least one test.
    interval_days : float
        Days between exchanges. [day]

    Returns
    -------
    float
        0 where one is due; the whole interval where none was made yet. [day]
    """
    done = [e.date for e in log.exchanges if e.kind == "batch"]
    last = max([t.date for t in log.tests] + [e.date for e in log.exchanges])
    if not done:
        return interval_days
    return max(interval_days - (last - max(done)).days, 0.0)


def usual_peaks(habit: Habit, draws: Draws, meant_mg_l: float | None = None) -> Floats:
    """Usual peak of a habit in the long run, for each draw.

    Parameters
    ----------
    habit : Habit
        Its source is the middle one; each draw adds its own error of the source.
    draws : Draws
        Equally likely tanks.
    meant_mg_l : float, optional
        What the log says of the new water, as NO3; the middle of the draws when left
        out. [mg/L]

    Returns
    -------
    ndarray, shape (d,)
        ``inf`` where nothing holds the level. [mg/L]
    """
    error = draws.source_errors(meant_mg_l)
    sources = np.maximum(habit.source_mg_l + error, 0.0).tolist()
    return np.array(
        [
            long_run(replace(habit, source_mg_l=source), rate).peak_mg_l
            for rate, source in zip(draws.rate_mg_l_day.tolist(), sources, strict=True)
        ]
    )


def peaks_under(
    habit: Habit,
    draws: Draws,
    ceiling_mg_l: float,
    levels: Floats | None = None,
    *,
    exchange_error: float = EXCHANGE_ERROR,
    meant_mg_l: float | None = None,
) -> Peaks:
    """Chances that the usual peak, and any single one, stays under a ceiling.

    Parameters
    ----------
    habit : Habit
        What is supposed to be done.
    draws : Draws
        Equally likely tanks.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]
    levels : ndarray, shape (m, d), optional
        Peaks of the days ahead, from `follow`. [mg/L]
    exchange_error : float, optional
        How far an exchange may be off its size, as a part of it. [-]
    meant_mg_l : float, optional
        As in `usual_peaks`. [mg/L]

    Returns
    -------
    Peaks
        Both chances.

    Notes
    -----
    For one draw the chance of a single peak is ``Phi((ceiling - usual peak) /
    spread)``; over the draws its mean. The spread is that of
    `kit.sawtooth.peak_spread`, and what inexact exchanges add to it in the same way.
    """
    usual = usual_peaks(habit, draws, meant_mg_l)
    rough = exchange_error * _spread_by_exchanges(habit, usual)
    spread = np.hypot(peak_spread(habit, draws.tank_noise), rough)
    room = ceiling_mg_l - usual
    with np.errstate(invalid="ignore", divide="ignore"):
        single = np.where(spread > 0, ndtr(room / spread), room >= 0)
    single = np.where(np.isfinite(usual), single, 0.0)
    ahead = None
    if levels is not None and len(levels):
        ahead = float(np.mean((levels <= ceiling_mg_l).all(axis=0)))
    return Peaks(float(np.mean(usual <= ceiling_mg_l)), float(single.mean()), ahead)


def _spread_by_exchanges(habit: Habit, peaks: Floats) -> Floats:
    """Spread of single peaks if each exchange were off by as much as its size."""
    away = math.exp(-habit.decay_per_day * habit.interval_days)
    kept = (1.0 - habit.fraction) * away
    if kept >= 1.0:
        return np.zeros(len(peaks))
    step = habit.fraction * np.abs(peaks - habit.source_mg_l)
    return np.asarray(step * away / math.sqrt(1.0 - kept * kept))


def outlook(
    habit: Habit,
    draws: Draws,
    kit: Kit,
    *,
    start: dt.date,
    days: float,
    level_mg_l: float,
    rate_mg_l_day: float,
    first_days: float | None = None,
    ceiling_mg_l: float | None = None,
    meant_mg_l: float | None = None,
    per_cycle: int = 1,
) -> Outlook:
    """Look ahead from the last record of a log.

    Parameters
    ----------
    habit : Habit
        What is supposed to be done.
    draws : Draws
        Equally likely tanks.
    kit : Kit
        The kit in hand.
    start : datetime.date
        Day of the last record.
    days : float
        How far ahead. [day]
    level_mg_l, rate_mg_l_day : float
        Level now [mg/L] and net rate [mg/L/day], as NO3, for the middle line.
    first_days : float, optional
        Days until the first exchange; a full interval when left out. [day]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]
    meant_mg_l : float, optional
        What the log says of the new water, as NO3; the middle of the draws when left
        out. [mg/L]
    per_cycle : int, optional
        Points of the picture between exchanges.

    Returns
    -------
    Outlook
        Levels, coming readings and chances.
    """
    first = habit.interval_days if first_days is None else first_days
    trace = forecast(
        habit,
        level_mg_l,
        rate_mg_l_day,
        days=days,
        draws=draws,
        per_cycle=per_cycle,
        first_days=first,
        meant_mg_l=meant_mg_l,
        most=len(draws),
    )
    way = course(habit, days, per_cycle=per_cycle, first_days=first)
    levels = follow(way.chain, draws, meant_mg_l=meant_mg_l)
    coming = tuple(
        _coming(start, way.days[i], bool(way.after[i]), levels[i], kit)
        for i in np.flatnonzero(way.before | way.after)
    )
    peaks = None
    if ceiling_mg_l is not None:
        peaks = peaks_under(
            habit, draws, ceiling_mg_l, levels[way.before], meant_mg_l=meant_mg_l
        )
    return Outlook(habit, start, first, trace, coming, peaks, ceiling_mg_l)


def _coming(
    start: dt.date, days: float, after: bool, levels: Floats, kit: Kit
) -> Coming:
    """Foretell one moment."""
    low, low_80, middle, high_80, high = np.quantile(
        levels, [0.025, 0.1, 0.5, 0.9, 0.975]
    ).tolist()
    return Coming(
        start + dt.timedelta(days=math.floor(days + 1e-9)),
        "after" if after else "before",
        middle,
        low,
        high,
        low_80,
        high_80,
        kit.chances(levels),
    )
