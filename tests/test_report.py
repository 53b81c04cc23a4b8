"""The page: order, safety, access, and a folder that is whole or not there."""

from __future__ import annotations

import csv
import io
import re
import struct
import unicodedata
import zlib
from html.parser import HTMLParser

import mistune
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from kit import cautions, escape, markup, report
from kit.errors import SaveError
from kit.report import _looks


def png(width: int = 3, height: int = 2) -> bytes:
    """A grey picture written chunk by chunk as the PNG specification says."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        sum_ = zlib.crc32(kind + body)
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", sum_)

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    rows = b"".join(b"\0" + b"\x80" * width for _ in range(height))
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


HOSTILE = (
    "NA",
    "../../top",
    "CON",
    '<script>alert(1)</script>"><img src=x onerror=alert(1)>',
    "[/code][url=javascript:alert(1)]x[/url][list]",
    "![x](http://x.example) | # * _ `",
    '=HYPERLINK("http://x.example")',
    "@everyone \u202etxt.exe www.x.example",
    "line\none\r\n| two |",
)


def made_of(text: str) -> report.Report:
    """A report with the same text in every place that takes text."""
    table = report.Table(text, (text, text, "mg/L"), ((text, "x", "-0.5"),) * 2)
    return report.Report(
        title=text,
        period=text,
        tank_facts=((text, text),),
        cautions=(text, text),
        brief_caution=text,
        verdict=(text, text),
        plan=(text, text),
        changes=(text, text),
        figures=(report.Figure(png(), "alt " + text, text),),
        tables=(table,),
        assumptions=(text,),
        cannot_tell=(text,),
        next_test=text,
        repairs=(text,),
        answers=(text,),
        checks=(text,),
        data=(table,),
    )


SAMPLE = report.Report(
    title="Copper Beck",
    period="Log of 3 March to 30 August",
    tank_facts=(("Water volume", "342 L, measured"), ("Source water", "5 mg/L")),
    cautions=cautions.for_page(*cautions.EXCHANGE),
    brief_caution="Mind the plugs and the chlorine.",
    verdict=("Nitrate rises 1.8 mg/L a day (1.6 to 2.1).", "It was well tested."),
    plan=("The peak settles near 78.",),
    figures=(
        report.Figure(png(), "Level rises to 78.", "Fitted level."),
        report.Figure(png(4, 4), "Second."),
    ),
    tables=(
        report.Table(
            "Plans", ("plan", "peak (mg/L)"), (("25 %, 10 days", "69 to 89"),)
        ),
    ),
    assumptions=("Feeding stays as it was.",),
    changes=("A tenth less food: 1.6.",),
    cannot_tell=("Feed from the tank's own source.",),
    next_test="One test after the next exchange.",
    repairs=("Line 7: a decimal comma was read as a point.",),
    answers=("Dates are day first.",),
    checks=("Amounts are mg of nitrate ion a litre.",),
    data=(
        report.Table(
            "Readings", ("date", "read", "note"), (("2026-03-03", "<5", "=1+1"),) * 2
        ),
    ),
)

WORDS_IN_ORDER = (
    "Copper Beck",
    "342 L, measured",
    "Nitrate rises 1.8",
    "Level rises to 78",
    "Feeding stays",
    "tenth less food",
    "Electricity",
    "arithmetic, not approval",
    "settles near 78",
    "69 to 89",
    "own source",
    "One test after",
    "decimal comma",
    "day first",
    "nitrate ion",
    "2026-03-03",
)


class Tree(HTMLParser):
    """Collect tags, attributes, text by tag, and check that tags close in order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.balanced = True
        self.text: list[tuple[str, str]] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in {"meta", "img", "br"}:
            self.open.append(tag)

    def handle_endtag(self, tag):
        self.balanced &= bool(self.open) and self.open.pop() == tag

    def handle_comment(self, data):
        self.tags.append(("!--", {}))

    def handle_data(self, data):
        self.text.append((self.open[-1] if self.open else "", data))

    def names(self) -> list[str]:
        return [tag for tag, _ in self.tags]

    def words(self, tag: str) -> list[str]:
        return [
            text.strip() for where, text in self.text if where == tag and text.strip()
        ]


def tree(page: str) -> Tree:
    out = Tree()
    out.feed(page)
    out.close()
    return out


def shape(page: str) -> list[tuple[str, tuple[str, ...]]]:
    return [(tag, tuple(attrs)) for tag, attrs in tree(page).tags]


# -- order -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "writer",
    [report.to_html, report.to_markdown, report.to_bbcode, report.to_text],
)
def test_cautions_stand_before_numbers_and_all_parts_in_order(writer):
    page = " ".join(writer(SAMPLE).split())
    page = page[page.find("</style>") + 1 :]
    places = [page.find(words) for words in WORDS_IN_ORDER]
    assert -1 not in places
    assert places == sorted(places)


def test_empty_parts_leave_no_heading_behind():
    page = tree(report.to_html(report.Report("Quarry", ("One sentence.",))))
    assert page.words("h2") == ["What the log says"]
    assert report.to_text(report.Report("  ", ("x",))).startswith("Tank\n====\n")


def test_a_table_without_rows_still_shows_its_header():
    empty = report.Table("Nothing yet", ("date", "mg/L"), ())
    page = report.Report("Quarry", ("x",), tables=(empty,))
    assert tree(report.to_html(page)).words("th") == ["date", "mg/L"]
    assert "| date | mg/L |\n| --- | --- |" in report.to_markdown(page)
    assert "date  mg/L" in report.to_text(page)


# -- HTML: safety ------------------------------------------------------------------

LINE = "one plain line"


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_does_not_change_the_page(text):
    page = report.to_html(made_of(text))
    usual = report.to_html(made_of(LINE))
    assert shape(page) == shape(usual)
    assert tree(page).balanced
    assert escape.plain(text) in tree(page).words("h1")
    assert page.count("<script") == 0


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(), min_size=1, max_size=40).filter(escape.plain))
def test_no_text_changes_the_page(text):
    # A topic before a colon is set in bold; that alone may differ.
    page = report.to_html(made_of(text.replace(": ", ":")))
    found, usual = shape(page), shape(report.to_html(made_of(LINE)))
    assert {t for t, _ in found} == {t for t, _ in usual}
    assert len(found) == len(usual)


@pytest.mark.parametrize("text", [*HOSTILE, LINE])
def test_tags_attributes_and_addresses_are_on_the_list(text):
    page = tree(report.to_html(made_of(text)))
    assert set(page.names()) <= markup.TAGS
    for tag, attributes in page.tags:
        assert set(attributes) <= markup.ATTRIBUTES
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name == "src":
                assert tag == "img"
                assert re.fullmatch(r"data:image/png;base64,[A-Za-z0-9+/=]+", value)


def test_the_list_itself_holds_nothing_that_runs_or_leads_away():
    risky = {"script", "iframe", "object", "embed", "form", "a", "link", "base", "svg"}
    assert not markup.TAGS & risky
    assert not markup.ATTRIBUTES & {"href", "style", "srcset", "action", "onerror"}


def test_the_page_forbids_every_request_and_its_style_makes_none():
    page = tree(report.to_html(SAMPLE))
    policy = [
        a["content"]
        for t, a in page.tags
        if t == "meta" and a.get("http-equiv") == "Content-Security-Policy"
    ]
    parts = [part.strip() for part in policy[0].split(";")]
    assert {"default-src 'none'", "img-src data:", "style-src 'unsafe-inline'"} <= set(
        parts
    )
    assert re.search(r"url\(|@import|expression|http|</", _looks.CSS) is None


# -- HTML: access ------------------------------------------------------------------


def test_headings_step_down_one_at_a_time():
    levels = [
        int(t[1]) for t in tree(report.to_html(SAMPLE)).names() if t in ("h1", "h2")
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert set(levels[1:]) == {2}


def test_pictures_tables_and_regions_have_names():
    page = tree(report.to_html(SAMPLE))
    ids = [a["id"] for _, a in page.tags if "id" in a]
    assert len(ids) == len(set(ids))
    for _, attributes in page.tags:
        if "aria-labelledby" in attributes:
            assert attributes["aria-labelledby"] in ids
    images = [a for t, a in page.tags if t == "img"]
    assert [(a["alt"], a["width"], a["height"]) for a in images] == [
        ("Level rises to 78.", "3", "2"),
        ("Second.", "4", "4"),
    ]
    scopes = [a.get("scope") for t, a in page.tags if t == "th"]
    assert scopes.count("col") == 2 + 3
    assert scopes.count("row") == 1 + 2
    assert page.words("caption") == ["Plans", "Readings"]
    html_tag = dict(page.tags)["html"]
    assert html_tag == {"lang": "en"}
    assert any(a.get("name") == "viewport" for t, a in page.tags if t == "meta")


def contrast(one: str, two: str) -> float:
    """Contrast ratio of WCAG 2.2, "relative luminance" and "contrast ratio"."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [
            p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts
        ]
        return sum(w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    low, high = sorted((luminance(one), luminance(two)))
    return (high + 0.05) / (low + 0.05)


def test_every_text_colour_stands_out_from_every_ground():
    # WCAG 2.2, understanding 1.4.3: #767676 on white is 4.54.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", _looks.CSS))
    for text in ("ink", "soft", "accent"):
        for ground in ("ground", "tint"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)


def test_columns_of_numbers_are_set_right_and_dates_are_not():
    table = report.Table(
        "t",
        ("date", "reading", "band", "share", "note", "empty"),
        (
            ("2026-03-03", "<5", "28 to 57", "25 %", "3 fish", ""),
            ("2026-03-10", "-0.5", "0–2.5", "7", "40", ""),
        ),
    )
    assert table.numeric == (False, True, True, True, False, False)


# -- a picture that failed fails loudly ---------------------------------------------


@pytest.mark.parametrize(
    "broken",
    [
        b"",
        b"not a picture",
        png()[:-1],
        png()[:-12],
        png()[:40],
        png()[:8],
        png() + b"x",
        png().replace(b"IDAT", b"IDAX"),
        png()[:20] + b"\xff" + png()[21:],
    ],
)
def test_half_a_picture_is_refused(broken):
    with pytest.raises(ValueError, match="not drawn"):
        report.Figure(broken, "alt")


def test_a_picture_without_words_is_refused():
    with pytest.raises(ValueError, match="alternative text"):
        report.Figure(png(), "  ")
    assert report.Figure(png(7, 5), "alt").size == (7, 5)


def test_a_ragged_table_is_refused():
    with pytest.raises(ValueError, match="2 columns"):
        report.Table("t", ("a", "b"), (("1", "2"), ("1",)))
    with pytest.raises(ValueError, match="0 columns"):
        report.Table("t", (), ())


# -- Markdown ------------------------------------------------------------------------

ENGINES = {
    "markdown-it": MarkdownIt("commonmark", {"html": True}).enable("table").render,
    "mistune": mistune.create_markdown(escape=False, plugins=["table", "url"]),
}


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_does_not_change_the_markdown(engine, text):
    page = tree(ENGINES[engine](report.to_markdown(made_of(text))))
    usual = tree(ENGINES[engine](report.to_markdown(made_of(LINE))))
    assert page.names() == usual.names()
    assert {"h1", "h2", "table", "td", "img", "li", "strong"} <= set(page.names())
    sources = [a["src"] for t, a in page.tags if t == "img"]
    assert sources == ["chart.png"]


@pytest.mark.parametrize("text", HOSTILE)
def test_every_row_of_a_pipe_table_has_the_same_cells(text):
    lines = report.to_markdown(made_of(text)).splitlines()
    rows = [line for line in lines if line.startswith("|")]
    assert len(rows) == 8
    assert {row.count("|") for row in rows} == {4}


# -- BBCode ----------------------------------------------------------------------------


@pytest.mark.parametrize("text", [*HOSTILE, LINE])
def test_bbcode_tags_are_ours_and_closed(text):
    post = report.to_bbcode(made_of(text))
    tags = re.findall(r"\[(/?)([^\[\]]*)\]", post)
    assert {name for _, name in tags} == {"b", "i", "list", "*", "code"}
    open_tags: list[str] = []
    for closing, name in tags:
        if name == "*":
            assert open_tags == ["list"]
        elif closing:
            assert open_tags.pop() == name
        else:
            open_tags.append(name)
    assert open_tags == []
    usual = report.to_bbcode(made_of(LINE))
    assert [t for _, t in tags] == re.findall(r"\[/?([^\[\]]*)\]", usual)


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(), max_size=40))
def test_posts_hold_no_hidden_characters_and_call_nobody(text):
    for writer in (report.to_markdown, report.to_bbcode, report.to_text):
        post = writer(made_of(text))
        kinds = {unicodedata.category(c) for c in post.replace("\n", "")}
        assert not kinds & {"Cc", "Cf", "Cs"}
        assert re.search(r"@\w|://", post) is None
        assert post.endswith("\n")


# -- plain text ---------------------------------------------------------------


def test_plain_text_stands_without_the_picture():
    post = report.to_text(SAMPLE)
    assert "attach chart.png here: Level rises to 78." in " ".join(post.split())
    assert "attach chart-2.png here: Second." in " ".join(post.split())
    assert max(map(len, post.splitlines())) <= 72
    start = post.index("Readings\n")
    assert post[start:].splitlines() == [
        "Readings",
        "",
        "date        read  note",
        "----------  ----  ----",
        "2026-03-03    <5  =1+1",
        "2026-03-03    <5  =1+1",
    ]


def test_wide_letters_keep_the_columns_in_line():
    table = report.Table("t", ("a", "b"), (("水槽", "x"), ("tank", "y")))
    post = report.to_text(report.Report("T", ("v",), tables=(table,)))
    # Each of the two letters takes two columns, as Unicode annex 11 has them wide.
    assert post.endswith("a     b\n----  -\n水槽  x\ntank  y\n")


# -- the folder ---------------------------------------------------------------

FILES = [
    "report.html",
    "report.md",
    "report.bbcode.txt",
    "report.txt",
    "post.md",
    "post.bbcode.txt",
    "post.txt",
    "report.pdf",
    "chart.png",
    "chart-2.png",
    "table-plans.csv",
    "table-readings.csv",
]


def test_the_folder_holds_every_file(tmp_path):
    out = tmp_path / "new" / "out"
    paths = report.write(SAMPLE, out)
    assert [p.name for p in paths] == FILES
    assert sorted(p.name for p in out.iterdir()) == sorted(FILES)
    assert (out / "report.html").read_text(encoding="utf-8") == report.to_html(SAMPLE)
    assert (out / "chart-2.png").read_bytes() == png(4, 4)


def test_the_same_report_gives_the_same_bytes(tmp_path):
    first = {p.name: p.read_bytes() for p in report.write(SAMPLE, tmp_path / "a")}
    again = {p.name: p.read_bytes() for p in report.write(SAMPLE, tmp_path / "a")}
    assert first == again == report.bundle(SAMPLE)


def test_tables_are_guarded_and_numbers_stay_numbers():
    body = report.bundle(made_of("=1+1"))
    names = [name for name in body if name.endswith(".csv")]
    assert names == ["table-1-1.csv", "table-1-1-2.csv"]
    text = body[names[0]].decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert rows == [["'=1+1", "'=1+1", "mg/L"]] + [["'=1+1", "x", "-0.5"]] * 2


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_name_stays_in_the_folder(tmp_path, text):
    out = tmp_path / "out"
    before = set(tmp_path.iterdir())
    paths = report.write(made_of(text), out, text)
    assert set(tmp_path.iterdir()) - before == {out}
    assert {p.parent.parent for p in paths} == {out.resolve()}
    assert all(re.fullmatch(r"[a-z0-9.-]+", p.name) for p in paths)


def test_other_files_stay_as_they_are(tmp_path):
    (tmp_path / "mine.txt").write_text("keep", encoding="utf-8")
    report.write(SAMPLE, tmp_path)
    assert (tmp_path / "mine.txt").read_text(encoding="utf-8") == "keep"


def test_a_file_in_the_way_is_said_plainly(tmp_path):
    (tmp_path / "out").write_text("a file", encoding="utf-8")
    with pytest.raises(SaveError, match="Choose a folder you may write to") as caught:
        report.write(SAMPLE, tmp_path / "out")
    assert str(tmp_path) not in str(caught.value)


@pytest.mark.parametrize("survives", range(len(FILES)))
def test_a_full_disk_leaves_the_old_page_and_no_draft(tmp_path, monkeypatch, survives):
    old = report.Report("Old", ("Old verdict.",))
    report.write(old, tmp_path)
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    from kit.report import _folder

    real, calls = _folder.Path.open, iter(range(100))

    def failing(self, *args, **kwargs):
        if next(calls) >= survives:
            raise OSError(28, "No space left on device")
        return real(self, *args, **kwargs)

    with monkeypatch.context() as patch:
        patch.setattr(_folder.Path, "open", failing)
        with pytest.raises(SaveError, match="No space left"):
            report.write(SAMPLE, tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_a_link_that_leads_out_is_refused(tmp_path):
    outside = tmp_path / "outside.html"
    outside.write_text("theirs", encoding="utf-8")
    out = tmp_path / "out"
    out.mkdir()
    try:
        (out / "report.html").symlink_to(outside)
    except OSError:
        pytest.skip("this system gives no links to this user")
    with pytest.raises(SaveError, match="does not lie"):
        report.write(SAMPLE, out)
    assert outside.read_text(encoding="utf-8") == "theirs"
    assert [p.name for p in out.iterdir()] == ["report.html"]
