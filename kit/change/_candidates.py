"""What may have happened, and when: the additions a log is searched for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Exchanged, Floats
from kit.change._climb import Ints
from kit.change._look import Look
from kit.change._scan import Scan
from kit.fit.model import Ledger

__all__ = ["SlipSizes", "Slips", "slip_sizes", "slips", "step_days"]

_BEFORE, _AFTER = 4, 2
"""Readings that must stand before and after a step for it to be looked for."""
_LEAST_DAYS = 20.0
"""Days of tests that must lie before and after it: twice as long as a richer or poorer
time lasts on the mean, which would else be taken for a step at an end of the log."""
_MOST_STEPS = 60
_MOST_SLIPS = 150
_LARGEST = 0.95
_SEEN = 0.02


def step_days(ledger: Ledger) -> Floats:
    """Days on which a step is looked for: one in each stretch without a test.

    Parameters
    ----------
    ledger : Ledger
        Events in order.

    Returns
    -------
    ndarray, shape (c,)
        Midnights after the tests before. [day]
    """
    days = ledger.days
    found = np.unique(np.floor(days[_BEFORE - 1 : -_AFTER]) + 1.0)
    enough = (days[None, :] > found[:, None]).sum(axis=1) >= _AFTER
    enough &= (found >= days[0] + _LEAST_DAYS) & (found <= days[-1] - _LEAST_DAYS)
    found = found[enough]
    if len(found) > _MOST_STEPS:
        found = found[np.linspace(0, len(found) - 1, _MOST_STEPS).round().astype(int)]
    return np.asarray(found)


@dataclass(frozen=True, slots=True)
class Slips:
    """Exchanges whose size may not be what the log says.

    Parameters
    ----------
    rows : ndarray of int, shape (c,)
        Their places among the log's exchanges.
    days : ndarray, shape (c,)
        When. [day]
    fraction, source : ndarray, shape (c,)
        As logged; fraction 0 where the log has none and one is usual. [-], [mg/L]
    columns : ndarray, shape (n + x, c)
        A level one higher after each.
    """

    rows: Ints
    days: Floats
    fraction: Floats
    source: Floats
    columns: Floats


def slips(found: Look) -> Slips:
    """Gather the exchanges that readings can judge.

    Parameters
    ----------
    found : Look
        A log laid out; exchanges of size 0 stand for those that may be missing.

    Returns
    -------
    Slips
        Those that at least one reading before and two after can judge.
    """
    ledger, line = found.ledger, found.line
    first = float(ledger.days[0])
    sizes = [
        (e.what.fraction, e.what.source_mg_l)
        for e in ledger.events
        if isinstance(e.what, Exchanged) and e.at >= first
    ]
    fraction = np.array([size for size, _ in sizes])
    source = np.array([level for _, level in sizes])
    columns = line.jump_after(line.exchanges)
    seen = columns[: line.readings] > _SEEN
    judged = (seen.sum(axis=0) >= _AFTER) & ~seen[0]
    rows = np.flatnonzero(judged)
    if len(rows) > _MOST_SLIPS:
        largest = np.argsort(-fraction[rows], kind="stable")[:_MOST_SLIPS]
        rows = rows[np.sort(largest)]
    days = line.begins[line.exchanges[rows]]
    return Slips(rows, days, fraction[rows], source[rows], columns[:, rows])


@dataclass(frozen=True, slots=True)
class SlipSizes:
    """Part of the water that each exchange would have been.

    Parameters
    ----------
    fraction, low, high : ndarray, shape (c,)
        Size with its 95 % band, between nothing and nearly all. [-]
    gain : ndarray, shape (c,)
        Gain of the size nearest to the best that an exchange can have.
    """

    fraction: Floats
    low: Floats
    high: Floats
    gain: Floats


def slip_sizes(found: Look, tried: Slips, scanned: Scan) -> SlipSizes:
    """Turn jumps of the level into sizes of exchanges.

    Parameters
    ----------
    found : Look
        The log laid out.
    tried : Slips
        The exchanges looked at.
    scanned : Scan
        What the jumps gained.

    Returns
    -------
    SlipSizes
        One for each.
    """
    rows = found.line.readings + tried.rows
    coefficients = scanned.at[:, : found.base.width]
    level = (found.columns[rows] * coefficients).sum(axis=1) + found.known[rows]
    drop = np.maximum(level - tried.source, 1e-6)
    wanted = tried.fraction - scanned.size / drop
    spread = scanned.error / drop
    given = np.clip(wanted, 0.0, _LARGEST)
    short = ((wanted - given) / np.maximum(spread, 1e-9)) ** 2
    return SlipSizes(
        given,
        np.clip(wanted - 1.96 * spread, 0.0, _LARGEST),
        np.clip(wanted + 1.96 * spread, 0.0, _LARGEST),
        np.maximum(scanned.gain - short, 0.0),
    )
