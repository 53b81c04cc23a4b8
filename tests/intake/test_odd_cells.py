"""Cells and dates that would become another number when read in a hurry."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from kit.answers import keep
from kit.celltext import has_odd_digit
from kit.doubt import looks_like
from kit.files import read_logbook
from kit.intake.amounts import Amount, read_amount
from kit.intake.datetext import BadDate, read_date, read_time
from kit.logbook import Logbook
from kit.numerals import NumberStyle, TwoNumbers, number_style, read_number
from kit.reading import Reading, Unreadable, read_nitrate

TODAY = dt.date(2026, 11, 25)


def read(path: Path, text: str, answer: str = "", kind: str = "") -> Logbook:
    file = path / "log.csv"
    file.write_text(text, encoding="utf-8")
    log = read_logbook(file, today=TODAY)
    if answer:
        question = next(
            p for p in log.problems if p.level == "question" and kind in p.kind
        )
        keep(path / "log.answers.json", question, answer, day=TODAY)
        log = read_logbook(file, today=TODAY)
    return log


def kinds(log: Logbook) -> list[tuple[str, str, int | None]]:
    return [(p.level, p.kind, p.line) for p in log.problems if p.level != "note"]


@pytest.mark.parametrize(
    "text", ["2²", "½", "1½", "1²,5", "②0", "2⁰", "1..5", "19.+", "<5."]
)
def test_reading_that_would_be_another_number_is_an_error(text: str) -> None:
    assert isinstance(read_nitrate(text), Unreadable)


@pytest.mark.parametrize("text", ["1²", "1½", "2²%"])
def test_amount_that_would_be_another_number_is_an_error(text: str) -> None:
    assert isinstance(read_amount(text, NumberStyle(), shares=True), Unreadable)


def test_digits_of_a_unit_are_no_digits_of_the_number() -> None:
    read_ = read_nitrate("20 mg/L NO₃⁻")
    assert isinstance(read_, Reading)
    assert read_.value == 20
    assert not has_odd_digit("mg L⁻¹")
    half = read_amount("½ of the tank", NumberStyle(), shares=True)
    assert isinstance(half, Amount)
    assert half.number == 50


def test_raised_digit_is_no_part_of_a_day_or_time() -> None:
    assert isinstance(read_date("2026-01-0²"), BadDate)
    assert read_time("0²:00") is None


@pytest.mark.parametrize(
    ("text", "guess"),
    [("2o", "20"), ("4o", "40"), ("l0", "10"), ("1o0", "100"), ("1.o", "1.0")],
)
def test_one_slip_of_a_letter_is_offered(text: str, guess: str) -> None:
    assert looks_like(text) == guess


@pytest.mark.parametrize(
    "text", ["20l", "1_000", "25+25", "10<20", "0x10", "e5", "20%", "<>5", "abc", "20s"]
)
def test_no_slip_is_offered_where_none_is_plausible(text: str) -> None:
    assert looks_like(text) is None


def test_point_in_a_semicolon_file_may_stand_between_thousands() -> None:
    bare = number_style(["1.000", "50"], semicolons=True)
    assert read_number("1.000", bare) == TwoNumbers(1, 1000)
    assert read_number("1.000", number_style(["1.000", "50"])) == 1
    pointed = number_style(["1.000", "12.5"], semicolons=True)
    assert read_number("1.000", pointed) == 1


def test_comma_and_point_as_decimal_signs_leave_a_thousand_open() -> None:
    style = number_style(["12,5", "13.5", "1,250"])
    assert read_number("1,250", style) == TwoNumbers(1.25, 1250)
    assert read_number("12,5", style) == 12.5


@pytest.mark.parametrize(
    ("dates", "open_"),
    [
        (["26/02/04", "26/02/11"], [2, 3]),
        (["2026-01-01", "26-01-04"], [3]),
        (["26/04/13", "20/04/13"], [2, 3]),
    ],
)
def test_year_that_may_stand_first_is_asked(
    tmp_path: Path, dates: list[str], open_: list[int]
) -> None:
    rows = "".join(f"{d},20\n" for d in dates)
    log = read(tmp_path, f"date,nitrate (mg/L NO3)\n{rows}")
    asked = [p for p in log.problems if p.kind == "year first or last"]
    assert [list(p.lines) for p in asked] == [open_]
    assert not {t.line for t in log.tests} & set(open_)


def test_day_that_cannot_be_a_year_settles_it(tmp_path: Path) -> None:
    # The 31st cannot be the year 2031, since the log is of 2026.
    log = read(tmp_path, "date,nitrate (mg/L NO3)\n26/03/25,20\n31/03/25,25\n")
    assert [t.date for t in log.tests] == [dt.date(2025, 3, 26), dt.date(2025, 3, 31)]
    assert kinds(log) == []


def test_year_first_answer_is_applied(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3)\n26/02/04,10\n26/02/11,11\n"
    log = read(tmp_path, text, "year-first", "year")
    assert [t.date for t in log.tests] == [dt.date(2026, 2, 4), dt.date(2026, 2, 11)]


def test_first_row_as_entry_leads_to_a_question_for_each_column(tmp_path: Path) -> None:
    text = "2026-01-01,10,0.5,clear\n2026-01-08,12,0.5,\n"
    log = read(tmp_path, text, "entry", "no header")
    asked = [p for p in log.problems if p.level == "question"]
    assert [(p.kind, p.letter) for p in asked] == [
        ("meaning of a column", "B"),
        ("meaning of a column", "C"),
    ]
    log = read(tmp_path, text, "nitrate", "meaning")
    assert [(t.line, t.value_mg_l) for t in log.tests] == [(1, 10), (2, 12)]
    assert [n.text for n in log.notes] == ["clear"]


UNDER = "date,nitrate (mg/L NO3)\n{a},\n2026-01-01,10\n{b},\n2026-01-02,40\n"
TABLES = (
    "{a}\ndate,nitrate (mg/L NO3)\n2026-01-01,10\n\n"
    "{b}\ndate,nitrate (mg/L NO3)\n2026-01-02,40\n"
)


@pytest.mark.parametrize("form", [UNDER, TABLES])
def test_tanks_under_headings_are_asked_apart(tmp_path: Path, form: str) -> None:
    text = form.format(a="Big tank", b="Small tank")
    log = read(tmp_path, text)
    assert log.tests == ()
    assert [k[1] for k in kinds(log)] == ["several headings"]
    assert [t.value_mg_l for t in read(tmp_path, text, "Small tank").tests] == [40]
    (tmp_path / "log.answers.json").unlink()
    assert len(read(tmp_path, text, "all one tank").tests) == 2


@pytest.mark.parametrize(
    ("a", "b"), [("January", "February 2026"), ("Week 1", "Week 2"), ("2025", "2026")]
)
def test_headings_that_are_times_are_no_tanks(tmp_path: Path, a: str, b: str) -> None:
    log = read(tmp_path, UNDER.format(a=a, b=b))
    assert [t.value_mg_l for t in log.tests] == [10, 40]
    assert kinds(log) == []
