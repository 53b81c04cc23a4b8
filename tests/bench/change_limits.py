"""How often logs of unchanged tanks are alarmed, by kit, habit, length and tank noise.

Run as ``python tests/bench/change_limits.py 30``; a benchmark measures, it asserts
nothing. Each count lives through every kit, habit and length once, each time with
another tank: rate 0.6 to 2.5 mg/L a day, 20 to 50 % every 7, 10 or 14 days, a reader's
error of 8 to 15 % (meter 3 to 12 %), a tank whose day varies by 0, 15 or 30 % of its
rise (in one tank of three with a memory of ten days) and exchanges by 3 %. The shares
in ``kit/change/_luck.py`` are set so that all of them together stay under 5 % in each
group. Beside it stands how often a day named by chance, half way through the log, looks
like a change (chi-square, 5 %).
"""

from __future__ import annotations

import datetime as dt
import sys
import time
from collections import defaultdict
from itertools import product

import change_sim as sim
import numpy as np

from kit.change import _luck as luck
from kit.change._cusum import BRIDGE, cusum
from kit.change._report import known_change, laid_out
from kit.change._search import search

WEEKS = (12, 26, 52)


def main() -> None:
    """Print the share alarmed in each group."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    begin = time.perf_counter()
    groups: dict[str, list[tuple[bool, bool]]] = defaultdict(list)
    kinds: dict[str, int] = defaultdict(int)
    left = []
    cells = list(product(sim.CARDS, sim.HABITS, WEEKS))
    for i, (kit, habit, weeks) in product(range(count), cells):
        place = (list(sim.CARDS).index(kit), sim.HABITS.index(habit), weeks)
        rng = np.random.default_rng([77, i, *place])
        life = sim.any_life(kit, habit, weeks, rng)
        found = laid_out(sim.live(life, rng))
        if isinstance(found, str):
            continue
        best = search(found)[0]
        alarmed = best.chance < luck.LIMIT
        kinds[best.kind] += alarmed
        left.append(bool(np.abs(cusum(found).path).max() > BRIDGE))
        known = known_change(found, sim.DAY0 + dt.timedelta(days=7 * weeks // 2))
        named = known is not None and known.chance < luck.LIMIT
        lasting = life.memory > 0.0 and life.tank > 0.0
        noise = f"{life.tank:.0%}{' with memory' if lasting else ''}"
        for group in ("all", kit, habit, f"{weeks} weeks", f"tank noise {noise}"):
            groups[group].append((alarmed, named))
    for group, alarms in groups.items():
        n = len(alarms)
        share, named = (float(x) for x in np.mean(alarms, axis=0))
        error = (share * (1 - share) / n) ** 0.5
        print(
            f"{group:28}{n:6d} logs{share:8.1%} alarmed (+- {error:.1%}), "
            f"{named:.1%} at a named day"
        )
    print("by kind of alarm:", dict(kinds))
    print(f"running sum outside its range: {np.mean(left):.1%}")
    print(f"{time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
