"""A table of kit checks: what was known, what was read, and what that allows."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from kit.basis import NITRATE_PER_N
from kit.celltext import words
from kit.charts import CHARTS
from kit.findings import Choice, clip
from kit.intake.columns import Column
from kit.intake.datecolumn import Moment
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid
from kit.intake.nitrate import Level, levels_of, strengths_of
from kit.logbook import Standard, Tank

__all__ = ["standards_of"]

_METER: Final = re.compile(r"\b(?:meter|photometer|colorimeter|probe)\b")
# How near a ratio must come to 4.43, or to its inverse, to look like nitrogen.
_NEAR: Final = math.log(1.4)


def standards_of(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment]
) -> list[Standard]:
    """Read the checks of a table.

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
    list of Standard
        In the order of the lines; a line without a reading or a strength is told.
    """
    read, known = grid.only("nitrate"), grid.only("known")
    if read is None or known is None:
        return []
    kits = _settled(grid, desk, _kits(grid, read, desk.tank))
    held = {n for n, tank in kits.items() if tank is None}
    named = {n: tank for n, tank in kits.items() if tank is not None}
    levels = levels_of(grid, read, desk, named)
    strengths = strengths_of(grid, known, desk)
    _note_kits(grid, desk, named)
    _tell_half(grid, desk, (read, known))
    lines = [n for n in levels if n in strengths and n in moments and n not in held]
    factors = _nitrogen(grid, desk, known, levels, strengths, lines)
    return [
        _standard(grid, n, moments[n], levels[n], strengths[n], factors[n])
        for n in lines
        if n in factors
    ]


def _kits(grid: Grid, read: Column, tank: Tank) -> dict[int, Tank]:
    """Find the card or meter of each line whose kit is named after one."""
    header = read.unit.nitrate.basis if read.unit and read.unit.nitrate else None
    factor = NITRATE_PER_N if (header or tank.kit_basis) == "NO3-N" else 1.0
    out: dict[int, Tank] = {}
    for line, raw in grid.cells(grid.only("kit")):
        name = words(raw)
        charts = [c for c in CHARTS if re.search(rf"\b{c}\b", name)]
        if len(charts) == 1:
            steps = tuple(s * factor for s in CHARTS[charts[0]])
            out[line] = replace(tank, kit_steps_mg_l=steps, kit_resolution_mg_l=None)
        elif _METER.search(name):
            out[line] = replace(tank, kit_steps_mg_l=None)
    return out


def _settled(
    grid: Grid, desk: Desk, kits: Mapping[int, Tank]
) -> dict[int, Tank | None]:
    """Ask whose steps hold where the tank's own card is none of the usual ones.

    A kit called "strip A" may be the tank's own strip, whose steps are in the
    settings, or another one. Held lines have no kit.
    """
    out: dict[int, Tank | None] = dict(kits)
    own = desk.tank.kit_steps_mg_l
    lines = [n for n, t in kits.items() if t.kit_steps_mg_l]
    if not lines or own is None or _usual(own):
        return out
    column = grid.only("kit")
    answer = desk.ask(
        "which card was tried",
        grid.place(column, lines[0]),
        seen=f"{clip(grid.text(column, lines[0]))} on {some(lines)}, and a card of its "
        "own in the settings",
        expected="the kit of the settings, or a card with one of the usual names",
        mend="answer which card was read, or call the kit something else",
        choices=(
            Choice("card of the settings", "its steps are those of the tank's kit"),
            Choice("card of that name", "its steps are those of the usual card"),
            LEAVE_OUT,
        ),
        touches=[grid.text(column, n) for n in lines],
        lines=lines,
    )
    for line in lines:
        if answer == "card of the settings":
            out[line] = desk.tank
        elif answer != "card of that name":
            out[line] = None
    return out


def _usual(steps: Sequence[float]) -> bool:
    """Tell whether steps are those of one of the usual cards, in either basis."""
    return any(
        len(steps) == len(card)
        and all(
            math.isclose(a, b * factor, rel_tol=1e-6)
            for a, b in zip(steps, card, strict=True)
        )
        for card in CHARTS.values()
        for factor in (1.0, NITRATE_PER_N)
    )


def _note_kits(grid: Grid, desk: Desk, kits: Mapping[int, Tank]) -> None:
    """Say which lines were read with a card that their kit's name gives."""
    column = grid.only("kit")
    own = desk.tank.kit_steps_mg_l
    lines = [n for n, t in kits.items() if t.kit_steps_mg_l and t.kit_steps_mg_l != own]
    if lines:
        desk.tell(
            "note",
            "card named by the kit",
            grid.place(column, lines[0]),
            seen=f"{clip(grid.text(column, lines[0]))} on {some(lines)}",
            expected="the name of a card: " + ", ".join(CHARTS),
            mend="the steps of the card of that name are used for the band",
            lines=lines,
        )


def _tell_half(grid: Grid, desk: Desk, columns: tuple[Column, Column]) -> None:
    """Name lines with one of the two numbers left blank."""
    filled = [{n for n, _ in grid.cells(c)} for c in columns]
    for column, lines in zip(
        columns, (filled[1] - filled[0], filled[0] - filled[1]), strict=True
    ):
        for line in sorted(lines):
            desk.tell(
                "error",
                "check without both numbers",
                grid.place(column, line),
                seen="an empty cell",
                expected="the known strength and what the kit read",
                mend="write it, or delete the line",
            )


def _nitrogen(
    grid: Grid,
    desk: Desk,
    column: Column,
    levels: Mapping[int, Level],
    strengths: Mapping[int, float],
    lines: Sequence[int],
) -> dict[int, tuple[float, float]]:
    """Ask about lines where one number may count nitrogen and the other nitrate."""
    out = dict.fromkeys(lines, (1.0, 1.0))
    apart = {
        sign: [n for n in lines if _looks_n(levels[n], strengths[n], sign)]
        for sign in (1, -1)
    }
    for sign, odd in apart.items():
        if odd:
            _ask_nitrogen(grid, desk, column, sign, odd, out)
    return out


def _looks_n(level: Level, strength: float, sign: int) -> bool:
    value = level.value_mg_l
    if not value or not strength:
        return False
    ratio = math.log(value / strength) - sign * math.log(NITRATE_PER_N)
    return abs(ratio) < _NEAR


def _ask_nitrogen(
    grid: Grid,
    desk: Desk,
    column: Column,
    sign: int,
    lines: Sequence[int],
    out: dict[int, tuple[float, float]],
) -> None:
    """Ask once which of the two numbers counts nitrogen."""
    which = "known" if sign > 0 else "read"
    what = "the known strength" if sign > 0 else "the reading"
    answer = desk.ask(
        "check off by NO3-N",
        grid.place(column, lines[0]),
        seen=f"readings about {'4.4 times' if sign > 0 else 'a 4.4th of'} the known "
        f"strength on {some(lines)}",
        expected="both numbers counted as NO3, or both as NO3-N",
        mend="answer what the numbers count, or correct the header",
        choices=(
            Choice(f"{which} is NO3-N", f"{what} counts nitrogen; times 4.4268"),
            Choice("as written", "both count the same, and the kit is that far off"),
            LEAVE_OUT,
        ),
        touches=[",".join(grid.rows[n]) for n in lines],
        lines=lines,
    )
    for line in lines:
        if answer == f"{which} is NO3-N":
            pair = (NITRATE_PER_N, 1.0) if sign > 0 else (1.0, NITRATE_PER_N)
            out[line] = pair
        elif answer != "as written":
            del out[line]


def _standard(
    grid: Grid,
    line: int,
    moment: Moment,
    level: Level,
    strength: float,
    factors: tuple[float, float],
) -> Standard:
    known, read = factors
    high, value = level.high_mg_l, level.value_mg_l
    return Standard(
        date=moment.day,
        time=moment.time,
        kit=grid.text(grid.only("kit"), line),
        reader=grid.text(grid.only("reader"), line),
        known_mg_l=strength * known,
        low_mg_l=level.low_mg_l * read,
        high_mg_l=None if high is None else high * read,
        value_mg_l=None if value is None else value * read,
        raw=level.raw,
        note=grid.text(grid.only("note"), line),
        file=grid.file,
        line=line,
    )
