"""The page in a real browser: no request, no complaint, nothing cut off on a phone."""

from __future__ import annotations

import shutil

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
