"""Units that are not known are asked; every conversion leaves a note."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from kit.answers import keep
from kit.files import read_logbook
from kit.logbook import Logbook, Tank

TODAY = dt.date(2026, 11, 25)


def read(path: Path, text: str, answer: str = "", **tank: float) -> Logbook:
    file = path / "log.csv"
    file.write_text(text, encoding="utf-8")
    log = read_logbook(file, today=TODAY, tank=Tank(**tank))  # type: ignore[arg-type]
    if answer:
        question = next(p for p in log.problems if p.level == "question")
        keep(path / "log.answers.json", question, answer, day=TODAY)
        log = read_logbook(file, today=TODAY, tank=Tank(**tank))  # type: ignore[arg-type]
    return log


def kinds(log: Logbook, level: str) -> list[tuple[str, int | None]]:
    return [(p.kind, p.line) for p in log.problems if p.level == level]


@pytest.mark.parametrize(
    "unit", ["drops", "meq/L", "dKH", "x10", "NO2", "N+N", "ppt", "NO3/NO2"]
)
def test_unknown_unit_of_readings_holds_them(tmp_path: Path, unit: str) -> None:
    text = f"date,nitrate ({unit})\n2026-01-01,2\n2026-01-08,3\n"
    log = read(tmp_path, text)
    assert log.tests == ()
    assert kinds(log, "question") == [("unit not known", 1)]
    log = read(tmp_path, text, "mg/L NO3")
    assert [t.value_mg_l for t in log.tests] == [2, 3]


@pytest.mark.parametrize("aside", ["evening", "Aqua kit", "display tank"])
def test_words_that_are_no_unit_are_not_asked(tmp_path: Path, aside: str) -> None:
    log = read(tmp_path, f"date,nitrate ({aside})\n2026-01-01,2\n")
    assert [t.value_mg_l for t in log.tests] == [2]


# 14.0067 g of nitrogen are 62.0049 g of nitrate (CIAAW): 2 mg/L N are 8.854 mg/L.
@pytest.mark.parametrize(
    "text",
    [
        "date,nitrate (mg/L) - N\n2026-01-01,2\n",
        "date,nitrate,unit\n2026-01-01,2,mg/L NO3-N\n",
        "date,nitrate (mg/L),basis\n2026-01-01,2,NO3-N\n",
    ],
)
def test_nitrogen_said_beside_the_unit_is_heard(tmp_path: Path, text: str) -> None:
    log = read(tmp_path, text)
    assert log.tests[0].value_mg_l == pytest.approx(2 * 62.0049 / 14.0067, abs=1e-3)
    assert ("nitrogen turned into nitrate", 2) in kinds(log, "note")


def test_unit_column_holds_for_its_row_alone(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L),basis\n2026-01-01,10,NO3\n2026-01-08,2,NO3-N\n"
    text += "2026-01-15,3,drops\n"
    log = read(tmp_path, text)
    assert [round(t.value_mg_l or 0, 2) for t in log.tests] == [10, 8.85]
    assert ("unit from its own column", 2) in kinds(log, "note")
    assert kinds(log, "error") == [("unknown unit", 4)]


CONVERTED = {
    # 1 mmol of nitrate is 62.0049 mg.
    "nitrate (µg/L NO3)": ("20000", 20.0),
    "nitrate (µmol/L)": ("500", 31.00),
    "nitrate (mmol/L)": ("0.5", 31.00),
}


@pytest.mark.parametrize("head", CONVERTED)
def test_converted_header_leaves_a_note(tmp_path: Path, head: str) -> None:
    cell, value = CONVERTED[head]
    log = read(tmp_path, f"date,{head}\n2026-01-01,{cell}\n")
    assert log.tests[0].value_mg_l == pytest.approx(value, abs=0.01)
    assert ("unit turned into mg/L", 2) in kinds(log, "note")


def test_reading_too_high_says_what_it_is_in_mg_l(tmp_path: Path) -> None:
    log = read(tmp_path, "date,nitrate (g/L NO3)\n2026-01-01,20\n")
    (error,) = (p for p in log.problems if p.level == "error")
    assert "20,000 mg/L" in error.seen


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("date,food (g)\n2026-01-01,3mg\n", "unit of the cell"),
        ("date,exchanged (L)\n2026-01-01,10 US gal\n", "unit of the cell"),
        ('date,food (g)\n2026-01-01,"1,5"\n', "decimal comma"),
        ('date,exchanged (L)\n2026-01-01,"1.234,5"\n', "sign between thousands"),
        ("date,exchanged (L),tank volume (L)\n2026-01-01,10,90\n",
         "volume from the file"),
    ],
)  # fmt: skip
def test_repair_leaves_a_note(tmp_path: Path, text: str, kind: str) -> None:
    volume = {} if "tank" in text else {"volume_l": 2000.0}
    log = read(tmp_path, text, **volume)
    assert (kind, 2) in kinds(log, "note")


WEEKLY = "date,nitrate (mg/L NO3),food ({unit})\n2026-01-01,10,{a}\n2026-01-08,12,{a}\n"


@pytest.mark.parametrize(("unit", "cell"), [("g/day", "2"), ("g", "2 g/day")])
def test_food_a_day_on_weekly_rows_is_asked(
    tmp_path: Path, unit: str, cell: str
) -> None:
    text = WEEKLY.format(unit=unit, a=cell)
    log = read(tmp_path, text)
    assert [f.line for f in log.feedings] == [3]
    assert kinds(log, "question") == [("food a day on rows days apart", 2)]
    log = read(tmp_path, text, "every day")
    assert [f.date.day for f in log.feedings] == [*range(1, 8), 8]
    assert {f.feed_g for f in log.feedings} == {2}
    (tmp_path / "log.answers.json").unlink()
    log = read(tmp_path, text, "that day")
    assert [f.date.day for f in log.feedings] == [1, 8]


def test_food_a_day_on_daily_rows_is_tidy(tmp_path: Path) -> None:
    text = "date,food (g/day)\n2026-01-01,2\n2026-01-02,2\n2026-01-03,2\n"
    log = read(tmp_path, text)
    assert len(log.feedings) == 3
    assert kinds(log, "question") == []


def test_meal_in_grams_and_milligrams_is_one_meal(tmp_path: Path) -> None:
    text = "date,food (g),food (mg)\n2026-01-01,2,2000\n2026-01-02,1,2500\n"
    log = read(tmp_path, text)
    assert [(f.line, f.feed_g) for f in log.feedings] == [(2, 2)]
    assert ("one meal in two columns", 2) in kinds(log, "note")
    assert kinds(log, "question") == [("two amounts of food on one row", 3)]
    assert [f.feed_g for f in read(tmp_path, text, "column C").feedings] == [2, 2.5]


def test_two_foods_stay_two_meals(tmp_path: Path) -> None:
    text = "date,flake food (g),pellet food (g)\n2026-01-01,1,1\n"
    assert [f.feed_g for f in read(tmp_path, text).feedings] == [1, 1]


def test_row_of_food_without_amount_is_named(tmp_path: Path) -> None:
    (tmp_path / "feedings.csv").write_text(
        "date,food (g),kind\n2026-01-02,,flakes\n2026-01-03,2,flakes\n",
        encoding="utf-8",
    )
    log = read_logbook(tmp_path / "feedings.csv", today=TODAY)
    assert ("food without amount", 2) in kinds(log, "note")


def test_two_times_on_a_row_are_asked(tmp_path: Path) -> None:
    text = (
        "date,time,nitrate (mg/L NO3)\n2026-01-01 08:00,09:00,10\n"
        "2026-01-08 08:00,08:00,12\n"
    )
    log = read(tmp_path, text)
    assert [t.time for t in log.tests] == [None, dt.time(8)]
    assert kinds(log, "question") == [("two times on one row", 2)]
    assert read(tmp_path, text, "time column").tests[0].time == dt.time(9)


def test_two_values_of_the_new_water_on_a_day_are_asked(tmp_path: Path) -> None:
    file = tmp_path / "source.csv"
    file.write_text(
        "date,nitrate (mg/L NO3)\n2026-01-01,5\n2026-01-01,9\n", encoding="utf-8"
    )
    log = read_logbook(file, today=TODAY)
    assert log.source == ()
    assert kinds(log, "question") == [("two readings on one day", 3)]


def test_two_columns_of_readings_are_asked_once(tmp_path: Path) -> None:
    text = (
        "date,nitrate (mg/L NO3),NO3 (mg/L NO3)\n2026-01-01,10,20\n2026-01-08,12,22\n"
    )
    log = read(tmp_path, text)
    assert kinds(log, "question") == [("two columns with one meaning", 1)]
    assert log.tests == ()
    assert [t.value_mg_l for t in read(tmp_path, text, "column C").tests] == [20, 22]
    (tmp_path / "log.answers.json").unlink()
    assert len(read(tmp_path, text, "all").tests) == 4


@pytest.mark.parametrize(
    ("header", "cell", "litres"),
    [
        # US gallon 231 cubic inches (NIST Handbook 44, appendix C), imperial gallon
        # 4.54609 L (UK Weights and Measures Act 1985, schedule 1), by hand times 15.
        ("Water changed (US gallons)", "15 gal", 56.7812),
        ("Water changed (imperial gallons)", "15 gal", 68.1914),
        ("Water changed (US gallons)", "15 imp gal", 68.1914),
    ],
)
def test_the_header_says_whose_gallon_a_cell_means(
    tmp_path: Path, header: str, cell: str, litres: float
) -> None:
    text = f"date,nitrate (mg/L NO3),{header}\n2026-01-02,20,\n2026-01-05,,{cell}\n"
    log = read(tmp_path, text, volume_l=180.0)
    assert kinds(log, "question") == []
    assert [e.litres for e in log.exchanges] == [pytest.approx(litres, abs=1e-3)]


@pytest.mark.parametrize(
    ("header", "cell"),
    [("Water changed (L)", "15 gal"), ("Water changed (US gallons)", "15 qt")],
)
def test_a_gallon_the_header_does_not_settle_is_asked(
    tmp_path: Path, header: str, cell: str
) -> None:
    text = f"date,nitrate (mg/L NO3),{header}\n2026-01-02,20,\n2026-01-05,,{cell}\n"
    log = read(tmp_path, text, volume_l=180.0)
    assert [kind for kind, _ in kinds(log, "question")] == ["which gallon"]
