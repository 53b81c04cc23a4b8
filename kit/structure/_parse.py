"""From bytes to a sheet: every step in order, every problem in one list."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kit.findings import clip
from kit.structure._decode import decode
from kit.structure._dialect import (
    CANDIDATES,
    DELIMITER_NAMES,
    Dialect,
    Lines,
    find_dialect,
    split_lines,
    width_of,
)
from kit.structure._frame import Workshop
from kit.structure._gather import Gather, some_lines
from kit.structure._layout import Layout, arrange
from kit.structure._limits import LIMITS, Limits
from kit.structure._names import tell_asides, tell_names
from kit.structure._rows import build_table
from kit.structure._sheet import Record, Sheet, Table
from kit.structure._tokens import Fault, Row, tokenize

__all__ = ["parse_sheet", "refused"]

# Form feed, vertical tab and U+0085 are blanks like a space.
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ufffe\uffff]")
_GARBAGE = 0.02  # share of control characters above which a file is no text


@dataclass(frozen=True, slots=True)
class _Cut:
    """Rows with the marks by which they were cut."""

    dialect: Dialect
    rows: list[Row]


def parse_sheet(data: bytes, file: str, limits: Limits = LIMITS) -> Sheet:
    r"""Read the structure of a file's bytes.

    Parameters
    ----------
    data : bytes
        The whole file.
    file : str
        File name without its folder, for messages.
    limits : Limits
        Sizes above which the file is refused.

    Returns
    -------
    Sheet
        Problems are on the sheet; nothing is raised for any bytes.

    Examples
    --------
    >>> sheet = parse_sheet(b"Date;NO3\n01.02.2024;12,5\n", "log.csv")
    >>> sheet.tables[0].records[0].cells
    ('01.02.2024', '12,5')
    """
    gather = Gather(file, limits.shown)
    decoded = decode(data, gather, limits)
    if decoded is None:
        return refused(gather, data)
    if not _readable(decoded.text, gather, limits):
        return refused(gather, data)
    lines = split_lines(decoded.text)
    dialect = find_dialect(lines.texts)
    if not _within(lines, dialect, gather, limits):
        return refused(gather, data)
    unsure = decoded.unsure | _control_lines(decoded.text, lines, gather)
    cut = _cut(lines, dialect, limits, gather)
    layout = arrange(cut.rows, lambda row: _recut(row, lines, cut.dialect, limits))
    shop = Workshop(gather, lines, cut.dialect, limits, unsure)
    tables = _tables(layout, shop)
    _group_faults(cut, gather)
    return Sheet(
        file=file,
        encoding=decoded.encoding,
        bom=decoded.bom,
        delimiter=cut.dialect.delimiter,
        newline=lines.newline,
        quote=cut.dialect.quote,
        tables=tables,
        asides=_asides(layout, cut.dialect, lines),
        problems=gather.problems(),
        sha256=hashlib.sha256(data).hexdigest(),
    )


def refused(gather: Gather, data: bytes) -> Sheet:
    """Give the sheet of a file that is not read; its problems say why."""
    digest = hashlib.sha256(data).hexdigest() if data else ""
    return Sheet(
        file=gather.file,
        encoding="",
        bom=False,
        delimiter="",
        newline="",
        quote="",
        tables=(),
        asides=(),
        problems=gather.problems(),
        sha256=digest,
    )


def _readable(text: str, gather: Gather, limits: Limits) -> bool:
    """Refuse what is no text, or far too long, before it is cut."""
    if text.count("\n") + text.count("\r") > 10 * limits.rows:
        _too_many(gather, "rows", limits.rows, 1)
        return False
    strange = len(_CONTROL.findall(text, 0, 100_000))
    if strange > 4 and strange > _GARBAGE * min(len(text), 100_000):
        gather.add(
            "error",
            "not text",
            f"{strange} signs that stand for no letter",
            "a plain text table (CSV)",
            "open it in the program it comes from and save it as CSV",
            line=1,
        )
        return False
    return True


def _within(lines: Lines, dialect: Dialect, gather: Gather, limits: Limits) -> bool:
    """Refuse a file of too many rows or columns before it is cut."""
    if len(lines.texts) - lines.texts.count("") > limits.rows:
        _too_many(gather, "rows", limits.rows, 1)
        return False
    for index, text in enumerate(lines.texts[:50]):
        if not dialect.delimiter or text.count(dialect.delimiter) < limits.columns:
            continue
        if width_of(text, dialect.delimiter, dialect.quote) > limits.columns:
            _too_many(gather, "columns", limits.columns, index + 1)
            return False
    return True


def _too_many(gather: Gather, what: str, limit: int, line: int) -> None:
    gather.add(
        "error",
        f"too many {what}",
        f"more than {limit:,} {what}",
        f"at most {limit:,} {what}",
        "split the file, or leave out what the log does not need",
        line=line,
    )


def _control_lines(text: str, lines: Lines, gather: Gather) -> frozenset[int]:
    """Name the lines with signs that no keyboard writes."""
    if not _CONTROL.search(text):
        return frozenset()
    found: set[int] = set()
    for index, line in enumerate(lines.texts):
        sign = _CONTROL.search(line)
        if sign is None:
            continue
        found.add(index + 1)
        around = line[max(0, sign.start() - 20) : sign.end() + 20]
        gather.add(
            "error",
            "control character",
            clip(around),
            "letters, digits and signs only",
            "delete the sign; this row is left out",
            line=index + 1,
        )
    return frozenset(found)


def _cut(lines: Lines, dialect: Dialect, limits: Limits, gather: Gather) -> _Cut:
    """Cut lines into rows, with a backslash protecting quotes if that fits better."""
    plain = _Cut(dialect, tokenize(lines, dialect, limits))
    escaped = "\\" + dialect.quote
    marked = [i + 1 for i, text in enumerate(lines.texts) if escaped in text]
    if not marked or not dialect.delimiter:
        return plain
    other = replace(dialect, backslash=True)
    protected = _Cut(other, tokenize(lines, other, limits))
    before, after = _fault_count(plain), _fault_count(protected)
    if before == after == 0 or after <= before:
        gather.add(
            "note",
            "backslash before quote",
            f"{escaped} in {some_lines(marked)}",
            f"a quote inside a cell written twice ({dialect.quote * 2})",
            "nothing to do: the quote is read as part of the text"
            if after < before
            else "look at the text of these rows",
            line=marked[0],
            lines=marked,
        )
    return protected if after < before else plain


def _recut(row: Row, lines: Lines, dialect: Dialect, limits: Limits) -> Row | None:
    """Cut a row by another separator, if that makes it as wide as the rest."""
    text = lines.texts[row.line - 1]
    if row.last != row.line or dialect.width < 2:
        return None
    for mark in (*CANDIDATES, " "):
        if mark == dialect.delimiter or mark not in text:
            continue
        other = replace(dialect, delimiter=mark, hint_lines=0)
        rows = tokenize(Lines([text], "", ""), other, limits)
        if len(rows) == 1 and len(rows[0].cells) == dialect.width:
            return Row(row.line, row.last, rows[0].cells, rows[0].faults)
    return None


def _fault_count(cut: _Cut) -> int:
    return sum(len(row.faults) for row in cut.rows)


def _tables(layout: Layout, shop: Workshop) -> tuple[Table, ...]:
    gather = shop.gather
    if not layout.blocks:
        gather.add(
            "error",
            "empty file",
            "no row with text in it",
            "a first row with the names of the columns, then one row an entry",
            "check that the right file was saved",
            line=1,
        )
        return ()
    tell_asides(layout, gather)
    if layout.recut is not None:
        usual = DELIMITER_NAMES[shop.dialect.delimiter]
        gather.add(
            "error",
            "other separator",
            f"names cut by another separator: {clip(layout.recut.cells[0])}",
            f"a {usual} between the names, as between the cells of the other rows",
            f"put a {usual} between the names; until then the names are a guess",
            line=layout.recut.line,
        )
    _header_faults(layout, shop)
    tables: list[Table] = []
    for block in layout.blocks:
        if not shop.dialect.delimiter:
            _one_column(block.header or block.rows[0], gather)
        table = build_table(block, shop)
        tell_names(block, table, gather)
        guessed = layout.recut is not None and not tables
        if block.on_side or guessed or not shop.dialect.delimiter:
            table = _all_unsure(table)
        tables.append(table)
    return tuple(tables)


def _all_unsure(table: Table) -> Table:
    lines = frozenset(r.line for r in table.records)
    return replace(table, unsure=lines, shifted=lines)


def _one_column(first: Row, gather: Gather) -> None:
    text = first.cells[0]
    quoted = text[:1] == text[-1:] == '"' and any(mark in text for mark in ",;\t|")
    gather.add(
        "error",
        "row in one cell" if quoted else "no separator",
        f"no comma, semicolon, tab or bar between cells: {clip(text)}",
        "cells with a comma, semicolon or tab between them",
        "delete the quotes round the whole rows"
        if quoted
        else "save the table as CSV with commas between the cells",
        line=first.line,
    )


def _header_faults(layout: Layout, shop: Workshop) -> None:
    """Report quotes out of place in rows that are no records."""
    others = [*layout.titles, *layout.headings, *layout.repeats, *layout.seconds]
    for block in layout.blocks:
        others.extend(row for row in (block.header, block.units) if row is not None)
    for row in others:
        for fault in row.faults:
            if fault.kind in ("space beside quote", "apostrophe quotes"):
                continue
            shop.gather.add(
                "error" if fault.damages else "note",
                fault.kind,
                clip(fault.text),
                "quotes in pairs round a whole cell, or none",
                "delete the quote, or close it",
                line=fault.line,
            )


def _group_faults(cut: _Cut, gather: Gather) -> None:
    """Say once for the file what is odd about its quotes but does no harm."""
    spaced = [
        f for row in cut.rows for f in row.faults if f.kind == "space beside quote"
    ]
    if spaced:
        _quote_note(gather, "space beside quote", spaced, "no space beside quotes")
    if cut.dialect.quote == "'":
        gather.add(
            "note",
            "apostrophe quotes",
            "cells between apostrophes",
            'cells between quotation marks (")',
            "nothing to do: the apostrophes are read as quotation marks",
            line=cut.rows[0].line,
        )
        return
    wrapped = [
        Fault("apostrophe quotes", column, row.line, cell[:80])
        for row in cut.rows
        if "'" in "".join(row.cells)
        for column, cell in enumerate(row.cells)
        if cell[:1] == "'" and cell[-1:] == "'" and len(cell) > 1
    ]
    if wrapped:
        _quote_note(gather, "apostrophe quotes", wrapped, 'quotation marks (")')


def _quote_note(
    gather: Gather, kind: str, faults: Sequence[Fault], expected: str
) -> None:
    lines = sorted({fault.line for fault in faults})
    gather.add(
        "note",
        kind,
        f"{clip(faults[0].text)} ({some_lines(lines)})",
        expected,
        "nothing to do if the text reads well",
        line=lines[0],
        lines=lines,
    )


def _asides(layout: Layout, dialect: Dialect, lines: Lines) -> tuple[Record, ...]:
    rows = [
        *layout.titles,
        *layout.rulers,
        *layout.headings,
        *layout.repeats,
        *layout.seconds,
    ]
    hints = [Record(i + 1, (lines.texts[i],)) for i in range(dialect.hint_lines)]
    records = [Record(row.line, row.cells) for row in rows]
    return tuple(sorted([*hints, *records], key=lambda record: record.line))
