"""The panel of the report: what is ticked is in the post, and files are written."""

from __future__ import annotations

from pathlib import Path

import pytest

from kit.widgets import FolderPicker, ReportPanel

DEMO = Path(__file__).resolve().parents[2] / "data_demo"


@pytest.fixture(scope="module")
def picker():
    return FolderPicker(str(DEMO / "culvert"))


@pytest.fixture
def panel(picker):
    return ReportPanel(picker)


def test_the_post_is_the_plain_text_of_the_panel(panel):
    assert panel.text() == panel.post.value
    assert panel.post.value.startswith("Culvert\n=======\n")
    assert f"{len(panel.post.value):,} characters" in panel.verdict[-1]
    assert panel.picture.png.startswith(b"\x89PNG")
    assert len(panel.picture.alt) > 40


def test_units_and_parts_follow_their_switches(panel):
    assert "US gal" not in panel.post.value
    panel.units.value = "us"
    assert "16.4 US gal (62 L)" in panel.post.value
    panel.sections["plan"].value = False
    assert "The plan" not in panel.post.value
    panel.sections["picture"].value = False
    assert panel.picture.png == b""


def test_hidden_names_are_gone_and_come_back(panel):
    panel.hide.value = True
    assert panel.post.value.startswith("Tank\n====\n")
    assert "Culvert" not in panel.text()
    panel.hide.value = False
    assert panel.post.value.startswith("Culvert")


def test_a_press_writes_the_files_and_names_them(panel, tmp_path):
    panel.folder.value = str(tmp_path / "out")
    panel.button.click()
    names = {p.name for p in (tmp_path / "out").iterdir()}
    assert {"report.html", "report.pdf", "post.txt", "logbook.zip"} <= names
    assert "Written to the folder out" in panel.done.value
    assert all(name in panel.done.value for name in names)


def test_a_logbook_is_not_written_to(panel):
    panel.folder.value = str(DEMO / "culvert")
    panel.button.click()
    assert "holds a logbook" in panel.words.value
    assert not (DEMO / "culvert" / "report.html").exists()


def test_nothing_ticked_or_nothing_read_is_said(panel, picker):
    for box in panel.sections.values():
        box.value = False
    assert "Tick at least one part" in panel.text()
    panel.button.click()
    assert "no report to write" in panel.done.value
    lost = ReportPanel(FolderPicker("no-such-folder"))
    assert "no logbook is read" in lost.text()
