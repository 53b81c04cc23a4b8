"""How far a kit reads off: loading the table of checks, and the bias."""

from __future__ import annotations

import datetime as dt
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from kit.answers import answers_path, keep
from kit.bands import bands
from kit.files import logbook_as_dict, read_logbook
from kit.logbook import Logbook
from kit.testkit import Standard, kit_bias
from kit.testkit.standards import FEWEST, PRIOR_SD

DEMO = Path(__file__).parents[2] / "data_demo"
DAY = dt.date(2026, 7, 24)
TODAY = dt.date(2026, 9, 1)


def check(known: float, low: float, high: float | None) -> Standard:
    return Standard(DAY, "mixed lot 2", "B", known, low, high, "standards.csv", 2)


def loaded(folder: Path, table: str, kit: str = 'chart = "mixed"') -> Logbook:
    (folder / "tank.toml").write_text(
        f"[volume]\nlitres = 100\n[kit]\n{kit}\n", encoding="utf-8"
    )
    (folder / "tests.csv").write_text(
        "date,nitrate (mg/L NO3)\n2026-05-01,10\n", encoding="utf-8"
    )
    (folder / "standards.csv").write_text(table, encoding="utf-8")
    return read_logbook(folder, today=TODAY)


def kinds(log: Logbook) -> list[tuple[str, str, int | None]]:
    return [
        (p.level, p.kind, p.line) for p in log.problems if p.file == "standards.csv"
    ]


# --- the table -----------------------------------------------------------------------


def test_demo_checks_load_beside_a_tank(tmp_path: Path) -> None:
    # The twelve lines are in data_demo/standards.csv; bands by the cards the kits are
    # named after, a number between two steps as the interval between them.
    text = (DEMO / "standards.csv").read_text(encoding="utf-8")
    log = loaded(tmp_path, text, 'chart = "strip"')
    assert len(log.standards) == 12
    assert [p for p in log.problems if p.level != "note"] == []
    first = log.standards[0]
    assert (first.known_mg_l, first.low_mg_l, first.high_mg_l) == (10, 10, 20)
    assert (first.kit, first.reader, first.line) == ("doubling lot 1", "B", 2)
    on_a_step = log.standards[3]  # 10 on the mixed card, between 5 and 25
    assert on_a_step.low_mg_l == pytest.approx(math.sqrt(50))
    assert on_a_step.high_mg_l == pytest.approx(math.sqrt(250))
    meter = log.standards[-1]
    assert (meter.low_mg_l, meter.high_mg_l) == (23, 23)


def test_checks_are_no_tests_and_no_notes_of_the_tank(tmp_path: Path) -> None:
    table = "date,known (mg/L NO3),read (mg/L NO3),note\n2026-07-24,10,12,old lot\n"
    log = loaded(tmp_path, table)
    assert len(log.tests) == 1
    assert log.source == ()
    assert log.notes == ()
    assert log.standards[0].note == "old lot"
    assert logbook_as_dict(log)["standards"][0]["known_mg_l"] == 10
    assert list(log.frame("standards")["known_mg_l"]) == [10]


def test_a_folder_without_the_table_has_no_checks() -> None:
    assert read_logbook(DEMO / "quarry", today=TODAY).standards == ()


@pytest.mark.parametrize("known", ["Standard", "true value", "Made up to", "known"])
@pytest.mark.parametrize("read", ["Result", "kit reading", "measured", "shows"])
def test_synonyms(tmp_path: Path, known: str, read: str) -> None:
    table = f"date,{known} (mg/L NO3),{read} (mg/L NO3)\n2026-07-24,25,20\n"
    log = loaded(tmp_path, table, "resolution_mg_l = 2")
    (one,) = log.standards
    assert (one.known_mg_l, one.low_mg_l, one.high_mg_l) == (25, 19, 21)
    assert kinds(log) == []


def test_units_as_nitrogen_reach_both_numbers(tmp_path: Path) -> None:
    # 10 mg/L NO3-N is 44.27 mg/L NO3: the limit of 40 CFR 141.62 in the other basis.
    table = "date,known (mg/L NO3-N),read (mg/L NO3-N)\n2026-07-24,10,9\n"
    log = loaded(tmp_path, table, "resolution_mg_l = 1\nbasis = 'NO3-N'")
    (one,) = log.standards
    assert one.known_mg_l == pytest.approx(44.27, abs=0.01)
    assert one.value_mg_l == pytest.approx(0.9 * 44.268, abs=0.01)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("2026-07-24,1o,12", ("error", "not a reading", 2)),
        ("2026-07-24,5-10,12", ("error", "strength not one number", 2)),
        ("2026-07-24,,12", ("error", "check without both numbers", 2)),
        ("2026-07-24,10,", ("error", "check without both numbers", 2)),
        ("2027-07-24,10,12", ("error", "future date", 2)),
        ("2026-07-24,900,12", ("error", "reading too high", 2)),
        ("2026-07-24,44.3,10", ("question", "check off by NO3-N", 2)),
        ("2026-07-24,10,44.3", ("question", "check off by NO3-N", 2)),
    ],
)
def test_bad_rows_are_named_and_left_out(
    tmp_path: Path, row: str, problem: tuple[str, str, int]
) -> None:
    table = f"date,known (mg/L NO3),read (mg/L NO3)\n{row}\n2026-07-25,25,25\n"
    log = loaded(tmp_path, table)
    assert problem in kinds(log)
    assert [s.line for s in log.standards] == [3]


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        ("date,read (mg/L NO3)", "no known column"),
        ("date,known (mg/L NO3)", "no nitrate column"),
    ],
)
def test_a_missing_column_is_named(tmp_path: Path, header: str, kind: str) -> None:
    log = loaded(tmp_path, f"{header}\n2026-07-24,25\n")
    assert ("error", kind, 1) in kinds(log)


def test_a_card_of_its_own_is_not_mistaken_for_a_usual_one(tmp_path: Path) -> None:
    table = (
        "date,kit,known (mg/L NO3),read (mg/L NO3)\n2026-07-24,strip A,25,20\n"
        "2026-07-24,mine,25,20\n"
    )
    log = loaded(tmp_path, table, "steps = [0, 20, 40, 80]")
    assert ("question", "which card was tried", 2) in kinds(log)
    assert [s.line for s in log.standards] == [3]
    (asked,) = [p for p in log.problems if p.level == "question"]
    # Bands by hand: the root of 20 x 40 with half of 20; 10 to 25 on the strip card.
    for answer, low, high in (
        ("card of the settings", 10.0, math.sqrt(800)),
        ("card of that name", 10.0, 25.0),
    ):
        keep(answers_path(tmp_path), asked, answer, day=DAY)
        (first, _) = read_logbook(tmp_path, today=TODAY).standards
        assert (first.low_mg_l, first.high_mg_l) == (
            pytest.approx(low),
            pytest.approx(high),
        )


@pytest.mark.parametrize(
    "table",
    [
        "date;kit;known (mg/L NO3);read (mg/L NO3)\n24.07.2026;meter;25,0;20,5\n",
        "Our kits\n\ndate\tkit\tknown (mg/L NO3)\tread (mg/L NO3)\n"
        "2026-07-24\tmeter\t25\t20.5\n",
        "\ufeffDate,Kit,Standard (ppm NO3),Result (ppm NO3)\n"
        "24 Jul 2026,meter,25,20.5\n",
        "date,kit,known,read\n,,mg/L NO3,mg/L NO3\n2026-07-24,meter,25,20.5\n,,,\n",
        "date,kit,known (mg/L NO3),read (mg/L NO3)\n2026-07-24,meter,25 mg/L,~20.5\n",
    ],
)
def test_the_same_check_in_other_dress(tmp_path: Path, table: str) -> None:
    log = loaded(tmp_path, table, "resolution_mg_l = 1")
    assert [level for level, _, _ in kinds(log) if level != "note"] == []
    (one,) = log.standards
    assert (one.known_mg_l, one.value_mg_l) == (25, 20.5)
    assert (one.low_mg_l, one.high_mg_l) == (20, 21)
    assert one.date == DAY


def test_the_same_line_twice_is_asked(tmp_path: Path) -> None:
    row = "2026-07-24,25,25\n"
    log = loaded(tmp_path, f"date,known (mg/L NO3),read (mg/L NO3)\n{row}{row}")
    assert ("question", "same line twice", 3) in kinds(log)
    assert len(log.standards) == 1


# --- the bias ------------------------------------------------------------------------


def test_meter_checks_follow_the_conjugate_normal() -> None:
    # Normal mean with known spread and a normal prior: precisions add, the mean is
    # weighted by them (any textbook of Bayesian statistics; computed anew).
    ratios = [0.8, 0.9, 0.85, 0.95]
    found = kit_bias([check(20, 20 * r, 20 * r) for r in ratios])
    precision = 1 / 0.15**2 + len(ratios) / 0.12**2
    mean = sum(math.log(r) for r in ratios) / 0.12**2 / precision
    assert found.n == 4
    assert found.estimate == pytest.approx(mean, abs=1e-6)
    assert found.sd == pytest.approx(precision**-0.5, rel=1e-4)


def test_banded_checks_agree_with_integration() -> None:
    # Reference: scipy's adaptive quadrature of the product of normal probabilities.
    checks = [
        check(50, 25, 50),
        check(25, 10, 25),
        check(10, 5, 10),
        check(50, 71, None),
    ]

    def weight(b: float) -> float:
        out = float(norm.pdf(b, 0, 0.15))
        for c in checks:
            top = (
                1.0
                if c.high_mg_l is None
                else norm.cdf((math.log(c.high_mg_l / c.known_mg_l) - b) / 0.12)
            )
            low = norm.cdf((math.log(c.low_mg_l / c.known_mg_l) - b) / 0.12)
            out *= float(top - low)
        return out

    whole = quad(weight, -2, 2, epsabs=0, limit=200)[0]
    mean = quad(lambda b: b * weight(b), -2, 2, epsabs=0, limit=200)[0] / whole
    found = kit_bias(checks)
    assert found.estimate == pytest.approx(mean, abs=1e-5)


def test_too_few_checks_correct_nothing_and_claim_no_less() -> None:
    two = kit_bias([check(50, 40, 40), check(25, 20, 20)])
    assert two.too_few
    assert two.estimate == 0.0
    assert two.sd >= PRIOR_SD
    assert two.factor == pytest.approx(0.84, abs=0.01)  # 0.8, drawn towards 1
    far = kit_bias([check(50, 20, 20), check(50, 21, 21)])
    assert far.sd > 2 * PRIOR_SD


def test_pure_water_and_no_checks_say_nothing_of_a_ratio() -> None:
    assert kit_bias([check(0, 0, 2.5)]).n == 0
    assert kit_bias([]).sd == PRIOR_SD


def test_only_the_kit_and_reader_asked_for(tmp_path: Path) -> None:
    text = (DEMO / "standards.csv").read_text(encoding="utf-8")
    log = loaded(tmp_path, text)
    assert kit_bias(log.standards, " Mixed LOT 2").n == 4
    assert kit_bias(log.standards, "mixed lot 2", "a").n == 1
    # Planted: the second lot of the mixed card reads 0.85 (data_demo/sealed).
    lot = kit_bias(log.standards, "mixed lot 2")
    low, high = lot.factor_band()
    assert low < 0.85 < high
    assert high < 1.05


@given(st.floats(0.5, 2.0), st.integers(FEWEST, 12))
def test_estimate_lies_between_nothing_and_the_readings(ratio: float, n: int) -> None:
    found = kit_bias([check(20, 20 * ratio, 20 * ratio)] * n)
    low, high = sorted((0.0, math.log(ratio)))
    assert low - 1e-6 <= found.estimate <= high + 1e-6
    assert 0 < found.sd < PRIOR_SD


def test_band_of_simulated_card_checks_holds_the_truth() -> None:
    # Bias drawn from what is assumed, eye noise 12 %, read on the mixed card: by
    # construction 95 % of bands hold it; 400 logs have a sampling error of 1.1 points.
    dice = np.random.default_rng(7)
    card = bands((0, 2, 5, 10, 25, 50, 100))
    held = 0
    for _ in range(400):
        bias = dice.normal(0, PRIOR_SD)
        checks = []
        for known in (10.0, 25.0, 40.0, 60.0, 15.0):
            seen = known * math.exp(bias + dice.normal(0, 0.12))
            low, high = next(b for b in card if b[1] is None or seen < b[1])
            checks.append(check(known, low, high))
        found = kit_bias(checks)
        held += abs(found.estimate - bias) < 1.96 * found.sd
    assert 0.92 <= held / 400 <= 0.98
