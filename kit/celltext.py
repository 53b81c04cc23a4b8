"""A cell's text made comparable: one kind of space, dash, digit and width."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final

__all__ = [
    "LIMIT",
    "fold",
    "has_odd_digit",
    "is_blank",
    "is_formula",
    "is_lost_formula",
    "words",
]

LIMIT: Final = 256
"""Characters of a cell that are looked at; no reading is longer."""

_SAME: Final = {
    **dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2015\u2212"), "-"),
    **dict.fromkeys(map(ord, "\u2018\u2019\u02bc"), "'"),
    0x2044: "/",  # the slash inside a folded one-half sign
    0x03BC: "µ",
}
_BLANK: Final = frozenset(
    {
        "",
        "-",
        "--",
        "---",
        ".",
        "/",
        "n/a",
        "na",
        "n.a.",
        "nan",
        "null",
        "not tested",
        "not measured",
        "no test",
        "no reading",
        "not read",
        "skipped",
        "missed",
        "missing",
    }
)
_LOST: Final = re.compile(
    r"#(?:ref!|n/a|div/0!|value!|name\?|num!|null!|spill!|calc!|error!?|[#]{1,250})"
    r"|err:[0-9]{3}",
)


def fold(raw: str) -> str:
    r"""Fold a cell: compatibility forms, one dash, single plain spaces.

    Parameters
    ----------
    raw : str
        Cell as written, of any length.

    Returns
    -------
    str
        At most `LIMIT` characters, without space at either end.

    Examples
    --------
    >>> fold("\uff11\uff12\u00a0mg")
    '12 mg'
    """
    return _fold(raw[:LIMIT])


@lru_cache(maxsize=65_536)
def _fold(raw: str) -> str:
    text = unicodedata.normalize("NFKC", raw)[:LIMIT].translate(_SAME)
    kept = "".join(c for c in text if unicodedata.category(c) != "Cf")
    kept = " ".join(kept.split())
    # A spreadsheet marks "this is text" with one apostrophe in front.
    return kept[1:].strip() if kept[:1] == "'" else kept


_ODD: Final = ("<super>", "<sub>", "<fraction>", "<circle>", "<compat>", "<square>")


def has_odd_digit(raw: str) -> bool:
    """Tell whether a raised, lowered, ringed or fraction digit stands among figures.

    Folded it would make another number: a raised 2 after a 1 turns into 12. After a
    letter it belongs to a unit, as in a cubic foot.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    bool
        True when the cell cannot be folded without changing its number.

    Examples
    --------
    >>> has_odd_digit("1\u00b2,5"), has_odd_digit("20 mg/L NO\u2083")
    (True, False)
    """
    return not raw.isascii() and _has_odd_digit(raw[:LIMIT])


@lru_cache(maxsize=4_096)
def _has_odd_digit(raw: str) -> bool:
    before = ""
    for sign in raw:
        kind = unicodedata.decomposition(sign).partition(" ")[0]
        odd = kind in _ODD
        if odd and re.search("[0-9]", unicodedata.normalize("NFKC", sign)):
            if kind == "<fraction>" or not before.isalpha():
                return True
        elif not odd or not before.isalpha():
            before = sign
    return False


def words(raw: str) -> str:
    """Fold a cell and its letter case.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    str
        Folded text in lower case.
    """
    return _words(raw[:LIMIT])


@lru_cache(maxsize=65_536)
def _words(raw: str) -> str:
    return _fold(raw).casefold()


def is_blank(raw: str) -> bool:
    """Tell whether a value cell says that there is no value.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    bool
        True for an empty cell, a dash, "n/a" and the like; never for a zero.

    Examples
    --------
    >>> is_blank("n/a"), is_blank("0")
    (True, False)
    """
    return words(raw) in _BLANK


def is_lost_formula(raw: str) -> bool:
    """Tell whether a spreadsheet wrote an error where a result should be.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    bool
        True for ``#REF!``, ``#N/A``, ``#DIV/0!`` and the like.
    """
    return _LOST.fullmatch(words(raw)) is not None


def is_formula(raw: str) -> bool:
    """Tell whether the cell is a formula instead of its result.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    bool
        True when the folded text starts with an equals sign.
    """
    return fold(raw).startswith("=")
