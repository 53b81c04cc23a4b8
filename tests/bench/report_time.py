"""How long one report takes, beside importing the libraries it is made with.

Run as ``python tests/bench/report_time.py``; a benchmark measures, it asserts nothing.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data_demo" / "quarry"
DAY = dt.date(2026, 11, 25)
IMPORTS = (
    "import numpy, scipy.stats, pandas, matplotlib.figure, seaborn, pint, fpdf, "
    "statsmodels.base.model"
)


def spent(run, times=5):
    """Median time of several runs. [s]."""
    took = []
    for _ in range(times):
        begin = time.perf_counter()
        run()
        took.append(time.perf_counter() - begin)
    return median(took)


def process(*words):
    """Run Python once more."""
    subprocess.run([sys.executable, *words], cwd=ROOT, check=True, capture_output=True)


def main():
    """Measure and print."""
    libraries = spent(lambda: process("-c", IMPORTS))
    with tempfile.TemporaryDirectory() as out:
        command = ("-m", "kit", "report", str(DEMO), "--out", out)
        whole = spent(lambda: process(*command))
    print(
        f"one report, a process of its own: {whole:.2f} s; importing its libraries "
        f"alone: {libraries:.2f} s; ratio {whole / libraries:.2f}"
    )
    parts()


def parts():
    """Measure the steps inside one process, after a first run."""
    from kit import fit, report
    from kit.files import read_logbook
    from kit.page import report_of

    log = read_logbook(DEMO, today=DAY)
    result = fit.rate(log)
    page = report_of(log, result)
    report.bundle(page)
    steps = {
        "reading the log": lambda: read_logbook(DEMO, today=DAY),
        "the fit": lambda: fit.rate(log),
        "the page with picture, plans and zip": lambda: report_of(log, result),
        "HTML": lambda: report.to_html(page),
        "PDF": lambda: report.to_pdf(page),
        "three texts": lambda: (
            report.to_markdown(page), report.to_bbcode(page), report.to_text(page)
        ),
    }  # fmt: skip
    for name, step in steps.items():
        print(f"  {name}: {1e3 * spent(step, 3):.0f} ms")


if __name__ == "__main__":
    main()
