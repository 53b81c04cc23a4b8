"""What is harmless is a note at most; sentences read naturally."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from kit.files import read_logbook
from kit.findings import Problem
from kit.logbook import Logbook, Tank

TODAY = dt.date(2026, 11, 25)
TESTS = "date,nitrate (mg/L NO3)\n2026-01-01,10\n2026-01-08,12\n"


def read(path: Path, text: str) -> Logbook:
    file = path / "log.csv"
    file.write_bytes(text.encode("utf-8"))
    return read_logbook(file, today=TODAY, tank=Tank(volume_l=200))


def folder(path: Path, **others: str) -> Logbook:
    (path / "tank.toml").write_text("[volume]\nlitres = 200\n", encoding="utf-8")
    (path / "tests.csv").write_text(TESTS, encoding="utf-8")
    for name, text in others.items():
        (path / f"{name}.csv").write_text(text, encoding="utf-8")
    return read_logbook(path, today=TODAY)


def loud(log: Logbook) -> list[tuple[str, str, int | None]]:
    return [(p.level, p.kind, p.line) for p in log.problems if p.level != "note"]


@pytest.mark.parametrize(
    "row", ["2026-01-08,12,,,", "2026-01-08,12,", "2026-01-08,12,,"]
)
def test_blank_cells_at_the_end_lose_no_row(tmp_path: Path, row: str) -> None:
    text = f"date,nitrate (mg/L NO3)\n2026-01-01,10\n{row}\n2026-01-15,13\n"
    log = read(tmp_path, text)
    assert [t.value_mg_l for t in log.tests] == [10, 12, 13]
    assert loud(log) == []
    assert ("blank cells at the end", 3) in [(p.kind, p.line) for p in log.problems]


@pytest.mark.parametrize("row", ["2026-01-08,,12,", "2026-01-08,1,2,"])
def test_separator_too_many_that_moves_a_cell_stays_an_error(
    tmp_path: Path, row: str
) -> None:
    # Written as 2026-01-08,12, with one comma more, before or inside the 12.
    text = f"date,nitrate (mg/L NO3),food (g)\n2026-01-01,10,2\n{row}\n"
    log = read(tmp_path, f"{text}2026-01-15,13,2\n")
    assert loud(log) == [("error", "long row", 3)]


def test_table_about_something_else_is_left_alone(tmp_path: Path) -> None:
    log = folder(tmp_path, temperatures="date,temperature (C)\n2026-01-01,25\n")
    assert loud(log) == []
    assert "file about something else" in [p.kind for p in log.problems]


def test_table_of_unknown_columns_stays_an_error(tmp_path: Path) -> None:
    log = folder(tmp_path, spring="date,salt kit result\n2026-01-01,25\n")
    assert loud(log) == [("error", "no nitrate column", 1)]


def test_title_of_several_cells_is_no_header(tmp_path: Path) -> None:
    text = (
        "Log of the big tank,240 L,bought 2024\ndate,nitrate (mg/L NO3),food (g)\n"
        "2026-01-01,10,2\n2026-01-08,12,2.5\n"
    )
    log = read(tmp_path, text)
    assert [t.value_mg_l for t in log.tests] == [10, 12]
    assert ("title rows", 1) in [(p.kind, p.line) for p in log.problems]


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\u0085", "\f", "\v"])
def test_odd_blank_in_a_note_keeps_the_row(tmp_path: Path, sign: str) -> None:
    text = f"date,nitrate (mg/L NO3),note\n2026-01-01,10,a{sign}b\n2026-01-08,12,\n"
    log = read(tmp_path, text)
    assert [(t.line, t.value_mg_l) for t in log.tests] == [(2, 10), (3, 12)]
    assert loud(log) == []


def test_odd_blank_between_digits_makes_no_number(tmp_path: Path) -> None:
    log = read(tmp_path, "date,nitrate (mg/L NO3)\n2026-01-01,1\f0\n2026-01-08,12\n")
    assert loud(log) == [("error", "not a reading", 2)]


def test_note_does_not_ask_for_mending(tmp_path: Path) -> None:
    log = read(tmp_path, 'date,nitrate (mg/L NO3)\n2026-01-01,"12,5"\n')
    (note,) = log.problems
    assert note.sentence() == (
        "log.csv, line 2, column \"nitrate (mg/L NO3)\" (B): read '12,5'. The comma is "
        "read as the decimal sign on line 2. In a tidy file: numbers with a point or a "
        "comma before the decimals"
    )


def told(log: Logbook) -> str:
    return "\n".join(p.sentence() for p in log.problems)


def test_sentences_say_what_is_the_matter(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3)\nJan 4, 2026,10\n2026-01-11,12\n"
    assert 'put quotes round the day that holds a comma: "Jan 4, 2026"' in told(
        read(tmp_path, text)
    )
    text = "date,nitrate (mg/L NO3)\n2026-01-01\n2026-01-02\n"
    assert "2 names over rows of 1 cell (" in told(read(tmp_path, text))
    text = "date,nitrate (mg/L NO3)\n2026-01-01,10\n2026-01-02 10\n"
    assert "a space between the cells: '2026-01-02 10'" in told(read(tmp_path, text))
    text = "date,nitrate (mg/L NO3),\n2026-01-01,3,4\n2026-01-02,3,5\n"
    about = [p.kind for p in read(tmp_path, text).problems]
    assert about == ["unnamed column"]


def test_file_that_is_not_there_has_no_line(tmp_path: Path) -> None:
    (problem,) = read_logbook(tmp_path / "none.csv", today=TODAY).problems
    assert isinstance(problem, Problem)
    said = problem.sentence()
    assert said.startswith("none.csv: read no file or folder of that name.")


def test_exchanges_without_a_size_say_which_column_is_missing(tmp_path: Path) -> None:
    log = folder(tmp_path, exchanges="date,colour\n2026-01-04,green\n")
    (error,) = (p for p in log.problems if p.level == "error")
    assert error.kind == "no exchange column"
    assert 'a column such as "percent (%)"' in error.expected
    assert log.unknown_exchanges == (dt.date(2026, 1, 4),)


def test_limit_of_a_setting_is_written_out(tmp_path: Path) -> None:
    (tmp_path / "tank.toml").write_text("[volume]\nlitres = 1e9\n", encoding="utf-8")
    (tmp_path / "tests.csv").write_text(TESTS, encoding="utf-8")
    said = told(read_logbook(tmp_path, today=TODAY))
    assert "10,000,000" in said
    assert "e+" not in said
