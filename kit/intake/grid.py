"""One table with its columns known: the rows that hold records, and cells by line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kit.celltext import is_blank
from kit.intake.columns import Column
from kit.intake.desk import Place
from kit.numerals import NumberStyle

__all__ = ["Grid"]


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
