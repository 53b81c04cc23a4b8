"""A new line fits into the keeper's file, and nothing else in it changes."""

import codecs
import datetime as dt
import errno
import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import safe_write, store
from kit.errors import SaveError
from kit.structure import parse_sheet

TODAY = dt.date(2026, 3, 1)
NITRATE = "nitrate (mg/L NO3)"


def _log(folder, text, codec="utf-8", mark=b""):
    path = folder / "tests.csv"
    path.write_bytes(mark + text.encode(codec))
    return path


def _add(path, values, **options):
    options.setdefault("expected_sha256", None)
    return store.append_entry(path, values, today=TODAY, **options)


PLAIN = f"date,{NITRATE},note\n2026-01-01,20,\n2026-01-08,22,late\n"


def test_a_line_is_added_and_told(tmp_path):
    path = _log(tmp_path, PLAIN)
    saved = _add(path, {"date": "2026-01-15", NITRATE: 12.5, "note": "two, three"})
    line = '2026-01-15,12.5,"two, three"'
    assert path.read_text("utf-8") == PLAIN + line + "\n"
    assert (saved.file, saved.line, saved.text) == ("tests.csv", 4, line)
    assert saved.sha256 == parse_sheet(path.read_bytes(), "tests.csv").sha256
    assert saved.backup.read_text("utf-8") == PLAIN


def test_the_digest_of_one_save_is_good_for_the_next(tmp_path):
    path = _log(tmp_path, PLAIN)
    first = parse_sheet(path.read_bytes(), "tests.csv").sha256
    second = _add(path, {"date": "2026-01-15"}, expected_sha256=first).sha256
    third = _add(path, {"date": "2026-01-16"}, expected_sha256=second)
    assert third.backup is None
    assert path.read_text("utf-8").endswith("2026-01-15,,\n2026-01-16,,\n")


def test_a_file_changed_since_it_was_loaded_is_left_alone(tmp_path):
    path = _log(tmp_path, PLAIN)
    loaded = parse_sheet(path.read_bytes(), "tests.csv").sha256
    path.write_text(PLAIN + "2026-01-09,30,by hand\n", encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(store.ChangedOnDisk, match="Load it again"):
        _add(path, {"date": "2026-01-15"}, expected_sha256=loaded)
    assert path.read_bytes() == before
    assert not (tmp_path / "backups").exists()


@pytest.mark.parametrize(
    ("codec", "mark"),
    [
        ("utf-8", b""),
        ("utf-8", codecs.BOM_UTF8),
        ("utf-16-le", codecs.BOM_UTF16_LE),
        ("utf-16-be", codecs.BOM_UTF16_BE),
        ("utf-32-le", codecs.BOM_UTF32_LE),
        ("cp1252", b""),
    ],
)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_dress_of_the_file_is_kept(tmp_path, codec, mark, newline, delimiter):
    rows = [["date", NITRATE, "note"], ["2026-01-01", "20", "grün"]]
    text = "".join(delimiter.join(row) + newline for row in rows)
    path = _log(tmp_path, text, codec, mark)
    before = path.read_bytes()
    _add(path, {"note": "é, ü; done", "date": "2026-01-08", NITRATE: 22.0})
    after = path.read_bytes()
    assert after.startswith(before)
    added = after[len(before) :].decode(codec)
    note = "é, ü; done" if delimiter == "\t" else '"é, ü; done"'
    assert added == delimiter.join(["2026-01-08", "22", note]) + newline


def test_decimal_commas_are_kept(tmp_path):
    path = _log(tmp_path, f"date;{NITRATE};note\n2026-01-01;12,5;a\n")
    _add(path, {"date": "2026-01-08", NITRATE: 7.5, "note": "v 1.5"})
    _add(path, {"date": "2026-01-15", NITRATE: "<0.5"}, numeric=[NITRATE])
    assert path.read_text("utf-8").splitlines()[2:] == [
        "2026-01-08;7,5;v 1.5",
        "2026-01-15;<0,5;",
    ]


def test_decimal_points_are_kept_beside_semicolons(tmp_path):
    path = _log(tmp_path, f"date;{NITRATE}\n2026-01-01;12.5\n2026-01-02;7\n")
    _add(path, {"date": "2026-01-08", NITRATE: 7.5})
    assert path.read_text("utf-8").endswith("2026-01-08;7.5\n")


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_missing_last_newline_does_not_glue_two_rows(tmp_path, newline):
    text = newline.join([f"date,{NITRATE}", "2026-01-01,20", "2026-01-02,21"])
    path = _log(tmp_path, text)
    saved = _add(path, {"date": "2026-01-08", NITRATE: 22.0})
    assert path.read_bytes().decode() == text + newline + "2026-01-08,22" + newline
    assert saved.line == 4


def test_unknown_columns_and_their_order_are_kept(tmp_path):
    text = f"pH,{NITRATE},Date,GH\n7.2,20,2026-01-01,8\n"
    path = _log(tmp_path, text)
    _add(path, {"date": "2026-01-08", NITRATE: 22.0})
    assert path.read_text("utf-8") == text + ",22,2026-01-08,\n"


def test_title_rows_and_a_units_row_stay(tmp_path):
    text = "My tank\n\ndate,nitrate,note\n,mg/L,\n2026-01-01,20,a\n2026-01-02,21,b\n"
    path = _log(tmp_path, text)
    saved = _add(path, {"date": "2026-01-08", "nitrate": 22.0})
    assert path.read_text("utf-8") == text + "2026-01-08,22,\n"
    assert saved.line == 7


def test_a_header_alone_is_enough(tmp_path):
    path = tmp_path / "feedings.csv"
    digest = store.create_log(path, ["date", "food (g)", "kind", "note"])
    assert path.read_bytes() == codecs.BOM_UTF8 + b"date,food (g),kind,note\n"
    _add(path, {"date": "2026-01-08", "food (g)": 0.25}, expected_sha256=digest)
    assert path.read_bytes().endswith(b"2026-01-08,0.25,,\n")


def test_new_logs_are_never_made_over_old_ones(tmp_path):
    path = _log(tmp_path, PLAIN)
    with pytest.raises(SaveError, match="is there already"):
        store.create_log(path, ["date"])
    assert path.read_text("utf-8") == PLAIN


@pytest.mark.parametrize(
    ("note", "cell"),
    [
        ("=1+1", '"\'=1+1"'),
        ("@sum", '"\'@sum"'),
        ("-0.5", "-0.5"),
        ("+cmd|' /C calc'!A0", "\"'+cmd|' /C calc'!A0\""),
        ("two\nlines", "two lines"),
        ('say "no"', '"say ""no"""'),
    ],
)
def test_text_that_a_spreadsheet_would_run_is_made_harmless(tmp_path, note, cell):
    path = _log(tmp_path, PLAIN)
    _add(path, {"date": "2026-01-15", "note": note})
    assert path.read_text("utf-8") == PLAIN + f"2026-01-15,,{cell}\n"


def test_a_disk_full_at_any_byte_of_a_save_changes_nothing(tmp_path, monkeypatch):
    path = _log(tmp_path, PLAIN)
    original = path.read_bytes()
    values = {"date": "2026-01-15", NITRATE: 22.0}
    kept = tmp_path / "backups" / "tests.2026-03-01.csv"
    real_write = os.write
    monkeypatch.setattr(safe_write.os, "fsync", lambda handle: None)
    # The backup is written first, then the file with one line more.
    needed = len(original) + len(original) + len("2026-01-15,22,\n")
    for room in range(needed):
        left = room

        def write(handle, chunk):
            nonlocal left
            if not left:
                raise OSError(errno.ENOSPC, "No space left on device")
            done = real_write(handle, bytes(chunk[:left]))
            left -= done
            return done

        with monkeypatch.context() as patch:
            patch.setattr(safe_write.os, "write", write)
            with pytest.raises(SaveError, match="Disk full: nothing was changed"):
                _add(path, values)
        assert path.read_bytes() == original
        assert not list(tmp_path.rglob("*.saving"))
        assert kept.exists() is (room >= len(original))
        if kept.exists():
            assert kept.read_bytes() == original
            kept.unlink()
    assert _add(path, values).line == 4


def test_a_letter_the_code_page_lacks_is_named(tmp_path):
    path = _log(tmp_path, PLAIN.replace("late", "spät"), "cp1252")
    before = path.read_bytes()
    with pytest.raises(SaveError, match=r"has no '水'"):
        _add(path, {"date": "2026-01-15", "note": "水"})
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no row with the names"),
        ("2026-01-01,20\n2026-01-02,21\n", "no row with the names"),
        (f'date,{NITRATE}\n2026-01-01,"20\n2026-01-02,21\n', "cannot be added safely"),
        (f"date,{NITRATE},date\n2026-01-01,20,2026-01-01\n", "stands twice"),
        ("date,food (g)\n2026-01-01,2\n", "stands not in this file"),
    ],
)
def test_files_that_a_line_cannot_be_added_to(tmp_path, text, words):
    path = _log(tmp_path, text)
    with pytest.raises(SaveError, match=words):
        _add(path, {"date": "2026-01-15", NITRATE: 22.0})
    assert path.read_text("utf-8") == text


def test_a_preview_is_the_line_and_writes_nothing(tmp_path):
    path = _log(tmp_path, PLAIN)
    values = {"date": "2026-01-15", NITRATE: 1.25}
    assert store.preview_entry(path, values) == "2026-01-15,1.25,"
    assert [p.name for p in tmp_path.iterdir()] == ["tests.csv"]
    assert _add(path, values).text == "2026-01-15,1.25,"


def test_a_lock_held_by_another_program_is_told(tmp_path):
    path = _log(tmp_path, PLAIN)
    with (
        FileLock(tmp_path / "tests.csv.lock"),
        pytest.raises(SaveError, match=r"delete tests\.csv\.lock"),
    ):
        _add(path, {"date": "2026-01-15"}, lock_seconds=0.05)
    assert path.read_text("utf-8") == PLAIN


def test_a_file_open_in_the_spreadsheet_keeps_the_entry_apart(tmp_path, monkeypatch):
    path = _log(tmp_path, PLAIN)
    rename = Path.replace

    def refuse(self, goal):
        if Path(goal).name == "tests.csv":
            raise PermissionError(13, "in use")
        return rename(self, goal)

    monkeypatch.setattr(safe_write.time, "sleep", lambda seconds: None)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", refuse)
        for day in ("2026-01-15", "2026-01-16", "2026-01-15"):
            with pytest.raises(store.HeldOpen, match=r"kept in tests\.pending\.csv"):
                _add(path, {"date": day, NITRATE: 22.0})
    kept = store.pending_path(path).read_text("utf-8")
    assert kept == f"date,{NITRATE},note\n2026-01-15,22,\n2026-01-16,22,\n"
    assert path.read_text("utf-8") == PLAIN
    assert store.pending_count(path) == 2
    for day, left in (("2026-01-15", 1), ("2026-01-17", 1), ("2026-01-16", 0)):
        _add(path, {"date": day, NITRATE: 22.0})
        assert path.read_text("utf-8").endswith(f"{day},22,\n")
        assert store.pending_count(path) == left
    assert not store.pending_path(path).exists()


@pytest.mark.skipif(os.name != "posix", reason="links need rights on Windows")
def test_a_link_stays_a_link(tmp_path):
    home = tmp_path / "home"
    home.mkdir()
    path = _log(home, PLAIN)
    link = tmp_path / "log.csv"
    link.symlink_to(path)
    _add(link, {"date": "2026-01-15"})
    assert link.is_symlink()
    assert path.read_text("utf-8").endswith("2026-01-15,,\n")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["home", "log.csv"]


def test_copies_get_safe_names_and_never_write_over(tmp_path):
    names = [
        store.save_copy(tmp_path, name, b"date,no3\n").name
        for name in ("../../My log.csv", "My log.CSV", "C:\\x\\CON.csv", "水.csv", "")
    ]
    assert names[:3] == ["my-log.csv", "my-log-2.csv", "tank-con.csv"]
    assert len(set(names)) == 5
    assert all((tmp_path / n).read_bytes() == b"date,no3\n" for n in names)
    with pytest.raises(SaveError, match="is not there"):
        store.save_copy(tmp_path / "none", "a.csv", b"")


def test_a_plain_c_locale_changes_nothing(tmp_path):
    path = _log(tmp_path, PLAIN)
    code = """
        import datetime as dt, sys
        from pathlib import Path
        from kit import store
        store.append_entry(Path(sys.argv[1]), {"date": "2026-01-15", "note": "\\u6c34"},
                           expected_sha256=None, today=dt.date(2026, 3, 1))
    """
    env = {**os.environ, "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    run = [sys.executable, "-c", textwrap.dedent(code), str(path)]
    subprocess.run(run, check=True, env=env, timeout=60)
    assert path.read_text("utf-8") == PLAIN + "2026-01-15,,水\n"


@settings(max_examples=100, deadline=None)
@given(
    note=st.text(max_size=40),
    delimiter=st.sampled_from([",", ";", "\t"]),
    newline=st.sampled_from(["\n", "\r\n"]),
    number=st.floats(0, 500).map(lambda x: round(x, 2)),
)
def test_what_is_written_reads_back(tmp_path_factory, note, delimiter, newline, number):
    folder = tmp_path_factory.mktemp("log")
    rows = [["date", NITRATE, "note"], ["2026-01-01", "20", "a"]]
    text = "".join(delimiter.join(row) + newline for row in rows)
    path = _log(folder, text)
    _add(path, {"date": "2026-01-08", NITRATE: number, "note": note})
    after = path.read_bytes()
    assert after.startswith(text.encode())
    cells = parse_sheet(after, "tests.csv").tables[0].records[-1].cells
    assert cells[0] == "2026-01-08"
    assert float(cells[1]) == number
    shown = store.escape.plain(note)
    assert store.escape.csv_text_back(cells[2].strip()) == shown.strip()
