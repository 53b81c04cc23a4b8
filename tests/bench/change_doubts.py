"""Does the hull of both rates hold the truth: exchanges unlogged, readings far off.

Run as ``python tests/bench/change_doubts.py 60``; a benchmark measures, it asserts
nothing. First one exchange in six is made and not written down; then one reading in
twenty of a meter is read as three tenths or two and a half times what it was. Shown is
how often the 95 % band of the net rate holds the truth as logged, with the doubt taken
as true, and in the hull of both.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import change_sim as sim
import numpy as np

from kit import change
from kit.fit import Estimate
from kit.logbook import Logbook

KITS = ("doubling", "mixed", "meter")


def life_of(i: int, kit: str, rng: np.random.Generator) -> sim.Life:
    """Draw a weekly tank of half a year."""
    rate = float(rng.uniform(0.8, 2.0))
    return sim.Life(kit, sim.HABITS[i % 2], 26, rate=rate, start=25.0)


def spoiled(log: Logbook, rng: np.random.Generator) -> tuple[Logbook, set[int]]:
    """Put one reading in twenty far off; give the lines."""
    tests, lines = list(log.tests), set()
    for i, test in enumerate(tests):
        if rng.random() < 0.05:
            value = float(round((test.value_mg_l or 0.0) * rng.choice([0.3, 2.5])))
            low, high = max(value - 0.5, 0.0), value + 0.5
            tests[i] = replace(test, value_mg_l=value, low_mg_l=low, high_mg_l=high)
            lines.add(test.line)
    return replace(log, tests=tuple(tests)), lines


def show(name: str, rows: list[tuple[Estimate | None, ...]], truths: list[float]):
    """Print three coverages."""
    shares = []
    for column in range(3):
        held = [
            e is not None and e.low <= truth <= e.high
            for e, truth in zip((r[column] for r in rows), truths, strict=True)
        ]
        shares.append(float(np.mean(held)))
    print(
        f"{name:42}{len(rows):4d} logs: as logged {shares[0]:.0%}, the other way "
        f"{shares[1]:.0%}, hull {shares[2]:.0%}",
        flush=True,
    )


def main() -> None:
    """Print both tables."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    for kit in KITS:
        rows, truths = [], []
        for i in range(count):
            rng = np.random.default_rng([11, KITS.index(kit), i])
            gone = tuple(k for k in range(2, 26) if rng.random() < 1 / 6)
            life = replace(life_of(i, kit, rng), unlogged=gone)
            found = change.unlogged(sim.live(life, rng))
            if found is not None and found.days:
                rows.append((found.as_logged, found.with_usual, found.hull))
                truths.append(life.rate)
        show(f"{kit}, one exchange in six unlogged", rows, truths)
    rows, truths, caught, planted = [], [], 0, 0
    for i in range(count):
        rng = np.random.default_rng([12, i])
        life = life_of(i, "meter", rng)
        log, lines = spoiled(sim.live(life, rng), rng)
        found = change.outliers(log)
        planted += len(lines)
        if found is not None and found.readings:
            caught += len(lines & {r.line for r in found.readings})
            rows.append((found.with_all, found.without, found.hull))
            truths.append(life.rate)
    show("meter, one reading in twenty far off", rows, truths)
    print(f"{caught} of {planted} far readings were marked")


if __name__ == "__main__":
    main()
