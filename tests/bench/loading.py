"""Time and memory to read and check a log, as ratios to pandas on the same file.

Run as ``python tests/bench/loading.py``; a benchmark measures, it asserts nothing. Each
reading runs in a process of its own, so that its memory is its own.
"""

from __future__ import annotations

import datetime as dt
import random
import subprocess
import sys
import tempfile
from pathlib import Path

HEADER = (
    "date,time,nitrate (mg/L NO3),food (g),exchanged (%),exchanged (L),upkeep,reader,"
    "kit,temperature,pH,note"
)
KIT = "from kit.files import read_logbook; read = lambda p: read_logbook(p, today=D)"
PANDAS = "import pandas as pd; read = pd.read_csv"
CHILD = """
import datetime, pathlib, resource, sys, time
D = datetime.date(2120, 1, 1)
{setup}
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
best = 1e9
for _ in range(3):
    begin = time.perf_counter()
    out = read(pathlib.Path(sys.argv[1]))
    best = min(best, time.perf_counter() - begin)
after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(best, (after - before) / 1024)
"""


def log_of(rows: int, path: Path) -> None:
    """Write a tidy wide log of twelve columns."""
    rng = random.Random(4)
    day = dt.date(1990, 1, 1)
    lines = [HEADER]
    for i in range(rows):
        weekly = i % 7 == 0
        nitrate = str(rng.randint(10, 45)) if weekly else ""
        percent = "25" if weekly else ""
        lines.append(
            f"{day + dt.timedelta(days=i % 40000)},{8 + i // 40000:02d}:00,{nitrate},"
            f"{rng.uniform(1, 3):.1f},{percent},,,A,card,24.{i % 10},7.{i % 10},"
        )
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def measure(setup: str, path: Path) -> tuple[float, float]:
    """Seconds and mebibytes of one reader on one file."""
    done = subprocess.run(
        [sys.executable, "-c", CHILD.format(setup=setup), str(path)],
        capture_output=True,
        text=True,
        check=True,
    )
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory)


def main() -> None:
    """Print both readers on both sizes."""
    took = {}
    with tempfile.TemporaryDirectory() as place:
        for rows in (5_000, 50_000):
            path = Path(place) / f"{rows}.csv"
            log_of(rows, path)
            kit, pandas = measure(KIT, path), measure(PANDAS, path)
            took[rows] = kit
            print(
                f"{rows} rows x 12: kit {kit[0]:.2f} s, {kit[1]:.0f} MiB; pandas "
                f"{pandas[0]:.3f} s, {pandas[1]:.0f} MiB; {kit[0] / pandas[0]:.0f} "
                "times the time"
            )
        big = Path(place) / "big.csv"
        big.write_bytes(b"date,nitrate\n" + b"2026-01-01,20\n" * 1_600_000)
        refused, _ = measure(KIT, big)
        size = big.stat().st_size / 2**20
        print(f"a file over the limit ({size:.0f} MiB): {refused:.3f} s")
    small, large = took[5_000], took[50_000]
    print(
        f"from 5,000 to 50,000 rows: {large[0] / small[0]:.1f} times the time, "
        f"{large[1] / small[1]:.1f} times the memory"
    )


if __name__ == "__main__":
    main()
