"""Panels of the notebooks on kits and volumes: moved like a keeper would."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.classroom import Season, three_answers
from kit.errors import SumError
from kit.widgets import (
    AnswersPanel,
    CardBench,
    ColourBench,
    LimitPanel,
    LinePanel,
    StandardsPanel,
    VolumePanel,
    ZeroPanel,
)
from kit.widgets.meter_panel import numbers_in

DEMO = Path(__file__).parents[2] / "data_demo"


def test_the_card_bench_gives_the_answers_of_its_exercises() -> None:
    bench = CardBench()
    # Roots of 20 x 40 and 40 x 80; 1.5 times the first.
    assert bench.verdict[0] == "A reading of 40 on this card means 28 to 57 mg/L."
    assert "changes at 42 mg/L" in bench.text()
    bench.diluted.value = 20.0
    # 20 diluted is 14.1 to 28.3, times 1.5 is 21 to 42: with 28 to 57 it is 28 to 42.
    assert bench.verdict[0] == "Both readings together mean 28 to 42 mg/L."
    bench.diluted.value = 80.0
    assert "contradict each other" in bench.verdict[0]
    bench.diluted.label = "not read yet"
    bench.mix.value = "1 + 1"
    assert "adds nothing" in bench.text()
    bench.reading.value = 160.0
    bench.mix.value = "best"
    assert "mix 1 part tank water with 3 parts pure water" in bench.text()
    assert "without an end" in bench.text()


def test_own_numbers_make_an_own_card() -> None:
    bench = CardBench()
    bench.steps.value = "0, 4, 16; 64"
    assert bench.card.value == "own"
    bench.reading.value = 16.0
    # Roots of 4 x 16 and 16 x 64.
    assert bench.verdict[0] == "A reading of 16 on this card means 8 to 32 mg/L."
    bench.card.value = "strip"
    assert bench.steps.value == "0 10 25 50 100 250"
    bench.steps.value = "0 20 10"
    assert "each larger than the one before" in bench.text()
    assert bench.picture.png == b""
    bench.steps.value = "five"
    assert "Write the card's numbers" in bench.text()
    bench.steps.value = "0 5 10 20 40"
    assert bench.picture.png


def test_the_standards_panel_shows_each_kit_and_its_verdict() -> None:
    panel = StandardsPanel(str(DEMO / "standards.csv"))
    assert panel.verdict[0] == "6 kits were tried; 2 of them often enough to judge."
    assert "too few to correct by" in panel.text()
    panel.kit.value = "mixed lot 2"
    # Planted in the demo: this lot reads 0.85 of what it should.
    assert panel.verdict[0].startswith(
        "mixed lot 2 reads about 0.84 times the standard"
    )
    assert "<td>" in panel.table.value
    panel.entry.value = "nowhere"
    assert "no file or folder nowhere" in panel.text()
    assert panel.table.value == ""


def test_a_hostile_kit_name_stays_text(tmp_path: Path) -> None:
    table = "date,kit,known (mg/L NO3),read (mg/L NO3)\n2026-07-24,<b>x</b>,10,12\n"
    (tmp_path / "standards.csv").write_text(table, encoding="utf-8")
    panel = StandardsPanel(str(tmp_path / "standards.csv"))
    assert "<b>" not in panel.table.value
    assert "<b>" not in panel.words.value


def test_a_folder_without_checks_says_what_to_write() -> None:
    panel = StandardsPanel(str(DEMO / "quarry"))
    assert "No check was found" in panel.text()


def test_the_limit_panel_takes_lines_and_refuses_cards() -> None:
    panel = LimitPanel()
    panel.readings.value = "1.9 2.1 2.0 2.2 1.8 2.0 2.0"
    panel.blanks.value = ""
    # 40 CFR 136 App. B: t = 3.143 for seven readings; their spread is 0.1291.
    assert "3.143 times the spread of 0.13" in panel.text()
    assert "for 7 readings" in panel.text()
    panel.readings.value = "2 2 2 2 2 2 2"
    assert "no limit of 0" in panel.text()
    panel.card.value = True
    assert "A colour card has no detection limit" in panel.text()
    panel.card.value = False
    panel.readings.value = "1.9 x"
    assert '"x" is no number' in panel.text()


def test_numbers_as_pasted() -> None:
    assert numbers_in("1,5\t2.0;3, 4") == (1.5, 2.0, 3.0, 4.0)
    assert numbers_in("") == ()
    with pytest.raises(SumError):
        numbers_in("1.2.3")


def test_the_line_panel_reads_a_sample_back() -> None:
    panel = LinePanel()
    # Miller and Miller, the fluorescein example: 13.5 is 6.207, error 0.24.
    panel.known.value = "0 2 4 6 8 10 12"
    panel.shown.value = "2.1 5.0 9.0 12.6 17.3 21.0 24.7"
    panel.sample.value = "13.5"
    assert panel.verdict[0].startswith(
        "This sample holds about 6.21 mg/L, give or take 0.24"
    )
    panel.shown.value = "1"
    assert "at least 3 pairs" in panel.text()


def test_the_zero_panel() -> None:
    panel = ZeroPanel()
    assert "or the kit is at fault" in panel.text()
    panel.food.put(0.0)
    panel.source.put(0.0)
    assert "agrees with the food" in panel.text()
    panel.percent.put(0.0)
    assert "nothing leaves" in panel.text()


def test_the_volume_panel_gives_the_answer_of_its_exercise() -> None:
    panel = VolumePanel()
    panel.uses["counted fill"].value = False
    # 270 - 18 - 7.7 by hand.
    assert "about 244 L" in panel.verdict[0]
    assert "litres = 244" in panel.lines.value
    panel.dials["label"].put(400)
    panel.uses["geometry"].value = False
    panel.uses["counted fill"].value = True
    panel.dials["buckets"].put(34.2)
    assert "is 47 % of the water, not 40 %" in panel.text()


def test_a_way_that_fails_leaves_the_others() -> None:
    panel = VolumePanel()
    panel.uses["tracer"].value = True
    panel.dials["after"].put(401.0)
    assert panel.warnings[0].startswith(
        "Salt and a conductivity meter: The two readings"
    )
    assert "about 245 L" in panel.verdict[0]
    for box in panel.uses.values():
        box.value = False
    assert panel.text().startswith("Tick at least one way.")
    assert panel.result is None
    assert panel.lines.value == ""


def test_gallons_are_shown() -> None:
    panel = VolumePanel()
    panel.units.value = "us"
    assert "US gal" in panel.verdict[0]
    assert "litres = 244" in panel.lines.value  # the file keeps litres


def test_the_colour_bench_gives_the_answers_of_its_exercises() -> None:
    bench = ColourBench()
    bench.level.put(30.0)
    # Normal distribution at ln(30 / 28.28) / 0.12 = 0.49: 0.688; 0.69 x 40 + 0.31 x 20.
    assert "reads 40 in 69 of 100 tests" in bench.verdict[0]
    assert "goes to 34" in bench.verdict[1]
    bench.card.value = "mixed"
    assert "goes to 27" in bench.verdict[1]
    bench.card.value = "doubling"
    bench.eye.put(0.0)
    for level in (35.0, 52.0):
        bench.level.put(level)
        assert "reads 40 in 100 of 100 tests" in bench.verdict[0]


def test_a_season_is_the_same_for_the_same_number() -> None:
    short = Season(weeks=8)
    one, two = three_answers(short), three_answers(short)
    assert [a.readings for a in one] == [a.readings for a in two]
    assert set(one[0].readings) <= {0, 5, 10, 20, 40, 80, 160}
    for wrong in (Season(weeks=2), Season(fraction=0.0), Season(eye=-0.1)):
        with pytest.raises(SumError):
            three_answers(wrong)


def test_the_answers_panel_shows_a_card_taken_for_exact_beside_the_truth() -> None:
    panel = AnswersPanel()
    doubling = panel.answers[0]
    # The exercise: 40 taken as exact gives (40 - 5) x 0.40 / 7 = 2.0 for 1.77.
    assert doubling.plain is not None
    assert doubling.plain.estimate == pytest.approx(2.0, abs=0.1)
    assert not doubling.plain_holds
    assert doubling.banded_holds
    before = doubling.readings
    panel.again.click()
    assert panel.answers[0].readings != before
