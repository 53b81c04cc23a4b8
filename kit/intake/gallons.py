"""Volumes whose unit leaves something open: gallons without a country, no unit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from kit.findings import Choice, clip
from kit.intake.amounts import Amount
from kit.intake.columns import Column
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid
from kit.units import Ambiguous, volume_factor_l

__all__ = ["VOLUME_ANSWERS", "ask_gallon", "by_header", "litres_factor"]

VOLUME_ANSWERS: Final = {
    "litres": "l",
    "US gallon": "us gal",
    "imperial gallon": "imp gal",
    "US quart": "us qt",
    "imperial quart": "imp qt",
    "US pint": "us pt",
    "imperial pint": "imp pt",
}
"""Answers that name a unit of volume, with the spelling the units know."""


def litres_factor(answer: str | None) -> float | None:
    """Give the litres in the unit that an answer names.

    Parameters
    ----------
    answer : str or None
        A key of `VOLUME_ANSWERS`.

    Returns
    -------
    float or None
        Factor [L]; None when the answer names no unit.

    Examples
    --------
    >>> litres_factor("US gallon")
    3.785411784
    """
    factor = volume_factor_l(VOLUME_ANSWERS.get(answer or "", "?"))
    return factor if isinstance(factor, float) else None


def by_header(read: Amount, column: Column) -> Amount:
    """Let the header say whose gallon it is where the cell names the word alone.

    Parameters
    ----------
    read : Amount
        What the cell says.
    column : Column
        Its column.

    Returns
    -------
    Amount
        In the header's unit where that is the same measure of one country; as it
        was otherwise. [unit of the cell or the header]
    """
    own, head = read.unit, column.unit
    if own is None or head is None or not isinstance(own.factor, Ambiguous):
        return read
    word = own.factor.name.lower()
    known = {litres_factor(f"{country} {word}") for country in ("US", "imperial")}
    same = own.measure == head.measure == "volume" and head.factor in known - {None}
    return replace(read, unit=head) if same else read


def ask_gallon(
    grid: Grid,
    column: Column,
    desk: Desk,
    cells: Mapping[int, tuple[float, str]],
    word: str,
) -> float | None:
    """Ask which gallon, quart or pint a column counts.

    Parameters
    ----------
    grid, column, desk
        Where the cells stand.
    cells : mapping of int to (float, str)
        Editor line to number and raw text.
    word : str
        ``"gallon"``, ``"quart"`` or ``"pint"``.

    Returns
    -------
    float or None
        Litres in one of them [L]; None while open.
    """
    line = next(iter(cells))
    number, raw = cells[line]
    choices = []
    for country in ("US", "imperial"):
        factor = litres_factor(f"{country} {word}") or 0.0
        choices.append(
            Choice(
                f"{country} {word}",
                f"{factor:.4g} L each",
                f"{raw} is {number * factor:.4g} L",
            )
        )
    answer = desk.ask(
        "which gallon",
        grid.place(column, line),
        seen=f"{clip(raw)} in {word}s on {some(list(cells))}",
        expected=f"US or imperial {word}s, or litres",
        mend=f'answer which, or write "US {word}s" or "imperial {word}s" in the header',
        choices=(*choices, LEAVE_OUT),
        touches=[column.header, *(raw for _, raw in cells.values())],
        lines=list(cells),
    )
    return litres_factor(answer)
