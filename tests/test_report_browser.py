"""The page in a real browser: no request, no complaint, nothing cut off on a phone."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from itertools import pairwise

import pypdfium2
import pytest
from test_report import SAMPLE, made_of

from kit import report

pytestmark = pytest.mark.browser
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    if CHROMIUM is None:
        pytest.skip("no chromium on this machine")
    flags = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"]
    flags += ["--disable-background-networking", "--disable-component-update"]
    flags += ["--disable-sync"]
    with sync_playwright() as play:
        program = play.chromium.launch(executable_path=CHROMIUM, args=flags)
        yield program
        program.close()


@pytest.mark.parametrize("width", [390, 1280])
@pytest.mark.parametrize(
    "page_of",
    [SAMPLE, made_of("<script>document.title='taken'</script>" + "long" * 60)],
    ids=["sample", "hostile"],
)
def test_the_page_asks_for_nothing_and_fits(browser, tmp_path, width, page_of):
    file = report.write(page_of, tmp_path)[0]
    view = browser.new_context(viewport={"width": width, "height": 844}, offline=True)
    tab = view.new_page()
    asked: list[str] = []
    said: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("console", lambda message: said.append(message.text))
    tab.on("pageerror", lambda error: said.append(str(error)))
    tab.goto(file.as_uri())
    assert [url for url in asked if not url.startswith("data:")] == [file.as_uri()]
    assert said == []
    assert tab.title() == " ".join(page_of.title.split())
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    shown = "Array.from(document.images, i => i.complete && i.naturalWidth > 0)"
    assert tab.evaluate(shown) == [True] * len(page_of.figures)
    # Each table that is wider than the screen can be reached and moved by keyboard.
    reach = "Array.from(document.querySelectorAll('.wide'), e => e.tabIndex)"
    assert set(tab.evaluate(reach)) == {0}
    view.close()


def opened(browser, file, **view):
    tab = browser.new_context(offline=True, **view).new_page()
    tab.goto(file.as_uri())
    return tab


def test_the_accessibility_tree_tells_the_page_in_order(browser, tmp_path):
    """What a screen reader is given: headings, pictures, tables and their names."""
    tab = opened(browser, report.write(SAMPLE, tmp_path)[0])
    told = tab.locator("body").aria_snapshot()
    heads = re.findall(r'- heading "([^"]+)" \[level=(\d)\]', told)
    levels = [int(level) for _, level in heads]
    assert levels[0] == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    names = [name for name, _ in heads]
    wanted = ["Copper Beck", "The tank", "What the log says", "The picture"]
    wanted += ["What is assumed", "What would change it", "Before you act on this"]
    wanted += ["The plan", "What this cannot tell you"]
    assert names[: len(wanted)] == wanted
    assert told.count("- img ") == 2
    assert '- img "Level rises to 78."' in told
    assert told.count("- table ") == told.count("- region ") - len(heads) + 1 == 2
    assert told.count("- columnheader ") == 2 + 3
    assert told.count("- rowheader ") == 1 + 2
    tab.context.close()


CONTRASTS = """
() => {
  const parts = c => (c.match(/[\\d.]+/g) || []).map(Number);
  const light = c => {
    const [r, g, b] = parts(c).slice(0, 3).map(v => v / 255).map(
      v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = e => {
    for (; e; e = e.parentElement) {
      const p = parts(getComputedStyle(e).backgroundColor);
      if (p.length === 3 || p[3] > 0) return getComputedStyle(e).backgroundColor;
    }
    return 'rgb(255, 255, 255)';
  };
  const out = [];
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    if (!own || !e.getClientRects().length) continue;
    const [a, b] = [light(getComputedStyle(e).color), light(ground(e))];
    out.push((Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05));
  }
  return out;
}
"""


@pytest.mark.parametrize("media", ["screen", "print"])
@pytest.mark.parametrize("width", [390, 1280])
def test_all_text_as_drawn_stands_out_from_its_ground(browser, tmp_path, media, width):
    # WCAG 2.2, 1.4.3: at least 4.5 to 1 for text, reckoned from what is drawn.
    view = {"viewport": {"width": width, "height": 844}}
    tab = opened(browser, report.write(SAMPLE, tmp_path)[0], **view)
    tab.emulate_media(media=media)
    found = tab.evaluate(CONTRASTS)
    assert len(found) > 30
    assert min(found) >= 4.5
    tab.context.close()


def test_a_plan_is_stacked_on_a_phone_and_nothing_is_cut_off(browser, tmp_path):
    view = {"viewport": {"width": 390, "height": 844}}
    tab = opened(browser, report.write(SAMPLE, tmp_path)[0], **view)
    inside = "e => e.scrollWidth <= e.clientWidth"
    assert tab.locator(".plan .wide").evaluate(inside)
    assert tab.locator(".plan td .label").first.is_visible()
    tab.context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_pages_cut_no_table_row_and_no_picture(browser, tmp_path, paper):
    rows = tuple((f"2026-01-{i % 28 + 1:02}", f"item {i:03}") for i in range(90))
    long = report.Table("Long", ("date of test", "row"), rows)
    page = replace(SAMPLE, data=(long,))
    tab = opened(browser, report.write(page, tmp_path)[0])
    printed = pypdfium2.PdfDocument(tab.pdf(format=paper))
    # White space is dropped: some readers put each letter on a line of its own.
    told = ["".join(p.get_textpage().get_text_range().split()) for p in printed]
    found = [re.findall(r"item(\d{3})", text) for text in told]
    assert [n for ns in found for n in ns] == [f"{i:03}" for i in range(90)]
    for text, numbers in zip(told, found, strict=True):
        assert ("dateoftest" in text) == bool(numbers)  # the head is repeated
    tab.context.close()
