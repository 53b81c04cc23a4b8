"""Panels of the weeks ahead: words, table, picture; they follow the picked log."""

import pytest

from kit.widgets import (
    FolderPicker,
    LookbackPanel,
    NextTestsPanel,
    SoonPanel,
    WeeksAheadPanel,
)

QUARRY = "data_demo/quarry"


@pytest.fixture(scope="module")
def picker():
    return FolderPicker(QUARRY)


@pytest.mark.parametrize(
    "kind", [WeeksAheadPanel, LookbackPanel, NextTestsPanel, SoonPanel]
)
def test_words_table_and_picture_say_the_same_tank(picker, kind):
    panel = kind(picker, cautioned=True)
    assert panel.verdict
    assert panel.picture.png.startswith(b"\x89PNG")
    assert len(panel.picture.alt) > 60
    rows = panel.text().splitlines()[len(panel.verdict) :]
    assert rows
    for row in rows:
        assert row.split("; ")[0] in panel.table.value
    data, meta = panel._repr_mimebundle_()
    assert meta["image/png"]["alt"] == panel.picture.alt
    assert data["text/plain"] == panel.text()


def test_a_rarer_exchange_lifts_the_weeks_ahead(picker):
    """A rise of 1.77 over 5: 40 % holds 36, 20 % goes to 67, read as 80."""
    panel = WeeksAheadPanel(picker, cautioned=True)
    assert panel.seen.coming[0].reading.likely == (40.0,)
    panel.weeks.value = 12
    panel.percent.put(20.0)
    # Twelve exchanges by hand: 67 - (67 - 36.4) 0.8^11 = 64.3.
    before = [c for c in panel.seen.coming if c.place == "before"]
    assert before[-1].reading.likely[-1] == 80.0
    assert before[-1].level == pytest.approx(64.3, abs=6.0)


def test_a_kit_that_may_be_off_makes_the_standard_worth_naming(picker):
    panel = NextTestsPanel(picker, cautioned=True)
    assert "standard" not in panel.text().splitlines()[0]
    panel.kit_off.value = 0.15
    assert panel.found.advice.ranked[0].tests[0].what == "standard"
    panel.goal.value = True
    assert "usual peak" in panel.verdict[0]


def test_no_change_to_look_for_is_refused(picker):
    panel = SoonPanel(picker, cautioned=True)
    panel.change.put(0.0)
    assert panel.verdict[0].startswith("Set a change")
    assert panel.picture.png == b""


def test_a_log_without_a_rate_says_so_in_each():
    other = FolderPicker("data_demo/estuary")
    for kind in (WeeksAheadPanel, LookbackPanel, NextTestsPanel, SoonPanel):
        panel = kind(other, cautioned=True)
        assert len(panel.verdict) == 1
        assert panel.picture.png == b""


def test_cautions_stand_on_a_panel_alone(picker):
    panel = SoonPanel(picker)
    assert any("gloves" in getattr(c, "value", "") for c in panel.box.children[1:3])
