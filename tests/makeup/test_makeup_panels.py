"""Panels on new water without a browser: the demo tanks' answers, units, faults."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit import cautions
from kit.widgets import (
    AmmoniaPanel,
    ChlorinePanel,
    ColdPanel,
    FolderPicker,
    HabitsPanel,
    HeatYearPanel,
    SaltPanel,
)

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
PANELS = [ColdPanel, HeatYearPanel, HabitsPanel, ChlorinePanel, SaltPanel, AmmoniaPanel]


@pytest.fixture(scope="module")
def drip() -> FolderPicker:
    return FolderPicker(str(DEMO / "millrace"))


@pytest.fixture(scope="module")
def brackish() -> FolderPicker:
    return FolderPicker(str(DEMO / "estuary"))


def made(kind, picker, **said):
    return kind(**said) if kind is AmmoniaPanel else kind(picker, **said)


@pytest.mark.parametrize("kind", PANELS)
def test_cautions_come_first_unless_they_stand_above(kind, drip):
    first = made(kind, drip).box.children[1]
    assert "kit-mind" in first.value
    assert cautions.CLOSING in first.value
    bare = made(kind, drip, cautioned=True)
    # The first child holds the style rules, which name the box of cautions.
    assert not any("kit-mind" in str(c) for c in bare.box.children[1:])


@pytest.mark.parametrize("kind", PANELS)
def test_each_panel_speaks_and_draws(kind, drip):
    panel = made(kind, drip)
    assert len(panel.verdict) >= 2
    assert all(line.endswith(".") for line in panel.verdict)
    data, meta = panel._repr_mimebundle_()
    assert data["text/plain"] == panel.text()
    if panel.picture is not None:
        assert len(meta["image/png"]["alt"]) > 40
    else:
        assert "<table>" in data["text/html"]


@pytest.mark.parametrize("kind", PANELS)
def test_units_there_and_back_leave_the_dials_where_they_were(kind, drip):
    panel = made(kind, drip)
    before, said = [d.value for d in panel.dials.made], panel.text()
    panel.dials.switch.value = "us"
    assert [d.value for d in panel.dials.made] == pytest.approx(before, rel=1e-3)
    assert " L " not in panel.text().replace("mg/L", "")
    assert "°C" not in panel.text()
    panel.dials.switch.value = "metric"
    assert [d.value for d in panel.dials.made] == pytest.approx(before, rel=1e-3)
    assert panel.text() == said


@pytest.mark.parametrize("kind", PANELS)
def test_dials_at_their_ends_are_answered_in_sentences(kind, drip, monkeypatch):
    panel = made(kind, drip)
    if panel.picture is not None:
        # The artists are made; turning them into pixels twenty times takes seconds.
        monkeypatch.setattr(panel.picture, "draw", lambda _alt: None)
    for dial in panel.dials.made:
        kept = dial.slider.value
        for end in (dial.slider.min, dial.slider.max):
            dial.slider.value = end
            assert panel.verdict
            assert "could not do this" not in panel.text()
            assert "nan" not in panel.text().split()
        dial.slider.value = kept


def test_a_fifth_at_fifteen_degrees(drip):
    panel = ColdPanel(drip)
    # Known answers of the exercise: 22 L a day at 13 K is 0.33 kWh; 20 % at 15 K 3.0 K.
    assert "0.33 kWh a day" in panel.text()
    panel.percent.put(20.0)
    panel.new_c.put(10.0)
    assert "by 3 °C at once" in panel.verdict[0]


def test_evaporation_beside_the_drip(drip):
    panel = HeatYearPanel(drip)
    assert panel.lost.value == pytest.approx(3.0)
    # 3 L a day take 2.0 kWh a day: 62 a month.
    assert "evaporation 62 kWh" in panel.text()
    panel.energy.put(0.0)
    assert "State your price" in panel.text()


def test_a_trial_beside_the_habit_of_the_log(drip):
    panel = HabitsPanel(drip)
    assert "the same" in panel.text()
    panel.drip.put(30.0)
    assert "lower" in panel.text()
    assert "L more" in panel.text()


def test_five_percent_a_day_at_one_part_a_day(drip):
    panel = ChlorinePanel(drip)
    panel.drip.put(0.05 * 262.0)
    panel.fast.put(5.0)
    # 0.05 / 1.05 = 48 ug/L and 0.05 / 5.05 = 9.9.
    assert "from 9.9 to 48 µg/L" in panel.verdict[0]
    panel.water.value = "salt"
    assert "13 µg/L" in panel.text()
    panel.kind.value = True
    assert "of nitrate" in panel.text()


def test_the_brackish_tank(brackish):
    panel = SaltPanel(brackish, gravity=1.005, rate_mg_l_day=0.945)
    panel.percent.put(25.0)
    panel.every.put(10.0)
    assert "248 g of dry sea salts" in panel.verdict[0]
    assert "0.15 mg/L" in panel.text()
    assert "tap water 54 mg/L, with pure water 48 mg/L" in panel.text()


def test_ammonia_with_and_without_hardness():
    panel = AmmoniaPanel()
    assert "the mix has pH 6.7" in panel.text()
    panel.tested.value = False
    assert "not worked out" in panel.text()
    panel.new_ph.put(8.0)
    assert "Do not do this exchange" in panel.text()


def test_a_log_that_cannot_be_read_leaves_no_old_numbers(tmp_path):
    picker = FolderPicker(str(DEMO / "millrace"))
    panels = [kind(picker) for kind in (ColdPanel, HabitsPanel)]
    picker.entry.value = str(tmp_path / "nothing")
    for panel in panels:
        assert panel.verdict == (
            "Nothing to work with: no logbook is read. Pick one above.",
        )
        if panel.picture is not None:
            assert not panel.picture.png
        panel.refresh()
        assert "kWh" not in panel.text()
    picker.entry.value = str(DEMO / "millrace")
    assert all(len(panel.verdict) > 1 for panel in panels)


def test_a_log_without_a_volume_says_so(tmp_path):
    (tmp_path / "tank.toml").write_text('name = "x"\n', encoding="utf-8")
    (tmp_path / "tests.csv").write_text(
        "date,nitrate (mg/L NO3)\n2026-01-01,20\n", encoding="utf-8"
    )
    panel = ColdPanel(FolderPicker(str(tmp_path)))
    assert "how much water" in panel.text()
