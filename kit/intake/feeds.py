"""Food columns to grams."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import median
from typing import Final

from kit.findings import Choice, clip
from kit.intake.amounts import PINCH_UNIT, Amount, Yes
from kit.intake.cells import FEED_LIMIT_G_L, RULES
from kit.intake.columns import Column
from kit.intake.commas import amounts_of
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid
from kit.reading import Unreadable

__all__ = ["feeds_of"]

_RULE: Final = RULES["feed"]
_GRAMS: Final = r"([0-9]{1,3}(?:\.[0-9]{1,4})?) g"


@dataclass(slots=True)
class _Food:
    """Cells of one food column, sorted by what they still need."""

    grams: dict[int, float] = field(default_factory=dict)
    pinches: dict[int, float] = field(default_factory=dict)
    bare: dict[int, float] = field(default_factory=dict)
    grains: dict[int, float] = field(default_factory=dict)
    marks: list[int] = field(default_factory=list)
    other: list[int] = field(default_factory=list)


def feeds_of(
    grid: Grid, column: Column, desk: Desk, volumes: Mapping[int, float | None]
) -> dict[int, float]:
    """Read a food column.

    Parameters
    ----------
    grid : Grid
        The table.
    column : Column
        A column of food or of pinches.
    desk : Desk
        Settings and problems.
    volumes : mapping of int to float or None
        Water volume by line, for the limit. [L]

    Returns
    -------
    dict of int to float
        Editor line to food. [g]
    """
    food = _sorted(grid, column, desk)
    raws = dict(grid.cells(column))
    _note_other_unit(grid, column, desk, food, raws)
    _settle_bare(grid, column, desk, food, raws)
    _settle_grains(grid, column, desk, food, raws)
    _settle_pinches(grid, column, desk, food, raws)
    _ask_marks(grid, column, desk, food, raws)
    return {
        n: g
        for n, g in food.grams.items()
        if _in_limits(grid, column, desk, (n, raws[n]), g, volumes.get(n))
    }


def _sorted(grid: Grid, column: Column, desk: Desk) -> _Food:
    """Read the cells and sort them by the unit that holds for each."""
    food = _Food()
    raws = dict(grid.cells(column))
    for line, read in amounts_of(grid, column, desk)[0].items():
        if isinstance(read, Unreadable) or (
            isinstance(read, Amount) and read.unit and read.unit.measure != "mass"
        ):
            mend = read.mend if isinstance(read, Unreadable) else _RULE.mend
            kind = read.kind if isinstance(read, Unreadable) else "unknown unit"
            desk.tell(
                "error",
                kind,
                grid.place(column, line),
                seen=clip(raws[line]),
                expected=_RULE.expected,
                mend=mend,
            )
        elif isinstance(read, Yes):
            food.marks.append(line)
        else:
            _sort_one(column, food, line, read)
    return food


def _sort_one(column: Column, food: _Food, line: int, read: Amount) -> None:
    unit = read.unit or column.unit
    if unit is PINCH_UNIT or (read.unit is None and column.role == "pinches"):
        food.pinches[line] = read.number
    elif unit is None:
        food.bare[line] = read.number
    elif isinstance(unit.factor, float):
        food.grams[line] = read.number * unit.factor
        if read.unit and column.unit and read.unit.factor != column.unit.factor:
            food.other.append(line)
    else:
        food.grains[line] = read.number


def _note_other_unit(
    grid: Grid, column: Column, desk: Desk, food: _Food, raws: Mapping[int, str]
) -> None:
    """Note cells whose own unit is not that of the header."""
    if food.other:
        line = food.other[0]
        desk.tell(
            "note",
            "unit of the cell",
            grid.place(column, line),
            seen=clip(raws[line]),
            expected=f"the unit of the column, {clip(column.header)}",
            mend=f"read in the cell's own unit, here {food.grams[line]:.4g} g; "
            f"{some(food.other)}",
            lines=food.other,
        )


def _settle_bare(
    grid: Grid, column: Column, desk: Desk, food: _Food, raws: Mapping[int, str]
) -> None:
    """Ask for the unit of numbers that have none; 0 needs none."""
    food.grams |= {n: 0.0 for n, x in food.bare.items() if x == 0}
    bare = {n: x for n, x in food.bare.items() if x > 0}
    if not bare:
        return
    line = next(iter(bare))
    answer = desk.ask(
        "unit of the food",
        grid.place(column, line),
        seen=f"{clip(raws[line])} on {some(list(bare))}",
        expected=_RULE.expected,
        mend='answer the unit, or write it in the header, as in "food (g)"',
        choices=(
            Choice("g", "grams", f"{raws[line]} is {bare[line]:g} g"),
            Choice("pinches", "pinches", f"{raws[line]} is {bare[line]:g} pinches"),
            Choice("mg", "milligrams", f"{raws[line]} is {bare[line] / 1000:g} g"),
            LEAVE_OUT,
        ),
        touches=[column.header, *(raws[n] for n in bare)],
        lines=list(bare),
    )
    if answer == "pinches":
        food.pinches |= bare
    elif answer in {"g", "mg"}:
        food.grams |= {n: x / (1 if answer == "g" else 1000) for n, x in bare.items()}


def _settle_grains(
    grid: Grid, column: Column, desk: Desk, food: _Food, raws: Mapping[int, str]
) -> None:
    """Ask whether "gr" is a gram or a grain."""
    if not food.grains:
        return
    lines = list(food.grains)
    line = lines[0]
    answer = desk.ask(
        "gram or grain",
        grid.place(column, line),
        seen=f'"gr" with {clip(raws[line])} on {some(lines)}',
        expected='"g" for grams; a grain is 0.065 g',
        mend='answer which, or write "g"',
        choices=(
            Choice("gram", "grams", f"{food.grains[line]:g} g"),
            Choice("grain", "grains", f"{food.grains[line] * 0.06479891:.3g} g"),
            LEAVE_OUT,
        ),
        touches=[column.header, *(raws[n] for n in lines)],
        lines=lines,
    )
    factor = {"gram": 1.0, "grain": 0.06479891}.get(answer or "")
    if factor is not None:
        food.grams |= {n: x * factor for n, x in food.grains.items()}


def _settle_pinches(
    grid: Grid, column: Column, desk: Desk, food: _Food, raws: Mapping[int, str]
) -> None:
    """Weigh pinches by the settings, or ask what one weighs."""
    if not food.pinches:
        return
    lines = list(food.pinches)
    line = lines[0]
    each = desk.tank.pinch_g
    if each is None:
        answer = desk.ask(
            "weight of a pinch",
            grid.place(column, line),
            seen=f"{clip(raws[line])} on {some(lines)}",
            expected="grams, or pinch_g under [feed] in tank.toml",
            mend="weigh ten pinches once, divide by ten and answer with that",
            choices=(
                *(
                    Choice(f"{g} g", f"one pinch weighs {g} g", f"{raws[line]}")
                    for g in ("0.1", "0.25", "0.5")
                ),
                LEAVE_OUT,
            ),
            touches=[raws[n] for n in lines],
            lines=lines,
            free=_GRAMS,
        )
        match = re.fullmatch(_GRAMS, answer or "")
        each = float(match[1]) if match else None
    if each is not None:
        food.grams |= {n: x * each for n, x in food.pinches.items()}


def _ask_marks(
    grid: Grid, column: Column, desk: Desk, food: _Food, raws: Mapping[int, str]
) -> None:
    """Ask how much food a mere "yes" stands for."""
    if not food.marks:
        return
    line = food.marks[0]
    known = sorted(g for g in food.grams.values() if g > 0)
    usual = f"{median(known):.3g} g" if known else "0.5 g"
    answer = desk.ask(
        "food without amount",
        grid.place(column, line),
        seen=f"{clip(raws[line])} on {some(food.marks)}",
        expected=_RULE.expected,
        mend=f'answer with the usual amount, such as "{usual}"',
        choices=(Choice(usual, "each time"), LEAVE_OUT),
        touches=[raws[n] for n in food.marks],
        lines=food.marks,
        free=_GRAMS,
    )
    match = re.fullmatch(_GRAMS, answer or "")
    if match:
        food.grams |= dict.fromkeys(food.marks, float(match[1]))


def _in_limits(
    grid: Grid,
    column: Column,
    desk: Desk,
    cell: tuple[int, str],
    grams: float,
    volume: float | None,
) -> bool:
    """Leave out more food than any tank is given, and name it."""
    top = FEED_LIMIT_G_L * volume if volume else _RULE.high or 0.0
    if grams <= top:
        return True
    desk.tell(
        "error",
        "too much food",
        grid.place(column, cell[0]),
        seen=f"{clip(cell[1])}, which is {grams:g} g",
        expected=_RULE.expected + (f": here {top:.4g} g" if volume else ""),
        mend="correct the amount, its unit, or the tank's volume",
    )
    return False
