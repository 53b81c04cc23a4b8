"""Coverage of the net rate's 95 % band over cells of chart, habit, length and noise.

Run as ``python tests/bench/coverage_cells.py 300 [OUT.csv] [SHARE/SHARES]``: 300 logs
in each cell. The cells are chosen so that every pair of levels of two factors meets.
The simulation takes daily steps of its own and shares no code with the kit's balance.
A benchmark measures; it asserts nothing.

Beside the kit's band stand plain least squares on the numbers written, least squares
on the middles of the bands, and an oracle: the same likelihood with the spreads of
reader and tank held at their true values. Tank noise is a part of the daily rise;
noise with a memory of ten days is given to the oracle as such.

Two truths are asked for. The mean rate is what nitrate really rose by a day over the
log; it is the kit's net rate, and what the other methods are held against. The usual
rate is what the simulated tank strays about; a log of few weeks with lasting noise
hardly shows it (`usual` in the columns), and plans count with it.
"""

from __future__ import annotations

import csv
import datetime as dt
import itertools
import math
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.fit import Estimate, rate
from kit.fit._posterior import Sample, sample
from kit.fit.model import (
    BandedModel,
    Beforehand,
    Noise,
    Readings,
    astray,
    build,
    columns,
    estimate,
    rate_gate,
    top_of,
    unsettled,
    view,
    with_loss,
)
from kit.logbook import Exchange, Logbook, Tank, Test

STEPS = {
    "doubling": (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0),
    "mixed": (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0),
    "strip": (0.0, 10.0, 25.0, 50.0, 100.0, 250.0),
    "low range": (0.0, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0),
    "meter": None,
}
PEAKS = {
    "doubling": (15.0, 120.0),
    "mixed": (12.0, 80.0),
    "strip": (25.0, 150.0),
    "low range": (4.0, 40.0),
    "meter": (12.0, 120.0),
}
SOURCES = {"low range": 0.5}
HABITS = ("before only", "before and after", "random days")
WEEKS = (6, 12, 26, 52)
ORACLE_EVERY = 3
"""The oracle costs as much as the fit; one log in three is enough to compare widths."""
NOISES = ((0.0, 0.0), (0.15, 0.0), (0.30, 0.0), (0.30, 10.0))
DAY0 = dt.date(2026, 3, 2)


@dataclass(frozen=True)
class Cell:
    """One combination of levels."""

    chart: str
    habit: str
    weeks: int
    noise: float
    memory: float


def cells() -> list[Cell]:
    """Choose 32 cells so that every pair of levels of two factors meets."""
    every = [
        Cell(c, h, w, s, m)
        for c, h, w, (s, m) in itertools.product(STEPS, HABITS, WEEKS, NOISES)
    ]
    rng = np.random.default_rng(4)
    every = [every[i] for i in rng.permutation(len(every))]

    def pairs(cell: Cell) -> set[tuple[object, ...]]:
        levels = (cell.chart, cell.habit, cell.weeks, (cell.noise, cell.memory))
        return {
            (i, levels[i], j, levels[j]) for i, j in itertools.combinations(range(4), 2)
        }

    wanted = set().union(*(pairs(c) for c in every))
    chosen: list[Cell] = []
    while wanted or len(chosen) < 32:
        left = [c for c in every if c not in chosen]
        # Once all pairs have met, cells with eight tests and more fill up the rest.
        if not wanted:
            left = [c for c in left if c.weeks > 6 or c.habit == "before and after"]
        best = max(left, key=lambda c: len(pairs(c) & wanted))
        chosen.append(best)
        wanted -= pairs(best)
    order = list(STEPS)
    return sorted(
        chosen,
        key=lambda c: (order.index(c.chart), c.habit, c.weeks, c.noise, c.memory),
    )


@dataclass(frozen=True)
class Truth:
    """What one simulated tank really does."""

    rate: float
    fraction: float
    interval: int
    source: float
    reader: float
    start: float


@dataclass(frozen=True)
class Season:
    """A log, and the rise over its days on the mean: what really came about."""

    log: Logbook
    mean_rate: float


def draw_truth(rng: np.random.Generator, cell: Cell) -> Truth:
    """Draw a tank and a keeper."""
    fraction = float(rng.choice([0.2, 0.25, 0.3, 0.4, 0.5]))
    interval = int(rng.choice([7, 7, 10, 14]))
    source = SOURCES.get(cell.chart, 5.0)
    low, high = PEAKS[cell.chart]
    peak = math.exp(rng.uniform(math.log(low), math.log(high)))
    rate = (peak - source) * fraction / interval
    reader = rng.uniform(0.04, 0.12) if cell.chart == "meter" else 0.12
    return Truth(rate, fraction, interval, source, reader, peak * rng.uniform(0.4, 1.4))


def band(steps: tuple[float, ...], level: float) -> tuple[float, float | None, float]:
    """Read a level off a chart, split at geometric midpoints."""
    edges = [steps[1] / 2] + [(a * b) ** 0.5 for a, b in itertools.pairwise(steps[1:])]
    i = int(np.searchsorted(edges, level))
    low = 0.0 if i == 0 else edges[i - 1]
    return low, (edges[i] if i < len(edges) else None), steps[i]


def noises(cell: Cell, days: int, rng: np.random.Generator) -> np.ndarray:
    """Relative noise of each day's rise; white, or with a memory."""
    white = rng.standard_normal(days + 1)
    if not cell.memory:
        return cell.noise * white
    keep = math.exp(-1.0 / cell.memory)
    out = np.empty(days + 1)
    out[0] = white[0]
    for i in range(1, days + 1):
        out[i] = keep * out[i - 1] + math.sqrt(1 - keep**2) * white[i]
    return cell.noise * out


def simulate(truth: Truth, rng: np.random.Generator, cell: Cell) -> Season:
    """Live through a season day by day and write the log."""
    steps = STEPS[cell.chart]
    days = 7 * cell.weeks
    level = truth.start
    tests: list[Test] = []
    exchanges: list[Exchange] = []
    wobble = noises(cell, days, rng)
    random_days = set(
        rng.choice(np.arange(1, days + 1), size=cell.weeks, replace=False).tolist()
    )

    def read(day: int, hour: int) -> None:
        seen = max(level * (1 + truth.reader * rng.standard_normal()), 0.0)
        if steps is not None:
            low, high, value = band(steps, seen)
        else:
            value = float(round(seen))
            low, high = max(value - 0.5, 0.0), value + 0.5
        when = DAY0 + dt.timedelta(days=day)
        line = len(tests) + 2
        tests.append(
            Test(when, dt.time(hour), low, high, value, str(value), "tests.csv", line)
        )

    read(0, 17)
    for day in range(1, days + 1):
        level = max(level + truth.rate * (1 + wobble[day]), 0.0)
        due = day % truth.interval == 0
        chosen = cell.habit == "random days" and day in random_days
        early = rng.random() < 0.5
        if (due and cell.habit != "random days") or (chosen and early):
            read(day, 17)
        if due:
            level = level * (1 - truth.fraction) + truth.fraction * truth.source
            exchanges.append(
                Exchange(
                    DAY0 + dt.timedelta(days=day),
                    dt.time(18),
                    truth.fraction,
                    None,
                    "exchanges.csv",
                    len(exchanges) + 2,
                )
            )
        if (due and cell.habit == "before and after") or (chosen and not early):
            read(day, 19)
    tank = Tank(
        volume_l=200.0,
        source_nitrate_mg_l=truth.source,
        kit_steps_mg_l=steps,
        kit_resolution_mg_l=None if steps is not None else 1.0,
    )
    last = (tests[-1].date - DAY0).days
    mean = truth.rate * (1.0 + float(wobble[1 : last + 1].mean()))
    return Season(Logbook(tank, tuple(tests), tuple(exchanges)), mean)


@dataclass(frozen=True)
class Bands:
    """Bands of the mean rate over the log, and of the rate the tank strays about."""

    mean: tuple[float, float]
    usual: tuple[float, float]


def both(draws: Sample, rate: int, readings: Readings) -> Bands:
    """Bands from draws of the unknowns."""
    usual = draws.values[:, rate]
    far = astray(draws.ends, readings, np.random.default_rng(11)).mean
    low, high = np.quantile(usual + far, [0.025, 0.975])
    first, last = np.quantile(usual, [0.025, 0.975])
    return Bands((float(low), float(high)), (float(first), float(last)))


def estimated(log: Logbook) -> tuple[Bands, Estimate] | None:
    """Bands of the kit, and of least squares: `kit.fit.rate` without its sentences.

    These logs hold no food and every order in a day, so nothing else is left out.
    """
    ledger = build(log, "before")
    kit = view(ledger.tests, log.tank)
    if rate_gate(ledger, kit) is not None:
        return None
    known = Beforehand()
    layout = unsettled(columns(ledger, kit, with_feed=False), ledger, kit, known)
    top = top_of(layout, kit, known)
    if with_loss(ledger, kit, known, layout, top) is not ledger:
        # These tanks lose nothing: what is found is the rate beside it, as in a report.
        result = rate(log, known=known)
        net, usual = result.net_rate, result.usual_rate
        return Bands((net.low, net.high), (usual.low, usual.high)), result.simple_rate
    fitted = estimate(layout, kit, known, top)
    bands = both(fitted.draws, layout.rate, layout.readings)
    return bands, fitted.simple


def oracle(log: Logbook, truth: Truth, cell: Cell) -> Bands | None:
    """Bands of the same likelihood with both spreads held at their true values."""
    ledger = build(log, "before")
    kit = view(ledger.tests, log.tank)
    layout = columns(ledger, kit, with_feed=False)
    own = truth.rate * cell.noise
    slow = own if cell.memory else 0.0
    noise = Noise(
        additive=0.0, relative=truth.reader, tank=0.0 if slow else own, slow=slow
    )
    model = BandedModel(layout.readings, noise, draws=32 if kit.chart else 1)
    starts = layout.rate
    first = np.array([truth.start] * starts + [truth.rate])
    found = model.fit(
        start_params=first,
        method="bfgs",
        disp=0,
        maxiter=60,
        skip_hessian=True,
        warn_convergence=False,
    )
    mode = np.asarray(found.params)
    try:
        cov = np.linalg.inv(-model.hessian(mode))
    except np.linalg.LinAlgError:
        return None
    if not (np.isfinite(cov).all() and (np.diag(cov) > 0).all()):
        cov = np.diag([truth.start**2] * starts + [truth.rate**2])
    draws = sample(model, mode, cov, lowest=np.array([0.0] * starts + [-np.inf]))
    return both(draws, starts, layout.readings)


def middles(log: Logbook) -> tuple[float, float]:
    """Least squares on the middles of the bands."""
    ledger = build(log, "before")
    kit = view(ledger.tests, log.tank)
    r = columns(ledger, kit, with_feed=False).readings
    low = np.maximum(np.where(np.isfinite(r.low), r.low, 0.0), 0.0)
    y = np.where(np.isfinite(r.high), (low + r.high) / 2, 1.25 * low)
    ci = np.asarray(lm.OLS(y - r.known, r.exog).fit().conf_int())[-1]
    return float(ci[0]), float(ci[1])


def score(low: float, high: float, truth: float) -> float:
    """Interval score of Gneiting and Raftery (2007), eq. 43, at 95 %."""
    miss = max(low - truth, 0.0) + max(truth - high, 0.0)
    return high - low + 2.0 / 0.05 * miss


@dataclass
class Tally:
    """How often bands of one method hold one truth, how wide and how good they are."""

    hits: list[bool]
    scores: list[float]
    widths: list[float]

    def add(self, band: tuple[float, float], truth: float) -> None:
        """Count one band."""
        low, high = band
        self.hits.append(low <= truth <= high)
        self.scores.append(score(low, high, truth) / truth)
        self.widths.append((high - low) / truth)

    def columns(self, name: str) -> dict[str, object]:
        """Give coverage, mean score and median width."""
        return {
            f"{name}_coverage": round(100 * float(np.mean(self.hits or [0])), 1),
            f"{name}_score": round(float(np.mean(self.scores or [0.0])), 3),
            f"{name}_width": round(float(np.median(self.widths or [0.0])), 3),
        }


METHODS = ("kit", "oracle", "written", "middles", "kit_usual", "oracle_usual")


def run_cell(cell: Cell, index: int, count: int) -> dict[str, object]:
    """Simulate and fit one cell."""
    tallies = {name: Tally([], [], []) for name in METHODS}
    ratios: dict[str, list[float]] = {"mean": [], "usual": []}
    tests: list[int] = []
    refused = 0
    spent = 0.0
    for seed in range(count):
        rng = np.random.default_rng([20260302, index, seed])
        truth = draw_truth(rng, cell)
        season = simulate(truth, rng, cell)
        log, mean = season.log, season.mean_rate
        begin = time.perf_counter()
        found = estimated(log)
        spent += time.perf_counter() - begin
        if found is None:
            refused += 1
            continue
        kit, simple = found
        tests.append(len(log.tests))
        tallies["kit"].add(kit.mean, mean)
        tallies["kit_usual"].add(kit.usual, truth.rate)
        tallies["written"].add((simple.low, simple.high), mean)
        tallies["middles"].add(middles(log), mean)
        known = oracle(log, truth, cell) if seed % ORACLE_EVERY == 0 else None
        if known is not None:
            tallies["oracle"].add(known.mean, mean)
            tallies["oracle_usual"].add(known.usual, truth.rate)
            for what in ratios:
                ours, theirs = getattr(kit, what), getattr(known, what)
                ratios[what].append((ours[1] - ours[0]) / (theirs[1] - theirs[0]))
    done = max(len(tests), 1)
    row: dict[str, object] = {
        "chart": cell.chart,
        "habit": cell.habit,
        "weeks": cell.weeks,
        "noise_percent": 100 * cell.noise,
        "memory_days": cell.memory,
        "tests_median": float(np.median(tests)) if tests else 0.0,
        "logs": len(tests),
        "refused": refused,
        "seconds_a_fit": round(spent / count, 3),
        "sampling_error": round(100 * math.sqrt(0.95 * 0.05 / done), 1),
    }
    for what, values in ratios.items():
        row[f"width_to_oracle_{what}"] = round(float(np.median(values or [0.0])), 3)
    for name, tally in tallies.items():
        row |= tally.columns(name)
    return row


def main() -> None:
    """Run the cells and print a row for each; write them to a CSV where asked."""
    count = int(sys.argv[1])
    out = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    # Such as 1/3: the second of three shares of the cells, to run side by side.
    share, shares = sys.argv[3].split("/") if len(sys.argv) > 3 else ("0", "1")
    chosen = list(enumerate(cells()))[int(share) :: int(shares)]
    rows = []
    for index, cell in chosen:
        row = run_cell(cell, index, count)
        rows.append(row)
        print(" ".join(f"{k}={v}" for k, v in row.items()), flush=True)
        if out is not None:
            with out.open("w", encoding="utf-8", newline="") as handle:
                writer = csv.DictWriter(handle, list(row))
                writer.writeheader()
                writer.writerows(rows)


if __name__ == "__main__":
    main()
