"""Numbers whose comma or point can be read two ways: asked once for a column."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Protocol, TypeVar

from kit.findings import Choice, clip
from kit.intake.amounts import Amount, TwoAmounts, Yes, read_amount
from kit.intake.columns import Column
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.gallons import by_header
from kit.intake.grid import Grid
from kit.reading import Unreadable

__all__ = ["TwoWays", "amounts_of", "settle_commas"]

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


class TwoWays(Protocol[T_co]):
    """A cell that gives one value with a decimal sign, another with thousands."""

    @property
    def decimal(self) -> T_co:
        """The value when the sign stands before decimals."""

    @property
    def thousands(self) -> T_co:
        """The value when the sign stands between thousands."""


def settle_commas(
    grid: Grid,
    column: Column,
    desk: Desk,
    cells: Mapping[int, TwoWays[T]],
    number: Callable[[T], float],
) -> dict[int, T]:
    """Ask what the comma or point means; one answer holds for all cells alike.

    Parameters
    ----------
    grid, column, desk
        Where the cells stand.
    cells : mapping of int to TwoWays
        Editor line to both values.
    number : callable
        Gives the number of a value, to be shown.

    Returns
    -------
    dict of int to value
        The values chosen; empty while open or when left out.
    """
    raws = dict(grid.cells(column))
    groups: dict[bool, list[int]] = {}
    for line, both in cells.items():
        three = math.isclose(number(both.thousands), 1000 * number(both.decimal))
        groups.setdefault(three, []).append(line)
    out: dict[int, T] = {}
    for lines in groups.values():
        answer = _ask(grid, column, desk, {n: raws[n] for n in lines}, cells, number)
        for line in lines:
            if answer == "decimal":
                out[line] = cells[line].decimal
            elif answer == "thousands":
                out[line] = cells[line].thousands
    return out


def _ask(
    grid: Grid,
    column: Column,
    desk: Desk,
    raws: Mapping[int, str],
    cells: Mapping[int, TwoWays[T]],
    number: Callable[[T], float],
) -> str | None:
    line, raw = next(iter(raws.items()))
    one, other = number(cells[line].decimal), number(cells[line].thousands)
    return desk.ask(
        "comma in a number",
        grid.place(column, line),
        seen=clip(raw) + (f" on {some(list(raws))}" if len(raws) > 1 else ""),
        expected="a number that can be read one way only",
        mend="answer what the comma or point means, or write the number without it",
        choices=(
            Choice("decimal", "a sign before decimals", f"{raw} is {one:g}"),
            Choice("thousands", "a sign between thousands", f"{raw} is {other:,.10g}"),
            LEAVE_OUT,
        ),
        touches=list(raws.values()),
        lines=list(raws),
    )


def amounts_of(
    grid: Grid, column: Column, desk: Desk, *, shares: bool = False
) -> tuple[dict[int, Amount | Yes | Unreadable], set[int]]:
    """Read the cells of a column of amounts, commas settled.

    Parameters
    ----------
    grid, column, desk
        Where the cells stand.
    shares : bool
        Whether "a third" and "1/3" are shares of the tank.

    Returns
    -------
    dict of int to (Amount or Yes or Unreadable)
        Editor line to what the cell says; blank cells are missing.
    set of int
        Lines held because their comma is open, or left out for it.
    """
    out: dict[int, Amount | Yes | Unreadable] = {}
    twos: dict[int, TwoAmounts] = {}
    for line, raw in grid.cells(column):
        read = read_amount(raw, grid.style, shares=shares)
        if isinstance(read, TwoAmounts):
            twos[line] = read
        elif read is not None:
            out[line] = read
    chosen: dict[int, Amount] = settle_commas(
        grid, column, desk, twos, lambda a: a.number
    )
    out |= chosen
    said = {
        n: by_header(read, column) if isinstance(read, Amount) else read
        for n, read in sorted(out.items(), key=lambda item: item[0])
    }
    return said, set(twos) - set(chosen)
