"""Tests a keeper could make in the next weeks, and how each would be read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from kit.ahead._kit import Kit
from kit.ahead._paths import Course, course, follow, gathered
from kit.draws import Draws
from kit.logbook import Logbook, SourceTest
from kit.sawtooth import Habit
from kit.steps import Floats

__all__ = [
    "KIT_BIAS",
    "TRICK",
    "Candidate",
    "Many",
    "candidates",
    "many_tanks",
    "with_unknown_source",
]

KIT_BIAS: Final = 0.15
"""Steady error kits have against a standard; common practice, no source. [-]"""
TRICK: Final = 1.5
"""Two parts of tank and one of pure water are read and multiplied by this. [-]"""
UNKNOWN_SOURCE_MG_L: Final = (0.0, 50.0)
"""What untested new water may hold: up to the limit of 50 mg/L for drinking water (EU
directive 2020/2184; WHO guideline). [mg/L]"""

What = Literal["tank", "new water", "standard"]
Place = Literal["before", "after", "between"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One test that could be made.

    Parameters
    ----------
    what : {"tank", "new water", "standard"}
        What is tested.
    day : datetime.date
        When; the new water and a standard can be tested any day.
    place : {"before", "after", "between"}
        Before or after that day's exchange, or on a day without one.
    times : float
        1.5 where the sample is diluted 2 + 1 before reading, else 1. [-]
    level_mg_l : float
        For a standard: what it is known to hold, as NO3; else 0. [mg/L]
    """

    what: What
    day: dt.date
    place: Place
    times: float = 1.0
    level_mg_l: float = 0.0


@dataclass(frozen=True, slots=True)
class Many:
    """Many equally likely tanks, each with its own days ahead.

    Parameters
    ----------
    draws : Draws
        Rate, level, noise and source of each, with the kit's error taken off.
    readable : dict of Candidate to ndarray, shape (n,)
        What a perfect eye would read with this kit at each candidate. [mg/L]
    middle : dict of Candidate to tuple of ndarray, shape (n,)
        The same without the tank's noise of the days ahead, and the spread that noise
        would give it. [mg/L]
    """

    draws: Draws
    readable: dict[Candidate, Floats]
    middle: dict[Candidate, tuple[Floats, Floats]]


def with_unknown_source(log: Logbook) -> Logbook:
    """Say of new water that was never tested what can be said of it.

    Parameters
    ----------
    log : Logbook
        Without a word on the source.

    Returns
    -------
    Logbook
        With a range in place of a test: 0 to 50 mg/L.
    """
    low, high = UNKNOWN_SOURCE_MG_L
    day = min(t.date for t in log.tests)
    guess = SourceTest(day, None, low, high, None, "not tested", "", 0)
    return replace(log, source=(guess,))


def candidates(
    habit: Habit,
    kit: Kit,
    *,
    start: dt.date,
    days: int,
    first_days: float,
    usual_mg_l: float,
) -> dict[Candidate, float]:
    """List the tests that could be made.

    Parameters
    ----------
    habit : Habit
        What is done meanwhile.
    kit : Kit
        The kit in hand.
    start : datetime.date
        Day of the last record.
    days : int
        How far ahead. [day]
    first_days : float
        Days until the first exchange. [day]
    usual_mg_l : float
        Usual level, which a standard should lie near. [mg/L]

    Returns
    -------
    dict of Candidate to float
        Each with its moment in days from now, just after an exchange a hair later.
    """
    ways = (1.0, TRICK) if kit.chart else (1.0,)
    out: dict[Candidate, float] = {}
    for at, place in _moments(habit, days, first_days):
        day = start + dt.timedelta(days=int(at + 1e-9))
        for times in ways:
            out[Candidate("tank", day, place, times)] = at
    tomorrow = start + dt.timedelta(days=1)
    out[Candidate("new water", tomorrow, "between")] = 1.0
    standard = _standard(kit, usual_mg_l)
    out[Candidate("standard", tomorrow, "between", 1.0, standard)] = 1.0
    return out


def _moments(
    habit: Habit, days: int, first_days: float
) -> Iterator[tuple[float, Place]]:
    """Each whole day ahead, and both sides of each exchange."""
    way = course(habit, days, first_days=first_days)
    exchanged = way.days[way.before]
    taken = set(np.floor(exchanged + 1e-9).tolist())
    for at in exchanged.tolist():
        yield at, "before"
        yield at, "after"
    for day in range(1, days + 1):
        if day not in taken:
            yield float(day), "between"


def _standard(kit: Kit, usual_mg_l: float) -> float:
    """Level for a standard: at the edge of two steps, where a chart tells most."""
    edges = kit.low[1:] if kit.chart else np.array([])
    if not len(edges):
        return float(round(usual_mg_l)) or 1.0
    nearest = edges[np.argmin(np.abs(np.log(edges / max(usual_mg_l, 0.1))))]
    return float(f"{nearest:.2g}")


def many_tanks(
    habit: Habit,
    draws: Draws,
    listed: dict[Candidate, float],
    *,
    first_days: float,
    kit_bias: float = 0.0,
    bias_effect: float = 0.0,
    copies: int = 3,
) -> Many:
    """Give each equally likely tank its own days ahead, and what would be read.

    Parameters
    ----------
    habit : Habit
        What is done meanwhile.
    draws : Draws
        From the fit.
    listed : dict of Candidate to float
        From `candidates`.
    first_days : float
        Days until the first exchange. [day]
    kit_bias : float, optional
        How far the kit may steadily be off; 0 takes it as right. [-]
    bias_effect : float, optional
        Change of the rate for a kit that reads twice what is there, to first order.
        [mg/L/day]
    copies : int, optional
        Futures for each draw.

    Returns
    -------
    Many
        Common random numbers: the same future stands behind every candidate.
    """
    places = np.tile(np.arange(len(draws)), copies)
    some = draws.pick(places)
    way = course(
        habit,
        max(listed.values()),
        first_days=first_days,
        asked=sorted(set(listed.values())),
    )
    levels = follow(way.chain, some)
    still = replace(some, tank_noise=np.zeros(len(some)))
    calm = follow(way.chain, still, exchange_error=0.0)
    days, jolts = gathered(
        way.chain, float(some.level_mg_l.mean()), float(some.rate_mg_l_day.mean())
    )
    rng = np.random.default_rng(23)
    off = kit_bias * rng.standard_normal(len(some))
    readable: dict[Candidate, Floats] = {}
    middle: dict[Candidate, tuple[Floats, Floats]] = {}
    for what, at in listed.items():
        if what.what == "tank":
            row = _row_of(way, at, after=what.place == "after")
            readable[what] = levels[row]
            spread = np.sqrt(days[row] * some.tank_noise**2 + jolts[row])
            middle[what] = calm[row], spread
            continue
        standard = np.maximum(what.level_mg_l * (1.0 + off), 0.0)
        seen = some.source_mg_l if what.what == "new water" else standard
        readable[what], middle[what] = seen, (seen, np.zeros(len(some)))
    true = replace(some, rate_mg_l_day=some.rate_mg_l_day + bias_effect * off)
    return Many(true, readable, middle)


def _row_of(way: Course, at: float, *, after: bool) -> int:
    """Place of a moment among those asked for."""
    here = (np.abs(way.days - at) < 1e-6) & (way.after == after)
    return int(np.flatnonzero(here)[-1])
