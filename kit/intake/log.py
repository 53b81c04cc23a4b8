"""Sheets of text to a logbook: all files in one pass, every problem gathered."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence

from kit.answers import Answer
from kit.findings import Problem, in_reading_order
from kit.intake.dates import dates_of
from kit.intake.desk import Desk
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
from kit.intake.layout import layout_answers
from kit.intake.logvolume import ask_volume, note_label, note_volume_aside
from kit.intake.lost import lose_rows
from kit.intake.missing import (
    is_something_else,
    note_something_else,
    tell_missing_columns,
)
from kit.intake.remarks import note_dilutions, note_top_ups
from kit.intake.repeats import drop_overlaps, drop_repeated_lines, hold_two_values
from kit.intake.rows import Records, fill_days, records_of
from kit.intake.tables import grids_of
from kit.intake.tanks import one_tank, under_one_heading
from kit.intake.vocabulary import file_kind
from kit.logbook import Logbook, Tank
from kit.structure import Sheet

__all__ = ["logbook_from"]


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
    sheets = list(sheets)
    alone = len(sheets) == 1
    for sheet in sheets:
        names.append(sheet.file)
        kind = file_kind(sheet.file)
        sheet, twins = layout_answers(sheet, kind, desk)
        desk.problems += sheet.problems
        note_volume_aside(desk, sheet)
        sheet = under_one_heading(sheet, desk)
        for grid in _grids(sheet, kind, desk, twins, alone=alone):
            records.add(_table(grid, desk, headers))
    return _whole(desk, records, headers, names)


def _grids(
    sheet: Sheet,
    kind: str,
    desk: Desk,
    twins: Mapping[str, str | None],
    *,
    alone: bool,
) -> list[Grid]:
    """Settle the tables of a sheet that have a header."""
    tables = [t for t in sheet.tables if t.header]
    semicolons = sheet.delimiter == ";"
    grids = [
        grid
        for table in tables
        for grid in grids_of(
            table, sheet.file, kind, desk, twins, semicolons=semicolons
        )
    ]
    if not alone and is_something_else(kind, grids):
        note_something_else(sheet.file, grids, desk)
        return []
    tell_missing_columns(sheet.file, kind, grids, desk)
    if kind == "exchanges":
        _lose_unread(sheet, desk)
    for grid in grids:
        if len(grid.having("date")) != 1:
            lose_rows(grid, desk, grid.rows)
    return [g for g in grids if len(g.having("date")) == 1]


def _lose_unread(sheet: Sheet, desk: Desk) -> None:
    """Name what a file of exchanges holds that cannot be read at all."""
    if not sheet.tables and any(p.level == "error" for p in sheet.problems):
        desk.lose(sheet.file)
    for table in sheet.tables:
        for record in table.records if not table.header else ():
            if any(cell.strip() for cell in record.cells):
                desk.lose(sheet.file, record.line)


def _table(grid: Grid, desk: Desk, headers: dict[str, dict[str, str]]) -> Records:
    """Read one table."""
    date = grid.only("date")
    known = headers.setdefault(grid.file, {})
    for column in grid.columns:
        known.setdefault(column.role, column.header)
    grid = one_tank(grid, desk)
    below = date.below if date else ""
    moments = dates_of(dict(grid.cells(date)), grid.place(date), desk, below)
    moments = fill_days(grid, desk, moments)
    days = {n: moments[n].day for n in grid.rows if n in moments}
    note_unsorted(desk, days, grid.place(date))
    records = records_of(grid, desk, moments)
    return drop_repeated_lines(grid, desk, records)


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
    source = hold_two_values(desk, records.source, nitrate)
    tests = list(in_time_order(tests))
    tests, breaks = find_jump(desk, tests, nitrate)
    tests = hold_slips(desk, tests, nitrate)
    note_gaps(desk, tests, dates)
    ask_same_day(desk, tests, records.exchanges)
    tasks = {f: h.get("task", "") for f, h in headers.items()}
    note_hidden_exchanges(desk, records, tasks)
    note_dilutions(desk, tests, nitrate)
    remarks = {f: h.get("note", "") for f, h in headers.items()}
    note_top_ups(desk, records.exchanges, remarks)
    ask_volume(desk, records)
    note_label(desk, records)
    return Logbook(
        tank=desk.tank,
        tests=in_time_order(tests),
        exchanges=in_time_order(records.exchanges),
        feedings=in_time_order(records.feedings),
        upkeep=in_time_order(records.upkeep),
        source=in_time_order(source),
        standards=in_time_order(records.standards),
        problems=in_reading_order(desk.finished()),
        files=tuple(names),
        answers=tuple(desk.used),
        notes=in_time_order(records.notes),
        unknown_exchanges=tuple(sorted(records.unknown)),
        breaks=breaks,
        lost_exchanges=tuple(desk.lost),
    )
