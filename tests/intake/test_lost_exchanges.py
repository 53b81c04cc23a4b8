"""An exchange that happened is never forgotten, whatever cannot be read of it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from kit.answers import keep
from kit.files import logbook_as_dict, read_logbook
from kit.logbook import Logbook

TODAY = dt.date(2026, 11, 25)
TOML = '[volume]\nlitres = 200\nhow = "measured"\n'
TESTS = "date,nitrate (mg/L NO3)\n2026-01-01,10\n2026-01-08,12\n"


def folder(path: Path, exchanges: str) -> Logbook:
    for name, text in {
        "tank.toml": TOML,
        "tests.csv": TESTS,
        "exchanges.csv": exchanges,
    }.items():
        (path / name).write_text(text, encoding="utf-8")
    return read_logbook(path, today=TODAY)


def wide(path: Path, text: str, **answers: str) -> Logbook:
    file = path / "log.csv"
    file.write_text(text, encoding="utf-8")
    log = read_logbook(file, today=TODAY)
    for kind, word in answers.items():
        asked = kind.replace("_", " ")
        question = next(
            p for p in log.problems if p.level == "question" and asked in p.kind
        )
        keep(path / "log.answers.json", question, word, day=TODAY)
        log = read_logbook(file, today=TODAY)
    return log


LOST = {
    "order of day and month": ("date,percent (%)\n03/04/2026,50\n05/06/2026,50\n", 2),
    "no such day": ("date,percent (%)\n2026-01-05,50\n2026-02-30,50\n", 1),
    "future": ("date,percent (%)\n2027-01-05,50\n", 1),
    "word": ("date,percent (%)\nyesterday,yes\n", 1),
    "blank": ("date,percent (%)\n2026-01-02,50\n,50\n", 1),
    "no header": ("2026-01-02,50\n2026-01-09,50\n", 2),
    "cut by another separator": (
        "date,kind,percent (%)\n2026-01-02,batch,50\n2026-01-05;batch;50\n", 1),
    "a cell too many": ("date,percent (%)\n2026-01-02,50\n2026-01-05,50,,5\n", 1),
    "no column of days": ("day number,percent (%)\n1,50\n2,50\n", 2),
    "drip to an unknown flow": ("date,drip (L/day)\n2026-01-02,fast\n", 1),
}  # fmt: skip


@pytest.mark.parametrize("name", LOST)
def test_exchange_without_a_day_is_lost_by_its_line(tmp_path: Path, name: str) -> None:
    text, count = LOST[name]
    log = folder(tmp_path, text)
    last = len(text.splitlines())
    due = [f"exchanges.csv, line {n}" for n in range(last - count + 1, last + 1)]
    assert [place.partition(" (")[0] for place in log.lost_exchanges] == due
    assert logbook_as_dict(log)["lost_exchanges"] == list(log.lost_exchanges)


def test_file_of_exchanges_that_cannot_be_read_is_lost_whole(tmp_path: Path) -> None:
    assert folder(tmp_path, "").lost_exchanges == ("exchanges.csv",)


@pytest.mark.parametrize(
    "text",
    [
        "date,percent (%)\n2026-01-02,50\n",
        "date,percent (%)\n",
        "date,percent (%),note\n2026-01-02,50,\nyesterday,no,\n",
    ],
)
def test_nothing_is_lost_where_all_is_known(tmp_path: Path, text: str) -> None:
    assert folder(tmp_path, text).lost_exchanges == ()


@pytest.mark.parametrize(
    "cell", ["yes", "0.2", "150", "-5", "much", "1,000", "=A1", "#REF!"]
)
def test_dated_exchange_of_unknown_size_keeps_its_day(
    tmp_path: Path, cell: str
) -> None:
    log = folder(tmp_path, f'date,percent (%)\n2026-01-02,50\n2026-01-05,"{cell}"\n')
    assert log.unknown_exchanges == (dt.date(2026, 1, 5),)
    assert log.lost_exchanges == ()
    assert len(log.exchanges) == 1


WIDE = "date,nitrate (mg/L NO3),water change\n2026-01-01,10,\n"


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ("2026-01-02,,yes", "usual_size"),
        ("2026-01-02,,40", "unit"),
        ('2026-01-02,,"1,000 L"', "comma"),
    ],
)
def test_size_left_out_keeps_the_day(tmp_path: Path, row: str, kind: str) -> None:
    log = wide(tmp_path, f"{WIDE}{row}\n", **{kind: "leave out"})
    assert log.exchanges == ()
    assert log.unknown_exchanges == (dt.date(2026, 1, 2),)


def test_only_no_exchange_forgets_it(tmp_path: Path) -> None:
    log = wide(tmp_path, f"{WIDE}2026-01-02,,x\n", usual_size="no exchange")
    assert (log.exchanges, log.unknown_exchanges) == ((), ())


def test_day_left_out_stays_lost(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3),exchanged (%)\n03/04/2026,10,50\n05/06/2026,12,\n"
    log = wide(tmp_path, text, order="leave out")
    assert log.lost_exchanges == ("log.csv, line 2",)


def test_answered_day_is_no_longer_lost(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3),exchanged (%)\n03/04/2026,10,50\n05/06/2026,12,\n"
    log = wide(tmp_path, text, order="day-first")
    assert log.lost_exchanges == ()
    assert [e.date for e in log.exchanges] == [dt.date(2026, 4, 3)]


def test_column_held_by_a_question_keeps_its_days(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3),volume (L)\n2026-01-04,20,30\nsome day,20,30\n"
    log = wide(tmp_path, text)
    assert log.unknown_exchanges == (dt.date(2026, 1, 4),)
    assert log.lost_exchanges == ("log.csv, line 3",)


ROWS = "date,kind,percent (%),volume (L),drip (L/day)\n"


@pytest.mark.parametrize(
    ("row", "problem", "unknown", "lost"),
    [
        ("batch,,,", ("question", "usual size?"), 1, 0),
        ("backwash,n/a,-,", ("question", "usual size?"), 1, 0),
        (",,,", ("question", "usual size?"), 1, 0),
        ("drip change,,,", ("error", "drip missing"), 0, 1),
        ("drip change,25,,", ("question", "exchange or drip"), 1, 1),
        ("batch,,,20", ("question", "exchange or drip"), 1, 1),
        ("batch,25,,20", ("question", "exchange or drip"), 1, 1),
    ],
)
def test_row_without_size_or_of_two_kinds_is_told(
    tmp_path: Path, row: str, problem: tuple[str, str], unknown: int, lost: int
) -> None:
    log = folder(tmp_path, f"{ROWS}2026-01-02,batch,50,,\n2026-01-05,{row}\n")
    assert problem in [(p.level, p.kind) for p in log.problems if p.line == 3]
    assert len(log.exchanges) == 1
    assert len(log.unknown_exchanges) == unknown
    assert len(log.lost_exchanges) == lost


@pytest.mark.parametrize(
    ("answer", "kinds"),
    [
        ("exchange", [("batch", 0.25, None)]),
        ("drip", [("drip change", None, 20)]),
        ("both", [("batch", 0.25, None), ("drip change", None, 20)]),
    ],
)
def test_row_of_two_kinds_is_what_the_keeper_says(
    tmp_path: Path, answer: str, kinds: list[tuple[str, float | None, float | None]]
) -> None:
    log = folder(tmp_path, f"{ROWS}2026-01-05,batch,25,,20\n")
    question = next(p for p in log.problems if p.level == "question")
    keep(tmp_path / "answers.json", question, answer, day=TODAY)
    log = read_logbook(tmp_path, today=TODAY)
    assert [(e.kind, e.fraction, e.drip_l_day) for e in log.exchanges] == kinds
    assert (log.unknown_exchanges, log.lost_exchanges) == ((), ())


def test_usual_size_is_taken_for_rows_without_one(tmp_path: Path) -> None:
    log = folder(tmp_path, f"{ROWS}2026-01-02,batch,50,,\n2026-01-05,batch,,,\n")
    question = next(p for p in log.problems if p.level == "question")
    keep(tmp_path / "answers.json", question, "50 %", day=TODAY)
    log = read_logbook(tmp_path, today=TODAY)
    assert [(e.line, e.fraction) for e in log.exchanges] == [(2, 0.5), (3, 0.5)]


TWO = {
    # 10 US gallons are 37.85 L (NIST Handbook 44, appendix C).
    "litres and gallons": ("exchanged (L),exchanged (US gal)", "37.9,10", 0.1895),
    "percent and fraction": ("exchanged (%),exchanged (fraction)", "25,0.25", 0.25),
    "percent and litres": ("exchanged (%),exchanged (L)", "25,51", 0.25),
}


@pytest.mark.parametrize("name", TWO)
def test_one_exchange_in_two_columns_is_one_event(tmp_path: Path, name: str) -> None:
    heads, cells, share = TWO[name]
    log = folder(tmp_path, f"date,{heads}\n2026-01-05,{cells}\n")
    assert [e.fraction for e in log.exchanges] == [pytest.approx(share, abs=1e-6)]
    assert [p for p in log.problems if p.level != "note"] == []


@pytest.mark.parametrize(
    ("heads", "cells"),
    [
        ("exchanged (L),exchanged (US gal)", "60,10"),
        ("exchanged (%),exchanged (fraction)", "25,0.5"),
        ("exchanged (%),exchanged (L)", "2 L,50"),
    ],
)
def test_sizes_that_disagree_are_asked_once(
    tmp_path: Path, heads: str, cells: str
) -> None:
    rows = "".join(f"2026-01-{day:02d},{cells}\n" for day in (5, 12))
    log = folder(tmp_path, f"date,{heads}\n{rows}")
    assert log.exchanges == ()
    assert [d.day for d in log.unknown_exchanges] == [5, 12]
    asked = [p for p in log.problems if p.level == "question"]
    assert [p.kind for p in asked] == ["sizes of one exchange disagree"]
    keep(tmp_path / "answers.json", asked[0], "column C", day=TODAY)
    assert len(read_logbook(tmp_path, today=TODAY).exchanges) == 2
    keep(tmp_path / "answers.json", asked[0], "each", day=TODAY)
    assert len(read_logbook(tmp_path, today=TODAY).exchanges) == 4


def test_missing_volume_is_one_question_and_its_answer_gives_the_share(
    tmp_path: Path,
) -> None:
    text = (
        "date,nitrate (mg/L NO3),exchanged (L)\n2026-01-01,10,\n2026-01-02,,50\n"
        "2026-01-09,,40\n"
    )
    log = wide(tmp_path, text)
    assert [(p.level, p.kind) for p in log.problems] == [("question", "volume missing")]
    assert [(e.litres, e.fraction) for e in log.exchanges] == [(50, None), (40, None)]
    log = wide(tmp_path, text, volume="200 L")
    assert [e.fraction for e in log.exchanges] == [0.25, 0.2]
    assert log.tank.volume_l == 200


def test_thousands_answer_holds_for_every_cell_alike(tmp_path: Path) -> None:
    text = (
        "date;exchanged (L);tank volume (L)\n2026-01-02;1.000;2 000\n"
        "2026-01-09;50;\n2026-01-16;1,000;\n"
    )
    log = wide(tmp_path, text)
    assert [e.line for e in log.exchanges] == [3]
    assert [d.day for d in log.unknown_exchanges] == [2, 16]
    log = wide(tmp_path, text, comma="thousands")
    assert [e.litres for e in log.exchanges] == [1000, 50, 1000]


def test_exchange_written_twice_is_open_until_answered(tmp_path: Path) -> None:
    text = "date,percent (%)\n2026-01-05,50\n2026-01-05,50\n"
    log = folder(tmp_path, text)
    assert len(log.exchanges) == 1
    assert log.unknown_exchanges == (dt.date(2026, 1, 5),)
    for word, count in (("once", 1), ("twice", 2)):
        question = next(p for p in log.problems if p.level == "question")
        keep(tmp_path / "answers.json", question, word, day=TODAY)
        answered = read_logbook(tmp_path, today=TODAY)
        assert len(answered.exchanges) == count
        assert answered.unknown_exchanges == ()


WIDER = "date,nitrate (mg/L NO3),exchanged (%),note\n2026-01-01,10,,a\n"


@pytest.mark.parametrize(
    ("row", "lost"),
    [
        ("2026-01-02,20", True),  # a cell too few: which one is missing?
        ("2026-01-02;;20;b", True),
        ('"2026-01-02,,20,b"', True),
        ("2026-01-02,,20,b,c", True),
        ("2026-01-02,,20,\x07b", True),
        ("2026-01-02,12,,\x07b", False),
    ],
)
def test_row_that_is_not_read_may_hold_an_exchange(
    tmp_path: Path, row: str, lost: bool
) -> None:
    log = wide(tmp_path, f"{WIDER}{row}\n2026-01-08,12,,c\n2026-01-15,13,,d\n")
    assert (log.lost_exchanges == ("log.csv, line 3",)) is lost
    assert [t.line for t in log.tests] == [2, 4, 5]


def test_table_to_the_right_is_lost_while_its_days_are_asked(tmp_path: Path) -> None:
    text = "Date,NO3 (mg/L NO3),,Date,WC %\n2026-01-04,20,,2026-01-05,25\n"
    log = wide(tmp_path, text)
    assert log.lost_exchanges == ("log.csv, line 2",)


def test_rows_of_another_tank_are_lost_while_that_is_asked(tmp_path: Path) -> None:
    text = "date,tank,exchanged (%)\n2026-01-04,log,20\n2026-01-11,Weir,25\n"
    log = wide(tmp_path, text)
    assert log.lost_exchanges == ("log.csv, line 3",)
    log = wide(tmp_path, text, another="another tank")
    assert log.lost_exchanges == ()
