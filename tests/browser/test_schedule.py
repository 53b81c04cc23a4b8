"""The schedule notebook as a plain page on a phone: sliders move map and table."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import served

pytestmark = pytest.mark.browser

CEILING = "Your ceiling (mg/L)"
SURE = "Single peaks stay under at least"


def weekly(page: Any) -> float:
    """Percent of the weekly plan as the table shows it."""
    text = page.locator(".kit-rows").last.inner_text()
    found = re.search(r"([\d.]+) % \([\d.,]+ L\) every 7 days", text)
    assert found is not None, text
    return float(found[1])


def test_map_and_table_follow_the_ceiling(chromium: Any, place: Path) -> None:
    with served.voila(place, "10_choose_my_schedule.ipynb") as address:
        page = chromium.new_page(viewport={"width": 390, "height": 844})
        page.goto(address)
        served.panel_ready(page)
        page.wait_for_selector(".kit-rows table", timeout=60_000)
        picture = page.locator("img.kit-picture").last
        before, alt = picture.get_attribute("src"), str(picture.get_attribute("alt"))
        assert "stays under 40 mg/L" in alt
        percent = weekly(page)
        knob = served.handle(page, CEILING)
        knob.focus()
        for _ in range(10):
            knob.press("ArrowRight")
        page.wait_for_function(
            "() => [...document.querySelectorAll('[role=status] p.lead')]"
            ".some(p => p.textContent.includes('under 50 mg/L'))",
            timeout=20_000,
        )
        assert picture.get_attribute("src") != before
        assert "stays under 50 mg/L" in str(picture.get_attribute("alt"))
        # f = g T/(ceiling - Cs): the weekly percent falls by 35 to 45 above a tap of 5.
        assert weekly(page) == pytest.approx(percent * 35 / 45, abs=1.6)
        sure = page.get_by_label(SURE, exact=True)
        fuller = weekly(page)
        sure.select_option("5 in 10")
        page.wait_for_function(
            "() => [...document.querySelectorAll('[role=status] p.lead')]"
            ".some(p => p.textContent.includes('at least 5 times in 10'))",
            timeout=20_000,
        )
        assert weekly(page) < fuller
        width = page.evaluate("() => document.documentElement.scrollWidth")
        assert width <= 390, "the page must not scroll sideways on a phone"
        page.close()
