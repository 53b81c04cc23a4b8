"""Sentences on which test next, and on how soon a change would be seen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from kit.ahead._advice import NextTests
from kit.ahead._candidates import UNKNOWN_SOURCE_MG_L, Candidate
from kit.ahead._power import Power
from kit.ahead._say import in_100
from kit.ahead._worth import Worth
from kit.rounding import plain

__all__ = [
    "candidate_words",
    "next_test_sentences",
    "power_rows",
    "power_sentences",
    "width_words",
]

_LITTLE: Final = 0.03
"""A narrowing of less than this part is not worth naming. [-]"""


def candidate_words(test: Candidate) -> str:
    """Name a test in plain words.

    Parameters
    ----------
    test : Candidate
        From `kit.ahead.next_tests`.

    Returns
    -------
    str
        Such as ``"2026-09-16, between exchanges"``.
    """
    if test.what == "new water":
        return "the new water, any day"
    if test.what == "standard":
        return f"a standard of {plain(test.level_mg_l)} mg/L NO3, any day"
    where = {
        "before": "just before the exchange",
        "after": "just after the exchange",
        "between": "between exchanges",
    }[test.place]
    trick = ", sample diluted 2 + 1 and the reading times 1.5" * (test.times > 1.0)
    return f"{test.day.isoformat()}, {where}{trick}"


def width_words(value: float) -> str:
    """Write the width of a band to two figures."""
    if not math.isfinite(value) or value <= 0.0:
        return plain(value)
    return plain(value, max(1 - math.floor(math.log10(value)), 0))


def next_test_sentences(found: NextTests) -> tuple[str, ...]:
    """Say what to test next, the verdict first.

    Parameters
    ----------
    found : NextTests
        From `kit.ahead.next_tests`.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    advice = found.advice
    best = advice.ranked[0]
    if advice.calendar and advice.calendar[0].tests == best.tests:
        # The same figure as in the calendar, whose widths come from its own trials.
        best = advice.calendar[0]
    out = [_best(found, best)]
    if advice.calendar:
        last = advice.calendar[-1]
        n = len(last.tests)
        out.append(
            f"{_count(n)} from the calendar together: the band would shrink from "
            f"{_bare(found, advice.now)} to {_widths(found, last)} wide, on average."
        )
    out += _source(found)
    out += _kit(found)
    return tuple(out)


def _count(n: int) -> str:
    return "The one test" if n == 1 else f"The {n} tests"


def _bare(found: NextTests, worth: Worth) -> str:
    """Width of what is to be narrowed, without its unit."""
    return width_words(worth.peak_width if found.by_peak else worth.rate_width)


def _widths(found: NextTests, worth: Worth) -> str:
    """Width of what is to be narrowed, with its unit."""
    return f"{_bare(found, worth)} {'mg/L' if found.by_peak else 'mg/L a day'}"


def _part(found: NextTests, worth: Worth) -> float:
    """Part by which a test narrows the band. [-]."""
    now = found.advice.now
    if found.by_peak:
        return 1.0 - worth.peak_width / now.peak_width
    return 1.0 - worth.rate_width / now.rate_width


def _best(found: NextTests, best: Worth) -> str:
    """Name the best single test."""
    named = candidate_words(best.tests[0])
    what = "the usual peak" if found.by_peak else "the daily rise"
    now, left = _bare(found, found.advice.now), _widths(found, best)
    if _part(found, best) < _LITTLE:
        return (
            f"No single test of these weeks tells much more: the best one ({named}) "
            f"would narrow the 95 % band of {what} from {now} to {left}. Only more "
            "weeks do."
        )
    return (
        f"Best next test: {named}. It would narrow the 95 % band of {what} from {now} "
        f"to {left} wide, on average."
    )


def _of(found: NextTests, what: str) -> Worth | None:
    """The test of one sort, by itself."""
    for worth in found.advice.ranked:
        if worth.tests[0].what == what:
            return worth
    return None


def _source(found: NextTests) -> list[str]:
    """Say what was supposed of new water never tested."""
    if found.source_known:
        return []
    low, high = UNKNOWN_SOURCE_MG_L
    return [
        "The new water was never tested. It was counted as anything from "
        f"{low:.0f} to {high:.0f} mg/L, the EU limit for drinking water "
        "(figure from memory), which widens the band."
    ]


def _kit(found: NextTests) -> list[str]:
    """Say what a standard would do."""
    worth = _of(found, "standard")
    if found.kit_bias == 0.0 or worth is None:
        return [
            "The kit itself is taken as right. A check against a standard narrows "
            "nothing then; count the kit as unsure to see what it is worth."
        ]
    level = plain(worth.tests[0].level_mg_l)
    return [
        f"The kit is counted as up to {100 * found.kit_bias:.0f} % off either way "
        "(common practice, no source; about two kits in three lie within it). A check "
        f"against a standard of {level} mg/L NO3 would leave {_widths(found, worth)}."
    ]


def power_sentences(
    rows: Sequence[Sequence[Power]],
    change: float,
    usual: str,
    *,
    every: int = 1,
    weeks: float = 4.0,
) -> tuple[str, ...]:
    """Say how soon a change would be seen, the verdict first.

    Parameters
    ----------
    rows : sequence of sequence of Power
        One line for each way of testing, from `kit.ahead.power`.
    change : float
        The change as a part of the rate. [-]
    usual : str
        Name of the way the keeper tests now.
    every : int, optional
        At every how manieth exchange tests are made.
    weeks : float, optional
        Weeks after the change that the verdict is for. [week]

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    step = f"{100 * abs(change):.0f} % {'more' if change > 0 else 'less'}"
    out = [
        f"With {_way(line, usual)}, {step} nitrate a day would be seen within "
        f"{plain(weeks)} weeks with a chance of {_at(line, weeks)}."
        for line in sorted(rows, key=lambda line: line[0].way.name != usual)
    ]
    if every > 1:
        out.append(f"Tests are made at one exchange in {every}, as in the log.")
    error = max(p.error for line in rows for p in line)
    out.append(
        "Seen means: so far off that an unchanged tank looks like it 1 time in 20 at "
        "most. The figures come from made-up logs of "
        f"this tank, and each is sure to about {200 * error:.0f} in 100."
    )
    return tuple(out)


def power_rows(
    rows: Sequence[Sequence[Power]], usual: str
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Give the chances as a table of words.

    Parameters
    ----------
    rows, usual : sequence of sequence of Power, str
        As for `power_sentences`.

    Returns
    -------
    tuple of str
        Heads of the columns.
    tuple of tuple of str
        One line for each way of testing.
    """
    heads = ("Way of testing", *(f"{plain(p.weeks)} weeks" for p in rows[0]))
    lines = tuple(
        (_first_up(_way(line, usual)), *(_short(p.chance) for p in line))
        for line in rows
    )
    return heads, lines


def _short(chance: float) -> str:
    """Write a chance in 100 for a table."""
    return in_100(chance).removeprefix("about ").removesuffix(" in 100")


def _first_up(text: str) -> str:
    return text[0].upper() + text[1:]


def _at(line: Sequence[Power], weeks: float) -> str:
    """Chance at the weeks nearest to those asked for."""
    return in_100(min(line, key=lambda p: abs(p.weeks - weeks)).chance)


def _way(line: Sequence[Power], usual: str) -> str:
    """Name a way of testing, and whether it is the present one."""
    name = line[0].way.name
    return f"{name} (as now)" if name == usual else name
