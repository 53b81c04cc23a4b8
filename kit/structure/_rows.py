"""Blocks to tables: every row under the right names, or named as doubtful."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kit.findings import clip
from kit.structure._dialect import (
    CANDIDATES,
    DELIMITER_NAMES,
    Dialect,
    Lines,
    width_of,
)
from kit.structure._gather import Gather, some_lines
from kit.structure._header import clashes, sample_kinds
from kit.structure._kinds import TYPED, Kind, kind_of, role_of
from kit.structure._layout import Block
from kit.structure._limits import Limits
from kit.structure._sheet import Record, Table
from kit.structure._tokens import Row

__all__ = ["Workshop", "build_table"]

_MANY = 3  # rows that must agree before the header, not a row, is called wrong
_WHOLE = re.compile(r"[-+]?\d{1,4}")
_DECIMALS = re.compile(r"\d{1,3}(?:\D.{0,60})?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Workshop:
    """What building a table needs besides its rows."""

    gather: Gather
    lines: Lines
    dialect: Dialect
    limits: Limits
    unsure: frozenset[int] = frozenset()


@dataclass(slots=True)
class _Frame:
    """Widths of a table: ``expected`` cells a row, ``width`` kept, names, kinds."""

    names: list[str]
    expected: int
    width: int
    kinds: tuple[Kind, ...]
    all_unsure: bool = False
    used: int = 0


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
    frame = _frame(block, shop)
    _trim(block, frame)
    unsure: set[int] = set()
    records: list[Record] = []
    for row in block.rows:
        if not _check(row, frame, block, shop):
            unsure.add(row.line)
        records.append(_record(row, frame))
    if frame.all_unsure:
        unsure.update(record.line for record in records)
    header, units = block.header, block.units
    return Table(
        header=tuple(frame.names) if header else (),
        header_line=header.line if header else None,
        records=tuple(records),
        units=_padded(units.cells, frame.width) if units else (),
        units_line=units.line if units else None,
        unsure=frozenset(unsure),
    )


def _padded(cells: Sequence[str], width: int) -> tuple[str, ...]:
    return (*cells[:width], *[""] * (width - len(cells)))


def _record(row: Row, frame: _Frame) -> Record:
    if len(row.cells) == frame.width:
        return Record(row.line, tuple(row.cells))
    return Record(row.line, _padded(row.cells, frame.width))


def _last_used(cells: Sequence[str]) -> int:
    """Give how many cells there are up to the last that is not blank."""
    used = len(cells)
    while used and not cells[used - 1].strip():
        used -= 1
    return used


def _frame(block: Block, shop: Workshop) -> _Frame:
    """Settle how wide the table is, and whether header and rows agree on it."""
    lengths = Counter(len(row.cells) for row in block.rows)
    usual, count = lengths.most_common(1)[0] if lengths else (0, 0)
    if block.header is None:
        kinds = sample_kinds(block.rows, 0)
        return _Frame([""] * usual, usual, usual, kinds, used=usual)
    names = list(block.header.cells)
    kinds = sample_kinds(block.rows, 0)
    used = _last_used(names)
    frame = _Frame(names, len(names), len(names), kinds, used=used)
    agreed = count >= _MANY and 5 * count >= 4 * len(block.rows)
    if not agreed or usual == len(names):
        return frame
    frame.expected = usual
    if usual == used:  # only the header carries blank cells at its end
        frame.width = usual
        frame.names = names[:usual]
        return frame
    _tell_mismatch(block, frame, shop)
    return frame


def _tell_mismatch(block: Block, frame: _Frame, shop: Workshop) -> None:
    """Say that header and rows differ in width, and whether that is harmless."""
    header = block.header
    if header is None:
        return
    names, usual = frame.names, frame.expected
    rows = [row.line for row in block.rows if len(row.cells) == usual]
    wide = usual > len(names)
    safe = _fits(names, frame.kinds) and (
        all(kind == "blank" for kind in frame.kinds[len(names) :])
        if wide
        else all(role_of(name) == "note" for name in names[usual:])
    )
    seen = f"{len(names)} names over rows of {usual} cells ({some_lines(rows)})"
    if safe:
        frame.width = len(names)
        shop.gather.add(
            "note",
            "header width",
            seen,
            "as many names as cells",
            "nothing to do: the cells stand under fitting names"
            + (", the last cell of each row is blank" if wide else ""),
            line=header.line,
            lines=rows,
        )
        return
    frame.all_unsure = True
    frame.width = max(len(names), usual)
    frame.names = [*names, *[""] * (frame.width - len(names))]
    short, long = "a separator is missing in the names", "one separator too many"
    shop.gather.add(
        "error",
        "header width",
        seen,
        "as many names as cells; "
        + (f"either {short} or the rows hold too many" if wide else f"perhaps {long}"),
        "mend the row of names so that each column has its own; until then it cannot"
        " be told which name belongs to which cell",
        line=header.line,
        lines=[header.line, *rows],
    )


def _fits(names: Sequence[str], kinds: Sequence[Kind]) -> bool:
    """Tell whether every name is known and the cells under it look like it."""
    for name, kind in zip(names, kinds, strict=False):
        role = role_of(name)
        if role is None:
            return False
        if role in TYPED and kind not in (role, "blank"):
            return False
        if role in ("note", "text") and kind in ("date", "time"):
            return False
    return len(names) > 1


def _trim(block: Block, frame: _Frame) -> None:
    """Leave out columns at the end that are blank from header to last row."""
    if frame.used >= frame.width or block.header is None or frame.all_unsure:
        return
    used = frame.used
    for row in block.rows:
        if len(row.cells) <= frame.expected:
            used = max(used, _last_used(row.cells))
    frame.width = frame.used = max(used, 1)
    frame.names = frame.names[: frame.width]


def _check(row: Row, frame: _Frame, block: Block, shop: Workshop) -> bool:
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
    else:
        _long(row, frame, block, shop)
        sound = False
    if shop.unsure and not shop.unsure.isdisjoint(range(row.line, row.last + 1)):
        sound = False
    return _sizes_right(row, frame, shop) and sound


def _at(frame: _Frame, column: int) -> tuple[str, int]:
    name = frame.names[column] if column < len(frame.names) else ""
    return name, column


def _tell_faults(row: Row, frame: _Frame, shop: Workshop) -> None:
    for fault in row.faults:
        at = _at(frame, fault.column)
        mark = shop.dialect.quote
        if fault.kind == "unclosed quote":
            expected = f"a second {mark} where the cell ends"
            mend = f"close the quote, or delete it ({mark}); this row is left out"
        elif fault.kind == "text after quote":
            expected = f"a separator right after the closing {mark}"
            mend = f"delete the {mark} too many, or double it inside the text"
        else:
            continue
        shop.gather.add(
            "error",
            fault.kind,
            clip(fault.text),
            expected,
            mend,
            line=fault.line,
            at=at,
        )
    for fault in row.faults:
        if fault.kind == "stray quote":
            shop.gather.add(
                "note",
                fault.kind,
                clip(fault.text),
                "quotes round the whole cell or none",
                "nothing to do if the mark belongs to the text; else delete it",
                line=fault.line,
                at=_at(frame, fault.column),
            )


def _short(row: Row, frame: _Frame, block: Block, shop: Workshop) -> bool:
    """Judge a row with too few cells; True when its cells stand where they should."""
    length = len(row.cells)
    last_filled = bool(row.cells[-1].strip())
    tail_blank = frame.used <= length and bool(row.cells[frame.used - 1].strip())
    in_place = clashes(row.cells, frame.kinds) == 0
    if frame.used < frame.expected and tail_blank and in_place:
        return True
    if _other_mark(row, frame, shop):
        return False
    missing = [_name_at(frame, column) for column in range(length, frame.expected)]
    notes = all(_note_like(frame, column) for column in range(length, frame.expected))
    sure = last_filled and in_place and notes and block.header is not None
    lost = f"{length} cells where {frame.expected} are due"
    header_line = block.header.line if block.header else None
    shop.gather.add(
        "note" if sure else "error",
        "short row",
        f"{lost}; nothing for {', '.join(missing[:4])}",
        f"{frame.expected} cells, with separators for blank ones too",
        "nothing to do if those cells are blank"
        if sure
        else "add the missing separator where the cell is blank; this row is left out",
        line=row.line,
        lines=[row.line] if header_line is None else [header_line, row.line],
    )
    return sure


def _name_at(frame: _Frame, column: int) -> str:
    name = frame.names[column] if column < len(frame.names) else ""
    return clip(name) if name.strip() else f"column {column + 1}"


def _note_like(frame: _Frame, column: int) -> bool:
    name = frame.names[column] if column < len(frame.names) else ""
    if role_of(name) == "note":
        return True
    kind = frame.kinds[column] if column < len(frame.kinds) else "blank"
    return kind in ("text", "blank") and role_of(name) is None and bool(frame.kinds)


def _long(row: Row, frame: _Frame, block: Block, shop: Workshop) -> None:
    surplus = len(row.cells) - frame.expected
    rest = shop.dialect.delimiter.join(row.cells[frame.expected :])
    comma = _decimal_comma(row.cells, surplus) if shop.dialect.delimiter == "," else ""
    mend = "delete the separator too many, or put quotes round the text that holds it"
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


def _decimal_comma(cells: Sequence[str], surplus: int) -> str:
    """Give the first pair that may be one number, if pairs explain the surplus."""
    pairs: list[str] = []
    index = 0
    while index + 1 < len(cells):
        whole, rest = cells[index].strip(), cells[index + 1].strip()
        if _WHOLE.fullmatch(whole[:8]) and _DECIMALS.fullmatch(rest[:60]):
            pairs.append(f"{whole},{rest[:60]}")
            index += 1
        index += 1
    return pairs[0] if len(pairs) >= surplus else ""


def _other_mark(row: Row, frame: _Frame, shop: Workshop) -> bool:
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
                f"a row cut by {DELIMITER_NAMES[mark]}: {clip(text)}",
                f"{frame.expected} cells cut by {usual}, as in the other rows",
                f"put a {usual} between the cells; this row is left out",
                line=row.line,
            )
            return True
    return False


def _cuts(text: str, mark: str, frame: _Frame, quote: str) -> bool:
    return width_of(text, mark, quote) == frame.expected


def _sizes_right(row: Row, frame: _Frame, shop: Workshop) -> bool:
    """Leave out cells that are longer than any note."""
    right = True
    for column, cell in enumerate(row.cells):
        if len(cell) <= shop.limits.cell_chars:
            continue
        right = False
        shop.gather.add(
            "error",
            "cell too long",
            f"a cell of {len(cell):,} characters",
            f"at most {shop.limits.cell_chars:,} characters",
            "shorten the text, or look for a quote that is not closed; the cell is"
            " left out",
            line=row.line,
            at=_at(frame, column),
        )
        row.cells[column] = ""
    return right
