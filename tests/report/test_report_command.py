"""The command: one report, many, chosen sections, both unit systems, and refusals."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from test_report import tree

from kit import cautions, markup
from kit.cli import main
from kit.report import SECTIONS, Listed, to_index

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
TODAY = ("--today", "2026-11-25")


def run(capsys, *words: str) -> tuple[int, str, str]:
    code = main([*words, *TODAY])
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """One report of a tank with litres, a ceiling and a drip, in US units."""
    out = tmp_path_factory.mktemp("us")
    words = ("report", str(DEMO / "culvert"), "--out", str(out), "--units", "us")
    assert main([*words, *TODAY, "--json"]) == 0
    return out


def text(out: Path, name: str) -> str:
    return (out / name).read_text(encoding="utf-8")


def test_the_files_are_those_named(whole):
    made = {p.name for p in whole.iterdir()}
    assert {f"report.{kind}" for kind in ("html", "pdf", "md", "txt")} <= made
    assert {"post.md", "post.bbcode.txt", "post.txt", "chart.png"} <= made
    assert "logbook.zip" in made


def test_volumes_stand_in_gallons_and_the_basis_is_stated(whole):
    page = text(whole, "report.txt")
    # NIST Handbook 44, appendix C: a US gallon is 3.785 412 L; 62 L are 16.4 gallons.
    assert round(62 / 3.785412, 1) == 16.4
    assert "16.4 US gal (62 L)" in page
    assert "Water a month (US gal)" in page
    assert "not NO3-N" in page
    body = page.partition("Before you act")[0] + page.partition("The plan\n")[2]
    assert not re.search(r"(?<!\()\b\d[\d.,]* L\b(?! ?\))", body.replace("62 L)", ""))


def test_the_short_post_fits_a_forum_and_stands_alone(whole):
    post = text(whole, "post.txt")
    # Common practice, no source: boards of small posts take 4,000 to 10,000 letters.
    assert len(post) <= 4_500
    for word in ("US gal", "not NO3-N", "colour chart", "mg/L a day (", "chlorine"):
        assert word in post
    assert post.index("Before you act") < post.index("The plan")
    assert cautions.CLOSING in " ".join(post.split())
    assert max(map(len, post.splitlines())) <= 72
    assert len(post) < len(text(whole, "report.txt")) / 2


def test_the_picture_is_sized_for_a_forum(whole):
    png = (whole / "chart.png").read_bytes()
    width, height = (int.from_bytes(png[i : i + 4], "big") for i in (16, 20))
    assert 1000 <= width <= 1280
    assert height <= 900
    assert len(png) <= 100_000


def test_times_are_written_plainly_in_markdown(whole):
    assert not re.search(r"\d\\:\d", text(whole, "report.md"))


def test_numbers_of_a_chart_have_no_needless_decimals(whole):
    """Steps of 5, 10, 20 and 40 lie 5 or more apart: no tenth can be told."""
    page = text(whole, "report.md").partition("**Readings**")[2].partition("**")[0]
    rows = [r.split("|")[4:7] for r in page.splitlines() if r.startswith("| 2026-")]
    assert len(rows) > 30
    for low, high, level in rows:
        assert "." not in level.strip()
        assert "." not in high.strip() or float(high) < 10
        assert "." not in low.strip() or float(low) < 10


def test_chosen_sections_keep_their_cautions(capsys, tmp_path):
    words = ("report", str(DEMO / "culvert"), "--out", str(tmp_path))
    code, _, _ = run(capsys, *words, "--sections", "plan, tank")
    assert code == 0
    keys = [a["class"] for t, a in tree(text(tmp_path, "report.html")).tags
            if t == "section"]  # fmt: skip
    assert keys == ["tank", "cautions", "plan"]
    assert "Readings" not in text(tmp_path, "report.txt")
    assert not (tmp_path / "chart.png").exists()


def test_a_section_that_is_not_there_is_named(capsys, tmp_path):
    words = ("report", str(DEMO / "culvert"), "--out", str(tmp_path))
    code, _, said = run(capsys, *words, "--sections", "plan,weather")
    assert code == 2
    assert ", ".join(SECTIONS) in said
    assert list(tmp_path.iterdir()) == []


def test_a_report_is_kept_out_of_a_logbook(capsys, tmp_path):
    log = shutil.copytree(DEMO / "culvert", tmp_path / "log")
    before = {p.name: p.read_bytes() for p in log.iterdir()}
    code, _, said = run(capsys, "report", str(log), "--out", str(log))
    assert code == 2
    assert "holds a logbook" in said
    assert {p.name: p.read_bytes() for p in log.iterdir()} == before


# -- many tanks ------------------------------------------------------------------------


@pytest.fixture
def club(tmp_path):
    """Three folders: a good log, one in error, one without settings."""
    place = tmp_path / "club"
    place.mkdir()
    shutil.copytree(DEMO / "culvert", place / "well")
    shutil.copytree(DEMO / "tarn", place / "wrong")
    shutil.copytree(DEMO / "one-sheet", place / "sheet")
    (place / "empty").mkdir()
    (place / "readme.txt").write_text("not a log", encoding="utf-8")
    return place


def test_each_tank_has_its_page_or_its_reason(capsys, tmp_path, club):
    out = tmp_path / "out"
    code, said, _ = run(capsys, "report", str(club), "--each", "--out", str(out))
    assert code == 0
    assert "Culvert: 0." in said
    assert "Tarn: not fitted, for 1 error" in said
    assert "sheet: passed over" in said
    assert sorted(p.name for p in out.iterdir()) == ["index.html", "well"]
    page = tree((out / "index.html").read_text(encoding="utf-8"))
    links = [a["href"] for t, a in page.tags if t == "a"]
    assert links == ["well/report.html"]
    assert (out / links[0]).is_file()
    told = " ".join(words for _, words in page.text)
    assert "1 of 3 logbooks have a report" in told
    assert "exchanges.csv, line 19" in told


def test_each_as_json_and_with_names_hidden(capsys, tmp_path, club):
    out = tmp_path / "out"
    words = ("report", str(club), "--each", "--out", str(out), "--hide-names")
    code, said, _ = run(capsys, *words, "--json")
    assert code == 0
    tanks = json.loads(said)["tanks"]
    assert [t["tank"] for t in tanks] == ["Tank 1", "Tank 2", "Tank 3"]
    assert [t["folder"] for t in tanks] == [None, "tank-2", None]
    index = (out / "index.html").read_text(encoding="utf-8")
    for name in ("Culvert", "Tarn", "well", "wrong", "sheet", "exchanges.csv"):
        assert name not in index


def test_no_logbook_at_all_is_said(capsys, tmp_path):
    words = ("report", str(tmp_path), "--each", "--out", str(tmp_path / "out"))
    code, _, said = run(capsys, *words)
    assert code == 2
    assert "holds no folder with a logbook" in said
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_twelve_demo_reports_in_one_command(capsys, tmp_path):
    words = ("report", str(DEMO), "--each", "--without-errors", "--json")
    code, said, _ = run(capsys, *words, "--out", str(tmp_path))
    assert code == 0
    tanks = json.loads(said)["tanks"]
    made = [t for t in tanks if t["folder"]]
    assert len(made) == 12
    for tank in made:
        folder = tmp_path / tank["folder"]
        assert (folder / "report.html").stat().st_size > 10_000
        assert (folder / "report.pdf").read_bytes().startswith(b"%PDF")
        assert len((folder / "post.txt").read_text(encoding="utf-8")) <= 4_500
        assert tank["net_rate"] or tank["refused"]


# -- the page that lists them ----------------------------------------------------------

HOSTILE = '<script>alert(1)</script>"><a href=javascript:alert(1)>x</a>'


def test_hostile_names_do_not_change_the_list():
    cells = (HOSTILE,) * 4
    page = tree(
        to_index([Listed(HOSTILE, "a-tank", cells), Listed(HOSTILE, why=HOSTILE)])
    )
    usual = tree(to_index([Listed("x", "a-tank", ("y",) * 4), Listed("x", why="z")]))
    assert [t for t, _ in page.tags] == [t for t, _ in usual.tags]
    assert [a["href"] for t, a in page.tags if t == "a"] == ["a-tank/report.html"]
    assert set(page.names()) <= markup.TAGS | {"a"}
    assert page.balanced


@pytest.mark.parametrize(
    "path",
    ["../x/report.html", "/etc/report.html", "javascript:alert(1)", "a/b/report.html",
     "http://x/report.html", "A/report.html", "a/other.html", "x/report.html#y"],
)  # fmt: skip
def test_a_link_leads_to_a_report_beside_the_page_only(path):
    with pytest.raises(ValueError, match="beside the page"):
        markup.page_link(path, "x")
