"""Numbers as people write them: decimal comma or point, thousands, nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

__all__ = [
    "NumberStyle",
    "TwoNumbers",
    "groups_of",
    "has_decimal_comma",
    "number_style",
    "read_number",
]

_PLAIN: Final = re.compile(
    r"\+?(?:[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})(?:e[+-]?[0-9]{1,2})?"
)
_POINT_THREE: Final = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_COMMA_THREE: Final = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_COMMA: Final = re.compile(r"[0-9]{0,9},[0-9]{1,9}")
_ENGLISH: Final = re.compile(
    r"[0-9]{1,3}(?:,[0-9]{3}){1,3}\.[0-9]{1,9}|[0-9]{1,3}(?:,[0-9]{3}){2,3}"
)
_CONTINENTAL: Final = re.compile(
    r"[0-9]{1,3}(?:\.[0-9]{3}){1,3},[0-9]{1,9}|[0-9]{1,3}(?:\.[0-9]{3}){2,3}"
)
_SPACED: Final = re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3}){1,3}")
_TOKEN: Final = re.compile(r"[0-9.,]{1,40}")
_ONLY_POINT: Final = re.compile(
    r"0?\.[0-9]{1,12}|[0-9]{1,9}\.(?:[0-9]{1,2}|[0-9]{4,12})"
)


@dataclass(frozen=True, slots=True)
class TwoNumbers:
    """A text such as "1,000" that is two numbers, depending on the country."""

    decimal: float
    thousands: float


@dataclass(frozen=True, slots=True)
class NumberStyle:
    """What the cells of one file show about their decimal sign.

    Parameters
    ----------
    comma : bool
        Some cell can only be read with a decimal comma.
    thousands_comma : bool
        Some cell can only be read with a comma between thousands.
    point : bool
        Some cell can only be read with a decimal point.
    semicolons : bool
        The file has semicolons between its cells, as where the comma is decimal.
    """

    comma: bool = False
    thousands_comma: bool = False
    point: bool = False
    semicolons: bool = False

    @property
    def clashes(self) -> bool:
        """Whether the cells contradict each other."""
        return self.comma and self.thousands_comma

    @property
    def comma_is_decimal(self) -> bool:
        """Whether the comma is proved decimal and no cell speaks against it."""
        return self.comma and not self.thousands_comma and not self.point

    @property
    def point_is_open(self) -> bool:
        """Whether a point may stand between thousands."""
        return self.comma or (self.semicolons and not self.point)


def _only_decimal(token: str) -> bool:
    return _COMMA.fullmatch(token) is not None and not _COMMA_THREE.fullmatch(token)


def number_style(cells: Iterable[str], *, semicolons: bool = False) -> NumberStyle:
    """Decide the decimal sign of a file from evidence alone.

    Parameters
    ----------
    cells : iterable of str
        Folded cells of the value columns.
    semicolons : bool
        Whether semicolons stand between the cells of the file.

    Returns
    -------
    NumberStyle
        Which signs are proved by at least one cell.

    Examples
    --------
    >>> number_style(["12,5", "1,000"]).comma
    True
    """
    comma = thousands = point = False
    for cell in cells:
        if "," not in cell and "." not in cell:
            continue
        for token in _TOKEN.findall(cell):
            token = token.strip(".,") if token[:1] in ".," else token.rstrip(".,")
            comma = comma or _only_decimal(token) or bool(_CONTINENTAL.fullmatch(token))
            thousands = thousands or _ENGLISH.fullmatch(token) is not None
            point = point or _ONLY_POINT.fullmatch(token) is not None
    return NumberStyle(comma, thousands, point, semicolons)


def groups_of(text: str) -> float | None:
    """Give the number of a text whose thousands are set apart by a sign.

    Parameters
    ----------
    text : str
        Folded text that may hold such a number.

    Returns
    -------
    float or None
        The number; None when no token of the text is one.

    Examples
    --------
    >>> groups_of("1.234,5 l"), groups_of("12,5")
    (1234.5, None)
    """
    for token in _TOKEN.findall(text):
        if _ENGLISH.fullmatch(token):
            return float(token.replace(",", ""))
        if _CONTINENTAL.fullmatch(token):
            return float(token.replace(".", "").replace(",", "."))
    return None


def read_number(text: str, style: NumberStyle) -> float | TwoNumbers | None:
    """Read one unsigned number.

    Parameters
    ----------
    text : str
        Folded text of the number alone.
    style : NumberStyle
        What the file's cells show.

    Returns
    -------
    float or TwoNumbers or None
        The number; both numbers where the comma can be read two ways; None when
        the text is no number.

    Examples
    --------
    >>> read_number("12,5", NumberStyle())
    12.5
    >>> read_number("1,000", NumberStyle())
    TwoNumbers(decimal=1.0, thousands=1000.0)
    >>> read_number("1.234,5", NumberStyle())
    1234.5
    """
    if _ENGLISH.fullmatch(text):
        return float(text.replace(",", ""))
    if _CONTINENTAL.fullmatch(text):
        return float(text.replace(".", "").replace(",", "."))
    if _SPACED.fullmatch(text):
        return float(text.replace(" ", ""))
    if _COMMA.fullmatch(text):
        decimal = float(text.replace(",", "."))
        if style.comma_is_decimal or (_only_decimal(text) and not style.clashes):
            return decimal
        return TwoNumbers(decimal, float(text.replace(",", "")))
    if not _PLAIN.fullmatch(text):
        return None
    if style.point_is_open and _POINT_THREE.fullmatch(text):
        return TwoNumbers(float(text), float(text.replace(".", "")))
    return float(text)


def has_decimal_comma(text: str, style: NumberStyle) -> bool:
    """Tell whether a number in a text is read with its comma before decimals.

    Parameters
    ----------
    text : str
        Folded text of a cell.
    style : NumberStyle
        What the file's cells show.

    Returns
    -------
    bool
        False for a comma between thousands, and for one that is asked about.
    """
    return any(
        _COMMA.fullmatch(token) and isinstance(read_number(token, style), float)
        for token in _TOKEN.findall(text)
    )
