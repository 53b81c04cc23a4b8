"""One table to records: every cell read in one pass, each row by its day."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from kit.celltext import is_blank, words
from kit.findings import Choice, clip
from kit.intake.cells import RULES
from kit.intake.columns import VALUE_ROLES, Column
from kit.intake.datecolumn import Moment
from kit.intake.datetext import read_time
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.exchanges import exchanges_of
from kit.intake.grid import Grid
from kit.intake.meals import feedings_of
from kit.intake.nitrate import Level, levels_of
from kit.intake.settle import ORDERS
from kit.intake.standards import standards_of
from kit.intake.volumes import volumes_of
from kit.logbook import (
    Exchange,
    Feeding,
    Note,
    SameDay,
    SourceTest,
    Standard,
    Test,
    Upkeep,
)

__all__ = ["Records", "fill_days", "records_of"]

_TAP_WORDS = frozenset(
    {"tap", "source", "tap water", "source water", "ro", "rodi", "new water", "mains"}
)


_ORDER = re.compile(
    r"\b(before|after) (?:the |a |my |todays? |weekly ){0,2}"
    r"(?:water change|wc|exchange|change)\b"
)


@dataclass(slots=True)
class Records:
    """Records of one table or of a whole log, in the order of the lines."""

    tests: list[Test] = field(default_factory=list)
    exchanges: list[Exchange] = field(default_factory=list)
    feedings: list[Feeding] = field(default_factory=list)
    upkeep: list[Upkeep] = field(default_factory=list)
    source: list[SourceTest] = field(default_factory=list)
    standards: list[Standard] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    unknown: set[dt.date] = field(default_factory=set)

    def add(self, other: Records) -> None:
        """Take over the records of another table."""
        self.tests += other.tests
        self.exchanges += other.exchanges
        self.feedings += other.feedings
        self.upkeep += other.upkeep
        self.source += other.source
        self.standards += other.standards
        self.notes += other.notes
        self.unknown |= other.unknown


def fill_days(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment]
) -> dict[int, Moment]:
    """Ask about rows whose date cell is blank under another day.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Where problems go.
    moments : mapping of int to Moment
        Days by line, as far as they are written.

    Returns
    -------
    dict of int to Moment
        With the rows filled that the keeper's answer allows.
    """
    column = grid.only("date")
    out = dict(moments)
    if column is None:
        return out
    dated = {line for line, _ in grid.cells(column)}
    blank = [n for n in grid.rows if n not in dated and _says_something(grid, n)]
    first = min(dated, default=None)
    below = [n for n in blank if first is not None and n > first]
    for line in blank:
        if line not in below:
            desk.tell(
                "error",
                "date missing",
                grid.place(column, line),
                seen="a row without a date",
                expected=RULES["date"].expected,
                mend="write the day",
            )
    if below:
        _ask_blank(grid, column, desk, below, out)
    return out


def _says_something(grid: Grid, line: int) -> bool:
    used = VALUE_ROLES | {"task", "note"}
    return any(not is_blank(grid.text(c, line)) for c in grid.columns if c.role in used)


def _ask_blank(
    grid: Grid, column: Column, desk: Desk, lines: Sequence[int], out: dict[int, Moment]
) -> None:
    order = sorted(grid.rows)
    above = dict(zip(order[1:], order, strict=False))
    answer = desk.ask(
        "date left blank",
        grid.place(column, lines[0]),
        seen=f"no date on {some(lines)}",
        expected="a date on each row, or cells joined with the day above",
        mend="answer whether the day above holds, or write the dates",
        choices=(
            Choice("day above", "the same day as the row above"),
            LEAVE_OUT,
        ),
        touches=[",".join(grid.rows[n]) for n in lines],
        lines=lines,
    )
    if answer == "day above":
        for line in lines:
            if above[line] in out:
                out[line] = Moment(out[above[line]].day)


def _times(grid: Grid, desk: Desk, moments: Mapping[int, Moment]) -> dict[int, Moment]:
    """Join the time column to the days."""
    column = grid.only("time")
    out = dict(moments)
    wordy: list[int] = []
    differ: list[int] = []
    for line, raw in grid.cells(column):
        time = read_time(raw)
        if time is None and not re.search("[0-9]", raw[:60]):
            wordy.append(line)
        elif time is None:
            desk.tell(
                "error",
                "not a time",
                grid.place(column, line),
                seen=clip(raw),
                expected=RULES["time"].expected,
                mend=RULES["time"].mend,
            )
        elif line in out:
            if out[line].time not in {None, time}:
                differ.append(line)
                continue
            out[line] = replace(out[line], time=time)
    if differ and column is not None:
        _ask_time(grid, column, desk, differ, out)
    if wordy:
        desk.tell(
            "note",
            "time in words",
            grid.place(column, wordy[0]),
            seen=clip(grid.text(column, wordy[0])),
            expected=RULES["time"].expected,
            mend=f"no time is taken from {some(wordy)}",
            lines=wordy,
        )
    return out


def _ask_time(
    grid: Grid, column: Column, desk: Desk, lines: Sequence[int], out: dict[int, Moment]
) -> None:
    """Ask which time holds when the date cell holds another than the time column."""
    line = lines[0]
    answer = desk.ask(
        "two times on one row",
        grid.place(column, line),
        seen=f"{clip(grid.text(grid.only('date'), line))} and "
        f"{clip(grid.text(column, line))} on {some(lines)}",
        expected="one time of day for each row",
        mend="answer which holds, or delete the other; until then the day holds alone",
        choices=(
            Choice("date cell", "the time beside the day holds"),
            Choice("time column", "the time in its own column holds"),
            LEAVE_OUT,
        ),
        touches=[",".join(grid.rows[n]) for n in lines],
        lines=lines,
    )
    for n in lines:
        if answer == "time column":
            out[n] = replace(out[n], time=read_time(grid.text(column, n)))
        elif answer != "date cell":
            out[n] = replace(out[n], time=None)


def records_of(grid: Grid, desk: Desk, moments: Mapping[int, Moment]) -> Records:
    """Read every value of a table.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Settings and problems.
    moments : mapping of int to Moment
        Days by line; cells of other lines are checked and left out.

    Returns
    -------
    Records
        In the order of the lines.
    """
    moments = _times(grid, desk, moments)
    if grid.kind == "standards":
        return Records(standards=standards_of(grid, desk, moments))
    volumes = volumes_of(grid, desk, moments)
    out = Records()
    _nitrate(grid, desk, moments, out)
    swapped = exchanges_of(grid, desk, moments, volumes)
    out.exchanges, out.unknown = swapped.records, swapped.unknown
    out.feedings = feedings_of(grid, desk, moments, volumes)
    _words(grid, desk, moments, out)
    return out


def _joined(grid: Grid, role: str, line: int) -> str:
    return " · ".join(t for c in grid.having(role) if (t := grid.text(c, line)))


def _nitrate(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment], out: Records
) -> None:
    """Read the nitrate columns of the tank and of the new water."""
    sample = grid.only("sample")
    columns = grid.having("nitrate", "source nitrate")
    levels = [(c, levels_of(grid, c, desk)) for c in columns]
    _use_once(grid, desk, levels)
    for column, found in levels:
        for line, level in found.items():
            moment = moments.get(line)
            if moment is None:
                continue
            tap = words(grid.text(sample, line)) in _TAP_WORDS
            if tap or column.role == "source nitrate" or grid.kind == "source":
                out.source.append(_source_test(grid, line, moment, level))
            else:
                out.tests.append(_test(grid, column, line, moment, level))
    out.tests.sort(key=lambda t: t.line)


def _use_once(
    grid: Grid, desk: Desk, levels: Sequence[tuple[Column, dict[int, Level]]]
) -> None:
    """Use one reading once that two columns of a row give in two units."""
    for (column, found), (other, later) in combinations(levels, 2):
        if column.role != other.role or column.moment != other.moment:
            continue
        both = [n for n in found if n in later]
        same = [n for n in both if _agree(found[n], later[n])]
        differ = [n for n in both if n not in same]
        if same:
            _note_same(grid, desk, other, (found, later), same)
        for line in same:
            del later[line]
        if differ:
            _choose(grid, desk, ((column, found), (other, later)), differ)


def _note_same(
    grid: Grid,
    desk: Desk,
    column: Column,
    levels: tuple[dict[int, Level], dict[int, Level]],
    lines: Sequence[int],
) -> None:
    found, later = levels
    desk.tell(
        "note",
        "one reading in two columns",
        grid.place(column, lines[0]),
        seen=f"{clip(later[lines[0]].raw)} beside {clip(found[lines[0]].raw)}",
        expected="each reading once",
        mend=f"the same within 5 %, used once: {some(lines)}",
        lines=lines,
    )


def _choose(
    grid: Grid,
    desk: Desk,
    levels: Sequence[tuple[Column, dict[int, Level]]],
    lines: Sequence[int],
) -> None:
    """Ask once which of two columns of readings holds where they differ."""
    line = lines[0]
    raws = [found[line].raw for _, found in levels]
    answer = desk.ask(
        "two columns with one meaning",
        grid.place(levels[1][0], grid.header_line),
        seen=f"{' and '.join(clip(c.header) for c, _ in levels)}, with "
        f"{' and '.join(clip(r) for r in raws)} on {some(lines)}",
        expected="one column of readings, or readings that agree",
        mend="answer which is used, or rename the other",
        choices=(
            *(
                Choice(f"column {c.letter}", f"use {c.header}", raw)
                for (c, _), raw in zip(levels, raws, strict=True)
            ),
            Choice("all", "each is a test of its own"),
            LEAVE_OUT,
        ),
        touches=[found[n].raw for n in lines for _, found in levels],
        lines=lines,
    )
    for column, found in levels if answer != "all" else ():
        if answer != f"column {column.letter}":
            for n in lines:
                del found[n]


def _agree(one: Level, other: Level) -> bool:
    """Tell whether two readings are the same but for rounding."""
    if one.value_mg_l is None or other.value_mg_l is None:
        return False
    return abs(one.value_mg_l - other.value_mg_l) <= 0.05 * one.value_mg_l


def _source_test(grid: Grid, line: int, moment: Moment, level: Level) -> SourceTest:
    return SourceTest(
        date=moment.day,
        time=moment.time,
        low_mg_l=level.low_mg_l,
        high_mg_l=level.high_mg_l,
        value_mg_l=level.value_mg_l,
        raw=level.raw,
        file=grid.file,
        line=line,
        note=_joined(grid, "note", line),
    )


def _test(grid: Grid, column: Column, line: int, moment: Moment, level: Level) -> Test:
    return Test(
        date=moment.day,
        time=moment.time,
        low_mg_l=level.low_mg_l,
        high_mg_l=level.high_mg_l,
        value_mg_l=level.value_mg_l,
        raw=level.raw,
        file=grid.file,
        line=line,
        doubtful=level.doubtful,
        reader=_joined(grid, "reader", line),
        kit=_joined(grid, "kit", line),
        note=_joined(grid, "note", line),
        order=column.moment
        or ORDERS.get(words(grid.text(grid.only("order"), line)))
        or _order_in(_joined(grid, "note", line)),
    )


def _order_in(note: str) -> SameDay | None:
    """Read "before water change" or "after WC" in a note."""
    found = {m[1] for m in _ORDER.finditer(words(note))}
    if found == {"before"}:
        return "before"
    return "after" if found == {"after"} else None


def _words(grid: Grid, desk: Desk, moments: Mapping[int, Moment], out: Records) -> None:
    """Keep tasks and notes in the keeper's own words."""
    for line in grid.rows:
        moment = moments.get(line)
        if moment is None:
            continue
        task, note = _joined(grid, "task", line), _joined(grid, "note", line)
        if task:
            out.upkeep.append(
                Upkeep(moment.day, moment.time, task, grid.file, line, note)
            )
        if note:
            out.notes.append(Note(moment.day, moment.time, note, grid.file, line))
