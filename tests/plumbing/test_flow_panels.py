"""Panels on drains, filters and drips: move a slider, look at what is said and drawn.

The answers are those of the notebooks' exercises, computed separately beforehand.
"""

from __future__ import annotations

import re

import pytest

from kit import cautions
from kit.panel import Picture
from kit.widgets import (
    BackwashPanel,
    CleaningPanel,
    ClogPanel,
    CupPanel,
    DrainPanel,
    DripPanel,
    HosePanel,
    OrderPanel,
    SumpPanel,
)
from kit.widgets.dial import Dial

PSI = 6.894757  # NIST SP 811, appendix B.8: kPa in one pound a square inch
INCH = 25.4  # mm, exact
ALL = (
    BackwashPanel,
    CleaningPanel,
    ClogPanel,
    CupPanel,
    DrainPanel,
    DripPanel,
    HosePanel,
    OrderPanel,
    SumpPanel,
)
DRAWN = tuple(kind for kind in ALL if kind not in (SumpPanel, CupPanel))


@pytest.fixture
def drain() -> DrainPanel:
    return DrainPanel()


@pytest.fixture
def drip() -> DripPanel:
    return DripPanel()


@pytest.mark.parametrize("kind", ALL)
def test_a_panel_speaks_plainly_and_calls_nothing_safe(kind):
    panel = kind()
    text = panel.text()
    assert len(panel.verdict) >= 1
    for word in ("safe", "!", "nan", "inf ", "Traceback", "NaN"):
        assert word not in text, word
    data, meta = panel._repr_mimebundle_()
    assert data["text/plain"] == text
    if kind in DRAWN:
        assert panel.picture.png.startswith(b"\x89PNG")
        assert len(meta["image/png"]["alt"]) > 40


@pytest.mark.parametrize("kind", ALL)
def test_every_slider_says_something_at_its_ends(kind, monkeypatch):
    """Never a fault unseen; pictures are left out, as drawing them takes long."""
    panel = kind()
    monkeypatch.setattr(Picture, "draw", lambda _picture, _alt: None)
    dials = [part for part in vars(panel).values() if isinstance(part, Dial)]
    assert len(dials) >= 4
    for dial in dials:
        start = dial.slider.value
        for end in (dial.slider.min, dial.slider.max, start):
            dial.slider.value = end
            assert panel.verdict
            assert "What it says of itself" not in panel.text(), dial.box.description


@pytest.mark.parametrize(
    "kind", [k for k in ALL if k not in (ClogPanel, CleaningPanel)]
)
def test_other_units_show_the_same_tank(kind):
    panel = kind()
    dials = [part for part in vars(panel).values() if isinstance(part, Dial)]
    before = [dial.value for dial in dials]
    panel.dials.switch.value = "us"
    assert [dial.value for dial in dials] == pytest.approx(before)
    assert "US gal" in panel.text() or " in" in panel.text()
    panel.dials.switch.value = "metric"
    assert [dial.value for dial in dials] == pytest.approx(before)


@pytest.mark.parametrize("kind", [DrainPanel, DripPanel])
def test_cautions_come_before_the_numbers(kind):
    panel = kind()
    parts = [str(getattr(w, "value", "")) for w in panel.box.children]
    where = next(i for i, v in enumerate(parts) if "Before you" in v)
    assert where < panel.box.children.index(panel.picture.widget)
    for topic in ("flooding", "pressure", "electricity"):
        assert cautions.CAUTIONS[topic].split(":")[0] in parts[where]
    said = [str(getattr(w, "value", "")) for w in kind(cautioned=True).box.children]
    assert not any("Before you" in v for v in said)


# Will it spill ------------------------------------------------------------------------


def test_the_drain_of_the_exercise(drain):
    assert drain.seen.case("stuck open").spare == pytest.approx(1.9, abs=0.05)
    assert "532 L an hour, 1.9 times" in drain.verdict[0]
    assert "falls short" in drain.verdict[0]
    assert "3.8 minutes" in drain.text()
    assert "it is 0.9 times" in drain.text()
    drain.pressure.put(60.0 * PSI)
    assert drain.seen.case("stuck open").inflow_l_h == pytest.approx(529.0, rel=0.005)
    assert ", 1.0 times what" in drain.verdict[0]


def test_a_second_drain_and_a_run(drain):
    drain.count.put(2.0)
    assert drain.seen.case("stuck open").spare == pytest.approx(
        2 * 532 / 284, rel=0.005
    )
    assert "it holds" in drain.verdict[0]
    drain.blocked.put(0.5)
    assert drain.seen.case("stuck open").spare == pytest.approx(1.9, abs=0.05)
    drain.count.put(1.0)
    drain.blocked.put(0.0)
    drain.slope.put(0.01)
    assert "354 L an hour" in drain.verdict[0]
    assert drain.seen.case("stuck open").spare == pytest.approx(1.2, abs=0.06)


def test_a_drain_that_cannot_cope_says_when_it_spills(drain):
    drain.bore.put(10.0)
    assert re.search(r"run over the rim after [\d.]+ minutes", drain.verdict[2])
    drain.blocked.put(1.0)
    assert "more than this drain carries" in drain.text()


def test_a_head_above_the_rim_is_a_sentence(drain):
    drain.head.put(60.0)
    assert "only 30 mm above it" in drain.verdict[0]
    assert drain.picture.png == b""
    drain.head.put(10.0)
    assert drain.picture.png


def test_inches_and_pounds_stand_for_the_same_drain():
    panel = DrainPanel("us")
    assert panel.bore.box.value == pytest.approx(26.6 / INCH)
    assert panel.pressure.box.value == pytest.approx(20.0)
    assert panel.seen.case("stuck open").spare == pytest.approx(1.9, abs=0.05)


def test_a_sump_that_is_too_small_says_how_much_ends_on_the_floor():
    panel = SumpPanel()
    assert "18 L run back" in panel.verdict[0]
    panel.room.put(50.0)  # 0.2 m2 x 50 mm = 10 L for 18 L
    assert "8 L end on the floor" in panel.verdict[0]


def test_a_hose_that_ends_too_high_has_no_picture():
    panel = HosePanel()
    assert "75 L take 4.4 minutes" in panel.verdict[0]
    panel.head.put(0.1)  # 75 L off 0.6 m2 are 125 mm
    assert "ends too high" in panel.verdict[0]
    assert panel.picture.png == b""


# Filters ------------------------------------------------------------------------------


def test_a_backwash_counts():
    panel = BackwashPanel()
    assert "another 5.9 % every 3 days: 20 L a day" in panel.verdict[0]
    assert panel.cycle.peak_mg_l == pytest.approx(69.9, abs=0.2)
    assert panel.cycle.trough_mg_l == pytest.approx(51.7, abs=0.2)
    assert panel.without.peak_mg_l == pytest.approx(110.0, abs=1.5)
    panel.percent.put(0.0)
    assert panel.without is None
    assert "it would climb on" in panel.text()
    panel.washed.put(0.0)
    assert "climbs on and on" in panel.verdict[0]


def test_orders_of_one_exchange():
    panel = OrderPanel()
    assert "26.3 % if you drain first" in panel.verdict[0]
    assert "25 %" in panel.verdict[1]
    panel.lost.put(0.0)
    panel.drained.put(150.0)
    assert "50 % if you drain first, 39.3 %" in panel.verdict[0]
    panel.reached.put(0.8)
    assert "promise too much" in panel.text()
    panel.drained.put(299.0)
    assert "are free to drain" in panel.verdict[0]


def test_clogging_and_cleaning():
    panel = ClogPanel()
    # 600 falls to 300 in 14 days: a = 3/14, and 70 % comes at 1.04/a, 4.9 days.
    assert panel.day == pytest.approx(1.0408 * 14.0 / 3.0, rel=1e-3)
    panel.later.put(700.0)
    assert "does not slow down" in panel.verdict[0]
    cleaning = CleaningPanel()
    assert "58 %" in cleaning.verdict[0]
    assert "14 %" in cleaning.verdict[0]
    assert cleaning.tried.of_all == pytest.approx(0.067, abs=5e-4)
    cleaning.now.put(2.0)
    cleaning.then.put(14.0)
    assert "lets through another" in cleaning.text()
    assert "more" in cleaning.text()


# Drip or bucket -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("drip_l_day", "lost", "level"),
    [(22.0, 3.0, 51.5), (22.0, 0.0, 44.5), (12.0, 3.0, 95.4)],
)
def test_the_drip_of_the_exercise(drip, drip_l_day, lost, level):
    drip.lost.put(lost)
    drip.drip.put(drip_l_day)
    assert drip.drip_cycle.mean_mg_l == pytest.approx(level, abs=0.06)
    assert f"{level} mg/L all the time" in drip.text()


def test_a_monthly_bucket_and_its_drip(drip):
    for dial, value in (
        (drip.volume, 100.0),
        (drip.rate, 1.0),
        (drip.source, 0.0),
        (drip.lost, 0.0),
        (drip.percent, 0.2),
        (drip.rare_percent, 0.2),
        (drip.rare_interval, 30.4),
    ):
        dial.put(value)
    assert "a drip of 2.41 L a day would have to join" in drip.text()
    assert "2.45 L a day for the same average" in drip.text()
    assert "a drip of 2.86 L a day" in drip.text()
    assert "would need 3.19 L a day" in drip.text()
    drip.drip.put(2.41)
    assert drip.drip_cycle.peak_mg_l == pytest.approx(35.0, abs=0.1)


def test_a_drip_that_runs_straight_out_counts_for_less(drip):
    """Half of an overflow of 22 L a day without evaporation: 11 L a day count."""
    drip.lost.put(0.0)
    drip.mixed.put(0.5)
    assert drip.drip_cycle.mean_mg_l == pytest.approx(12.0 + 2.726 * 262.0 / 11.0)
    assert "Of the drip 11 L a day counts" in drip.text()
    assert "670 L on the drip side" in drip.text()  # 22 x 30.44: the water is used


def test_the_drip_put_as_a_bucket(drip):
    """19 L a day of 262 L over 7 days: 50.8 % by litres, 1 - exp(-0.508) by decay."""
    assert "as much water out as 50.8 % every 7 days" in drip.text()
    assert "like 39.8 %" in drip.text()


def test_a_cup_and_a_watch():
    panel = CupPanel()
    assert panel.drip_l_day == pytest.approx(12.0)
    # (22/12)^2 - 1 = 2.36 in 60 days: after 120 days 22/sqrt(1 + 2 x 2.36) = 9.2.
    assert "would bring 9.2 L a day in another 60 days" in panel.text()
    panel.caught.put(250.0)
    panel.time.put(240.0)
    assert panel.drip_l_day == pytest.approx(90.0)
    assert "does not clog" in panel.text()
    panel.dials.switch.value = "us"
    assert "0.991 US gal an hour" in panel.text()
    panel.caught.put(0.0)
    assert len(panel.verdict) == 1


def test_salts_under_an_open_lid(drip):
    drip.drip.put(20.0)
    drip.lost.put(12.0)
    assert "2.5 times those of the new water" in drip.text()
    drip.drip.put(10.0)
    assert "carries nothing out" in drip.text()
    assert drip.drip_cycle is None
    drip.top_up.value = "pure"
    assert drip.verdict


def test_what_a_slider_sends_back_is_tidied():
    dial = Dial("A width (mm)", 26.6, 0.0, 60.0, 0.1)
    dial.slider.value = 26.599999999999998
    assert dial.box.value == 26.6
