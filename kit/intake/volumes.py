"""The water volume that holds on each line: its own column, else the settings."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from kit.findings import Choice, clip
from kit.intake.amounts import Amount
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.commas import amounts_of
from kit.intake.datecolumn import Moment
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.gallons import ask_gallon, litres_factor
from kit.intake.grid import Grid
from kit.logbook import Tank
from kit.reading import Unreadable
from kit.units import Ambiguous

__all__ = ["Volumes", "volume_on", "volumes_of"]


@dataclass(slots=True)
class Volumes:
    """Water volume by line.

    Parameters
    ----------
    litres : dict of int to float
        From the table's own column. [L]
    gallons : dict of int to float
        Numbers in gallons, quarts or pints whose country is not known. [gallon]
    refused : set of int
        Lines whose own volume cell is in error; no other volume stands in for it.
    """

    litres: dict[int, float] = field(default_factory=dict)
    gallons: dict[int, float] = field(default_factory=dict)
    refused: set[int] = field(default_factory=set)


def volume_on(tank: Tank, day: dt.date | None) -> float | None:
    """Give the volume that the settings say for a day.

    Parameters
    ----------
    tank : Tank
        Settings.
    day : datetime.date or None
        The day; None for the first volume.

    Returns
    -------
    float or None
        Water volume. [L]
    """
    volume = tank.volume_l
    for change in tank.volume_changes:
        if day is not None and change.date <= day:
            volume = change.volume_l
    return volume


def volumes_of(grid: Grid, desk: Desk, moments: Mapping[int, Moment]) -> Volumes:
    """Find the water volume for each line of a table.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Settings and problems.
    moments : mapping of int to Moment
        Days by line.

    Returns
    -------
    Volumes
        A column that names one single volume holds for every line.
    """
    column = grid.only("tank volume")
    found = Volumes() if column is None else _from_column(grid, column, desk)
    open_lines = [n for n in grid.rows if n not in found.refused]
    _spread(found.litres, open_lines)
    _spread(found.gallons, open_lines)
    if column is not None:
        _compare(grid, column, desk, moments, found)
    for line in open_lines:
        moment = moments.get(line)
        volume = volume_on(desk.tank, moment.day if moment else None)
        if volume is not None and line not in found.litres:
            found.litres[line] = volume
    return found


def _spread(values: dict[int, float], lines: Iterable[int]) -> None:
    """Let a single volume hold for the lines that leave it blank."""
    if len(set(values.values())) == 1:
        one = next(iter(values.values()))
        values |= {line: one for line in lines if line not in values}


def _from_column(grid: Grid, column: Column, desk: Desk) -> Volumes:
    """Read the volume column, sorted by what is known of its unit."""
    found = Volumes()
    bare: dict[int, tuple[float, str]] = {}
    open_: dict[int, tuple[float, str]] = {}
    word = "gallon"
    raws = dict(grid.cells(column))
    reads, held = amounts_of(grid, column, desk)
    found.refused |= held
    for line, read in reads.items():
        raw = raws[line]
        unit = read.unit or column.unit if isinstance(read, Amount) else None
        if not _usable(read) or (unit is not None and unit.measure != "volume"):
            _refuse(grid, column, desk, line, raw, read)
            found.refused.add(line)
        elif isinstance(read, Amount) and unit is None:
            bare[line] = (read.number, raw)
        elif isinstance(read, Amount) and unit and isinstance(unit.factor, float):
            found.litres[line] = read.number * unit.factor
        elif isinstance(read, Amount) and unit and isinstance(unit.factor, Ambiguous):
            open_[line] = (read.number, raw)
            word = unit.factor.name.lower()
    if open_:
        factor = ask_gallon(grid, column, desk, open_, word)
        target = found.gallons if factor is None else found.litres
        target |= {n: x * (factor or 1.0) for n, (x, _) in open_.items()}
    if bare:
        found.litres |= _ask_unit(grid, column, desk, bare)
    return found


def _usable(read: object) -> bool:
    return isinstance(read, Amount) and read.number > 0


def _refuse(
    grid: Grid, column: Column, desk: Desk, line: int, raw: str, read: object
) -> None:
    zero = isinstance(read, Amount) and read.number == 0
    kind = read.kind if isinstance(read, Unreadable) else "unknown unit"
    desk.tell(
        "error",
        "volume of zero" if zero else kind,
        grid.place(column, line),
        seen=clip(raw),
        expected=RULES["tank volume"].expected,
        mend=RULES["tank volume"].mend,
    )


def _ask_unit(
    grid: Grid, column: Column, desk: Desk, bare: Mapping[int, tuple[float, str]]
) -> dict[int, float]:
    line = next(iter(bare))
    number, raw = bare[line]
    answer = desk.ask(
        "unit of the volume",
        grid.place(column, line),
        seen=f"{clip(raw)} on {some(list(bare))}",
        expected=RULES["tank volume"].expected,
        mend='answer the unit, or write it in the header, as in "tank volume (L)"',
        choices=(
            *(
                Choice(word, word, f"{number * (litres_factor(word) or 1):.4g} L")
                for word in ("litres", "US gallon", "imperial gallon")
            ),
            LEAVE_OUT,
        ),
        touches=[column.header, *(raw for _, raw in bare.values())],
        lines=list(bare),
    )
    factor = litres_factor(answer)
    return {} if factor is None else {n: x * factor for n, (x, _) in bare.items()}


def _compare(
    grid: Grid,
    column: Column,
    desk: Desk,
    moments: Mapping[int, Moment],
    found: Volumes,
) -> None:
    """Use the file's one volume where no setting gives any; tell when they differ."""
    values = sorted(set(found.litres.values()))
    if not values:
        return
    first = next((n for n, _ in grid.cells(column)), None)
    if desk.tank.volume_l is None:
        desk.tell(
            "note",
            "volume from the file",
            grid.place(column, first),
            seen=f"{len(values)} water volumes, from {values[0]:.4g} to "
            f"{values[-1]:.4g} L"
            if len(values) > 1
            else f"{values[0]:.4g} L of water",
            expected="the water volume in tank.toml, or given with --volume",
            mend="shares of the tank are worked out with it",
        )
        if len(values) == 1:
            desk.tank = replace(desk.tank, volume_l=values[0])
        return
    off = [
        n
        for n, litres in found.litres.items()
        if abs(litres - (volume_on(desk.tank, _day(moments, n)) or litres))
        > 0.02 * litres
    ]
    if off:
        desk.tell(
            "note",
            "volume differs from the settings",
            grid.place(column, first),
            seen=f"{found.litres[off[0]]:.4g} L in the file, "
            f"{desk.tank.volume_l:.4g} L in the settings",
            expected="one water volume",
            mend=f"shares use the file's volume on {some(off)}; correct one of them",
            lines=off,
        )


def _day(moments: Mapping[int, Moment], line: int) -> dt.date | None:
    moment = moments.get(line)
    return moment.day if moment else None
