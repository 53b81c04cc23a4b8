"""How often the 80 and 95 % bands of a forecast hold the true level, and the reading.

Run as ``python tests/bench/forecast_coverage.py 300``; a benchmark measures, it asserts
nothing. The simulation lives hour by hour and shares no code with the kit's balance:
it lives through a season, the kit fits that season's log alone, and the simulation
lives on under the same habit. Truths differ from log to log: rate, exchange and how
exactly it has its size, start, reading error, the tank's own noise, the source and how
well it is known, a drip in one log of four, the length of the log, and whether the
keeper tests after the exchange too. The tank's noise is that of the coverage bench:
each day's rise strays by 0, 15 or 30 % of it, or by 30 % with a memory of ten days.
With a third number, such as ``300 0 0.9``, it strays by up to that part instead, half
the time with a memory: tanks more restless than what the kit supposes.
"""

from __future__ import annotations

import datetime as dt
import sys
import time
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from kit import fit
from kit.ahead import (
    Kit,
    Trace,
    course,
    follow,
    forecast,
    future_draws,
    interval_score,
    kit_of,
    share_held,
)
from kit.logbook import Exchange, Logbook, SourceTest, Tank, Test
from kit.sawtooth import Habit

STEPS: Final = {
    "doubling": (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0),
    "mixed": (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0),
}
DAY0 = dt.date(2026, 3, 2)
VOLUME = 200.0
AHEAD = (7, 14, 28)
KINDS = ("doubling", "mixed", "meter")
PARTS = 24
MEMORY_DAYS = 10.0
NOISES = ((0.0, False), (0.15, False), (0.30, False), (0.30, True))
_BAND = tuple[float, float | None, float]


@dataclass(frozen=True)
class Truth:
    """What one simulated tank and its keeper really do."""

    rate: float
    fraction: float
    interval: int
    reader: float
    tank: float
    both: bool
    start: float
    source: float
    drip: float
    days: int
    source_tests: int
    bucket: float
    lasting: bool


def draw_noise(rng: np.random.Generator, most: float) -> tuple[float, bool]:
    """Part of the rise by which a day strays, and whether it does so for ten days."""
    if not most:
        return NOISES[int(rng.integers(len(NOISES)))]
    lasting = bool(rng.random() < 0.5)
    # The same spread in the long run, with a memory or without.
    return rng.uniform(0.1, most) / (
        (2.0 * MEMORY_DAYS) ** 0.5 if lasting else 1.0
    ), lasting


def draw_truth(rng: np.random.Generator, kind: str, most: float = 0.0) -> Truth:
    """Draw a tank and a keeper."""
    noise, lasting = draw_noise(rng, most)
    rate, source = rng.uniform(0.6, 3.0), rng.uniform(1.0, 15.0)
    fraction = float(rng.choice([0.2, 0.25, 0.3, 0.4, 0.5]))
    interval = int(rng.choice([7, 7, 10, 14]))
    drip = float(rng.uniform(2.0, 10.0)) if rng.random() < 0.25 else 0.0
    peak = source + rate * interval / (fraction + drip / VOLUME * interval)
    return Truth(
        rate,
        fraction,
        interval,
        rng.uniform(0.03, 0.12) if kind == "meter" else rng.uniform(0.08, 0.15),
        rate * noise,
        bool(rng.random() < 0.5),
        peak * rng.uniform(0.5, 1.3),
        source,
        drip,
        7 * int(rng.choice([10, 14, 20, 26])),
        int(rng.choice([0, 2, 4])),
        rng.uniform(0.0, 0.06),
        lasting,
    )


def shown(level: float, kind: str) -> _BAND:
    """Read a level off the kit: band and number."""
    if kind == "meter":
        value = round(level)
        return max(value - 0.5, 0.0), value + 0.5, float(value)
    steps = STEPS[kind]
    edges = [steps[1] / 2] + [(a * b) ** 0.5 for a, b in pairwise(steps[1:])]
    i = int(np.searchsorted(edges, level))
    low = 0.0 if i == 0 else edges[i - 1]
    return low, (edges[i] if i < len(edges) else None), steps[i]


class Life:
    """One tank and its log, hour by hour."""

    def __init__(self, truth: Truth, rng: np.random.Generator, kind: str) -> None:
        self.truth, self.rng, self.kind = truth, rng, kind
        self.level = truth.start
        self.rich = truth.tank * rng.standard_normal()
        self.tests: list[Test] = []
        self.exchanges: list[Exchange] = []

    def read(self) -> _BAND:
        """Read the tank once."""
        seen = self.level * (1 + self.truth.reader * self.rng.standard_normal())
        return shown(max(seen, 0.0), self.kind)

    def note(self, day: int, hour: int) -> None:
        """Read and write it down."""
        low, high, value = self.read()
        when, line = DAY0 + dt.timedelta(days=day), len(self.tests) + 2
        self.tests.append(
            Test(when, dt.time(hour), low, high, value, str(value), "t.csv", line)
        )

    def day(self) -> None:
        """Live from one five o'clock to the next."""
        t = self.truth
        for _ in range(PARTS):
            self.level += (t.rate + t.drip / VOLUME * (t.source - self.level)) / PARTS
            z = self.rng.standard_normal()
            if t.lasting:
                last = np.exp(-1.0 / (MEMORY_DAYS * PARTS))
                self.rich = last * self.rich + t.tank * (1 - last**2) ** 0.5 * z
                self.level += self.rich / PARTS
            else:
                self.level += t.tank * z / PARTS**0.5
            self.level = max(self.level, 0.0)

    def exchange(self, day: int) -> None:
        """Exchange at five, after the test."""
        t = self.truth
        part = t.fraction * (1 + t.bucket * self.rng.standard_normal())
        self.level += min(max(part, 0.0), 1.0) * (t.source - self.level)
        when, line = DAY0 + dt.timedelta(days=day), len(self.exchanges) + 2
        self.exchanges.append(
            Exchange(when, dt.time(17, 1), t.fraction, None, "e.csv", line)
        )

    def season(self) -> Logbook:
        """Live through the logged days."""
        t = self.truth
        self.note(0, 17)
        for day in range(1, t.days + 1):
            self.day()
            if day % t.interval == 0:
                self.note(day, 17)
                self.exchange(day)
                if t.both:
                    self.note(day, 18)
        if t.days % t.interval:
            self.note(t.days, 17)
        return Logbook(
            self.tank(), tuple(self.tests), tuple(self.exchanges), source=self.taps()
        )

    def tank(self) -> Tank:
        """State what the keeper states."""
        t = self.truth
        return Tank(
            volume_l=VOLUME,
            source_nitrate_mg_l=None if t.source_tests else t.source,
            kit_steps_mg_l=STEPS.get(self.kind),
            kit_resolution_mg_l=1.0 if self.kind == "meter" else None,
            drip_l_day=t.drip,
        )

    def taps(self) -> tuple[SourceTest, ...]:
        """Test the new water a few times."""
        out = []
        for i in range(self.truth.source_tests):
            error = self.truth.reader * self.rng.standard_normal()
            low, high, value = shown(
                max(self.truth.source * (1 + error), 0.0), self.kind
            )
            when = DAY0 + dt.timedelta(days=20 * i)
            out.append(SourceTest(when, None, low, high, value, "", "s.csv", i + 2))
        return tuple(out)


@dataclass
class Row:
    """What came of one moment ahead of one log."""

    kind: str
    lasting: bool
    days: int
    held: dict[int, bool]
    width: float
    score: float
    reading: dict[int, float]


def judge(seed: int, kind: str, most: float) -> list[Row]:
    """Live, fit, foretell, live on; nothing where the log carries no rate."""
    rng = np.random.default_rng([20260302, KINDS.index(kind), seed])
    life = Life(draw_truth(rng, kind, most), rng, kind)
    t = life.truth
    log = life.season()
    result = fit.rate(log)
    if result.net_rate is None or result.level_now is None:
        return []
    habit = Habit(
        VOLUME, t.fraction, t.interval, result.source_mg_l or 0.0, drip_l_day=t.drip
    )
    rows, kit = [], kit_of(log, result)
    lived: dict[int, tuple[float, _BAND]] = {}
    for ahead in range(1, max(AHEAD) + 1):
        life.day()
        lived[ahead] = (life.level, life.read())
        if (t.days + ahead) % t.interval == 0:
            life.exchange(t.days + ahead)
    first = t.interval - t.days % t.interval
    for ahead in AHEAD:
        trace = forecast(
            habit,
            result.level_now.estimate,
            result.net_rate.estimate,
            days=ahead,
            draws=future_draws(result),
            first_days=first,
            meant_mg_l=result.source_mg_l,
            most=1000,
        )
        # The moment before an exchange of that very day, where there is one.
        way = course(habit, ahead, first_days=first).chain
        levels = follow(way, future_draws(result), meant_mg_l=result.source_mg_l)
        rows.append(_row((kind, t.lasting), ahead, trace, levels, lived[ahead], kit))
    return rows


def _row(
    sort: tuple[str, bool],
    ahead: int,
    trace: Trace,
    levels: np.ndarray,
    lived: tuple[float, _BAND],
    kit: Kit,
) -> Row:
    """Judge one moment."""
    at = int(np.flatnonzero(trace.days >= ahead - 1e-9)[0])
    level, (low, high, _) = lived
    ends = {95: (trace.low[at], trace.high[at])}
    if trace.low_80 is not None and trace.high_80 is not None:
        ends[80] = (trace.low_80[at], trace.high_80[at])
    cut = replace(
        kit,
        low=np.array([-np.inf, -np.inf if low <= 0 else low]),
        high=np.array([-np.inf if low <= 0 else low, np.inf if high is None else high]),
        shown=(0.0, 1.0),
    )
    below, inside = cut.likelihood(levels[at]).mean(axis=1)
    return Row(
        *sort,
        ahead,
        {p: bool(a <= level <= b) for p, (a, b) in ends.items()},
        float(trace.high[at] - trace.low[at]),
        interval_score(trace.low[at], trace.high[at], level, level=0.95),
        {p: share_held(below, below + inside, p / 100) for p in ends},
    )


def _line(rows: list[Row], label: str) -> str:
    """Sum up one line of the table."""
    n = len(rows)
    said = [f"{label:<22}{n:>5}"]
    for p in (80, 95):
        part = sum(r.held[p] for r in rows) / n
        error = (part * (1 - part) / n) ** 0.5
        read = sum(r.reading[p] for r in rows) / n
        said.append(f"{part:7.1%} +- {error:.1%}  reading {read:6.1%}")
    width = np.median([r.width for r in rows])
    score = np.mean([r.score for r in rows])
    return "  ".join([*said, f"width {width:5.1f}  score {score:5.1f}"])


def main(count: int = 300, first: int = 0, most: float = 0.0) -> None:
    """Print how often the bands hold, by kit and day, with the sampling error."""
    begin = time.perf_counter()
    rows: list[Row] = []
    for kind in KINDS:
        refused = 0
        for seed in range(first, first + count):
            found = judge(seed, kind, most)
            refused += not found
            rows += found
        print(f"{kind}: {count} logs, {refused} without a rate", flush=True)
        for day in AHEAD:
            mine = [r for r in rows if r.kind == kind and r.days == day]
            print(_line(mine, f"{kind}, day {day}"), flush=True)
    for day in AHEAD:
        mine = [r for r in rows if r.days == day]
        print(_line(mine, f"all, day {day}"))
        for lasting, name in ((False, "white noise"), (True, "lasting noise")):
            print(_line([r for r in mine if r.lasting == lasting], f"  {name}"))
    print(f"{(time.perf_counter() - begin) / (3 * count):.2f} s a log", flush=True)


if __name__ == "__main__":
    given = sys.argv[1:]
    main(*(int(a) for a in given[:2]), *(float(a) for a in given[2:]))
