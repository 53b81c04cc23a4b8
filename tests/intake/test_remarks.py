"""Remarks that say a reading was diluted, or an exchange only a top-up."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from kit.files import read_logbook
from kit.logbook import Logbook, Tank

TODAY = dt.date(2026, 11, 25)


def read(folder: Path, **files: str) -> Logbook:
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return read_logbook(folder, today=TODAY, tank=Tank(volume_l=100.0))


def lines_of(book: Logbook, kind: str) -> list[int]:
    return [n for p in book.problems if p.kind == kind for n in p.lines]


@pytest.mark.parametrize(
    ("note", "named"),
    [
        ("1 part tank water + 3 parts pure water, so times 4", True),
        ("diluted 1 to 4", True),
        ("dilution 1:1", True),
        ("1 part in 3 parts RO", True),
        ("new kit", False),
        ("tested three times", False),
        ("in parts of the tank", False),
    ],
)
def test_a_diluted_sample_is_named_and_counts_as_written(
    tmp_path: Path, note: str, named: bool
) -> None:
    tests = f'date,nitrate (mg/L NO3),note\n2026-01-04,50,"{note}"\n2026-01-11,80,\n'
    book = read(tmp_path, tests=tests)
    assert lines_of(book, "diluted sample") == ([2] if named else [])
    assert [t.value_mg_l for t in book.tests] == [50, 80]


def exchanges(*rows: str) -> str:
    return "\n".join(["date,percent (%),note", *rows]) + "\n"


def test_small_exchanges_that_only_filled_up_are_named(tmp_path: Path) -> None:
    book = read(
        tmp_path,
        tests="date,nitrate (mg/L NO3)\n2026-01-04,20\n",
        exchanges=exchanges(
            "2026-01-04,25,",
            "2026-01-06,8,topped up",
            "2026-01-11,25,filled up again after the exchange",
            "2026-01-18,25,",
            "2026-01-20,8,filled up to the mark",
            "2026-01-22,8,",
        ),
    )
    assert lines_of(book, "exchange may be a top-up") == [3, 6]
    assert len(book.exchanges) == 6


def test_without_a_usual_exchange_beside_it_the_remark_is_taken_up(
    tmp_path: Path,
) -> None:
    book = read(
        tmp_path,
        tests="date,nitrate (mg/L NO3)\n2026-01-04,20\n",
        exchanges=exchanges("2026-01-06,8,topping up"),
    )
    assert lines_of(book, "exchange may be a top-up") == [2]
