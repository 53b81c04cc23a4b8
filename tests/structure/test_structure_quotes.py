"""Small well-formed files of the kind every reader of CSV should get right.

Each expected content was written down by hand from the rules of RFC 4180, and the
standard library's csv module has to agree with it.
"""

from __future__ import annotations

import csv
import io

import pytest

from kit.structure import parse_sheet

CASES = {
    "simple": ("a,b,c\nd,e,f\n", [["a", "b", "c"], ["d", "e", "f"]]),
    "blank cells": (
        'a,b,c\nd,"",""\ng,h,i\n',
        [["a", "b", "c"], ["d", "", ""], ["g", "h", "i"]],
    ),
    "comma in quotes": (
        'name,town\nSam,"Mill Lane 2, Oldford"\n',
        [["name", "town"], ["Sam", "Mill Lane 2, Oldford"]],
    ),
    "doubled quotes": (
        'a,b\nx,"say ""hello"" twice"\n',
        [["a", "b"], ["x", 'say "hello" twice']],
    ),
    "quotes only": ('a,b\nx,""""\n', [["a", "b"], ["x", '"']]),
    "line end in quotes": (
        'a,b,c\nd,e,f\n"upon\ntime",5,6\n',
        [["a", "b", "c"], ["d", "e", "f"], ["upon\ntime", "5", "6"]],
    ),
    "CRLF in quotes": (
        'a,b,c\r\n"one\r\nmore",e,f\r\n',
        [["a", "b", "c"], ["one\r\nmore", "e", "f"]],
    ),
    "quotes and line ends": (
        'a,b\nx,"he said\n""go"", and\nwent"\ny,z\n',
        [["a", "b"], ["x", 'he said\n"go", and\nwent'], ["y", "z"]],
    ),
    "blank line in quotes": (
        'a,b\nx,"up\n\ndown"\n',
        [["a", "b"], ["x", "up\n\ndown"]],
    ),
    "letters of many scripts": (
        "a,b\nʤ,été\n水,вода\n",
        [["a", "b"], ["ʤ", "été"], ["水", "вода"]],
    ),
    "all quoted": ('"a","b"\n"c","d"\n', [["a", "b"], ["c", "d"]]),
    "object notation in a cell": (
        'a,b\nx,"{""kind"": ""pair"", ""at"": [1, 2]}"\n',
        [["a", "b"], ["x", '{"kind": "pair", "at": [1, 2]}']],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_well_formed(name: str) -> None:
    text, expected = CASES[name]
    assert list(csv.reader(io.StringIO(text, newline=""))) == expected
    sheet = parse_sheet(text.encode("utf-8"), "small.csv")
    table = sheet.tables[0]
    assert [list(table.header), *(list(r.cells) for r in table.records)] == expected
    assert sheet.problems == ()


def test_records_know_the_line_they_start_on() -> None:
    text = 'a,b\nx,"one\ntwo\nthree"\n\ny,z\n'
    table = parse_sheet(text.encode(), "small.csv").tables[0]
    assert [record.line for record in table.records] == [2, 6]


def test_a_quote_after_a_space_is_read_and_noted_once() -> None:
    text = 'date, no3, note\n2024-01-01, 10, "a, b"\n2024-01-02, 12, "c, d"\n'
    sheet = parse_sheet(text.encode(), "small.csv")
    assert [(p.level, p.kind, p.line) for p in sheet.problems] == [
        ("note", "space beside quote", 2)
    ]
    assert [r.cells[2] for r in sheet.tables[0].records] == ["a, b", "c, d"]
