"""The shape of a file once read: records, tables, and the sheet that holds them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kit.findings import Problem

__all__ = ["Record", "Sheet", "Table", "sheet_as_dict"]


@dataclass(frozen=True, slots=True)
class Record:
    """One row of text. ``line`` is the editor line on which it starts."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A header and its records.

    ``header`` is empty when the file shows none (``header_line`` None); ``units``
    are the cells of a units row standing under the header. ``unsure`` holds the
    lines of records named by an error: their cells may stand under the wrong name,
    so whoever reads values has to leave those rows out. ``shifted`` are those among
    them whose cells were lost, or may stand in another column.
    """

    header: tuple[str, ...]
    header_line: int | None
    records: tuple[Record, ...]
    units: tuple[str, ...] = ()
    units_line: int | None = None
    unsure: frozenset[int] = frozenset()
    shifted: frozenset[int] = frozenset()


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


def sheet_as_dict(sheet: Sheet) -> dict[str, Any]:
    """Give a sheet as plain JSON values.

    Parameters
    ----------
    sheet : Sheet
        What `read_sheet` or `parse_sheet` returned.

    Returns
    -------
    dict
        ``encoding``, ``delimiter``, ``header``, ``header_line``, ``rows``, ``lines``
        of the first table, ``tables`` for all of them when there are several, and
        ``problems``.
    """
    tables = [_table_as_dict(table) for table in sheet.tables]
    first = tables[0] if tables else _table_as_dict(Table((), None, ()))
    out: dict[str, Any] = {
        "file": sheet.file,
        "encoding": sheet.encoding,
        "delimiter": sheet.delimiter,
        **first,
        "asides": [[aside.line, *aside.cells] for aside in sheet.asides],
        "problems": [problem.as_dict() for problem in sheet.problems],
    }
    if len(tables) > 1:
        out["tables"] = tables
    return out


def _table_as_dict(table: Table) -> dict[str, Any]:
    return {
        "header": list(table.header),
        "header_line": table.header_line,
        "units": list(table.units),
        "rows": [list(record.cells) for record in table.records],
        "lines": [record.line for record in table.records],
        "unsure": sorted(table.unsure),
    }
