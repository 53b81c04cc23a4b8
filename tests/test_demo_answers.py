"""The twelve demo tanks: what is true of them is found from their logs alone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from demo_keeper import DEMO, Row, faults
from demo_reached import TANKS

from kit.fit import Estimate

TRUTH = DEMO / "sealed" / "truth.json"


@pytest.mark.parametrize(
    ("slug", "place", "used"),
    [
        ("quarry", ["long_run", "peak_mg_l"], 35.9),
        ("quarry", ["net_rate_of_this_season_mg_l_day"], 1.77),
        ("culvert", ["long_run", "peak_mg_l"], 42.8),
        ("tarn", ["net_rate_of_this_season_mg_l_day"], 0.0155),
        ("backwater", ["net_rate_mg_l_day"], 1.325),
        ("estuary", ["long_run", "peak_mg_l"], 53.7),
        ("estuary", ["net_rate_of_this_season_mg_l_day"], 0.977),
        ("lagoon", ["changes", 0, "day"], 120),
        ("lagoon", ["changes", 0, "net_rate_before"], 0.291),
        ("lagoon", ["changes", 0, "long_run_after", "peak_mg_l"], 47.5),
        ("billabong", ["net_rate_mg_l_day"], 2.57),
        ("billabong", ["long_run", "peak_mg_l"], 69.9),
        ("millrace", ["net_rate_mg_l_day"], 2.73),
        ("shingle", ["long_run", "peak_mg_l"], 25.4),
        ("shingle", ["net_rate_mg_l_day"], 4.09),
        ("peat-pool", ["net_rate_of_this_season_mg_l_day"], 0.963),
        ("peat-pool", ["long_run", "peak_mg_l"], 24.6),
        ("spring-run", ["changes", 0, "day"], 112),
        ("spring-run", ["changes", 0, "net_rate_before"], 1.29),
        ("spring-run", ["changes", 0, "net_rate_after"], 2.04),
        ("spring-run", ["long_run", "peak_mg_l"], 35.1),
        ("fen", ["net_rate_of_this_season_mg_l_day"], 1.28),
        ("fen", ["long_run", "peak_mg_l"], 44.7),
    ],
)
def test_true_values_are_those_of_the_simulator(
    slug: str, place: list[str | int], used: float
) -> None:
    value = json.loads(TRUTH.read_text(encoding="utf-8"))["tanks"][slug]
    for step in place:
        value = value[step]
    assert used == pytest.approx(value, rel=0.005)


@pytest.mark.slow
@pytest.mark.parametrize("slug", TANKS)
def test_the_kit_reaches_what_is_true(slug: str, tmp_path: Path) -> None:
    rows = TANKS[slug](tmp_path)
    short = {f"{row.what}: {row.found or row.said}": faults(row) for row in rows}
    assert {what: why for what, why in short.items() if why} == {}


@pytest.mark.parametrize(
    "row",
    [
        Row("outside", 10.0, Estimate(10.5, 10.2, 11.0)),
        Row("far off", 10.0, Estimate(12.0, 9.0, 14.0)),
        Row("useless", 10.0, Estimate(10.0, 1.0, 30.0)),
        Row("far off, no band", 10.0, Estimate(12.0, 12.0, 12.0)),
        Row("holds the slip", 34.0, Estimate(36.0, 30.0, 71.0), wide=1.0, never=70.0),
        Row("not said", said="all is well", asks="NO3-N"),
    ],
    ids=lambda row: row.what,
)
def test_an_answer_not_reached_is_seen(row: Row) -> None:
    assert faults(row)
