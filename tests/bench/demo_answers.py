"""What the kit finds of the twelve demo tanks, as a table: true, found, band, said.

Run as ``python tests/bench/demo_answers.py [TANK ...]``; it measures and prints, and
asserts nothing. The same rows are held to by ``tests/test_demo_answers.py``.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from demo_keeper import Row, faults
from demo_reached import TANKS


def line(row: Row) -> str:
    """Lay out one row."""
    short = "; ".join(faults(row)) or "reached"
    if row.found is None:
        return f"  {row.what:<32}said: {row.asks:<44}{short}"
    low, high = row.found.low, row.found.high
    band = "" if low == high else f"{low:.3g} to {high:.3g}"
    return (
        f"  {row.what:<32}{row.true:>8.3g}{row.found.estimate:>9.3g}   "
        f"{band:<32}{short}"
    )


def main(slugs: list[str]) -> None:
    """Print the rows of the tanks named, or of all."""
    print(f"  {'':<32}{'true':>8}{'found':>9}   95 % band")
    for slug in slugs or TANKS:
        started = time.perf_counter()
        with tempfile.TemporaryDirectory() as root:
            rows = TANKS[slug](Path(root))
        print(f"{slug} ({time.perf_counter() - started:.1f} s)")
        print("\n".join(line(row) for row in rows))


if __name__ == "__main__":
    main(sys.argv[1:])
