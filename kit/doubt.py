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
# One such letter among digits; at the end only an O, since an L there is a litre.
_SLIP: Final = re.compile(
    r"[oqli|!sz][0-9]{1,3}(?:[.,][0-9]{1,3})?|[0-9]{1,3}[oq](?:[.,][0-9]{1,3})?"
    r"|[0-9]{1,3}[oqli|!sz][0-9]{1,3}|[0-9]{1,3}[.,][0-9]{0,2}[oqli|!sz][0-9]"
    r"|[0-9]{1,3}[.,][0-9]{0,2}[oq]"
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
        The number with its one letter turned to the digit it looks like; None
        where that is no plausible slip.

    Examples
    --------
    >>> looks_like("2o"), looks_like("20l")
    ('20', None)
    """
    if not _SLIP.fullmatch(text[:20]) or len(text) > 20:
        return None
    guess = text.translate(_LIKE)
    return None if re.match("0[0-9]", guess) else guess
