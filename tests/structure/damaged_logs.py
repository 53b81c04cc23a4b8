"""Two invented logs, and every way of damaging one of them that the tests use.

A damaged file is a name, its bytes, the rows it should still give, and the editor
lines on which a problem may be reported for it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass

Row = list[str]
EVERYWHERE = frozenset(range(0, 10_000))

NAMES = ["Date", "Time", "NO3 (mg/L)", "Food (g)", "Exchanged (%)", "Upkeep", "Note"]
_NOTES = (
    "",
    "cloudy, then clear again",
    "fed twice",
    'new heater, 8" long',
    "",
    'snail count: "many", really',
    "filter pad rinsed; flow better",
    "the club's test, read by two",
)
_UPKEEP = ("", "glass wiped", "", "pump opened, cleaned", "")


def _padded(number: int) -> str:
    return f"{number:02d}"


def small_log() -> list[Row]:
    """Give a header and 40 rows of 7 cells, as a keeper might write them."""
    rows = [NAMES]
    for index in range(40):
        month, day = 1 + index // 9, 1 + 3 * (index % 9)
        rows.append(
            [
                f"2024-{_padded(month)}-{_padded(day)}",
                f"{_padded(7 + index % 12)}:15" if index % 3 else "",
                str(5 + (7 * index) % 40) if index % 2 == 0 else "",
                f"{0.5 + (index % 4) * 0.25}",
                "25" if index % 5 == 0 else "",
                _UPKEEP[index % len(_UPKEEP)],
                _NOTES[index % len(_NOTES)],
            ]
        )
    return rows


def wide_log() -> list[Row]:
    """Give 84 rows of 9 cells with long texts and a last column that stays blank."""
    rows = [
        [
            "Day",
            "Hour",
            "Count",
            "Tag",
            "Cost",
            "Item",
            "What it is",
            "Where",
            "Remarks",
        ]
    ]
    items = (
        "Pump's spare rotor",
        'Pipe, 5" long',
        "Net, fine",
        'Clip 2"',
        "Plain hose",
        'Glass lid, 24"',
    )
    for index in range(84):
        rows.append(
            [
                f"{_padded(1 + index % 28)}/{_padded(1 + index // 28)}/2023",
                f"{_padded(index % 24)}:{_padded(15 * (index % 4))}",
                str(index % 7),
                f"QX-{1000 + 37 * index}",
                f"${index % 90}.{_padded(index % 100)}",
                items[index % len(items)],
                f"Sold by the club, lot {index}; it's good for years, they say.",
                f"shelf/{index}.html",
                "",
            ]
        )
    rows[13][6] = "It is 8\\'9\" long, and so it won't fit every tank."
    return rows


def cell_text(cell: str, delimiter: str = ",", quote: str = '"') -> str:
    """Write one cell, quoted only where it must be."""
    if delimiter in cell or quote in cell or "\n" in cell:
        return quote + cell.replace(quote, quote * 2) + quote
    return cell


def file_text(
    rows: list[Row],
    *,
    delimiter: str = ",",
    quote: str = '"',
    newline: str = "\n",
    always: frozenset[int] = frozenset(),
) -> str:
    """Write rows; the columns in ``always`` are quoted in every row."""
    lines = []
    for row in rows:
        cells = []
        for column, cell in enumerate(row):
            text = cell_text(cell, delimiter, quote)
            if column in always and text == cell:
                text = f"{quote}{cell}{quote}"
            cells.append(text)
        lines.append(delimiter.join(cells))
    return newline.join(lines) + newline


def all_quoted(rows: list[Row]) -> str:
    """Write rows with every cell in quotes, by the standard library's writer."""
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    return out.getvalue()


@dataclass(frozen=True)
class Damaged:
    name: str
    data: bytes
    rows: list[Row]
    lines: frozenset[int]


def _cells_as_written(
    rows: list[Row], always: frozenset[int], delimiter: str
) -> list[list[str]]:
    written = []
    for row in rows:
        cells = []
        for column, cell in enumerate(row):
            text = cell_text(cell, delimiter)
            if column in always and text == cell:
                text = f'"{cell}"'
            cells.append(text)
        written.append(cells)
    return written


def _joined(written: list[list[str]], delimiter: str) -> bytes:
    lines = [delimiter.join(cells) for cells in written]
    return ("\n".join(lines) + "\n").encode("utf-8")


def cell_damage(
    rows: list[Row],
    label: str,
    always: frozenset[int] = frozenset(),
    delimiter: str = ",",
) -> Iterator[Damaged]:
    """Damage one cell at a time: a quote added at each end or in the middle, each
    quote removed, a separator added before, in and after it, or one removed."""
    written = _cells_as_written(rows, always, delimiter)
    for at, cells in enumerate(written):
        line = at + 1
        for column, text in enumerate(cells):
            for how, new in _changed(text, delimiter):
                damaged = [list(row) for row in written]
                damaged[at][column] = new
                yield Damaged(
                    f"{label} {how} row {at} column {column}",
                    _joined(damaged, delimiter),
                    rows,
                    frozenset({line, line + 1}),
                )
            if column + 1 < len(cells):
                merged = [list(row) for row in written]
                merged[at][column : column + 2] = [text + cells[column + 1]]
                yield Damaged(
                    f"{label} separator lost row {at} column {column}",
                    _joined(merged, delimiter),
                    rows,
                    frozenset({line}),
                )


def _changed(text: str, delimiter: str) -> Iterator[tuple[str, str]]:
    half = len(text) // 2
    yield "quote before", '"' + text
    yield "quote after", text + '"'
    if len(text) > 1:
        yield "quote inside", text[:half] + '"' + text[half:]
    for at, sign in enumerate(text):
        if sign == '"':
            yield f"quote {at} lost", text[:at] + text[at + 1 :]
    yield "separator before", delimiter + text
    yield "separator after", text + delimiter
    if len(text) > 1 and '"' not in text:
        yield "separator inside", text[:half] + delimiter + text[half:]


def row_damage(rows: list[Row], label: str) -> Iterator[Damaged]:
    """Write one row at a time with another delimiter or another quote mark."""
    for at in range(len(rows)):
        for mark in (";", "\t", "|", " "):
            lines = file_text(rows).split("\n")
            lines[at] = file_text([rows[at]], delimiter=mark).rstrip("\n")
            yield Damaged(
                f"{label} row {at} cut by {mark!r}",
                "\n".join(lines).encode("utf-8"),
                rows,
                frozenset({at + 1}),
            )
        lines = file_text(rows).split("\n")
        lines[at] = file_text([rows[at]], quote="'", always=frozenset({6})).rstrip("\n")
        yield Damaged(
            f"{label} row {at} in apostrophes",
            "\n".join(lines).encode("utf-8"),
            rows,
            frozenset({at + 1}),
        )
        lines = file_text(rows).split("\n")
        lines[at] = '"' + lines[at].replace('"', '""') + '"'
        yield Damaged(
            f"{label} row {at} in one cell",
            "\n".join(lines).encode("utf-8"),
            rows,
            frozenset({at + 1}),
        )


def file_damage(rows: list[Row], label: str) -> Iterator[Damaged]:
    """Damage the whole file in one way."""
    text = file_text(rows)
    lines = text.split("\n")
    narrow = [row[:-2] for row in rows]
    wider = [[*row, "more" if at == 0 else str(at)] for at, row in enumerate(rows)]
    cases: dict[str, tuple[str, frozenset[int]]] = {
        "apostrophes": (file_text(rows, quote="'", always=frozenset({6})), EVERYWHERE),
        "backslash": (text.replace('""', '\\"'), EVERYWHERE),
        "comma and space": (file_text(rows).replace(",", ", "), EVERYWHERE),
        "spaces": (file_text(rows, delimiter=" "), EVERYWHERE),
        "title": ("\n".join(["Our tank, 120 L", "", *lines]), frozenset({1})),
        "titles": ("\n".join(["Our tank", "living room, by the door", *lines]),) * 1
        + (frozenset({1}),),
        "header twice": ("\n".join([lines[0], *lines]), frozenset({2})),
        "header thrice": ("\n".join([lines[0], lines[0], *lines]), frozenset({2})),
        "no header": ("\n".join(lines[1:]), frozenset({1})),
        "same table": (text + text, frozenset({len(rows) + 1})),
        "same table, gap": (text + "\n" + text, frozenset({len(rows) + 2})),
        "narrow table": (text + file_text(narrow), frozenset({len(rows) + 1})),
        "wider table": (text + file_text(wider), frozenset({len(rows) + 1})),
        "header only": (lines[0] + "\n", frozenset({1})),
        "empty": ("", frozenset({1})),
        "blanks only": (" \n\n", frozenset({1})),
        "zero sign": (text.replace('""', '\0"'), EVERYWHERE),
    }
    for name, (damaged, where) in cases.items():
        expected = [rows[0]] if name == "header only" else rows
        yield Damaged(f"{label} {name}", damaged.encode("utf-8"), expected, where)
    yield Damaged(
        f"{label} names cut by ;",
        text.replace(lines[0], lines[0].replace(",", ";"), 1).encode("utf-8"),
        rows,
        frozenset({1}),
    )


def harmless(rows: list[Row]) -> Iterator[tuple[str, bytes]]:
    """Dress the same rows in ways that change nothing."""
    text = file_text(rows)
    yield "as is", text.encode("utf-8")
    yield "LF doubled at the end", (text + "\n").encode("utf-8")
    yield "no last line end", text.rstrip("\n").encode("utf-8")
    yield "CRLF", text.replace("\n", "\r\n").encode("utf-8")
    yield "CR", text.replace("\n", "\r").encode("utf-8")
    yield "semicolon", file_text(rows, delimiter=";").encode("utf-8")
    yield "tab", file_text(rows, delimiter="\t").encode("utf-8")
    yield "bar", file_text(rows, delimiter="|").encode("utf-8")
    yield "UTF-8 mark", b"\xef\xbb\xbf" + text.encode("utf-8")
    yield "UTF-16 LE", b"\xff\xfe" + text.encode("utf-16-le")
    yield "UTF-16 BE", b"\xfe\xff" + text.encode("utf-16-be")
    yield "all quoted", all_quoted(rows).encode("utf-8")
    yield "blank rows", text.replace("\n", "\n\n").encode("utf-8")
    yield "sep line", ("sep=;\n" + file_text(rows, delimiter=";")).encode("utf-8")
    wide = [[*row, "", "", ""] for row in rows]
    yield "blank columns", file_text(wide, delimiter=";").encode("utf-8")
    yield "blank in header only", text.replace("\n", ",,\n", 1).encode("utf-8")
