"""Plain sentences on what was found, and on what cannot be told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from kit.change._result import Finding, Known
from kit.fit import Estimate
from kit.fit.model import Ledger
from kit.rounding import plain, round_for_people, say_band

__all__ = [
    "day_said",
    "every",
    "luck_said",
    "percent",
    "percent_band",
    "rate_band",
    "tests_said",
    "verdict",
]

_RATE = "mg/L a day"
_ALIKE = 0.02


def rate_band(e: Estimate) -> str:
    """Write a rate with its band."""
    return say_band(e.estimate, e.low, e.high, _RATE)


def percent(part: float) -> str:
    """Write a part of the water."""
    return f"{round(100.0 * part):d} %"


def percent_band(e: Estimate) -> str:
    """Write a part of the water with its band."""
    return (
        f"{round(100 * e.estimate):d} % ({round(100 * e.low):d} to "
        f"{round(100 * e.high):d} %)"
    )


def day_said(day: dt.date) -> str:
    """Write a day the same in every language."""
    return day.isoformat()


def every(days: float) -> str:
    """Write an interval."""
    return "one every day" if days == 1.0 else f"one every {days:g} days"


def tests_said(n: int) -> str:
    """Count tests in words."""
    return f"{n} test" if n == 1 else f"{n} tests"


def luck_said(chance: float) -> str:
    """Say how rarely luck alone looks like this."""
    if chance < 0.001:
        return (
            "By luck alone fewer than 1 in 1,000 logs of an unchanged tank would look "
            "like this."
        )
    often = plain(float(f"{1.0 / chance:.1g}"))
    return (
        f"By luck alone about 1 in {often} logs of an unchanged tank would look like "
        "this."
    )


def verdict(
    findings: Sequence[Finding],
    ledger: Ledger,
    smallest: float | None,
    known: dt.date | None,
    asked: Known | None,
) -> tuple[str, ...]:
    """Say what was found, the surest first.

    Parameters
    ----------
    findings : sequence of Finding
        From the search.
    ledger : Ledger
        The log's events.
    smallest : float or None
        Change that would have shown. [mg/L/day]
    known : datetime.date or None
        Day the keeper named.
    asked : Known or None
        What the readings say of that day.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    out = [] if known is None else [_known_said(known, asked)]
    if not findings:
        out += _nothing(ledger, smallest, named=known is not None)
        return tuple(out)
    for finding in findings:
        out += _SAID[finding.kind](finding)
    if len(findings) > 1:
        out.append(
            "They were found one after the other, each with those before it taken as "
            "true; the later ones are less sure than they look."
        )
    return tuple(out)


def _nothing(ledger: Ledger, smallest: float | None, *, named: bool) -> list[str]:
    """Say that no change can be told, and how large one could hide."""
    n = len(ledger.tests)
    lead = f"No change can be told from {tests_said(n)}."
    if named:
        lead = f"On other days no change can be told from {tests_said(n)}."
    if smallest is None:
        return [lead, "The log is too short to say how large a change it would show."]
    return [
        lead,
        "That does not mean there was none: a lasting change that began four weeks "
        "before the last test shows more often than not only if it is about "
        f"{plain(round_for_people(smallest, smallest * 0.2))} {_RATE} or more.",
    ]


def _known_said(day: dt.date, asked: Known | None) -> str:
    """Answer for the day the keeper named."""
    if asked is None:
        return (
            f"Whether something changed on {day_said(day)} cannot be told: two tests "
            "at least are needed on each side of it."
        )
    change = asked.change
    said = rate_band(change)
    if asked.chance < 0.05:
        side = "went up" if change.estimate > 0 else "went down"
        return (
            f"From {day_said(day)} on, the day you named, the rise {side} by "
            f"{rate_band(_upright(change))}. {luck_said(asked.chance)}"
        )
    return (
        f"On {day_said(day)}, the day you named, no change of the rise can be "
        f"told: it may be {said}."
    )


def _upright(e: Estimate) -> Estimate:
    """Turn a fall into a positive number."""
    if e.estimate >= 0:
        return e
    return Estimate(-e.estimate, -e.high, -e.low)


def _step_said(f: Finding) -> list[str]:
    side = "went up" if f.size.estimate > 0 else "went down"
    when = f"about {day_said(f.date)}"
    if f.first < f.last:
        when += f" (between {day_said(f.first)} and {day_said(f.last)})"
    before = plain(round_for_people(f.before or 0.0, 0.15))
    after = plain(round_for_people(f.after or 0.0, 0.15))
    out = [
        f"The daily rise {side} {when} by {rate_band(_upright(f.size))}, from about "
        f"{before} to about {after}.",
        luck_said(f.chance),
    ]
    if f.size.low <= 0.0 <= f.size.high:
        out.append(
            "That something changed is clearer than by how much: the band of the "
            "change reaches to nothing."
        )
    return out


def _trace_said(trace: tuple[float, ...]) -> str:
    """Say how a misfit dies away, exchange by exchange."""
    values = ", ".join(plain(round(abs(x), 1)) for x in trace)
    side = "higher" if trace[0] > 0 else "lower"
    return (
        f"The readings then lie {side} than the log foretells by {values} mg/L, less "
        "after each exchange. A lasting change would do the opposite and grow."
    )


def _slip_said(f: Finding) -> list[str]:
    place = f" ({f.file}, line {f.line})" if f.file else ""
    out = [
        f"The exchange of {day_said(f.date)}{place} looks like "
        f"{percent_band(f.size)} of the water rather than the "
        f"{percent(f.logged or 0.0)} in the log.",
        luck_said(f.chance),
        _trace_said(f.trace),
        "This looks like a slip in the log and not like a lasting change. Check the "
        "entry; nothing in your file was changed.",
    ]
    return out


def _missing_said(f: Finding) -> list[str]:
    return [
        f"An exchange of about {percent_band(f.size)} looks to be missing from the log "
        f"on or near {day_said(f.date)}, when one would be usual.",
        luck_said(f.chance),
        _trace_said(f.trace),
        "Did you exchange water then? If so, write it in; the kit has not.",
    ]


def _kit_said(f: Finding) -> list[str]:
    side = "higher" if f.size.estimate > 0 else "lower"
    part = _upright(f.size)
    return [
        f"From about {day_said(f.date)} on the readings are {percent_band(part)} "
        f"{side}, at once and not bit by bit. That is the mark of another kit, lot, "
        "reader or light rather than of the tank.",
        luck_said(f.chance),
        "Try the kit on a solution of known strength before you act.",
    ]


def _reading_said(f: Finding) -> list[str]:
    place = f"{f.file}, line {f.line}" if f.file else "one reading"
    side = "higher" if f.size.estimate > 0 else "lower"
    far = plain(round_for_people(abs(f.size.estimate), abs(f.size.estimate) * 0.2))
    return [
        f"One reading stands out: {place} ({day_said(f.date)}) is about {far} mg/L "
        f"{side} than all the others foretell.",
        luck_said(f.chance),
        "One odd reading is no lasting change. It was kept; check it for a slip of the "
        "pen or a dilution not reckoned with.",
    ]


_SAID = {
    "step": _step_said,
    "slip": _slip_said,
    "missing": _missing_said,
    "kit": _kit_said,
    "reading": _reading_said,
}
