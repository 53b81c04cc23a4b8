"""The panel of changes and its pictures."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from kit import plots, style
from kit.change import ChangeReport, Cusum, Finding, Profile, Shapes
from kit.fit import Estimate
from kit.widgets import ChangePanel, DoubtPanel, FolderPicker

ROOT = Path(__file__).resolve().parents[2]
DAY0 = dt.date(2026, 3, 2)
DAYS = tuple(DAY0 + dt.timedelta(days=7 * i) for i in range(10))


def by_hand(*, found: bool) -> ChangeReport:
    """A report written by hand, so that a picture is checked apart from any search."""
    step = Finding(
        "step",
        DAYS[4],
        DAYS[3],
        DAYS[6],
        Estimate(0.7, 0.3, 1.1),
        1.3,
        2.0,
        None,
        0.01,
        12.0,
    )
    gain = np.array([1.0, 3.0, 12.0 if found else 7.0, 6.0, 2.0])
    return ChangeReport(
        (step,) if found else (),
        None,
        0.9,
        Profile(DAY0, np.array([14.0, 21.0, 28.0, 35.0, 42.0]), gain, 8.5),
        Cusum(DAYS, np.linspace(0.0, -1.6, 10), 1.358),
        None,
        ("It changed.",),
        (),
    )


def two_axes():
    figure = style.blank_figure(plots.CHANGE_SIZE_IN)
    with style.drawing():
        return tuple(figure.subplots(2, 1))


@pytest.mark.parametrize("found", [True, False])
def test_the_evidence_is_drawn_by_day_against_its_line(found):
    axes = two_axes()
    plots.change_picture(by_hand(found=found), axes=axes)
    names = [t.get_text() for t in axes[0].get_legend().get_texts()]
    assert ("95 % band of the day" in names) == found
    line = next(x for x in axes[0].lines if x.get_label() == "step on this day")
    assert list(line.get_ydata()) == list(by_hand(found=found).profile.gain)
    assert axes[0].get_ylim()[1] > 8.5
    assert list(axes[1].lines[-1].get_ydata())[-1] == pytest.approx(-1.6)
    alt = plots.change_alt(by_hand(found=found))
    assert "30 March 2026" in alt
    assert ("passes the line" in alt) == found
    assert "leaves the usual range" in alt


def test_the_shapes_of_slip_and_change_are_drawn():
    slip = np.array([0, 0, 14.7, 9.8, 6.6, 4.4, 3, 2, 1, 0.5])
    shapes = Shapes(DAYS, slip - 5.0, slip + 5.0, False, slip, np.linspace(0, 9, 10))
    ax = style.axes_in(style.blank_figure())
    assert plots.shape_picture(shapes, ax=ax) is ax
    names = [x.get_label() for x in ax.lines]
    assert "found: a slip in the log" in names
    assert "for comparison: a lasting change" in names
    alt = plots.shape_alt(shapes)
    assert "by 14.7 mg/L" in alt
    assert "16 March 2026" in alt


@pytest.fixture(scope="module")
def fen() -> FolderPicker:
    return FolderPicker(str(ROOT / "data_demo" / "fen"))


def test_the_panel_says_and_draws_and_follows_the_picker(fen):
    panel = ChangePanel(fen)
    try:
        assert "70 %" in panel.verdict[0]
        assert panel.picture.png.startswith(b"\x89PNG")
        first = panel.picture.alt
        panel.shows.value = "shape"
        assert panel.picture.alt != first
        assert "exchange of another size" in panel.picture.alt
        panel.named.value = dt.date(2026, 7, 1)
        assert "2026-07-01, the day you named" in panel.verdict[0]
        fen.entry.value = str(ROOT / "data_demo" / "nowhere")
        assert panel.verdict[0].startswith("Nothing to search")
        assert panel.picture.png == b""
    finally:
        fen._listeners.clear()
        fen.entry.value = str(ROOT / "data_demo" / "fen")


def test_a_refusal_shows_no_picture():
    picker = FolderPicker(str(ROOT / "data_demo" / "estuary"))
    panel = ChangePanel(picker)
    assert "Answer them first" in panel.verdict[0]
    assert panel.picture.png == b""


def test_doubts_are_shown_in_words(fen):
    panel = DoubtPanel(fen)
    assert "2026-06-10, 2026-06-20" in panel.verdict[0]
    assert "2026-06-10" in str(panel.still())
    fen._listeners.clear()
