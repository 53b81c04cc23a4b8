"""Nitrate columns to intervals in mg/L as NO3."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from kit.basis import NITRATE_PER_N, Basis, NitrateUnit
from kit.findings import Choice, clip
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.commas import settle_commas
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid
from kit.intake.headers import odd_unit, parse_unit
from kit.intake.levels import Level, kit_known, level_of
from kit.logbook import Tank
from kit.reading import Reading, TwoReadings, Unreadable, read_nitrate

__all__ = ["Level", "levels_of", "strengths_of"]

_UNDER: Final = r"under ([0-9]{1,3}(?:\.[0-9]{1,3})?)"
_RULE: Final = RULES["nitrate"]


def levels_of(
    grid: Grid, column: Column, desk: Desk, kits: Mapping[int, Tank] | None = None
) -> dict[int, Level]:
    """Read a nitrate column.

    Parameters
    ----------
    grid : Grid
        The table.
    column : Column
        One of its nitrate columns.
    desk : Desk
        Settings and problems.
    kits : mapping of int to Tank, optional
        Settings with the kit of single lines, where it is not the tank's.

    Returns
    -------
    dict of int to Level
        Editor line to reading; lines left out or held back are missing.
    """
    kept = _in_no3(grid, column, desk)
    tanks = {n: (kits or {}).get(n, desk.tank) for n in kept}
    low = _lowest(grid, column, desk, kept, tanks)
    return {
        n: level_of(r, tanks[n], low)
        for n, r in kept.items()
        if not r.needs_kit or kit_known(tanks[n]) or low is not None
    }


def strengths_of(grid: Grid, column: Column, desk: Desk) -> dict[int, float]:
    """Read a column of known strengths: one plain number in each cell.

    Parameters
    ----------
    grid : Grid
        The table.
    column : Column
        The column.
    desk : Desk
        Settings and problems.

    Returns
    -------
    dict of int to float
        Editor line to strength as NO3; a bound, a range or a word is told and left
        out. [mg/L]
    """
    out: dict[int, float] = {}
    for line, reading in _in_no3(grid, column, desk).items():
        if reading.value is not None and not reading.doubtful:
            out[line] = reading.value
            continue
        desk.tell(
            "error",
            "strength not one number",
            grid.place(column, line),
            seen=clip(reading.raw),
            expected=RULES["known"].expected,
            mend=RULES["known"].mend,
        )
    return out


def _in_no3(grid: Grid, column: Column, desk: Desk) -> dict[int, Reading]:
    """Read a column as mg/L of NO3, within limits, with what was repaired noted."""
    readings = _by_row_unit(grid, column, desk, _readings(grid, column, desk))
    if column.measure not in {None, "nitrate", "basis"}:
        return {}
    scaled = _as_no3(grid, column, desk, readings)
    kept = {n: r for n, r in scaled.items() if _in_limits(grid, column, desk, n, r)}
    _note_converted(grid, column, desk, readings, kept)
    _note_doubtful(grid, column, desk, kept)
    return kept


def _readings(grid: Grid, column: Column, desk: Desk) -> dict[int, Reading]:
    """Read the cells one by one."""
    out: dict[int, Reading] = {}
    twos: dict[int, TwoReadings] = {}
    for line, raw in grid.cells(column):
        read = read_nitrate(raw, grid.style)
        if isinstance(read, TwoReadings):
            twos[line] = read
        elif isinstance(read, Unreadable):
            desk.tell(
                "error",
                read.kind,
                grid.place(column, line),
                seen=clip(raw),
                expected=_RULE.expected,
                mend=read.mend,
            )
        elif read is not None:
            out[line] = read
    out |= settle_commas(grid, column, desk, twos, _size)
    return {n: out[n] for n in sorted(out)}


def _by_row_unit(
    grid: Grid, column: Column, desk: Desk, readings: Mapping[int, Reading]
) -> dict[int, Reading]:
    """Give readings the unit that a column of units says on their row."""
    source = grid.only("unit")
    out = dict(readings)
    used: list[int] = []
    for line, raw in grid.cells(source):
        if line not in out or out[line].unit is not None:
            continue
        unit = parse_unit(raw)
        if unit is not None and unit.nitrate is not None:
            out[line] = replace(out[line], unit=unit.nitrate)
            used.append(line)
        elif unit is None and odd_unit(f"({raw})"):
            del out[line]
            desk.tell(
                "error",
                "unknown unit",
                grid.place(source, line),
                seen=clip(raw),
                expected='"mg/L NO3" or "mg/L NO3-N"',
                mend="write the unit of the reading, or leave the cell empty",
            )
    if used:
        desk.tell(
            "note",
            "unit from its own column",
            grid.place(source, used[0]),
            seen=f"{clip(grid.text(source, used[0]))} beside {clip(out[used[0]].raw)}",
            expected="the unit in the header of the readings",
            mend=f"used for the readings on {some(used)}",
            lines=used,
        )
    return out


def _size(reading: Reading) -> float:
    """Give the number of a reading or a bound."""
    return reading.low or reading.high or 0.0


def _amount_factor(unit: NitrateUnit | None) -> float:
    """Give the part of a unit's factor that is not the basis."""
    if unit is None:
        return 1.0
    return unit.factor / (NITRATE_PER_N if unit.basis == "NO3-N" else 1.0)


def _as_no3(
    grid: Grid, column: Column, desk: Desk, readings: Mapping[int, Reading]
) -> dict[int, Reading]:
    """Bring every reading to mg/L as NO3, whatever its basis."""
    header = column.unit.nitrate if column.unit else None
    own = {n: r.unit.basis for n, r in readings.items() if r.unit and r.unit.basis}
    rest = [n for n in readings if n not in own]
    basis, held = _column_basis(grid, column, desk, rest)
    out = {}
    for line, reading in readings.items():
        if held and line not in own:
            continue
        counted = own.get(line, basis)
        factor = _amount_factor(reading.unit or header)
        if counted == "NO3-N":
            factor *= NITRATE_PER_N
        out[line] = reading.scaled(factor)
    turned = [n for n in out if own.get(n, basis) == "NO3-N"]
    if turned:
        _note_turned(grid, column, desk, turned, out)
    return out


def _column_basis(
    grid: Grid, column: Column, desk: Desk, lines: Sequence[int]
) -> tuple[Basis | None, bool]:
    """Decide what the bare numbers count: header, then settings; tell when unsaid."""
    header = column.unit.nitrate.basis if column.unit and column.unit.nitrate else None
    setting = desk.tank.kit_basis if column.role == "nitrate" else None
    if grid.kind == "standards" and header:
        setting = None  # a table of several kits says its basis in its header
    if header and setting and header != setting and lines:
        answer = desk.ask(
            "NO3 or NO3-N",
            grid.place(column, grid.header_line),
            seen=f"{header} in the header, {setting} in the kit's settings",
            expected="one of them",
            mend="answer what the numbers count, or correct the header or tank.toml",
            choices=(
                Choice("NO3", "the numbers are mg/L of nitrate"),
                Choice("NO3-N", "the numbers are mg/L of nitrogen, times 4.4268"),
            ),
            touches=[column.header, *(raw for _, raw in grid.cells(column))],
            lines=lines,
        )
        if answer in {"NO3", "NO3-N"}:
            return ("NO3" if answer == "NO3" else "NO3-N"), False
        return None, True
    if header or setting:
        return header or setting, False
    unsaid = "nitrate basis unsaid"
    said_once = not (lines and column.role in {"nitrate", "known"})
    if not said_once and desk.first_time(unsaid, grid.file):
        desk.tell(
            "note",
            unsaid,
            grid.place(column, grid.header_line),
            seen=f"the header {clip(column.header)}",
            expected='"mg/L NO3" or "mg/L NO3-N"',
            mend="taken as mg/L NO3; say so in the header, or as the kit's basis",
        )
    return None, False


def _note_turned(
    grid: Grid,
    column: Column,
    desk: Desk,
    lines: Sequence[int],
    readings: Mapping[int, Reading],
) -> None:
    reading = readings[lines[0]]
    desk.tell(
        "note",
        "nitrogen turned into nitrate",
        grid.place(column, lines[0]),
        seen=f"{clip(reading.raw)} counted as nitrogen",
        expected="mg/L as NO3 inside the kit",
        mend=f"multiplied by 4.4268, here to {_shown(reading):.4g}; {some(lines)}",
        lines=lines,
    )


def _in_limits(
    grid: Grid, column: Column, desk: Desk, line: int, reading: Reading
) -> bool:
    """Leave out what no tank holds, and name it."""
    top = _RULE.high or 0.0
    numbers = [x for x in (reading.low, reading.high, reading.value) if x is not None]
    if max(numbers) <= top:
        return True
    shown = f"{max(numbers):,.8g}"
    same = re.sub(r"[^0-9.]", "", reading.raw) == shown.replace(",", "")
    desk.tell(
        "error",
        "reading too high",
        grid.place(column, line),
        seen=clip(reading.raw) + ("" if same else f", which is {shown} mg/L of NO3"),
        expected=_RULE.expected,
        mend="correct the reading or its unit; over 500 write it as a note",
    )
    return False


def _note_converted(
    grid: Grid,
    column: Column,
    desk: Desk,
    readings: Mapping[int, Reading],
    kept: Mapping[int, Reading],
) -> None:
    """Note readings brought to mg/L from another unit, in the header or the cell."""
    header = _amount_factor(column.unit.nitrate if column.unit else None)
    groups: dict[str, list[int]] = {}
    for line in kept:
        own = readings[line].unit
        if own is not None and not math.isclose(_amount_factor(own), header):
            groups.setdefault("unit of the cell", []).append(line)
        elif own is None and not math.isclose(header, 1.0):
            groups.setdefault("unit turned into mg/L", []).append(line)
    for kind, lines in groups.items():
        reading = kept[lines[0]]
        desk.tell(
            "note",
            kind,
            grid.place(column, lines[0]),
            seen=f"{clip(reading.raw)} under {clip(column.header)}",
            expected="mg/L inside the kit",
            mend=f"here {_shown(reading):.4g} mg/L of NO3; {some(lines)}",
            lines=lines,
        )


def _shown(reading: Reading) -> float:
    return reading.value or reading.high or reading.low


def _note_doubtful(
    grid: Grid, column: Column, desk: Desk, readings: Mapping[int, Reading]
) -> None:
    lines = [n for n, r in readings.items() if r.doubtful]
    if lines:
        desk.tell(
            "note",
            "doubtful reading",
            grid.place(column, lines[0]),
            seen=clip(readings[lines[0]].raw),
            expected="a reading without a mark of doubt",
            mend=f"taken as written and marked as doubtful: {some(lines)}",
            lines=lines,
        )


def _lowest(
    grid: Grid,
    column: Column,
    desk: Desk,
    readings: Mapping[int, Reading],
    tanks: Mapping[int, Tank],
) -> float | None:
    """Ask below what the kit shows nothing, when cells need it and no setting says."""
    lines = [n for n, r in readings.items() if r.needs_kit and not kit_known(tanks[n])]
    if not lines:
        return None
    raw = readings[lines[0]].raw
    answer = desk.ask(
        "lowest step of the kit",
        grid.place(column, lines[0]),
        seen=f"{clip(raw)} on {some(lines)}",
        expected="the kit's steps or resolution in tank.toml, or a bound such as "
        '"<5"; a kit never shows that there is none at all',
        mend="answer below what your kit shows nothing, or add the kit to tank.toml",
        choices=(
            *(
                Choice(f"under {n}", f"less than {n} mg/L", f"{raw} is 0 to {n} mg/L")
                for n in ("1", "2", "5", "10")
            ),
            LEAVE_OUT,
        ),
        touches=[readings[n].raw for n in lines],
        lines=lines,
        free=_UNDER,
    )
    match = re.fullmatch(_UNDER, answer or "")
    return float(match[1]) if match and float(match[1]) > 0 else None
