"""Lines to rows of cells, each with the editor line on which it starts.

A quote that is opened and never closed must not swallow the rows under it: a cell
runs over line ends only when it closes cleanly, else its line is read by itself.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from kit.structure._dialect import Dialect, Lines
from kit.structure._kinds import TYPED, kind_of
from kit.structure._limits import Limits

__all__ = ["Fault", "FaultKind", "Row", "tokenize"]

FaultKind = Literal[
    "stray quote",
    "text after quote",
    "unclosed quote",
    "space beside quote",
    "apostrophe quotes",
    "rows in quotes",
]
_LOOK_AHEAD = 20_000  # lines spent in all on quotes that turn out not to close
_WIDE = 4  # in narrower tables a note with commas often looks as wide as a row
_DAMAGE: frozenset[str] = frozenset({"text after quote", "unclosed quote"})


@dataclass(frozen=True, slots=True)
class Fault:
    """A quote out of place: what, in which cell (from 0), on which line, its text."""

    kind: FaultKind
    column: int
    line: int
    text: str

    @property
    def damages(self) -> bool:
        """Tell whether the cells of the row cannot be relied on."""
        return self.kind in _DAMAGE


@dataclass(slots=True)
class Row:
    """Cells of one record, from editor line ``line`` to ``last``."""

    line: int
    last: int
    cells: tuple[str, ...]
    faults: tuple[Fault, ...] = ()

    @property
    def damaged(self) -> bool:
        """Tell whether a quote makes the cells doubtful."""
        return any(fault.damages for fault in self.faults)


def tokenize(lines: Lines, dialect: Dialect, limits: Limits) -> list[Row]:
    """Cut lines into rows.

    Parameters
    ----------
    lines : Lines
        Editor lines.
    dialect : Dialect
        Marks of the file.
    limits : Limits
        How far one cell may run.

    Returns
    -------
    list of Row
        Blank lines are left out.
    """
    if not dialect.delimiter:
        return [
            Row(index + 1, index + 1, (text,))
            for index, text in enumerate(lines.texts)
            if text and index >= dialect.hint_lines
        ]
    return _Tokenizer(lines, dialect, limits).rows()


@dataclass(slots=True)
class _Scan:
    """Cells found in a text; ``open_at`` is where a quote was still open."""

    cells: list[str]
    faults: list[Fault]
    open_at: int = -1

    def row(self, line: int, last: int) -> Row:
        return Row(line, last, tuple(self.cells), tuple(self.faults))


class _Tokenizer:
    def __init__(self, lines: Lines, dialect: Dialect, limits: Limits) -> None:
        self._lines = lines
        self._dialect = dialect
        self._limits = limits
        self._budget = _LOOK_AHEAD
        self._inside = _inside(dialect.quote, backslash=dialect.backslash)
        # A row far too long is wrong anyway: its rest stays in one last cell.
        self._most = 4 * limits.columns

    def rows(self) -> list[Row]:
        delimiter, quote = self._dialect.delimiter, self._dialect.quote
        texts = self._lines.texts
        most = self._most
        rows: list[Row] = []
        index = self._dialect.hint_lines
        while index < len(texts):
            text = texts[index]
            if quote in text:
                row = self._quoted_row(index)
                rows.append(row)
                index = row.last
                continue
            if text:
                rows.append(
                    Row(index + 1, index + 1, tuple(text.split(delimiter, most)))
                )
            index += 1
        return rows

    def _quoted_row(self, index: int) -> Row:
        text = self._lines.texts[index]
        scan = self._scan(text, index, last=False)
        if scan.open_at < 0:
            return scan.row(index + 1, index + 1)
        joined = self._joined(index, scan)
        if joined is not None:
            return joined
        scan = self._scan(text, index, last=True)
        return scan.row(index + 1, index + 1)

    def _joined(self, index: int, first: _Scan) -> Row | None:
        """Read on over line ends while a quote is open; None unless it closes well."""
        if any(fault.damages for fault in first.faults):
            return None
        texts, quote = self._lines.texts, self._dialect.quote
        pieces = [texts[index]]
        size = len(pieces[0])
        end = min(len(texts), index + self._limits.span_lines, index + self._budget)
        for following in range(index + 1, end):
            pieces.append(self._lines.end(following - 1))
            pieces.append(texts[following])
            size += len(texts[following]) + 1
            if size > self._limits.cell_chars * 2:
                break
            if quote not in texts[following].replace(quote + quote, ""):
                continue
            scan = self._scan("".join(pieces), index, last=False)
            if scan.open_at >= 0:
                continue
            if scan.faults == first.faults and self._fits(scan, index, following):
                row = scan.row(index + 1, following + 1)
                return self._doubted(row, index, following)
            break
        self._budget = max(2, self._budget - len(pieces) // 2)
        return None

    def _fits(self, scan: _Scan, index: int, following: int) -> bool:
        """Tell a note of several lines from rows swallowed by one quote too many."""
        alike = self._like_rows(index, following)
        if any(kind_of(first) in TYPED for first in alike):
            return False
        return not alike or self._dialect.width in (1, len(scan.cells))

    def _like_rows(self, index: int, following: int) -> list[str]:
        """Give the first cells of lines in quotes that are as wide as a row."""
        delimiter, due = self._dialect.delimiter, self._dialect.width - 1
        lines = self._lines.texts[index + 1 : following + 1]
        wide = [text for text in lines if due > 0 and text.count(delimiter) == due]
        firsts = [text.split(delimiter, 1)[0] for text in wide]
        return [first for first in firsts if self._dialect.quote not in first]

    def _doubted(self, row: Row, index: int, following: int) -> Row:
        if self._dialect.width >= _WIDE and self._like_rows(index, following):
            column = next(i for i, cell in enumerate(row.cells) if _runs_over(cell))
            text = row.cells[column][:80]
            row.faults = (*row.faults, Fault("rows in quotes", column, row.line, text))
        return row

    def _scan(self, text: str, index: int, *, last: bool) -> _Scan:
        """Cut a text into cells; with ``last`` an open quote counts as a letter."""
        delimiter, quote = self._dialect.delimiter, self._dialect.quote
        scan = _Scan([], [])
        position, size = 0, len(text)
        while True:
            if len(scan.cells) >= self._most:
                scan.cells.append(text[position:])
                return scan
            start = _opening(text, position, quote)
            if start >= 0:
                stop = self._quoted_cell(text, (position, start), index, scan, last)
                if stop < 0:
                    scan.open_at = start
                    return scan
            else:
                stop = text.find(delimiter, position)
                stop = size if stop < 0 else stop
                cell = text[position:stop]
                if quote in cell and not _between_letters(cell, quote):
                    self._fault(scan, "stray quote", index, text, position, cell)
                scan.cells.append(cell)
            if stop >= size:
                return scan
            position = stop + 1

    def _quoted_cell(
        self, text: str, at: tuple[int, int], index: int, scan: _Scan, last: bool
    ) -> int:
        """Add the cell whose quote opens at ``at[1]``; give where it stops, or -1."""
        position, start = at
        delimiter = self._dialect.delimiter
        close = self._closing(text, start + 1)
        if close < 0 and not last:
            return -1
        after = close + 1
        while close >= 0 and text.startswith(" ", after) and delimiter != " ":
            after += 1
        if close >= 0 and (after == len(text) or text.startswith(delimiter, after)):
            if start > position or after > close + 1:
                cell = text[position:after]
                self._fault(scan, "space beside quote", index, text, position, cell)
            scan.cells.append(self._inner(text[start + 1 : close]))
            return after
        kind: FaultKind = "unclosed quote" if close < 0 else "text after quote"
        stop = text.find(delimiter, position)
        stop = len(text) if stop < 0 else stop
        self._fault(scan, kind, index, text, position, text[position:stop])
        scan.cells.append(text[position:stop])
        return stop

    def _closing(self, text: str, start: int) -> int:
        """Give where the quote that ends a cell stands, or -1 if it stays open."""
        inside = self._inside.match(text, start)
        end = inside.end() if inside else start
        return end if text.startswith(self._dialect.quote, end) else -1

    def _inner(self, cell: str) -> str:
        quote = self._dialect.quote
        if self._dialect.backslash:
            cell = cell.replace("\\" + quote, quote)
        return cell.replace(quote + quote, quote)

    def _fault(
        self,
        scan: _Scan,
        kind: FaultKind,
        index: int,
        text: str,
        position: int,
        cell: str,
    ) -> None:
        line = index + 1
        if _runs_over(text):
            before = text[:position]
            line += before.count("\n") + before.count("\r") - before.count("\r\n")
        scan.faults.append(Fault(kind, len(scan.cells), line, cell[:80]))


def _opening(text: str, position: int, quote: str) -> int:
    """Give where a cell's opening quote stands, after spaces at most; else -1."""
    while text.startswith(" ", position):
        position += 1
    return position if text.startswith(quote, position) else -1


def _runs_over(cell: str) -> bool:
    return "\n" in cell or "\r" in cell


def _inside(quote: str, *, backslash: bool) -> re.Pattern[str]:
    """Match what may stand inside quotes; it never has to step back."""
    if backslash:
        return re.compile(
            rf"[^{quote}\\]*+(?:(?:\\.|{quote}{quote})[^{quote}\\]*+)*+", re.DOTALL
        )
    return re.compile(f"[^{quote}]*+(?:{quote}{quote}[^{quote}]*+)*+")


def _between_letters(cell: str, quote: str) -> bool:
    """Tell an apostrophe inside a word from a quote, where apostrophes quote."""
    if quote != "'":
        return False
    parts: Sequence[str] = cell.split(quote)
    return all(
        left[-1:].isalnum() and right[:1].isalnum() for left, right in pairwise(parts)
    )
