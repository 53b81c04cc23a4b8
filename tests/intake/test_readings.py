"""Cells alone: readings, bands, numbers, amounts, days."""

from __future__ import annotations

import datetime as dt
import math
from itertools import pairwise

import molmass
import pytest

from kit.bands import band, bands
from kit.basis import NITRATE_PER_N
from kit.intake import rules_page
from kit.intake.amounts import Amount, Yes, read_amount
from kit.intake.cells import RULES
from kit.intake.columns import columns_of
from kit.intake.datetext import BadDate, FixedDay, read_date, read_time
from kit.intake.gallons import litres_factor
from kit.intake.headers import split_header
from kit.numerals import NumberStyle, TwoNumbers, number_style, read_number
from kit.reading import Reading, Unreadable, read_nitrate
from kit.structure import Table

POINT = NumberStyle()


@pytest.mark.parametrize(
    ("text", "low", "high", "value"),
    [
        ("20", 20, None, 20),
        ("<5", 0, 5, None),
        ("< 5", 0, 5, None),
        ("≤5", 0, 5, None),
        ("under 5", 0, 5, None),
        ("5 or less", 0, 5, None),
        ("0-5", 0, 5, None),
        ("5-10", 5, 10, None),
        ("5–10", 5, 10, None),
        ("10/20", 10, 20, None),
        ("10 to 20", 10, 20, None),
        ("between 10 and 20", 10, 20, None),
        (">160", 160, None, None),
        ("160+", 160, None, None),
        ("20 ppm", 20, None, 20),
        ("20mg/l", 20, None, 20),
        ("5-10 mg/L", 5, 10, None),
        ("12,5", 12.5, None, 12.5),
        ("\uff12\uff10", 20, None, 20),
        ("\u00a020\u2009", 20, None, 20),
        ("'20", 20, None, 20),
        ("1.2E+01", 12, None, 12),
    ],
)
def test_reading(
    text: str, low: float, high: float | None, value: float | None
) -> None:
    read = read_nitrate(text)
    assert isinstance(read, Reading)
    assert (read.low, read.high, read.value) == (low, high, value)
    assert not read.doubtful
    assert read.raw == text


@pytest.mark.parametrize(
    "text",
    ["~20", "20?", "ca. 20", "about 20", "20 ppm?", "20ish", "approx. 20", "?20"],
)
def test_doubtful_reading(text: str) -> None:
    read = read_nitrate(text)
    assert isinstance(read, Reading)
    assert (read.value, read.doubtful) == (20, True)


@pytest.mark.parametrize("text", ["", " ", "-", "n/a", "NaN", "--", "not tested"])
def test_no_reading(text: str) -> None:
    assert read_nitrate(text) is None


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("nd", "not detected"),
        ("N.D.", "not detected"),
        ("Trace", "trace"),
        ("0", "zero"),
    ],
)
def test_nothing_seen_needs_the_kit(text: str, kind: str) -> None:
    read = read_nitrate(text)
    assert isinstance(read, Reading)
    assert read.kind == kind
    assert read.needs_kit


@pytest.mark.parametrize(
    ("text", "kind", "offer"),
    [
        ("2O", "not a reading", "did you mean 20?"),
        ("4o", "not a reading", "did you mean 40?"),
        ("l0", "not a reading", "did you mean 10?"),
        ("abc", "not a reading", ""),
        ("\u22125", "negative value", ""),
        ("-5", "negative value", ""),
        ("10-5", "range the wrong way round", ""),
        ("10-May", "range turned into a date", "5-10"),
        ("#REF!", "formula result lost", ""),
        ("#DIV/0!", "formula result lost", ""),
        ("=A1*2", "formula instead of a value", ""),
        ("<0", "nothing below zero", ""),
        ("inf", "not a reading", ""),
        ("1_000", "not a reading", ""),
        ("\u0661\u0662", "not a reading", ""),
        ("20 pH", "not a reading", ""),
        ("12.5.2", "not a reading", ""),
    ],
)
def test_unreadable(text: str, kind: str, offer: str) -> None:
    read = read_nitrate(text)
    assert isinstance(read, Unreadable)
    assert read.kind == kind
    assert offer in read.mend


def test_nitrogen_in_the_cell() -> None:
    # Molar masses of molmass, from the IUPAC/CIAAW standard atomic weights.
    factor = molmass.Formula("NO3").mass / molmass.Formula("N").mass
    read = read_nitrate("5 mg/L NO3-N")
    assert isinstance(read, Reading)
    assert read.unit is not None
    assert read.unit.factor == pytest.approx(factor, abs=2e-4)
    assert pytest.approx(factor, abs=2e-4) == NITRATE_PER_N


def test_gallons() -> None:
    # NIST Handbook 44, appendix C: the US gallon is 231 cubic inches of 2.54 cm;
    # the imperial gallon is 4.546 09 L by definition.
    assert litres_factor("US gallon") == pytest.approx(231 * 2.54**3 / 1000, rel=1e-12)
    assert litres_factor("imperial gallon") == 4.54609


def test_bands_of_a_doubling_chart() -> None:
    # Edges worked by hand: half of 5; square roots of 50, 200, 800, 3200, 12800.
    edges = [2.5, 7.0711, 14.1421, 28.2843, 56.5685, 113.1371]
    found = bands([0, 5, 10, 20, 40, 80, 160])
    assert [b[0] for b in found] == pytest.approx([0, *edges], abs=1e-4)
    assert [b[1] for b in found[:-1]] == pytest.approx(edges, abs=1e-4)
    assert found[-1][1] is None


def test_bands_leave_no_gap_and_hold_their_step() -> None:
    for steps in ([0, 0.5, 1, 2, 5], [0, 10, 25, 50, 100, 250], [2, 5, 10]):
        found = bands(steps)
        assert found[0][0] == 0
        for (_, high), (low, _) in pairwise(found):
            assert high == low
        for step, (low, high) in zip(steps, found, strict=True):
            assert low <= step < (math.inf if high is None else high)


def test_band_of_a_number_no_step_shows() -> None:
    assert band(7, [0, 5, 10]) == (5, 10)
    assert band(200, [0, 5, 160]) == (160, None)
    assert band(1, [2, 5]) == (0, 2)
    assert band(0.2, resolution_mg_l=1) == (0, 0.7)
    assert band(7) == (7, 7)


@pytest.mark.parametrize(
    ("text", "value"),
    [("12.5", 12.5), ("12,5", 12.5), ("0,125", 0.125), ("1,234.5", 1234.5),
     ("1.234,5", 1234.5), ("1 000", 1000), ("1,000,000", 1e6), (".5", 0.5)],
)  # fmt: skip
def test_number(text: str, value: float) -> None:
    assert read_number(text, POINT) == value


def test_number_that_is_two() -> None:
    assert read_number("1,000", POINT) == TwoNumbers(1.0, 1000.0)
    assert read_number("1,000", NumberStyle(comma=True)) == 1.0
    assert read_number("1.000", NumberStyle(comma=True)) == TwoNumbers(1.0, 1000.0)
    assert number_style(["1,000", "12,5", "1,234.5"]).clashes
    assert read_number("12,5", number_style(["12,5", "1,234.5"])) == TwoNumbers(
        12.5, 125
    )


@pytest.mark.parametrize(
    ("text", "number", "measure"),
    [("25 %", 25, "percent"), ("25%", 25, "percent"), ("40 L", 40, "volume"),
     ("a third", 100 / 3, "percent"), ("1/3", 100 / 3, "percent"),
     ("\u00bd", 50, "percent"), ("about a quarter", 25, "percent"), ("25", 25, None),
     ("0.5 g", 0.5, "mass"), ("2 pinches", 2, "mass"), ("1/2 pinch", 0.5, "mass")],
)  # fmt: skip
def test_amount(text: str, number: float, measure: str | None) -> None:
    read = read_amount(text, POINT, shares=True)
    assert isinstance(read, Amount)
    assert read.number == pytest.approx(number)
    assert (read.unit.measure if read.unit else None) == measure


def test_yes_no_and_nonsense() -> None:
    assert [type(read_amount(t, POINT)) for t in ("yes", "x", "✓")] == [Yes] * 3
    assert [read_amount(t, POINT) for t in ("no", "", "-")] == [None] * 3
    for text in ("2O", "-5", "20-30", "2 buckets", "#REF!", "=1", "red"):
        assert isinstance(read_amount(text, POINT), Unreadable), text


@pytest.mark.parametrize(
    ("text", "day"),
    [("2026-04-03", (2026, 4, 3)), ("2026/4/3", (2026, 4, 3)),
     ("20260403", (2026, 4, 3)), ("3 Apr 2026", (2026, 4, 3)),
     ("Apr 3, 2026", (2026, 4, 3)), ("3rd of April 2026", (2026, 4, 3)),
     ("Fri 3-Apr-26", (2026, 4, 3)), ("3. April 2026", (2026, 4, 3)),
     ("46115", (2026, 4, 3)), ("3 mars 2026", (2026, 3, 3))],
)  # fmt: skip
def test_day_that_is_one_by_itself(text: str, day: tuple[int, int, int]) -> None:
    read = read_date(text)
    assert not isinstance(read, BadDate)
    assert isinstance(read.day, FixedDay)
    assert read.day.day == dt.date(*day)


def test_spreadsheet_day_count() -> None:
    # 2000-01-01 is day 36526 of the 1900 count, in every maker's documentation of
    # the date functions; from memory.
    read = read_date("36526")
    assert not isinstance(read, BadDate)
    assert isinstance(read.day, FixedDay)
    assert read.day.day == dt.date(2000, 1, 1)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("2026-02-30", "impossible date"), ("31/04/2026", "impossible date"),
     ("13/13/2026", "impossible date"), ("yesterday", "not a date"),
     ("today", "not a date"), ("10:00", "not a date"), ("3/4", "year missing"),
     ("5 May", "year missing"), ("May 2026", "day missing"), ("####", "date lost"),
     ("2O26-04-03", "not a date"), ("12345", "not a date"), ("", "not a date")],
)  # fmt: skip
def test_no_day(text: str, kind: str) -> None:
    read = read_date(text)
    assert isinstance(read, BadDate)
    assert read.kind == kind


@pytest.mark.parametrize(
    ("text", "time"),
    [("18:30", (18, 30)), ("6:30 pm", (18, 30)), ("12:15 am", (0, 15)), ("7am", (7, 0)),
     ("18.30", (18, 30)), ("1830", (18, 30)), ("0.75", (18, 0)), ("18h30", (18, 30))],
)  # fmt: skip
def test_time(text: str, time: tuple[int, int]) -> None:
    assert read_time(text) == dt.time(*time)


@pytest.mark.parametrize("text", ["24:00", "25:00", "evening", "13:00 pm", "18:75"])
def test_no_time(text: str) -> None:
    assert read_time(text) is None


ROLES = [
    ("Date", "date", None),
    ("Datum", "date", None),
    ("NO3 (ppm)", "nitrate", "nitrate"),
    ("Nitrate mg/L", "nitrate", "nitrate"),
    ("nitrate_mg_l", "nitrate", "nitrate"),
    ("Nitrate, ppm", "nitrate", "nitrate"),
    ("NO\u2083\u207b [mg/L]", "nitrate", "nitrate"),
    ("Nitrate level (test result)", "nitrate", None),
    ("Tap NO3", "source nitrate", None),
    ("Nitrate (tap water)", "source nitrate", None),
    ("WC %", "exchange", "percent"),
    ("% changed", "exchange", "percent"),
    ("Water change (gal)", "exchange", "volume"),
    ("changed litres", "exchange", "volume"),
    ("Litres changed", "exchange", "volume"),
    ("exchanged (fraction)", "exchange", "fraction"),
    ("Wtr chg L", "exchange", "volume"),
    ("Feed g", "feed", "mass"),
    ("Food (g/day)", "feed", "mass"),
    ("pinches", "pinches", None),
    ("Tank (L)", "tank volume", "volume"),
    ("Tank size", "tank volume", None),
    ("Tank", "tank name", None),
    ("drip (L/day)", "drip", "flow"),
    ("Remarks", "note", None),
    ("Notes / remarks", "note", None),
    ("Gallons out", "exchange", "volume"),
    ("Water change (L or %)", "exchange", None),
    ("Water change (Y/N)", "exchange", None),
    ("Water change (20 %)", "exchange", None),
    ("Water change (buckets)", "exchange", None),
    ("Water change (top up)", "unknown", None),
    ("Food (cubes)", "feed", None),
    ("Nitrate/ppm", "nitrate", "nitrate"),
    ("NO3 (ppm) - strip", "nitrate", "nitrate"),
    ("Nitrate (mg/L) (strip)", "nitrate", "nitrate"),
    ("Tank water nitrate", "nitrate", None),
    ("percent", "which?", "percent"),
    ("Volume (L)", "which?", "volume"),
    ("Backwash (L)", "exchange", "volume"),
    ("NO2 (ppm)", "unknown", "nitrate"),
    ("Nitrite", "unknown", None),
    ("Ammonia (ppm)", "unknown", "nitrate"),
    ("pH", "unknown", None),
    ("Temperature (C)", "unknown", None),
]


@pytest.mark.parametrize(("header", "role", "measure"), ROLES)
def test_header(header: str, role: str, measure: str | None) -> None:
    (column,) = columns_of(Table((header,), 1, ()), "wide")
    assert (column.role, column.measure) == (role, measure)
    assert column.header == header


@pytest.mark.parametrize(
    ("header", "basis"),
    [("nitrate (mg/L NO3)", "NO3"), ("Nitrate (mg/l as NO3)", "NO3"),
     ("NO3-N (mg/L)", "NO3-N"), ("Nitrate (as N)", "NO3-N"),
     ("Nitrate nitrogen, ppm", "NO3-N"), ("Nitrate-N", "NO3-N"),
     ("NO3 mg/L (as N)", "NO3-N"), ("NO3 (mg/L)", None), ("Nitrate ppm", None)],
)  # fmt: skip
def test_basis_of_a_header(header: str, basis: str | None) -> None:
    _, unit = split_header(header)
    assert unit is not None
    assert unit.nitrate is not None
    assert unit.nitrate.basis == basis


def test_what_a_file_holds_decides_bare_headers() -> None:
    table = Table(("date", "amount", "kind"), 1, ())
    assert [c.role for c in columns_of(table, "exchanges")][1:] == [
        "exchange",
        "exchange kind",
    ]
    assert [c.role for c in columns_of(table, "feedings")][1:] == ["feed", "food kind"]
    assert [c.role for c in columns_of(table, "wide")][1:] == ["which?", "unknown"]


def test_rules_page_names_every_rule() -> None:
    page = rules_page()
    for rule in RULES.values():
        assert rule.expected in page
        assert rule.mend in page
