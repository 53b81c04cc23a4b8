"""A sweep of damaged logs: content comes out exactly, or the damage is reported.

The content to compare with is written down before the damage is done, never read
back by the reader under test.
"""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Iterable

import pytest
from damaged_logs import (
    NAMES,
    Damaged,
    Row,
    cell_damage,
    file_damage,
    file_text,
    harmless,
    row_damage,
    small_log,
    wide_log,
)

from kit.structure import Sheet, parse_sheet

SHORT = [
    ["Date", "NO3"],
    ["01.02.2024", "12,5"],
    ["08.02.2024", "15"],
    ["15.02.2024", ">40"],
]
TASKS = [
    ["date", "task", "note"],
    ["2024-01-05", "filter cleaned", ""],
    ["2024-01-09", "glass wiped", "with the new pad, slowly"],
    ["2024-01-19", "lamp changed", '5" tube'],
    ["2024-01-29", "pump oiled", ""],
]
KEEPER = [
    ["date", "time", "nitrate (mg/L NO3)", "food (g)", "exchanged (%)", "note"],
    ["2024-03-01", "18:00", "10", "0.5", "", ""],
    ["2024-03-08", "18:10", "20", "0.5", "25", "cloudy, a bit"],
    ["2024-03-15", "", "15-20", "0.5", "25", ""],
]


def content(sheet: Sheet) -> list[Row] | None:
    """Give names and records of a sheet of one table, blanks at cell ends aside."""
    if len(sheet.tables) != 1:
        return None
    table = sheet.tables[0]
    rows = [table.header, *(record.cells for record in table.records)]
    return [[cell.strip() for cell in row] for row in rows]


def verdicts(cases: Iterable[Damaged]) -> tuple[int, list[str], list[str]]:
    """Count cases, and name the silent wrongs and those told on a wrong line."""
    count, silent, misplaced = 0, [], []
    for case in cases:
        count += 1
        sheet = parse_sheet(case.data, "log.csv")
        expected = [[cell.strip() for cell in row] for row in case.rows]
        if content(sheet) == expected:
            continue
        if not sheet.problems:
            silent.append(case.name)
        elif case.lines.isdisjoint(problem.line for problem in sheet.problems):
            misplaced.append(case.name)
    return count, silent, misplaced


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_damaged_cell_is_never_read_silently(delimiter: str) -> None:
    cases = cell_damage(small_log()[:23], "small", delimiter=delimiter)
    count, silent, misplaced = verdicts(cases)
    assert count >= 900
    assert silent == []
    assert misplaced == []


def test_a_damaged_cell_where_every_cell_is_quoted() -> None:
    cases = list(cell_damage(small_log()[:9], "quoted", frozenset(range(7))))
    count, silent, misplaced = verdicts(cases)
    assert count >= 500
    assert silent == []
    assert misplaced == []
    for case in cases:
        if "lost row" in case.name or "separator" in case.name:
            continue
        table = parse_sheet(case.data, "log.csv").tables[0]
        lines = [record.line for record in table.records]
        if 1 not in case.lines and table.header_line == 1:
            assert lines == list(range(2, 10)), case.name  # no row is swallowed


@pytest.mark.slow
def test_every_cell_of_a_wide_log() -> None:
    always = frozenset({6, 7})
    count, silent, misplaced = verdicts(cell_damage(wide_log(), "wide", always))
    assert count >= 5_000
    assert silent == []
    assert misplaced == []


@pytest.mark.parametrize("rows", [small_log(), wide_log()], ids=["small", "wide"])
def test_a_row_of_another_dress_is_never_read_silently(rows: list[Row]) -> None:
    count, silent, misplaced = verdicts(row_damage(rows[:30], "row"))
    assert count == 180
    assert silent == []
    assert misplaced == []


@pytest.mark.parametrize("rows", [small_log(), wide_log()], ids=["small", "wide"])
def test_a_damaged_file_is_never_read_silently(rows: list[Row]) -> None:
    count, silent, misplaced = verdicts(file_damage(rows, "file"))
    assert count >= 18
    assert silent == []
    assert misplaced == []


@pytest.mark.parametrize("rows", [SHORT, TASKS, KEEPER], ids=["two", "three", "six"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_short_logs_are_never_read_silently(rows: list[Row], delimiter: str) -> None:
    for length in range(2, len(rows) + 1):
        part = rows[:length]
        _, silent, misplaced = verdicts(cell_damage(part, "short", delimiter=delimiter))
        assert silent == []
        if length > 3:  # with one or two rows either the names or a row may be wrong
            assert misplaced == []
        assert verdicts(file_damage(part, "short"))[1] == []


@pytest.mark.parametrize(
    "rows",
    [small_log(), wide_log(), small_log()[:2], SHORT, TASKS, KEEPER, KEEPER[:2]],
    ids=["small", "wide", "one row", "two", "three", "six", "six, one row"],
)
def test_harmless_dress_gives_no_problem_of_any_level(rows: list[Row]) -> None:
    names = []
    for name, data in harmless(rows):
        sheet = parse_sheet(data, "log.csv")
        assert (name, sheet.problems) == (name, ())
        assert (name, content(sheet)) == (name, rows)
        assert sheet.tables[0].unsure == frozenset()
        names.append(name)
    assert len(names) == 16


@pytest.mark.parametrize("at", range(0, 41, 4))
def test_a_separator_lost_leaves_the_row_out(at: int) -> None:
    rows = small_log()
    lines = file_text(rows).split("\n")
    first, second, rest = lines[at].split(",", 2)
    lines[at] = f"{first}{second},{rest}"
    sheet = parse_sheet("\n".join(lines).encode(), "log.csv")
    errors = [p for p in sheet.problems if p.level == "error"]
    assert [p.line for p in errors][:1] == [at + 1]
    unsure = sheet.tables[0].unsure
    if at == 0:
        assert unsure == {record.line for record in sheet.tables[0].records}
    else:
        assert unsure == {at + 1}
        others = [r for r in sheet.tables[0].records if r.line != at + 1]
        assert [list(r.cells) for r in others] == rows[1:at] + rows[at + 1 :]


@pytest.mark.parametrize("at", [1, 7, 22, 40])
def test_one_open_quote_does_not_swallow_the_rows_under_it(at: int) -> None:
    rows = small_log()
    lines = file_text(rows).split("\n")
    lines[at] = lines[at].replace(",", ',"', 3)
    sheet = parse_sheet("\n".join(lines).encode(), "log.csv")
    assert any(p.level == "error" and p.line == at + 1 for p in sheet.problems)
    others = [r for r in sheet.tables[0].records if r.line != at + 1]
    assert [list(r.cells) for r in others] == rows[1:at] + rows[at + 1 :]
    assert sheet.tables[0].unsure == {at + 1}


def test_a_second_table_keeps_its_own_names_and_rows() -> None:
    rows = small_log()
    narrow = [[row[0], row[3], row[6]] for row in rows]
    wider = [[*row, "extra" if at == 0 else str(at)] for at, row in enumerate(rows)]
    for second in (narrow, wider):
        text = file_text(rows) + file_text(second)
        sheet = parse_sheet(text.encode(), "log.csv")
        assert [(p.level, p.kind, p.line) for p in sheet.problems] == [
            ("note", "several tables", 42)
        ]
        for table, expected in zip(sheet.tables, (rows, second), strict=True):
            assert list(table.header) == expected[0]
            assert [list(r.cells) for r in table.records] == expected[1:]
        assert [t.header_line for t in sheet.tables] == [1, 42]
        assert sheet.tables[1].records[0].line == 43


def test_names_are_those_of_the_sample() -> None:
    sheet = parse_sheet(file_text(small_log()).encode(), "log.csv")
    assert list(sheet.tables[0].header) == NAMES


@pytest.mark.parametrize("rows", [small_log()[:23], KEEPER, TASKS])
def test_no_trusted_row_holds_a_value_under_the_wrong_name(rows: list[Row]) -> None:
    """Dates, times and numbers of rows that are not named unsure stay where they were.

    A quote that was added stays in the cell, so that no number can be read from it.
    """
    looked_at = 0
    for case in cell_damage(rows, "shift"):
        sheet = parse_sheet(case.data, "log.csv")
        for table in sheet.tables:
            if list(table.header) != rows[0]:
                continue
            for record in table.records:
                if record.line in table.unsure:
                    continue
                truth = case.rows[record.line - 1]
                for column, cell in enumerate(truth):
                    if not cell[:1].isdigit() and cell:
                        continue
                    if rows[0][column].casefold() in ("note", "upkeep", "task"):
                        continue
                    looked_at += 1
                    got = record.cells[column]
                    assert got == cell or '"' in got, (case.name, record, truth)
    assert looked_at > 100


def edited(rng: random.Random, text: str, delimiter: str) -> str:
    """Add or take away one to three marks anywhere."""
    for _ in range(rng.choice((1, 1, 2, 2, 3))):
        if rng.random() < 0.4:
            at = rng.randrange(len(text))
            text = text[:at] + rng.choice(['"', delimiter, "\n", "'"]) + text[at:]
            continue
        marks = [i for i, sign in enumerate(text) if sign in f'"\n{delimiter}']
        at = rng.choice(marks)
        text = text[:at] + text[at + 1 :]
    return text


def test_silence_means_the_file_says_just_that() -> None:
    """With several edits at once the original may be lost beyond telling.

    Then silence has to mean that the file is well formed as it stands: the standard
    library's csv module, told the delimiter, reads the very same rows.
    """
    rng = random.Random(20240101)
    logs = [small_log()[:12], wide_log()[:8], KEEPER, TASKS]
    quiet = 0
    for _ in range(3_000):
        rows, delimiter = rng.choice(logs), rng.choice(",;\t")
        text = edited(rng, file_text(rows, delimiter=delimiter), delimiter)
        sheet = parse_sheet(text.encode("utf-8"), "log.csv")
        if sheet.problems:
            continue
        quiet += 1
        read = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        expected = [
            [c.strip() for c in row] for row in read if any(map(str.strip, row))
        ]
        got = content(sheet)
        assert got is not None
        width = len(got[0])
        assert not any(cell for row in expected for cell in row[width:]), text
        assert got == [row[:width] for row in expected], text
    assert 100 < quiet < 1_500
