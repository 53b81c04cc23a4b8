"""Food columns of one table: the same meal in two columns is one meal."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import combinations
from typing import Final

from kit.celltext import is_blank, words
from kit.findings import Choice, clip
from kit.intake.columns import Column
from kit.intake.datecolumn import Moment
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.feeds import feeds_of
from kit.intake.grid import Grid
from kit.intake.rates import days_of
from kit.intake.volumes import Volumes
from kit.logbook import Feeding

__all__ = ["feedings_of"]

_AGREE: Final = 0.05
_EACH: Final = Choice("each", "each is food of its own")
# A column named after one food may stand beside that of another.
_ONE_FOOD: Final = re.compile(r"flake|pellet|tablet|frozen|wafer|stick|algae|brine")

Meals = dict[int, float]


def feedings_of(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment], volumes: Volumes
) -> list[Feeding]:
    """Read the food columns of a table.

    Parameters
    ----------
    grid, desk
        The table, and where problems go.
    moments : mapping of int to Moment
        Day by line.
    volumes : Volumes
        Water volume by line, for the limit.

    Returns
    -------
    list of Feeding
        In the order of the lines.
    """
    columns = grid.having("feed", "pinches")
    meals = [(c, feeds_of(grid, c, desk, volumes.litres)) for c in columns]
    for one, other in combinations(meals, 2):
        _once(grid, desk, one, other)
    if columns and grid.kind == "feedings":
        _note_without(grid, desk, columns)
    out: list[Feeding] = []
    for column, grams in meals:
        for line, days in days_of(grid, column, desk, moments, grams).items():
            out += [
                Feeding(
                    date=day,
                    time=moments[line].time if len(days) == 1 else None,
                    feed_g=grams[line],
                    file=grid.file,
                    line=line,
                    food=_text(grid, "food kind", line),
                    note=_text(grid, "note", line),
                )
                for day in days
            ]
    return sorted(out, key=lambda f: f.line)


def _text(grid: Grid, role: str, line: int) -> str:
    return " · ".join(t for c in grid.having(role) if (t := grid.text(c, line)))


def _note_without(grid: Grid, desk: Desk, columns: tuple[Column, ...]) -> None:
    """Name rows of a file of food that say nothing of how much."""
    lines = [
        n
        for n, row in grid.rows.items()
        if any(not is_blank(c) for c in row)
        and all(is_blank(grid.text(c, n)) for c in columns)
    ]
    if lines:
        desk.tell(
            "note",
            "food without amount",
            grid.place(columns[0], lines[0]),
            seen=f"no amount on {some(lines)}",
            expected='a weight such as "0.5 g"',
            mend="no food is counted there; write 0 if none was given",
            lines=lines,
        )


def _once(
    grid: Grid, desk: Desk, one: tuple[Column, Meals], other: tuple[Column, Meals]
) -> None:
    """Use a meal once that two columns give in two units; ask where they differ."""
    (first, left), (second, right) = one, other
    if any(_ONE_FOOD.search(words(c.header)) for c in (first, second)):
        return
    both = [n for n in left if n in right and (left[n] > 0 or right[n] > 0)]
    same = [n for n in both if abs(left[n] - right[n]) <= _AGREE * left[n]]
    differ = [n for n in both if n not in same]
    if same:
        desk.tell(
            "note",
            "one meal in two columns",
            grid.place(second, same[0]),
            seen=f"{_raw(grid, first, same[0])} beside {_raw(grid, second, same[0])}",
            expected="each meal once",
            mend=f"the same but for rounding, used once: {some(same)}",
            lines=same,
        )
    answer = _which(grid, desk, (first, second), differ) if differ else None
    for line in same:
        del right[line]
    for line in differ if answer != _EACH.answer else ():
        if answer != f"column {first.letter}":
            del left[line]
        if answer != f"column {second.letter}":
            del right[line]


def _raw(grid: Grid, column: Column, line: int) -> str:
    return f"{clip(grid.text(column, line))} under {clip(column.header)}"


def _which(
    grid: Grid, desk: Desk, columns: tuple[Column, Column], lines: list[int]
) -> str | None:
    line = lines[0]
    return desk.ask(
        "two amounts of food on one row",
        grid.place(columns[1], line),
        seen=f"{' and '.join(_raw(grid, c, line) for c in columns)} on {some(lines)}",
        expected="one amount for each meal, or amounts that agree",
        mend="answer which column holds, or correct the rows",
        choices=(
            *(
                Choice(f"column {c.letter}", f"use {c.header}", grid.text(c, line))
                for c in columns
            ),
            _EACH,
            LEAVE_OUT,
        ),
        touches=[grid.text(c, n) for n in lines for c in columns],
        lines=lines,
    )
