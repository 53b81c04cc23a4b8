"""Marks of doubt on a cell, and the number a mistyped one probably was."""

from __future__ import annotations

import re
from typing import Final

__all__ = ["doubt_stripped", "looks_like"]

_DOUBT_BEFORE: Final = re.compile(
    r"(?:~|≈|\?|(?:ca|c|approx)\.? |(?:ca|approx)\.|about |approximately |circa |"
    r"around |roughly |maybe |probably |perhaps )\s?"
)
_DOUBT_AFTER: Final = re.compile(
    r"\s?(?:\?{1,3}|\(\?\)|-?ish|or so|\(?(?:approx\.?|approximately|about|unsure|"
    r"not sure|guess)\)?)"
)
_LIKE: Final = str.maketrans(
    {"o": "0", "q": "0", "l": "1", "i": "1", "|": "1", "!": "1", "s": "5", "z": "2"}
)


def doubt_stripped(text: str) -> tuple[str, bool]:
    """Take marks of doubt off both ends of a cell.

    Parameters
    ----------
    text : str
        Folded, lower-case text.

    Returns
    -------
    tuple of (str, bool)
        The rest, and whether there was such a mark.

    Examples
    --------
    >>> doubt_stripped("ca. 20")
    ('20', True)
    """
    rest = text
    before = _DOUBT_BEFORE.match(rest)
    if before:
        rest = rest[before.end() :]
    for cut in range(max(0, len(rest) - 16), len(rest)):
        if _DOUBT_AFTER.fullmatch(rest, cut):
            rest = rest[:cut]
            break
    return rest.strip(), rest != text


def looks_like(text: str) -> str | None:
    """Offer the number that a mistyped one probably was.

    Parameters
    ----------
    text : str
        Folded, lower-case text.

    Returns
    -------
    str or None
        The number with letters turned to the digits they look like, or with the
        stray letters left out; None when nothing is near.

    Examples
    --------
    >>> looks_like("2o")
    '20'
    """
    bare = text.strip("<>~=+?*#'\" ")
    digits = re.sub(r"[^0-9.,]", "", bare[:20])
    near = " " not in bare and 0 < len(bare) - len(digits) <= 2
    for guess in (bare.translate(_LIKE), digits if near else ""):
        if re.fullmatch(r"[0-9]{1,4}(?:[.,][0-9]{1,3})?", guess):
            return guess
    return None
