"""The commands as a script sees them: one JSON object, plain words, exit codes."""

import datetime as dt
import json
import subprocess
import sys
from pathlib import Path

import pytest

from kit import cli

TOML = """name = "Test pool"
[volume]
litres = 200
how = "measured"
[source]
nitrate_mg_l = 5
[kit]
resolution_mg_l = 1
basis = "NO3"
[habit]
same_day = "before"
[plan]
ceiling_mg_l = 40
"""


@pytest.fixture
def folder(tmp_path):
    """A tidy logbook without noise, by repetition of one sum a week."""
    place = tmp_path / "pool"
    place.mkdir()
    day0, level = dt.date(2026, 3, 2), 25.0
    tests, exchanges = [], []
    for week in range(12):
        day = day0 + dt.timedelta(days=7 * week)
        level += 7 * 1.5 if week else 0.0
        tests.append(f"{day},18:00,{level:.0f}")
        exchanges.append(f"{day},19:00,30")
        level += 0.3 * (5.0 - level)
    files = {
        "tank.toml": TOML,
        "tests.csv": "\n".join(["date,time,nitrate (mg/L NO3)", *tests]) + "\n",
        "exchanges.csv": "\n".join(["date,time,percent (%)", *exchanges]) + "\n",
    }
    for name, text in files.items():
        (place / name).write_text(text, encoding="utf-8")
    return place


def run(capsys, *arguments):
    code = cli.main([str(a) for a in arguments])
    out = capsys.readouterr()
    return code, out.out, out.err


def as_json(capsys, *arguments):
    code, out, err = run(capsys, *arguments, "--json")
    assert out.count("\n") == 1
    return code, json.loads(out), err


DAY = ("--today", "2026-10-01")


def test_check(capsys, folder):
    code, got, _ = as_json(capsys, "check", folder, *DAY)
    assert code == 0
    assert got["problems"] == []
    first = got["tests"][0]
    assert first["date"] == "2026-03-02"
    assert first["time"] == "18:00"
    assert (first["low_mg_l"], first["value_mg_l"], first["high_mg_l"]) == (
        24.5,
        25,
        25.5,
    )
    assert (first["raw"], first["line"], first["file"]) == ("25", 2, "tests.csv")
    assert got["exchanges"][0]["fraction"] == 0.3
    assert len(got["tests"]) == len(got["exchanges"]) == 12


# By repetition of one sum a week the truth is 1.5 mg/L a day.
def test_fit(capsys, folder):
    code, got, _ = as_json(capsys, "fit", folder, *DAY)
    assert code == 0
    net = got["net_rate_mg_l_day"]
    assert net["low"] < 1.5 < net["high"]
    assert net["estimate"] == pytest.approx(1.5, abs=0.05)
    assert got["tests_used"] == len(got["fitted"]) == 12
    assert got["volume_l"] == 200
    assert got["refused"] is None
    assert got["feed_yield_mg_g"] is None
    assert {"date", "low", "high", "fitted", "band"} <= set(got["fitted"][0])


# Peak 5 + g 7/0.3, ceiling 40 needs f = g 7/35.
def test_plan(capsys, folder):
    _, fitted, _ = as_json(capsys, "fit", folder, *DAY)
    rate = fitted["usual_rate_mg_l_day"]["estimate"]
    code, got, _ = as_json(
        capsys, "plan", folder, "--percent", "30", "--every", "7", *DAY
    )
    assert code == 0
    assert got["peak_mg_l"]["estimate"] == pytest.approx(5 + rate * 7 / 0.3)
    assert got["trough_mg_l"]["estimate"] == pytest.approx(
        5 + rate * 7 / 0.3 - 7 * rate
    )
    assert got["litres_month"] == pytest.approx(200 * 0.3 / 7 * 30.4375)
    assert got["cycles_to_95"] == pytest.approx(8.4, abs=0.05)
    assert 0 <= got["chance_under_ceiling"] <= 1
    _, solved, _ = as_json(
        capsys, "plan", folder, "--percent", "auto", "--every", "7", *DAY
    )
    assert solved["percent"] == pytest.approx(100 * rate * 7 / 35)
    _, days, _ = as_json(
        capsys, "plan", folder, "--percent", "30", "--every", "auto", *DAY
    )
    assert days["every_days"] == pytest.approx(0.3 * 35 / rate)


def test_plan_with_a_drip_tried_keeps_the_rate_of_the_log(capsys, folder):
    _, fitted, _ = as_json(capsys, "fit", folder, *DAY)
    rate = fitted["usual_rate_mg_l_day"]["estimate"]
    asked = ("--percent", "0", "--every", "7", "--drip", "10")
    _, got, _ = as_json(capsys, "plan", folder, *asked, *DAY)
    # A drip alone settles at Cs + g V/q.
    assert got["peak_mg_l"]["estimate"] == pytest.approx(5 + rate * 200 / 10)


def test_a_plan_beyond_the_keepers_own_limit_says_so(capsys, folder):
    toml = folder / "tank.toml"
    text = toml.read_text(encoding="utf-8") + "max_percent = 25\n"
    toml.write_text(text, encoding="utf-8")
    _, out, _ = run(capsys, "plan", folder, "--percent", "30", "--every", "7", *DAY)
    assert "more than your own limit of 25 % for one exchange" in out


def test_one_time_for_test_and_exchange_leaves_the_order_open(capsys, folder):
    path = folder / "exchanges.csv"
    text = path.read_text(encoding="utf-8").replace(",19:00,", ",18:00,")
    path.write_text(text, encoding="utf-8")
    (folder / "tank.toml").write_text(
        TOML.replace('[habit]\nsame_day = "before"\n', ""), encoding="utf-8"
    )
    _, got, _ = as_json(capsys, "fit", folder, *DAY)
    assert any("nothing says which came first" in s for s in got["statements"])
    _, before, _ = as_json(capsys, "fit", folder, "--same-day", "before", *DAY)
    _, after, _ = as_json(capsys, "fit", folder, "--same-day", "after", *DAY)
    first, second = (g["net_rate_mg_l_day"]["estimate"] for g in (before, after))
    assert first == pytest.approx(1.5, abs=0.05)
    assert second > 1.1 * first


def test_a_plan_that_cannot_be_is_said(capsys, folder):
    asked = ("--percent", "auto", "--every", "30")
    code, got, _ = as_json(capsys, "plan", folder, *asked, *DAY)
    assert code == 0
    assert "even changing all the water" in got["infeasible"]
    assert got["peak_mg_l"] is None


def test_volumes_in_the_readers_units(capsys, folder, tmp_path):
    asked = ("--percent", "30", "--every", "7", "--units", "us")
    _, out, _ = run(capsys, "plan", folder, *asked, *DAY)
    # 60 L are 15.85 US gal (NIST Handbook 44).
    assert "30 % (15.9 US gal) every 7 days" in out
    place = tmp_path / "page"
    run(capsys, "report", folder, "--out", place, "--units", "us", *DAY)
    assert "52.8 US gal" in (place / "post.txt").read_text(encoding="utf-8")


def test_cautions_come_before_numbers(capsys, folder):
    _, out, _ = run(capsys, "plan", folder, "--percent", "30", "--every", "7", *DAY)
    assert out.index("Electricity") < out.index("30 % (60 L) every 7 days settles")


def test_one_wide_csv_with_options(capsys, folder, tmp_path):
    tests = (folder / "tests.csv").read_text(encoding="utf-8").splitlines()
    wide = tmp_path / "wide.csv"
    rows = ["date,nitrate (mg/L NO3),exchanged (%)"]
    rows += [f"{r.split(',')[0]},{r.split(',')[2]},30" for r in tests[1:]]
    wide.write_text("\n".join(rows) + "\n", encoding="utf-8")
    options = ("--volume", "200", "--source-nitrate", "5", "--kit-resolution", "1")
    code, got, _ = as_json(capsys, "fit", wide, *options, "--same-day", "before", *DAY)
    assert code == 0
    assert got["net_rate_mg_l_day"]["estimate"] == pytest.approx(1.5, abs=0.05)


def test_report(capsys, folder, tmp_path):
    code, out, _ = run(capsys, "report", folder, "--out", tmp_path / "page", *DAY)
    assert code == 0
    assert "Nitrate rises about 1.5" in out
    page = (tmp_path / "page" / "report.html").read_text(encoding="utf-8")
    assert "Test pool" in page
    assert "data:image/png;base64," in page
    assert "http" not in page.replace("http-equiv", "")


def damage(folder, name, old, new):
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


BAD = {
    "missing settings": lambda f: (f / "tank.toml").unlink(),
    "missing tests": lambda f: (f / "tests.csv").unlink(),
    "empty tests": lambda f: (f / "tests.csv").write_bytes(b""),
    "wrong header": lambda f: damage(
        f, "tests.csv", "date,time,nitrate (mg/L NO3)", "one,two,three"
    ),
    "impossible date": lambda f: damage(f, "tests.csv", "2026-03-09", "2026-02-31"),
    "over 100 %": lambda f: damage(f, "exchanges.csv", ",30\n", ",300\n"),
    "zero volume": lambda f: damage(f, "tank.toml", "litres = 200", "litres = 0"),
    "broken settings": lambda f: damage(f, "tank.toml", "[volume]", "[volume"),
}


@pytest.mark.parametrize("fault", BAD)
@pytest.mark.parametrize("command", ["check", "fit", "plan", "report"])
def test_bad_input_is_a_sentence_and_nothing_is_written(
    capsys, folder, tmp_path, fault, command
):
    BAD[fault](folder)
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    out_dir = tmp_path / "out"
    more = {
        "plan": ("--percent", "30", "--every", "7"),
        "report": ("--out", str(out_dir)),
    }.get(command, ())
    code, out, err = run(capsys, command, folder, *more, *DAY)
    assert code == 2
    said = out if command == "check" else err
    assert "error" in said
    assert "To mend:" in said
    assert "Traceback" not in out + err
    assert not out_dir.exists()
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before
    code, got, _ = as_json(capsys, command, folder, *more, *DAY)
    assert code == 2
    assert any(p["level"] == "error" for p in got["problems"])


def test_the_source_named_goes_before_its_tests(capsys, folder):
    (folder / "source.csv").write_text(
        "date,nitrate (mg/L NO3)\n2026-03-02,5\n", encoding="utf-8"
    )
    _, tested, _ = as_json(capsys, "fit", folder, *DAY)
    _, named, _ = as_json(capsys, "fit", folder, "--source-nitrate", "15", *DAY)
    assert tested["source_mg_l"] == pytest.approx(5)
    assert named["source_mg_l"] == 15


def test_going_on_without_what_is_in_error(capsys, folder):
    BAD["impossible date"](folder)
    code, got, _ = as_json(capsys, "fit", folder, "--without-errors", *DAY)
    assert code == 0
    assert got["tests_used"] == 11
    assert any("left out" in s for s in got["statements"])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("check", "nowhere.csv"), "nowhere.csv"),
        (("plan", "{folder}", "--percent", "lots", "--every", "7"), "'lots'"),
        (("plan", "{folder}", "--percent", "nan", "--every", "7"), "'nan'"),
        (("fit", "{folder}", "--volume", "-3"), "--volume"),
        (("fit", "{folder}", "--today", "soon"), "'soon'"),
        (("plan", "{folder}", "--percent", "150", "--every", "7"), "0 and 100"),
        (("plan", "{folder}", "--percent", "20", "--every", "0"), "--every 0"),
        (("plan", "{folder}", "--percent", "20", "--every", "1e9"), "3650 days"),
        (("plan", "{folder}", "--percent", "auto", "--every", "auto"), "solved for"),
        (
            ("plan", "{folder}", "--percent", "20", "--every", "7", "--drip", "x"),
            "--drip",
        ),
        (("report", "{folder}", "--out", ""), "name a folder"),
        (("fit", "{folder}", "--volume", "0", "--without-errors"), "--volume"),
    ],
)
def test_bad_options(capsys, folder, arguments, said):
    filled = [a.replace("{folder}", str(folder)) for a in arguments]
    code, out, err = run(capsys, *filled)
    assert code == 2
    assert said in out + err


def test_an_unknown_command_is_one_sentence(capsys):
    code, out, err = run(capsys, "guess", "x")
    assert (code, out) == (2, "")
    assert err.endswith("Try: python -m kit --help\n")
    code, got, _ = as_json(capsys, "fit", "x", "--loud")
    assert code == 2
    assert "--loud" in got["refused"]


def test_structure(capsys, folder):
    code, got, _ = as_json(capsys, "check", folder / "tests.csv", "--structure")
    assert code == 0
    assert got["header"] == ["date", "time", "nitrate (mg/L NO3)"]
    assert got["header_line"] == 1
    assert got["rows"][0] == ["2026-03-02", "18:00", "25"]
    assert got["lines"] == list(range(2, 14))
    assert got["encoding"].lower().startswith("utf-8")
    assert got["delimiter"] == ","
    assert got["problems"] == []


def test_the_module_runs_as_a_program(folder):
    done = subprocess.run(
        [sys.executable, "-m", "kit", "check", str(folder), "--json", *DAY],
        capture_output=True,
        check=False,
        env={"PATH": "", "LC_ALL": "C", "SYSTEMROOT": "C:\\Windows"},
        cwd=Path(__file__).parents[1],
    )
    assert done.returncode == 0
    assert len(json.loads(done.stdout.decode("utf-8"))["tests"]) == 12


# Units: the same log in NO3-N and US gallons gives the same rate and plan. Factors:
# 4.4268 from standard atomic weights (molmass), 3.785411784 L (NIST Handbook 44).
def test_units_of_the_log_do_not_matter(capsys, folder):
    _, plain, _ = as_json(capsys, "fit", folder, *DAY)
    tests = (folder / "tests.csv").read_text(encoding="utf-8").splitlines()
    rows = ["date,time,nitrate (mg/L NO3-N)"]
    for row in tests[1:]:
        day, time, value = row.split(",")
        rows.append(f"{day},{time},{float(value) / 4.4268:.7f}")
    (folder / "tests.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    damage(folder, "tank.toml", "resolution_mg_l = 1", "resolution_mg_l = 0.22589681")
    damage(folder, "tank.toml", 'basis = "NO3"', 'basis = "NO3-N"')
    damage(folder, "tank.toml", "litres = 200", "us_gallons = 52.834410")
    code, got, _ = as_json(capsys, "fit", folder, *DAY)
    assert code == 0
    assert got["volume_l"] == pytest.approx(200, rel=1e-6)
    for key in ("estimate", "low", "high"):
        assert got["net_rate_mg_l_day"][key] == pytest.approx(
            plain["net_rate_mg_l_day"][key], rel=1e-3
        )


QUARRY = Path(__file__).parents[1] / "data_demo" / "quarry"


def test_what_is_known_beforehand_is_used_and_said(capsys):
    assert cli.main(["fit", str(QUARRY), "--food-yield", "210,40"]) == 0
    said = capsys.readouterr().out
    assert "rests on what was set beforehand" in said
    assert "210 mg of nitrate, give or take 40" in said
    assert cli.main(["fit", str(QUARRY), "--kit-bias", "15"]) == 0
    assert "The kit may read off by 15 % or so" in capsys.readouterr().out
    assert cli.main(["fit", str(QUARRY), "--exchange-error", "8"]) == 0
    assert "Each exchange is right within 8 % of its size" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("option", "value", "piece"),
    [
        ("--kit-bias", "200", "no percent between 0 and 100"),
        ("--reader-noise", "much", "no percent between 0 and 100"),
        ("--food-yield", "210", "no number with its error"),
    ],
)
def test_what_is_known_beforehand_is_read_strictly(option, value, piece, capsys):
    assert cli.main(["fit", str(QUARRY), option, value]) == 2
    assert piece in capsys.readouterr().err


def test_a_folder_of_logbooks_names_those_inside(capsys, folder):
    code, out, _ = run(capsys, "check", folder.parent)
    assert code == 2
    assert "name one of the folders inside that have tests: pool" in out


def test_a_name_that_is_not_there_is_not_described(capsys, tmp_path):
    code, out, _ = run(capsys, "check", tmp_path / "pol")
    assert code == 2
    assert "check the name, and in which folder it lies" in out
    assert "one column" not in out


def test_a_part_of_one_as_percent_is_named(capsys, folder):
    _, out, _ = run(capsys, "plan", folder, "--percent", "0.3", "--every", "7")
    assert out.startswith("Read as 0.3 %, less than 1 %. For 30 % write 30.")
    _, out, _ = run(capsys, "plan", folder, "--percent", "30", "--every", "7")
    assert "Read as" not in out
    down = ("--catch-up", "--level", "100", "--target", "40", "--percent", "0.3")
    code, out, err = run(capsys, "plan", folder, *down)
    assert code == 2
    assert out.startswith("Read as 0.3 %, less than 1 %.")
    assert "e+" not in err


def test_an_open_question_goes_before_the_verdict(capsys, folder):
    with (folder / "exchanges.csv").open("a", encoding="utf-8") as file:
        file.write("2026-05-25,19:00,0.3\n")
    _, out, _ = run(capsys, "fit", folder)
    assert out.startswith("1 question is open;")
    assert "Nitrate rises" in out


def test_an_old_log_says_that_its_dates_are_past(capsys, folder):
    down = ("plan", folder, "--catch-up", "--target", "20", "--percent", "50")
    _, out, _ = run(capsys, *down, "--today", "2026-09-01")
    assert "days ago, and the dates here count from there" in out
    _, out, _ = run(capsys, "plan", folder, "--away", "10", "--today", "2026-09-01")
    assert "days ago, and the dates here count from there" in out
    _, out, _ = run(capsys, *down, "--today", "2026-09-01", "--level", "100")
    assert "days ago" not in out
    assert "2026-09-01" in out


def test_a_way_down_begins_a_full_interval_after_the_last_exchange(capsys, folder):
    down = ("plan", folder, "--catch-up", "--target", "20", "--percent", "50")
    _, out, _ = run(capsys, *down, "--every", "5", "--today", "2026-05-19")
    # The last of the twelve weekly exchanges was on 18 May.
    assert "1. 2026-05-23: 50 %" in out


def test_a_limit_nobody_named_is_not_called_the_keepers(capsys, folder):
    down = ("plan", folder, "--catch-up", "--target", "10", "--level", "100", *DAY)
    _, out, err = run(capsys, *down)
    assert "a cautious start" in out + err
    _, out, err = run(capsys, *down, "--max-percent", "22")
    assert "22 % every 3 days (your largest exchange)" in out + err


def test_tests_alone_beside_their_exchanges_are_stopped(capsys, folder):
    code, out, err = run(capsys, "fit", folder / "tests.csv", *DAY)
    assert code == 2
    assert "name the folder: pool" in out + err


@pytest.mark.parametrize(
    ("words", "piece"),
    [
        (("--percnt", "auto", "--every", "7"), "Did you mean --percent?"),
        (("--evry=7", "--percent=30"), "Did you mean --every?"),
        (("more", "--percent", "30", "--every", "7"), "one word too many"),
    ],
)
def test_a_slip_in_an_option_is_guessed(capsys, folder, words, piece):
    code, out, err = run(capsys, "plan", folder, *words)
    assert code == 2
    assert piece in err
    assert "python -m kit plan --help" in err
    assert not out
