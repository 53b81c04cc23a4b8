"""The same log in another dress is the same log; a damaged one says where."""

from __future__ import annotations

from pathlib import Path

import pytest
from dresses import DRESSES, LITRES, TODAY, Dress, damages, weeks, written

from kit.files import read_logbook
from kit.findings import Problem
from kit.logbook import Logbook, Tank


def read(path: Path, data: bytes) -> Logbook:
    path.write_bytes(data)
    tank = Tank(volume_l=LITRES, kit_basis=None)
    return read_logbook(path, today=TODAY, tank=tank)


def near(x: float | None) -> float | None:
    # Gallons and nitrogen are written with nine digits, factors known to five.
    return None if x is None else float(f"{x:.4g}")


def tables(log: Logbook) -> dict[str, list[tuple[object, ...]]]:
    return {
        "tests": [
            (t.date, t.time, near(t.low_mg_l), near(t.high_mg_l), near(t.value_mg_l))
            for t in log.tests
        ],
        "exchanges": [(e.date, e.time, near(e.fraction)) for e in log.exchanges],
        "feedings": [(f.date, f.time, near(f.feed_g)) for f in log.feedings],
        "notes": [(n.date, n.text) for n in log.notes],
    }


def test_the_plain_log_is_what_was_written(tmp_path: Path) -> None:
    found = tables(read(tmp_path / "log.csv", written(weeks(), Dress())))
    rows = weeks()
    assert [t[0] for t in found["tests"]] == [r.day for r in rows if r.nitrate]
    assert [e[2] for e in found["exchanges"]] == [
        near(r.litres / LITRES) for r in rows if r.litres
    ]
    assert [f[2] for f in found["feedings"]] == [r.food for r in rows]
    assert found["tests"][2][2:] == (0, 20, None)
    assert found["tests"][4][2:] == (20, 30, None)
    assert found["tests"][7][2:] == (40, None, None)


@pytest.mark.parametrize("name", DRESSES)
def test_another_dress_gives_the_same_tables(tmp_path: Path, name: str) -> None:
    plain = read(tmp_path / "log.csv", written(weeks(), Dress()))
    dressed = read(tmp_path / "log.csv", written(weeks(), DRESSES[name]))
    assert tables(dressed) == tables(plain)
    assert [p for p in dressed.problems if p.level != "note"] == []
    assert len(dressed.problems) <= 8


def by_line(log: Logbook) -> dict[tuple[int, str], tuple[object, ...]]:
    out: dict[tuple[int, str], tuple[object, ...]] = {}
    for t in log.tests:
        out[t.line, "test"] = (t.date, t.time, t.low_mg_l, t.high_mg_l, t.value_mg_l)
    for e in log.exchanges:
        out[e.line, "exchange"] = (e.date, e.time, e.fraction, e.litres)
    for f in log.feedings:
        out[f.line, "feeding"] = (f.date, f.time, f.feed_g)
    return out


def names(problem: Problem, line: int) -> bool:
    return problem.line == line or line in problem.lines


def silent(whole: Logbook, damaged: Logbook, line: int, *, added: int) -> list[str]:
    """List values that differ from the whole log without a problem on their line."""

    def there(n: int) -> int:
        return n + added if n >= line else n

    due = {(there(n), t): v for (n, t), v in by_line(whole).items()}
    found = by_line(damaged)
    said = {
        n
        for key in {*due, *found}
        for n in [key[0]]
        if any(names(p, n) for p in damaged.problems)
    }
    keys = {*due, *found}
    return [str(k) for k in keys if due.get(k) != found.get(k) and k[0] not in said]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["plain", "percent"])
def test_no_damage_is_silent(tmp_path: Path, name: str) -> None:
    path = tmp_path / "log.csv"
    whole = read(path, written(weeks(), DRESSES[name]))
    assert whole.problems == ()
    count, wrong = 0, []
    for damage in damages(DRESSES[name]):
        count += 1
        log = read(path, damage.data)
        added = 1 if damage.name == "line twice" else 0
        faults = silent(whole, log, damage.line, added=added)
        if faults:
            wrong.append((damage.name, damage.line, faults))
    assert count > 900
    assert wrong == [], wrong
