"""Panels, pictures and commands of catch-up, food and fish, and a time away."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from kit import cautions, cli, exports, plots
from kit.panel import Panel
from kit.widgets import AwayPanel, CatchUpPanel, FolderPicker, HeadroomPanel
from kit.widgets.stacked_table import stacked_table

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "data_demo"
TODAY = ("--today", "2026-10-01")


@pytest.fixture(scope="module")
def pickers() -> dict[str, FolderPicker]:
    """Three demo tanks, fitted once."""
    found = {n: FolderPicker(str(DEMO / n)) for n in ("backwater", "spring-run", "fen")}
    for picker in found.values():
        assert picker.fit() is not None
    return found


def shown(panel: Panel) -> str:
    assert panel.picture.png.startswith(b"\x89PNG")
    assert len(panel.picture.alt) > 40
    return panel.text()


def first_caution(panel: Panel) -> str:
    return panel.box.children[1].value


# Catch-up -----------------------------------------------------------------------------


@pytest.fixture
def down(pickers) -> CatchUpPanel:
    return CatchUpPanel(pickers["backwater"], level_mg_l=(200.0, 240.0))


def test_the_cautions_come_first(pickers, down):
    away, room = AwayPanel(pickers["fen"]), HeadroomPanel(pickers["spring-run"])
    assert "Coming down" in first_caution(down)
    assert "Leaving" in first_caution(away)
    assert "New fish" in first_caution(room)
    for panel in (down, away, room):
        assert cautions.CLOSING in first_caution(panel)


def test_a_way_down_with_its_rows(down):
    text = shown(down)
    assert text.startswith("Coming down from 220 mg/L (201 to 239) to 40 mg/L takes")
    assert "In one go it would take 84 % of the water" in text
    assert down.found is not None
    rows = text.splitlines()[-len(down.found.turns) :]
    assert rows[0].startswith("1. 2026-09-14: 20 % (40 L)")
    assert all("gasp" in row for row in rows)
    assert "Exchange by exchange" in down.table.value


def test_smaller_steps_take_longer_and_a_target_out_of_reach_is_refused(down):
    before = len(down.found.turns)
    down.step.put(15.0)
    assert len(down.found.turns) > before
    assert "your nitrate step" in down.text()
    down.target.put(6.0)
    assert down.found is None
    assert down.verdict[0].startswith("Not within these limits")
    assert down.table.value == ""
    assert down.picture.png == b""


def test_the_other_tests_judge_ammonia(down):
    assert "cannot be judged" in down.text()
    down.tests["tank_ph"].value, down.tests["new_ph"].value = 6.2, 8.4
    down.tests["tan_mg_l"].value = 2.0
    assert "Do not begin" in down.text()
    down.tests["tank_solids"].value, down.tests["new_solids"].value = 900.0, 300.0
    down.tests["solids"].value = 10.0
    # By hand: 10 % of 900 is 90, and 90/600 = 15 %.
    assert down.found.turns[0].fraction == pytest.approx(0.15)


def test_another_tank_brings_its_own_level(pickers):
    picker = FolderPicker(str(DEMO / "backwater"))
    panel = CatchUpPanel(picker, level_mg_l=(200.0, 240.0))
    picker.entry.value = str(DEMO / "fen")
    assert (panel.low.value, panel.high.value) != (200.0, 240.0)
    assert "no catch-up is needed" in panel.text()
    picker.entry.value = str(DEMO / "nowhere")
    assert panel.verdict[0].startswith("Nothing to plan")


# Food and fish ------------------------------------------------------------------------


def test_food_added_and_taken_away(pickers):
    panel = HeadroomPanel(pickers["spring-run"])
    text = shown(panel)
    assert "It is not your tank's own" in text
    assert panel.trial.then.peak_mg_l.estimate > panel.trial.now.peak_mg_l.estimate
    panel.added.put(-0.3)
    assert panel.trial.then.peak_mg_l.estimate < panel.trial.now.peak_mg_l.estimate
    assert "0.3 g less food a day" in panel.text()
    assert "ends below" in panel.picture.alt


def test_fish_become_food(pickers):
    panel = HeadroomPanel(pickers["spring-run"])
    feed = pickers["spring-run"].fit().feed_g_day
    panel.fish_now.value, panel.fish_more.value = 10.0, 5.0
    panel.take.click()
    # Half as many fish again eat half as much again.
    assert panel.added.value == pytest.approx(feed / 2)
    panel.weight.value = 2.0
    panel.take.click()
    assert panel.added.value == pytest.approx(5 * 2.0 * 0.015)
    panel.weight.value, panel.fish_now.value = 0.0, 0.0
    panel.take.click()
    assert "how many fish" in panel.verdict[0]


def test_pure_water_lowers_both_curves(pickers):
    panel = HeadroomPanel(pickers["spring-run"])
    before = panel.trial.then.peak_mg_l.estimate
    source = panel.subject.habit.source_mg_l
    panel.pure.put(100.0)
    # The whole curve stands on the new water: it falls by all of its nitrate.
    assert before - panel.trial.then.peak_mg_l.estimate == pytest.approx(source)
    panel.percent.put(0.0)
    assert "nothing holds the level" in panel.text()


# A time away --------------------------------------------------------------------------


def test_a_time_away(pickers):
    panel = AwayPanel(pickers["fen"])
    text = shown(panel)
    assert text.startswith("After 14 days away")
    panel.feeder.put(24.0)
    assert "If the feeder drops all its 24 g at once" in shown(panel)
    assert "spilled feeder" in panel.picture.alt
    panel.before.value = panel.after.value = False
    assert "With no exchange of its own for the trip" in panel.text()


def test_inches_and_gallons(pickers):
    panel = AwayPanel(pickers["fen"])
    panel.air.put(1.1)
    panel.area.value = 4000.0
    panel.units.value = "us"
    # An inch is 2.54 cm; 14 days of 1.1 L on 4,000 cm2 are 3.85 cm, 1.5 inches.
    assert panel.area.value == pytest.approx(4000 / 2.54**2)
    assert panel.found.fall_cm == pytest.approx(3.85)
    assert re.search(r"1\.5\d? in on the glass", panel.text())
    # 15.4 L are 4.07 US gallons of 3.785 L.
    assert "The water falls by 4.07 US gal" in panel.text()


@pytest.mark.parametrize("name", ["culvert", "tarn"])
def test_every_panel_speaks_of_any_tank(name):
    picker = FolderPicker(str(DEMO / name))
    for make in (CatchUpPanel, HeadroomPanel, AwayPanel):
        panel = make(picker)
        assert "What it says of itself" not in panel.text()
        assert panel.verdict


def test_a_table_escapes_what_it_holds():
    page = stacked_table("<b>", ("a",), (("<script>",),))
    assert "<script>" not in page
    assert "<b>" not in page
    assert stacked_table("x", ("a",), ()) == ""


def test_titles_say_the_answer(pickers, down):
    assert plots.catchup_title(down.found).startswith(f"{len(down.found.turns)} exch")
    away = AwayPanel(pickers["fen"])
    assert plots.away_title(away.found).startswith("14 days away: back to")
    room = HeadroomPanel(pickers["spring-run"])
    assert "more a day: usual peak" in plots.headroom_title(room.trial)


# Commands -----------------------------------------------------------------------------


def command(capsys, tank, *arguments):
    code = cli.main(["plan", str(DEMO / tank), *arguments, *TODAY])
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.mark.parametrize(
    ("tank", "arguments", "said", "caution"),
    [
        (
            "backwater",
            ("--catch-up", "--level", "200-240"),
            "Coming down from",
            "Coming",
        ),
        ("spring-run", ("--add-feed", "0.5"), "0.5 g more food a day", "New fish:"),
        ("fen", ("--away", "16", "--feed-away", "0.6"), "After 16 days", "Leaving:"),
    ],
)
def test_cases_on_the_command_line(capsys, tank, arguments, said, caution):
    code, out, err = command(capsys, tank, *arguments)
    assert (code, err) == (0, "")
    assert out.startswith(caution)
    assert out.index(cautions.CLOSING) < out.index(said)


def test_plain_values(capsys, pickers, down):
    got = exports.catch_up_as_dict(down.found)
    assert got["days"] == 3 * (len(got["exchanges"]) - 1)
    assert got["exchanges"][0]["percent"] == pytest.approx(20.0)
    assert got["one_go_percent"] == pytest.approx(84, abs=0.5)
    away = exports.away_as_dict(AwayPanel(pickers["fen"]).found)
    assert [d["part_of_usual_food"] for d in away["days_until_ceiling"]] == [1, 0.5, 0]
    _, out, _ = command(capsys, "spring-run", "--add-feed", "0.5", "--json")
    got = json.loads(out)
    assert got["yield_mg_g"]["from_the_log"] is False
    assert got["peak_then_mg_l"]["estimate"] > got["peak_now_mg_l"]["estimate"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--away", "x"), "--away 'x' is no number between 0.01 and 365"),
        (("--away", "400"), "--away '400' is no number"),
        (("--catch-up", "--level", "a-b"), "--level 'a-b' is neither"),
        (("--catch-up", "--target", "-1"), "--target '-1' is no number not below 0"),
        (("--catch-up", "--away", "3"), "Ask for one of"),
        (("--add-feed", "nan"), "--add-feed 'nan' is no number"),
        (("--add-feed", "1", "--percent", "auto"), "--percent 'auto' is no number"),
        ((), "Missing: --percent, --every. Example: --percent auto --every 7."),
    ],
)
def test_what_cannot_be_read_stops_with_a_sentence(capsys, arguments, said):
    code, out, err = command(capsys, "quarry", *arguments)
    assert code == 2
    assert out == ""
    assert said in err
    assert "Traceback" not in err
