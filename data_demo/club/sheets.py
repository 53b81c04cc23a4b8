"""Rows on paper: CSV text whose planted flaws know their line."""

from __future__ import annotations

import csv
import datetime as dt
import io
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["Planted", "Row", "Sheet", "write_text"]


@dataclass(frozen=True, slots=True)
class Planted:
    """A flaw put into a file on purpose, and where it stands."""

    kind: str
    file: str
    line: int
    column: str
    cell: str
    truth: str


@dataclass(slots=True)
class Row:
    """One line, with the moment it belongs to and the flaws it carries."""

    when: tuple[int, int, int]
    cells: dict[str, str]
    flaws: list[tuple[str, str, str]] = field(default_factory=list)

    def flaw(self, kind: str, column: str, truth: str) -> Row:
        """Mark a flaw in one column of this line, with what is true instead."""
        self.flaws.append((kind, column, truth))
        return self


class Sheet:
    """One CSV file in the making.

    Parameters
    ----------
    name : str
        File name.
    header : sequence of str
        Column names, the first being the date.
    delimiter : str
        Comma, or semicolon where numbers have a decimal comma.
    """

    def __init__(self, name: str, header: list[str], delimiter: str = ",") -> None:
        self.name = name
        self.header = header
        self.delimiter = delimiter
        self.rows: list[Row] = []
        self.head_flaws: list[tuple[str, str, str]] = []

    def add(self, start: dt.date, day: int, minute: int | None, **cells: str) -> Row:
        """Add a line for a day and minute; columns are named by their first word."""
        named = {self.header[0]: (start + dt.timedelta(days=day)).isoformat()}
        if minute is not None and "time" in self.header:
            named["time"] = f"{minute // 60:02d}:{minute % 60:02d}"
        for word, text in cells.items():
            named[self.column(word)] = text
        row = Row((day, minute or 0, len(self.rows)), named)
        self.rows.append(row)
        return row

    def head_flaw(self, kind: str, column: str, truth: str) -> None:
        """Mark a column whose header is the flaw."""
        self.head_flaws.append((kind, column, truth))

    def column(self, word: str) -> str:
        """Give the header that begins with a word."""
        return next(h for h in self.header if h.split(" ")[0] == word)

    def ordered(self) -> list[Row]:
        """Give the lines by time."""
        return sorted(self.rows, key=lambda row: row.when)

    def text(self) -> str:
        """Give the file's text."""
        out = io.StringIO()
        pen = csv.writer(out, delimiter=self.delimiter, lineterminator="\n")
        pen.writerow(self.header)
        for row in self.ordered():
            pen.writerow([row.cells.get(h, "") for h in self.header])
        return out.getvalue()

    def planted(self, folder: str) -> list[Planted]:
        """List the flaws, line 1 being the header."""
        file = f"{folder}/{self.name}"
        flaws = [
            Planted(kind, file, 1, column, column, truth)
            for kind, column, truth in self.head_flaws
        ]
        for line, row in enumerate(self.ordered(), start=2):
            for kind, column, truth in row.flaws:
                cell = row.cells.get(column, "")
                flaws.append(Planted(kind, file, line, column, cell, truth))
        return flaws


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 with one newline character on every machine."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode("utf-8"))
