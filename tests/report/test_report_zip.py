"""The zip: tidy files from which the same numbers come out again."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_report import HOSTILE

from kit import escape, fit
from kit.files import read_logbook
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.page import report_of
from kit.tidy import tidy

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data_demo"
DAY = dt.date(2026, 11, 25)
SHEETS = sorted((ROOT / "tests" / "logs").glob("*.csv"))


def unpacked(page, folder: Path) -> Path:
    (body,) = [a.body for a in page.attachments if a.name == "logbook.zip"]
    with zipfile.ZipFile(io.BytesIO(body)) as box:
        assert box.testzip() is None
        box.extractall(folder)
    return folder


# Chart, meter with a drip, gallons, NO3-N unsaid, a step in the feed, a backwash.
@pytest.mark.parametrize("name", ["quarry", "millrace", "lagoon", "billabong", "tarn"])
def test_the_zip_gives_the_same_numbers(name, tmp_path):
    log = read_logbook(DEMO / name, today=DAY)
    page = report_of(log, fit.rate(log))
    folder = unpacked(page, tmp_path)
    again = read_logbook(folder, today=DAY)
    assert [p for p in again.problems if p.level == "error"] == []
    other = report_of(again, fit.rate(again))
    assert other.verdict == page.verdict
    assert other.plan == page.plan
    assert other.tables == page.tables
    assert other.tank_facts == page.tank_facts
    assert other.changes == page.changes
    first = json.loads((folder / "numbers.json").read_text(encoding="utf-8"))
    second = json.loads(
        (unpacked(other, tmp_path / "again") / "numbers.json").read_text("utf-8")
    )
    for key in ("net_rate_mg_l_day", "level_now_mg_l"):
        assert second["fit"][key] == pytest.approx(first["fit"][key], rel=1e-6)
    assert second["habit in the log"] == first["habit in the log"]


FOLDERS = sorted(p.parent for p in DEMO.glob("*/tank.toml"))


@pytest.mark.parametrize(
    "path", [*SHEETS, DEMO / "one-sheet", *FOLDERS], ids=lambda p: p.stem
)
def test_a_tidy_folder_reads_as_the_log_it_came_from(path):
    log = read_logbook(path, today=DAY)
    assert tidy(log).differs == ()


# What was multiplied jumps no more; a jump that is real would be asked about again.
@pytest.mark.parametrize("answer", ["real", "NO3-N before"])
def test_an_answer_is_kept_where_it_would_be_asked_again(tmp_path, answer):
    sheet = tmp_path / "jump.csv"
    sheet.write_bytes((ROOT / "tests" / "logs" / "jump.csv").read_bytes())
    (asked,) = [p for p in read_logbook(sheet, today=DAY).problems if "jump" in p.kind]
    assert answer in {c.answer for c in asked.choices}
    kept = {"question": asked.question_id, "answer": answer}
    kept["fingerprint"] = asked.fingerprint
    given_ = tmp_path / "given.json"
    given_.write_text(json.dumps({"answers": [kept]}), encoding="utf-8")
    log = read_logbook(sheet, today=DAY, answers=given_)
    made = tidy(log)
    assert made.differs == ()
    assert ("answers.json" in made.files) == (answer == "real")


def cells(body: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(body.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("text", [*HOSTILE, "=1+1", "@x", "+1", "-x", "\t=2"])
def test_no_cell_of_the_zip_is_a_formula(text):
    test = Test(
        dt.date(2026, 3, 1), None, 20.0, 20.0, 20.0, "20", "x.csv", 2,
        reader=text, kit=text, note=text,
    )  # fmt: skip
    swap = Exchange(dt.date(2026, 3, 2), None, 0.25, None, "x.csv", 3, note=text)
    log = Logbook(Tank(name=text, volume_l=100.0), (test,), (swap,))
    made = tidy(log)
    assert made.differs == ()
    for name, body in made.files.items():
        if name.endswith(".csv"):
            for cell in (c for row in cells(body) for c in row):
                assert escape.csv_text(escape.csv_text_back(cell)) == cell
                assert cell[:1] not in "=@\t\r" or cell == ""
    # What was made harmless once stays as it is when it is written again.
    again = tidy(replace(log, tests=(replace(test, note=cells(
        made.files["tests.csv"])[1][5]),)))  # fmt: skip
    assert again.files["tests.csv"] == made.files["tests.csv"]


DAYS = st.dates(dt.date(2024, 1, 1), dt.date(2026, 6, 1))
CLOCKS = st.times().map(lambda t: t.replace(microsecond=0))
LEVELS = st.floats(0.01, 400).map(lambda x: float(f"{x:.6g}"))


@st.composite
def readings(draw):
    low, high = sorted((draw(LEVELS), draw(LEVELS)))
    ends = draw(st.sampled_from([(low, high), (0.0, high), (low, None), (low, low)]))
    value = low if ends == (low, low) else None
    return Test(
        draw(DAYS), draw(st.none() | CLOCKS),
        *ends, value, "as written", "log.csv", 2,
        doubtful=draw(st.booleans()), note=draw(st.text(max_size=12)),
        order=draw(st.sampled_from([None, "before", "after"])),
    )  # fmt: skip


@settings(max_examples=40)
@given(st.lists(readings(), min_size=1, max_size=5, unique_by=lambda t: t.date))
def test_any_reading_comes_back_as_what_it_allows(found):
    found.sort(key=lambda t: t.date)
    log = Logbook(Tank(volume_l=100.0), tuple(found))
    again = tidy(log)
    held = {"tests", "breaks"}  # a chance jump of 4.43 or of ten times is asked about
    assert set(again.differs) <= held
    rows = cells(again.files["tests.csv"])
    assert len(rows) == len(found) + 1


def test_the_zip_says_what_is_in_it(tmp_path):
    log = read_logbook(DEMO / "tarn", today=DAY)
    page = report_of(log, fit.rate(log))
    folder = unpacked(page, tmp_path)
    told = " ".join((folder / "README.txt").read_text(encoding="utf-8").split())
    assert "python -m kit report FOLDER --out NEW_FOLDER" in told
    assert page.verdict[0] in told
    assert "1 cell or row of the original" in told
    with zipfile.ZipFile(io.BytesIO(page.attachments[0].body)) as box:
        stamps = {entry.date_time for entry in box.infolist()}
        assert stamps == {(1980, 1, 1, 0, 0, 0)}
        assert box.namelist() == sorted(box.namelist())
