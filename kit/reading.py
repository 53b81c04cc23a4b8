"""A nitrate reading as an interval: what was written, and what it allows.

A colour chart cannot tell 17 from 23; a reading of 20 stands for every value whose
nearest step is 20. This module turns the text of a cell into a `Reading`; `kit.bands`
turns a number into the values that a chart or a meter would show as that number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final, Literal

from kit.basis import NitrateUnit, nitrate_basis, nitrate_factor
from kit.celltext import (
    has_odd_digit,
    is_blank,
    is_formula,
    is_lost_formula,
    words,
)
from kit.doubt import doubt_stripped, looks_like
from kit.numerals import NumberStyle, TwoNumbers, read_number

__all__ = [
    "Reading",
    "TwoReadings",
    "Unreadable",
    "read_nitrate",
]

Kind = Literal["number", "zero", "below", "above", "range", "not detected", "trace"]

_NOT_DETECTED: Final = frozenset(
    [
        "nd",
        "n.d.",
        "n.d",
        "n/d",
        "bdl",
        "b.d.l.",
        "nil",
        "undetectable",
        "undetected",
        "<lod",
        "<dl",
        "<mdl",
        "lod",
    ]
) | {
    "not detected",
    "not detectable",
    "non detect",
    "non-detect",
    "none detected",
    "below detection",
    "below detection limit",
}
_TRACE: Final = frozenset({"trace", "traces", "tr", "tr.", "a trace", "faint"})
_UNIT: Final = re.compile(r"(.{0,80}[0-9.+?]) ?\(?([a-zµ][a-z0-9µ /.()^+-]{0,40})")
_BELOW: Final = re.compile(r"(?:<=?|≤|=<|under |below |less than |up to )\s?(.{1,40})")
_ABOVE: Final = re.compile(r"(?:>=?|≥|=>|over |above |more than )\s?(.{1,40})")
_BELOW_AFTER: Final = re.compile(r"(.{1,40}?) ?(?:or less|or lower|and below)")
_ABOVE_AFTER: Final = re.compile(r"(.{1,40}?) ?(?:\+|or more|or higher|and above|plus)")
_RANGE: Final = re.compile(
    r"(?:between |from )?([0-9][0-9.,]{0,15}?)"
    r"(?: ?(?:-|/|\.\.\.|to|and|or|bis) ?| \.\. )([0-9][0-9.,]{0,15})"
)
_NEGATIVE: Final = re.compile(r"- ?[0-9.,]{1,20}")
_MONTH_CELL: Final = re.compile(
    r"([0-9]{1,2})[-. /]([a-z]{3,9})\.?|([a-z]{3,9})[-. /]([0-9]{1,2})"
)
_MONTHS: Final = [
    "jan",
    "feb",
    "mar",
    "apr",
    "may",
    "jun",
    "jul",
    "aug",
    "sep",
    "oct",
    "nov",
    "dec",
]


@dataclass(frozen=True, slots=True)
class Reading:
    """A nitrate cell, in the unit it was written in.

    Parameters
    ----------
    kind : str
        ``"number"``, ``"zero"``, ``"below"``, ``"above"``, ``"range"``,
        ``"not detected"`` or ``"trace"``.
    low : float
        Lower bound written; for a number the number itself. [unit of the cell]
    high : float or None
        Upper bound written; None when open or not said. [unit of the cell]
    value : float or None
        The number, where a number was written. [unit of the cell]
    raw : str
        The cell as written.
    doubtful : bool
        Marked by the keeper with "~", "?", "about" and the like.
    unit : NitrateUnit or None
        Unit written in the cell itself.
    """

    kind: Kind
    low: float
    high: float | None
    value: float | None
    raw: str
    doubtful: bool = False
    unit: NitrateUnit | None = None

    @property
    def needs_kit(self) -> bool:
        """Whether only the kit's lowest step says what the reading means."""
        return self.kind in {"zero", "not detected", "trace"}

    def scaled(self, factor: float) -> Reading:
        """Give the reading in another unit.

        Parameters
        ----------
        factor : float
            Multiplies every number. [-]

        Returns
        -------
        Reading
            The same reading, rescaled.
        """
        if factor == 1.0:
            return self
        high = None if self.high is None else self.high * factor
        value = None if self.value is None else self.value * factor
        return replace(self, low=self.low * factor, high=high, value=value)


@dataclass(frozen=True, slots=True)
class TwoReadings:
    """A cell whose comma can be read two ways."""

    decimal: Reading
    thousands: Reading


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A cell that gives no reading, with the reason and the cure.

    Parameters
    ----------
    kind : str
        Class of the problem, such as ``"formula result lost"``.
    mend : str
        What the keeper can do, in plain words.
    """

    kind: str
    mend: str


def _unreadable(text: str) -> Unreadable:
    """Say why a folded nitrate cell is no reading."""
    if _NEGATIVE.fullmatch(text):
        return Unreadable(
            "negative value", "write the reading itself; nothing is below zero"
        )
    month = _MONTH_CELL.fullmatch(text)
    name = month and (month[2] or month[3])
    if month and name and name[:3] in _MONTHS:
        day, nth = int(month[1] or month[4]), _MONTHS.index(name[:3]) + 1
        low, high = sorted((day, nth))
        return Unreadable(
            "range turned into a date",
            f"a spreadsheet turns a range into a date; if it was {low}-{high}, write "
            f'it as "{low} to {high}"',
        )
    guess = looks_like(text)
    offer = f"did you mean {guess}? " if guess else ""
    return Unreadable("not a reading", offer + "write a number, a bound or a range")


def _bound(text: str) -> tuple[Kind, str] | None:
    """Split a bound into its direction and its number."""
    pairs: tuple[tuple[Kind, re.Pattern[str]], ...] = (
        ("below", _BELOW),
        ("above", _ABOVE),
        ("below", _BELOW_AFTER),
        ("above", _ABOVE_AFTER),
    )
    for kind, pattern in pairs:
        match = pattern.fullmatch(text)
        if match and not match[1].rstrip().endswith((".", ",")):
            return kind, match[1].strip()
    return None


def _from_words(text: str) -> Reading | None:
    """Read the words for a colour that cannot be told from none."""
    if text in _NOT_DETECTED:
        return Reading("not detected", 0.0, None, None, text)
    if text in _TRACE:
        return Reading("trace", 0.0, None, None, text)
    return None


def _from_range(text: str, style: NumberStyle) -> Reading | Unreadable | None:
    match = _RANGE.fullmatch(text)
    if match is None:
        return None
    low, high = (read_number(part, style) for part in match.groups())
    if not isinstance(low, float) or not isinstance(high, float):
        return None
    if low >= high:
        return Unreadable(
            "range the wrong way round", 'write the smaller number first: "5-10"'
        )
    return Reading("range", low, high, None, text)


def _number(kind: Kind, value: float) -> Reading:
    """Build a reading from its one number."""
    if kind == "below":
        return Reading("below", 0.0, value, None, "")
    if kind == "above":
        return Reading("above", value, None, None, "")
    return Reading("number" if value > 0 else "zero", value, None, value, "")


def _core(text: str, style: NumberStyle) -> Reading | TwoReadings | Unreadable | None:
    """Read a cell without doubt marks and unit; None when it is none of these."""
    known = _from_words(text) or _from_range(text, style)
    if known is not None:
        return known
    kind, rest = _bound(text) or ("number", text)
    number = read_number(rest, style)
    if number is None:
        return None
    if isinstance(number, TwoNumbers):
        return TwoReadings(
            _number(kind, number.decimal), _number(kind, number.thousands)
        )
    if kind == "below" and number == 0:
        return Unreadable("nothing below zero", 'write "<5", or "0"')
    return _number(kind, number)


def _cell_unit(text: str) -> NitrateUnit | None:
    """Read the unit inside a cell; a basis alone counts mg/L."""
    unit = nitrate_factor(text)
    if unit is None and nitrate_basis(text) is not None:
        unit = nitrate_factor(f"mg/l {text}")
    return unit


def _with_unit(text: str, style: NumberStyle) -> Reading | TwoReadings | Unreadable:
    """Read a cell without doubt marks, with or without a unit after it."""
    plain = _core(text, style)
    if plain is not None:
        return plain
    match = _UNIT.fullmatch(text)
    unit = _cell_unit(match[2].strip(" ()")) if match else None
    if match is None or unit is None:
        return _unreadable(text)
    inner, doubtful = doubt_stripped(match[1].strip())
    found = _core(inner, style)
    if found is None:
        return _unreadable(inner)
    return _dressed(found, doubtful=doubtful, unit=unit)


def _dressed(
    found: Reading | TwoReadings | Unreadable,
    *,
    doubtful: bool = False,
    unit: NitrateUnit | None = None,
    raw: str = "",
) -> Reading | TwoReadings | Unreadable:
    """Add the doubt, the unit and the raw text to what was found."""
    if isinstance(found, Unreadable):
        return found
    if isinstance(found, TwoReadings):
        pair = [
            replace(
                r,
                doubtful=r.doubtful or doubtful,
                unit=r.unit or unit,
                raw=raw or r.raw,
            )
            for r in (found.decimal, found.thousands)
        ]
        return TwoReadings(*pair)
    return replace(
        found,
        doubtful=found.doubtful or doubtful,
        unit=found.unit or unit,
        raw=raw or found.raw,
    )


def read_nitrate(
    raw: str, style: NumberStyle | None = None
) -> Reading | TwoReadings | Unreadable | None:
    """Read one nitrate cell.

    Parameters
    ----------
    raw : str
        The cell as written.
    style : NumberStyle, optional
        What the file's cells show about the decimal sign.

    Returns
    -------
    Reading or TwoReadings or Unreadable or None
        None for a blank cell, "n/a" and the like: no reading, never a zero.

    Examples
    --------
    >>> reading = read_nitrate("< 5")
    >>> reading.kind, reading.low, reading.high, reading.value
    ('below', 0.0, 5.0, None)
    >>> read_nitrate("2O").mend
    'did you mean 20? write a number, a bound or a range'
    """
    if is_blank(raw):
        return None
    if is_lost_formula(raw):
        return Unreadable(
            "formula result lost",
            "put the reading itself in the cell, then save as CSV again",
        )
    if is_formula(raw):
        return Unreadable(
            "formula instead of a value",
            "formulas are never worked out here; write the reading itself",
        )
    if has_odd_digit(raw):
        return Unreadable(
            "raised or lowered digit", "write the number with plain digits and a point"
        )
    known = _from_words(words(raw))
    if known is not None:
        return replace(known, raw=raw)
    text, doubtful = doubt_stripped(words(raw))
    style = style or NumberStyle()
    return _dressed(_with_unit(text, style), doubtful=doubtful, raw=raw)
