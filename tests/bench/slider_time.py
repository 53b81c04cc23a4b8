"""Time from a key press on a slider to the new picture, in a real browser.

It only measures and prints; nothing here fails for being slow. Run it as::

    python tests/bench/slider_time.py [PRESSES]

The clock runs inside the page: from the key event to the second frame after the new
picture was put in place, so that drawing it on the screen is counted.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
import served

WATCH = """
() => {
  window.kitTimes = [];
  let pressed = null;
  document.addEventListener('keydown', e => { pressed = performance.now(); }, true);
  const seen = new MutationObserver(() => {
    if (pressed === null) { return; }
    const from = pressed;
    requestAnimationFrame(() => requestAnimationFrame(() => {
      if (pressed === from) {
        window.kitTimes.push(performance.now() - from);
        pressed = null;
      }
    }));
  });
  const place = document.querySelector('img.kit-picture').closest('.jupyter-widgets');
  seen.observe(place, { childList: true, subtree: true, attributes: true });
}
"""


def measure(page: Any, presses: int) -> list[float]:
    """Press an arrow key on the percent slider; give the times. [ms]."""
    page.evaluate(WATCH)
    knob = served.handle(page, "Exchange (% of the water)")
    knob.focus()
    for i in range(presses):
        knob.press("ArrowRight" if i % 6 < 3 else "ArrowLeft")
        page.wait_for_timeout(450)
    return list(page.evaluate("() => window.kitTimes"))


def report(where: str, times: list[float], presses: int) -> None:
    """Print median, 95th percentile and count."""
    ranked = sorted(times)
    late = ranked[min(int(0.95 * len(ranked)), len(ranked) - 1)]
    print(
        f"{where}: median {statistics.median(ranked):.0f} ms, 95 in 100 under "
        f"{late:.0f} ms, {len(ranked)} pictures for {presses} presses"
    )


def main(presses: int = 30) -> None:
    """Measure the tuning notebook in JupyterLab and as a Voila page."""
    with tempfile.TemporaryDirectory() as folder, served.browser() as chromium:
        place = served.copy_of_notebooks(Path(folder) / "copy")
        for where, serve in (("JupyterLab", served.lab), ("Voila", served.voila)):
            with serve(place) as address:
                page = chromium.new_page(viewport={"width": 1280, "height": 1800})
                page.goto(address)
                if where == "JupyterLab":
                    served.run_all_cells(page)
                served.panel_ready(page)
                page.wait_for_timeout(1500)
                report(where, measure(page, presses), presses)
                page.close()


if __name__ == "__main__":
    main(*(int(n) for n in sys.argv[1:]))
