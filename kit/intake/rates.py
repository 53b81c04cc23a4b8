"""Food written as so much a day on rows that do not stand for one day each."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Final

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.columns import Column
from kit.intake.datecolumn import Moment
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid

__all__ = ["days_of"]

_A_DAY: Final = re.compile(r"(?:/|\bper |\ba )\s?d(?:ay)?\b|\bdaily\b|\beach day\b")
_ONE: Final = "that day"
_EVERY: Final = "every day"


def days_of(
    grid: Grid,
    column: Column,
    desk: Desk,
    moments: Mapping[int, Moment],
    lines: Iterable[int],
) -> dict[int, tuple[dt.date, ...]]:
    """Tell for which days the food of each line was given.

    Parameters
    ----------
    grid, column, desk
        Where the food stands.
    moments : mapping of int to Moment
        Day by line.
    lines : iterable of int
        Lines with food.

    Returns
    -------
    dict of int to tuple of datetime.date
        The day of the row alone, as a rule; lines without a day, or held by a
        question, are missing.
    """
    raws = dict(grid.cells(column))
    out: dict[int, tuple[dt.date, ...]] = {
        n: (moments[n].day,) for n in lines if n in moments
    }
    rates = [n for n in out if _A_DAY.search(words(f"{column.header} {column.below}"))]
    rates = rates or [n for n in out if _A_DAY.search(words(raws[n]))]
    gaps = _gaps(moments)
    wide = [n for n in rates if gaps.get(moments[n].day, 1) > 1]
    if not wide:
        return out
    first = wide[0]
    answer = desk.ask(
        "food a day on rows days apart",
        grid.place(column, first),
        seen=f"{clip(raws[first])} a day on {some(wide)}, with "
        f"{gaps[moments[first].day]} days to the next row",
        expected="the food of each day in its own row, or one weight for each row",
        mend="answer for which days it holds, or write what was given in all",
        choices=(
            Choice(_ONE, "given on the day of the row alone"),
            Choice(_EVERY, "given every day from the row's day to the next row"),
            LEAVE_OUT,
        ),
        touches=[column.header, *(raws[n] for n in wide)],
        lines=wide,
    )
    if answer == _EVERY:
        for line in wide:
            day = moments[line].day
            out[line] = tuple(day + dt.timedelta(days=i) for i in range(gaps[day]))
    elif answer != _ONE:
        out = {n: days for n, days in out.items() if n not in wide}
    return out


def _gaps(moments: Mapping[int, Moment]) -> dict[dt.date, int]:
    """Give the days from each day of a table to the next one it holds."""
    days = sorted({m.day for m in moments.values()})
    return {a: (b - a).days for a, b in pairwise(days)}
