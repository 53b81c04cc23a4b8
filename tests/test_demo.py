"""The invented demo logs: same bytes, true water, and slips where they are said."""

from __future__ import annotations

import ast
import csv
import io
import json
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

DEMO = Path(__file__).resolve().parent.parent / "data_demo"
sys.path.insert(0, str(DEMO))

import make_logs  # noqa: E402
from club import messy, tidy  # noqa: E402
from club.chance import Dice  # noqa: E402
from club.tanks import TANKS  # noqa: E402

SLUGS = [
    "quarry",
    "culvert",
    "tarn",
    "backwater",
    "estuary",
    "lagoon",
    "billabong",
    "millrace",
    "shingle",
    "peat-pool",
    "spring-run",
    "fen",
]
TRUTH = json.loads((DEMO / "sealed" / "truth.json").read_text(encoding="utf-8"))
PLANTED = TRUTH["planted"]


def made_files(root: Path) -> dict[str, bytes]:
    """Give every file the generator owns, by its place under a folder."""
    folders = [*SLUGS, "one-sheet", "sealed"]
    kinds = ("*.csv", "*.toml", "truth.json")
    files = [f for name in folders for kind in kinds for f in (root / name).glob(kind)]
    files.append(root / "standards.csv")
    return {f.relative_to(root).as_posix(): f.read_bytes() for f in files}


def rows(place: str) -> list[list[str]]:
    """Read one demo CSV, header first."""
    text = (DEMO / place).read_bytes().decode("utf-8")
    delimiter = ";" if ";" in text.splitlines()[0] else ","
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))


# -- bytes -------------------------------------------------------------------


def test_generator_gives_the_committed_bytes(tmp_path: Path) -> None:
    make_logs.write_all(tmp_path)
    assert made_files(tmp_path) == made_files(DEMO)


def test_files_are_utf8_with_one_newline_and_twelve_folders() -> None:
    files = made_files(DEMO)
    assert {name.split("/")[0] for name in files} == {
        *SLUGS,
        "one-sheet",
        "sealed",
        "standards.csv",
    }
    for name, content in files.items():
        assert b"\r" not in content, name
        assert content.endswith(b"\n"), name
        content.decode("utf-8")
    for slug in SLUGS:
        assert {f"{slug}/tank.toml", f"{slug}/tests.csv"} <= set(files)


def test_chance_is_taken_from_raw_bits_only() -> None:
    # numpy promises a stable stream for the bits of a generator alone (NEP 19).
    raw = np.random.default_rng(7).bit_generator.random_raw(3)
    dice = Dice(7)
    expected = [((int(r) >> 11) + 0.5) / 2**53 for r in raw]
    assert [dice.uniform() for _ in range(3)] == expected


def test_each_tank_has_its_own_seed() -> None:
    assert len({tank.seed for tank in TANKS.values()}) == len(SLUGS)


@pytest.mark.parametrize(
    "path", [DEMO / "make_logs.py", *sorted((DEMO / "club").glob("*.py"))], ids=str
)
def test_generator_does_not_import_the_kit(path: Path) -> None:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        if isinstance(node, ast.ImportFrom):
            names.add((node.module or "").split(".")[0])
    assert "kit" not in names
    assert names <= {*sys.stdlib_module_names, "numpy", "club"}


# -- the logs ----------------------------------------------------------------


@pytest.mark.parametrize("flaw", PLANTED, ids=lambda f: f"{f['file']}:{f['line']}")
def test_each_planted_flaw_stands_where_it_is_said(flaw: dict[str, str]) -> None:
    page = rows(flaw["file"])
    place = page[0].index(flaw["column"])
    assert page[int(flaw["line"]) - 1][place] == flaw["cell"]


# What each kind must look like in its cell, written here apart from the generator.
LOOKS = {
    "decimal comma": ("culvert/feedings.csv", lambda c: "," in c),
    "US gallons": (None, lambda c: "US gal" in c),
    "two date orders in one file": (
        "peat-pool/source.csv",
        lambda c: c.count("/") == 2,
    ),
    "a range": ("spring-run/tests.csv", lambda c: c == "10-20"),
    "below a step": ("tarn/tests.csv", lambda c: c == "<5"),
    "blank reader": ("fen/tests.csv", lambda c: c == ""),
    "the same line twice": ("estuary/tests.csv", lambda c: c.startswith("2026-")),
    "two tests on one day": ("tarn/tests.csv", lambda c: c in {"ND", "5"}),
    "date in the future": ("estuary/exchanges.csv", lambda c: c.startswith("2062-")),
    "food as a pinch": ("spring-run/feedings.csv", lambda c: c == "1 pinch"),
    "tank renamed": ("peat-pool/tests.csv", lambda c: c == "Peat Pool"),
    "31 days without a test": ("tarn/tests.csv", lambda c: c == "2026-06-10"),
    "negative litres": ("tarn/exchanges.csv", lambda c: float(c) < 0),
    "nothing seen": ("tarn/tests.csv", lambda c: c in {"0.0", "ND"}),
    "litres where other rows give percent": (
        "quarry/exchanges.csv",
        lambda c: c == "137",
    ),
    "source first tested late": ("culvert/source.csv", lambda c: c == "2026-05-31"),
    "beyond the card": ("backwater/tests.csv", lambda c: c == ">160"),
    "diluted test": ("backwater/tests.csv", lambda c: c == "50-60"),
    "top-up written as an exchange": ("estuary/exchanges.csv", lambda c: c == "batch"),
    "backwash in the upkeep page alone": (
        "billabong/upkeep.csv",
        lambda c: "backwash" in c,
    ),
    "drip written as before": ("millrace/exchanges.csv", lambda c: c == "22"),
    "exchange written but not done": ("shingle/exchanges.csv", lambda c: c == "20"),
    "nitrogen in a column of nitrate": ("peat-pool/tests.csv", lambda c: "NO3)" in c),
    "litres typed as percent": ("fen/exchanges.csv", lambda c: c == "70"),
}


@pytest.mark.parametrize("kind", LOOKS)
def test_every_kind_of_flaw_is_planted(kind: str) -> None:
    file, looks = LOOKS[kind]
    found = [flaw for flaw in PLANTED if flaw["kind"] == kind]
    assert found
    assert all(looks(flaw["cell"]) for flaw in found)
    assert file is None or {flaw["file"] for flaw in found} == {file}


def test_no_kind_of_flaw_goes_unlooked() -> None:
    assert {flaw["kind"] for flaw in PLANTED} == set(LOOKS)


def test_flaws_are_what_they_are_called() -> None:
    orders = [row[0].split("/") for row in rows("peat-pool/source.csv")[1:]]
    assert any(int(first) > 12 for first, _, _ in orders)
    assert any(int(second) > 12 for _, second, _ in orders)
    tests = rows("estuary/tests.csv")
    assert [n for n in Counter(map(tuple, tests)).values() if n > 1] == [2]
    days = [np.datetime64(row[0]) for row in rows("tarn/tests.csv")[1:]]
    assert max(np.diff(days)).astype(int) == 31
    gallons = {f["file"] for f in PLANTED if f["kind"] == "US gallons"}
    assert gallons == {"lagoon/exchanges.csv", "spring-run/exchanges.csv"}
    names = {row[2] for row in rows("peat-pool/tests.csv")[1:]}
    assert len(names) == 2


def test_quarry_is_kept_tidily() -> None:
    tests, exchanges = rows("quarry/tests.csv")[1:], rows("quarry/exchanges.csv")[1:]
    assert all(row[1] for row in tests + exchanges)
    moments = [(row[0], row[1]) for row in tests + exchanges]
    assert len(set(moments)) == len(moments)
    times = {row[0]: row[1] for row in exchanges}
    sides = Counter(
        "after" if row[1] > times[row[0]] else "before"
        for row in tests
        if row[0] in times
    )
    assert sides["before"] == len(exchanges) == 28
    assert sides["after"] >= 15
    # Each exchange says percent or litres, a third of them litres, never both.
    assert all(bool(row[3]) != bool(row[4]) for row in exchanges)
    assert sum(bool(row[4]) for row in exchanges) == len(exchanges) // 3


def test_most_tanks_carry_no_cell_that_must_fail() -> None:
    hard = {
        "negative litres",
        "date in the future",
        "two date orders in one file",
        "the same line twice",
        "two tests on one day",
        "tank renamed",
    }
    folders = {f["file"].split("/")[0] for f in PLANTED if f["kind"] in hard}
    assert folders == {"tarn", "estuary", "peat-pool"}


def test_one_sheet_holds_the_whole_of_quarry() -> None:
    page = rows("one-sheet/quarry.csv")
    columns = {name: page[0].index(name) for name in page[0]}

    def values(name: str) -> list[str]:
        return [row[columns[name]] for row in page[1:] if row[columns[name]]]

    tests = rows("quarry/tests.csv")[1:]
    exchanges = rows("quarry/exchanges.csv")[1:]
    assert values("nitrate (mg/L NO3)") == [row[2] for row in tests]
    assert values("exchanged (%)") == [row[3] for row in exchanges if row[3]]
    assert values("exchanged (L)") == [row[4] for row in exchanges if row[4]]
    assert values("food (g)") == [row[1] for row in rows("quarry/feedings.csv")[1:]]
    upkeep = [row[1] for row in rows("quarry/upkeep.csv")[1:]]
    tasks = [task for cell in values("upkeep") for task in cell.split("; ")]
    assert sorted(tasks) == sorted(upkeep)
    dates = [row[0] for row in page[1:]]
    assert dates == sorted(dates)


def test_standards_are_twelve_checks_of_three_strengths() -> None:
    page = rows("standards.csv")
    assert len(page) == 13
    assert {row[3] for row in page[1:]} == {"10", "25", "50"}


def test_truth_tells_what_the_season_was() -> None:
    for slug in SLUGS:
        told = TRUTH["tanks"][slug]
        # Net of noise the season's own rate lies near the long-run one where the
        # tank did not change half way; daily noise of 20 % leaves about 2 % of it.
        if not any("net_rate_after" in change for change in told["changes"]):
            gross = told["feed_g_day"] * told["yield_mg_g"] / told["volume_l"]
            gap = told["net_rate_of_this_season_mg_l_day"] - told["net_rate_mg_l_day"]
            assert abs(gap) < 0.08 * gross + 0.01, slug
        batches = told["exchanges_as_they_were"]
        assert all(0 < event["fraction"] < 0.6 for event in batches)
    assert TRUTH["tanks"]["backwater"]["exchanges_as_they_were"] == []


def test_readings_lie_around_the_truth() -> None:
    # A meter shows one number a test: across a season reader B, who sees colours
    # true, is right on average to within noise of 8 % over about 20 readings.
    season = tidy.millrace()
    ratios = []
    for row in season.sheet("tests").rows:
        if row.cells["reader"] == "B":
            hour, minute = row.cells["time"].split(":")
            true = season.level(row.when[0], int(hour) * 60 + int(minute))
            ratios.append(float(row.cells["nitrate (mg/L NO3)"]) / true)
    assert len(ratios) > 12
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.06)


def test_backwater_is_beyond_its_card_for_months() -> None:
    season = messy.backwater()
    beyond = [
        row
        for row in season.sheet("tests").rows
        if row.cells["nitrate (mg/L NO3)"] == ">160"
    ]
    assert max(r.when[0] for r in beyond) - min(r.when[0] for r in beyond) > 90


# -- what is said ------------------------------------------------------------


def test_readme_says_invented_and_keeps_the_seal() -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    assert "Everything in this folder is invented" in text
    assert "do not open it before" in text
    for slug in SLUGS:
        assert f"`{slug}`" in text
    # No yield, base or net rate of any tank stands in the README.
    for told in TRUTH["tanks"].values():
        assert f"{told['yield_mg_g']:g} mg" not in text
        assert f"{told['net_rate_mg_l_day']:.2f}" not in text
        assert f"{told['long_run']['peak_mg_l']:.1f}" not in text


def test_tank_folders_do_not_speak_of_the_seal() -> None:
    for name, content in made_files(DEMO).items():
        if not name.startswith("sealed/"):
            text = content.decode("utf-8").lower()
            assert "sealed" not in text, name
            assert "truth" not in text, name


def test_settings_say_they_are_a_demo() -> None:
    for slug in SLUGS:
        text = (DEMO / slug / "tank.toml").read_text(encoding="utf-8")
        assert text.startswith("# Invented demo tank.")
