"""The backtest as a script sees it: plain words, one JSON object, exit codes."""

import json

import pytest

from kit import cli
from kit.files import read_logbook

QUARRY = "data_demo/quarry"


@pytest.fixture
def folder(tmp_path):
    """A tidy log of ten weeks, rising 10.5 mg/L a week by hand."""
    place = tmp_path / "pool"
    place.mkdir()
    (place / "tank.toml").write_text(
        '[volume]\nlitres = 200\nhow = "measured"\n[source]\nnitrate_mg_l = 5\n'
        '[kit]\nresolution_mg_l = 1\nbasis = "NO3"\n',
        encoding="utf-8",
    )
    level, tests, exchanges = 25.0, [], []
    for week in range(10):
        day = f"2026-0{3 + week // 4}-{1 + 7 * (week % 4):02d}"
        level += 10.5 if week else 0.0
        tests.append(f"{day},18:00,{level:.0f}")
        exchanges.append(f"{day},19:00,30")
        level += 0.3 * (5.0 - level)
    rows = {
        "tests.csv": ["date,time,nitrate (mg/L NO3)", *tests],
        "exchanges.csv": ["date,time,percent (%)", *exchanges],
    }
    for name, lines in rows.items():
        (place / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return place


def run(capsys, *arguments):
    code = cli.main([str(a) for a in arguments])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_plain_words(folder, capsys):
    code, out, err = run(capsys, "backtest", folder)
    assert (code, err) == (0, "")
    assert "Looking back to" in out
    assert "too few to say" in out
    assert "On the next test day" in out


def test_one_json_object(folder, capsys):
    code, out, _ = run(capsys, "backtest", folder, "--json", "--days", 2)
    assert code == 0
    assert out.count("\n") == 1
    found = json.loads(out)
    assert found["days_looked_back_to"] == 2
    assert {r["horizon"] for r in found["rows"]} <= {"next", "2 weeks", "4 weeks"}
    for row in found["rows"]:
        assert row["kit"]["band_95"][0] <= row["kit"]["number"]
        assert 0.0 <= row["part_in_80"] <= row["part_in_95"] <= 1.0
    assert len(read_logbook(folder).tests) == 10


@pytest.mark.parametrize("days", ["0", "many", "-3", "999"])
def test_a_wrong_number_of_days_is_refused(folder, capsys, days):
    code, _, err = run(capsys, "backtest", folder, "--days", days)
    assert code == 2
    assert "from 1 to 200" in err
    assert "Traceback" not in err


def test_a_log_without_tests_is_unusable(tmp_path, capsys):
    (tmp_path / "tests.csv").write_text("date,nitrate (mg/L NO3)\n", encoding="utf-8")
    code, _, err = run(capsys, "backtest", tmp_path)
    assert code == 2
    assert "no usable test" in err
