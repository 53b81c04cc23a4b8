"""The form and the upload, driven by setting values as a browser would."""

import datetime as dt
import hashlib

import pytest

from kit import entry_file
from kit.files import read_logbook
from kit.practice import practice_copy
from kit.widgets.entry_form import EntryForm
from kit.widgets.upload_box import UploadBox

TODAY = dt.date(2026, 3, 1)
TESTS = "date,time,nitrate (mg/L NO3),reader,kit,note\n2026-02-20,,20,,,\n"


@pytest.fixture
def folder(tmp_path):
    home = tmp_path / "quarry"
    home.mkdir()
    (home / "tests.csv").write_text(TESTS, encoding="utf-8")
    (home / "tank.toml").write_text("[volume]\nlitres = 100\n", encoding="utf-8")
    return home


@pytest.fixture
def form(folder):
    return EntryForm(folder, today=TODAY)


def _shown(form):
    """Describe the boxes a reader sees, by their labels."""
    boxes = (form.exchange_kind, form.amount, form.unit, *form.said.values())
    return [b.description for b in boxes if b.layout.display != "none"]


def test_nothing_is_ready_before_something_is_typed(form):
    assert form.text() == "Nothing to save yet. The entry will go into tests.csv."
    assert form.save.disabled


def test_a_reading_is_previewed_with_its_iso_day_and_saved(form, folder):
    form.day.value = dt.date(2026, 2, 27)
    form.time.value = "18:30"
    form.amount.value = "<5"
    form.said["note"].value = "cloudy, late"
    line = '2026-02-27,18:30,<5,,,"cloudy, late"'
    spoken = "nitrate test on Friday 2026-02-27 at 18:30, <5"
    assert form.verdict == (f"Ready: {spoken}.", f"Line for tests.csv: {line}")
    assert (folder / "tests.csv").read_text("utf-8") == TESTS
    assert not form.save.disabled

    form.save.click()
    assert form.verdict == (
        f"Saved as line 3 of tests.csv: {spoken}.",
        f"The line reads: {line}",
        "The file as it was before today is kept in backups/tests.2026-03-01.csv.",
    )
    assert (folder / "tests.csv").read_text("utf-8") == TESTS + line + "\n"
    assert form.save.disabled
    assert (form.amount.value, form.time.value, form.said["note"].value) == ("", "", "")
    assert "&lt;5" in form.rows.value


def test_faults_are_told_and_cannot_be_saved(form, folder):
    form.amount.value = "2O"
    form.time.value = "noonish"
    form.day.value = dt.date(2026, 3, 5)
    assert form.verdict == ("Not ready to be saved.",)
    assert [w.split(":")[0] for w in form.warnings] == ["Day", "Reading", "Time"]
    assert "Did you mean 20?" in form.warnings[1]
    assert form.save.disabled
    form.guarded(form._save)(form.save)
    assert form.text().startswith("Nothing was saved")
    assert (folder / "tests.csv").read_text("utf-8") == TESTS


def test_each_kind_shows_its_own_boxes(form):
    seen = {}
    for _, kind in form.kind.options:
        form.kind.value = kind
        seen[kind] = _shown(form)
    assert seen == {
        "test": ["Reading, such as 20 or <5 or 5-10", "Unit", "Who read it",
                 "Kit or lot", "Note"],
        "exchange": ["Kind of exchange", "How much", "Unit", "Note"],
        "feeding": ["How much food", "Unit", "Which food", "Note"],
        "upkeep": ["What was done", "Note"],
        "source test": ["Reading, such as 5 or <5", "Unit", "Note"],
    }  # fmt: skip


def test_every_box_and_button_has_a_label(form):
    inputs = [w for w in form.box.children if hasattr(w, "description")]
    named = [w for w in inputs if "HTML" not in type(w).__name__]
    assert len(named) == 12
    assert all(w.description for w in named)
    assert all(b.description and not b.icon for b in (form.save, form.again))


def test_an_amount_is_not_carried_to_another_kind_of_entry(form):
    form.amount.value = "25"
    form.kind.value = "feeding"
    assert form.amount.value == ""
    assert form.save.disabled


def test_an_exchange_makes_its_file_and_a_drip_its_unit(form, folder):
    form.kind.value = "exchange"
    form.amount.value = "25"
    assert "exchanges.csv is made new" in form.text()
    form.save.click()
    form.exchange_kind.value = "drip change"
    assert form.unit.value == "L/day"
    form.amount.value = "2.5"
    form.save.click()
    lines = (folder / "exchanges.csv").read_text("utf-8-sig").splitlines()[1:]
    assert lines == ["2026-03-01,,batch,25,,,", "2026-03-01,,drip change,,,2.5,"]


def test_limits_come_from_the_tank(form):
    form.kind.value = "exchange"
    form.unit.value = "L"
    form.amount.value = "101"
    assert "out of range" in form.warnings[0]
    form.amount.value = "99"
    assert form.warnings == ()


def test_upkeep(form, folder):
    form.kind.value = "upkeep"
    form.said["task"].value = "lid wiped"
    form.save.click()
    text = (folder / "upkeep.csv").read_text("utf-8-sig")
    assert text.endswith("2026-03-01,lid wiped,\n")


def test_text_of_one_kind_does_not_slip_into_another(form):
    form.said["reader"].value = "A"
    form.kind.value = "feeding"
    form.amount.value = "2"
    assert "Ready" in form.text()


def test_a_file_changed_meanwhile_is_told_and_can_be_loaded_again(form, folder):
    form.amount.value = "30"
    path = folder / "tests.csv"
    path.write_text(TESTS + "2026-02-21,,25,,,\n", encoding="utf-8")
    form.save.click()
    assert "was changed by another program" in form.text()
    assert form.amount.value == "30"
    form.again.click()
    assert "25" in form.rows.value
    form.save.click()
    assert "Saved as line 4" in form.text()


def test_a_fault_inside_the_kit_is_a_sentence(form, monkeypatch):
    def broken(*arguments):
        raise ZeroDivisionError("division by zero")

    form.amount.value = "30"
    monkeypatch.setattr(entry_file, "save", broken)
    form.save.click()
    assert "changed nothing" in form.text()
    assert "ZeroDivisionError" in form.text()
    assert 'aria-live="polite"' in form.words.value


def test_a_missing_folder_is_a_sentence(form):
    form.folder.value = "nowhere/at/all"
    assert "no such folder" in form.text()
    assert form.save.disabled
    assert form.rows.value == ""


def test_a_strangers_markup_stays_text(folder):
    evil = "<img src=x onerror=alert(1)>"
    text = TESTS + f"2026-02-21,,25,,,{evil}\n"
    (folder / "tests.csv").write_text(text, encoding="utf-8")
    form = EntryForm(folder, today=TODAY)
    form.amount.value = evil
    form.said["note"].value = evil
    for widget in (form.rows, form.words):
        assert "<img" not in widget.value
    assert "&lt;img" in form.rows.value


def test_the_form_is_a_widget_and_a_plain_text(form):
    data, _ = form._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in data
    assert data["text/plain"] == form.text()


def test_a_practice_copy_leaves_the_original(folder):
    before = {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}
    form = EntryForm(practice_copy(folder), today=TODAY)
    form.amount.value = "30"
    form.save.click()
    assert "Saved as line 3" in form.text()
    after = {p: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}
    assert after == before


def _upload(box, name, data):
    box.chooser.value = (
        {
            "name": name,
            "type": "text/csv",
            "size": len(data),
            "content": memoryview(data),
            "last_modified": dt.datetime.now(dt.UTC),
        },
    )


def test_an_upload_is_checked_and_kept_only_when_asked(form, folder):
    box = UploadBox(form)
    data = b"date,nitrate (mg/L NO3)\n2026-01-01,20\n2026-01-02,2O\n"
    _upload(box, "../My other log.csv", data)
    assert "nitrate tests 1," in box.text()
    assert "line 3" in box.warnings[0]
    apart = folder / "other files" / "my-other-log.csv"
    before = read_logbook(folder)
    assert not apart.exists()
    assert "other files" in box.keep.description
    box.keep.click()
    assert "my-other-log.csv in the folder other files inside quarry" in box.text()
    assert apart.read_bytes() == data
    assert not (folder / "my-other-log.csv").exists()
    # The other keeper's tests stay out of this tank.
    assert read_logbook(folder).tests == before.tests
    assert box.keep.disabled


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04....", b"\x00\x01\x02" * 50])
def test_an_upload_that_is_no_table_is_a_sentence(form, data):
    box = UploadBox(form)
    _upload(box, "log.csv", data)
    assert box.warnings or "could not" in box.text()
    assert "Traceback" not in box.text()


def test_entries_still_kept_apart_are_pointed_out(form, folder):
    pending = folder / "tests.pending.csv"
    pending.write_text(TESTS, encoding="utf-8")
    form.again.click()
    assert "tests.pending.csv holds 1 entry not yet in tests.csv" in form.rows.value
    form.day.value = dt.date(2026, 2, 20)
    form.amount.value = "20"
    form.save.click()
    assert not pending.exists()
    assert "pending" not in form.rows.value
