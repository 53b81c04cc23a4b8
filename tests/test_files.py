"""Whole files to logbooks: sample logs in many dresses, each with what it must give.

The sidecar of each sample was written by hand from the sample.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.answers import keep
from kit.files import logbook_as_dict, read_logbook
from kit.logbook import Logbook, Tank

LOGS = Path(__file__).parent / "logs"
SAMPLES = sorted(p.stem for p in LOGS.glob("*.csv"))
TODAY = dt.date(2026, 11, 25)


def tank_of(sidecar: dict[str, Any]) -> Tank:
    given_ = dict(sidecar["tank"])
    if "kit_steps_mg_l" in given_:
        given_["kit_steps_mg_l"] = tuple(given_["kit_steps_mg_l"])
    return Tank(**given_)


def load(name: str) -> tuple[dict[str, Any], Logbook]:
    sidecar = json.loads((LOGS / f"{name}.json").read_text(encoding="utf-8"))
    log = read_logbook(LOGS / f"{name}.csv", today=TODAY, tank=tank_of(sidecar))
    return sidecar, log


def close(one: object, other: object) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        # The factor of nitrogen is known to four digits (4.4268 by molmass).
        return math.isclose(one, other, rel_tol=2e-5)
    return one == other


def assert_rows(found: list[dict[str, Any]], due: list[dict[str, Any]]) -> None:
    assert [r["line"] for r in found] == [r["line"] for r in due]
    for row, wanted in zip(found, due, strict=True):
        for key, value in wanted.items():
            assert close(row[key], value), (key, row, wanted)


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_gives_its_values(name: str) -> None:
    sidecar, log = load(name)
    found = logbook_as_dict(log)
    for table in ("tests", "exchanges", "feedings", "source"):
        assert_rows(found[table], sidecar[table])
    assert found["unknown_exchanges"] == sidecar["unknown_exchanges"]
    if "notes" in sidecar:
        assert_rows(found["notes"], sidecar["notes"])


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_gives_its_problems_and_no_other(name: str) -> None:
    sidecar, log = load(name)
    due = [tuple(p.values()) for p in sidecar["problems"]]
    found = [(p.level, p.kind, p.line, p.column) for p in log.problems]
    assert sorted(found, key=str) == sorted(due, key=str)


@pytest.mark.parametrize("name", SAMPLES)
def test_every_problem_can_be_acted_on(name: str) -> None:
    _, log = load(name)
    for problem in log.problems:
        assert problem.file == f"{name}.csv"
        assert problem.seen
        assert problem.expected
        assert problem.mend
        if problem.level == "question":
            assert len(problem.choices) >= 2
            assert problem.touches


def test_samples_are_not_changed_by_reading() -> None:
    def prints() -> dict[str, str]:
        return {
            p.name: hashlib.sha256(p.read_bytes()).hexdigest()
            for p in sorted(LOGS.iterdir())
        }

    before = prints()
    for name in SAMPLES:
        load(name)
    assert prints() == before


def test_header_is_quoted_as_written() -> None:
    _, log = load("bad_cells")
    columns = {p.column for p in log.problems}
    assert columns == {"nitrate (mg/L NO3)", "food (g)", "exchanged (%)"}


FOLDER = {
    "tank.toml": 'name = "Brook"\n[volume]\nlitres = 100\nhow = "measured"\n'
    "[kit]\nsteps = [0, 5, 10, 20, 40]\n",
    "tests.csv": "date,time,nitrate (mg/L NO3),reader,kit,note\n"
    "2026-01-04,18:00,20,A,,\n2026-01-11,18:00,40,A,,\n",
    "feedings.csv": "date,food (g),kind,note\n2026-01-04,0.5,flake,\n",
    "exchanges.csv": "date,time,kind,percent (%),volume (L),drip (L/day),note\n"
    "2026-01-04,19:00,batch,25,,,\n2026-01-11,19:00,backwash,,10,,\n"
    "2026-01-12,,drip change,,,5,\n",
    "upkeep.csv": "date,task,note\n2026-01-06,prefilter,\n",
    "source.csv": "date,nitrate (mg/L NO3),note\n2026-01-05,5,\n",
}


def folder(path: Path, **changes: str | None) -> Path:
    for name, text in {**FOLDER, **changes}.items():
        if text is not None:
            (path / name).write_text(text, encoding="utf-8")
    return path


def test_tidy_folder_has_no_problem(tmp_path: Path) -> None:
    log = read_logbook(folder(tmp_path), today=TODAY)
    assert log.problems == ()
    assert [(t.low_mg_l, t.value_mg_l) for t in log.tests][1][1] == 40
    assert [e.kind for e in log.exchanges] == ["batch", "backwash", "drip change"]
    assert [e.fraction for e in log.exchanges] == [0.25, 0.1, None]
    assert log.exchanges[2].drip_l_day == 5
    assert log.feedings[0].food == "flake"
    assert [u.task for u in log.upkeep] == ["prefilter"]
    assert log.source[0].value_mg_l == 5
    assert log.tank.name == "Brook"


@pytest.mark.parametrize(
    ("name", "text", "kind"),
    [
        ("tests.csv", None, "no tests"),
        ("tests.csv", "", "empty file"),
        ("tests.csv", "a,b\n1,2\n", "no date column"),
        (
            "exchanges.csv",
            "date,colour\n2026-01-04,green\n",
            "no exchange column",
        ),
        ("feedings.csv", "date,colour\n2026-01-04,green\n", "no feed column"),
        ("source.csv", "date,colour\n2026-01-04,green\n", "no nitrate column"),
        (
            "tests.csv",
            "date,nitrate (mg/L NO3)\n2026-02-30,5\n2026-01-04,5\n",
            "impossible date",
        ),
        (
            "exchanges.csv",
            "date,percent (%)\n2026-01-04,120\n",
            "more than the whole tank",
        ),
    ],
)
def test_bad_file_is_an_error(
    tmp_path: Path, name: str, text: str | None, kind: str
) -> None:
    log = read_logbook(folder(tmp_path, **{name: text}), today=TODAY)
    errors = [(p.kind, p.file) for p in log.problems if p.level == "error"]
    assert (kind, name) in errors


def test_path_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    log = read_logbook(tmp_path / "none.csv", today=TODAY)
    assert [p.level for p in log.problems] == ["error"]


def test_entry_in_two_files_is_used_once(tmp_path: Path) -> None:
    extra = "date,time,nitrate (mg/L NO3)\n2026-01-11,18:00,40\n2026-01-18,18:00,20\n"
    log = read_logbook(folder(tmp_path, **{"older.csv": extra}), today=TODAY)
    assert [t.date.day for t in log.tests] == [4, 11, 18]
    notes = [(p.kind, p.file, p.line) for p in log.problems]
    assert notes == [("same entry in two files", "older.csv", 2)]


def test_two_values_in_two_files_are_asked(tmp_path: Path) -> None:
    extra = "date,nitrate (mg/L NO3)\n2026-01-11,20\n"
    log = read_logbook(folder(tmp_path, **{"older.csv": extra}), today=TODAY)
    assert [t.date.day for t in log.tests] == [4]
    assert [p.kind for p in log.problems] == ["two readings on one day"]


def ask(path: Path) -> Logbook:
    return read_logbook(path, today=TODAY, tank=Tank())


ANSWERED = [
    ("day_or_month", "day-first", {2: "2026-04-03", 3: "2026-04-10"}),
    ("day_or_month", "month-first", {2: "2026-03-04", 3: "2026-10-04"}),
    ("no_kit", "under 5", {2: "2026-05-03", 4: "2026-05-17"}),
    ("slip", "slip", {4: "2026-01-18"}),
    ("twice", "all", {5: "2026-01-12", 6: "2026-01-12"}),
    ("two_tanks", "brook", {2: "2026-01-04"}),
    ("blank_dates", "day above", {}),
]


@pytest.mark.parametrize(("name", "word", "days"), ANSWERED)
def test_answer_is_applied_and_kept(
    tmp_path: Path, name: str, word: str, days: dict[int, str]
) -> None:
    path = tmp_path / f"{name}.csv"
    path.write_bytes((LOGS / f"{name}.csv").read_bytes())
    questions = [p for p in ask(path).problems if p.level == "question"]
    question = next(q for q in questions if word in [c.answer for c in q.choices])
    keep(tmp_path / f"{name}.answers.json", question, word, day=TODAY)
    log = ask(path)
    open_ = [p.question_id for p in log.problems if p.level == "question"]
    assert question.question_id not in open_
    assert any(word in a and TODAY.isoformat() in a for a in log.answers)
    found = {t.line: t.date.isoformat() for t in log.tests}
    assert {n: found.get(n) for n in days} == days


def test_answer_to_other_cells_is_not_applied(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("Date,NO3 (mg/L NO3)\n03/04/2026,20\n", encoding="utf-8")
    question = ask(path).problems[0]
    keep(tmp_path / "log.answers.json", question, "day-first", day=TODAY)
    assert len(ask(path).tests) == 1
    path.write_text("Date,NO3 (mg/L NO3)\n05/04/2026,20\n", encoding="utf-8")
    log = ask(path)
    assert log.tests == ()
    kinds = [(p.level, p.kind) for p in log.problems]
    assert kinds == [
        ("question", "order of day and month"),
        ("note", "answer not used"),
    ]


def test_answers_file_of_nonsense_is_an_error(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("Date,NO3 (mg/L NO3)\n2026-04-03,20\n", encoding="utf-8")
    for text in ("", "[]", '{"answers": 5}', '{"answers": [5]}', "\x00", "[" * 9999):
        answers = tmp_path / "a.json"
        answers.write_text(text, encoding="utf-8")
        log = read_logbook(path, today=TODAY, answers=answers, tank=Tank())
        assert [p.kind for p in log.problems] == ["answers file"]
        assert len(log.tests) == 1


def test_same_day_answer_reaches_the_tank(tmp_path: Path) -> None:
    path = tmp_path / "same_day.csv"
    path.write_bytes((LOGS / "same_day.csv").read_bytes())
    question = ask(path).problems[0]
    keep(tmp_path / "same_day.answers.json", question, "after", day=TODAY)
    assert ask(path).tank.same_day == "after"


def test_yes_answered_as_not_known_is_listed_without_size(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        "date,nitrate (mg/L NO3),water change\n2026-01-04,20,\n2026-01-05,,yes\n",
        encoding="utf-8",
    )
    log = ask(path)
    assert log.exchanges == ()
    keep(tmp_path / "log.answers.json", log.problems[0], "not known", day=TODAY)
    (exchange,) = ask(path).exchanges
    assert (exchange.fraction, exchange.litres) == (None, None)
    keep(tmp_path / "log.answers.json", log.problems[0], "30 %", day=TODAY)
    (exchange,) = ask(path).exchanges
    assert exchange.fraction == 0.3


def one(tmp_path: Path, text: str, **tank: Any) -> Logbook:
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    return read_logbook(path, today=TODAY, tank=Tank(**tank))


def kinds(log: Logbook) -> list[tuple[str, str, int | None]]:
    return [(p.level, p.kind, p.line) for p in log.problems]


def test_one_reading_in_two_units_is_used_once(tmp_path: Path) -> None:
    # 4.5 mg/L of nitrogen are 19.9 mg/L of nitrate.
    text = "date,nitrate (mg/L NO3),NO3-N (mg/L)\n2026-01-04,20,4.5\n2026-01-11,25,9\n"
    log = one(tmp_path, text)
    assert [(t.line, t.value_mg_l) for t in log.tests] == [(2, 20)]
    found = [k for k in kinds(log) if k[1] != "nitrogen turned into nitrate"]
    assert found == [
        ("question", "two columns with one meaning", 1),
        ("note", "one reading in two columns", 2),
    ]


def test_header_and_settings_that_disagree_are_asked(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3)\n2026-01-04,20\n"
    log = one(tmp_path, text, kit_basis="NO3-N")
    assert log.tests == ()
    assert kinds(log) == [("question", "NO3 or NO3-N", 1)]


def test_settings_say_what_an_unsaid_header_counts(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L)\n2026-01-04,10\n"
    log = one(tmp_path, text, kit_basis="NO3-N")
    # 10 mg/L NO3-N, the US limit of drinking water, are 44.27 mg/L NO3.
    assert log.tests[0].value_mg_l == pytest.approx(44.27, abs=0.01)


def test_label_volume_is_named(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3),exchanged (L)\n2026-01-04,20,\n2026-01-05,,30\n"
    log = one(tmp_path, text, volume_l=120.0, volume_how="label")
    assert log.exchanges[0].fraction == 0.25
    assert kinds(log) == [("note", "volume from the label", 3)]


def test_header_gives_the_order_of_day_and_month(tmp_path: Path) -> None:
    text = "Date (dd/mm/yyyy),NO3 (mg/L NO3)\n03/04/2026,20\n04/25/2026,20\n"
    log = one(tmp_path, text)
    assert [t.date for t in log.tests] == [dt.date(2026, 4, 3)]
    assert ("error", "date against the header", 3) in kinds(log)


def test_iso_dates_are_never_turned_round(tmp_path: Path) -> None:
    text = "date,nitrate (mg/L NO3)\n2026-04-03,20\n13/04/2026,25\n05/04/2026,25\n"
    log = one(tmp_path, text)
    days = {t.line: t.date for t in log.tests}
    assert days[2] == dt.date(2026, 4, 3)
    assert days[4] == dt.date(2026, 4, 5)


def test_column_of_days_without_a_name(tmp_path: Path) -> None:
    log = one(tmp_path, "Sampled,NO3 (mg/L NO3)\n2026-01-04,20\n2026-01-11,25\n")
    assert len(log.tests) == 2
    assert kinds(log) == [("note", "date column by its cells", 1)]


def test_rows_of_a_tank_with_another_name_are_asked(tmp_path: Path) -> None:
    text = (
        "date,tank,nitrate (mg/L NO3)\n2026-01-04,Brook,20\n2026-01-11,Weir,25\n"
        "2026-01-18,Brook,25\n"
    )
    log = one(tmp_path, text, name="Brook")
    assert [t.line for t in log.tests] == [2, 4]
    assert kinds(log) == [("question", "rows of another tank", 3)]


SIDE = (
    "Date,NO3 (mg/L NO3),,Date,WC %\n2026-01-04,20,,2026-01-05,25\n"
    "2026-01-11,25,,2026-01-12,30\n,,,2026-01-19,30\n"
)


def test_tables_side_by_side_are_asked_then_parted(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(SIDE, encoding="utf-8")
    log = ask(path)
    assert [t.line for t in log.tests] == [2, 3]
    assert log.exchanges == ()
    assert kinds(log) == [("question", "several columns of days", 1)]
    keep(tmp_path / "log.answers.json", log.problems[0], "to its right", day=TODAY)
    days = [(e.line, e.date.day, e.fraction) for e in ask(path).exchanges]
    assert days == [(2, 5, 0.25), (3, 12, 0.3), (4, 19, 0.3)]


def test_order_column_settles_the_day(tmp_path: Path) -> None:
    text = (
        "Date,When,NO3 (mg/L NO3),WC %\n2026-01-04,before,40,25\n"
        "2026-01-11,after,30,25\n"
    )
    log = one(tmp_path, text)
    assert [t.order for t in log.tests] == ["before", "after"]
    assert log.problems == ()


def test_days_written_with_midnight_have_no_time(tmp_path: Path) -> None:
    text = "Date,NO3 (mg/L NO3)\n2026-01-04 00:00:00,20\n2026-01-11 00:00:00,25\n"
    log = one(tmp_path, text)
    assert [t.time for t in log.tests] == [None, None]
    assert kinds(log) == [("note", "midnight throughout", 2)]


def test_header_of_two_lines(tmp_path: Path) -> None:
    text = (
        "Date,Test,Water change,Feed\n,NO3 (mg/L),L,g\n2026-01-04,20,,1\n"
        "2026-01-05,,30,1\n"
    )
    log = one(tmp_path, text, volume_l=120.0)
    assert [t.value_mg_l for t in log.tests] == [20]
    assert [e.fraction for e in log.exchanges] == [0.25]


def test_buckets_are_asked_and_answered_by_their_size(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    text = (
        "date,nitrate (mg/L NO3),water change (buckets)\n2026-01-04,20,\n"
        "2026-01-05,,3\n"
    )
    path.write_text(text, encoding="utf-8")
    log = ask(path)
    assert log.unknown_exchanges == (dt.date(2026, 1, 5),)
    keep(tmp_path / "log.answers.json", log.problems[0], "10 L each", day=TODAY)
    assert [e.litres for e in ask(path).exchanges] == [30]


def test_ambiguous_volume_column_is_asked(tmp_path: Path) -> None:
    log = one(tmp_path, "date,nitrate (mg/L NO3),volume (L)\n2026-01-04,20,30\n")
    assert log.exchanges == ()
    assert kinds(log) == [("question", "meaning of a column", 1)]


def test_doubled_header_is_asked_once(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("date,NO3,NO3\n2026-01-04,20,30\n", encoding="utf-8")
    log = ask(path)
    assert [p.level for p in log.problems] == ["question"]
    assert log.tests == ()
    keep(tmp_path / "log.answers.json", log.problems[0], "second", day=TODAY)
    assert [t.value_mg_l for t in ask(path).tests] == [30]


def test_a_thousand_faults_of_one_class_are_listed_in_part(tmp_path: Path) -> None:
    rows = "\n".join(f"2026-01-{1 + i % 28:02d},bad{i}" for i in range(2000))
    log = one(tmp_path, f"date,nitrate (mg/L NO3)\n{rows}\n")
    errors = [p for p in log.problems if p.kind == "not a reading"]
    assert len(errors) == 21
    last = next(p for p in errors if p.lines)
    assert last.lines == tuple(range(22, 2002))
    assert "1980 more problems of this kind on lines 22 to 2001" in last.seen


def test_many_repeated_lines_are_one_question(tmp_path: Path) -> None:
    rows = "2026-01-04,20\n" * 200
    log = one(tmp_path, f"date,nitrate (mg/L NO3)\n{rows}")
    assert len(log.tests) == 1
    assert [p.level for p in log.problems] == ["question"]
    assert len(log.problems[0].lines) == 200


def test_folder_of_own_files_needs_no_settings(tmp_path: Path) -> None:
    (tmp_path / "spring.csv").write_text(
        "date,nitrate (mg/L NO3)\n2026-04-03,20\n", encoding="utf-8"
    )
    log = read_logbook(tmp_path, today=TODAY)
    assert len(log.tests) == 1
    assert [p.level for p in log.problems] == ["note"]


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.binary(max_size=120))
def test_no_bytes_raise(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "log.csv"
    for head in (b"", b"date,nitrate\n", b"\xff\xfe", b"date;no3;wc;food\n2026-01-04;"):
        path.write_bytes(head + data)
        log = ask(path)
        json.dumps(logbook_as_dict(log))


CELL = st.one_of(
    st.text(max_size=20),
    st.sampled_from(
        [
            "2026-01-04",
            "03/04/2026",
            "20",
            "<5",
            "0.25",
            "25%",
            "1,000",
            "12,5",
            "yes",
            "nd",
            "~20",
            "10gal",
            "1pinch",
            "#REF!",
            "=A1",
            "-5",
            "2O",
            "46026",
            "a/third",
            "NaN",
            "inf",
            "1e400",
            "١٢",
        ]
    ),
)


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(rows=st.lists(st.lists(CELL, min_size=6, max_size=6), max_size=6))
def test_no_cells_raise(tmp_path: Path, rows: list[list[str]]) -> None:
    quoted = [",".join('"' + c.replace('"', '""') + '"' for c in row) for row in rows]
    head = "date,time,nitrate,water change,food,tank volume"
    path = tmp_path / "log.csv"
    text = "\n".join([head, *quoted])
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    json.dumps(logbook_as_dict(ask(path)))
