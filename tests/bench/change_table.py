"""Share of changes seen, by kit, habit and weeks since: source +58 % after 16 weeks.

Run as ``python tests/bench/change_table.py 110 [ROW ...]``; a benchmark measures, it
asserts nothing. The tank: 1.29 mg/L a day before and 2.04 after, 30 % a week, new
water of 5 mg/L, a reader's error of 12 %; beyond that the tank's day varies by 15 % of
its rise and the exchange by 3 %, which the log does not know. Printed for each row: the
share seen when the keeper names the day (chi-square, 5 %), the share seen when nobody
names it (the whole search, calibrated to 5 % false alarms), and the share of unchanged
tanks alarmed at 28 weeks. Then, for those seen: how often the 95 % bands of day and
change hold the truth.
"""

from __future__ import annotations

import datetime as dt
import sys
import time
from dataclasses import dataclass, field, replace

import change_sim as sim
import numpy as np

from kit.change import _luck as luck
from kit.change._profile import step_profile
from kit.change._report import known_change, laid_out
from kit.change._search import search, steps
from kit.logbook import Logbook

BEFORE, AFTER = 16, (2, 4, 6, 8, 12)
CHANGE = 0.58 * 1.29
ROWS = (
    ("doubling", "before"),
    ("doubling", "before and after"),
    ("mixed", "before"),
    ("mixed", "before and after"),
    ("doubling", "days 2, 4, 7 and after"),
    ("mixed", "days 2, 4, 7 and after"),
    ("meter", "before"),
)
PROFILED = (8, 12)


@dataclass
class Row:
    """Counts for one kit and habit."""

    named: dict[int, int] = field(default_factory=lambda: dict.fromkeys(AFTER, 0))
    searched: dict[int, int] = field(default_factory=lambda: dict.fromkeys(AFTER, 0))
    false_named: int = 0
    false_any: int = 0
    seen: int = 0
    day_held: int = 0
    size_held: int = 0
    day_off: list[float] = field(default_factory=list)


def cut(log: Logbook, weeks: int) -> Logbook:
    """Give the first weeks of a log."""
    end = sim.DAY0 + dt.timedelta(days=7 * weeks)
    return replace(
        log,
        tests=tuple(t for t in log.tests if t.date <= end),
        exchanges=tuple(e for e in log.exchanges if e.date <= end),
    )


def changed(row: Row, log: Logbook) -> None:
    """Look at one changed tank after each number of weeks."""
    day = sim.DAY0 + dt.timedelta(days=7 * BEFORE + 1)
    for weeks in AFTER:
        found = laid_out(cut(log, BEFORE + weeks))
        if isinstance(found, str):
            continue
        known = known_change(found, day)
        row.named[weeks] += known is not None and known.chance < luck.LIMIT
        # A step, or a jump of the kit that cannot be told from one.
        seen = min((c.chance for c in steps(found)), default=1.0) < luck.LIMIT
        row.searched[weeks] += seen
        profile = step_profile(found) if seen and weeks in PROFILED else None
        if profile is not None:
            row.seen += 1
            true = 7.0 * BEFORE + 1.0
            # A day's rise comes at once here, before that day's test: it began after
            # the test of the day before.
            row.day_held += profile.first <= true and true - 1.0 <= profile.last
            row.day_off.append(abs(profile.best - true))
            row.size_held += profile.change.low <= CHANGE <= profile.change.high


def unchanged(row: Row, log: Logbook) -> None:
    """Look at one tank that did not change."""
    found = laid_out(log)
    if isinstance(found, str):
        return
    known = known_change(found, sim.DAY0 + dt.timedelta(days=7 * BEFORE + 1))
    row.false_named += known is not None and known.chance < luck.LIMIT
    row.false_any += search(found)[0].chance < luck.LIMIT


def run(kit: str, habit: str, count: int) -> Row:
    """Live through a number of tanks."""
    row = Row()
    life = sim.Life(kit, habit, BEFORE + AFTER[-1], start=25.0)
    for i in range(count):
        place = ROWS.index((kit, habit))
        rng = np.random.default_rng([47, place, i])
        changed(row, sim.live(replace(life, change_week=BEFORE, change=CHANGE), rng))
        unchanged(row, sim.live(life, np.random.default_rng([48, place, i])))
    return row


def main() -> None:
    """Print the table."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 110
    begin = time.perf_counter()
    error = 100 * 0.5 / count**0.5
    print(f"{count} tanks a row; standard error at most {error:.1f} points")
    weeks = "".join(f"{f'{w} wk':>8}" for w in AFTER)
    print(f"{'kit, habit':34}{'day':>8}{weeks}   false alarms")
    rows = []
    chosen = [int(n) for n in sys.argv[2:]] or range(len(ROWS))
    for kit, habit in (ROWS[n] for n in chosen):
        row = run(kit, habit, count)
        rows.append(row)
        for name, share, false in (
            ("named", row.named, row.false_named),
            ("searched", row.searched, row.false_any),
        ):
            shown = "".join(f"{100 * share[w] / count:7.0f}%" for w in AFTER)
            label = f"{kit}, {habit}"
            print(f"{label:34}{name:>8}{shown} {100 * false / count:9.0f}%", flush=True)
    seen = max(sum(r.seen for r in rows), 1)
    off = np.concatenate([*(r.day_off for r in rows), [np.nan]])
    print(
        f"of {seen} steps seen after {PROFILED} weeks: band of the day holds the truth "
        f"{sum(r.day_held for r in rows) / seen:.1%}, band of the change "
        f"{sum(r.size_held for r in rows) / seen:.1%}; the day is off by "
        f"{np.nanmedian(off):.0f} days in the middle"
    )
    false = sum(r.false_any for r in rows) / (count * len(rows))
    print(f"false alarms of the search over all rows: {false:.1%}")
    print(f"{time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
