"""Volumes found several ways in ``tank.toml``: their mean is the tank's volume."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from kit.answers import answers_path, keep
from kit.files import read_logbook
from kit.findings import Problem
from kit.logbook import Tank
from kit.options import tank_from_options
from kit.settings import read_tank
from kit.volume import counted_fill, geometry, settings_lines

TODAY = dt.date(2026, 3, 1)
TWO = """
[[volume_found]]
how = "geometry"
litres = 100
error_percent = 4
note = "tape, twice"

[[volume_found]]
how = "counted fill"
litres = 106
error_percent = 2
"""
Answered = Callable[[Problem], str | None]


def read(
    folder: Path, text: str, answered: Answered | None = None
) -> tuple[Tank, list[tuple[str, str, int | None]]]:
    (folder / "tank.toml").write_text(text, encoding="utf-8")
    tank, problems = read_tank(folder, today=TODAY, answered=answered)
    return tank, [(p.level, p.kind, p.line) for p in problems]


def test_the_mean_of_two_ways_is_the_volume(tmp_path: Path) -> None:
    # By hand: errors 4 and 2.12 L, weights 1/16 and 1/4.4944: 104.685 +- 1.8731.
    tank, problems = read(tmp_path, TWO)
    assert tank.volume_l == pytest.approx(104.685, abs=0.001)
    assert tank.volume_error_percent == pytest.approx(100 * 1.8731 / 104.685, abs=0.01)
    assert tank.volume_how == "mean of 2 ways"
    assert problems == [("note", "volume found", 2)]


def test_the_note_says_the_ways_and_the_result(tmp_path: Path) -> None:
    (tmp_path / "tank.toml").write_text(TWO, encoding="utf-8")
    _, (note,) = read_tank(tmp_path, today=TODAY)
    said = note.sentence()
    assert "geometry: 100 L, give or take 4 %" in said
    assert "105 L is used, give or take 1.8 %; the ways agree" in said


def test_stated_litres_with_an_error_are_one_of_the_ways(tmp_path: Path) -> None:
    stated = "[volume]\nlitres = 104\nhow = 'measured'\nerror_percent = 5\n"
    tank, problems = read(tmp_path, stated + TWO)
    # By hand: a third weight of 1/5.2^2 at 104.
    assert tank.volume_l == pytest.approx(104.606, abs=0.001)
    assert tank.volume_how == "mean of 3 ways"
    assert [kind for _, kind, _ in problems] == ["volume found"]


def test_stated_litres_without_an_error_are_asked_about(tmp_path: Path) -> None:
    stated = "[volume]\nlitres = 120\n"
    tank, problems = read(tmp_path, stated + TWO)
    assert tank.volume_l is None
    assert ("question", "two volumes", 1) in problems
    for answer, litres in (("the stated litres", 120), ("the ways found", 104.685)):
        tank, problems = read(tmp_path, stated + TWO, lambda _, a=answer: a)
        assert tank.volume_l == pytest.approx(litres, abs=0.001)
        assert all(level == "note" for level, _, _ in problems)


def test_an_answer_kept_beside_the_log_settles_two_volumes(tmp_path: Path) -> None:
    (tmp_path / "tank.toml").write_text(
        "[volume]\nlitres = 120\n" + TWO, encoding="utf-8"
    )
    (tmp_path / "tests.csv").write_text(
        "date,nitrate (mg/L NO3)\n2026-02-01,10\n", encoding="utf-8"
    )
    log = read_logbook(tmp_path, today=TODAY)
    (asked,) = [p for p in log.problems if p.level == "question"]
    keep(answers_path(tmp_path), asked, "the ways found", day=TODAY)
    log = read_logbook(tmp_path, today=TODAY)
    assert log.tank.volume_l == pytest.approx(104.685, abs=0.001)
    assert not [p for p in log.problems if p.level == "question"]


def test_a_label_is_set_aside_and_said(tmp_path: Path) -> None:
    label = "[volume]\nlitres = 125\nhow = 'label'\nerror_percent = 1\n"
    tank, problems = read(tmp_path, label + TWO)
    assert tank.volume_l == pytest.approx(104.685, abs=0.001)
    assert ("note", "label set aside", 1) in problems


def test_ways_that_disagree_widen_the_error(tmp_path: Path) -> None:
    far = TWO.replace("106", "130")
    tank, problems = read(tmp_path, far)
    assert ("note", "volumes disagree", 2) in problems
    near, _ = read(tmp_path, TWO)
    assert (tank.volume_error_percent or 0) > 3 * (near.volume_error_percent or 0)


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        ("error_percent = 4\n", "", "incomplete"),
        ("litres = 100\n", "", "incomplete"),
        ('how = "geometry"\n', "", "incomplete"),
        ('how = "geometry"', 'how = "label"', "unknown word"),
        ("litres = 100", 'litres = "100"', "wrong type"),
        ("error_percent = 4", "error_percent = 0", "out of range"),
        ("litres = 100", "gallons = 30", "which gallon"),
    ],
)
def test_a_way_that_cannot_be_weighed_is_named_and_left_out(
    tmp_path: Path, old: str, new: str, kind: str
) -> None:
    tank, problems = read(tmp_path, TWO.replace(old, new, 1))
    assert kind in [k for _, k, _ in problems]
    assert tank.volume_l == 106  # the other way alone
    assert tank.volume_how == "counted fill"


def test_gallons_and_unknown_settings(tmp_path: Path) -> None:
    text = (
        '[[volume_found]]\nhow = "tracer"\nus_gallons = 90\nerror_percent = 3\nby = 1\n'
    )
    tank, problems = read(tmp_path, text)
    # NIST Handbook 44: 3.785411784 L in a US gallon.
    assert tank.volume_l == pytest.approx(90 * 3.785411784)
    assert ("note", "unknown setting", 5) in problems


def test_lines_written_for_the_file_are_read_back(tmp_path: Path) -> None:
    ways = [geometry(120, 50, 45, sand_cm=5, rock_kg=20), counted_fill(24.2, 10)]
    tank, problems = read(tmp_path, settings_lines(ways))
    assert problems == [("note", "volume found", 1)]
    assert tank.volume_l == pytest.approx(242.3, abs=0.5)


def test_a_volume_on_the_command_line_has_no_error_of_the_file() -> None:
    base = Tank(volume_l=100, volume_how="label", volume_error_percent=5)
    tank, _ = tank_from_options(base, volume="342")
    assert (tank.volume_l, tank.volume_how, tank.volume_error_percent) == (
        342,
        "",
        None,
    )
