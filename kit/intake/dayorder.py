"""The order of day and month in a column, from evidence alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Final

from kit.findings import Choice, clip
from kit.intake.datecolumn import OLDEST, DateColumn
from kit.intake.datetext import DayParts, Stamp
from kit.intake.desk import LEAVE_OUT, some

__all__ = ["keep_declared", "keep_parts"]

_DAY_FIRST: Final = "day-first"
_MONTH_FIRST: Final = "month-first"


def keep_declared(
    column: DateColumn, stamps: Mapping[int, Stamp], day_first: bool
) -> None:
    """Read two small numbers in the order that the header gives.

    Parameters
    ----------
    column : DateColumn
        Takes the days and the problems.
    stamps : mapping of int to Stamp
        Editor line to what its cell says.
    day_first : bool
        Whether the header puts the day first.
    """
    order = "day before month" if day_first else "month before day"
    lines = []
    for line, stamp in stamps.items():
        if not isinstance(stamp.day, DayParts):
            continue
        day = stamp.day.as_day(day_first=day_first)
        lines.append(line)
        if day is None:
            column.bad(
                line,
                "date against the header",
                "correct the date or the header",
                f"the {order}, as the header says",
            )
        else:
            column.keep(line, stamp, day)
    if lines:
        column.note(
            "order of day and month",
            lines,
            f"{clip(column.raws[lines[0]])} under {clip(column.place.column or '')}",
            f"the whole column is read with the {order}, as the header says",
        )


def _both(parts: DayParts) -> tuple[dt.date | None, dt.date | None]:
    return parts.as_day(day_first=True), parts.as_day(day_first=False)


def keep_parts(column: DateColumn, stamps: Mapping[int, Stamp]) -> None:
    """Decide the order of two small numbers for the whole column.

    Parameters
    ----------
    column : DateColumn
        Takes the days and the problems.
    stamps : mapping of int to Stamp
        Editor line to what its cell says.
    """
    parts = {n: s.day for n, s in stamps.items() if isinstance(s.day, DayParts)}
    if not parts:
        return
    for lines in _year_first_lines(column, parts):
        _ask_year_first(column, stamps, {n: parts.pop(n) for n in lines})
    if not parts:
        return
    day_first = [n for n, p in parts.items() if None is _both(p)[1]]
    month_first = [n for n, p in parts.items() if None is _both(p)[0]]
    proved = {*day_first, *month_first}
    same = [n for n, p in parts.items() if len({*_both(p)}) == 1]
    settled = proved.union(same)
    open_lines = [n for n in parts if n not in settled]
    for line in same:
        column.keep(line, stamps[line], _day(parts[line], True))
    if day_first and month_first:
        for line in sorted(proved):
            column.bad(
                line,
                "day and month in both orders",
                "write every date of the column in one order, best as 2026-04-03",
                f"one order; {some(day_first)} can only be day first, "
                f"{some(month_first)} only month first",
            )
        if open_lines:
            _ask_order(column, stamps, parts, open_lines)
    elif proved:
        _take_order(column, stamps, parts, sorted(proved), bool(day_first))
    elif open_lines:
        _ask_order(column, stamps, parts, open_lines)


def _day(parts: DayParts, day_first: bool) -> dt.date:
    """Read two numbers in one order, or in the only one that is possible."""
    wanted = parts.as_day(day_first=day_first)
    return wanted or parts.as_day(day_first=not day_first) or OLDEST


def _take_order(
    column: DateColumn,
    stamps: Mapping[int, Stamp],
    parts: Mapping[int, DayParts],
    proof: Sequence[int],
    day_first: bool,
) -> None:
    for line, day in parts.items():
        if line not in column.found:
            column.keep(line, stamps[line], _day(day, day_first))
    order = "day before month" if day_first else "month before day"
    column.note(
        "order of day and month",
        proof,
        f"{clip(column.raws[proof[0]])}, which can only have the {order}",
        f"the whole column is read with the {order}; proved by {some(proof)}",
    )


def _ask_order(
    column: DateColumn,
    stamps: Mapping[int, Stamp],
    parts: Mapping[int, DayParts],
    lines: Sequence[int],
) -> None:
    first = parts[lines[0]]
    examples = [d.isoformat() if d else "" for d in _both(first)]
    raw = column.raws[lines[0]]
    answer = column.desk.ask(
        "order of day and month",
        column.place.at(lines[0]),
        seen=f"{clip(raw)} on {some(lines)}",
        expected=f"{examples[0]} (day first) or {examples[1]} (month first); nothing "
        "in the column proves which" + _hint(parts),
        mend="answer which comes first, or write the dates as 2026-04-03",
        choices=(
            Choice(
                _DAY_FIRST, "the first number is the day", f"{raw} is {examples[0]}"
            ),
            Choice(
                _MONTH_FIRST, "the first number is the month", f"{raw} is {examples[1]}"
            ),
            LEAVE_OUT,
        ),
        touches=[column.raws[n] for n in lines],
        lines=lines,
    )
    if answer in {_DAY_FIRST, _MONTH_FIRST}:
        for line in lines:
            day = _day(parts[line], answer == _DAY_FIRST)
            column.keep(line, stamps[line], day)


def _hint(parts: Mapping[int, DayParts]) -> str:
    """Say in which order the dates run forwards, when only one does."""
    runs = []
    for order in (True, False):
        days = [p.as_day(day_first=order) for p in parts.values()]
        known = [d for d in days if d is not None]
        if len(known) > 2 and known == sorted(known):
            runs.append(order)
    if len(runs) != 1:
        return ""
    return f"; they run forwards only with the {'day' if runs[0] else 'month'} first"


def _year_may_be_first(parts: Mapping[int, DayParts]) -> bool:
    """Tell whether short dates may stand with the year in front, as 24-03-05.

    The last number then runs like days of a month while the first hardly moves.
    """
    short = [p for p in parts.values() if p.short_year]
    if len(short) < 2 or len(short) < len(parts):
        return False
    firsts = {p.first for p in short}
    lasts = {p.year % 100 for p in short}
    possible = all(1 <= p.year % 100 <= 31 and p.second <= 12 for p in short)
    return possible and len(lasts) > max(2, len(firsts))


def _turned(part: DayParts) -> DayParts:
    """Read a short date with the year in front."""
    return DayParts(part.second, part.year % 100, 2000 + part.first, short_year=True)


def _year_first_lines(
    column: DateColumn, parts: Mapping[int, DayParts]
) -> list[list[int]]:
    """Give the lines to be asked together, because the year may stand in front.

    All where the last numbers run like days. Else those whose first number would be
    the later year, unless a cell of the column can have its year only at the end.
    """
    if _year_may_be_first(parts):
        return [sorted(parts)]
    last = column.desk.today + dt.timedelta(days=1)
    open_: list[int] = []
    for line, part in parts.items():
        if not part.short_year:
            continue
        day = _turned(part).as_day(day_first=False)
        if day is None or day > last:
            return []
        if part.first > part.year % 100:
            open_.append(line)
    return [open_] if open_ else []


def _ask_year_first(
    column: DateColumn, stamps: Mapping[int, Stamp], parts: Mapping[int, DayParts]
) -> None:
    lines = sorted(parts)
    part = parts[lines[0]]
    year_first = _turned(part).as_day(day_first=False)
    raw = column.raws[lines[0]]
    readings = {
        "year-first": year_first,
        _DAY_FIRST: part.as_day(day_first=True),
        _MONTH_FIRST: part.as_day(day_first=False),
    }
    answer = column.desk.ask(
        "year first or last",
        column.place.at(lines[0]),
        seen=f"{clip(raw)} on {some(lines)}",
        expected="years with four digits; two of the numbers may be the year",
        mend="answer which number is the year, or write the dates as 2026-04-03",
        choices=(
            *(
                Choice(word, f"read {word.replace('-', ' ')}", f"{raw} is {day}")
                for word, day in readings.items()
                if day is not None
            ),
            LEAVE_OUT,
        ),
        touches=[column.raws[n] for n in lines],
        lines=lines,
    )
    for line in lines if answer in readings else ():
        part = parts[line]
        if answer == "year-first":
            part = _turned(part)
        day = part.as_day(day_first=answer == _DAY_FIRST)
        if day is None:
            column.bad(line, "impossible date", "there is no such day in that order")
        else:
            column.keep(line, stamps[line], day)
