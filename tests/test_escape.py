"""Nothing a stranger writes becomes markup, a formula, a call or a path."""

from __future__ import annotations

import csv
import html as stdlib_html
import io
import re
import unicodedata
from html.parser import HTMLParser
from pathlib import Path

import mistune
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from kit import escape, markup
from kit.errors import SaveError

HOSTILE = (
    "NA",
    "../../top",
    "CON",
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    '"><svg onload=alert(1)>',
    "</td></table><h1>mine</h1>",
    "&lt;b&gt; &amp; &#91;",
    "[b]loud[/b] [url=javascript:alert(1)]x[/url] [/code] [img]http://x.example[/img]",
    "![x](http://x.example/a.png) [x](javascript:alert(1)) <http://x.example>",
    "# heading",
    "1. list",
    "- list",
    "--- rule",
    "=== line",
    "*now* __then__ ~~gone~~ `code` | cell | $x$ \\",
    '=HYPERLINK("http://x.example","click")',
    "@SUM(1+1)",
    "@everyone see www.x.example or a@b.example",
    "line\none\r\n\r\n    two\u2028three\x00four",
    "\u202egnp.exe\u202c \ufeff\u200bhidden",
    "a" + "\u0301" * 300,
    "long" * 2_000,
    "\ud800 lone",
)

texts = st.one_of(
    st.text(st.characters(), max_size=80),
    st.text(
        st.sampled_from("<>&\"'[]()*_#|!`~$\\=+-@:/.1 \n\t\r\u202e\ufeffab"),
        max_size=40,
    ),
    st.sampled_from(HOSTILE),
)


class Outline(HTMLParser):
    """Collect tags, attributes and text."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes.extend(attrs)

    def handle_data(self, data):
        self.text += data

    def handle_comment(self, data):
        self.tags.append("!--")

    def handle_decl(self, decl):
        self.tags.append("!")


def parsed(page: str) -> Outline:
    out = Outline()
    out.feed(page)
    out.close()
    return out


def squeezed(text: str) -> str:
    return " ".join(text.split())


# -- plain -----------------------------------------------------------------------


@given(texts)
def test_plain_is_one_line_of_visible_characters(text):
    line = escape.plain(text)
    kinds = {unicodedata.category(c) for c in line}
    assert not kinds & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert "\n" not in line
    assert len(line) <= escape.LIMIT
    assert escape.plain(line) == line


def test_plain_keeps_ordinary_words_of_any_script():
    for words in ("Becken 3, Süßwasser", "水槽", "Ταγκ", "tank's «end» – 5 °C"):
        assert escape.plain(words) == words


def test_plain_cuts_and_says_so():
    assert escape.plain("abcdefgh", 5) == "abcd…"
    assert escape.plain("abcde", 5) == "abcde"


def test_plain_removes_the_turn_of_reading_direction_and_piled_marks():
    assert escape.plain("a\u202eb\u2066c\u200bd\x07") == "abcd"
    assert escape.plain("a" + "\u0301" * 300) == "a" + "\u0301" * 4


# -- html ------------------------------------------------------------------------


@given(texts, texts)
def test_html_text_never_adds_a_tag_or_attribute(text, alt):
    page = markup.element("p", text, markup.element("span", "x", aria_label=alt))
    out = parsed(page)
    assert out.tags == ["p", "span"]
    assert out.attributes == [("aria-label", escape.plain(alt))]
    edge = " " if text[-1:].isspace() else ""
    assert squeezed(out.text) == squeezed(escape.plain(text) + edge + "x")


@given(texts)
def test_html_text_is_found_again_after_unescaping(text):
    assert stdlib_html.unescape(escape.html(text)) == escape.plain(text)


def test_an_element_starts_with_a_bracket_so_it_is_never_taken_for_a_path(
    tmp_path, monkeypatch
):
    from IPython.display import HTML

    (tmp_path / "secret.txt").write_text("SECRET", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    # The danger is real: a bare name is opened and read.
    assert HTML("secret.txt").data == "SECRET"
    assert "SECRET" not in HTML(markup.element("p", "secret.txt")).data


def test_markup_joined_with_plain_text_is_escaped_again():
    joined = markup.element("em", "kept") + "<script>"
    assert not isinstance(joined, markup.Markup)
    assert parsed(markup.element("p", joined)).tags == ["p"]


@pytest.mark.parametrize(
    "tag", ["script", "iframe", "a", "form", "svg", "object", "b><i"]
)
def test_elements_that_run_or_lead_somewhere_are_refused(tag):
    with pytest.raises(ValueError, match="no element"):
        markup.element(tag, "x")


@pytest.mark.parametrize(
    "name", ["onclick", "onerror", "href", "style", "srcdoc", "x y"]
)
def test_attributes_that_run_or_lead_somewhere_are_refused(name):
    with pytest.raises(ValueError, match="no attribute"):
        markup.element("p", "x", **{name: "y"})


@pytest.mark.parametrize(
    "source",
    [
        "http://x.example/a.png",
        "javascript:alert(1)",
        "data:image/svg+xml,<svg>",
        "//x",
    ],
)
def test_a_picture_from_elsewhere_is_refused(source):
    with pytest.raises(ValueError, match="embedded"):
        markup.element("img", alt="x", src=source)


def test_a_long_picture_is_not_cut():
    png = bytes(range(256)) * 40
    out = dict(parsed(markup.picture(png, "a & b")).attributes)
    assert len(out["src"]) > 13_000
    assert "…" not in out["src"]
    assert out["alt"] == "a & b"


# -- Markdown ----------------------------------------------------------------------

ENGINES = {
    "markdown-it": MarkdownIt("commonmark", {"html": True})
    .enable(["table", "strikethrough"])
    .render,
    "mistune": mistune.create_markdown(
        escape=False,
        plugins=[
            "table",
            "strikethrough",
            "url",
            "footnotes",
            "mark",
            "math",
            "def_list",
        ],
    ),
}


@pytest.mark.parametrize("engine", ENGINES)
@settings(max_examples=200)
@given(text=texts)
@example(text="a:\n: b")
@example(text="1)")
@example(text="1. -")
@example(text="+ - = x")
@example(text="=")
@example(text=": 0")
def test_markdown_text_renders_as_itself(engine, text):
    render = ENGINES[engine]
    out = parsed(render("before\n\n" + escape.markdown(text) + "\n\nafter\n"))
    assert set(out.tags) <= {"p"}
    assert not out.attributes
    assert squeezed(out.text) == squeezed(f"before {escape.paste(text)} after")


@pytest.mark.parametrize("engine", ENGINES)
@settings(max_examples=100)
@given(text=texts)
def test_markdown_text_keeps_to_its_table_cell(engine, text):
    cell = escape.markdown(text)
    page = f"| a | b |\n| --- | --- |\n| {cell} | {cell} |\n| 1 | 2 |\n"
    out = parsed(ENGINES[engine](page))
    assert out.tags.count("td") == 4
    assert set(out.tags) <= {"table", "thead", "tbody", "tr", "th", "td"}
    said = escape.paste(text)
    assert squeezed(out.text) == squeezed(f"a b {said} {said} 1 2")


def test_the_engines_do_render_what_is_not_escaped():
    """Without this the two tests above could not fail."""
    for render in ENGINES.values():
        out = parsed(render("*a* ![x](http://x.example) <b>c</b>\n\n- d"))
        assert {"em", "img", "b", "ul"} <= set(out.tags)


# -- BBCode ------------------------------------------------------------------------


@given(texts)
def test_bbcode_text_holds_no_tag(text):
    line = escape.bbcode(text)
    assert "[" not in line
    assert "]" not in line
    assert re.search(r"<[A-Za-z/!?]", line) is None
    assert not {unicodedata.category(c) for c in line} & {"Cc", "Cf"}


def test_readings_stay_as_written_in_bbcode():
    assert escape.bbcode("<5, >160, 20-40 mg/L") == "<5, >160, 20-40 mg/L"


@given(texts)
def test_posts_call_nobody_and_link_nowhere(text):
    for safe in (escape.paste, escape.bbcode, escape.markdown):
        line = safe(text)
        assert re.search(r"@\w", line) is None
        assert "://" not in line
        assert re.search(r"(?i)\bwww\.\w", line) is None


# -- spreadsheets --------------------------------------------------------------------


@settings(max_examples=500)
@given(texts)
@example("'=x")
@example("''=x")
@example("'twas")
@example("'-0.5")
@example("\t=1")
@example("\ufeff=1+1")
@example("＝1+1")
def test_csv_guard_comes_off_exactly(text):
    assert escape.csv_text_back(escape.csv_text(text)) == text


@given(texts.filter(lambda t: not any(0xD800 <= ord(c) < 0xE000 for c in t)))
def test_csv_guard_comes_off_after_a_file(text):
    out = io.StringIO(newline="")
    csv.writer(out).writerow([escape.csv_text(text), "end"])
    row = next(csv.reader(io.StringIO(out.getvalue(), newline="")))
    assert [escape.csv_text_back(row[0]), row[1]] == [text, "end"]


# OWASP Application Security Verification Standard 1.2.10: a cell that starts with
# one of = + - @ tab NUL takes an apostrophe; the wide signs and what stands behind
# white space are ours.
@pytest.mark.parametrize(
    "text",
    [
        '=HYPERLINK("http://x.example")',
        "+cmd|' /C calc'!A0",
        "-2+3+cmd|' /C calc'!A0",
        "@SUM(A1)",
        "\t=1",
        "\x00=1",
        "\r=1",
        "  =1",
        "\ufeff=1",
        "\u200b=1",
        "＝1",
        "＋1+1",
        "－1-1",
        "＠SUM(1)",
        "-0.5+A1",
        "\tplain",
    ],
)
def test_a_formula_is_guarded(text):
    assert escape.csv_text(text) == "'" + text


@pytest.mark.parametrize(
    "text",
    ["-0.5", "+3", "1e-5", "-12.75", "40", "<5", "20-40", "fed = late", "", "a@b"],
)
def test_numbers_and_plain_words_are_left_alone(text):
    assert escape.csv_text(text) == text


# -- paths -------------------------------------------------------------------------

DEVICES = ["CON", "prn", "Aux", "NUL", "COM1", "com9", "LPT1", "lpt³", "CONIN$", "con."]


@given(texts, st.sets(st.sampled_from(["tank", "a", "b", "na", "top"])))
def test_a_slug_is_a_plain_name(text, taken):
    name = escape.slug(text, taken)
    assert re.fullmatch(r"[a-z0-9](?:[a-z0-9-]{0,58}[a-z0-9])?", name)
    assert name not in taken
    assert name.upper() not in {"CON", "PRN", "AUX", "NUL"}
    assert re.fullmatch(r"(?:com|lpt)\d", name) is None


@pytest.mark.parametrize("name", DEVICES)
def test_a_device_name_becomes_something_else(name):
    assert escape.slug(name).startswith("tank-")


def test_slugs_of_hostile_names():
    assert escape.slug("NA") == "na"
    assert escape.slug("../../top") == "top"
    assert escape.slug("Café № 3") == "cafe-no-3"
    assert len(escape.slug("x" * 500)) == 60
    assert escape.slug("水槽") != escape.slug("魚")
    long = escape.slug("x" * 500, {"x" * 60})
    assert len(long) == 60
    assert long.endswith("-2")
    assert escape.slug("a", {"a", "a-2", "a-3"}) == "a-4"


@given(texts)
def test_a_slug_lies_inside(text):
    root = Path("somewhere").resolve()
    assert escape.inside(root, escape.slug(text)).parent == root


@pytest.mark.parametrize(
    "name", ["../x", "..", ".", "", "a/../../x", "/etc/passwd", "a\0b"]
)
def test_a_name_that_leads_out_is_refused(name, tmp_path):
    with pytest.raises(SaveError, match="does not lie in the output folder"):
        escape.inside(tmp_path / "out", name)


def test_links_are_followed_before_the_check(tmp_path):
    real, other = tmp_path / "real", tmp_path / "other"
    real.mkdir()
    other.mkdir()
    linked = tmp_path / "linked"
    try:
        linked.symlink_to(real, target_is_directory=True)
        (real / "away").symlink_to(other, target_is_directory=True)
    except OSError:
        pytest.skip("this system gives no links to this user")
    assert escape.inside(linked, "page.html") == real.resolve() / "page.html"
    with pytest.raises(SaveError):
        escape.inside(real, "away/page.html")
