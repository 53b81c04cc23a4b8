"""From the best candidates of each pass to findings with days, bands and places."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import cast

from kit.balance import Exchanged
from kit.change._look import Look
from kit.change._luck import LIMIT
from kit.change._profile import StepProfile, step_profile
from kit.change._result import Finding, Kind
from kit.change._search import AS_WELL, Candidate, search
from kit.fit import Estimate
from kit.logbook import Logbook

__all__ = ["found_in"]

_PASSES = 3
_TRACE = 4


def found_in(
    log: Logbook, start: Look, profile: StepProfile | None
) -> tuple[list[Finding], list[Candidate]]:
    """Search a log, take in what is found, and search again.

    Parameters
    ----------
    log : Logbook
        The log.
    start : Look
        The same, laid out and fitted with one rate.
    profile : StepProfile or None
        Steps tried on each day of it.

    Returns
    -------
    list of Finding
        In the order found; each would come up in fewer than 1 of 20 unchanged logs.
    list of Candidate
        Everything of the first pass, for comparing what else would explain it.
    """
    at, first = start, search(start)
    found: list[Finding] = []
    tried = first
    for turn in range(_PASSES):
        best = _likeliest(tried)
        if best.chance > LIMIT:
            break
        shape = profile if turn == 0 else step_profile(at)
        found.append(_finding(log, at, best, shape))
        at = at.with_column(best.column, best.at)
        tried = search(at)
    return found, first


def _likeliest(tried: list[Candidate]) -> Candidate:
    """Take the surest; a step of the rate where a jump of the kit fits no better."""
    best = tried[0]
    step = next((c for c in tried if c.kind == "step"), None)
    if best.kind != "kit" or step is None or step.gain < best.gain - AS_WELL:
        return best
    # Luck was ruled out for the two together; which of them it is, is open.
    return replace(step, chance=best.chance)


def _finding(
    log: Logbook, at: Look, best: Candidate, profile: StepProfile | None
) -> Finding:
    """Put one candidate into the log's own terms."""
    if best.kind == "step" and profile is not None:
        return _step(at, best, profile)
    day = _date(at, best.day)
    size = Estimate(best.size, best.low, best.high)
    kind = cast(Kind, best.kind)
    plain = Finding(kind, day, day, day, size, None, None, None, best.chance, best.gain)
    if best.kind in ("slip", "missing"):
        return _slip(log, at, best, plain)
    if best.kind == "reading":
        test = at.ledger.tests[best.place]
        return _with(plain, date=test.date, file=test.file, line=test.line)
    return plain


def _with(plain: Finding, **changes: object) -> Finding:
    """Copy a finding with some fields changed; a finding is one day unless a step."""
    date = changes.get("date", plain.date)
    return replace(plain, **{"first": date, "last": date, **changes})  # type: ignore[arg-type]


def _date(at: Look, day: float) -> dt.date:
    return at.ledger.day0 + dt.timedelta(days=int(day + 1e-9))


def _step(at: Look, best: Candidate, profile: StepProfile) -> Finding:
    change = profile.change
    return Finding(
        "step",
        _date(at, profile.best),
        _date(at, profile.first),
        _date(at, profile.last),
        change,
        profile.before,
        profile.before + change.estimate,
        None,
        best.chance,
        best.gain,
    )


def _slip(log: Logbook, at: Look, best: Candidate, plain: Finding) -> Finding:
    """Name the exchange, and what its misfit does at those that follow."""
    first = float(at.ledger.days[0])
    sizes = [
        e.what.fraction
        for e in at.ledger.events
        if isinstance(e.what, Exchanged) and e.at >= first
    ]
    logged = sizes[best.place]
    jump = float(best.at[at.base.width])
    rows = best.column[at.line.readings :, 0]
    later = range(best.place + 1, min(best.place + _TRACE, len(sizes)))
    trace = (jump, *(jump * float(rows[j]) * (1.0 - sizes[j]) for j in later))
    same = [e for e in log.exchanges if e.date == plain.date and e.line > 0]
    file, line = (same[0].file, same[0].line) if same and logged > 0 else ("", 0)
    return _with(plain, logged=logged, trace=trace, file=file, line=line)
