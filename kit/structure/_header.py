"""Where the names of the columns stand, and what stands above and under them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from kit.structure._kinds import (
    TYPED,
    Kind,
    column_kinds,
    filled,
    fold,
    is_unit,
    kind_of,
    reads_as_data,
    role_of,
)
from kit.structure._tokens import Row

__all__ = [
    "Found",
    "Under",
    "clashes",
    "find_header",
    "may_be_names",
    "names_date",
    "same_names",
    "sample_kinds",
    "under_header",
]

_LOOK = 200  # rows searched for the header
_PAST = 10  # rows of title text with dates or numbers in them
_NAME_CHARS = 60
_ENOUGH = 2  # records that show a row of words to be no record
_UNIT_CHARS = 20
_UNIT_SIGNS = re.compile(r"[/%°(\[]")
_SAMPLE = 60  # records that show what a column holds


@dataclass(frozen=True, slots=True)
class Found:
    """Rows above the header, the header (None when there is none), first record."""

    titles: list[Row]
    header: Row | None
    body: int
    on_side: bool = False


@dataclass(slots=True)
class Under:
    """What stands right under a header: a units row, more header rows."""

    body: int
    units: Row | None = None
    repeats: list[Row] = field(default_factory=list)
    seconds: list[Row] = field(default_factory=list)


def find_header(rows: Sequence[Row]) -> Found:
    """Find the names of the columns among the first rows.

    Parameters
    ----------
    rows : sequence of Row
        Rows that are not blank.

    Returns
    -------
    Found
        ``header`` is None when the first full row already looks like a record.
    """
    look = rows[:_LOOK]
    at = _first_full(look)
    if at is None:
        at = 0
    if _lies_on_side(look[at]):
        return Found(list(rows[:at]), None, at, on_side=True)
    later = None if names_date(look[at].cells) else _named_later(look, at)
    if later is not None:
        at = later
    elif reads_as_data(look[at].cells) or _continues_below(look, at):
        return Found(list(rows[:at]), None, at)
    while at + 1 < len(look) and _names_better(look[at + 1], look[at]):
        at += 1
    return Found(list(rows[:at]), look[at], at + 1)


def _first_full(look: Sequence[Row]) -> int | None:
    """Give the first row that fills at least half of the columns in use."""
    lengths = Counter(len(row.cells) for row in look if len(row.cells) > 1)
    if not lengths:
        return None
    width = max(lengths.items(), key=lambda item: (item[1], item[0]))[0]
    full = [row for row in look if len(row.cells) == width]
    used = sum(
        1
        for column in range(width)
        if 10 * sum(1 for row in full if row.cells[column].strip()) >= 3 * len(full)
    )
    for index, row in enumerate(look):
        count = filled(row.cells)
        if count >= 2 and (2 * count >= used or names_date(row.cells)):
            return index
    return None


def _lies_on_side(row: Row) -> bool:
    """Tell whether dates run along the first row."""
    rest = [kind_of(cell) for cell in row.cells[1:] if cell.strip()]
    return (
        len(rest) >= 2
        and kind_of(row.cells[0]) in ("text", "blank")
        and 5 * rest.count("date") >= 4 * len(rest)
    )


def _continues_below(look: Sequence[Row], at: int) -> bool:
    """Tell whether a number among words stands over a column of numbers."""
    cells = look[at].cells
    if all(kind_of(cell) not in TYPED for cell in cells):
        return False
    below = sample_kinds(look, at + 1)
    return any(
        kind in TYPED and kind_of(cell) == kind
        for cell, kind in zip(cells, below, strict=False)
    )


def _named_later(look: Sequence[Row], at: int) -> int | None:
    """Give a later row that names a date, if only pairs of words stand before it."""
    for index in range(at, min(len(look), at + _PAST)):
        row = look[index]
        if index > at and _is_named(row):
            return index
        titled = filled(row.cells) <= 2 or _is_known(look[index + 1 : index + 2])
        if not titled or kind_of(row.cells[0]) != "text":
            return None
    return None


def _is_named(row: Row) -> bool:
    return (
        filled(row.cells) >= 2
        and names_date(row.cells)
        and not reads_as_data(row.cells)
    )


def _is_known(rows: Sequence[Row]) -> bool:
    """Tell a row of names of which at least a date and one more are known words."""
    return any(
        _is_named(row) and sum(role_of(c) is not None for c in row.cells) >= 2
        for row in rows
    )


def _names_better(below: Row, above: Row) -> bool:
    """Tell whether the row under a text row is the header rather than that row."""
    if filled(below.cells) < 2 or reads_as_data(below.cells):
        return False
    if _is_units(below):
        return False
    if names_date(above.cells):
        return False
    return names_date(below.cells) or filled(below.cells) > filled(above.cells)


def names_date(cells: Sequence[str]) -> bool:
    """Tell whether one of the names is that of a date column."""
    return any(role_of(cell) == "date" for cell in cells)


def may_be_names(cells: Sequence[str]) -> bool:
    """Tell whether each cell could be a name: short words, none led by a digit.

    A record cut by the wrong separator leaves long pieces, or pieces led by a date.
    """
    return all(
        len(text) <= _NAME_CHARS and not text[:1].isdigit() and kind_of(text) == "text"
        for text in (cell.strip() for cell in cells)
        if text
    )


def same_names(one: Sequence[str], other: Sequence[str]) -> bool:
    """Tell whether two rows hold the same names, case and blanks aside."""
    return [fold(c) for c in one if c.strip()] == [fold(c) for c in other if c.strip()]


def sample_kinds(rows: Sequence[Row], start: int) -> tuple[Kind, ...]:
    """Tell what the columns of the records from ``start`` on hold.

    The sample ends where a row of words follows rows with dates or numbers, since
    that may be the header of another table.
    """
    sample: list[tuple[str, ...]] = []
    for row in rows[start : start + _SAMPLE]:
        typed = any(kind_of(cell) in TYPED for cell in row.cells)
        if sample and not typed and filled(row.cells) >= 2:
            break
        if typed:
            sample.append(row.cells)
    if not sample:
        return ()
    width = Counter(len(cells) for cells in sample).most_common(1)[0][0]
    return column_kinds(sample, width)


def clashes(cells: Sequence[str], kinds: Sequence[Kind]) -> int:
    """Count words that stand in columns of dates, times or numbers."""
    return sum(
        1
        for cell, kind in zip(cells, kinds, strict=False)
        if kind in TYPED and kind_of(cell) == "text"
    )


def under_header(rows: Sequence[Row], start: int, header: Row) -> Under:
    """Read what stands between a header and its first record.

    Parameters
    ----------
    rows : sequence of Row
        Rows that are not blank.
    start : int
        Position of the first row under the header.
    header : Row
        The header.

    Returns
    -------
    Under
        ``body`` is the position of the first record.
    """
    under = Under(start)
    for index in range(start, min(len(rows), start + 4)):
        row = rows[index]
        if same_names(row.cells, header.cells):
            under.repeats.append(row)
        elif under.units is None and _is_units(row):
            under.units = row
        elif _is_second(rows, index):
            under.seconds.append(row)
        else:
            break
        under.body = index + 1
    return under


def _is_units(row: Row) -> bool:
    """Tell a row of units alone, most of them known, the others looking like some."""
    cells = [cell for cell in row.cells if cell.strip()]
    units = sum(1 for cell in cells if is_unit(cell))
    return 2 * units > len(cells) and all(
        is_unit(cell) or (len(cell) <= _UNIT_CHARS and _UNIT_SIGNS.search(cell))
        for cell in cells
    )


def _is_second(rows: Sequence[Row], index: int) -> bool:
    """Tell whether a row of words stands over columns that hold none."""
    cells = rows[index].cells
    below = rows[index + 1 : index + 1 + _ENOUGH]
    if not may_be_names(cells) or len(below) < _ENOUGH:
        return False
    return clashes(cells, sample_kinds(rows, index + 1)) >= 2
