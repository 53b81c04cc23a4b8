"""Bytes to a table of text: encoding, delimiter, records with true editor lines.

Column meaning is not decided here; see `kit.intake`.
"""

from __future__ import annotations

from dataclasses import dataclass
from kit.findings import Problem

__all__ = ["Record", "Sheet", "Table"]


@dataclass(frozen=True, slots=True)
class Record:
    """One row of text. ``line`` is the editor line on which it starts."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A header and its records.

    ``header`` is empty when the file shows none (``header_line`` None); ``units``
    are the cells of a units row standing under the header.
    """

    header: tuple[str, ...]
    header_line: int | None
    records: tuple[Record, ...]
    units: tuple[str, ...] = ()
    units_line: int | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file's structure: dialect, tables of text, what was set aside, problems."""

    file: str
    encoding: str
    bom: bool
    delimiter: str
    newline: str
    quote: str
    tables: tuple[Table, ...]
    asides: tuple[Record, ...]
    problems: tuple[Problem, ...]
    sha256: str
