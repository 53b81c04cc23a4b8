"""A log as it stood on an earlier day, and the days that really came after it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from kit.balance import Chain, Exchanged, Flow, Observed, Restarted, Step, link
from kit.fit.model import Beforehand, Ledger, Order, build, weave
from kit.logbook import Exchange, Logbook, Test, VolumeChange
from kit.steps import Floats

__all__ = ["Past", "order_of", "past_of", "upto"]


@dataclass(frozen=True, slots=True)
class Past:
    """A log up to a day, and the way from there to the tests that followed.

    Parameters
    ----------
    log : Logbook
        Everything up to the end of that day, and nothing later.
    steps : tuple of Step
        From its last record through the exchanges really made, a level asked for at
        each later test; the new water's nitrate is that known on the day.
    tests : tuple of Test
        The later tests, up to where the level is no longer known.
    days : ndarray, shape (m,)
        Days from the end of the day cut to each. [day]
    exchange_error : ndarray, shape (n,)
        For each step, how far an exchange there may be off its size. [-]
    """

    log: Logbook
    steps: tuple[Step, ...]
    tests: tuple[Test, ...]
    days: Floats
    exchange_error: Floats

    def chain(self, loss_per_day: float = 0.0) -> Chain:
        """Link the steps.

        Parameters
        ----------
        loss_per_day : float, optional
            Part lost in the tank each day, as the fit of that day has it. [1/day]

        Returns
        -------
        Chain
            Ready to be followed.
        """
        return link(
            tuple(
                replace(step, loss_per_day=loss_per_day)
                if isinstance(step, Flow)
                else step
                for step in self.steps
            )
        )


def order_of(log: Logbook) -> Order:
    """Where a test stands that shares its day with an exchange and lacks a time."""
    return log.tank.same_day or "before"


def upto(log: Logbook, day: dt.date) -> Logbook:
    """Give the log as it stood at the end of a day.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    day : datetime.date
        The last day to keep.

    Returns
    -------
    Logbook
        Later records are not in it; settings are as they are, a log cannot say when
        each was typed in.
    """
    changes = tuple(c for c in log.tank.volume_changes if c.date <= day)
    return replace(
        log,
        tank=replace(log.tank, volume_changes=changes),
        tests=tuple(t for t in log.tests if t.date <= day),
        exchanges=tuple(e for e in log.exchanges if e.date <= day),
        feedings=tuple(f for f in log.feedings if f.date <= day),
        upkeep=tuple(u for u in log.upkeep if u.date <= day),
        source=tuple(s for s in log.source if s.date <= day),
        standards=tuple(s for s in log.standards if s.date <= day),
        unknown_exchanges=tuple(d for d in log.unknown_exchanges if d <= day),
        breaks=tuple(d for d in log.breaks if d <= day),
    )


def past_of(log: Logbook, day: dt.date) -> Past | None:
    """Cut a log at the end of a day.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    day : datetime.date
        The last day to keep; not before the first test.

    Returns
    -------
    Past or None
        None where nothing later can be foretold: no test follows, or an exchange of
        unknown size or a long gap lies between.
    """
    early = upto(log, day)
    # What was tested of the new water later was not known on the day.
    whole = build(replace(log, source=early.source), order_of(log))
    cut = float((day - whole.day0).days + 1)
    ledger = build(early, order_of(log))
    later = [e for e in whole.events if e.at >= cut]
    known: list[int] = [i for i, e in enumerate(later) if isinstance(e.what, Restarted)]
    later = later[: known[0]] if known else later
    tests = tuple(e.what for e in later if isinstance(e.what, Test))
    if not tests or early.unknown_exchanges[-1:] == (day,):
        return None
    settings = [
        e
        for e in whole.events
        if e.at < cut and isinstance(e.what, Exchange | VolumeChange)
    ]
    at = [e.at for e in later if isinstance(e.what, Test)]
    way = replace(
        whole,
        events=tuple(settings + later),
        tests=tests,
        days=np.array([ledger.events[-1].at, *at]),
        source=ledger.source,
    )
    steps = weave(way)
    errors = _errors(way, steps)
    return Past(early, steps, tests, np.array(at) - cut, errors)


def _errors(way: Ledger, steps: tuple[Step, ...]) -> Floats:
    """How far each exchange may be off its size; more where it was written roughly."""
    real = [s for s in steps if not isinstance(s, Observed)]
    places = [i for i, s in enumerate(real) if isinstance(s, Exchanged)]
    events = [e for e in way.events if isinstance(e.what, Exchanged)]
    known, out = Beforehand(), np.zeros(len(real))
    for place, event in zip(places, events, strict=True):
        out[place] = known.rough_error if event.rough else known.exchange_error
    return out
