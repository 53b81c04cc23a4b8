"""Sheets of text to a logbook: all files in one pass, every problem gathered."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from kit.answers import Answer
from kit.celltext import words
from kit.findings import Choice, Problem, clip, in_reading_order
from kit.intake.columns import Column, role_of
from kit.intake.datecolumn import some
from kit.intake.dates import dates_of
from kit.intake.desk import Desk, Place
from kit.intake.grid import Grid
from kit.intake.history import (
    ask_same_day,
    find_jump,
    hold_slips,
    in_time_order,
    note_gaps,
    note_hidden_exchanges,
    note_unsorted,
)
from kit.intake.repeats import drop_overlaps, drop_repeated_lines, hold_two_values
from kit.intake.rows import Records, fill_days, records_of
from kit.intake.tables import grids_of
from kit.intake.vocabulary import file_kind
from kit.logbook import Logbook, Tank
from kit.structure import Sheet, Table

__all__ = ["logbook_from"]

_NEEDED: Final[Mapping[str, tuple[frozenset[str], str]]] = {
    "tests": (frozenset({"nitrate"}), "nitrate (mg/L NO3)"),
    "wide": (frozenset({"nitrate"}), "nitrate (mg/L NO3)"),
    "source": (frozenset({"nitrate", "source nitrate"}), "nitrate (mg/L NO3)"),
    "exchanges": (frozenset({"exchange", "drip"}), "percent (%)"),
    "feedings": (frozenset({"feed", "pinches"}), "food (g)"),
    "upkeep": (frozenset({"task", "note"}), "task"),
}
_ALL_ONE = "all one tank"
_VOLUME_ASIDE = re.compile(
    r"[0-9]{1,6}(?:[.,][0-9]{1,3})? ?(?:l|litres?|liters?|(?:us |uk )?gal(?:lons?)?)\b"
)


def logbook_from(
    sheets: Iterable[Sheet],
    tank: Tank,
    *,
    today: dt.date,
    answers: Sequence[Answer] = (),
    problems: Iterable[Problem] = (),
    desk: Desk | None = None,
) -> Logbook:
    """Read the meaning of all sheets of one tank.

    Parameters
    ----------
    sheets : iterable of Sheet
        Files as tables of text.
    tank : Tank
        Settings.
    today : datetime.date
        Day to judge future dates by.
    answers : sequence of Answer
        The keeper's answers.
    problems : iterable of Problem
        Problems already found elsewhere.
    desk : Desk, optional
        One that has already answered questions about the settings.

    Returns
    -------
    Logbook
        Records in order of time, and every problem, worst first.
    """
    desk = desk or Desk(tank, today, {a.question: a for a in answers})
    desk.problems += problems
    records = Records()
    headers: dict[str, dict[str, str]] = {}
    names: list[str] = []
    for sheet in sheets:
        names.append(sheet.file)
        kind = file_kind(sheet.file)
        sheet, twins = _layout_answers(sheet, kind, desk)
        desk.problems += sheet.problems
        _note_volume_aside(desk, sheet)
        for grid in _grids(sheet, kind, desk, twins):
            records.add(_table(grid, desk, headers))
    return _whole(desk, records, headers, names)


def _layout_answers(
    sheet: Sheet, kind: str, desk: Desk
) -> tuple[Sheet, dict[str, str | None]]:
    """Apply the answers to questions about the layout.

    Gives the sheet, and for each doubled header the letter of the column to use, or
    None while that is open.
    """
    problems, twins, tables = [], {}, list(sheet.tables)
    for problem in sheet.problems:
        doubled = problem.kind == "duplicate column"
        if doubled and role_of(problem.column or "", kind) == "date":
            continue  # tables side by side are asked about as such
        answer = desk.answered(problem) if problem.level == "question" else None
        if answer is None:
            problems.append(problem)
        if doubled and problem.column is not None:
            letter = problem.letter if answer == "second" else answer
            twins[words(problem.column)] = letter
        elif problem.kind == "no header" and answer == "names":
            tables = [_named(t) for t in tables]
    return replace(sheet, problems=tuple(problems), tables=tuple(tables)), twins


def _named(table: Table) -> Table:
    """Take the first record of a table without header as its header."""
    if table.header or not table.records:
        return table
    first, *rest = table.records
    return replace(
        table, header=first.cells, header_line=first.line, records=tuple(rest)
    )


def _grids(
    sheet: Sheet, kind: str, desk: Desk, twins: Mapping[str, str | None]
) -> list[Grid]:
    """Settle the tables of a sheet that have a header."""
    tables = [t for t in sheet.tables if t.header]
    grids = [g for t in tables for g in grids_of(t, sheet.file, kind, desk, twins)]
    _missing_columns(sheet.file, kind, grids, desk)
    return [g for g in grids if g.only("date") is not None]


def _missing_columns(file: str, kind: str, grids: Sequence[Grid], desk: Desk) -> None:
    """Name the columns a file cannot do without."""
    need, example = _NEEDED.get(kind, (frozenset(), ""))
    for grid in grids:
        heads = ", ".join(clip(c.header) for c in grid.columns[:8])
        place = grid.place(None, grid.header_line)
        dates = [c for c in grid.columns if c.role == "date"]
        if not dates:
            desk.tell(
                "error",
                "no date column",
                place,
                seen=f"columns {heads}",
                expected='one column named "date"',
                mend="name the column of days",
            )
    open_ = any(c.role in {"held", "which?"} for g in grids for c in g.columns)
    roles = {c.role for g in grids for c in g.columns}
    if grids and need and not open_ and not roles & need:
        heads = ", ".join(clip(c.header) for c in grids[0].columns[:8])
        desk.tell(
            "error",
            f"no {next(iter(sorted(need)))} column",
            grids[0].place(None, grids[0].header_line),
            seen=f"columns {heads}",
            expected=f'a column such as "{example}"',
            mend=f"name the columns of {file} by what they hold",
        )


def _table(grid: Grid, desk: Desk, headers: dict[str, dict[str, str]]) -> Records:
    """Read one table."""
    if len(grid.having("date")) != 1:
        return Records()
    date = grid.only("date")
    known = headers.setdefault(grid.file, {})
    for column in grid.columns:
        known.setdefault(column.role, column.header)
    grid = _one_tank(grid, desk)
    below = date.below if date else ""
    moments = dates_of(dict(grid.cells(date)), grid.place(date), desk, below)
    moments = fill_days(grid, desk, moments)
    days = {n: moments[n].day for n in grid.rows if n in moments}
    note_unsorted(desk, days, grid.place(date))
    records = records_of(grid, desk, moments)
    return drop_repeated_lines(grid, desk, records)


def _one_tank(grid: Grid, desk: Desk) -> Grid:
    """Keep the rows of one tank when a file names several."""
    column = grid.only("tank name")
    tanks: dict[str, list[int]] = {}
    for line in grid.rows:
        name = words(grid.text(column, line))
        if name:
            tanks.setdefault(name, []).append(line)
    if column is None or len(tanks) < 2:
        return grid
    shown = {n: grid.text(column, lines[0]) for n, lines in tanks.items()}
    wanted = words(desk.tank.name)
    if wanted in tanks:
        kept = _of_this_tank(grid, column, desk, tanks, shown)
    else:
        kept = _of_one_tank(grid, column, desk, tanks, shown)
    return replace(grid, rows={n: r for n, r in grid.rows.items() if n in kept})


def _of_this_tank(
    grid: Grid,
    column: Column,
    desk: Desk,
    tanks: Mapping[str, list[int]],
    shown: Mapping[str, str],
) -> set[int]:
    """Keep the rows under the name in the settings; ask about the others."""
    wanted = words(desk.tank.name)
    others = [n for name, lines in tanks.items() if name != wanted for n in lines]
    kept = set(grid.rows) - set(others)
    names = [shown[name] for name in tanks if name != wanted]
    answer = desk.ask(
        "rows of another tank",
        grid.place(column, others[0]),
        seen=f"{', '.join(clip(n) for n in names[:5])} on {some(others)}",
        expected=f"rows of {clip(desk.tank.name)} only",
        mend="answer whether it is the same tank, or put the rows into another log",
        choices=(
            Choice(_ALL_ONE, "the same tank under another name"),
            Choice("another tank", f"these {len(others)} rows are not used"),
        ),
        touches=[*names, str(len(others))],
        lines=others,
    )
    return set(grid.rows) if answer == _ALL_ONE else kept


def _of_one_tank(
    grid: Grid,
    column: Column,
    desk: Desk,
    tanks: Mapping[str, list[int]],
    shown: Mapping[str, str],
) -> set[int]:
    """Ask which of several tanks is meant; no row is used until then."""
    answer = desk.ask(
        "which tank",
        grid.place(column, next(iter(tanks.values()))[0]),
        seen=f"{len(tanks)} tanks: {', '.join(clip(s) for s in shown.values())}",
        expected="one tank in a log",
        mend="answer which tank, or put each into a file of its own",
        choices=(
            *(
                Choice(name, f"only the rows of {shown[name]}", f"{len(n)} rows")
                for name, n in tanks.items()
            ),
            Choice(_ALL_ONE, "one tank that was renamed"),
        ),
        touches=sorted(shown.values()),
    )
    return set(grid.rows) if answer == _ALL_ONE else set(tanks.get(answer or "", ()))


def _note_volume_aside(desk: Desk, sheet: Sheet) -> None:
    """Show a volume found in the title rows; it is not used without consent."""
    for aside in sheet.asides:
        text = " ".join(aside.cells)
        found = _VOLUME_ASIDE.search(words(text))
        if found:
            desk.tell(
                "note",
                "volume in a title row",
                Place(sheet.file, aside.line),
                seen=clip(text),
                expected="the water volume in tank.toml, or given with --volume",
                mend=f"{found[0]} is shown here and not used",
            )


def _note_label(desk: Desk, records: Records) -> None:
    """Note once that litres were divided by the volume on the label."""
    swaps = [e for e in records.exchanges if e.litres is not None and e.fraction]
    if desk.tank.volume_how == "label" and swaps:
        first = swaps[0]
        desk.tell(
            "note",
            "volume from the label",
            Place(first.file, first.line),
            seen=f"{desk.tank.volume_l:.4g} L, the label's volume",
            expected="the measured water volume; glass, sand and rock take up some",
            mend="shares worked out from litres are too small until it is measured",
        )


def _whole(
    desk: Desk,
    records: Records,
    headers: Mapping[str, Mapping[str, str]],
    names: Sequence[str],
) -> Logbook:
    """Check the log as a whole and put it together."""
    nitrate = {f: h.get("nitrate", "") for f, h in headers.items()}
    dates = {f: h.get("date", "") for f, h in headers.items()}
    records = drop_overlaps(desk, records)
    tests = hold_two_values(desk, records.tests, nitrate)
    tests = list(in_time_order(tests))
    tests, breaks = find_jump(desk, tests, nitrate)
    tests = hold_slips(desk, tests, nitrate)
    note_gaps(desk, tests, dates)
    ask_same_day(desk, tests, records.exchanges)
    tasks = {f: h.get("task", "") for f, h in headers.items()}
    note_hidden_exchanges(desk, records, tasks)
    _note_label(desk, records)
    return Logbook(
        tank=desk.tank,
        tests=in_time_order(tests),
        exchanges=in_time_order(records.exchanges),
        feedings=in_time_order(records.feedings),
        upkeep=in_time_order(records.upkeep),
        source=in_time_order(records.source),
        problems=in_reading_order(desk.finished()),
        files=tuple(names),
        answers=tuple(desk.used),
        notes=in_time_order(records.notes),
        unknown_exchanges=tuple(sorted(records.unknown)),
        breaks=breaks,
    )
