"""Entries that stand twice: the same line, overlapping files, two values a day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any, TypeVar

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.desk import LEAVE_OUT, Desk, Place, some
from kit.intake.grid import Grid
from kit.intake.rows import Records
from kit.logbook import Exchange, SourceTest, Test

__all__ = ["drop_overlaps", "drop_repeated_lines", "hold_two_values"]


_ONE_BY_ONE = 20
Reading = TypeVar("Reading", Test, SourceTest)


def drop_repeated_lines(grid: Grid, desk: Desk, records: Records) -> Records:
    """Ask about lines that are the same in every cell; the first is used.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Where problems go.
    records : Records
        What the table gave.

    Returns
    -------
    Records
        Without the repeated lines, unless the keeper said that both are true.
    """
    entries: list[Any] = [
        *records.tests,
        *records.exchanges,
        *records.feedings,
        *records.source,
        *records.standards,
    ]
    used = {e.line for e in entries}
    seen: dict[tuple[str, ...], int] = {}
    pairs: list[tuple[int, int]] = []
    for line, row in grid.rows.items():
        if line in used:
            first = seen.setdefault(tuple(words(c) for c in row), line)
            pairs += [(first, line)] if first != line else []
    dropped: set[int] = set()
    groups = [[p] for p in pairs] if len(pairs) <= _ONE_BY_ONE else [pairs]
    for group in groups:
        answer = _once_or_twice(grid, desk, group) if group else "twice"
        again = {line for _, line in group} if answer != "twice" else set()
        dropped |= again
        if answer is None:
            # Whether more water was exchanged that day is not known until answered.
            records.unknown |= {e.date for e in records.exchanges if e.line in again}
    return _without(records, lambda e: e.line in dropped)


def _once_or_twice(
    grid: Grid, desk: Desk, pairs: Sequence[tuple[int, int]]
) -> str | None:
    """Ask whether lines written twice were two events."""
    first, line = pairs[0]
    more = f", and {len(pairs) - 1} more such lines" if len(pairs) > 1 else ""
    text = ", ".join(c.strip() for c in grid.rows[line])
    return desk.ask(
        "same line twice",
        grid.place(None, line),
        seen=f"{clip(text)}, as on line {first}{more}",
        expected="each event once; two events of one day with their times",
        mend="answer whether it happened twice, or delete one line",
        choices=(
            Choice("once", "the line was entered twice", f"line {line} is not used"),
            Choice("twice", "it happened twice", f"lines {first} and {line} are used"),
        ),
        touches=[text, str(len(pairs))],
        lines=sorted({n for pair in pairs for n in pair}),
    )


def _without(records: Records, drop: Callable[[Any], bool]) -> Records:
    return replace(
        records,
        tests=[e for e in records.tests if not drop(e)],
        exchanges=[e for e in records.exchanges if not drop(e)],
        feedings=[e for e in records.feedings if not drop(e)],
        source=[e for e in records.source if not drop(e)],
        standards=[e for e in records.standards if not drop(e)],
    )


def _same(entry: Any) -> tuple[Any, ...]:
    """Give what makes two entries the same event in two files."""
    day = (type(entry).__name__, entry.date, entry.time)
    if isinstance(entry, Test | SourceTest):
        return (*day, words(entry.raw))
    if isinstance(entry, Exchange):
        amounts = (entry.fraction, entry.litres, entry.drip_l_day)
        return (
            *day,
            entry.kind,
            *(None if a is None else round(a, 9) for a in amounts),
        )
    return (*day, round(entry.feed_g, 9), words(entry.food))


def drop_overlaps(desk: Desk, records: Records) -> Records:
    """Use entries that stand in two files once, with a note.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    records : Records
        Everything from all files.

    Returns
    -------
    Records
        Without the second copies.
    """
    first: dict[tuple[Any, ...], str] = {}
    twice: dict[tuple[str, str], list[int]] = {}
    drop: set[int] = set()
    for entry in _all(records):
        file = first.setdefault(_same(entry), entry.file)
        if file != entry.file:
            twice.setdefault((entry.file, file), []).append(entry.line)
            drop.add(id(entry))
    for (file, other), lines in twice.items():
        desk.tell(
            "note",
            "same entry in two files",
            Place(file, lines[0]),
            seen=f"{some(sorted(set(lines)))}, also in {other}",
            expected="each event in one file",
            mend="used once",
            lines=sorted(set(lines)),
        )
    return _without(records, lambda e: id(e) in drop)


def _all(records: Records) -> Iterable[Any]:
    yield from records.tests
    yield from records.exchanges
    yield from records.feedings
    yield from records.source


def hold_two_values(
    desk: Desk, tests: Sequence[Reading], columns: dict[str, str]
) -> list[Reading]:
    """Ask about two different readings of one day that nothing tells apart.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    tests : sequence of Test or SourceTest
        All readings of the tank, or of the new water.
    columns : dict of str to str
        File name to the header of its nitrate column.

    Returns
    -------
    list of Test or SourceTest
        Without the readings held back.
    """
    days: dict[dt.date, list[Reading]] = {}
    for test in tests:
        days.setdefault(test.date, []).append(test)
    _note_same_reading(desk, days, columns)
    out: list[Reading] = []
    for day, same in days.items():
        out += _one_day(desk, day, same, columns) if _clash(same) else same
    return out


def _note_same_reading(
    desk: Desk, days: Mapping[dt.date, Sequence[Reading]], columns: dict[str, str]
) -> None:
    """Note readings that stand twice on a day with nothing to tell them apart."""
    lines: dict[str, list[int]] = {}
    for same in days.values():
        for one, other in combinations(same, 2):
            alike = one.file == other.file and words(one.raw) == words(other.raw)
            if alike and not _apart(one, other):
                lines.setdefault(one.file, []).append(other.line)
    for file, found in lines.items():
        desk.tell(
            "note",
            "same reading twice on a day",
            Place(file, found[0], columns.get(file)),
            seen=f"the reading of a line above again; {some(sorted(set(found)))}",
            expected="one reading a day, or the time of each",
            mend="both are used as tests of their own; delete one if it is a copy",
            lines=sorted(set(found)),
        )


def _clash(tests: Sequence[Reading]) -> bool:
    """Tell whether readings of one day contradict each other."""
    return any(
        not _apart(one, other) and words(one.raw) != words(other.raw)
        for one, other in combinations(tests, 2)
    )


def _apart(one: Reading, other: Reading) -> bool:
    """Tell whether something shows that two readings of a day are two tests."""
    if (one.file, one.line) == (other.file, other.line):
        return True  # two columns of one row, asked about as such
    if _differ(one.time, other.time):
        return True
    if isinstance(one, SourceTest) or isinstance(other, SourceTest):
        return False
    return (
        _differ(words(one.reader), words(other.reader))
        or _differ(words(one.kit), words(other.kit))
        or {_order(one), _order(other)} == {"before", "after"}
    )


def _differ(one: object, other: object) -> bool:
    """Tell whether both are said and not the same."""
    return bool(one and other and one != other)


def _order(test: Test) -> str:
    """Tell whether a note says before or after."""
    if test.order is not None:
        return test.order
    text = words(test.note)
    found = [w for w in ("before", "after") if w in text.split()]
    return found[0] if len(found) == 1 else ""


def _one_day(
    desk: Desk, day: dt.date, tests: Sequence[Reading], columns: dict[str, str]
) -> list[Reading]:
    last = tests[-1]
    names: list[str] = [f"line {t.line}" for t in tests]
    if len(set(names)) < len(names):
        names = [f"line {t.line}: {t.raw}" for t in tests]
    if len({t.file for t in tests}) > 1:
        names = [f"{t.file} line {t.line}" for t in tests]
    answer = desk.ask(
        "two readings on one day",
        Place(last.file, last.line, columns.get(last.file)),
        seen=f"{' and '.join(clip(t.raw) for t in tests)} on {day.isoformat()}",
        expected="one reading a day, or the time of each",
        mend="answer which holds, or write the times",
        choices=(
            Choice("all", "each is a test of its own"),
            *(
                Choice(n, "only this one", t.raw)
                for n, t in zip(names, tests, strict=True)
            ),
            LEAVE_OUT,
        ),
        touches=[t.raw for t in tests],
        lines=[t.line for t in tests if t.file == last.file],
    )
    if answer == "all":
        return list(tests)
    return [t for n, t in zip(names, tests, strict=True) if n == answer]
