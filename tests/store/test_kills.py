"""Programs killed while saving, and several saving at once."""

import datetime as dt
import random
import re
import subprocess
import sys
import textwrap
import time

import pytest

from kit import store
from kit.structure import parse_sheet

HEADER = "date,nitrate (mg/L NO3),note\n"
ROW = re.compile(r"2026-01-01,(\d+),n{40}")
WORKER = textwrap.dedent(
    """
    import datetime as dt, sys
    from pathlib import Path
    from kit import store
    path, start, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    print("ready", flush=True)
    for number in range(start, start + count):
        values = {"date": "2026-01-01", "nitrate (mg/L NO3)": float(number),
                  "note": "n" * 40}
        store.append_entry(path, values, expected_sha256=None,
                           today=dt.date(2026, 3, 1), lock_seconds=60)
        print(number, flush=True)
    """
)


def _worker(path, start, count):
    run = [sys.executable, "-c", WORKER, str(path), str(start), str(count)]
    return subprocess.Popen(run, stdout=subprocess.PIPE, text=True)


def _numbers(path):
    """Every number in the file; fails on a row that is torn."""
    lines = path.read_text("utf-8").split("\n")
    assert lines[0] + "\n" == HEADER
    assert lines[-1] == ""
    rows = [ROW.fullmatch(line) for line in lines[1:-1]]
    assert all(rows), "a torn row"
    return [int(row[1]) for row in rows]


def _kill_while_saving(folder, kills, seed):
    """Kill -9 a saving program again and again; count torn files and lost rows."""
    path = folder / "tests.csv"
    path.write_text(HEADER, encoding="utf-8")
    rng = random.Random(seed)
    leftovers = 0
    for _ in range(kills):
        have = _numbers(path)
        process = _worker(path, len(have), 100_000)
        assert process.stdout.readline() == "ready\n"
        time.sleep(rng.uniform(0, 0.04))
        process.kill()
        told = [int(n) for n in process.stdout.read().split()]
        process.wait()
        process.stdout.close()
        now = _numbers(path)
        # What was told as saved is there; at most one more was saved, not yet told.
        assert now[: len(have)] == have
        assert now == list(range(len(now)))
        assert len(have) + len(told) <= len(now) <= len(have) + len(told) + 1
        leftovers += len(list(folder.glob(".tests.csv.*.saving")))
    saved = store.append_entry(
        path,
        {"date": "2026-01-02"},
        expected_sha256=None,
        today=dt.date(2026, 3, 1),
        lock_seconds=5,
    )
    assert saved.line == len(_count_lines(path))
    assert not list(folder.rglob("*.saving")), "leftovers are swept at the next save"
    return leftovers


def _count_lines(path):
    return path.read_text("utf-8").splitlines()


def test_twenty_kills_tear_nothing(tmp_path):
    _kill_while_saving(tmp_path, 20, seed=1)


@pytest.mark.slow
def test_two_hundred_kills_tear_nothing(tmp_path):
    leftovers = _kill_while_saving(tmp_path, 200, seed=2)
    # Some kills must have struck in the middle of a save, or nothing was tested.
    assert leftovers > 0


def _race(folder, processes, each):
    path = folder / "tests.csv"
    path.write_text(HEADER, encoding="utf-8")
    running = [_worker(path, 1000 * n, each) for n in range(processes)]
    for process in running:
        process.communicate()
        assert process.returncode == 0
    numbers = _numbers(path)
    assert sorted(numbers) == [
        1000 * n + k for n in range(processes) for k in range(each)
    ]
    return path


def test_three_programs_saving_at_once_lose_nothing(tmp_path):
    path = _race(tmp_path, 3, 10)
    assert len(parse_sheet(path.read_bytes(), path.name).tables[0].records) == 30


@pytest.mark.slow
def test_six_programs_of_sixty_saves_lose_nothing(tmp_path):
    _race(tmp_path, 6, 60)
