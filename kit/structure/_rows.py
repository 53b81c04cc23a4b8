"""Blocks to tables: every row under the right names, or named as doubtful."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kit.findings import clip
from kit.structure._dialect import CANDIDATES, DELIMITER_NAMES, width_of
from kit.structure._frame import Frame, Workshop, decimal_comma, settle_frame
from kit.structure._kinds import TYPED, kind_of, role_of
from kit.structure._layout import Block
from kit.structure._sheet import Record, Table
from kit.structure._tokens import FaultKind, Row

__all__ = ["build_table"]

# What is expected and how to mend it, for each quote out of place.
_FAULTS: dict[FaultKind, tuple[str, str]] = {
    "unclosed quote": (
        "a second quote where the cell ends",
        "close the quote, or delete it; this row is left out",
    ),
    "text after quote": (
        "a separator right after the closing quote",
        "delete the quote too many, or double it inside the text; this row is left out",
    ),
    "stray quote": (
        "quotes round the whole cell or none",
        "nothing to do if the mark belongs to the text; else delete it",
    ),
    "rows in quotes": (
        "a note of words between quotes",
        "nothing to do if these lines are one note; else delete the quotes",
    ),
}


# "Jan 4, 2026" cut in two at its comma.
_DAY_WITH_COMMA = re.compile(r"[^\W\d_]{3,9}\.? [0-9]{1,2}, ?[0-9]{4}")


def build_table(block: Block, shop: Workshop) -> Table:
    """Put a block's rows under its names.

    Parameters
    ----------
    block : Block
        Header and rows of one table.
    shop : Workshop
        Where problems go, and the marks of the file.

    Returns
    -------
    Table
        Every row is present, padded or cut to the width of the table.
    """
    frame = settle_frame(block, shop)
    unsure: set[int] = set()
    shifted: set[int] = set()
    records: list[Record] = []
    for row in block.rows:
        if not _check(row, frame, block, shop):
            unsure.add(row.line)
            if row.damaged or len(row.cells) != frame.expected:
                shifted.add(row.line)
        records.append(_record(row, frame))
    if frame.all_unsure:
        unsure.update(record.line for record in records)
        shifted.update(unsure)
    header, units = block.header, block.units
    return Table(
        header=tuple(frame.names) if header else (),
        header_line=header.line if header else None,
        records=tuple(records),
        units=_padded(units.cells, frame.width) if units else (),
        units_line=units.line if units else None,
        unsure=frozenset(unsure),
        shifted=frozenset(shifted),
    )


def _padded(cells: Sequence[str], width: int) -> tuple[str, ...]:
    return (*cells[:width], *[""] * (width - len(cells)))


def _record(row: Row, frame: Frame) -> Record:
    if len(row.cells) == frame.width:
        return Record(row.line, row.cells)
    return Record(row.line, _padded(row.cells, frame.width))


def _check(row: Row, frame: Frame, block: Block, shop: Workshop) -> bool:
    """Tell whether the cells of a row can be relied on; say why when not."""
    sound = not row.damaged
    length = len(row.cells)
    if row.faults:
        _tell_faults(row, frame, shop)
    if length == frame.expected:
        if frame.kinds[:1] == ("date",) and kind_of(row.cells[0]) == "text":
            sound = not _other_mark(row, frame, shop) and sound
    elif length < frame.expected:
        sound = _short(row, frame, block, shop) and sound
    elif _padded_out(row.cells, frame):
        _note_padding(row, frame, shop)
    else:
        _long(row, frame, block, shop)
        sound = False
    if shop.unsure and not shop.unsure.isdisjoint(range(row.line, row.last + 1)):
        sound = False
    return _sizes_right(row, frame, shop) and sound


def _at(frame: Frame, column: int) -> tuple[str, int]:
    name = frame.names[column] if column < len(frame.names) else ""
    return name, column


def _tell_faults(row: Row, frame: Frame, shop: Workshop) -> None:
    for fault in row.faults:
        if fault.kind not in _FAULTS:
            continue  # told once for the whole file
        expected, mend = _FAULTS[fault.kind]
        shop.gather.add(
            "error" if fault.damages else "note",
            fault.kind,
            clip(fault.text),
            expected,
            mend,
            line=fault.line,
            at=_at(frame, fault.column),
        )


def _short(row: Row, frame: Frame, block: Block, shop: Workshop) -> bool:
    """Judge a row with too few cells; True when its cells stand where they should."""
    length = len(row.cells)
    tail_blank = frame.used <= length and bool(row.cells[frame.used - 1].strip())
    in_place = _in_place(row.cells, frame)
    if frame.used < frame.expected and tail_blank and in_place:
        return True
    if _other_mark(row, frame, shop):
        return False
    lost = range(length, frame.expected)
    sure = (
        in_place
        and block.header is not None
        and all(_note_like(frame, column) for column in lost)
        and _ends_surely(row.cells, frame)
    )
    names = ", ".join(_name_at(frame, column) for column in lost[:4])
    shop.gather.add(
        "note" if sure else "error",
        "short row",
        f"{length} cell{'s' if length > 1 else ''} where {frame.expected} are due;"
        f" nothing for {names}",
        f"{frame.expected} cells, with separators for blank ones too",
        "nothing to do if those cells are blank"
        if sure
        else "add the missing separator where the cell is blank; this row is left out",
        line=row.line,
        lines=[block.header.line, row.line] if block.header else [row.line],
    )
    return sure


def _in_place(cells: Sequence[str], frame: Frame) -> bool:
    """Tell whether every cell looks like those of its column."""
    return all(
        kind not in TYPED or kind_of(cell) in (kind, "blank", "missing")
        for cell, kind in zip(cells, frame.kinds, strict=False)
    )


def _ends_surely(cells: Sequence[str], frame: Frame) -> bool:
    """Tell whether a separator lost further left would show at the end of the row.

    It would move the note into the last cell. Where that is a date, time or number
    it shows; where no such column stands after the first, only words can move.
    """
    last = len(cells) - 1
    kinds = frame.kinds
    if not cells[last].strip() or last >= len(kinds):
        return False
    return kinds[last] in TYPED or not TYPED.intersection(kinds[1:])


def _name_at(frame: Frame, column: int) -> str:
    name = frame.names[column] if column < len(frame.names) else ""
    return clip(name) if name.strip() else f"column {column + 1}"


def _note_like(frame: Frame, column: int) -> bool:
    name = frame.names[column] if column < len(frame.names) else ""
    if role_of(name) == "note":
        return True
    kind = frame.kinds[column] if column < len(frame.kinds) else "blank"
    return kind in ("text", "blank") and role_of(name) is None and bool(frame.kinds)


def _padded_out(cells: Sequence[str], frame: Frame) -> bool:
    """Tell whether a row is only longer by blank cells, with no cell moved.

    A single blank cell too many may also come from a separator put in further left;
    then two neighbours joined again would fit their columns as well.
    """
    due = frame.expected
    if any(cell.strip() for cell in cells[due:]) or not _in_place(cells[:due], frame):
        return False
    if len(cells) > due + 1:
        return True
    joined = (
        (*cells[:k], cells[k] + cells[k + 1], *cells[k + 2 : due], "")
        for k in range(due - 1)
    )
    return not any(_in_place(row, frame) for row in joined)


def _note_padding(row: Row, frame: Frame, shop: Workshop) -> None:
    surplus = len(row.cells) - frame.expected
    shop.gather.add(
        "note",
        "blank cells at the end",
        f"{surplus} blank cell{'s' if surplus > 1 else ''} more than there are names",
        f"{frame.expected} cells",
        "nothing to do: the row is read without them",
        line=row.line,
    )


def _long(row: Row, frame: Frame, block: Block, shop: Workshop) -> None:
    surplus = len(row.cells) - frame.expected
    rest = shop.dialect.delimiter.join(row.cells[frame.expected :])
    comma = decimal_comma(row.cells, surplus) if shop.dialect.delimiter == "," else ""
    mend = "delete the separator too many, or put quotes round the text that holds it"
    dated = _DAY_WITH_COMMA.match(f"{row.cells[0]},{row.cells[1]}")
    if dated and shop.dialect.delimiter == ",":
        comma = ""
        mend = f'put quotes round the day that holds a comma: "{dated[0]}"'
    if comma:
        mend = f'write the number with a point, or in quotes: "{comma}"'
    shop.gather.add(
        "error",
        "long row",
        f"{surplus} cell{'s' if surplus > 1 else ''} too many: {clip(rest)}"
        + (f"; {comma} looks like a decimal comma" if comma else ""),
        f"{frame.expected} cells",
        f"{mend}; this row is left out",
        line=row.line,
        lines=[block.header.line, row.line] if block.header else [row.line],
    )


def _other_mark(row: Row, frame: Frame, shop: Workshop) -> bool:
    """Say so when a row is cut by another separator, or stands in one cell."""
    if row.last != row.line or frame.expected < 2:
        return False
    dialect = shop.dialect
    text = shop.lines.texts[row.line - 1]
    usual = DELIMITER_NAMES[dialect.delimiter]
    cell = row.cells[0]
    if len(row.cells) == 1 and _cuts(cell, dialect.delimiter, frame, dialect.quote):
        shop.gather.add(
            "error",
            "row in one cell",
            clip(cell),
            f"{frame.expected} cells",
            "delete the quotes round the whole row; this row is left out",
            line=row.line,
        )
        return True
    for mark in (*CANDIDATES, " "):
        if mark == dialect.delimiter or mark not in text:
            continue
        if _cuts(text, mark, frame, dialect.quote):
            shop.gather.add(
                "error",
                "other separator",
                f"a {DELIMITER_NAMES[mark]} between the cells: {clip(text)}",
                f"{frame.expected} cells with a {usual} between them, as in the other"
                " rows",
                f"put a {usual} between the cells; this row is left out",
                line=row.line,
            )
            return True
    return False


def _cuts(text: str, mark: str, frame: Frame, quote: str) -> bool:
    return width_of(text, mark, quote) == frame.expected


def _sizes_right(row: Row, frame: Frame, shop: Workshop) -> bool:
    """Leave out cells that are longer than any note."""
    longest = shop.limits.cell_chars
    if max(map(len, row.cells)) <= longest:
        return True
    for column, cell in enumerate(row.cells):
        if len(cell) <= longest:
            continue
        shop.gather.add(
            "error",
            "cell too long",
            f"a cell of {len(cell):,} characters",
            f"at most {longest:,} characters",
            "shorten the text, or look for a quote that is not closed; the cell is"
            " left out",
            line=row.line,
            at=_at(frame, column),
        )
    row.cells = tuple("" if len(cell) > longest else cell for cell in row.cells)
    return False
