"""tank.toml and command-line options: every fault named, none raised."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.logbook import Tank, VolumeChange
from kit.options import tank_from_options
from kit.settings import CHARTS, read_tank

TODAY = dt.date(2026, 3, 1)
FULL = """\
name = "Quarry"
[volume]
litres = 342
how = "measured"
error_percent = 5
[[volume_change]]
date = 2026-02-01
litres = 330
how = "drained"
[source]
nitrate_mg_l = 5
[kit]
chart = "doubling"
basis = "NO3"
[drip]
litres_per_day = 2.5
[evaporation]
litres_per_day = 1
top_up = "pure"
[plan]
ceiling_mg_l = 40
max_percent = 50
[habit]
same_day = "before"
[feed]
protein_percent = 45
pinch_g = 0.25
[costs]
currency = "EUR"
water_per_m3 = 4
energy_per_kwh = 0.20
salt_per_kg = 3
"""


@pytest.fixture
def read(tmp_path):
    def reader(text, **options):
        folder = tmp_path / "quarry"
        folder.mkdir(exist_ok=True)
        data = text if isinstance(text, bytes) else text.encode("utf-8")
        (folder / "tank.toml").write_bytes(data)
        return read_tank(folder, today=TODAY, **options)

    return reader


def test_full_settings_without_a_word(read):
    tank, problems = read(FULL)
    assert problems == ()
    assert tank == Tank(
        name="Quarry",
        volume_l=342,
        volume_how="measured",
        volume_error_percent=5,
        source_nitrate_mg_l=5,
        kit_steps_mg_l=(0, 5, 10, 20, 40, 80, 160),
        kit_basis="NO3",
        drip_l_day=2.5,
        evaporation_l_day=1,
        top_up="pure",
        ceiling_mg_l=40,
        max_percent=50,
        same_day="before",
        feed_protein_percent=45,
        pinch_g=0.25,
        volume_changes=(VolumeChange(dt.date(2026, 2, 1), 330, "drained"),),
        currency="EUR",
        water_per_m3=4,
        energy_per_kwh=0.20,
        salt_per_kg=3,
    )


def test_byte_order_mark_and_windows_newlines_are_no_matter(read):
    tank, problems = read(b"\xef\xbb\xbf" + FULL.replace("\n", "\r\n").encode())
    assert problems == ()
    assert tank.volume_l == 342


# NIST Handbook 44: US gallon 3.785411784 L; imperial gallon 4.54609 L; 1 ft3 28.3168 L.
@pytest.mark.parametrize(
    ("key", "litres"),
    [
        ("us_gallons", 378.5411784),
        ("imperial_gallons", 454.609),
        ("cubic_feet", 2831.6846592),
        ("liters", 100),
    ],
)
def test_volume_in_other_units(read, key, litres):
    tank, problems = read(f"[volume]\n{key} = 100\n")
    assert problems == ()
    assert tank.volume_l == pytest.approx(litres, rel=1e-12)


def test_a_drip_in_other_units(read):
    tank, _ = read("[volume]\nlitres=1\n[drip]\nmillilitres_per_minute = 4\n")
    assert tank.drip_l_day == pytest.approx(5.76)  # 4 mL x 1440 min


def test_bare_gallons_are_asked_about_and_held_back(read):
    tank, (problem,) = read("[volume]\n\ngallons = 75\n")
    assert tank.volume_l is None
    assert (problem.level, problem.line, problem.column) == ("question", 3, None)
    assert [c.answer for c in problem.choices] == ["US gallon", "imperial gallon"]
    assert [c.example for c in problem.choices] == ["283.9 L", "341 L"]


def test_an_answer_about_gallons_is_used(read):
    text = "[volume]\ngallons = 75\n[drip]\ngallons_per_day = 1\n"
    tank, problems = read(text, answered=lambda problem: "imperial gallon")
    assert problems == ()
    assert tank.volume_l == pytest.approx(75 * 4.54609)
    assert tank.drip_l_day == pytest.approx(4.54609)


def test_steps_of_an_n_kit_become_no3(read):
    text = '[volume]\nlitres=1\n[kit]\nsteps=[0, 5, 10]\nbasis="NO3-N"\n'
    tank, problems = read(text)
    assert problems == ()
    assert tank.kit_steps_mg_l == pytest.approx((0, 22.134, 44.268), abs=1e-3)


def test_a_meter_of_n_becomes_no3(read):
    text = '[volume]\nlitres=1\n[kit]\nresolution_mg_l=1\nbasis="as N"\n'
    tank, problems = read(text)
    assert problems == ()
    assert tank.kit_resolution_mg_l == pytest.approx(4.4268, abs=1e-4)
    assert tank.kit_basis == "NO3-N"


def test_source_as_n(read):
    tank, _ = read("[volume]\nlitres=1\n[source]\nnitrate_n_mg_l = 10\n")
    assert tank.source_nitrate_mg_l == pytest.approx(44.27, abs=0.01)


V = "[volume]\nlitres = 1\n"


@pytest.mark.parametrize(
    ("text", "kind", "line"),
    [
        ("[volume]\nlitres = 0\n", "out of range", 2),
        ("[volume]\nlitres = -3\n", "out of range", 2),
        ("[volume]\nlitres = nan\n", "out of range", 2),
        ("[volume]\nlitres = inf\n", "out of range", 2),
        ("[volume]\nlitres = true\n", "wrong type", 2),
        ('[volume]\nlitres = "342"\n', "wrong type", 2),
        ("volume = 342\n", "wrong type", 1),
        ("[volume]\nlitres = 9\nus_gallons = 9\n", "given twice", 3),
        (V + 'how = "guess"\n', "unknown word", 3),
        (V + "error_percent = 101\n", "out of range", 3),
        (V + "[plan]\nmax_percent = 120\n", "out of range", 4),
        (V + "[plan]\nceiling_mg_l = 0\n", "out of range", 4),
        (V + "[feed]\nprotein_percent = 145\n", "out of range", 4),
        (V + "[source]\nnitrate_mg_l = 501\n", "out of range", 4),
        (V + "[source]\nnitrate_mg_l = 5\nnitrate_n_mg_l = 1\n", "given twice", 5),
        (V + "[kit]\nsteps = [0, 10, 5]\n", "steps not rising", 4),
        (V + "[kit]\nsteps = [5, 5]\n", "steps not rising", 4),
        (V + "[kit]\nsteps = [5]\n", "steps not rising", 4),
        (V + '[kit]\nsteps = [0, "5"]\n', "steps not rising", 4),
        (V + "[kit]\nsteps = 5\n", "steps not rising", 4),
        (V + '[kit]\nchart = "strip"\nresolution_mg_l = 1\n', "given twice", 5),
        (V + '[kit]\nchart = "strip"\nsteps = [0, 1]\n', "given twice", 5),
        (V + '[kit]\nchart = "rainbow"\n', "unknown word", 4),
        (V + '[kit]\nbasis = "NO2"\n', "unknown word", 4),
        (V + '[habit]\nsame_day = "noon"\n', "unknown word", 4),
        (V + "[drip]\nlitres_per_day = -1\n", "out of range", 4),
        (V + '[evaporation]\ntop_up = "rain"\n', "unknown word", 4),
        (V + "[costs]\nwater_per_m3 = -4\n", "out of range", 4),
        (
            V + "[[volume_change]]\ndate = 2027-01-01\nlitres = 3\nhow = 'filled'\n",
            "future date",
            4,
        ),
        (
            V + "[[volume_change]]\ndate = 1926-01-01\nlitres = 3\nhow = 'filled'\n",
            "date too old",
            4,
        ),
        (
            V + "[[volume_change]]\ndate = '1.2.26'\nlitres = 3\nhow = 'filled'\n",
            "wrong date",
            4,
        ),
        (V + "[[volume_change]]\ndate = 2026-01-01\nhow = 'filled'\n", "incomplete", 3),
    ],
)
def test_every_fault_is_an_error_on_its_line(read, text, kind, line):
    _, problems = read(text)
    errors = [p for p in problems if p.level == "error"]
    assert [(p.kind, p.line) for p in errors] == [(kind, line)]
    assert errors[0].file == "tank.toml"
    assert errors[0].column is None
    assert errors[0].expected
    assert errors[0].mend


def test_two_changes_on_one_day_keep_the_first(read):
    change = "[[volume_change]]\ndate = 2026-01-01\nlitres = {}\nhow = 'filled'\n"
    tank, (problem,) = read(V + change.format(3) + change.format(4))
    assert [c.volume_l for c in tank.volume_changes] == [3]
    assert (problem.kind, problem.line) == ("given twice", 8)


@pytest.mark.parametrize(
    ("text", "line", "mend"),
    [
        ("[volume]\nlitres = 34,2\n", 2, "a point, not a comma"),
        ("[volume]\nlitres = 1\nlitres = 2\n", 3, "twice"),
        ("[volume]\nhow = measured\n", 2, "between quotation marks"),
        ("[volume\n", 1, "mend this line"),
        ("[volume]\nlitres = 1\nhow = \n", 3, "mend this line"),
    ],
)
def test_a_line_that_is_not_a_setting(read, text, line, mend):
    tank, problems = read(text)
    assert tank.volume_l is None
    assert problems[0].kind == "settings not readable"
    assert problems[0].line == line
    assert mend in problems[0].mend


def test_unknown_settings_are_noted_with_the_nearest(read):
    tank, problems = read(V + "[plan]\nceilling_mg_l = 40\n[colour]\nblue = 1\n")
    assert tank.ceiling_mg_l is None
    assert [(p.level, p.kind, p.line) for p in problems] == [
        ("note", "unknown setting", 4),
        ("note", "unknown setting", 5),
    ]
    assert "did you mean ceiling_mg_l?" in problems[0].mend


def test_everything_is_told_in_one_pass(read):
    text = '[volume]\nlitres = 0\n[plan]\nmax_percent = 200\n[kit]\nchart = "x"\n'
    _, problems = read(text)
    assert [p.line for p in problems] == [2, 4, 6]


def test_the_name_falls_back_to_the_folder(read):
    assert read(V)[0].name == "quarry"


@pytest.mark.parametrize("text", ["", "# only a remark\n", 'name = "x"\n'])
def test_settings_without_a_volume_are_noted(read, text):
    tank, problems = read(text)
    assert tank.volume_l is None
    assert [(p.level, p.kind) for p in problems] == [("note", "no volume")]


def test_no_settings_at_all(tmp_path):
    tank, (problem,) = read_tank(tmp_path)
    assert tank.volume_l is None
    assert (problem.level, problem.kind) == ("error", "missing settings")
    assert str(tmp_path) not in problem.sentence()


def test_a_huge_file_is_refused(read):
    _, problems = read("#" * 300_000)
    assert [p.kind for p in problems] == ["too large"]


def test_bytes_that_are_not_utf8_name_their_line(read):
    _, (problem,) = read(b'name = "ok"\nname2 = "\xe9"\n')
    assert (problem.kind, problem.line) == ("encoding", 2)


def test_absurd_numbers_are_told(read):
    for absurd in ("9" * 5000, "[" * 5000, "1e999"):
        tank, problems = read(f"[volume]\nlitres = {absurd}\n")
        assert tank.volume_l is None
        assert problems[0].level == "error"
        assert len(problems[0].sentence()) < 400


@given(data=st.binary(max_size=80))
def test_any_bytes_give_a_tank_and_never_raise(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("t") / "tank.toml"
    path.write_bytes(data)
    tank, problems = read_tank(path, today=TODAY)
    assert isinstance(tank, Tank)
    assert all(p.sentence() for p in problems)


_KEYS = st.sampled_from(
    ["litres", "gallons", "how", "chart", "steps", "basis", "date", "top_up", "x"]
)
_VALUES = st.sampled_from(
    ["0", "-1", "1e999", "true", "nan", '""', '"NO3"', "[]", "[[]]", "{}", "2026-01-01"]
)
_NAMES = st.sampled_from(
    ["[volume]", "[kit]", "[drip]", "[[volume_change]]", "[[kit]]", "[plan]", ""]
)


@given(lines=st.lists(st.tuples(_NAMES, _KEYS, _VALUES), max_size=5))
def test_any_mixture_of_settings_never_raises(tmp_path_factory, lines):
    path = tmp_path_factory.mktemp("t") / "tank.toml"
    text = "".join(f"{name}\n{key} = {value}\n" for name, key, value in lines)
    path.write_text(text, encoding="utf-8")
    tank, _ = read_tank(path, today=TODAY)
    assert tank.volume_l is None or tank.volume_l > 0


# Common practice, no source: steps as printed on four common kinds of card.
def test_named_charts_rise():
    assert CHARTS["doubling"] == (0, 5, 10, 20, 40, 80, 160)
    for steps in CHARTS.values():
        assert list(steps) == sorted(set(steps))


def test_options_lay_over_settings():
    base = Tank(name="Quarry", volume_l=1, kit_resolution_mg_l=1, ceiling_mg_l=40)
    tank, problems = tank_from_options(
        base,
        volume="100 US gal",
        source_nitrate="10 mg/L NO3-N",
        kit_steps="0, 5, 10",
        drip="4 mL/min",
        same_day="After",
    )
    assert problems == ()
    assert tank.name == "Quarry"
    assert tank.volume_l == pytest.approx(378.5411784)
    assert tank.source_nitrate_mg_l == pytest.approx(44.27, abs=0.01)
    assert tank.kit_steps_mg_l == (0, 5, 10)
    assert tank.kit_resolution_mg_l is None
    assert tank.drip_l_day == pytest.approx(5.76)
    assert (tank.same_day, tank.ceiling_mg_l) == ("after", 40)


def test_no_options_change_nothing():
    base = Tank(volume_l=7, kit_steps_mg_l=(0, 5))
    assert tank_from_options(base) == (base, ())


def test_a_chart_by_name_and_a_number_as_float():
    tank, problems = tank_from_options(volume=342.0, kit_steps="Low-Range")
    assert problems == ()
    assert (tank.volume_l, tank.kit_steps_mg_l[1]) == (342, 0.5)


@pytest.mark.parametrize(
    ("options", "kind"),
    [
        ({"volume": "0"}, "out of range"),
        ({"volume": "-5"}, "out of range"),
        ({"volume": "lots"}, "not a number"),
        ({"volume": "nan"}, "not a number"),
        ({"volume": "75 gal"}, "which gallon"),
        ({"volume": "75 buckets"}, "unknown unit"),
        ({"source_nitrate": "-1"}, "out of range"),
        ({"source_nitrate": "5 ppt"}, "unknown unit"),
        ({"kit_steps": "5,0"}, "steps not rising"),
        ({"kit_steps": "5,,10"}, "steps not rising"),
        ({"kit_steps": "rainbow"}, "steps not rising"),
        ({"kit_resolution": "0"}, "out of range"),
        ({"kit_steps": "0,5", "kit_resolution": "1"}, "given twice"),
        ({"drip": "20 drops/min"}, "unknown unit"),
        ({"same_day": "noon"}, "unknown word"),
        ({"ceiling": "0"}, "out of range"),
    ],
)
def test_an_option_that_cannot_be_used(options, kind):
    tank, (problem,) = tank_from_options(**options)
    assert tank == Tank()
    assert (problem.level, problem.kind, problem.file) == (
        "error",
        kind,
        "command line",
    )


def test_all_wrong_options_in_one_pass():
    _, problems = tank_from_options(volume="0", ceiling="0", same_day="x")
    assert len(problems) == 3
