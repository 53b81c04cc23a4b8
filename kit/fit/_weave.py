"""From a ledger's events to the steps of the balance, with the flows between them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kit.balance import (
    Exchanged,
    Flow,
    Observed,
    Resized,
    Restarted,
    Step,
)
from kit.fit._laid import Laid, Turned
from kit.fit._ledger import Event, Ledger
from kit.logbook import Exchange, Tank, Test, VolumeChange

__all__ = ["exchange_moments", "grid", "laid", "weave"]

_BEFORE, _LAST = 0, 3
_LEAST_LEFT = 0.5
"""Part of the volume below which evaporation is not followed further. [-]"""


_AS_STATED = Turned()


def grid(ledger: Ledger) -> tuple[Event, ...]:
    """Moments at which to draw the level: each day, and round each exchange.

    Parameters
    ----------
    ledger : Ledger
        From `kit.fit._ledger.build`.

    Returns
    -------
    tuple of Event
        Each asks for a level; an exchange has one before and one after it.
    """
    first, end = float(ledger.days[0]), float(ledger.events[-1].at)
    whole = np.arange(np.ceil(first), np.floor(end) + 1.0)
    asked = [Event(float(at), _BEFORE, Observed()) for at in whole]
    asked += [Event(at, _BEFORE, Observed()) for at in (first, end)]
    for event in ledger.events:
        if isinstance(event.what, Exchanged | Restarted) and event.at >= first:
            asked.append(Event(event.at, _BEFORE, Observed()))
            asked.append(Event(event.at, _LAST, Observed()))
    asked.append(Event(end, _LAST, Observed()))
    return tuple(sorted(asked, key=lambda e: (e.at, e.rank)))


def exchange_moments(ledger: Ledger) -> tuple[Event, ...]:
    """Moments just before each exchange of known size.

    Parameters
    ----------
    ledger : Ledger
        From `kit.fit._ledger.build`.

    Returns
    -------
    tuple of Event
        Each asks for a level; in the order of the exchanges.
    """
    return tuple(
        Event(e.at, _BEFORE, Observed())
        for e in ledger.events
        if isinstance(e.what, Exchanged)
    )


@dataclass(slots=True)
class _Water:
    """What the tank holds and what runs, while the events are walked through."""

    tank: Tank
    drip: float
    full: float
    missing: float = 0.0

    @property
    def share_left(self) -> float:
        """Part of the full volume that is there. [-]."""
        return 1.0 - self.missing / self.full


def weave(
    ledger: Ledger, asked: Sequence[Event] = (), turned: Turned = _AS_STATED
) -> tuple[Step, ...]:
    """Turn events into steps of the balance with the flows between them.

    Parameters
    ----------
    ledger : Ledger
        From `kit.fit._ledger.build`.
    asked : sequence of Event, optional
        From `grid`: levels are asked for there and not at the tests.
    turned : Turned, optional
        Factors on what the log states.

    Returns
    -------
    tuple of Step
        From the first test on.

    Notes
    -----
    Where evaporated water is not made up, the water shrinks and its nitrate is
    concentrated; an exchange fills the tank up again.
    """
    events = list(ledger.events)
    if asked:
        events = [e for e in events if not isinstance(e.what, Test)] + list(asked)
        events.sort(key=lambda e: (e.at, e.rank))
    steps: list[Step] = []
    first = now = float(ledger.days[0])
    tank = ledger.tank
    water = _Water(tank, tank.drip_l_day, tank.volume_l or 1.0)
    for event in events:
        if event.at > now:
            steps.extend(_flows(ledger, now, event.at, water, turned))
            now = event.at
        what = event.what
        if isinstance(what, Exchange):
            water.drip = what.drip_l_day if what.drip_l_day is not None else water.drip
        elif isinstance(what, VolumeChange):
            if event.at >= first:
                ratio = what.volume_l / (water.full * water.share_left)
                steps += _shrunk(water)
                steps.append(Resized(ratio, what.how, ledger.source.on(event.at)))
            water.full, water.missing = what.volume_l, 0.0
        elif isinstance(what, Exchanged):
            steps += [*_shrunk(water), _exchanged(event, what, water, turned)]
        elif isinstance(what, Test | Observed):
            steps += [*_shrunk(water), Observed(), *_shrunk(water, back=True)]
        else:
            steps.append(what)
    return tuple(steps)


def laid(
    ledger: Ledger, asked: Sequence[Event] = (), turned: Turned = _AS_STATED
) -> Laid:
    """Lay a ledger out, once for each thing that is turned.

    Parameters
    ----------
    ledger, asked, turned
        As for `weave`.

    Returns
    -------
    Laid
        Its steps, and what follows from them.
    """
    if asked:
        return Laid(weave(ledger, asked, turned))
    if turned not in ledger.laid:
        ledger.laid[turned] = Laid(weave(ledger, (), turned))
    return ledger.laid[turned]


def _shrunk(water: _Water, *, back: bool = False) -> list[Step]:
    """Concentrate what is in the tank by the water that has evaporated, or undo it.

    Between the events the level is counted against the full tank, so that what comes
    in by the day counts the same however much water is left.
    """
    share = water.share_left
    if share == 1.0:
        return []
    return [Resized(1.0 / share if back else share, "evaporated")]


def _exchanged(
    event: Event, what: Exchanged, water: _Water, turned: Turned
) -> Exchanged:
    """Exchange a share of the full tank, and make up what evaporated."""
    factor = turned.exchanges * (turned.litres if event.by_litres else 1.0)
    fraction = min(what.fraction * factor, 1.0)
    kept = max(water.share_left - fraction, 0.0)
    water.missing = 0.0
    return Exchanged(1.0 - kept, what.source_mg_l)


def _flows(
    ledger: Ledger, start: float, end: float, water: _Water, turned: Turned
) -> Iterator[Step]:
    """Stretches from start to end, cut at midnight where a day's food changes."""
    tank = water.tank
    short = max(tank.evaporation_l_day - water.drip, 0.0)
    overflow = max(water.drip - tank.evaporation_l_day, 0.0) * turned.overflow
    inflow = min(water.drip, tank.evaporation_l_day) + overflow
    inflow += short if tank.top_up == "source" else 0.0
    shrinks = short if tank.top_up == "none" else 0.0
    feed = ledger.feed or {}
    # Where nothing changes from day to day one stretch is as exact as many.
    even = not feed and ledger.source.steady
    at = start
    while at < end - 1e-9:
        day = math.floor(at + 1e-9)
        until = end if even else min(end, day + 1.0)
        source = ledger.source.on((at + until) / 2.0)
        yield Flow(
            until - at,
            water.full,
            feed.get(day, 0.0),
            inflow,
            overflow,
            source,
            ledger.loss_per_day + turned.loss_per_day,
        )
        lost = shrinks * (until - at)
        water.missing = min(water.missing + lost, (1.0 - _LEAST_LEFT) * water.full)
        at = until
