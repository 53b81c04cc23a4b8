"""A log from a stranger, through the command into every format at once."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
import zipfile
from pathlib import Path

import pytest
from test_report import ENGINES, tree
from test_report_names import SECRETS, logbook
from test_report_pdf import RISKY

from kit import escape, markup
from kit.cli import main

# One text for each place; what each could do stands in test_report's HOSTILE.
NASTY = {
    "Zworkel": "../../top<script>alert(1)</script>",
    "Brumbald": "=HYPERLINK(http://x.example)",
    "Fyxmark": "[url=javascript:alert(1)]x[/url][/code]",
    "Grellow": "<img src=x onerror=alert(1)> @everyone www.x.example",
    "Hurdlip": "![x](http://x.example) | # * _ `",
    "Krovnik": "@SUM(1+1)",
    "Mulgrew": "</style></script><b>\u202etxt.exe",
    "Nybbert": "+cmd|calc",
    "Ostwick": "<svg/onload=alert(1)>",
    "Plomver": "<i>",
}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    place = tmp_path_factory.mktemp("hostile")
    log = logbook(place / "log")
    for path in log.iterdir():
        text = path.read_text(encoding="utf-8")
        for word, nasty in NASTY.items():
            if path.suffix == ".toml":
                nasty = nasty.replace('"', "'")
            else:
                nasty = nasty.replace(",", " ").replace('"', "'")
            text = text.replace(word, nasty)
        path.write_text(text, encoding="utf-8", newline="")
    before = {p.name: p.read_bytes() for p in log.iterdir()}
    out = place / "deep" / "out"
    words = ["report", str(log), "--out", str(out), "--today", "2026-11-25"]
    assert main([*words, "--without-errors", "--json"]) == 0
    assert {p.name for p in place.iterdir()} == {"log", "deep"}
    assert [p.name for p in (place / "deep").iterdir()] == ["out"]
    assert {p.name: p.read_bytes() for p in log.iterdir()} == before
    return {p.name: p.read_bytes() for p in out.iterdir()}


def text(files: dict[str, bytes], name: str) -> str:
    return files[name].decode("utf-8")


def test_the_nasty_words_did_arrive(files):
    page = tree(text(files, "report.html"))
    told = " ".join(words for _, words in page.text)
    assert NASTY["Zworkel"] in told
    assert "onload" in told


def test_the_page_holds_only_its_own_elements(files):
    page = tree(text(files, "report.html"))
    assert page.balanced
    assert set(page.names()) <= markup.TAGS
    for _, attributes in page.tags:
        assert set(attributes) <= markup.ATTRIBUTES
        assert not any(name.startswith("on") for name in attributes)
        source = attributes.get("src") or "data:image/png;base64,"
        assert source.startswith("data:image/png;base64,")


@pytest.mark.parametrize("name", ["report.md", "post.md"])
@pytest.mark.parametrize("engine", ENGINES)
def test_markdown_renders_to_known_elements_in_two_engines(files, engine, name):
    page = tree(ENGINES[engine](text(files, name)))
    known = {"h1", "h2", "p", "ul", "li", "strong", "table", "thead", "tbody", "tr"}
    assert set(page.names()) <= known | {"th", "td", "img"}
    pictures = [a for t, a in page.tags if t == "img"]
    assert [a["src"] for a in pictures] == ["chart.png"]
    assert {len(row) for row in _rows(page)} <= {5, 7}


def _rows(page):
    """Cells of each row, by the tags between one row and the next."""
    rows: list[list[str]] = []
    for tag in page.names():
        if tag == "tr":
            rows.append([])
        elif tag in ("td", "th"):
            rows[-1].append(tag)
    return rows


@pytest.mark.parametrize("name", ["report.bbcode.txt", "post.bbcode.txt"])
def test_bbcode_holds_only_the_common_tags_closed_in_order(files, name):
    stack: list[str] = []
    for closing, tag in re.findall(r"\[(/?)([^\[\]]*)\]", text(files, name)):
        assert tag in {"b", "i", "list", "*", "code"}
        if closing:
            assert stack.pop() == tag
        elif tag != "*":
            stack.append(tag)
    assert stack == []


def test_text_files_call_nobody_and_hide_nothing(files):
    for name in files:
        if name.startswith(("post.", "report.")) and not name.endswith(
            (".html", ".pdf")
        ):
            post = text(files, name)
            assert not re.search(r"@\w|://|\bwww\.", post), name
            kinds = {unicodedata.category(c) for c in post.replace("\n", "")}
            assert not kinds & {"Cc", "Cf", "Cs"}


def test_the_pdf_and_the_zip_hold_nothing_that_acts(files):
    assert not [word for word in RISKY if word in files["report.pdf"]]
    with zipfile.ZipFile(io.BytesIO(files["logbook.zip"])) as box:
        for entry in box.infolist():
            assert Path(entry.filename).name == entry.filename
            assert entry.external_attr >> 16 == 0o644
        tables = [box.read(n) for n in box.namelist() if n.endswith(".csv")]
    tables += [body for name, body in files.items() if name.endswith(".csv")]
    assert len(tables) >= 8
    for table in tables:
        lines = csv.reader(io.StringIO(table.decode("utf-8-sig"), newline=""))
        for cell in (c for line in lines for c in line):
            assert escape.csv_text(escape.csv_text_back(cell)) == cell


def test_the_words_replaced_are_those_of_the_log():
    assert set(NASTY) <= set(SECRETS.values())
