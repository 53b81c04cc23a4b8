"""What the keeper says of warmth, time and prices, from the settings file on."""

from __future__ import annotations

import pytest

from kit.logbook import Tank
from kit.schedule.line import Terms, terms_of
from kit.settings import read_tank

TEXT = """
[volume]
litres = 342
[costs]
currency = "EUR"
water_per_m3 = 4
minutes_per_exchange = 15
minutes_per_bucket = 2
bucket_litres = 12
[temperature]
tank_f = 77
new_water_c = 13
"""


def read(tmp_path, text):
    (tmp_path / "tank.toml").write_text(text, encoding="utf-8")
    return read_tank(tmp_path)


def test_settings_become_terms(tmp_path):
    tank, problems = read(tmp_path, TEXT)
    assert problems == ()
    terms = terms_of(tank)
    # 77 °F is 25 °C, by the definition of the scale.
    assert (terms.tank_c, terms.new_c) == (pytest.approx(25.0), 13.0)
    assert (terms.minutes_exchange, terms.minutes_bucket) == (15.0, 2.0)
    assert (terms.bucket_l, terms.tariff.water_per_m3) == (12.0, 4.0)
    # 137 L are 12 buckets of 12 L: 15 and 24 minutes.
    assert terms.minutes_for(137.0) == 39.0


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("tank_c = 25\nnew_water_c = 13\ntank_f = 77", "given twice"),
        ("tank_c = 77", "out of range"),
        ('tank_c = "warm"', "wrong type"),
        ("new_water_f = 10", "out of range"),
        ("tap_c = 12", "unknown setting"),
    ],
)
def test_impossible_warmth_is_told_with_its_line(tmp_path, line, kind):
    tank, problems = read(tmp_path, "[volume]\nlitres = 9\n[temperature]\n" + line)
    assert [p.kind for p in problems] == [kind]
    assert problems[0].line in {4, 6}
    assert None in (tank.tank_c, tank.new_water_c)


def test_minutes_out_of_range_are_told(tmp_path):
    text = "[volume]\nlitres = 9\n[costs]\nminutes_per_exchange = 2000"
    _, problems = read(tmp_path, text + "\nbucket_litres = 0")
    assert [p.kind for p in problems] == ["out of range", "out of range"]


def test_a_tank_that_states_nothing():
    assert terms_of(Tank()) == Terms()
    assert not Terms().time_known
    assert not Terms().warmth_known
