"""The tuning notebook in a real browser: a key press changes picture and verdict."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
import served

from kit import fit
from kit.files import read_logbook

pytestmark = pytest.mark.browser

PERCENT = "Exchange (% of the water)"
VOLUME_L, DAYS = 342.0, 7.0  # data_demo/quarry: tank.toml, and a weekly habit
NUMBER = r"([\d,.]+)"


Tank = tuple[float, float]


@pytest.fixture(scope="module")
def tank() -> Tank:
    """Net rate and source nitrate of the demo tank, as fitted; inputs here."""
    result = fit.rate(read_logbook(served.ROOT / "data_demo" / "quarry"))
    assert result.net_rate is not None
    assert result.source_mg_l is not None
    return result.net_rate.estimate, result.source_mg_l


def expected(tank: Tank, percent: float) -> dict[str, float]:
    """Long run of an exchange, from the balance written out here.

    Before each exchange the tank holds C; after it (1 - f) C + f Cs; a week later C
    again: so C = Cs + g T / f. A change is 95 % done when (1 - f)**n = 0.05.
    """
    f, (rate, source) = percent / 100.0, tank
    peak = source + rate * DAYS / f
    trough = (1.0 - f) * peak + f * source
    return {
        "percent": percent,
        "litres": f * VOLUME_L,
        "peak": peak,
        "trough": trough,
        "mean": (peak + trough) / 2.0,
        "exchanges": math.ceil(math.log(0.05) / math.log(1.0 - f)),
        "month": f * VOLUME_L / DAYS * 365.25 / 12.0,
    }


def shown(page: Any) -> dict[str, float]:
    """Numbers read off the verdict as a person sees it."""
    text = page.locator("[role=status]").last.inner_text()
    patterns = {
        "percent": rf"^{NUMBER} % \(",
        "litres": rf"\({NUMBER} L\) every",
        "peak": rf"peaks of {NUMBER} mg/L",
        "trough": rf"exchange, {NUMBER} mg/L",
        "mean": rf"just after, {NUMBER} mg/L",
        "exchanges": rf"takes {NUMBER} exchanges",
        "month": rf"uses {NUMBER} L",
    }
    found = {k: re.search(p, text, re.MULTILINE) for k, p in patterns.items()}
    assert all(found.values()), (found, text)
    return {k: float(m[1].replace(",", "")) for k, m in found.items() if m}


def agree(page: Any, tank: Tank, percent: float) -> None:
    """Compare every number shown, to the digit it is rounded to."""
    want, got = expected(tank, percent), shown(page)
    rounding = {"percent": 0.05, "litres": 0.5, "exchanges": 0.0, "month": 1.0}
    for name, value in want.items():
        half = rounding.get(name, 0.55)
        assert abs(got[name] - value) <= half, (name, got[name], value)


def picture(page: Any) -> str:
    return str(page.locator("img.kit-picture").last.get_attribute("src"))


def press_and_check(page: Any, tank: Tank) -> None:
    """Move the percent slider by keyboard and look at what changed."""
    agree(page, tank, 40.0)
    before = picture(page)
    assert before.startswith("data:image/png;base64,")
    knob = served.handle(page, PERCENT)
    knob.focus()
    for _ in range(20):
        knob.press("ArrowRight")
    page.wait_for_function(
        "() => [...document.querySelectorAll('[role=status] p.lead')]"
        ".some(p => p.textContent.startsWith('50 %'))",
        timeout=20_000,
    )
    page.wait_for_function(
        "old => [...document.querySelectorAll('img.kit-picture')].pop().src !== old",
        arg=before,
        timeout=20_000,
    )
    assert page.get_by_label(PERCENT, exact=True).input_value() == "50"
    agree(page, tank, 50.0)
    alt = str(page.locator("img.kit-picture").last.get_attribute("alt"))
    assert "50 % exchanged every 7 days" in alt
    assert page.locator("img.kit-picture").last.evaluate("i => i.naturalWidth") == 800


def test_sliders_in_jupyterlab(chromium: Any, place: Path, tank: Tank) -> None:
    with served.lab(place) as address:
        page = chromium.new_page(viewport={"width": 1280, "height": 1800})
        page.goto(address)
        served.run_all_cells(page)
        served.panel_ready(page)
        press_and_check(page, tank)
        page.close()


def test_sliders_and_picker_on_a_plain_page(
    chromium: Any, place: Path, tank: Tank
) -> None:
    with served.voila(place) as address:
        page = chromium.new_page(viewport={"width": 390, "height": 844})
        page.goto(address)
        served.panel_ready(page)
        press_and_check(page, tank)
        width = page.evaluate("() => document.documentElement.scrollWidth")
        assert width <= 390, "the page must not scroll sideways on a phone"
        entry = page.get_by_label("Folder or CSV file", exact=True)
        entry.fill("../data_demo/no_such_tank")
        entry.press("Enter")
        page.wait_for_function(
            "() => document.querySelectorAll('img.kit-picture').length === 0",
            timeout=20_000,
        )
        # The picture goes first; the words follow a moment later.
        page.wait_for_function(
            "() => [...document.querySelectorAll('[role=status]')].pop()"
            ".innerText.startsWith('Nothing to tune')",
            timeout=20_000,
        )
        said = page.locator("[role=status]").all_inner_texts()
        assert said[0].startswith("There is no folder or file")
        page.close()
