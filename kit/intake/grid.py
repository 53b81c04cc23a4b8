"""One table with its columns settled: the rows that hold records, and cells by line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from kit.celltext import is_blank, words
from kit.findings import Choice, clip
from kit.intake.cells import RULES
from kit.intake.columns import VALUE_ROLES, Column, columns_of
from kit.intake.datecolumn import some
from kit.intake.datetext import BadDate, FixedDay, read_date
from kit.intake.desk import Desk, Place
from kit.numerals import NumberStyle, number_style
from kit.structure import Table

__all__ = ["Grid", "grid_of"]

_TOTALS: Final = re.compile(
    r"(?:grand |sub ?)?(?:totals?|sums?|averages?|avg\.?|means?|medians?|minimum|min|"
    r"maximum|max|counts?|std ?dev|stdev|summary|overall)[:.]?"
)
_TOTALS_LONG: Final = re.compile(_TOTALS.pattern + r"(?:[ :(].{0,60})?")
_VOLUME: Final = re.compile(
    r"[0-9]{1,6}(?:[.,][0-9]{1,3})? ?"
    r"(?:l|litres?|liters?|(?:us |uk |imp )?gal(?:lons?)?)"
)
_COMMA: Final = re.compile(r",[0-9]")
_SINGLE: Final = ("time", "tank volume", "tank name", "sample", "drip")
_WHICH: Final = {
    "exchange": "water exchanged",
    "tank volume": "water volume of the tank",
    "feed": "food",
    "nitrate": "nitrate of the tank",
}


@dataclass(frozen=True, slots=True)
class Grid:
    """A table whose columns are known.

    Parameters
    ----------
    file, kind : str
        File name, and what the file holds by its name.
    columns : tuple of Column
        One for each header.
    rows : mapping of int to tuple of str
        Editor line to cells, for rows that hold a record.
    style : NumberStyle
        What the cells show about the decimal sign.
    header_line : int or None
        Editor line of the header.
    """

    file: str
    kind: str
    columns: tuple[Column, ...]
    rows: Mapping[int, tuple[str, ...]]
    style: NumberStyle
    header_line: int | None

    def having(self, *roles: str) -> tuple[Column, ...]:
        """Give the columns with one of some roles, left to right."""
        return tuple(c for c in self.columns if c.role in roles)

    def only(self, role: str) -> Column | None:
        """Give the one column of a role, or None."""
        found = self.having(role)
        return found[0] if found else None

    def place(self, column: Column | None, line: int | None = None) -> Place:
        """Give the place of a cell for a problem."""
        if column is None:
            return Place(self.file, line)
        return Place(self.file, line, column.header or None, column.letter)

    def cells(self, column: Column | None) -> Iterator[tuple[int, str]]:
        """Go through the filled cells of a column, with their lines."""
        if column is not None:
            for line, row in self.rows.items():
                raw = row[column.index] if column.index < len(row) else ""
                if not is_blank(raw):
                    yield line, raw

    def text(self, column: Column | None, line: int) -> str:
        """Give a free-text cell; one apostrophe guarding a formula sign goes."""
        row = self.rows[line]
        if column is None or column.index >= len(row):
            return ""
        raw = row[column.index].strip()
        return raw[1:] if re.match(r"'[=+\-@\t\r\0]", raw) else raw


def grid_of(
    table: Table,
    file: str,
    kind: str,
    desk: Desk,
    twins: Mapping[str, str | None] | None = None,
) -> Grid:
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

    Returns
    -------
    Grid
        Columns in doubt have the role ``"held"``.
    """
    columns = columns_of(table, kind)
    records = {
        r.line: r.cells
        for r in table.records
        if r.line not in table.unsure and any(c.strip() for c in r.cells)
    }
    columns = tuple(_chosen(columns, twins or {}))
    grid = Grid(file, kind, columns, records, NumberStyle(), table.header_line)
    grid = replace(grid, columns=tuple(_dated(grid, desk)))
    grid = replace(grid, columns=tuple(_settled(grid, desk)))
    grid = replace(grid, rows=_without_asides(grid, desk))
    values = (
        words(raw)
        for c in grid.columns
        if c.role in VALUE_ROLES | {"tank volume"}
        for _, raw in grid.cells(c)
    )
    grid = replace(grid, style=number_style(values))
    _note_unknown(grid, desk)
    _note_commas(grid, desk)
    return grid


def _chosen(columns: Sequence[Column], twins: Mapping[str, str | None]) -> list[Column]:
    """Hold columns with doubled headers, but the one that was chosen."""
    first: dict[str, Column] = {}
    out = []
    for column in columns:
        name = words(column.header)
        first.setdefault(name, column)
        chosen = twins.get(name)
        used = (
            name not in twins
            or column.role in {"unknown", "note", "task"}
            or chosen == column.letter
            or (chosen == "first" and first[name] is column)
        )
        out.append(column if used else replace(column, role="held"))
    return out


def _dated(grid: Grid, desk: Desk) -> list[Column]:
    """Where no header names the days, take the one column that holds only dates."""
    if grid.having("date", "held"):
        return list(grid.columns)
    dates = []
    for column in grid.having("unknown", "note", "sample", "which?"):
        cells = [raw for _, raw in grid.cells(column)]
        if cells and not any(_no_day(raw) for raw in cells):
            dates.append(column)
    if len(dates) != 1:
        return list(grid.columns)
    found = dates[0]
    desk.tell(
        "note",
        "date column by its cells",
        grid.place(found, grid.header_line),
        seen=f"the header {clip(found.header)} over days only",
        expected='a column named "date"',
        mend="taken as the date of each row",
    )
    return [replace(c, role="date") if c is found else c for c in grid.columns]


def _no_day(raw: str) -> bool:
    """Tell a cell that is no written-out day; a mere count of days is none."""
    read = read_date(raw)
    if isinstance(read, BadDate):
        return True
    return isinstance(read.day, FixedDay) and read.day.how == "serial"


def _settled(grid: Grid, desk: Desk) -> list[Column]:
    """Decide columns that can be taken two ways, or hold them."""
    columns = list(grid.columns)
    columns = [_which(grid, c, desk) if c.role == "which?" else c for c in columns]
    columns = [_one_unit(grid, c, desk) if c.other_unit else c for c in columns]
    columns = [_words_only(grid, c) for c in columns]
    columns = [_volume_in_cells(grid, c) for c in columns]
    grid = replace(grid, columns=tuple(columns))
    for role in _SINGLE:
        same = [c for c in columns if c.role == role]
        if len(same) > 1:
            kept = _one_of(grid, same, role, desk)
            columns = [
                replace(c, role="held") if c in same and c is not kept else c
                for c in columns
            ]
    return columns


def _touched(grid: Grid, columns: Iterable[Column]) -> list[str]:
    return [raw for c in columns for _, raw in (("", c.header), *grid.cells(c))]


def _which(grid: Grid, column: Column, desk: Desk) -> Column:
    """Ask what a column such as "Amount" or "Volume (L)" holds."""
    cells = list(grid.cells(column))
    if not cells:
        return replace(column, role="unknown")
    fits = {
        "volume": ("exchange", "tank volume"),
        "percent": ("exchange",),
        "fraction": ("exchange",),
        "mass": ("feed",),
        "nitrate": ("nitrate",),
    }.get(column.measure or "", tuple(_WHICH))
    answer = desk.ask(
        "meaning of a column",
        grid.place(column, grid.header_line),
        seen=f"the header {clip(column.header)}",
        expected="a header that says what is counted, such as "
        '"exchanged (L)" or "nitrate (mg/L NO3)"',
        mend="answer what the column holds, or rename it",
        choices=[
            *(Choice(r, _WHICH[r], f"line {cells[0][0]}: {cells[0][1]}") for r in fits),
            Choice("something else", "the column is not used"),
        ],
        touches=_touched(grid, [column]),
        lines=[line for line, _ in cells],
    )
    if answer in _WHICH:
        return replace(column, role=answer)
    return replace(column, role="unknown" if answer else "held")


def _one_unit(grid: Grid, column: Column, desk: Desk) -> Column:
    """Ask which unit holds when header and units row say different ones."""
    other = column.other_unit
    if other is None or column.unit is None:
        return column
    answer = desk.ask(
        "two units for a column",
        grid.place(column, grid.header_line),
        seen=f"{clip(column.unit.text)} in the header, {clip(other.text)} below it",
        expected="one unit",
        mend="answer which holds, or delete the other",
        choices=(
            Choice("header", f"the values are in {column.unit.text}"),
            Choice("row below", f"the values are in {other.text}"),
        ),
        touches=_touched(grid, [column]),
        lines=[line for line, _ in grid.cells(column)],
    )
    if answer == "header":
        return column
    return replace(column, unit=other) if answer else replace(column, role="held")


def _words_only(grid: Grid, column: Column) -> Column:
    """Take a food column without any number as the kind of food."""
    if column.role != "feed" or column.unit is not None:
        return column
    cells = [words(raw) for _, raw in grid.cells(column)]
    amounts = [c for c in cells if re.search(r"[0-9]|pinch|^(?:x|y|yes|✓|✔)$", c)]
    if cells and not amounts:
        return replace(column, role="food kind")
    return column


def _volume_in_cells(grid: Grid, column: Column) -> Column:
    """Take a column named "tank" as its volume when every cell is one, as "120 L"."""
    cells = [words(raw) for _, raw in grid.cells(column)]
    if column.role == "tank name" and cells and all(map(_VOLUME.fullmatch, cells)):
        return replace(column, role="tank volume")
    return column


def _one_of(grid: Grid, same: Sequence[Column], role: str, desk: Desk) -> Column | None:
    """Ask which of several columns with one meaning is used."""
    filled = [c for c in same if any(True for _ in grid.cells(c))]
    if len(filled) < 2:
        return filled[0] if filled else same[0]
    answer = desk.ask(
        "two columns with one meaning",
        grid.place(filled[1], grid.header_line),
        seen=" and ".join(clip(c.header) for c in filled),
        expected=f"one column for: {role}",
        mend="answer which is used, or delete the other",
        choices=[Choice(f"column {c.letter}", f"use {c.header}") for c in filled],
        touches=_touched(grid, filled),
    )
    return next((c for c in filled if answer == f"column {c.letter}"), None)


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
        if c.role in {"unknown", "top-up"} and any(True for _ in grid.cells(c))
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
    """Note once that a comma was read as the decimal sign."""
    if not grid.style.comma or grid.style.clashes:
        return
    for column in grid.having(*VALUE_ROLES, "tank volume"):
        lines = [n for n, raw in grid.cells(column) if _COMMA.search(words(raw))]
        if lines and desk.first_time("decimal comma", grid.file):
            desk.tell(
                "note",
                "decimal comma",
                grid.place(column, lines[0]),
                seen=clip(dict(grid.cells(column))[lines[0]]),
                expected="numbers with a point or a comma before the decimals",
                mend=f"the comma is read as the decimal sign on {some(lines)}",
                lines=lines,
            )
