"""The PDF: real text, its language and title, no action in it, the paper asked for."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_report import HOSTILE, SAMPLE, WORDS_IN_ORDER, made_of

from kit import escape, report

# Names of the PDF standard (ISO 32000-1, 12.6 and 12.5) for what runs or leads away.
RISKY = (b"/JavaScript", b"/JS", b"/Launch", b"/URI", b"/Annot", b"/EmbeddedFile")
RISKY += (b"/SubmitForm", b"/GoToR", b"/RichMedia", b"/AA ")


def read(pdf: bytes) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(pdf)


def text_of(pdf: bytes) -> str:
    pages = [page.get_textpage().get_text_range() for page in read(pdf)]
    return " ".join(" ".join(pages).split())


def test_its_text_can_be_read_and_stands_in_order():
    told = text_of(report.to_pdf(SAMPLE))
    # Pictures speak by their words for screen readers, which are no page text.
    wanted = [w for w in WORDS_IN_ORDER if w != "Level rises to 78"]
    places = [told.find(words) for words in wanted]
    assert -1 not in places
    assert places == sorted(places)


def test_title_language_and_words_of_pictures_are_in_the_file():
    pdf = report.to_pdf(SAMPLE)
    assert read(pdf).get_metadata_value("Title") == "Copper Beck"
    assert b"/Lang (en)" in pdf
    assert b"/DisplayDocTitle true" in pdf
    # Words for screen readers stand as text strings, UTF-16 with its mark or plain.
    alt = "Level rises to 78."
    assert b"/Alt" in pdf
    assert alt.encode() in pdf or alt.encode("utf-16-be") in pdf


def test_headings_are_bookmarks():
    marks = [m.get_title() for m in read(report.to_pdf(SAMPLE)).get_toc()]
    assert marks[0] == "The tank"
    assert marks.index("Before you act on this") < marks.index("The plan")


@pytest.mark.parametrize(
    ("paper", "points"), [("A4", (210 / 25.4, 297 / 25.4)), ("Letter", (8.5, 11.0))]
)
def test_the_paper_has_its_standard_size(paper, points):
    # ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: size A is 8.5 x 11 inches.
    page = read(report.to_pdf(replace(SAMPLE, paper=paper)))[0]
    wide, high = (72 * inch for inch in points)
    assert page.get_size() == pytest.approx((wide, high), abs=0.1)


def test_the_only_date_is_that_of_the_log():
    pdf = report.to_pdf(replace(SAMPLE, day=dt.date(2026, 8, 30)))
    dates = set(re.findall(rb"D:(\d{8})", pdf))
    assert dates == {b"20260830"}
    assert pdf == report.to_pdf(replace(SAMPLE, day=dt.date(2026, 8, 30)))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_only_text(text):
    pdf = report.to_pdf(made_of(text))
    usual = report.to_pdf(made_of("one plain line"))
    for name in RISKY:
        assert pdf.count(name) == usual.count(name) == 0, name
    # What it opens with is a view of the first page, in no case an action.
    opens = re.findall(rb"/OpenAction\s{0,2}(.)", pdf)
    assert opens == [b"["]
    assert escape.plain(text, 40)[:12].strip() in text_of(pdf)


@settings(max_examples=6)
@given(st.text(st.characters(), min_size=1, max_size=30))
def test_any_text_makes_a_file(text):
    assert len(read(report.to_pdf(made_of(text)))) >= 1


def test_a_letter_the_typeface_lacks_leaves_a_box_and_no_fault():
    told = text_of(report.to_pdf(replace(SAMPLE, title="水 Beck")))
    assert "□ Beck" in told


def test_a_long_table_repeats_its_header_on_each_page():
    rows = tuple((f"2026-01-{i % 28 + 1:02}", str(i)) for i in range(150))
    table = report.Table("Long", ("date of test", "reading"), rows)
    pages = read(report.to_pdf(replace(SAMPLE, data=(table,))))
    heads = [p.get_textpage().get_text_range().count("date of test") for p in pages]
    assert sum(heads) == sum(1 for n in heads if n) >= 3
