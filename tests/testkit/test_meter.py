"""Detection limit and calibration against published examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from kit.errors import SumError
from kit.testkit import (
    calibration_line,
    detection_limit,
    limit_sentences,
    line_sentences,
)

# --- 40 CFR 136, Appendix B ----------------------------------------------------------


@pytest.mark.parametrize(
    ("n", "student"),
    [
        (7, 3.143),
        (8, 2.998),
        (9, 2.896),
        (10, 2.821),
        (11, 2.764),
        (16, 2.602),
        (21, 2.528),
        (31, 2.457),
        (61, 2.390),
    ],
)
def test_students_t_of_the_procedure(n: int, student: float) -> None:
    # 40 CFR 136, Appendix B, table of Student's t at 99 %.
    readings = [2.0 + 0.1 * (i % 3) for i in range(n)]
    assert detection_limit([readings]).student == pytest.approx(student, abs=5e-4)


def test_toy_limit() -> None:
    # Seven readings whose spread is 0.10: 3.143 x 0.10 = 0.3143, and 95 % limits 0.64
    # and 2.20 times it (40 CFR 136 App. B; chi-square by R 0.6444, 2.2021).
    shape = np.array([-3, -2, -1, 0, 1, 2, 3], float)
    readings = 2.0 + 0.10 * shape / shape.std(ddof=1)
    found = detection_limit([readings.tolist()])
    assert found.sd_mg_l == pytest.approx(0.10)
    assert found.limit_mg_l == pytest.approx(0.3143, abs=5e-5)
    assert found.low_mg_l / found.limit_mg_l == pytest.approx(0.6444, abs=5e-5)
    assert found.high_mg_l / found.limit_mg_l == pytest.approx(2.2021, abs=5e-5)


def test_pooled_limit() -> None:
    # Two sets of seven: 12 degrees of freedom, t = 2.681, limits 0.72 and 1.65 (40 CFR
    # 136 App. B, the pooled step).
    one, two = [1.9, 2.1, 2.0, 2.2, 1.8, 2.0, 2.0], [4.1, 3.9, 4.0, 4.2, 3.8, 4.0, 4.1]
    found = detection_limit([one, two])
    assert found.freedom == 12
    assert found.student == pytest.approx(2.681, abs=5e-4)
    spread = np.sqrt((np.var(one, ddof=1) + np.var(two, ddof=1)) / 2)
    assert found.sd_mg_l == pytest.approx(spread)
    assert found.low_mg_l / found.sample_mg_l == pytest.approx(0.72, abs=0.005)
    assert found.high_mg_l / found.sample_mg_l == pytest.approx(1.65, abs=0.005)


def test_blanks_raise_the_limit() -> None:
    # The 2017 revision (from memory): mean + t s of the blanks, the larger counts.
    blanks = [0.5, 0.6, 0.4, 0.5, 0.7, 0.3, 0.5]
    weak = [1.9, 2.1, 2.0, 2.2, 1.8, 2.0, 2.0]
    found = detection_limit([weak], blanks)
    expected = np.mean(blanks) + stats.t.ppf(0.99, 6) * np.std(blanks, ddof=1)
    assert found.blank_mg_l == pytest.approx(expected)
    assert found.limit_mg_l == pytest.approx(expected)
    assert "larger of the two" in limit_sentences(found)[-1]
    # A mean below 0 counts as 0; a few blanks give their largest.
    below = detection_limit([weak], [b - 0.9 for b in blanks])
    assert below.blank_mg_l == pytest.approx(expected - np.mean(blanks))
    assert detection_limit([weak], [0.2, 0.1]).blank_mg_l == 0.2


def test_card_and_equal_readings_are_refused() -> None:
    with pytest.raises(SumError, match="A colour card has no detection limit"):
        detection_limit([[5, 5, 5, 10, 5, 5, 5]], card=True)
    with pytest.raises(SumError, match="no limit of 0"):
        detection_limit([[0.1] * 7])
    with pytest.raises(SumError, match="no limit of 0"):
        detection_limit([[0.1 + 1e-17 * i for i in range(7)]])
    with pytest.raises(SumError, match="at least 7"):
        detection_limit([[1, 2, 3, 4, 5, 6]])
    with pytest.raises(SumError, match="are none"):
        detection_limit([[]])


@given(st.lists(st.floats(0.5, 5), min_size=7, max_size=20), st.floats(0.1, 10))
def test_limit_scales_with_the_unit(readings: list[float], factor: float) -> None:
    if np.std(readings) < 1e-3:
        return
    one = detection_limit([readings]).limit_mg_l
    other = detection_limit([[factor * r for r in readings]]).limit_mg_l
    assert other == pytest.approx(factor * one)


# --- calibration ---------------------------------------------------------------------


def test_fluorescein() -> None:
    # Miller and Miller, Statistics and Chemometrics for Analytical Chemistry, the
    # fluorescein example: slope, intercept, their errors, and levels read back.
    x = [0, 2, 4, 6, 8, 10, 12]
    y = [2.1, 5.0, 9.0, 12.6, 17.3, 21.0, 24.7]
    line = calibration_line(x, y)
    assert line.slope == pytest.approx(1.930357, abs=1e-6)
    assert line.intercept == pytest.approx(1.517857, abs=1e-6)
    assert line.sd == pytest.approx(0.432848, abs=1e-6)
    assert line.intercept_sd == pytest.approx(0.294936, abs=1e-6)
    assert line.slope_sd == pytest.approx(0.040900, abs=1e-6)
    assert line.correlation == pytest.approx(0.998880, abs=1e-6)
    for reading, level, sd in (
        (2.9, 0.71600, 0.26457),
        (13.5, 6.20722, 0.23975),
        (23.0, 11.12858, 0.26319),
    ):
        found = line.read_back(reading)
        assert found.level_mg_l == pytest.approx(level, abs=1e-5)
        assert found.sd_mg_l == pytest.approx(sd, abs=1e-5)
    assert line.read_back(13.5, 4).sd_mg_l == pytest.approx(0.14061, abs=1e-5)
    assert line.detection_limit == pytest.approx(0.6727, abs=1e-4)


def test_iso_8466() -> None:
    # ISO 8466-1:1990 / DIN 38402-51, the worked example.
    x = [0.05 * i for i in range(1, 11)]
    y = [0.140, 0.281, 0.405, 0.535, 0.662, 0.789, 0.916, 1.058, 1.173, 1.303]
    line = calibration_line(x, y)
    assert line.intercept == pytest.approx(0.0180, abs=5e-5)
    assert line.slope == pytest.approx(2.57527, abs=5e-6)
    assert line.sd == pytest.approx(0.0051659, abs=5e-8)
    assert line.method_sd == pytest.approx(0.0020060, abs=5e-8)
    assert 100 * line.method_sd / line.middle == pytest.approx(0.7294, abs=5e-4)


def test_quam_a5() -> None:
    # Eurachem/CITAC Guide QUAM:2012, example A5: cadmium, three readings of each level.
    x = [c for c in (0.1, 0.3, 0.5, 0.7, 0.9) for _ in range(3)]
    y = [
        *(0.028, 0.029, 0.029, 0.084, 0.083, 0.081, 0.135, 0.131, 0.133),
        *(0.180, 0.181, 0.183, 0.215, 0.230, 0.216),
    ]
    line = calibration_line(x, y)
    assert line.slope == pytest.approx(0.2410, abs=5e-5)
    assert line.intercept == pytest.approx(0.0087, abs=5e-5)
    assert line.sd == pytest.approx(0.005486, abs=5e-7)
    assert line.slope_sd == pytest.approx(0.0050, abs=5e-5)
    assert line.intercept_sd == pytest.approx(0.0029, abs=5e-5)
    assert line.spread == pytest.approx(1.2)
    # The guide prints u(c0) = 0.018 at c0 = 0.26 from two readings.
    reading = line.intercept + 0.26 * line.slope
    assert line.read_back(reading, 2).sd_mg_l == pytest.approx(0.018, abs=5e-4)


def test_inverse_undoes_the_line() -> None:
    line = calibration_line([0, 10, 20, 40], [0.2, 9.7, 20.1, 40.2])
    found = line.read_back(line.intercept + 25 * line.slope)
    assert found.level_mg_l == pytest.approx(25)
    assert found.inside
    far = line.read_back(line.intercept + 60 * line.slope)
    assert not far.inside
    assert "outside the known solutions" in line_sentences(line, far)[-1]


@pytest.mark.parametrize(
    ("known", "readings"),
    [
        ([1, 2], [1, 2]),
        ([1, 1, 1], [1, 2, 3]),
        ([1, 2, 3], [5, 5, 5]),
        ([1, 2, 3], [1, 2]),
    ],
)
def test_no_line(known: list[float], readings: list[float]) -> None:
    with pytest.raises(SumError):
        calibration_line(known, readings)


def test_no_reading_gives_no_level() -> None:
    with pytest.raises(SumError, match="At least one reading"):
        calibration_line([1, 2, 3], [1, 2, 3.1]).read_back(2, 0)
