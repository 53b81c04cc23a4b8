"""One pass over a log: the best of each kind of happening, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.balance import Floats
from kit.change import _luck as luck
from kit.change._candidates import slip_sizes, slips, step_days
from kit.change._filter import one_step
from kit.change._look import Look
from kit.change._scan import Scan, scan

__all__ = ["AS_WELL", "Candidate", "residuals", "search", "steps"]

AS_WELL = 2.2
"""Gain by which two explanations may differ and be about as good: one is then at most
three times as likely as the other."""
_ODD = 8
_USUAL_JUMP = 0.5
"""How far a kit jumps, as a part of the level, to one standard deviation: more than
kits differ in common practice, so that only very large jumps are held unlikely."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """The best of one kind of happening.

    Parameters
    ----------
    kind : {"step", "slip", "missing", "kit", "reading"}
        What it would be.
    day : float
        When. [day]
    place : int
        Row of the exchange among the log's exchanges, or of the reading; -1 for none.
    gain : float
        Twice the rise of the log posterior.
    chance : float
        Chance that the search finds as much in an unchanged log.
    size, low, high : float
        Change of the rate [mg/L/day], size of the exchange [-], part by which the
        kit reads higher [-] or distance of the reading [mg/L], with its 95 % band.
    column : ndarray, shape (n + x, 1)
        The addition.
    at : ndarray, shape (p + 1 + k,)
        The fit with it.
    """

    kind: str
    day: float
    place: int
    gain: float
    chance: float
    size: float
    low: float
    high: float
    column: Floats
    at: Floats


def residuals(found: Look) -> Floats:
    """Standardised forecast error of each reading under what was found so far."""
    base = found.base
    p = base.width
    chances = base.chances
    at = base.at
    mu = base.exog @ at[:p] + chances.readings.known
    return one_step(mu, at[p:], chances.readings, chances.noise)


def search(found: Look) -> list[Candidate]:
    """Look for the best of each kind.

    Parameters
    ----------
    found : Look
        The log with what was found in it so far.

    Returns
    -------
    list of Candidate
        The least likely to be luck first; kinds without a place to look are left out.
    """
    best = [*steps(found), *_slips(found), *_readings(found)]
    return sorted(best, key=lambda c: c.chance)


def _tried(found: Look, columns: Floats, usual: float = np.inf) -> Scan:
    return scan(found.base, columns[: found.line.readings], usual)


def steps(found: Look) -> list[Candidate]:
    """Look for the best step of the rate and the best jump of the kit.

    Parameters
    ----------
    found : Look
        The log with what was found in it so far.

    Returns
    -------
    list of Candidate
        Both, over the same days; empty without a day to try.
    """
    days = step_days(found.ledger)
    if not len(days):
        return []
    later = found.ledger.days[:, None] >= days[None, :]
    rates = found.line.rate_from(days)
    reads = found.line.only_read(np.where(later, found.base.levels[:, None], 0.0))
    step = _on_path("step", days, rates, _tried(found, rates, found.usual_step))
    kit = _on_path("kit", days, reads, _tried(found, reads, _USUAL_JUMP))
    return [step, _in_parts(found, kit)]


def _on_path(kind: str, days: Floats, columns: Floats, tried: Scan) -> Candidate:
    i = int(np.argmax(tried.gain))
    size, half = float(tried.size[i]), 1.96 * float(tried.error[i])
    chance = luck.shared(kind, luck.on_a_path(tried.gain, tried.size))
    return Candidate(
        kind,
        float(days[i]),
        -1,
        float(tried.gain[i]),
        chance,
        size,
        size - half,
        size + half,
        columns[:, i : i + 1],
        tried.at[i],
    )


def _in_parts(found: Look, kit: Candidate) -> Candidate:
    """Give a jump of the kit as a part of the level it was tried on."""
    n, p = found.line.readings, found.base.width
    later = kit.column[:n, 0] > 0.0
    level = (found.columns[:n] @ kit.at[:p] + found.known[:n])[later].mean()
    # The column holds the level of a fit without the jump, which is off by part of it.
    part = float(kit.column[:n, 0][later].mean() / max(level, 1e-9))
    size, low, high = (part * x for x in (kit.size, kit.low, kit.high))
    return replace(kit, size=size, low=low, high=high)


def _slips(found: Look) -> list[Candidate]:
    """Best exchange of another size, and best missing one."""
    tried = slips(found)
    if not len(tried.days):
        return []
    scanned = _tried(found, tried.columns)
    sizes = slip_sizes(found, tried, scanned)
    out = []
    for kind, mask in (("slip", tried.fraction > 0), ("missing", tried.fraction == 0)):
        rows = np.flatnonzero(mask)
        if not len(rows):
            continue
        i = int(rows[np.argmax(sizes.gain[rows])])
        gain = float(sizes.gain[i])
        chance = luck.shared(kind, luck.among_many(gain, len(rows)))
        out.append(
            Candidate(
                kind,
                float(tried.days[i]),
                int(tried.rows[i]),
                gain,
                chance,
                float(sizes.fraction[i]),
                float(sizes.low[i]),
                float(sizes.high[i]),
                tried.columns[:, i : i + 1],
                scanned.at[i],
            )
        )
    return out


def _readings(found: Look) -> list[Candidate]:
    """Best single odd reading, among those farthest from their forecasts."""
    n = found.line.readings
    places = np.sort(np.argsort(-np.abs(residuals(found)), kind="stable")[:_ODD])
    columns = found.line.only_read(np.eye(n)[:, places])
    tried = _tried(found, columns)
    i = int(np.argmax(tried.gain))
    size, half = float(tried.size[i]), 1.96 * float(tried.error[i])
    gain, place = float(tried.gain[i]), int(places[i])
    chance = luck.shared("reading", luck.among_many(gain, n))
    day = float(found.ledger.days[place])
    return [
        Candidate(
            "reading",
            day,
            place,
            gain,
            chance,
            size,
            size - half,
            size + half,
            columns[:, i : i + 1],
            tried.at[i],
        )
    ]
