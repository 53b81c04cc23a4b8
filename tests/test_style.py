"""Colours: legible, told apart by colour-blind readers, and told apart in grey."""

from __future__ import annotations

from itertools import combinations

import matplotlib as mpl
import numpy as np
import pytest

from kit import style

LINES = {
    "level": style.LEVEL,
    "ceiling": style.CEILING,
    "mark": style.MARK,
    "reading": style.READING,
    "exchange": style.EXCHANGE,
}
CROSSING = ("level", "ceiling", "reading")
# Machado, Oliveira and Fernandes, A physiologically-based model for simulation of
# color vision deficiency, IEEE TVCG 15 (2009), table for severity 1.0; on linear RGB.
BLIND = {
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
    "tritan": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ],
}


def linear(colour: str) -> np.ndarray:
    """Linear RGB by the sRGB standard, IEC 61966-2-1."""
    part = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255.0
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* for D65, from linear RGB."""
    to_xyz = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722]]
    to_xyz.append([0.0193, 0.1192, 0.9505])
    x, y, z = np.array(to_xyz) @ np.clip(rgb, 0.0, 1.0) / [0.95047, 1.0, 1.08883]
    f = [v ** (1 / 3) if v > 0.008856 else 7.787 * v + 16 / 116 for v in (x, y, z)]
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_matrices_keep_white_white():
    for matrix in BLIND.values():
        assert np.sum(matrix, axis=1) == pytest.approx([1.0, 1.0, 1.0], abs=2e-6)


def test_words_stand_out_from_the_paper():
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text; the ceiling's name is text too."""
    for colour in (style.INK, style.SOFT, style.CEILING):
        assert contrast(colour, style.PAPER) >= 4.5


def test_lines_stand_out_from_paper_and_band():
    """WCAG 2.2, 1.4.11: 3 to 1 for what is needed to understand a picture."""
    for name, colour in LINES.items():
        assert contrast(colour, style.PAPER) >= 3.0, name
    for colour in (style.LEVEL, style.CEILING, style.READING):
        assert contrast(colour, style.BAND) >= 2.5


@pytest.mark.parametrize("eye", BLIND)
def test_colour_blind_readers_tell_lines_apart(eye):
    seen = {
        name: lab(np.array(BLIND[eye]) @ linear(colour))
        for name, colour in LINES.items()
    }
    # 10 apart is seen at a glance; 2 or 3 is the least an eye can tell (CIE 1976).
    for one, other in combinations(LINES, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= 12.0, (one, other)
    for one, other in combinations(CROSSING, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= 20.0, (one, other)


def test_a_grey_print_tells_lines_apart():
    grey = {n: lab(np.full(3, luminance(c)))[0] for n, c in LINES.items()}
    grey["band"] = lab(np.full(3, luminance(style.BAND)))[0]
    for one, other in combinations((*CROSSING, "band"), 2):
        assert abs(grey[one] - grey[other]) >= 10.0, (one, other)
    for other in ("level", "ceiling"):
        assert abs(grey["mark"] - grey[other]) >= 20.0


def test_the_look_leaves_no_trace():
    before = dict(mpl.rcParams)
    with style.drawing():
        assert mpl.rcParams["axes.titlelocation"] == "left"
    assert dict(mpl.rcParams) == before


def test_equal_pictures_are_equal_files_and_name_no_program():
    def drawn() -> bytes:
        figure = style.blank_figure()
        style.axes_in(figure).plot([0, 1], [0, 1])
        return style.png_bytes(figure)

    assert drawn() == drawn()
    assert b"Software" not in drawn()
