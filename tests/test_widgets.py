"""Panels without a browser: move a slider, look at what is said and drawn."""

from __future__ import annotations

import base64
import datetime as dt
import json
import re
import shutil
from pathlib import Path

import pytest

from kit import cautions
from kit.errors import PlanError
from kit.panel import Panel, Picture, caution_markup, say
from kit.style import axes_in, blank_figure
from kit.widgets import (
    CautionBox,
    CheckPanel,
    FirstHour,
    FitPanel,
    FolderPicker,
    ReadingsTable,
    TuneBench,
)
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import demo_folders

ROOT = Path(__file__).resolve().parents[1]
QUARRY, TARN = ROOT / "data_demo" / "quarry", ROOT / "data_demo" / "tarn"
GALLON = 3.785411784  # US gallon: 231 cubic inches of 2.54**3 cm3, exact
VIEW = "application/vnd.jupyter.widget-view+json"


@pytest.fixture(scope="module")
def quarry() -> FolderPicker:
    picker = FolderPicker(str(QUARRY))
    assert picker.fit() is not None
    return picker


@pytest.fixture
def bench(quarry) -> TuneBench:
    bench = TuneBench(quarry)
    yield bench
    quarry._listeners.clear()


def numbers(panel: Panel) -> dict[str, float]:
    found = re.match(
        r"([\d.]+) % \(([\d.,]+) (L|US gal)\) every ([\d.]+) days? settles with peaks "
        r"of ([\d.]+) mg/L.*? exchange, ([\d.]+) mg/L.*? after, ([\d.]+) mg/L",
        panel.verdict[0],
    )
    assert found, panel.verdict
    keys = ("percent", "volume", "unit", "days", "peak", "trough", "mean")
    return {
        k: float(v) for k, v in zip(keys, found.groups(), strict=True) if k != "unit"
    }


# The first hour -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("percent", "days", "source", "peak", "trough", "mean"),
    [
        # A rise of 1 mg/L a day: peak Cs + T/f, trough Cs + (1 - f) T/f, by hand.
        (25.0, 7.0, 10.0, 38.0, 31.0, 34.5),
        (12.5, 3.5, 10.0, 38.0, 34.5, 36.25),
        (50.0, 14.0, 10.0, 38.0, 24.0, 31.0),
        (25.0, 7.0, 30.0, 58.0, 51.0, 54.5),
        (90.0, 7.0, 30.0, 37.78, 30.78, 34.28),
    ],
)
def test_the_first_hour_gives_the_answers_of_its_exercises(
    percent, days, source, peak, trough, mean
):
    panel = FirstHour()
    panel.percent.put(percent)
    panel.interval.put(days)
    panel.source.put(source)
    got = numbers(panel)
    assert (got["percent"], got["days"]) == (percent, days)
    assert got["peak"] == pytest.approx(peak, abs=0.05)
    assert got["trough"] == pytest.approx(trough, abs=0.05)
    assert got["mean"] == pytest.approx(mean, abs=0.06)


def test_each_move_changes_the_picture_and_its_words():
    panel = FirstHour()
    before = (panel.picture.png, panel.picture.alt, panel.words.value)
    panel.percent.put(60.0)
    after = (panel.picture.png, panel.picture.alt, panel.words.value)
    assert all(a != b for a, b in zip(before, after, strict=True))
    assert panel.picture.png.startswith(b"\x89PNG")


def test_the_volume_changes_litres_alone():
    panel = FirstHour()
    before = numbers(panel)
    panel.volume.put(400.0)
    after = numbers(panel)
    assert after.pop("volume") == 2 * before.pop("volume") == 100.0
    assert after == before


def test_gallons_are_shown_and_the_tank_stays_the_same():
    panel = FirstHour()
    panel.units.value = "us"
    assert panel.volume.box.value == pytest.approx(200.0 / GALLON)
    assert panel.volume.value == pytest.approx(200.0)
    assert panel.volume.box.description == "Water volume (US gal)"
    assert numbers(panel)["volume"] == pytest.approx(50.0 / GALLON, abs=0.05)
    panel.units.value = "metric"
    assert panel.volume.value == pytest.approx(200.0)


def test_nothing_exchanged_is_said_and_not_an_error():
    panel = FirstHour()
    panel.percent.put(0.0)
    assert "climbs without end" in panel.verdict[0]


# The tuning bench -------------------------------------------------------------------


def test_the_bench_starts_at_what_the_log_shows(bench):
    """Quarry exchanges 40 % a week and has a ceiling of 40 mg/L."""
    assert (bench.percent.value, bench.interval.value) == (40.0, 7.0)
    assert bench.ceiling.value == 40.0
    assert bench.drip.value == 0.0


def test_the_peak_follows_the_balance(bench, quarry):
    """Cs + g T/f, with source and usual rate as fitted."""
    fitted = quarry.fit()
    bench.percent.put(50.0)
    bench.interval.put(10.0)
    peak = fitted.source_mg_l + fitted.usual_rate.estimate * 10.0 / 0.5
    assert bench.tried.plan.peak_mg_l.estimate == pytest.approx(peak)
    assert numbers(bench)["peak"] == pytest.approx(peak, abs=0.51)


def test_equal_water_moves_percent_and_days_together(bench):
    bench.same.value = True
    bench.percent.put(20.0)
    assert bench.interval.value == pytest.approx(3.5)
    bench.interval.put(14.0)
    assert bench.percent.value == pytest.approx(80.0)
    bench.same.value = False
    bench.percent.put(40.0)
    assert bench.interval.value == pytest.approx(14.0)


def test_found_percent_and_days_hold_the_ceiling(bench):
    bench.sure.value = 0.5
    bench.ceiling.put(35.0)
    bench.find_percent.click()
    # The rise behind the made-up log is 1.77 mg/L a day: 1.77 x 7 / (35 - 5) = 41 %.
    assert 37.0 <= bench.percent.value <= 46.0
    assert bench.tried.plan.peak_mg_l.estimate <= 35.0 + 1e-9
    bench.percent.put(40.0)
    bench.ceiling.put(30.0)
    bench.find_interval.click()
    assert 5.0 <= bench.interval.value <= 6.0  # 0.40 x (30 - 5) / 1.77 = 5.6 days
    assert bench.tried.plan.peak_mg_l.estimate <= 30.0 + 1e-9
    bench.sure.value = 0.95
    bench.find_interval.click()
    assert bench.tried.plan.chance_under_ceiling >= 0.94


def test_what_cannot_be_found_says_why_and_keeps_the_numbers(bench):
    bench.ceiling.put(20.0)
    shown = bench.percent.value
    bench.find_percent.click()
    assert "more than your limit of 50 %" in bench.warnings[0]
    assert bench.percent.value == shown
    assert numbers(bench)["percent"] == shown
    bench.ceiling.put(0.0)
    bench.find_percent.click()
    assert bench.warnings[0].startswith("Set your ceiling first")


def test_an_untried_habit_is_warned_of(bench):
    assert not bench.warnings
    bench.percent.put(90.0)
    assert "untried in this tank" in " ".join(bench.warnings)


def test_a_drip_in_gallons_is_the_same_drip(bench):
    bench.drip.put(20.0)
    peak = bench.tried.plan.peak_mg_l.estimate
    bench.units.value = "us"
    assert bench.drip.box.value == pytest.approx(20.0 / GALLON)
    assert bench.drip.value == pytest.approx(20.0)
    assert bench.tried.plan.peak_mg_l.estimate == pytest.approx(peak)
    assert "US gal" in bench.verdict[0]


def test_the_picture_keeps_its_height_while_the_habit_moves(bench):
    top = bench._drawn.ax.get_ylim()
    for percent, days in ((10.0, 7.0), (90.0, 1.0), (40.0, 60.0)):
        bench.percent.put(percent)
        bench.interval.put(days)
        assert bench._drawn.ax.get_ylim() == top


def test_cautions_come_before_the_numbers(bench):
    parts = [getattr(w, "value", "") for w in bench.box.children]
    where = next(i for i, v in enumerate(parts) if "Before you move water" in str(v))
    assert where < bench.box.children.index(bench.words)
    assert where < bench.box.children.index(bench.picture.widget)
    for topic in cautions.EXCHANGE:
        assert cautions.CAUTIONS[topic].split(":")[0] in parts[where]


def test_another_tank_replaces_all_that_was_shown(tmp_path):
    shutil.copytree(QUARRY, tmp_path / "quarry")
    picker = FolderPicker(str(tmp_path / "quarry"))
    bench, fit, check = TuneBench(picker), FitPanel(picker), CheckPanel(picker)
    rows = ReadingsTable(picker)
    assert bench.picture.png
    assert fit.picture.png
    picker.entry.value = str(tmp_path / "nowhere")
    assert picker.verdict[0].startswith("There is no folder or file")
    for panel in (bench, fit, check, rows):
        assert panel.verdict[0].startswith("Nothing to ")
        assert len(panel.text().splitlines()) == 1
    assert not bench.picture.png
    assert not fit.picture.widget.value
    assert not check.table.value
    assert not rows.tables.value
    bench.percent.put(30.0)  # moving a slider brings no stale number back
    assert bench.verdict[0].startswith("Nothing to tune")
    picker.entry.value = f'"{tmp_path / "quarry"}"'
    assert bench.picture.png
    assert "settles" in bench.verdict[0]


def test_a_log_that_gives_no_rate_says_so(tmp_path):
    lines = (QUARRY / "tests.csv").read_text(encoding="utf-8").splitlines()[:3]
    shutil.copy(QUARRY / "tank.toml", tmp_path)
    (tmp_path / "tests.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    picker = FolderPicker(str(tmp_path))
    for panel in (FitPanel(picker), TuneBench(picker)):
        assert not panel.picture.png
        assert panel.verdict == (picker.fit().refused,)


# Picking and checking ----------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["", "   ", "\0", "a\0b", "x" * 5000, "~nobody/here", "C:\\no\\such", "|", "*"],
)
def test_a_path_that_is_none_gives_a_sentence(text):
    picker = FolderPicker(text)
    assert picker.log is None
    assert picker.fit() is None
    assert len(picker.verdict) == 1
    assert "Traceback" not in picker.words.value


def test_the_demo_list_leads_to_every_tank(monkeypatch):
    monkeypatch.chdir(ROOT / "notebooks")
    found = demo_folders(Path.cwd())
    assert len(found) == 12
    assert found["Spring run"] == "../data_demo/spring-run"
    picker = FolderPicker()
    assert picker.demos.value == "../data_demo/quarry"
    picker.demos.value = found["Tarn"]
    assert picker.entry.value == "../data_demo/tarn"
    assert picker.verdict[0].startswith("Tarn: ")


def test_without_demos_there_is_no_list(tmp_path):
    assert demo_folders(tmp_path) == {}


def test_a_hostile_name_stays_text(tmp_path):
    shutil.copytree(QUARRY, tmp_path / "tank")
    settings = tmp_path / "tank" / "tank.toml"
    text = settings.read_text(encoding="utf-8").replace(
        'name = "Quarry"', 'name = "<img src=x onerror=alert(1)>"'
    )
    settings.write_text(text, encoding="utf-8")
    picker = FolderPicker(str(tmp_path / "tank"))
    assert "<img" not in picker.words.value
    assert "&lt;img" in picker.words.value


def test_problems_stand_worst_first_and_can_be_filtered():
    picker = FolderPicker(str(TARN))
    check = CheckPanel(picker)
    mend, answer, _ = (int(n) for n in re.findall(r"\d+", check.verdict[0]))
    # Planted: a volume of -14 L, and two readings on 25 June.
    assert (mend, answer) == (1, 1)
    left_out, question = (check.table.value.index(w) for w in ("left out", ">question"))
    assert left_out < question
    assert "line 19" in check.table.value
    check.level.value = "question"
    assert "left out" not in check.table.value
    check.level.value = "note"
    assert "left out" not in check.table.value
    assert "question" not in check.table.value
    levels = [line.split(":")[0] for line in check.text().splitlines()[2:]]
    assert levels[:2] == ["left out", "question"]
    assert set(levels[2:]) <= {"remark"}


def test_a_table_holds_no_markup_from_a_file(tmp_path):
    shutil.copytree(TARN, tmp_path / "tank")
    tests = tmp_path / "tank" / "tests.csv"
    with tests.open("a", encoding="utf-8", newline="") as file:
        file.write("2026-09-17,18:00,<script>x</script>,A,mixed lot 1,\n")
    check = CheckPanel(FolderPicker(str(tmp_path / "tank")))
    assert "<script" not in check.table.value
    assert "script" in check.table.value


def test_an_answer_is_kept_and_the_question_goes(tmp_path):
    shutil.copytree(TARN, tmp_path / "tank")
    before = {p.name: p.read_bytes() for p in (tmp_path / "tank").iterdir()}
    picker = FolderPicker(str(tmp_path / "tank"))
    check = CheckPanel(picker, today=dt.date(2026, 11, 2))
    tests = len(picker.log.tests)
    _asked, choice, keep, said = check.questions.children[0].children
    keep.click()
    assert "Choose one first." in said.value
    choice.value = choice.options[0][1]
    keep.click()
    kept = json.loads((tmp_path / "tank" / "answers.json").read_text(encoding="utf-8"))
    assert [a["date"] for a in kept["answers"]] == ["2026-11-02"]
    assert check.questions.children == ()
    assert check.verdict[0].startswith("1 to mend, 0 to answer")
    assert len(picker.log.tests) == tests + 2  # both values count now
    for name, content in before.items():
        assert (tmp_path / "tank" / name).read_bytes() == content


def test_readings_show_what_they_stand_for():
    """Between steps of the doubling chart, at geometric midpoints: 28 to 57."""
    rows = ReadingsTable(FolderPicker(str(QUARRY)))
    lines = rows.text().splitlines()
    assert any("; 40; 28 to 57 mg/L NO3; tests.csv, " in line for line in lines)
    litres = [line for line in lines if "; 137 L; " in line]
    assert litres
    # 137 of 342 L.
    assert all("40 % of the water, 137 L" in line for line in litres)
    rows.units.value = "us"
    assert "36.2 US gal" in rows.text()


# What all panels share ----------------------------------------------------------------


def test_a_panel_shows_live_still_and_in_words(bench):
    data, meta = bench._repr_mimebundle_()
    assert set(data) == {VIEW, "image/png", "text/plain"}
    assert base64.b64decode(data["image/png"]) == bench.picture.png
    assert data["text/plain"].splitlines()[0] == bench.verdict[0]
    assert meta["image/png"]["alt"] == bench.picture.alt


def test_a_page_without_a_kernel_still_shows_tables_and_cautions():
    picker = FolderPicker(str(TARN))
    for panel, part in (
        (CautionBox(), "Waste water"),
        (CheckPanel(picker), "<table>"),
        (ReadingsTable(picker), "Exchanges</caption>"),
        (picker, "Tarn: 29 tests"),
    ):
        data, _ = panel._repr_mimebundle_()
        assert set(data) == {VIEW, "text/html", "text/plain"}
        assert part in data["text/html"]


def test_cautions_are_not_shown_twice(quarry):
    bench = TuneBench(quarry, cautioned=True)
    assert not any(
        "Before you move water" in str(getattr(w, "value", ""))
        for w in bench.box.children
    )
    quarry._listeners.clear()


def test_pictures_have_words_and_verdicts_are_spoken(bench):
    assert f'alt="{bench.picture.alt}"' in bench.picture.widget.value
    assert 'decoding="sync"' in bench.picture.widget.value
    assert 'role="status"' in bench.words.value
    assert 'aria-live="polite"' in bench.words.value


def test_every_slider_has_a_named_twin(bench):
    for dial in (bench.percent, bench.interval, bench.drip, bench.ceiling):
        assert dial.box.description
        dial.box.value = dial.box.min + dial.box.step
        assert dial.slider.value == dial.box.value


@pytest.mark.parametrize("fault", [PlanError("Not by exchanges."), ZeroDivisionError()])
def test_a_fault_in_a_call_shows_as_a_sentence(fault):
    panel = Panel()

    def falls() -> None:
        raise fault

    panel.guarded(falls)()
    assert len(panel.verdict) == 1
    if isinstance(fault, PlanError):
        assert panel.verdict == ("Not by exchanges.",)
    else:
        assert "changed nothing" in panel.verdict[0]
        assert "ZeroDivisionError" in panel.verdict[0]


def test_a_dial_keeps_to_its_ends_and_renames_without_loss():
    dial = Dial("Drip (L a day)", 5.0, 0.0, 50.0, 0.5)
    dial.put(1e9)
    assert dial.value == 50.0
    dial.rename("Drip (US gal a day)", 0.0, 20.0, 0.2, GALLON)
    assert dial.value == pytest.approx(50.0)
    assert (dial.slider.min, dial.slider.max) == (0.0, 20.0)
    dial.rename("Drip (L a day)", 0.0, 50.0, 0.5, 1.0)
    assert dial.value == pytest.approx(50.0)


def test_a_picture_drawn_in_parts_equals_one_drawn_whole():
    """Still parts are drawn once; the result must not show it."""
    pictures = []
    for parts in (True, False):
        axes = axes_in(blank_figure())
        (line,) = axes.plot([0.0, 1.0], [0.0, 1.0])
        picture = Picture(axes.get_figure(), (line,) if parts else ())
        picture.draw("first")
        line.set_ydata([1.0, 0.0])
        picture.draw("second")
        pictures.append(picture.png)
    assert pictures[0] == pictures[1]


def test_sentences_are_escaped():
    shown = say(["<b>bold</b>"], ["<i>warn</i>"])
    assert "<b>" not in shown
    assert "<i>" not in shown
    assert "&lt;b&gt;" in caution_markup(["<b>: x"], "t")


def test_cautions_end_with_whom_to_ask():
    box = CautionBox()
    assert box.text().splitlines()[-1] == cautions.CLOSING
    assert len(box.verdict) == len(cautions.EXCHANGE) + 2
