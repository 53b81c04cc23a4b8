"""Time of a map of 60 x 60 plans, beside a loop of single plans, and on the page.

It measures and prints; it asserts nothing. Run it as::

    python tests/bench/schedule_map.py [PRESSES]

Without presses the browser is left out. On a busy machine read the processor time.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from scipy.special import ndtr

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))
sys.path.insert(0, str(Path(__file__).resolve().parent))
import served
import slider_time

from kit import fit, plots, style
from kit.files import read_logbook
from kit.panel import Picture
from kit.plan import plan
from kit.sawtooth import peak_spread
from kit.schedule.line import terms_of
from kit.schedule.map import DAYS, PERCENTS, schedule_map
from kit.schedule.shortlist import shortlist
from kit.schedule.trial import Trial, trial_of
from kit.subject import Subject, subject_of

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
NOTEBOOK = "10_choose_my_schedule.ipynb"
SAMPLE = 40


def spent(run: Callable[[float], object], ceilings: np.ndarray) -> tuple[float, float]:
    """Median wall and processor time while a ceiling moves. [ms]."""
    walls, own = [], []
    for ceiling in ceilings:
        wall, busy = time.perf_counter(), time.process_time()
        run(float(ceiling))
        walls.append(time.perf_counter() - wall)
        own.append(time.process_time() - busy)
    return 1e3 * statistics.median(walls), 1e3 * statistics.median(own)


def single_plans(trial: Trial) -> float:
    """Processor time of one plan alone, by the functions for one habit. [ms]."""
    rng = np.random.default_rng(1)
    draws = trial.draws
    begin = time.process_time()
    for percent, days in zip(
        rng.choice(PERCENTS, SAMPLE), rng.choice(DAYS, SAMPLE), strict=True
    ):
        habit = replace(
            trial.habit, fraction=float(percent) / 100.0, interval_days=float(days)
        )
        found = plan(habit, trial.rate_mg_l_day, draws.rate_mg_l_day)
        spread = peak_spread(habit, draws.tank_noise)
        room = trial.ceiling_mg_l - found.peak_mg_l.estimate
        np.mean(ndtr(room / spread))
    return 1e3 * (time.process_time() - begin) / SAMPLE


def in_the_kit(name: str, tank: Subject, max_percent: float | None) -> None:
    """Measure map, picture and shortlist of one tank."""
    ceilings = np.arange(30.0, 60.0) + max(0.0, tank.habit.source_mg_l - 25.0)
    schedule_map(trial_of(tank, 50.0))
    wall, own = spent(lambda c: schedule_map(trial_of(tank, c)), ceilings)
    drawn = plots.MapPicture(style.axes_in(style.blank_figure(plots.MAP_SIZE_IN)))
    picture = Picture(drawn.figure, drawn.moving)
    drawn.frame(max_percent)

    def shown(ceiling: float) -> None:
        drawn.show(schedule_map(trial_of(tank, ceiling)), now=tank.habit)
        picture.draw("a map")

    shown(50.0)
    wall_drawn, own_drawn = spent(shown, ceilings)
    alone = single_plans(trial_of(tank, float(ceilings[0])))
    apart = max(
        np.abs(schedule_map(t).chance - schedule_map(t, most_draws=10**6).chance).max()
        for t in (trial_of(tank, float(c)) for c in ceilings[::10])
    )
    print(
        f"{name}: 60 x 60 plans median {wall:.0f} ms ({own:.0f} ms processor), with "
        f"the picture {wall_drawn:.0f} ms ({own_drawn:.0f}); a loop of single plans of "
        f"{len(tank.draws)} draws {3.6 * alone:.1f} s, {3600 * alone / own:.0f} times "
        f"as long; chances farthest from all draws {100 * apart:.1f} in 100"
    )


def the_shortlist(tank: Subject, log: Any) -> None:
    """Measure the shortlist of one tank."""
    terms = terms_of(log.tank)
    wall, own = spent(
        lambda c: shortlist(trial_of(tank, c), terms, max_percent=50.0),
        np.arange(30.0, 60.0),
    )
    print(f"shortlist: median {wall:.0f} ms ({own:.0f} ms processor)")


def measure(page: Any, label: str, presses: int) -> list[float]:
    """Press an arrow key on a slider; give the times to the new picture. [ms]."""
    page.evaluate("() => { window.kitTimes = []; }")
    knob = served.handle(page, label)
    knob.focus()
    for i in range(presses):
        knob.press("ArrowRight" if i % 6 < 3 else "ArrowLeft")
        page.wait_for_timeout(600)
    return list(page.evaluate("() => window.kitTimes"))


def on_the_page(presses: int) -> None:
    """Measure the notebook in JupyterLab and as a Voila page."""
    with tempfile.TemporaryDirectory() as folder, served.browser() as chromium:
        place = served.copy_of_notebooks(Path(folder) / "copy")
        for where, serve in (("JupyterLab", served.lab), ("Voila", served.voila)):
            with serve(place, NOTEBOOK) as address:
                page = chromium.new_page(viewport={"width": 1280, "height": 2600})
                page.goto(address, timeout=120_000)
                if where == "JupyterLab":
                    served.run_all_cells(page)
                served.panel_ready(page)
                page.wait_for_timeout(2500)
                page.evaluate(slider_time.WATCH)
                for label in ("Your ceiling (mg/L)", "Exchange (% of the water)"):
                    times = measure(page, label, presses)
                    slider_time.report(f"{where}, {label}", times, presses)
                page.close()


def main(presses: int = 0) -> None:
    """Measure the sums, then the page."""
    for name in ("quarry", "culvert", "tarn"):
        log = read_logbook(DEMO / name)
        tank = subject_of(log, fit.rate(log))
        in_the_kit(name, tank, log.tank.max_percent)
        if name == "quarry":
            the_shortlist(tank, log)
    if presses:
        on_the_page(presses)


if __name__ == "__main__":
    main(*(int(n) for n in sys.argv[1:]))
