"""The dates of one column: read together, each from the evidence of all."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.datecolumn import DateColumn, Moment
from kit.intake.datetext import BadDate, FixedDay, Stamp, read_date
from kit.intake.dayorder import keep_declared, keep_parts
from kit.intake.desk import LEAVE_OUT, Desk, Place, some

__all__ = ["dates_of"]

_DAY_MONTH: Final = re.compile(r"\b(?:dd?|tt)[-/. ]mm?\b")
_MONTH_DAY: Final = re.compile(r"(?<!y[-/. ])\bmm?[-/. ]dd?\b")
_EPOCH_GAP: Final = dt.timedelta(days=1462)


def _declared(text: str) -> bool | None:
    """Tell whether a header such as "Date (dd/mm/yyyy)" says that the day is first."""
    if _DAY_MONTH.search(words(text)):
        return True
    return False if _MONTH_DAY.search(words(text)) else None


def dates_of(
    raws: Mapping[int, str], place: Place, desk: Desk, below: str = ""
) -> dict[int, Moment]:
    """Read a whole date column.

    Parameters
    ----------
    raws : mapping of int to str
        Editor line to the date cell as written; no blank ones.
    place : Place
        File and column.
    desk : Desk
        Clock, answers, and where problems go.
    below : str
        Cell of the units row, which may give the order as ``dd/mm/yyyy``.

    Returns
    -------
    dict of int to Moment
        Editor line to day; lines with a problem or an open question are missing.
    """
    column = DateColumn(desk, place, raws)
    declared = _declared(f"{place.column or ''} {below}")
    stamps: dict[int, Stamp] = {}
    for line, raw in raws.items():
        read = read_date(raw)
        if isinstance(read, BadDate):
            column.bad(line, read.kind, read.mend)
        else:
            stamps[line] = read
    serials = _keep_fixed(column, stamps)
    if declared is None:
        keep_parts(column, stamps)
    else:
        keep_declared(column, stamps, declared)
    _check_serials(column, serials)
    _note_zones(column, stamps)
    _drop_midnights(column)
    return column.found


def _keep_fixed(column: DateColumn, stamps: Mapping[int, Stamp]) -> list[int]:
    """Keep the cells that are one day by themselves; give the serial ones."""
    serials = []
    for line, stamp in stamps.items():
        if isinstance(stamp.day, FixedDay):
            column.keep(line, stamp, stamp.day.day)
            if stamp.day.how == "serial":
                serials.append(line)
    return serials


def _check_serials(column: DateColumn, serials: Sequence[int]) -> None:
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


def _far(days: Iterable[dt.date], others: Sequence[dt.date]) -> bool:
    """Tell whether days lie a year or more outside the other days."""
    year = dt.timedelta(days=365)
    found = list(days)
    return min(found) < min(others) - year or max(found) > max(others) + year


def _ask_epoch(
    column: DateColumn,
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


def _drop_midnights(column: DateColumn) -> None:
    """Take no time from days that a program wrote out with 00:00 throughout."""
    timed = [n for n, m in column.found.items() if m.time is not None]
    if not timed or any(column.found[n].time != dt.time() for n in timed):
        return
    for line in timed:
        column.found[line] = Moment(column.found[line].day)
    column.note(
        "midnight throughout",
        timed,
        clip(column.raws[timed[0]]),
        "taken as days without a time",
    )


def _note_zones(column: DateColumn, stamps: Mapping[int, Stamp]) -> None:
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
