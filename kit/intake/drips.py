"""The drip column: how much fresh water runs in a day, from which row on."""

from __future__ import annotations

from collections.abc import Mapping

from kit.findings import clip
from kit.intake.amounts import Amount, read_amount
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.desk import Desk
from kit.intake.grid import Grid

__all__ = ["DRIP_UNKNOWN", "drips_of", "turns_of"]

DRIP_UNKNOWN = "the drip from then on is not known"


def drips_of(grid: Grid, desk: Desk) -> dict[int, float | None]:
    """Read the drip column.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Where problems go.

    Returns
    -------
    dict of int to (float or None)
        Editor line to drip; None where a cell is in error. [L/day]
    """
    column = grid.only("drip")
    if column is None:
        return {}
    return {n: _flow(grid, column, desk, n, raw) for n, raw in grid.cells(column)}


def turns_of(drips: Mapping[int, float | None]) -> dict[int, float | None]:
    """Keep the lines on which the drip is not what it was on the line before.

    Parameters
    ----------
    drips : mapping of int to (float or None)
        Editor line to drip. [L/day]

    Returns
    -------
    dict of int to (float or None)
        The first line, and each line with another drip or one in error.

    Examples
    --------
    >>> turns_of({2: 10.0, 3: 10.0, 4: 12.0})
    {2: 10.0, 4: 12.0}
    """
    out: dict[int, float | None] = {}
    last: float | None = None
    for line, flow in drips.items():
        if flow is None or flow != last:
            out[line] = flow
        last = last if flow is None else flow
    return out


def _flow(grid: Grid, column: Column, desk: Desk, line: int, raw: str) -> float | None:
    """Read one drip cell in L/day."""
    read = read_amount(raw, grid.style)
    if isinstance(read, Amount):
        unit = read.unit or column.unit
        factor = unit.factor if unit and unit.measure == "flow" else None
        if isinstance(factor, float):
            return read.number * factor
    kind = getattr(read, "kind", "unknown unit" if read else "not an amount")
    desk.tell(
        "error",
        str(kind),
        grid.place(column, line),
        seen=clip(raw),
        expected=RULES["drip"].expected,
        mend=RULES["drip"].mend,
    )
    return None
