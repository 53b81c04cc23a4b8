"""A table of text to a grid: columns settled, rows without a record set aside."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from kit.celltext import is_blank, words
from kit.findings import Choice, clip
from kit.intake.cells import RULES
from kit.intake.columns import VALUE_ROLES, Column, columns_of
from kit.intake.datetext import BadDate, read_date
from kit.intake.desk import Desk, some
from kit.intake.grid import Grid
from kit.intake.lost import lose_rows, may_hold_exchange
from kit.intake.settle import settled
from kit.numerals import NumberStyle, groups_of, has_decimal_comma, number_style
from kit.structure import Table

__all__ = ["grids_of"]

_TO_ITS_RIGHT: Final = "to its right"
_WHOLE_ROW: Final = "whole row"

_TOTALS: Final = re.compile(
    r"(?:grand |sub ?)?(?:totals?|sums?|averages?|avg\.?|means?|medians?|minimum|min|"
    r"maximum|max|counts?|std ?dev|stdev|summary|overall)[:.]?"
)
_TOTALS_LONG: Final = re.compile(_TOTALS.pattern + r"(?:[ :(].{0,60})?")


def grids_of(
    table: Table,
    file: str,
    kind: str,
    desk: Desk,
    twins: Mapping[str, str | None] | None = None,
    *,
    semicolons: bool = False,
) -> list[Grid]:
    """Settle the columns of a table and sort out rows that hold no record.

    Parameters
    ----------
    table : Table
        Header and records.
    file, kind : str
        File name, and what it holds by its name.
    desk : Desk
        Where problems go.
    twins : mapping of str to (str or None), optional
        For doubled headers: which is used, ``"first"`` or a letter; None while open.
    semicolons : bool
        Whether semicolons stand between the cells of the file.

    Returns
    -------
    list of Grid
        Columns in doubt have the role ``"held"``. More than one where tables stand
        side by side, each with its own days.
    """
    columns = columns_of(table, kind)
    records = {
        r.line: r.cells
        for r in table.records
        if r.line not in table.unsure and any(c.strip() for c in r.cells)
    }
    style = NumberStyle(semicolons=semicolons)
    grid = Grid(file, kind, columns, records, style, table.header_line)
    grid = settled(grid, desk, twins or {})
    _lose_unsure(grid, table, desk)
    return [_finished(g, desk) for g in _side_by_side(grid, desk)]


def _lose_unsure(grid: Grid, table: Table, desk: Desk) -> None:
    """Name exchanges on rows whose cells may stand under the wrong names."""
    date = grid.only("date")
    unsure = {r.line: r.cells for r in table.records if r.line in table.unsure}
    probe = replace(grid, rows=unsure)
    lose_rows(probe, desk, unsure)
    if not any(may_hold_exchange(c) for c in grid.columns):
        return
    for line in sorted(table.shifted):
        cells = unsure.get(line, ())
        others = [c for i, c in enumerate(cells) if not date or i != date.index]
        day = cells[date.index] if date and date.index < len(cells) else ""
        whole = not is_blank(day) and isinstance(read_date(day), BadDate)
        if whole or any(not is_blank(c) for c in others):
            desk.lose(grid.file, line)


def _finished(grid: Grid, desk: Desk) -> Grid:
    """Set rows without a record aside, find the decimal sign, and tell."""
    grid = replace(grid, rows=_without_asides(grid, desk))
    values = (
        words(raw)
        for c in grid.columns
        if c.role in VALUE_ROLES | {"tank volume"}
        for _, raw in grid.cells(c)
    )
    style = number_style(values, semicolons=grid.style.semicolons)
    grid = replace(grid, style=style)
    _note_unknown(grid, desk)
    _note_commas(grid, desk)
    return grid


def _side_by_side(grid: Grid, desk: Desk) -> list[Grid]:
    """Part a table with several columns of days, once it is known how."""
    found = _day_columns(grid)
    if len(found) < 2:
        return [grid]
    first, *later = found
    whole = [replace(c, role="unknown") if c in later else c for c in grid.columns]
    together = replace(grid, columns=tuple(whole))
    days = {line: words(raw) for line, raw in grid.cells(first)}
    later = [
        c for c in later if any(days.get(n) != words(raw) for n, raw in grid.cells(c))
    ]
    if not later:
        return [together]
    answer = _ask_side(grid, desk, later)
    if answer == _WHOLE_ROW:
        return [together]
    cuts = [0, *(c.index for c in later), len(grid.columns)]
    parts = [_part(grid, a, b) for a, b in pairwise(cuts)]
    if answer == _TO_ITS_RIGHT:
        return parts
    for part in parts[1:]:
        lose_rows(part, desk, part.rows)
    return [parts[0]]


def _day_columns(grid: Grid) -> list[Column]:
    """Find the columns of days: by their name, or by holding nothing else."""
    out = []
    for column in grid.having("date", "unknown"):
        reads = [read_date(raw) for _, raw in grid.cells(column)]
        days = [r for r in reads if not isinstance(r, BadDate)]
        plain = [d for d in days if getattr(d.day, "how", "plain") != "serial"]
        if column.role == "date" or (reads and len(plain) == len(reads)):
            out.append(column)
    # A named column of days comes first, wherever it stands.
    return out if any(c.role == "date" for c in out) else []


def _ask_side(grid: Grid, desk: Desk, later: Sequence[Column]) -> str | None:
    column = later[0]
    cells = dict(grid.cells(column))
    line = next(iter(cells))
    return desk.ask(
        "several columns of days",
        grid.place(column, grid.header_line),
        seen=f"days also under {', '.join(clip(c.header) for c in later)}",
        expected="one day for each row",
        mend="answer what the day holds for, or put each table into its own file",
        choices=(
            Choice(
                _TO_ITS_RIGHT,
                "each day holds for the columns to its right",
                f"line {line}: {cells[line]}",
            ),
            Choice(_WHOLE_ROW, "the first day holds for the whole row"),
        ),
        touches=[column.header, *cells.values()],
        lines=list(cells),
    )


def _part(grid: Grid, start: int, stop: int) -> Grid:
    """Cut out the columns of one of several tables that stand side by side."""
    columns = []
    for column in grid.columns:
        inside = start <= column.index < stop
        if inside and column.index == start and start > 0:
            column = replace(column, role="date")
        columns.append(column if inside else replace(column, role="elsewhere"))
    rows = {n: r for n, r in grid.rows.items() if any(c.strip() for c in r[start:stop])}
    return replace(grid, columns=tuple(columns), rows=rows)


def _without_asides(grid: Grid, desk: Desk) -> dict[int, tuple[str, ...]]:
    """Set aside rows of totals and headings; they hold no record."""
    date = grid.only("date")
    if date is None:
        return dict(grid.rows)
    kept: dict[int, tuple[str, ...]] = {}
    totals, headings = [], []
    for line, row in grid.rows.items():
        raw = row[date.index] if date.index < len(row) else ""
        if _is_total(raw, row, date.index):
            totals.append(line)
        elif _is_heading(raw, row, date.index):
            headings.append(line)
        else:
            kept[line] = row
    for lines, kind, what in (
        (totals, "totals row", "a row of totals or averages"),
        (headings, "heading row", "a row with words only"),
    ):
        if lines:
            cells = [c.strip() for c in grid.rows[lines[0]] if c.strip()]
            desk.tell(
                "note",
                kind,
                grid.place(None, lines[0]),
                seen=f"{what}: {clip(', '.join(cells))}",
                expected="one record in each row",
                mend=f"set aside: {some(lines)}",
                lines=lines,
            )
    return kept


def _is_total(raw: str, row: Sequence[str], date: int) -> bool:
    """Tell a row of totals: no date, and a word that says so."""
    text = words(raw)
    if not is_blank(raw):
        return _TOTALS_LONG.fullmatch(text) is not None
    others = (words(c) for i, c in enumerate(row) if i != date)
    return any(_TOTALS.fullmatch(o) for o in others)


def _is_heading(raw: str, row: Sequence[str], date: int) -> bool:
    """Tell a row that holds words in its date cell and nothing else."""
    if is_blank(raw) or any(c.strip() for i, c in enumerate(row) if i != date):
        return False
    numbers = len(re.findall(r"[0-9]{1,4}", words(raw)))
    return numbers < 2 and isinstance(read_date(raw), BadDate)


def _note_unknown(grid: Grid, desk: Desk) -> None:
    """List once the columns that are kept but not used."""
    unknown = [
        c
        for c in grid.columns
        if c.role in {"unknown", "top-up"}
        and c.header.strip()
        and any(True for _ in grid.cells(c))
    ]
    if not unknown:
        return
    names = ", ".join(clip(c.header) for c in unknown[:12])
    more = f" and {len(unknown) - 12} more" if len(unknown) > 12 else ""
    first = unknown[0]
    place = grid.place(first if len(unknown) == 1 else None, grid.header_line)
    desk.tell(
        "note",
        "columns not used",
        place,
        seen=names + more,
        expected=f"columns such as date, nitrate, {RULES['feed'].title}, exchanged",
        mend="nothing to do if they hold other things; else rename them",
    )


def _note_commas(grid: Grid, desk: Desk) -> None:
    """Note once a column that a comma was read as the decimal sign, or a thousand."""
    for column in grid.having(*VALUE_ROLES, "tank volume"):
        cells = {n: words(raw) for n, raw in grid.cells(column)}
        groups = {
            "decimal comma": [
                n for n, c in cells.items() if has_decimal_comma(c, grid.style)
            ],
            "sign between thousands": [n for n, c in cells.items() if groups_of(c)],
        }
        for kind, lines in groups.items():
            if lines:
                _note_sign(grid, desk, column, kind, lines)


def _note_sign(
    grid: Grid, desk: Desk, column: Column, kind: str, lines: Sequence[int]
) -> None:
    raw = dict(grid.cells(column))[lines[0]]
    read = groups_of(words(raw)) if kind != "decimal comma" else None
    desk.tell(
        "note",
        kind,
        grid.place(column, lines[0]),
        seen=clip(raw),
        expected="numbers with a point or a comma before the decimals",
        mend=f"read as {read:,.10g}; {some(lines)}"
        if read
        else f"the comma is read as the decimal sign on {some(lines)}",
        lines=lines,
    )
