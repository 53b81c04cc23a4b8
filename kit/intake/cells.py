"""What a cell of each kind may hold, as a plain table.

The loader takes its limits and its sentences from here, and `rules_page` prints the
same table as the page that tells a keeper what is accepted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from kit.intake.vocabulary import NAMES, STANDARD_NAMES

__all__ = ["FEED_LIMIT_G_L", "RULES", "Rule", "rules_page"]


@dataclass(frozen=True, slots=True)
class Rule:
    """One kind of cell.

    Parameters
    ----------
    title : str
        What the cell is, for a keeper.
    expected : str
        What is accepted, with an example.
    mend : str
        What to do when it is not.
    low, high : float or None
        Limits of the value inside the kit; None is open. [unit]
    unit : str
        Fixed unit of the limits.
    taken : tuple of str
        Further spellings that are taken, for the page.
    asked : tuple of str
        What is asked about instead of guessed.
    """

    title: str
    expected: str
    mend: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    taken: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


_NITRATE: Final = 'a reading from 0 to 500 mg/L as NO3, such as 20, "<5" or "5-10"'

RULES: Final[Mapping[str, Rule]] = MappingProxyType(
    {
        "date": Rule(
            "day",
            'a day such as "2026-04-03" or "3 Apr 2026", from 1950 up to today',
            "write the day as year-month-day",
            taken=(
                "03/04/2026 once another cell of the column proves the order",
                "3.4.26 with a two-digit year, read as 20yy",
                "a spreadsheet's count of days such as 46115",
                "a time after the day; the wall clock is kept as written",
            ),
            asked=(
                "the order of day and month, when no cell proves it",
                "the day of a row left blank under another",
            ),
        ),
        "time": Rule(
            "time of day",
            'a time such as "18:30" or "6:30 pm"',
            "write hours and minutes, or leave the cell empty",
        ),
        "nitrate": Rule(
            "nitrate of the tank",
            _NITRATE,
            "write the reading",
            0.0,
            500.0,
            "mg/L as NO3",
            taken=(
                '"<5", "under 5", ">160", "160+": a bound',
                '"5-10", "10/20", "10 to 20": everything between',
                '"~20", "20?", "ca. 20": the value, marked as doubtful',
                '"20 ppm", "5 mg/L NO3-N": the cell\'s own unit',
                '"12,5": a decimal comma, noted',
                'blank, "n/a", "-": no reading',
            ),
            asked=(
                '"nd", "trace" and 0, when the kit\'s lowest step is not in tank.toml',
                "1,000, which is one or one thousand",
                "a jump of about 4.43 times, the step from NO3-N to NO3",
                "one reading ten times its neighbours, or a tenth",
            ),
        ),
        "source nitrate": Rule(
            "nitrate of the new water",
            _NITRATE,
            "write the reading",
            0.0,
            500.0,
            "mg/L as NO3",
        ),
        "known": Rule(
            "known nitrate of a standard solution",
            "one number from 0 to 500 mg/L as NO3, such as 25",
            "write the strength the solution was made up to",
            0.0,
            500.0,
            "mg/L as NO3",
            taken=("0: pure water, to see what the kit shows of nothing",),
            asked=(
                "a reading about 4.43 times the known strength, or that part of it",
            ),
        ),
        "percent": Rule(
            "exchange as a share",
            'a share from 0 to 100 %, such as "25 %" or "a third"',
            "write the percent of the tank's water that was exchanged",
            0.0,
            100.0,
            "%",
            taken=('"half", "1/3", "a quarter": the share, marked as approximate',),
            asked=(
                "values up to 1 in a percent column: percent or parts of one",
                '"yes" or "x": how large the usual exchange is',
                "percent and litres that differ by more than 2 points",
            ),
        ),
        "volume": Rule(
            "exchange as a volume",
            'a volume up to the tank\'s own, such as "40 L" or "10 US gal"',
            "write the litres exchanged",
            0.0,
            None,
            "L",
            asked=("gallons that do not say US or imperial",),
        ),
        "tank volume": Rule(
            "water volume of the tank",
            'a volume above 0, such as "120 L"',
            "write the litres of water in the tank",
            0.0,
            10_000_000.0,
            "L",
        ),
        "feed": Rule(
            "food",
            'a weight such as "0.5 g" or "2 pinches", at most 10 g for 100 L',
            "write the grams of food",
            0.0,
            100_000.0,
            "g",
            asked=("what a pinch weighs, when it is not in tank.toml",),
        ),
        "drip": Rule(
            "drip",
            'a flow such as "20 L/day" or "14 mL/min"',
            "write the litres in a day",
            0.0,
            1_000_000.0,
            "L/day",
        ),
        "exchange kind": Rule(
            "kind of exchange",
            '"batch", "drip change" or "backwash"',
            "write one of the three",
        ),
    }
)
"""One rule for each kind of cell."""

FEED_LIMIT_G_L: Final = 0.1
"""Most food a day that is taken without doubt. [g/L]"""


def _names_of(role: str, limit: int = 12) -> str:
    """List some of the column names that are understood."""
    table = STANDARD_NAMES if role == "known" else NAMES
    return ", ".join([n for n, r in table.items() if r == role][:limit])


def rules_page() -> str:
    """Print what is accepted in a logbook, from the table that checks it.

    Returns
    -------
    str
        Markdown: one section for each kind of cell.
    """
    parts = ["# What a logbook may hold", ""]
    for role, rule in RULES.items():
        parts += [f"## {rule.title[0].upper()}{rule.title[1:]}", ""]
        parts += [f"Expected: {rule.expected}. To mend: {rule.mend}.", ""]
        if names := _names_of("exchange" if role in {"percent", "volume"} else role):
            parts += [f"Column names, among others: {names}.", ""]
        parts += [f"- Taken: {line}" for line in rule.taken]
        parts += [f"- Asked: {line}" for line in rule.asked]
        parts += [""] if rule.taken or rule.asked else []
    return "\n".join(parts)
