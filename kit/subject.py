"""A fitted tank as plans take it: its habit, its rate, and what its log has seen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from kit.ahead import future_draws
from kit.draws import Draws
from kit.errors import PlanError
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.sawtooth import Habit

__all__ = [
    "Seen",
    "Subject",
    "backwash_flow",
    "present_habit",
    "seen_in",
    "subject_of",
]


@dataclass(frozen=True, slots=True)
class Seen:
    """What a log has seen of exchanges, to tell the tried from the untried.

    Parameters
    ----------
    fraction, interval_days : tuple of float
        Least, middle and most of the parts exchanged [-] and of the days between
        exchanges [day].
    length_days : float
        From the first record to the last. [day]
    """

    fraction: tuple[float, float, float]
    interval_days: tuple[float, float, float]
    length_days: float


@dataclass(frozen=True, slots=True)
class Subject:
    """A fitted tank as plans take it.

    Parameters
    ----------
    habit : Habit
        What the log shows of exchanges and drip.
    rate_mg_l_day, level_mg_l : float
        Net rate [mg/L/day] and level after the last record [mg/L], as NO3.
    draws : Draws
        Equally likely rates, levels, tank noises and source levels.
    ceiling_mg_l : float or None
        The keeper's ceiling, as NO3. [mg/L]
    max_percent : float or None
        Largest exchange the keeper will do at once. [%]
    source_known : bool
        Whether the new water's nitrate was tested or stated.
    seen : Seen or None
        What the log has seen of exchanges.
    backwash_l_day : float
        Part of the habit's drip that stands for the log's backwashes. [L/day]
    last : datetime.date or None
        Day of the last test or exchange.
    """

    habit: Habit
    rate_mg_l_day: float
    level_mg_l: float
    draws: Draws
    ceiling_mg_l: float | None
    max_percent: float | None
    source_known: bool
    seen: Seen | None
    backwash_l_day: float
    last: dt.date | None


def _spread(values: Sequence[float]) -> tuple[float, float, float]:
    """Least, middle and most."""
    return (
        float(np.min(values)),
        float(np.median(values)),
        float(np.max(values)),
    )


def seen_in(log: Logbook) -> Seen | None:
    """Gather what a log has seen of batch exchanges.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Seen or None
        None when fewer than two exchanges of known size stand in it.
    """
    known = [
        (e.date, e.fraction)
        for e in log.exchanges
        if e.kind == "batch" and e.fraction is not None and e.fraction > 0
    ]
    gaps = [float((b - a).days) for (a, _), (b, _) in pairwise(known) if b > a]
    if not gaps:
        return None
    days = [t.date for t in log.tests] + [e.date for e in log.exchanges]
    return Seen(
        fraction=_spread([f for _, f in known]),
        interval_days=_spread(gaps),
        length_days=float((max(days) - min(days)).days),
    )


def backwash_flow(log: Logbook) -> float:
    """Water that backwashes exchange, spread over the days between them.

    Many small exchanges act as a drip of as much water, so a plan may count them as
    one.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    float
        0 with fewer than two backwashes of known size. [L/day]
    """
    known = [
        (e.date, e.fraction)
        for e in log.exchanges
        if e.kind == "backwash" and e.fraction is not None
    ]
    volume = log.tank.volume_l
    if volume is None or len(known) < 2 or known[-1][0] == known[0][0]:
        return 0.0
    # The first one closes a stretch that began before the log did.
    water = volume * sum(fraction for _, fraction in known[1:])
    return water / (known[-1][0] - known[0][0]).days


def present_habit(log: Logbook, source_mg_l: float | None) -> Habit | None:
    """Give the habit a log shows: its usual exchange, its drip and backwashes.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    source_mg_l : float or None
        Nitrate of the new water, as NO3; None is taken as 0. [mg/L]

    Returns
    -------
    Habit or None
        None without a volume. A log with fewer than two exchanges gives a weekly
        quarter to begin with.
    """
    tank = log.tank
    if tank.volume_l is None:
        return None
    changed = [c.volume_l for c in tank.volume_changes]
    drips = [e.drip_l_day for e in log.exchanges if e.drip_l_day is not None]
    seen = seen_in(log)
    return Habit(
        volume_l=changed[-1] if changed else tank.volume_l,
        fraction=0.25 if seen is None else seen.fraction[1],
        interval_days=7.0 if seen is None else seen.interval_days[1],
        source_mg_l=source_mg_l or 0.0,
        drip_l_day=(drips[-1] if drips else tank.drip_l_day) + backwash_flow(log),
        evaporation_l_day=tank.evaporation_l_day,
        top_up=tank.top_up,
    )


def subject_of(log: Logbook, result: FitResult) -> Subject:
    """Gather what plans need of a fitted tank.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    result : FitResult
        Its fit.

    Returns
    -------
    Subject
        The tank, ready to try habits on.

    Raises
    ------
    PlanError
        There is no rate or no volume; the text says which.
    """
    if result.usual_rate is None or result.level_now is None:
        raise PlanError(result.refused or "This log gives no rate to plan with.")
    habit = present_habit(log, result.source_mg_l)
    if habit is None:
        msg = "The log does not say how much water the tank holds, so nothing follows."
        raise PlanError(msg)
    if result.loss_per_day is not None:
        habit = replace(habit, loss_per_day=result.loss_per_day.estimate)
    days = [t.date for t in log.tests] + [e.date for e in log.exchanges]
    return Subject(
        habit,
        result.usual_rate.estimate,
        result.level_now.estimate,
        future_draws(result),
        log.tank.ceiling_mg_l,
        log.tank.max_percent,
        result.source_known,
        seen_in(log),
        backwash_flow(log),
        max(days, default=None),
    )
