"""Take the README's picture of the tuning bench from a real browser.

Run it after changing how the bench looks::

    python .ci/make_screenshot.py
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests" / "browser"))
import served  # noqa: E402 - the path has to be set first

MARGIN = 9


def main() -> None:
    """Open the notebook as a plain page, fold the cautions away, and shoot."""
    with tempfile.TemporaryDirectory() as folder, served.browser() as chromium:
        place = served.copy_of_notebooks(Path(folder) / "copy")
        with served.voila(place) as address:
            page = chromium.new_page(
                viewport={"width": 840, "height": 1900}, device_scale_factor=1.5
            )
            page.goto(address)
            served.panel_ready(page)
            page.locator("details.kit-mind summary").click()
            page.wait_for_timeout(800)
            first = page.locator(".widget-toggle-buttons").last.bounding_box()
            last = page.locator("[role=status]").last.bounding_box()
            clip = {
                "x": max(first["x"] - MARGIN, 0),
                "y": first["y"] - MARGIN,
                "width": 810,
                "height": last["y"] + last["height"] - first["y"] + 2 * MARGIN,
            }
            shot = page.screenshot(clip=clip)
    few = (
        Image.open(io.BytesIO(shot))
        .convert("RGB")
        .quantize(160, dither=Image.Dither.NONE)
    )
    target = ROOT / "notebooks" / "tuning.png"
    few.save(target, optimize=True)
    sys.stdout.write(f"{target.name}: {target.stat().st_size / 1000:.0f} kB\n")


if __name__ == "__main__":
    main()
