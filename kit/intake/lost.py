"""Rows that say an exchange happened although they cannot be read as records."""

from __future__ import annotations

from collections.abc import Iterable

from kit.celltext import is_blank
from kit.intake.amounts import Amount, read_amount
from kit.intake.columns import Column
from kit.intake.desk import Desk
from kit.intake.grid import Grid

__all__ = ["lose_rows", "may_hold_exchange", "names_exchange", "says_exchange"]


def may_hold_exchange(column: Column) -> bool:
    """Tell whether a column holds exchanges, or may hold them once it is settled.

    Parameters
    ----------
    column : Column
        A column as it stands.

    Returns
    -------
    bool
        True for exchanges, and for columns held by a question about them.
    """
    return column.role == "exchange" or (
        column.role == "held" and column.was == "exchange"
    )


def names_exchange(grid: Grid, column: Column, line: int) -> bool:
    """Tell whether one cell says that water was exchanged, or may say it.

    Parameters
    ----------
    grid : Grid
        The table.
    column : Column
        A column of exchanges.
    line : int
        Editor line.

    Returns
    -------
    bool
        False for a blank cell, a "no" and a zero; True for all else.
    """
    row = grid.rows[line]
    raw = row[column.index] if column.index < len(row) else ""
    read = read_amount(raw, grid.style, shares=True)
    if isinstance(read, Amount):
        return read.number > 0
    return read is not None


def says_exchange(grid: Grid, line: int) -> bool:
    """Tell whether a row says that an exchange happened.

    Parameters
    ----------
    grid : Grid
        The table.
    line : int
        Editor line of the row.

    Returns
    -------
    bool
        True when an exchange cell names one, and for any filled row of a file of
        exchanges that does not say none.
    """
    columns = [c for c in grid.columns if may_hold_exchange(c)]
    if any(names_exchange(grid, c, line) for c in columns):
        return True
    if grid.kind != "exchanges":
        return False
    row = grid.rows[line]
    said = any(not is_blank(row[c.index]) for c in columns if c.index < len(row))
    return not said and any(not is_blank(cell) for cell in row)


def lose_rows(grid: Grid, desk: Desk, lines: Iterable[int]) -> None:
    """Name the rows whose exchange has no day.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Takes the places.
    lines : iterable of int
        Editor lines of rows that are not read.
    """
    for line in lines:
        if says_exchange(grid, line):
            desk.lose(grid.file, line)
