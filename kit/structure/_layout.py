"""Rows to blocks: what stands above, between and beside the tables of a file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from kit.structure._header import (
    clashes,
    find_header,
    may_be_names,
    names_date,
    same_names,
    sample_kinds,
    under_header,
)
from kit.structure._kinds import TYPED, Kind, filled, fold, is_ruler, kind_of
from kit.structure._tokens import Row

__all__ = ["Block", "Layout", "arrange"]

_HEADING_CHARS = 60


@dataclass(slots=True)
class Block:
    """One table of the file, still as rows."""

    header: Row | None
    rows: list[Row] = field(default_factory=list)
    units: Row | None = None
    on_side: bool = False


@dataclass(slots=True)
class Layout:
    """The tables of a file and the rows that belong to none."""

    blocks: list[Block]
    titles: list[Row] = field(default_factory=list)
    rulers: list[Row] = field(default_factory=list)
    headings: list[Row] = field(default_factory=list)
    repeats: list[Row] = field(default_factory=list)
    seconds: list[Row] = field(default_factory=list)
    recut: Row | None = None


def arrange(rows: Sequence[Row], recut: Callable[[Row], Row | None]) -> Layout:
    """Sort the rows of a file into tables, and what stands around them.

    Parameters
    ----------
    rows : sequence of Row
        All rows as cut.
    recut : callable
        Gives a row cut by another separator where that makes it as wide as the rest.

    Returns
    -------
    Layout
        Blank rows are left out; no block when nothing is left.
    """
    layout = Layout([])
    kept: list[Row] = []
    for row in rows:
        if not filled(row.cells):
            continue
        if is_ruler(row.cells):
            layout.rulers.append(row)
        else:
            kept.append(row)
    if kept:
        _Walk(kept, layout).run(recut)
    return layout


class _Walk:
    """One pass over the rows, opening a block at each header."""

    def __init__(self, rows: Sequence[Row], layout: Layout) -> None:
        self._rows = rows
        self._layout = layout
        self._kinds: tuple[Kind, ...] = ()
        self._block = Block(None)

    def run(self, recut: Callable[[Row], Row | None]) -> None:
        found = find_header(self._rows)
        header, titles = found.header, found.titles
        if header is None and titles and not found.on_side:
            header = recut(titles[-1])
            if header is not None:
                self._layout.recut = titles.pop()
        self._layout.titles.extend(titles)
        index = self._open(header, found.body)
        self._block.on_side = found.on_side
        self._sort(index)

    def _sort(self, index: int) -> None:
        """Give every row from ``index`` on its place."""
        before = self._rows[index - 1] if index else None
        while index < len(self._rows):
            row = self._rows[index]
            gap = before is not None and row.line > before.last + 1
            before = row
            index += 1
            if kind_of(row.cells[0]) in TYPED:
                self._block.rows.append(row)
            elif self._is_repeat(row):
                self._layout.repeats.append(row)
            elif self._is_heading(row):
                self._layout.headings.append(row)
                before = Row(row.line, -1, ())  # what follows stands apart
            elif self._starts_table(row, index, gap=gap):
                index = self._open(row, index)
                before = self._rows[index - 1]
            else:
                self._block.rows.append(row)

    def _open(self, header: Row | None, body: int) -> int:
        self._block = Block(header)
        self._layout.blocks.append(self._block)
        if header is not None:
            under = under_header(self._rows, body, header)
            self._block.units = under.units
            self._layout.repeats.extend(under.repeats)
            self._layout.seconds.extend(under.seconds)
            body = under.body
        self._kinds = sample_kinds(self._rows, body)
        return body

    def _is_repeat(self, row: Row) -> bool:
        header = self._block.header
        return header is not None and same_names(row.cells, header.cells)

    def _is_heading(self, row: Row) -> bool:
        """Tell a month heading or a closing line: one cell of words, no record."""
        text = row.cells[0].strip()
        return (
            filled(row.cells) == 1
            and (text[:1].isalpha() or text[:1] == "#")
            and len(text) <= _HEADING_CHARS
            and not any(mark in text for mark in "\t;|")
            and not row.faults
            and self._kinds[:1] in (("date",), ("number",))
            and len(self._kinds) > 1
        )

    def _starts_table(self, row: Row, following: int, *, gap: bool) -> bool:
        """Tell whether a row of words is the header of a further table."""
        cells = [cell for cell in row.cells if cell.strip()]
        if len(cells) < 2 or not row.cells[0].strip() or not may_be_names(cells):
            return False
        if len({fold(cell) for cell in cells}) < len(cells):
            return False
        if following < len(self._rows):
            below = self._rows[following].cells
            if not any(kind_of(cell) in TYPED for cell in below):
                return False
        named = names_date(cells)
        apart = gap or len(row.cells) != len(self._kinds)
        clash = clashes(row.cells, self._kinds)
        if named:
            return clash >= 1 or apart
        return clash >= 2 and apart
