"""How often the 95 % band of the net rate holds the truth, on simulated logs.

Run as ``python tests/bench/band_coverage.py chart 300``; a benchmark measures, it
asserts nothing. The simulation takes daily steps of its own and shares no code with
the kit's balance. Truths differ from log to log: rate, exchange, start, reading error
and the tank's own day-to-day noise.
"""

from __future__ import annotations

import datetime as dt
import sys
import time
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit import fit
from kit.logbook import Exchange, Logbook, Tank, Test

STEPS = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
DAY0 = dt.date(2026, 3, 2)
SOURCE = 5.0


@dataclass(frozen=True)
class Truth:
    """What one simulated tank really does."""

    rate: float
    fraction: float
    interval: int
    reader: float
    tank: float
    both: bool
    start: float


def draw_truth(rng: np.random.Generator, kind: str) -> Truth:
    """Draw a tank and a keeper."""
    rate = rng.uniform(0.6, 3.0)
    fraction = rng.choice([0.2, 0.25, 0.3, 0.4, 0.5])
    interval = int(rng.choice([7, 7, 10, 14]))
    peak = SOURCE + rate * interval / fraction
    reader = rng.uniform(0.08, 0.15) if kind == "chart" else rng.uniform(0.03, 0.12)
    return Truth(
        rate,
        fraction,
        interval,
        reader,
        rate * rng.uniform(0.2, 0.9),
        bool(rng.random() < 0.5),
        peak * rng.uniform(0.4, 1.4),
    )


def band(level: float) -> tuple[float, float | None, float]:
    """Read a level off the doubling chart, split at geometric midpoints."""
    edges = [STEPS[1] / 2] + [(a * b) ** 0.5 for a, b in pairwise(STEPS[1:])]
    i = int(np.searchsorted(edges, level))
    low = 0.0 if i == 0 else edges[i - 1]
    return low, (edges[i] if i < len(edges) else None), STEPS[i]


def simulate(truth: Truth, rng: np.random.Generator, kind: str, days: int) -> Logbook:
    """Live through a season day by day and write the log."""
    level = truth.start
    tests: list[Test] = []
    exchanges: list[Exchange] = []

    def read(day: int, hour: int) -> None:
        seen = max(level * (1 + truth.reader * rng.standard_normal()), 0.0)
        if kind == "chart":
            low, high, value = band(seen)
        else:
            value = round(seen)
            low, high = max(value - 0.5, 0.0), value + 0.5
        when = DAY0 + dt.timedelta(days=day)
        line = len(tests) + 2
        tests.append(
            Test(when, dt.time(hour), low, high, value, str(value), "tests.csv", line)
        )

    read(0, 17)
    for day in range(1, days + 1):
        level = max(level + truth.rate + truth.tank * rng.standard_normal(), 0.0)
        if day % truth.interval:
            continue
        read(day, 17)
        level = level * (1 - truth.fraction) + truth.fraction * SOURCE
        exchanges.append(
            Exchange(
                DAY0 + dt.timedelta(days=day),
                dt.time(18),
                float(truth.fraction),
                None,
                "exchanges.csv",
                len(exchanges) + 2,
            )
        )
        if truth.both:
            read(day, 19)
    chart = kind == "chart"
    tank = Tank(
        volume_l=200.0,
        source_nitrate_mg_l=SOURCE,
        kit_steps_mg_l=STEPS if chart else None,
        kit_resolution_mg_l=None if chart else 1.0,
    )
    return Logbook(tank, tuple(tests), tuple(exchanges))


def main() -> None:
    """Print coverage of the kit's band and of plain least squares."""
    kind, count = sys.argv[1], int(sys.argv[2])
    days = int(sys.argv[3]) if len(sys.argv) > 3 else 182
    hits = plain = below = done = refused = 0
    widths, errors = [], []
    begin = time.perf_counter()
    for seed in range(count):
        rng = np.random.default_rng([20260302, seed])
        truth = draw_truth(rng, kind)
        result = fit.rate(simulate(truth, rng, kind, days))
        if result.net_rate is None or result.simple_rate is None:
            refused += 1
            continue
        done += 1
        net, simple = result.net_rate, result.simple_rate
        hits += net.low <= truth.rate <= net.high
        below += net.high < truth.rate
        plain += simple.low <= truth.rate <= simple.high
        widths.append((net.high - net.low) / truth.rate)
        errors.append(net.estimate / truth.rate - 1)
    print(
        f"{kind}, {days} days: {done} logs ({refused} refused); the band holds the "
        f"truth {hits / done:.1%} (too low {below / done:.1%}), plain least squares "
        f"{plain / done:.1%}; median width {np.median(widths):.2f} of the rate, median "
        f"error {np.median(errors):+.1%}; "
        f"{(time.perf_counter() - begin) / count:.2f} s "
        "a fit",
        flush=True,
    )


if __name__ == "__main__":
    main()
