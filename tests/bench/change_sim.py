"""Simulated logs for the benches of `kit.change`; shares no sums with the kit.

Daily steps; the exchange in the evening; readings with an error in proportion to the
level, then read off a card or a meter. Nothing here is measured on a real tank: the
reader's 12 % and the tank's day-to-day noise are common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.logbook import Exchange, Logbook, Tank, Test

DAY0 = dt.date(2026, 3, 2)
SOURCE = 5.0
CARDS = {
    "doubling": (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0),
    "mixed": (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0),
    "strip": (0.0, 10.0, 25.0, 50.0, 100.0, 250.0),
    "low range": (0.0, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0),
    "meter": None,
}
HABITS = ("before", "before and after", "days 2, 4, 7 and after", "random days")


@dataclass(frozen=True)
class Life:
    """What a simulated tank and its keeper do.

    Rates in mg/L a day, noises as parts: of the level for reader, of the rate for
    tank, of the exchange for bucket. ``memory`` in days makes the tank's noise last.
    """

    kit: str
    habit: str
    weeks: int
    rate: float = 1.29
    fraction: float = 0.30
    interval: int = 7
    start: float = 30.0
    reader: float = 0.12
    tank: float = 0.15
    memory: float = 0.0
    bucket: float = 0.03
    change_week: float | None = None
    change: float = 0.0
    slip_week: int | None = None
    slip: float = 0.0
    unlogged: tuple[int, ...] = ()


def read(kit: str, level: float, when: dt.date, hour: int, line: int) -> Test:
    """Read a level off a card or a meter."""
    steps = CARDS[kit]
    if steps is None:
        value = float(round(level))
        low, high = max(value - 0.5, 0.0), value + 0.5
        return Test(
            when, dt.time(hour), low, high, value, str(value), "tests.csv", line
        )
    edges = [steps[1] / 2] + [(a * b) ** 0.5 for a, b in pairwise(steps[1:])]
    i = int(np.searchsorted(edges, level))
    low = 0.0 if i == 0 else edges[i - 1]
    high = edges[i] if i < len(edges) else None
    return Test(
        when, dt.time(hour), low, high, steps[i], str(steps[i]), "tests.csv", line
    )


def test_days(life: Life, rng: np.random.Generator) -> set[int]:
    """Days with a test in the evening, before any exchange."""
    end = 7 * life.weeks
    exchanges = range(life.interval, end + 1, life.interval)
    if life.habit == "random days":
        return {int(d) for d in rng.choice(np.arange(1, end + 1), end // 7, False)}
    if life.habit == "days 2, 4, 7 and after":
        start = [0, *exchanges]
        return set(exchanges) | {d + k for d in start for k in (2, 4)} - {end + 2}
    return set(exchanges)


def live(life: Life, rng: np.random.Generator) -> Logbook:
    """Live through the weeks and write the log."""
    level, lasting = life.start, 0.0
    tests: list[Test] = []
    exchanges: list[Exchange] = []

    def test(day: int, hour: int) -> None:
        seen = max(level * (1 + life.reader * rng.standard_normal()), 0.0)
        when = DAY0 + dt.timedelta(days=day)
        tests.append(read(life.kit, seen, when, hour, len(tests) + 2))

    days, after = test_days(life, rng), "after" in life.habit
    test(0, 17)
    for day in range(1, 7 * life.weeks + 1):
        later = life.change_week is not None and day > 7 * life.change_week
        rate = life.rate + (life.change if later else 0.0)
        noise = life.tank * life.rate * rng.standard_normal()
        if life.memory:
            kept = np.exp(-1.0 / life.memory)
            lasting = kept * lasting + (1.0 - kept * kept) ** 0.5 * noise
            noise = lasting
        level = max(level + rate + noise, 0.0)
        if day in days:
            test(day, 17)
        if day % life.interval:
            continue
        number = day // life.interval
        logged = life.fraction
        true = logged * (1 + life.bucket * rng.standard_normal())
        if number == life.slip_week:
            true = life.slip
        level += min(max(true, 0.0), 0.95) * (SOURCE - level)
        if number not in life.unlogged:
            when = DAY0 + dt.timedelta(days=day)
            exchanges.append(
                Exchange(
                    when,
                    dt.time(18),
                    logged,
                    None,
                    "exchanges.csv",
                    len(exchanges) + 2,
                )
            )
        if after:
            test(day, 19)
    steps = CARDS[life.kit]
    tank = Tank(
        volume_l=200.0,
        source_nitrate_mg_l=SOURCE,
        kit_steps_mg_l=steps,
        kit_resolution_mg_l=1.0 if steps is None else None,
    )
    return Logbook(tank, tuple(tests), tuple(exchanges))


def any_life(kit: str, habit: str, weeks: int, rng: np.random.Generator) -> Life:
    """Draw a tank and a keeper that do not change."""
    rate = rng.uniform(0.6, 2.5)
    fraction = float(rng.choice([0.2, 0.25, 0.3, 0.4, 0.5]))
    interval = int(rng.choice([7, 7, 7, 10, 14]))
    if kit == "low range":
        rate *= 0.4
    peak = SOURCE + rate * interval / fraction
    return Life(
        kit,
        habit,
        weeks,
        rate=rate,
        fraction=fraction,
        interval=interval,
        start=peak * rng.uniform(0.4, 1.4),
        reader=rng.uniform(0.03, 0.12) if kit == "meter" else rng.uniform(0.08, 0.15),
        tank=float(rng.choice([0.0, 0.15, 0.3])),
        memory=float(rng.choice([0.0, 0.0, 10.0])),
    )
