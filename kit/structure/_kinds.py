"""What a cell looks like: date, time, number or text. Evidence only, no values.

Nothing is converted here; the looks of the cells tell a header from a record and
show when a row stands under the wrong names.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

from kit.structure._words import MISSING, ROLES, UNITS, Role

__all__ = [
    "TYPED",
    "Kind",
    "column_kinds",
    "filled",
    "fold",
    "holds_date",
    "is_ruler",
    "is_unit",
    "kind_of",
    "plain_role",
    "reads_as_data",
    "role_of",
]

Kind = Literal["blank", "missing", "date", "time", "number", "text"]

TYPED: frozenset[str] = frozenset({"date", "time", "number"})

_LEADS = 0.6  # share of its cells that gives a column its kind
_LONGEST = 64  # a longer cell is text; also bounds every pattern below

_CLOCK = r"\d{1,2}[:h]\d{2}(?::\d{2}(?:[.,]\d{1,6})?)?(?: ?[AaPp]\.?[Mm]\.?)?"
_WORD = r"[^\W\d_]"
_DAY = (
    r"(?:\d{4}[-/. ]{1,2}\d{1,2}[-/. ]{1,2}\d{1,2}"
    r"|\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}"
    rf"|\d{{1,2}}(?:st|nd|rd|th)?\.?[-/ ]{{1,2}}{_WORD}{{3,9}}\.?,?[-/ ]\d{{2,4}}"
    rf"|{_WORD}{{3,9}}\.? \d{{1,2}}(?:st|nd|rd|th)?,? \d{{4}}"
    r"|(?:19|20)\d{6})"
)
_DATE = re.compile(
    rf"(?:{_WORD}{{2,10}}\.?,? )?{_DAY}"
    rf"(?:[T ,]{{1,2}}{_CLOCK}(?: ?Z|[+-]\d{{2}}:?\d{{2}})?)?"
)
_TIME = re.compile(_CLOCK)
_NUMBER = re.compile(
    r"[<>≤≥~≈=]{0,2} ?[$€£]? ?[-+−]?\d[\d.,'’ \u00a0\u202f]{0,20}"
    r"(?: ?[-–/] ?\d[\d.,]{0,8})?"
    r"(?:[ \u00a0]?[%A-Za-zµμ°/³]{1,8})?\??"
)
_HELD_DATE = re.compile(
    r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}"
)
_RULER = re.compile(r"[-=_*~.:|+ ]{3,256}")
_PLAIN_NAME = re.compile(r"([^\W_]{1,40})(?: ?[(\[][^()\[\]]{0,30}[)\]])?")
_FIRST_WORD = re.compile(r"[^\W_]{1,40}")


def fold(name: str) -> str:
    """Bring a name to the form in which two spellings of it agree.

    Examples
    --------
    >>> fold("  NO3   (mg/L) ")
    'no3 (mg/l)'
    """
    return " ".join(name.split()).casefold()


def filled(cells: Iterable[str]) -> int:
    """Count the cells that are not blank."""
    return sum(1 for cell in cells if cell and not cell.isspace())


@lru_cache(maxsize=65_536)
def _kind_of_short(text: str) -> Kind:
    cell = text.strip()
    if not cell:
        return "blank"
    if cell.casefold() in MISSING:
        return "missing"
    if _DATE.fullmatch(cell):
        return "date"
    if _TIME.fullmatch(cell):
        return "time"
    return "number" if _NUMBER.fullmatch(cell) else "text"


def kind_of(text: str) -> Kind:
    """Tell what a cell looks like.

    Parameters
    ----------
    text : str
        The cell as read.

    Returns
    -------
    {"blank", "missing", "date", "time", "number", "text"}
        A number may carry a sign, a limit mark and a unit.

    Examples
    --------
    >>> [kind_of(c) for c in ("01.02.2024", "<5 mg/L", "18:30", "n/a", "fed twice")]
    ['date', 'number', 'time', 'missing', 'text']
    """
    if len(text) > _LONGEST:
        return "text" if text.strip() else "blank"
    return _kind_of_short(text)


def reads_as_data(cells: Sequence[str]) -> bool:
    """Tell whether a row looks like a record and not like names of columns."""
    kinds = Counter(kind_of(cell) for cell in cells)
    if kinds["date"] or kinds["time"]:
        return True
    present = sum(kinds.values()) - kinds["blank"]
    return present > 0 and 2 * (kinds["number"] + kinds["missing"]) >= present


def column_kinds(rows: Iterable[Sequence[str]], width: int) -> tuple[Kind, ...]:
    """Tell what most cells of each column look like.

    Parameters
    ----------
    rows : iterable of sequence of str
        Some records; only those of the right width count.
    width : int
        Number of columns.

    Returns
    -------
    tuple
        One kind a column: "blank" where nothing stands, "text" where no kind leads.
    """
    counts: list[Counter[Kind]] = [Counter() for _ in range(width)]
    for cells in rows:
        if len(cells) == width:
            for count, cell in zip(counts, cells, strict=True):
                count[kind_of(cell)] += 1
    return tuple(_leading(count) for count in counts)


def _leading(count: Counter[Kind]) -> Kind:
    total = sum(n for kind, n in count.items() if kind not in ("blank", "missing"))
    if total == 0:
        return "blank"
    for kind in ("date", "time", "number"):
        if count[kind] >= _LEADS * total:
            return kind
    return "text"


def role_of(name: str) -> Role | None:
    """Guess from its first word what a column holds; None when unknown.

    Examples
    --------
    >>> role_of("NO3 (mg/L)"), role_of("Notes"), role_of("NO3Notes")
    ('number', 'note', None)
    """
    found = _FIRST_WORD.search(name[:_LONGEST])
    return ROLES.get(found.group().casefold()) if found else None


def plain_role(name: str) -> Role | None:
    """Give the role of a name that is one known word, with a unit in brackets at most.

    Examples
    --------
    >>> plain_role("NO3 (mg/L)"), plain_role("NO3 (mg/L)Food (g)")
    ('number', None)
    """
    found = _PLAIN_NAME.fullmatch(name[:_LONGEST].strip())
    return ROLES.get(found.group(1).casefold()) if found else None


def is_unit(text: str) -> bool:
    """Tell whether a cell holds a unit alone, such as ``(mg/L)``."""
    cell = "".join(text[:_LONGEST].split()).casefold()
    return cell.strip("()[]") in UNITS


def holds_date(text: str) -> bool:
    """Tell whether a date in figures stands anywhere in a text."""
    return _HELD_DATE.search(text) is not None


def is_ruler(cells: Iterable[str]) -> bool:
    """Tell whether a row only draws a line, such as ``-----``."""
    drawn = [cell for cell in cells if cell.strip()]
    return bool(drawn) and all(_RULER.fullmatch(cell[:256]) for cell in drawn)
