"""From a logbook to the steps of the balance, with every order inside a day stated.

A record with a time stands at that time; one without stands at noon. A test and an
exchange of the same day that do not both have a time stand at the exchange's moment,
the test just before or just after it as the caller says. Food is spread over its day.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from kit.balance import Exchanged, Floats, Restarted, Step
from kit.fit._laid import Laid, Turned
from kit.fit._order import beside, exchange_times
from kit.fit._source import SourceWater, source_water
from kit.logbook import Exchange, Logbook, Tank, Test, VolumeChange

__all__ = [
    "GAP_DAYS",
    "Event",
    "Ledger",
    "Order",
    "build",
    "days_since",
]

GAP_DAYS = 60.0
"""Longest stretch without a test over which the fit runs on. [day]"""
_QUIET_DAYS = 30.0
"""Longest stretch of which nothing is written, where water is exchanged often. [day]"""
_FEW = 3
_NOON = 0.5
_BEFORE, _AT, _AFTER, _LAST = 0, 1, 2, 3

Order = Literal["before", "after"]
What = Step | Test | Exchange | VolumeChange


@dataclass(frozen=True, slots=True)
class Event:
    """Something at one moment.

    Parameters
    ----------
    at : float
        Moment since day zero. [day]
    rank : int
        Orders events of the same moment.
    what : Step, Test, Exchange or VolumeChange
        What happened.
    rough : bool
        An exchange whose size is only roughly known.
    by_litres : bool
        An exchange whose share follows from litres, and so from the volume.
    """

    at: float
    rank: int
    what: What
    rough: bool = False
    by_litres: bool = False


@dataclass(frozen=True, slots=True)
class Ledger:
    """A logbook as events of the balance.

    Parameters
    ----------
    day0 : datetime.date
        Day zero of all day counts.
    tank : Tank
        The tank's settings.
    events : tuple of Event
        In time order, from the first test on.
    tests : tuple of Test
        The used tests in time order.
    days : ndarray, shape (n,)
        Moment of each test since ``day0``. [day]
    feed : dict of int to float or None
        Food by day since ``day0``; None when the log cannot tell it. [g]
    foods : dict of str to dict of int to float
        The same by kind of food, as named in the log. [g]
    feed_note : str
        Why the food cannot be told, or ``""``.
    source : SourceWater
        Nitrate of the new water.
    restarts : tuple of str
        Why the level starts afresh, one plain phrase each.
    gaps : tuple of (float, float), optional
        Last test before, and first test after, each stretch of which too little is
        written to know the level. [day]
    loss_per_day : float, optional
        Part of the nitrate that is lost in the tank each day. [1/day]

    Attributes
    ----------
    laid : dict of Turned to Laid
        What `kit.fit._weave.laid` has worked out of it already.
    """

    day0: dt.date
    tank: Tank
    events: tuple[Event, ...]
    tests: tuple[Test, ...]
    days: Floats
    feed: dict[int, float] | None
    foods: dict[str, dict[int, float]]
    feed_note: str
    source: SourceWater
    restarts: tuple[str, ...]
    gaps: tuple[tuple[float, float], ...] = ()
    loss_per_day: float = 0.0
    laid: dict[Turned, Laid] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )


def days_since(day0: dt.date, date: dt.date, time: dt.time | None) -> float:
    """Moment of a wall-clock date and time in days since ``day0``; noon if no time."""
    days = float((date - day0).days)
    if time is None:
        return days + _NOON
    return days + (time.hour * 3600 + time.minute * 60 + time.second) / 86400.0


def volume_on(tank: Tank, date: dt.date) -> float | None:
    """Water volume that holds on a date. [L]."""
    volume = tank.volume_l
    for change in tank.volume_changes:
        if change.date <= date:
            volume = change.volume_l
    return volume


def _fraction(e: Exchange, tank: Tank) -> float | None:
    """Fraction of an exchange, from litres where no fraction is written."""
    volume = volume_on(tank, e.date)
    if e.fraction is not None or e.litres is None or volume is None:
        return e.fraction
    share = e.litres / volume
    return share if share <= 1.0 else None


def _water_events(
    log: Logbook, day0: dt.date, source: SourceWater
) -> tuple[list[Event], list[str], dict[dt.date, list[float]]]:
    """Exchanges, drip and volume changes; restart phrases; moments of exchanges."""
    events: list[Event] = []
    why: list[str] = []
    moments: dict[dt.date, list[float]] = {}
    for e in log.exchanges:
        at = days_since(day0, e.date, e.time)
        if e.kind == "drip change":
            events.append(Event(at, _AT, e))
            continue
        moments.setdefault(e.date, []).append(at)
        fraction = _fraction(e, log.tank)
        if fraction is None:
            why.append(f"the exchange of {e.date} has no usable size")
            events.append(Event(at, _AT, Restarted()))
        else:
            what = Exchanged(fraction, source.on(at))
            events.append(Event(at, _AT, what, e.rough, e.fraction is None))
    for date in log.unknown_exchanges:
        at = days_since(day0, date, None)
        moments.setdefault(date, []).append(at)
        why.append(f"the exchange of {date} has no usable size")
        events.append(Event(at, _AT, Restarted()))
    for change in log.tank.volume_changes:
        events.append(Event(days_since(day0, change.date, None), _LAST, change))
    return events, why, moments


def _test_events(
    log: Logbook, day0: dt.date, order: Order, moments: dict[dt.date, list[float]]
) -> list[Event]:
    """Place the tests, undated ones beside that day's exchange as ``order`` says."""
    times = exchange_times(log)
    events = []
    for t in log.tests:
        at, rank = days_since(day0, t.date, t.time), _BEFORE
        if t.date in moments and beside(t, times):
            same = [m for m in moments[t.date] if t.time is not None and m == at]
            first, last = min(same or moments[t.date]), max(same or moments[t.date])
            # What the file says of one test goes before the keeper's usual habit.
            before = (t.order or order) == "before"
            at, rank = (first, _BEFORE) if before else (last, _AFTER)
        events.append(Event(at, rank, t))
    return events


def _gaps(
    events: Sequence[Event],
) -> tuple[list[Event], list[str], list[tuple[float, float]]]:
    """Add a fresh start after each stretch of which too little is written."""
    out: list[Event] = []
    why: list[str] = []
    spans: list[tuple[float, float]] = []
    usual = _usual_interval(events)
    seen: list[float] = []  # the last test and the exchanges since
    for event in events:
        if isinstance(event.what, Test):
            reason = _gap_said(seen, event, usual)
            if reason:
                why.append(reason)
                spans.append((seen[0], event.at))
                out.append(Event(event.at, _BEFORE, Restarted()))
            seen = [event.at]
        elif isinstance(event.what, Exchanged):
            seen.append(event.at)
        out.append(event)
    return out, why, spans


def _usual_interval(events: Sequence[Event]) -> float:
    """Usual days between exchanges; endless where there are too few to tell."""
    at = [e.at for e in events if isinstance(e.what, Exchanged)]
    return float(np.median(np.diff(at))) if len(at) > _FEW else math.inf


def _gap_said(seen: Sequence[float], test: Event, usual: float) -> str:
    """Say why nothing carries the level as far as a test; ``""`` where it is carried.

    Without a test a fit runs on for some time. It does not where nothing at all is
    written for a month by a keeper who exchanges water far more often: then it is the
    log that paused, and hardly the keeper.
    """
    if not seen:
        return ""
    assert isinstance(test.what, Test)  # noqa: S101 - narrows the type only
    days = test.at - seen[0]
    if days > GAP_DAYS:
        return f"{days:.0f} days pass without a test before {test.what.date}"
    quiet = float(np.diff([*seen, test.at]).max())
    if quiet > max(_QUIET_DAYS, 2.0 * usual):
        return (
            f"nothing is written for {quiet:.0f} days before {test.what.date}, while "
            f"water is usually exchanged every {usual:.0f} days"
        )
    return ""


def _merged_restarts(events: Sequence[Event]) -> list[Event]:
    """Keep one fresh start between two tests, and none before the first test."""
    out: list[Event] = []
    open_start = True
    for event in events:
        if isinstance(event.what, Restarted):
            if open_start:
                continue
            open_start = True
        elif isinstance(event.what, Test):
            open_start = False
        out.append(event)
    return out


def _daily_feed(
    log: Logbook, day0: dt.date, end: float
) -> tuple[dict[int, float] | None, str]:
    """Food by day, or None and why it cannot be told."""
    if not log.feedings:
        return None, "no feedings are logged"
    feed: dict[int, float] = {}
    for f in log.feedings:
        day = (f.date - day0).days
        feed[day] = feed.get(day, 0.0) + f.feed_g
    inside = sorted(day for day in feed if 0 <= day <= end)
    if len(inside) < 3:
        return None, "fewer than three feedings fall between the tests"
    gaps = np.diff(inside)
    if float(np.median(gaps)) > 3.0 or float(gaps.max(initial=0)) > 14.0:
        return None, "feedings are logged only now and then"
    if inside[0] > 7 or end - inside[-1] > 7:
        return None, "the feeding log does not cover the tests"
    return feed, ""


def _foods(log: Logbook, day0: dt.date) -> dict[str, dict[int, float]]:
    """Food by kind and day; kinds differ by name, however it is capitalised. [g]."""
    foods: dict[str, dict[int, float]] = {}
    for f in log.feedings:
        daily = foods.setdefault(f.food.strip().casefold(), {})
        day = (f.date - day0).days
        daily[day] = daily.get(day, 0.0) + f.feed_g
    return foods


def build(log: Logbook, order: Order) -> Ledger:
    """Order a logbook's records for the fit.

    Parameters
    ----------
    log : Logbook
        With at least one test.
    order : {"before", "after"}
        Where a test stands that shares its day with an exchange and lacks a time.

    Returns
    -------
    Ledger
        Events from the first test on; those after the last test up to where the
        level is no longer known.
    """
    day0 = min(t.date for t in log.tests)
    source = source_water(log, day0)
    events, why, moments = _water_events(log, day0, source)
    tests = _test_events(log, day0, order, moments)
    events = sorted(events + tests, key=lambda e: (e.at, e.rank))
    kept = [i for i, e in enumerate(events) if isinstance(e.what, Test)]
    first, last = kept[0], kept[-1]
    # A drip or volume set before the first test still holds at it.
    settings = [
        e for e in events[:first] if isinstance(e.what, Exchange | VolumeChange)
    ]
    inside, gaps, spans = _gaps(events[first : last + 1])
    inside = _merged_restarts(inside)
    inside += _until_unknown(events[last + 1 :])
    days = np.array([e.at for e in inside if isinstance(e.what, Test)])
    feed, note = _daily_feed(log, day0, float(days[-1]))
    return Ledger(
        day0=day0,
        tank=log.tank,
        events=tuple(settings + inside),
        tests=tuple(e.what for e in inside if isinstance(e.what, Test)),
        days=days,
        feed=feed,
        foods=_foods(log, day0),
        feed_note=note,
        source=source,
        restarts=tuple(why + gaps) if _has_restart(inside) else (),
        gaps=tuple(spans),
    )


def _until_unknown(events: Sequence[Event]) -> list[Event]:
    """Events after the last test, up to where the level is no longer known."""
    out: list[Event] = []
    for event in events:
        if isinstance(event.what, Restarted):
            break
        out.append(event)
    return out


def _has_restart(events: Sequence[Event]) -> bool:
    """Tell whether the level starts afresh anywhere between the tests."""
    return any(isinstance(e.what, Restarted) for e in events)
