"""Whole sentences, pinned; each number in them is recomputed here by hand."""

from dataclasses import replace

import numpy as np
import pytest

from kit import words
from kit.findings import Problem
from kit.logbook import Logbook, Tank
from kit.plan import plan
from kit.sawtooth import Habit

WEEKLY = Habit(200.0, 0.25, 7.0, source_mg_l=10.0)
RATES = np.linspace(0.8, 1.2, 1001)


def said(habit, rate=1.0, rates=RATES, **more):
    options = {k: more.pop(k) for k in ("source_known", "litres_known", "output")
               if k in more}  # fmt: skip
    return words.plan_sentences(plan(habit, rate, rates, **more), **options)


# 10 + 1 x 7/0.25 = 38, less 7 = 31, mean 34.5 (a half goes to the even number);
# rates 0.81 to 1.19 make 33 to 43.
def test_a_plan_verdict_first():
    first, ceiling, pace, water = said(WEEKLY, ceiling_mg_l=40.0)
    assert first == (
        "25 % (50 L) every 7 days settles with peaks of 38 mg/L (33 to 43) just before "
        "an exchange, 31 mg/L (27 to 35) just after, 34 mg/L (30 to 39) on average."
    )
    # Peaks up to 40 need g up to 30/28 = 1.0714: (1.0714 - 0.8)/0.4 = 68 in 100.
    assert ceiling == (
        "That is under your ceiling of 40 mg/L; the chance that the usual peak stays "
        "under it is about 68 in 100, as far as this log can tell. Single peaks "
        "lie above and below the usual one."
    )
    # ln 0.05/ln 0.75 = 10.4, so 11 exchanges of 7 days.
    assert pace == (
        "After a change of habit 95 % of the way takes 11 exchanges, 77 days; a test "
        "before that cannot judge it."
    )
    # 50 L x 30.4375/7 = 217 L.
    assert water == "It uses 217 L of new water a month."


def test_the_readers_own_units():
    first, *_, water = said(WEEKLY, output="us")
    # 50 L is 13.2 US gal (NIST Handbook 44), 217 L is 57.3.
    assert first.startswith("25 % (13.2 US gal) every 7 days")
    assert water == "It uses 57.3 US gal of new water a month."


def test_without_a_volume_no_litres_are_named():
    text = " ".join(said(WEEKLY, litres_known=False))
    assert " L" not in text
    assert "month" not in text


def test_a_drip_alone():
    habit = replace(WEEKLY, fraction=0.0, drip_l_day=20.0, evaporation_l_day=5.0)
    # Settles at (200 + 20 x 10)/15 = 26.7.
    assert said(habit)[0] == (
        "A drip of 20 L a day less 5 L evaporated settles at 27 mg/L (24 to 29)."
    )


def test_nothing_that_holds_the_level():
    assert said(replace(WEEKLY, fraction=0.0)) == (
        "No exchange: nothing holds the level and it climbs without end at this rate.",
    )


def test_an_untested_source_is_said():
    assert "never tested and is taken as 0" in said(WEEKLY, source_known=False)[-1]


def test_above_and_at_the_ceiling():
    assert said(WEEKLY, ceiling_mg_l=20.0)[1].startswith("That is above your ceiling")
    assert said(WEEKLY, ceiling_mg_l=38.0)[1].startswith("That meets your ceiling")


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ([], ()),
        (
            ["note"],
            ("1 remark was made on how the log was read; the check lists it.",),
        ),
        (["error"], ("1 cell or row is in error and was left out.",)),
        (
            ["error", "error", "question"],
            (
                "2 cells or rows are in error and were left out.",
                "1 question is open; what it concerns is held back until answered. "
                "The check lists it.",
            ),
        ),
    ],
)
def test_what_was_not_used(levels, expected):
    problems = tuple(Problem(lv, "kind", "a.csv", "x", "y", "z") for lv in levels)
    assert words.log_sentences(Logbook(Tank(), problems=problems)) == expected


def test_a_falling_tank_peaks_just_after_an_exchange():
    first = said(WEEKLY, rate=-2.0, rates=RATES - 3.0)[0]
    assert "10 mg/L" not in first.split("just after")[1]
    assert "just after an exchange, 0 mg/L" in first


def test_a_level_that_stays_is_said_to_stay():
    habit = replace(WEEKLY, fraction=0.0)
    assert words.plan_sentences(plan(habit, 0.0)) == (
        "No exchange: nothing comes in or leaves, so the level stays as it is.",
    )
