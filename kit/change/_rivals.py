"""What else would explain a finding, and what would tell them apart."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from kit import escape
from kit.change._look import Look
from kit.change._result import Finding
from kit.change._say import day_said, percent
from kit.change._scan import scan
from kit.change._search import AS_WELL, Candidate
from kit.logbook import Logbook, SourceTest, Test
from kit.rounding import plain, round_for_people

__all__ = ["rivals"]

_WORSE = 6.0
"""Difference of gain from which one explanation is out of the running: 20 times."""
_LEAST = 4.0
_NEAR_DAYS = 14
_NOTES = 3
_CHANGED = 0.15
_LITTLE = 0.05


def rivals(
    log: Logbook, start: Look, findings: Sequence[Finding], tried: Sequence[Candidate]
) -> tuple[str, ...]:
    """Say what else would explain the first finding.

    Parameters
    ----------
    log : Logbook
        The log.
    start : Look
        The same, laid out.
    findings : sequence of Finding
        What was found.
    tried : sequence of Candidate
        The best of each kind in the first pass.

    Returns
    -------
    tuple of str
        Empty when nothing was found.
    """
    if not findings:
        return ()
    main = findings[0]
    others = [c for c in tried if c.kind != main.kind]
    taken = {(f.kind, f.date) for f in findings[1:]}
    out = []
    for other in others:
        day = start.ledger.day0 + dt.timedelta(days=int(other.day))
        near = main.gain - other.gain < _WORSE and other.gain > _LEAST
        if near and (other.kind, day) not in taken:
            out.append(_compared(other, day, main))
    if main.kind == "step":
        out += _of_step(log, start, main)
    if main.kind in ("step", "kit"):
        out += [*_labels(log.tests, main), *_notes(log, main)]
    return tuple(s for s in out if s)


def _fits(main: float, other: float) -> str:
    """How well one explanation does beside another."""
    behind = main - other
    if behind < AS_WELL:
        return "fits the readings about as well"
    return "fits less well" if behind < _WORSE else "fits much worse"


def _compared(other: Candidate, day: dt.date, main: Finding) -> str:
    """Hold the best of another kind against the finding."""
    fits = _fits(main.gain, other.gain)
    when = day_said(day)
    side = "higher" if other.size > 0 else "lower"
    if other.kind == "step":
        said = f"A daily rise that changed for good about {when} {fits}"
        return f"{said}; it would show more and more with each week of tests."
    if other.kind == "kit":
        said = (
            f"Another kit, lot, reader or light that reads {percent(abs(other.size))} "
            f"{side} from about {when} {fits}"
        )
        return f"{said}. A solution of known strength tells."
    if other.kind == "reading":
        return f"A single odd reading on {when} {fits}."
    if other.kind == "missing":
        return f"An exchange not written down about {when} {fits}. Only you can tell."
    return (
        f"An exchange of another size than logged on {when} ({percent(other.size)}) "
        f"{fits}; its mark shrinks with each exchange that follows."
    )


def _of_step(log: Logbook, start: Look, main: Finding) -> list[str]:
    """New water, food, drip and stock beside a step of the rate."""
    drip = (
        "A drip that slowed or sped up looks the same: measure it with a cup and a "
        "watch."
    )
    return [
        _water(start, log.source, main),
        _food(start, main),
        drip if log.tank.drip_l_day > 0 else "",
        "Fish added or grown, a dead fish out of sight, plants cut back, a filter "
        "cleaned or clogged, exchanges or backwashes written down in one part of the "
        "log only: none of these shows in tests alone. Think back to those days.",
    ]


def _water(start: Look, source: Sequence[SourceTest], main: Finding) -> str:
    """New water that changed on the day of the step."""
    day = float((main.date - start.ledger.day0).days)
    column = start.line.water_from(np.array([day]))[: start.line.readings]
    if column.max(initial=0.0) < _LITTLE:
        return ""
    tried = scan(start.base, column)
    size, gain = float(tried.size[0]), float(tried.gain[0])
    if start.ledger.source.on(day) + size < 0.0:
        return (
            "New water with less nitrate cannot explain it: it would have to hold less "
            "than none."
        )
    said = (
        f"New water with {plain(round_for_people(abs(size), abs(size) * 0.2))} mg/L "
        f"{'more' if size > 0 else 'less'} nitrate from then on "
        f"{_fits(main.gain, gain)}"
    )
    before = [_level(s) for s in source if s.date < main.date]
    after = [_level(s) for s in source if s.date >= main.date]
    if not before or not after:
        return f"{said}. Test it."
    a, b = float(np.mean(before)), float(np.mean(after))
    shown = f"{plain(round_for_people(a))} mg/L before and {plain(round_for_people(b))}"
    if abs((b - a) - size) < abs(b - a):
        return f"{said}, and your own tests of it give {shown} after."
    return f"{said}, but your own tests of it give {shown} after: it is not that."


def _level(test: SourceTest) -> float:
    if test.value_mg_l is not None:
        return test.value_mg_l
    high = test.high_mg_l
    return test.low_mg_l if high is None else (test.low_mg_l + high) / 2.0


def _food(start: Look, main: Finding) -> str:
    """Food before and after, as logged."""
    feed = start.ledger.feed
    if feed is None:
        return "The log does not say enough of the food to compare it."
    day = (main.date - start.ledger.day0).days
    end = int(start.ledger.days[-1])
    first = sum(g for d, g in feed.items() if 0 <= d < day) / max(day, 1)
    second = sum(g for d, g in feed.items() if day <= d < end) / max(end - day, 1)
    if first <= 0.0:
        return ""
    grew = second / first - 1.0
    was, then = (plain(round_for_people(g)) for g in (first, second))
    said = f"The food in the log went from {was} to {then} g a day"
    if was == then:
        said = f"The food in the log stayed at {was} g a day"
    rate = main.size.estimate / main.before if main.before else 0.0
    if abs(grew) < _CHANGED:
        return (
            f"{said}, which does not explain it. A pinch that grew would not show "
            "there: weigh one."
        )
    if grew * rate > 0:
        return f"{said}: that alone may be the reason."
    return f"{said}, which goes the other way."


def _labels(tests: Sequence[Test], main: Finding) -> list[str]:
    """Kits and readers that begin or end near the day, as written in the log."""
    out = []
    what: tuple[tuple[str, Callable[[Test], str]], ...] = (
        ("kit", lambda t: t.kit),
        ("reader", lambda t: t.reader),
    )
    for name, label in what:
        for value in sorted({label(t) for t in tests} - {""}):
            days = [t.date for t in tests if label(t) == value]
            if _begins_near(min(days), tests, main):
                out.append(
                    f"The {name} {escape.plain(value, 40)} first appears in the log on "
                    f"{day_said(min(days))}: have it checked."
                )
    return out


def _begins_near(day: dt.date, tests: Sequence[Test], main: Finding) -> bool:
    """Whether something new to the log begins near the day of a finding."""
    slack = dt.timedelta(days=_NEAR_DAYS)
    return day > tests[0].date and main.first - slack <= day <= main.last + slack


def _notes(log: Logbook, main: Finding) -> list[str]:
    """The keeper's own words from those days."""
    slack = dt.timedelta(days=7)
    near = [
        (day, text)
        for day, text in _texts(log)
        if text.strip() and main.first - slack <= day <= main.last + slack
    ]
    near.sort(key=lambda pair: abs((pair[0] - main.date).days))
    kept = sorted(dict.fromkeys(near[:_NOTES]))
    if not kept:
        return []
    words = "; ".join(f"{day_said(d)} {escape.plain(t, 80)}" for d, t in kept)
    return [f"Your own notes of those days: {words}."]


def _texts(log: Logbook) -> Iterable[tuple[dt.date, str]]:
    """Every note in the log with its day."""
    yield from ((n.date, n.text) for n in log.notes)
    yield from ((u.date, u.note) for u in log.upkeep)
    yield from ((t.date, t.note) for t in log.tests)
    yield from ((e.date, e.note) for e in log.exchanges)
    yield from ((f.date, f.note) for f in log.feedings)
