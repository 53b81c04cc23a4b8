"""``python -m kit plan PATH --shortlist``."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from kit import cautions
from kit.cli import main

QUARRY = str(Path(__file__).resolve().parents[2] / "data_demo" / "quarry")


def test_plans_come_after_the_cautions_in_gallons(capsys):
    assert main(["plan", QUARRY, "--shortlist", "--units", "us"]) == 0
    text = capsys.readouterr().out
    assert text.index(cautions.CLOSING) < text.index("everyday plans keep single peaks")
    assert "US gal" in text
    assert "more than your most of 50 %" in text
    assert max(len(line) for line in text.split(cautions.CLOSING)[1].splitlines()) < 100


def test_one_object_for_scripts(capsys):
    command = ["plan", QUARRY, "--shortlist", "--json", "--chance", "0.8"]
    assert main([*command, "--max-percent", "30"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["ceiling_mg_l"] == 40.0
    for plan in found["plans"]:
        assert plan["chance_single_peak_under_ceiling"] >= 0.8
        assert plan["percent"] <= 30.0
        # Water by hand: percent of 342 L so many times a month, and the drip.
        batch = 3.42 * plan["percent"] / (plan["every_days"] or 1.0)
        water = (batch + plan["drip_l_day"]) * 30.4375
        assert plan["litres_month"] == pytest.approx(water)
    assert {"limit"} <= {left["lacks"] for left in found["left_out"]}


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--percent", "20"], "Give either --shortlist"),
        (["--away", "3"], "at a time"),
        (["--chance", "2"], "no number between 0.01 and 0.99"),
        (["--max-percent", "all"], "no number between 1 and 100"),
    ],
)
def test_slips_are_said_in_a_sentence(capsys, more, said):
    assert main(["plan", QUARRY, "--shortlist", *more]) == 2
    assert said in capsys.readouterr().err


def test_a_ceiling_is_asked_for(tmp_path, capsys):
    shutil.copytree(QUARRY, tmp_path / "tank")
    settings = tmp_path / "tank" / "tank.toml"
    text = settings.read_text(encoding="utf-8").replace("ceiling_mg_l = 40\n", "")
    settings.write_text(text, encoding="utf-8")
    assert main(["plan", str(tmp_path / "tank"), "--shortlist"]) == 2
    assert "needs your ceiling" in capsys.readouterr().err
