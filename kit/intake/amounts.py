"""Amounts of water and food as people write them: numbers, shares, words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from kit.celltext import (
    has_odd_digit,
    is_blank,
    is_formula,
    is_lost_formula,
    words,
)
from kit.doubt import doubt_stripped, looks_like
from kit.intake.headers import Unit, parse_unit
from kit.numerals import NumberStyle, TwoNumbers, read_number
from kit.reading import Unreadable
from kit.units import refusal

__all__ = ["PINCH_UNIT", "Amount", "TwoAmounts", "Yes", "read_amount"]

_YES: Final = frozenset(
    [
        "yes",
        "y",
        "x",
        "xx",
        "✓",
        "✔",
        "☑",
        "true",
        "done",
        "wc",
        "ok",
        "ja",
        "oui",
        "si",
        "sí",
        "changed",
        "full",
        "usual",
        "normal",
    ]
) | {"as usual", "water change", "the usual"}
_NO: Final = frozenset(
    ["no", "n", "none", "false", "nein", "non", "nothing", "fasted", "fast", "skip"]
) | {
    "not done",
    "not fed",
    "fast day",
}
_SHARES: Final[Mapping[str, float]] = MappingProxyType(
    {
        "half": 1 / 2,
        "third": 1 / 3,
        "quarter": 1 / 4,
        "fifth": 1 / 5,
        "tenth": 1 / 10,
        "two thirds": 2 / 3,
        "two-thirds": 2 / 3,
        "three quarters": 3 / 4,
        "three-quarters": 3 / 4,
        "two fifths": 2 / 5,
    }
)
_SHARE: Final = re.compile(r"(?:an? |one |one-)?([a-z -]{4,20}?)(?: of (?:the )?tank)?")
_RATIO: Final = re.compile(r"([1-9][0-9]?) ?/ ?([1-9][0-9]?)(?: of (?:the )?tank)?")
_WITH_UNIT: Final = re.compile(
    r"([1-9]/[1-9]|[0-9.,]{1,20}(?: [0-9]{3}){0,2}|an?|one|two|three|four) ?"
    r"([^0-9].{0,40})"
)
_FRACTION: Final = re.compile(r"[¼½¾⅓⅔⅕⅖⅗⅘](?: ?[A-Za-z]{1,20}){0,4}")
_SMALL: Final = {"a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0}
_RANGE: Final = re.compile(
    r"[0-9.,]{1,12} ?%? ?(?:-|to|or|\.\.) ?[0-9.,]{1,12} ?.{0,12}"
)
_NEGATIVE: Final = re.compile(r"- ?[0-9.,]{1,20} ?.{0,20}")
_LEADING_PERCENT: Final = re.compile(r"% ?([0-9.,]{1,20})")
_PINCH: Final = re.compile(r"(?:(?:small|big|large|good) )?pinch(?:es)?")
_PERCENT: Final = Unit("%", "percent")
PINCH_UNIT: Final = Unit("pinch", "mass", None)
"""Stands for a pinch, whose weight only the settings know."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit written in the cell.

    Parameters
    ----------
    number : float
        As written; a share in words is given in percent. [unit of the cell]
    unit : Unit or None
        Unit in the cell itself; None when only a number stands there.
    rough : bool
        Marked as approximate, or a share in words.
    comma : bool
        The number was read with a decimal comma.
    """

    number: float
    unit: Unit | None = None
    rough: bool = False
    comma: bool = False


@dataclass(frozen=True, slots=True)
class TwoAmounts:
    """A cell whose comma can be read two ways."""

    decimal: Amount
    thousands: Amount


@dataclass(frozen=True, slots=True)
class Yes:
    """A mark that something was done, without how much."""


def _unreadable(text: str) -> Unreadable:
    """Say why a folded cell is no amount."""
    if _NEGATIVE.fullmatch(text):
        return Unreadable("negative value", "write the amount without a minus sign")
    if _RANGE.fullmatch(text):
        return Unreadable("range instead of one number", "write the one amount used")
    if (why := refusal(text)) is not None:
        return Unreadable("unknown unit", why)
    guess = looks_like(text)
    offer = f"did you mean {guess}? " if guess else ""
    return Unreadable(
        "not an amount", f"{offer}write a number, with its unit if needed"
    )


def _share(text: str) -> Amount | None:
    """Read a share in words or as a ratio."""
    ratio = _RATIO.fullmatch(text)
    if ratio and int(ratio[1]) < int(ratio[2]):
        return Amount(100 * int(ratio[1]) / int(ratio[2]), _PERCENT, rough=True)
    word = _SHARE.fullmatch(text)
    if word and word[1].strip() in _SHARES:
        return Amount(100 * _SHARES[word[1].strip()], _PERCENT, rough=True)
    return None


def _made(
    number: float | TwoNumbers | None, unit: Unit | None, rough: bool, text: str
) -> Amount | TwoAmounts | None:
    """Put a number and its unit together."""
    if number is None:
        return None
    if isinstance(number, TwoNumbers):
        pair = (Amount(n, unit, rough) for n in (number.decimal, number.thousands))
        return TwoAmounts(*pair)
    return Amount(number, unit, rough, comma="," in text)


def _unit_of(text: str) -> Unit | None:
    """Read the unit after a number; a pinch has no weight of its own."""
    bare = re.sub(r"^(?:of (?:food|the tank)|of) ?", "", text.strip(" ()."))
    bare = re.sub(r" (?:of .{1,20}|each|total|in total|out|changed|removed)$", "", bare)
    if _PINCH.fullmatch(bare):
        return PINCH_UNIT
    return parse_unit(bare)


def read_amount(
    raw: str, style: NumberStyle, *, shares: bool = False
) -> Amount | TwoAmounts | Yes | Unreadable | None:
    """Read a cell that holds an amount.

    Parameters
    ----------
    raw : str
        Cell as written.
    style : NumberStyle
        What the file's cells show about the decimal sign.
    shares : bool
        Whether "a third" and "1/3" are shares of the tank.

    Returns
    -------
    Amount or TwoAmounts or Yes or Unreadable or None
        None for a blank cell and for "no".

    Examples
    --------
    >>> read_amount("25 %", NumberStyle()).number
    25.0
    >>> read_amount("half", NumberStyle(), shares=True).number
    50.0
    """
    text = words(raw)
    if is_blank(raw) or text in _NO:
        return None
    if text in _YES:
        return Yes()
    if is_lost_formula(raw):
        return Unreadable(
            "formula result lost", "put the value in the cell, save again"
        )
    if is_formula(raw):
        return Unreadable(
            "formula instead of a value",
            "formulas are never worked out here; write the value itself",
        )
    if has_odd_digit(raw) and not _FRACTION.fullmatch(raw.strip()):
        return Unreadable(
            "raised or lowered digit", "write the number with plain digits and a point"
        )
    bare, rough = doubt_stripped(text)
    found = (_share(bare) if shares else None) or _number(bare, style, rough)
    return found or _unreadable(bare)


def _number(text: str, style: NumberStyle, rough: bool) -> Amount | TwoAmounts | None:
    """Read a number alone, or with a unit after it."""
    alone = _made(read_number(text, style), None, rough, text)
    if alone is not None:
        return alone
    if front := _LEADING_PERCENT.fullmatch(text):
        return _made(read_number(front[1], style), _PERCENT, rough, text)
    if _PINCH.fullmatch(text):
        return Amount(1.0, PINCH_UNIT, rough)
    match = _WITH_UNIT.fullmatch(text)
    if match is None:
        return None
    unit = _unit_of(match[2])
    if unit is None:
        return None
    count = match[1].strip()
    number: float | TwoNumbers | None = _SMALL.get(count)
    if "/" in count:
        over, under = count.split("/")
        number = int(over) / int(under)
    return _made(number or read_number(count, style), unit, rough, count)
