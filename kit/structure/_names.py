"""What is wrong with the names of the columns, and with a file that has none."""

from __future__ import annotations

from collections.abc import Sequence

from kit.findings import Choice, clip
from kit.structure._gather import Gather, some_lines
from kit.structure._kinds import TYPED, fold, holds_date, kind_of
from kit.structure._layout import Block, Layout
from kit.structure._sheet import Table
from kit.structure._tokens import Row

__all__ = ["tell_asides", "tell_names"]

_KEPT = "nothing to do: these rows are set aside and kept"


def tell_asides(layout: Layout, gather: Gather) -> None:
    """Say which rows were set aside, one note for each group."""
    _group(layout.titles, "title rows", "the names of the columns first", gather)
    _group(layout.rulers, "ruler rows", "rows with entries", gather)
    _group(layout.headings, "heading rows", "rows with entries", gather)
    _group(layout.repeats, "repeated header", "the names of the columns once", gather)
    for row in layout.seconds:
        gather.add(
            "error",
            "second header row",
            _shown(row),
            "one row of names, then one row an entry",
            "keep one row of names; this row is left out",
            line=row.line,
        )
    for block in layout.blocks[1:]:
        if block.header is None:
            continue
        gather.add(
            "note",
            "several tables",
            f"a further row of names: {_shown(block.header)}",
            "one table a file",
            "nothing to do: the table is read by itself",
            line=block.header.line,
        )


def _group(rows: Sequence[Row], kind: str, expected: str, gather: Gather) -> None:
    if not rows:
        return
    lines = [row.line for row in rows]
    gather.add(
        "note",
        kind,
        f"{some_lines(lines)}: {_shown(rows[0])}",
        expected,
        _KEPT,
        line=lines[0],
        lines=lines,
    )


def _shown(row: Row) -> str:
    return clip(" | ".join(cell.strip() for cell in row.cells if cell.strip()))


def tell_names(block: Block, table: Table, gather: Gather) -> None:
    """Say what is wrong with a table's names, or that it has none or no records."""
    if block.on_side:
        _on_side(block, gather)
        return
    if table.header_line is None:
        _no_header(block, gather)
        return
    if block.units is not None:
        gather.add(
            "note",
            "units row",
            _shown(block.units),
            "the unit in the name of the column",
            "nothing to do: the row is read as the units of the columns",
            line=block.units.line,
        )
    if not table.records:
        gather.add(
            "note",
            "no records",
            "names of columns and nothing under them",
            "one row an entry",
            "nothing to do if the log is still empty",
            line=table.header_line,
        )
    _duplicates(table, gather)
    _unnamed(table, gather)
    _values_as_names(table, gather)


def _on_side(block: Block, gather: Gather) -> None:
    first = block.rows[0]
    gather.add(
        "error",
        "table on its side",
        f"dates along the first row: {_shown(first)}",
        "one row an entry, the dates under each other",
        "copy the table in the spreadsheet, paste it with rows and columns swapped,"
        " and save it again",
        line=first.line,
    )


def _no_header(block: Block, gather: Gather) -> None:
    first = block.rows[0]
    shown = _shown(first)
    gather.add(
        "question",
        "no header",
        f"a first row that looks like an entry: {shown}",
        "a first row with names, such as date,nitrate (mg/L NO3)",
        "put a row of names on top, or say what this row is",
        line=first.line,
        choices=(
            Choice("entry", "the file has no names; the first row is an entry", shown),
            Choice("names", "the first row holds the names of the columns", shown),
        ),
        touches=first.cells,
    )


def _duplicates(table: Table, gather: Gather) -> None:
    first: dict[str, int] = {}
    for column, name in enumerate(table.header):
        key = fold(name)
        if not key:
            continue
        if key not in first:
            first[key] = column
            continue
        samples = tuple(_sample(table, at) for at in (first[key], column))
        gather.add(
            "question",
            "duplicate column",
            f"the name {clip(name)} twice, in columns {first[key] + 1} and"
            f" {column + 1}",
            "a different name for each column",
            "rename one of them, or say which one to use",
            line=table.header_line,
            at=(name, column),
            choices=(
                Choice("first", f"use column {first[key] + 1}", samples[0]),
                Choice("second", f"use column {column + 1}", samples[1]),
            ),
            touches=samples,
        )


def _sample(table: Table, column: int) -> str:
    for record in table.records:
        if record.cells[column].strip():
            return clip(record.cells[column])
    return ""


def _unnamed(table: Table, gather: Gather) -> None:
    if len(table.unsure) == len(table.records):
        return
    for column, name in enumerate(table.header):
        if name.strip():
            continue
        lines = [r.line for r in table.records if r.cells[column].strip()]
        if not lines:
            continue
        gather.add(
            "note",
            "unnamed column",
            f"cells without a name above them, first {_sample(table, column)}"
            f" ({some_lines(lines)})",
            "a name over every column",
            "name the column if it matters; it is kept but not used",
            line=table.header_line,
            at=("", column),
            lines=[table.header_line or 1, *lines],
        )


def _values_as_names(table: Table, gather: Gather) -> None:
    """Point at names that hold a date or are one, such as ``Note2024-01-01``.

    They come about where the end of the line between names and entries is lost.
    """
    for column, name in enumerate(table.header):
        if not holds_date(name) and kind_of(name) not in TYPED:
            continue
        gather.add(
            "note",
            "value as name",
            f"a name that looks like a value: {clip(name)}",
            "a name of words over every column",
            "nothing to do if that is its name; else put the names in a row of their"
            " own",
            line=table.header_line,
            at=(name, column),
        )
