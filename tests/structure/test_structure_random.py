"""Properties over invented bytes and invented tables."""

from __future__ import annotations

import codecs
import csv
import io
import json
import re

from hypothesis import given, settings
from hypothesis import strategies as st

from kit.structure import parse_sheet, sheet_as_dict

MARKS = [
    b"",
    codecs.BOM_UTF8,
    codecs.BOM_UTF16_LE,
    codecs.BOM_UTF16_BE,
    codecs.BOM_UTF32_LE,
    codecs.BOM_UTF32_BE,
]
PIECES = [
    b"date",
    b"2024-01-01",
    b"12,5",
    b"note",
    b"\xe9",
    b"\xc3\xa9",
    b'"',
    b'""',
    b"'",
    b"\\",
    b",",
    b";",
    b"\t",
    b"|",
    b"\n",
    b"\r",
    b"\r\n",
    b" ",
    b"-----",
    b"mg/L",
    b"sep=;",
    b"\0",
    b"x" * 40,
]


def check_whole(data: bytes) -> None:
    sheet = parse_sheet(data, "log.csv")
    json.dumps(sheet_as_dict(sheet))
    assert sheet.tables or sheet.problems
    for table in sheet.tables:
        assert table.header or table.header_line is None
        width = len(table.header) or len(table.records[0].cells)
        assert all(len(record.cells) == width for record in table.records)
        lines = [record.line for record in table.records]
        assert lines == sorted(set(lines))
        assert table.unsure <= set(lines)
    ends = data.count(b"\n") + data.count(b"\r") + 1
    for problem in sheet.problems:
        assert problem.line is None or 1 <= problem.line <= ends
        assert problem.sentence().isprintable()


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(MARKS), st.binary(max_size=60))
def test_any_bytes_give_a_sheet(mark: bytes, rest: bytes) -> None:
    check_whole(mark + rest)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=60).map(b"".join))
def test_any_pieces_of_a_log_give_a_sheet(data: bytes) -> None:
    check_whole(data)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=30).map(b"".join))
def test_reading_twice_gives_the_same(data: bytes) -> None:
    assert parse_sheet(data, "a.csv") == parse_sheet(data, "a.csv")


notes = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cn"))
    | st.sampled_from('"\n,;\t|'),
    max_size=30,
).map(lambda text: text.strip())
records = st.tuples(
    st.dates().map(lambda day: day.isoformat()),
    st.integers(0, 500).map(str) | st.just(""),
    st.decimals(0, 99, places=2).map(str),
    notes,
)
dresses = st.sampled_from(
    [
        (",", "utf-8", "\n"),
        (";", "utf-8-sig", "\r\n"),
        ("\t", "utf-16", "\n"),
        ("|", "utf-8", "\r"),
        (";", "utf-16", "\r\n"),
    ]
)
NAMES = ["date", "nitrate (mg/L NO3)", "food (g)", "note"]


@settings(max_examples=200, deadline=None)
@given(st.lists(records, min_size=1, max_size=12), dresses, st.booleans())
def test_what_is_written_is_read(
    rows: list[tuple[str, ...]], dress: tuple[str, str, str], quote_all: bool
) -> None:
    """Written by the standard library; every cell comes back, whatever the dress.

    Only a note of several lines that look like whole rows may be called an open quote,
    and then its row is an error.
    """
    delimiter, encoding, newline = dress
    out = io.StringIO()
    writer = csv.writer(
        out,
        delimiter=delimiter,
        lineterminator=newline,
        # Before Python 3.13 the csv module leaves a line feed bare in a "\r" file.
        quoting=csv.QUOTE_ALL if quote_all or newline == "\r" else csv.QUOTE_MINIMAL,
    )
    writer.writerows([NAMES, *rows])
    sheet = parse_sheet(out.getvalue().encode(encoding), "log.csv")
    table = sheet.tables[0]
    got = [record.cells for record in table.records]
    errors = [p for p in sheet.problems if p.level != "note"]
    if any(re.search(r"[\r\n]\d", note) for *_, note in rows) and errors:
        assert {p.kind for p in errors} >= {"unclosed quote"}
        return
    assert table.header == tuple(NAMES)
    assert got == rows
    assert errors == []


plain_notes = st.text("abc def,;|'-5.é水", max_size=20).map(
    lambda text: text.strip(" '")
)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.dates().map(lambda day: day.isoformat()),
            st.integers(0, 500).map(str),
            st.decimals(0, 99, places=2).map(str),
            plain_notes,
        ),
        min_size=2,
        max_size=12,
    ),
    dresses,
)
def test_dress_changes_nothing(
    rows: list[tuple[str, ...]], dress: tuple[str, str, str]
) -> None:
    """The same rows in two dresses give the same records without any problem."""
    sheets = []
    for delimiter, encoding, newline in (dress, (",", "utf-8", "\n")):
        out = io.StringIO()
        writer = csv.writer(out, delimiter=delimiter, lineterminator=newline)
        writer.writerows([NAMES, *rows])
        sheets.append(parse_sheet(out.getvalue().encode(encoding), "log.csv"))
    for sheet in sheets:
        assert sheet.problems == ()
        assert [record.cells for record in sheet.tables[0].records] == rows
