"""The dates of one column: the order of day and month decided from evidence alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from kit.findings import Choice, clip
from kit.intake.datetext import BadDate, DayParts, FixedDay, Stamp, read_date
from kit.intake.desk import LEAVE_OUT, Desk, Place

__all__ = ["OLDEST", "Moment", "dates_of", "some"]

OLDEST: Final = dt.date(1950, 1, 1)
_DAY_FIRST, _MONTH_FIRST = "day-first", "month-first"
_EPOCH_GAP: Final = dt.timedelta(days=1462)
_EXPECTED: Final = 'a day such as "2026-04-03" or "3 Apr 2026"'
_WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Moment:
    """Wall-clock day, and time of day where the date cell holds one."""

    day: dt.date
    time: dt.time | None = None


def some(lines: Sequence[int], limit: int = 8) -> str:
    """List line numbers for a sentence.

    Parameters
    ----------
    lines : sequence of int
        Editor lines.
    limit : int
        How many are spelled out.

    Returns
    -------
    str
        Such as ``"lines 3, 4 and 12 more"``.

    Examples
    --------
    >>> some([3]), some([3, 4])
    ('line 3', 'lines 3 and 4')
    """
    shown = [str(n) for n in lines[:limit]]
    rest = len(lines) - len(shown)
    if rest:
        return f"lines {', '.join(shown)} and {rest} more"
    if len(shown) == 1:
        return f"line {shown[0]}"
    return f"lines {', '.join(shown[:-1])} and {shown[-1]}"


@dataclass(slots=True)
class _Column:
    """One date column on its way from text to days."""

    desk: Desk
    place: Place
    raws: Mapping[int, str]
    found: dict[int, Moment] = field(default_factory=dict)

    def bad(self, line: int, kind: str, mend: str, expected: str = _EXPECTED) -> None:
        self.desk.tell(
            "error",
            kind,
            self.place.at(line),
            seen=clip(self.raws[line]),
            expected=expected,
            mend=mend,
        )

    def keep(self, line: int, stamp: Stamp, day: dt.date) -> None:
        """Keep a day that is possible, or say why not."""
        last = self.desk.today + dt.timedelta(days=1)
        short = getattr(stamp.day, "short_year", False)
        if day > last:
            kind = "future date"
            mend = "correct the year, month or day"
            if short:
                mend = "write the year with four digits"
            expected = f"a day up to today, {self.desk.today.isoformat()}"
            self.bad(line, kind, mend, expected)
        elif day < OLDEST:
            self.bad(
                line,
                "date too old",
                "correct the year",
                f"a day from {OLDEST.year} on",
            )
        else:
            self.found[line] = Moment(day, stamp.time)
            self._weekday(line, stamp, day)

    def _weekday(self, line: int, stamp: Stamp, day: dt.date) -> None:
        if stamp.day.weekday and _WEEKDAYS[day.weekday()] != stamp.day.weekday:
            self.desk.tell(
                "note",
                "weekday does not fit",
                self.place.at(line),
                seen=clip(self.raws[line]),
                expected=f"{day.isoformat()} was a {day.strftime('%A')}",
                mend="read by its numbers; correct the day or the weekday",
            )

    def note(self, kind: str, lines: Sequence[int], seen: str, mend: str) -> None:
        self.desk.tell(
            "note",
            kind,
            self.place.at(lines[0]),
            seen=seen,
            expected=_EXPECTED,
            mend=mend,
            lines=lines,
        )


def dates_of(raws: Mapping[int, str], place: Place, desk: Desk) -> dict[int, Moment]:
    """Read a whole date column.

    Parameters
    ----------
    raws : mapping of int to str
        Editor line to the date cell as written; no blank ones.
    place : Place
        File and column.
    desk : Desk
        Clock, answers, and where problems go.

    Returns
    -------
    dict of int to Moment
        Editor line to day; lines with a problem or an open question are missing.
    """
    column = _Column(desk, place, raws)
    stamps: dict[int, Stamp] = {}
    for line, raw in raws.items():
        read = read_date(raw)
        if isinstance(read, BadDate):
            column.bad(line, read.kind, read.mend)
        else:
            stamps[line] = read
    serials = _keep_fixed(column, stamps)
    _keep_parts(column, stamps)
    _check_serials(column, serials)
    _note_zones(column, stamps)
    return column.found


def _keep_fixed(column: _Column, stamps: Mapping[int, Stamp]) -> list[int]:
    """Keep the cells that are one day by themselves; give the serial ones."""
    serials = []
    for line, stamp in stamps.items():
        if isinstance(stamp.day, FixedDay):
            column.keep(line, stamp, stamp.day.day)
            if stamp.day.how == "serial":
                serials.append(line)
    return serials


def _both(parts: DayParts) -> tuple[dt.date | None, dt.date | None]:
    return parts.as_day(day_first=True), parts.as_day(day_first=False)


def _keep_parts(column: _Column, stamps: Mapping[int, Stamp]) -> None:
    """Decide the order of two small numbers for the whole column."""
    parts = {n: s.day for n, s in stamps.items() if isinstance(s.day, DayParts)}
    if not parts:
        return
    if _year_may_be_first(parts):
        _ask_year_first(column, stamps, parts)
        return
    day_first = [n for n, p in parts.items() if None is _both(p)[1]]
    month_first = [n for n, p in parts.items() if None is _both(p)[0]]
    proved = {*day_first, *month_first}
    same = [n for n, p in parts.items() if len({*_both(p)}) == 1]
    open_lines = [n for n in parts if n not in proved and n not in same]
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
    column: _Column,
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
    column: _Column,
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


def _ask_year_first(
    column: _Column, stamps: Mapping[int, Stamp], parts: Mapping[int, DayParts]
) -> None:
    lines = sorted(parts)
    part = parts[lines[0]]
    turned = DayParts(part.second, part.year % 100, 2000 + part.first)
    year_first = turned.as_day(day_first=False)
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
        expected="years with four digits; the last numbers run like days",
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
            part = DayParts(part.second, part.year % 100, 2000 + part.first, True)
        day = part.as_day(day_first=answer == _DAY_FIRST)
        if day is None:
            column.bad(line, "impossible date", "there is no such day in that order")
        else:
            column.keep(line, stamps[line], day)


def _check_serials(column: _Column, serials: Sequence[int]) -> None:
    """Note day counts, and ask when they fit their neighbours only by 1904."""
    kept = [n for n in serials if n in column.found]
    if not kept:
        return
    others = [m.day for n, m in column.found.items() if n not in kept]
    days = {n: column.found[n].day for n in kept}
    moved = {n: d + _EPOCH_GAP for n, d in days.items()}
    if others and _far(days.values(), others) and not _far(moved.values(), others):
        _ask_epoch(column, kept, days, moved)
        return
    line = kept[0]
    column.note(
        "day count",
        kept,
        f"{clip(column.raws[line])}, a spreadsheet's count of days",
        f"counted from 1899-12-30: {days[line].isoformat()}; {some(kept)}",
    )


def _far(days: object, others: Sequence[dt.date]) -> bool:
    """Tell whether days lie a year or more outside the other days."""
    year = dt.timedelta(days=365)
    found = list(days)  # type: ignore[call-overload]
    return bool(min(found) < min(others) - year or max(found) > max(others) + year)


def _ask_epoch(
    column: _Column,
    lines: Sequence[int],
    days: Mapping[int, dt.date],
    moved: Mapping[int, dt.date],
) -> None:
    first = lines[0]
    answer = column.desk.ask(
        "day count from 1900 or 1904",
        column.place.at(first),
        seen=f"{clip(column.raws[first])} on {some(lines)}",
        expected="dates near the others of the column",
        mend="answer which, or write the dates as 2026-04-03",
        choices=(
            Choice("1900", "counted from 1899-12-30", days[first].isoformat()),
            Choice("1904", "counted from 1904-01-01", moved[first].isoformat()),
            LEAVE_OUT,
        ),
        touches=[column.raws[n] for n in lines],
        lines=lines,
    )
    for line in lines:
        time = column.found.pop(line).time
        if answer in {"1900", "1904"}:
            day = days[line] if answer == "1900" else moved[line]
            column.keep(line, Stamp(FixedDay(day), time), day)


def _note_zones(column: _Column, stamps: Mapping[int, Stamp]) -> None:
    """Note cells written in different time zones; the wall clock is kept."""
    zones = {s.zone for n, s in stamps.items() if s.zone}
    if len(zones) > 1:
        lines = [n for n, s in stamps.items() if s.zone]
        column.note(
            "time zones differ",
            lines,
            f"times in {len(zones)} zones: {', '.join(sorted(zones))}",
            "each is kept as the clock on the wall showed it",
        )
