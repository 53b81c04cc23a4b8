"""Columns that can be taken two ways: decided from their cells, asked, or held."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.columns import Column
from kit.intake.datetext import BadDate, FixedDay, read_date
from kit.intake.desk import LEAVE_OUT, Desk
from kit.intake.grid import Grid
from kit.intake.headers import odd_unit, parse_unit
from kit.units import refusal

__all__ = ["ORDERS", "settled"]

ORDERS: Final[Mapping[str, Literal["before", "after"]]] = {
    **dict.fromkeys(
        ("before", "pre", "before wc", "before water change", "pre wc", "pre-wc"),
        "before",
    ),
    **dict.fromkeys(
        ("after", "post", "after wc", "after water change", "post wc", "post-wc"),
        "after",
    ),
}
"""Cells that say on which side of that day's exchange a test was made."""

_SINGLE: Final = ("time", "tank volume", "tank name", "sample", "drip", "order")
_WHICH: Final = {
    "exchange": "water exchanged",
    "tank volume": "water volume of the tank",
    "feed": "food",
    "nitrate": "nitrate of the tank",
    "note": "notes",
}
_VOLUME: Final = re.compile(
    r"[0-9]{1,6}(?:[.,][0-9]{1,3})? ?"
    r"(?:l|litres?|liters?|(?:us |uk |imp )?gal(?:lons?)?)"
)


def settled(grid: Grid, desk: Desk, twins: Mapping[str, str | None]) -> Grid:
    """Decide every column that its header leaves open.

    Parameters
    ----------
    grid : Grid
        The table with its columns as the headers say.
    desk : Desk
        Where problems go.
    twins : mapping of str to (str or None)
        For doubled headers: which is used, ``"first"`` or a letter; None while open.

    Returns
    -------
    Grid
        Columns in doubt have the role ``"held"``.
    """
    grid = replace(grid, columns=tuple(_chosen(grid.columns, twins)))
    grid = replace(grid, columns=tuple(_one_date(grid)))
    grid = replace(grid, columns=tuple(_dated(grid, desk)))
    return replace(grid, columns=tuple(_settled(grid, desk)))


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
            or column.role in {"unknown", "note", "task", "date"}
            or chosen == column.letter
            or (chosen == "first" and first[name] is column)
        )
        out.append(column if used else column.held())
    return out


def _one_date(grid: Grid) -> list[Column]:
    """Among several columns named like days, leave those that hold no day at all."""
    dates = grid.having("date")
    wordy = [
        c
        for c in dates
        if all(isinstance(read_date(raw), BadDate) for _, raw in grid.cells(c))
    ]
    if len(dates) < 2 or len(wordy) == len(dates):
        return list(grid.columns)
    return [replace(c, role="unknown") if c in wordy else c for c in grid.columns]


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
    columns = [_known_unit(grid, c, desk) for c in columns]
    columns = [_words_only(grid, c) for c in columns]
    columns = [_volume_in_cells(grid, c) for c in columns]
    columns = [_order_in_cells(grid, c) for c in columns]
    grid = replace(grid, columns=tuple(columns))
    for role in _SINGLE:
        same = [c for c in columns if c.role == role]
        if len(same) > 1:
            kept = _one_of(grid, same, role, desk)
            columns = [c.held() if c in same and c is not kept else c for c in columns]
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
    if answer:
        return replace(column, role="unknown")
    return column.held("exchange" if "exchange" in fits else fits[0])


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
    return replace(column, unit=other) if answer else column.held()


def _known_unit(grid: Grid, column: Column, desk: Desk) -> Column:
    """Ask what readings count whose header names a unit that is not known."""
    roles = {"nitrate", "source nitrate", "known"}
    if column.role not in roles or column.unit is not None:
        return column
    odd = odd_unit(column.header, column.below)
    cells = list(grid.cells(column))
    if not odd or not cells:
        return column
    raw = f"line {cells[0][0]}: {cells[0][1]}"
    answer = desk.ask(
        "unit not known",
        grid.place(column, grid.header_line),
        seen=f"{clip(odd)} in the header {clip(column.header)}",
        expected='"mg/L NO3" or "mg/L NO3-N"',
        mend=refusal(odd)
        or "answer what the numbers count, or write the unit in the header",
        choices=(
            Choice("mg/L NO3", "milligrams of nitrate in a litre", raw),
            Choice("mg/L NO3-N", "milligrams of nitrogen in a litre, times 4.4268"),
            LEAVE_OUT,
        ),
        touches=_touched(grid, [column]),
        lines=[n for n, _ in cells],
    )
    unit = parse_unit(answer) if answer and answer != LEAVE_OUT.answer else None
    if unit is not None:
        return replace(column, unit=unit)
    return column.held()


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


def _order_in_cells(grid: Grid, column: Column) -> Column:
    """Take a column of "before" and "after" as the order to the exchange."""
    cells = [words(raw) for _, raw in grid.cells(column)]
    if column.role in {"unknown", "kind"} and cells and all(c in ORDERS for c in cells):
        return replace(column, role="order")
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
