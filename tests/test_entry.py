"""Entries: sound or not, in the right file, under the keeper's own columns."""

import datetime as dt

import pytest

from kit import entry_file, files
from kit.entry import Amount, Entry, faults_of
from kit.errors import SaveError
from kit.logbook import Tank

TODAY = dt.date(2026, 3, 1)
DAY = dt.date(2026, 2, 27)
TANK = Tank(volume_l=100, pinch_g=0.25)


def _test(text, unit="", **options):
    return Entry("test", options.get("day", DAY), None, Amount("nitrate", text, unit))


def _faults(entry, tank=TANK):
    return faults_of(entry, tank, TODAY)


@pytest.mark.parametrize("text", ["20", "<5", "5-10", ">160", "20?", "12,5", "0", "nd"])
def test_readings_that_load_are_sound(text):
    assert _faults(_test(text)) == ()


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", ""),
        ("abc", ""),
        ("2O", ""),
        ("1,000", ""),
        ("501", ""),
        ("=A1*2", ""),
        ("-5", ""),
        ("120", "mg/L NO3-N"),  # 120 x 4.4268 = 531
    ],
)
def test_readings_that_would_not_load_are_refused(text, unit):
    assert len(_faults(_test(text, unit))) == 1


@pytest.mark.parametrize(
    "day", [None, dt.date(2026, 3, 2), dt.date(1949, 12, 31), dt.date(2126, 1, 1)]
)
def test_days_that_cannot_be(day):
    (fault,) = _faults(Entry("test", day, None, Amount("nitrate", "20")))
    assert fault.startswith("Day:")
    assert "from 1950 up to today" in fault


@pytest.mark.parametrize(
    ("role", "text", "unit", "sound"),
    [
        ("exchange", "25", "%", True),
        ("exchange", "100", "%", True),
        ("exchange", "101", "%", False),
        ("exchange", "0", "%", False),
        ("exchange", "-5", "%", False),
        ("exchange", "40", "L", True),
        ("exchange", "101", "L", False),
        ("exchange", "27", "US gal", False),  # 102 L
        ("exchange", "26", "US gal", True),  # 98 L
        ("exchange", "half", "%", False),
        ("exchange", "nan", "%", False),
        ("drip", "0", "L/day", True),
        ("drip", "-1", "L/day", False),
        ("feed", "0", "g", True),
        ("feed", "10", "g", True),  # 10 g for 100 L
        ("feed", "10.5", "g", False),
        ("feed", "40", "pinches", True),  # 10 g
        ("feed", "41", "pinches", False),
        ("feed", "12,5", "mg", True),
    ],
)
def test_amounts_within_the_rules(role, text, unit, sound):
    kind = "feeding" if role == "feed" else "exchange"
    faults = _faults(Entry(kind, DAY, None, Amount(role, text, unit)))
    assert (faults == ()) is sound


def test_upkeep_needs_a_task_and_an_exchange_an_amount():
    assert _faults(Entry("upkeep", DAY, words={"task": " "})) != ()
    assert _faults(Entry("upkeep", DAY, words={"task": "lid"})) == ()
    assert _faults(Entry("exchange", DAY)) == ("Amount: nothing was given yet.",)


def test_without_a_volume_only_the_plain_limits_hold():
    big = Entry("exchange", DAY, None, Amount("exchange", "5000", "L"))
    assert _faults(big, Tank()) == ()


def _save(path, entry):
    return entry_file.save(entry, entry_file.target(path, entry.kind), TODAY)


def test_new_files_are_made_with_the_usual_columns(tmp_path):
    time = dt.time(18, 30)
    words = {"reader": "A", "note": "late"}
    test = Entry("test", DAY, time, Amount("nitrate", "<5"), words)
    source = Entry("source test", DAY, None, Amount("source nitrate", "5"))
    wash = {"exchange kind": "backwash"}
    exchange = Entry("exchange", DAY, None, Amount("exchange", "40", "L"), wash)
    drip = {"exchange kind": "drip change"}
    drips = Entry("exchange", DAY, None, Amount("drip", "2.5", "L/day"), drip)
    fed = Entry("feeding", DAY, None, Amount("feed", "0.5", "g"), {"food kind": "dry"})
    done = Entry("upkeep", DAY, None, None, {"task": "lid wiped"})
    lines = {
        "tests.csv": "2026-02-27,18:30,<5,A,,late",
        "source.csv": "2026-02-27,5,",
        "exchanges.csv": "2026-02-27,,backwash,,40,,",
        "feedings.csv": "2026-02-27,0.5,dry,",
        "upkeep.csv": "2026-02-27,lid wiped,",
    }
    for entry in (test, source, exchange, fed, done):
        goal = entry_file.target(tmp_path, entry.kind)
        assert goal.is_new
        assert entry_file.line_of(entry, goal) == lines[goal.path.name]
        assert not goal.path.exists()
        saved = _save(tmp_path, entry)
        assert (saved.line, saved.text) == (2, lines[saved.file])
    assert _save(tmp_path, drips).text == "2026-02-27,,drip change,,,2.5,"


WIDE = (
    "date,time,nitrate (mg/L NO3),food (g),exchanged (%),exchanged (L),upkeep,note\n"
    "2026-01-01,,20,,,,,\n"
)


def test_one_wide_sheet_takes_every_kind(tmp_path):
    path = tmp_path / "my tank.csv"
    path.write_text(WIDE, encoding="utf-8")
    for entry, line in [
        (_test("20?"), "2026-02-27,,20?,,,,,"),
        (Entry("feeding", DAY, None, Amount("feed", "2", "pinches")),
         "2026-02-27,,,2 pinches,,,,"),
        (Entry("exchange", DAY, None, Amount("exchange", "25", "%")),
         "2026-02-27,,,,25,,,"),
        (Entry("exchange", DAY, None, Amount("exchange", "5", "US gal")),
         "2026-02-27,,,,,5 US gal,,"),
        (Entry("upkeep", DAY, None, None, {"task": "lid"}), "2026-02-27,,,,,,lid,"),
    ]:  # fmt: skip
        for place in (tmp_path, path):
            goal = entry_file.target(place, entry.kind)
            assert entry_file.line_of(entry, goal) == line
        assert _save(tmp_path, entry).text == line
    assert [p.name for p in tmp_path.glob("*.csv")] == ["my tank.csv"]


def test_the_keepers_own_names_order_and_units_are_kept(tmp_path):
    text = "Tank;Remarks;NO3-N (mg/l);Datum\nQuarry;;4,5;2026-01-01\n"
    (tmp_path / "Readings.csv").write_text(text, encoding="utf-8")
    assert _save(tmp_path, _test("5.5")).text == "Quarry;;5,5;2026-02-27"
    same = _test("5.5", "mg/L NO3-N")
    assert _save(tmp_path, same).text == "Quarry;;5,5;2026-02-27"
    other = _test("<12,5", "mg/L NO3")
    assert _save(tmp_path, other).text == "Quarry;;<12,5 mg/L NO3;2026-02-27"


def test_a_time_without_a_column_goes_behind_the_day(tmp_path):
    (tmp_path / "tests.csv").write_text("Date,NO3\n2026-01-01,20\n", encoding="utf-8")
    entry = Entry("test", DAY, dt.time(7, 5), Amount("nitrate", "20"))
    assert _save(tmp_path, entry).text == "2026-02-27 07:05,20"


def test_something_without_a_column_is_told_and_not_dropped(tmp_path):
    (tmp_path / "tests.csv").write_text("Date,NO3\n2026-01-01,20\n", encoding="utf-8")
    entry = Entry("test", DAY, None, Amount("nitrate", "20"), {"note": "late"})
    with pytest.raises(SaveError, match="has no column for the note"):
        _save(tmp_path, entry)


def test_a_sheet_of_several_tanks_is_left_alone(tmp_path):
    text = "tank,date,nitrate\nA,2026-01-01,20\nB,2026-01-01,30\n"
    (tmp_path / "tests.csv").write_text(text, encoding="utf-8")
    with pytest.raises(SaveError, match="several tanks"):
        _save(tmp_path, _test("20"))


def test_two_sheets_that_fit_are_asked_about(tmp_path):
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(WIDE, encoding="utf-8")
    with pytest.raises(SaveError, match=r"choose a\.csv or b\.csv"):
        entry_file.target(tmp_path, "test")


def test_a_folder_that_is_not_there():
    with pytest.raises(SaveError, match="no such folder"):
        entry_file.target(entry_file.Path("nowhere/at/all"), "test")


def test_the_last_rows_are_text(tmp_path):
    (tmp_path / "tests.csv").write_text("Date,NO3\n2026-01-01,<b>\n", encoding="utf-8")
    header, rows = entry_file.last_rows(entry_file.target(tmp_path, "test"))
    assert (header, rows) == (("Date", "NO3"), [("2026-01-01", "<b>")])


def test_what_is_saved_loads_as_it_was_meant(tmp_path):
    (tmp_path / "tank.toml").write_text(
        '[volume]\nlitres = 100\n[kit]\nchart = "doubling"\nbasis = "NO3"\n'
        '[feed]\npinch_g = 0.25\n[habit]\nsame_day = "before"\n',
        encoding="utf-8",
    )
    wash = {"exchange kind": "backwash"}
    drip = {"exchange kind": "drip change"}
    for entry in [
        Entry("test", DAY, dt.time(18, 30), Amount("nitrate", "20"), {"note": "=1+1"}),
        Entry("test", TODAY, None, Amount("nitrate", "5", "mg/L NO3-N")),
        Entry("exchange", DAY, None, Amount("exchange", "25", "%")),
        Entry("exchange", TODAY, None, Amount("exchange", "5", "US gal"), wash),
        Entry("exchange", TODAY, None, Amount("drip", "4", "mL/min"), drip),
        Entry("feeding", DAY, None, Amount("feed", "0,5", "g"), {"food kind": "dry"}),
        Entry("feeding", TODAY, None, Amount("feed", "2", "pinches")),
        Entry("upkeep", DAY, None, None, {"task": "lid wiped"}),
        Entry("source test", DAY, None, Amount("source nitrate", "<5")),
    ]:
        assert _faults(entry) == ()
        _save(tmp_path, entry)
    log = files.read_logbook(tmp_path, today=TODAY)
    assert [p.sentence() for p in log.problems if p.level != "note"] == []
    first, second = log.tests
    assert (first.date, first.time, first.value_mg_l) == (DAY, dt.time(18, 30), 20)
    assert second.value_mg_l == pytest.approx(5 * 4.4268, abs=1e-3)
    batch, *others = log.exchanges
    assert batch.fraction == pytest.approx(0.25)
    washed = next(e for e in others if e.kind == "backwash")
    assert washed.litres == pytest.approx(5 * 3.785411784)
    dripped = next(e for e in others if e.kind == "drip change")
    assert dripped.drip_l_day == pytest.approx(5.76)  # 4 mL x 1,440 min
    assert [f.feed_g for f in log.feedings] == [0.5, 0.5]
    assert [u.task for u in log.upkeep] == ["lid wiped"]
    assert (log.source[0].low_mg_l, log.source[0].high_mg_l) == (0, 5)


def test_entries_kept_apart_and_backups_are_never_read(tmp_path):
    _save(tmp_path, _test("20"))
    _save(tmp_path, _test("30", day=TODAY))
    row = "date,time,nitrate (mg/L NO3),reader,kit,note\n2026-02-01,,99,,,\n"
    (tmp_path / "tests.pending.csv").write_text(row, encoding="utf-8")
    (tmp_path / ".tests.csv.12-ab.saving").write_text(row, encoding="utf-8")
    assert list((tmp_path / "backups").iterdir())
    log = files.read_logbook(tmp_path, today=TODAY)
    assert [t.value_mg_l for t in log.tests] == [20, 30]
