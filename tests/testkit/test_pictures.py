"""Pictures of cards, checks, volumes and answers: what is drawn, and said in words."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from matplotlib.figure import Figure

from kit import plots, style
from kit.classroom import Answer
from kit.fit import Estimate
from kit.testkit import (
    Standard,
    by_kit,
    colours,
    kit_bias,
    mean_reading,
    reading_chances,
)
from kit.volume import Found, mean

DOUBLING = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
DAY = dt.date(2026, 7, 24)


def check(kit: str, known: float, low: float, high: float | None) -> Standard:
    return Standard(DAY, kit, "B", known, low, high, "standards.csv", 2)


def test_the_chosen_colour_is_dark_and_as_wide_as_its_band() -> None:
    axes = plots.card_picture(colours(DOUBLING), 4, (42.4,))
    dark = [p for p in axes.patches if p.get_facecolor()[:3] == _rgb(style.LEVEL)]
    (bar,) = dark
    # Edges by hand: the roots of 20 x 40 and 40 x 80.
    assert bar.get_x() == pytest.approx(math.sqrt(800))
    assert bar.get_x() + bar.get_width() == pytest.approx(math.sqrt(3200))
    assert len(axes.patches) == len(DOUBLING)


def _rgb(ink: str) -> tuple[float, float, float]:
    red, green, blue = (int(ink[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue


def test_every_colour_is_said() -> None:
    said = plots.card_alt(colours(DOUBLING), 4, (42.4,))
    for part in ("40 is 28 to 57", "160 is more than 113", "22 to 72", "cut at 42"):
        assert part in said


def test_chances_are_drawn_and_said() -> None:
    chances = reading_chances(33, DOUBLING)
    middle = mean_reading(33, DOUBLING)
    axes = plots.chances_picture(33, DOUBLING, chances, middle)
    assert [p.get_width() for p in axes.patches] == pytest.approx(
        [100 * c for c in chances]
    )
    said = plots.chances_alt(33, DOUBLING, chances, middle)
    assert "20 in 10, 40 in 90" in said
    assert "goes to 38" in said


def test_checks_are_drawn_as_ranges_of_reading_over_known() -> None:
    checks = [check("mixed lot 2", 50, 25, 50)] * 3 + [check("meter", 25, 23, 23)]
    groups = by_kit(checks)
    found = {name: kit_bias(group) for name, group in groups.items()}
    axes = plots.checks_picture(groups, found)
    ranges = [line.get_xdata() for line in axes.lines]
    assert sum(list(x) == [0.5, 1.0] for x in ranges) == 3
    assert any(list(x) == [23 / 25] for x in ranges)
    # One pale band: the meter was tried once, too few to judge.
    assert len(axes.patches) == 1
    said = plots.checks_alt(groups, found)
    assert "mixed lot 2: 3 checks, a pale band from" in said
    assert said.endswith("meter: 1 check.")


def test_ways_and_their_mean() -> None:
    result = mean([Found("geometry", 100, 4), Found("counted fill", 106, 2)])
    axes = plots.volume_picture(result)
    points = [line.get_xdata()[0] for line in axes.lines if len(line.get_xdata()) == 1]
    assert points == [100, 106]
    assert [t.get_text() for t in axes.get_yticklabels()] == [
        "geometry",
        "counted fill",
    ]
    assert "92 L to 108 L" in plots.volume_alt(result)  # 100 less and plus 1.96 x 4
    us = plots.volume_picture(result, output="us")
    assert "US gal" in us.get_xlabel()


def test_answers_beside_the_truth() -> None:
    answers = (
        Answer("doubling card", Estimate(2.0, 1.9, 2.1), None, (40.0,), 1.77),
        Answer(
            "meter", Estimate(1.8, 1.7, 1.9), Estimate(1.8, 1.6, 2.0), (36.0,), 1.77
        ),
    )
    axes = plots.answers_picture(answers)
    assert any(list(line.get_xdata()) == [1.77, 1.77] for line in axes.lines)
    said = plots.answers_alt(answers)
    assert "truth, 1.77 mg/L a day" in said
    assert "2.00 (1.90 to 2.10); each reading as a range none" in said
    assert (answers[0].plain_holds, answers[0].banded_holds) == (False, False)
    assert (answers[1].plain_holds, answers[1].banded_holds) == (True, True)


def test_pictures_draw_on_the_axes_they_are_given() -> None:
    figure = Figure()
    axes = figure.add_subplot()
    result = mean([Found("geometry", 100, 4)])
    assert plots.volume_picture(result, ax=axes) is axes
    assert (
        plots.card_picture(colours(DOUBLING), 0, ax=figure.add_subplot()) in figure.axes
    )
