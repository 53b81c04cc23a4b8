"""Rows whose kind and numbers speak of two things: an exchange and a drip."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final, Literal, cast

from kit.celltext import is_blank
from kit.findings import Choice, clip
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.grid import Grid
from kit.logbook import ExchangeKind

__all__ = ["Verdict", "verdicts_of"]

Verdict = Literal["exchange", "drip", "both", "open"]

_MEANS: Final[Mapping[str, str]] = {
    "exchange": "water was exchanged; the drip did not change",
    "drip": "the drip was set; no water was exchanged at once",
    "both": "water was exchanged and the drip was set",
}


def verdicts_of(
    grid: Grid,
    desk: Desk,
    kinds: Mapping[int, ExchangeKind],
    sized: Collection[int],
    drips: Mapping[int, float | None],
) -> dict[int, Verdict]:
    """Ask about rows that name one kind and hold the numbers of another.

    Parameters
    ----------
    grid, desk
        Where the rows stand, and where problems go.
    kinds : mapping of int to str
        Editor line to the kind the row names.
    sized : collection of int
        Lines with a share or a volume.
    drips : mapping of int to (float or None)
        Editor line to drip. [L/day]

    Returns
    -------
    dict of int to str
        For each such line what it is taken as; ``"open"`` while that is not known.
    """
    groups: dict[tuple[str, bool, bool], list[int]] = {}
    for line in grid.rows:
        kind, has_size, has_drip = kinds.get(line), line in sized, line in drips
        if kind == "drip change":
            odd = has_size
        elif kind is None:
            odd = has_size and has_drip and grid.kind == "exchanges"
        else:
            odd = has_drip
        if odd:
            groups.setdefault((kind or "", has_size, has_drip), []).append(line)
    out: dict[int, Verdict] = {}
    for (_, has_size, has_drip), lines in groups.items():
        offered = ["exchange", "drip", "both"]
        offered = offered[: 1 + has_drip + (has_size and has_drip)]
        out |= dict.fromkeys(lines, _ask(grid, desk, lines, offered))
    return out


def _ask(
    grid: Grid, desk: Desk, lines: Sequence[int], offered: Sequence[str]
) -> Verdict:
    line = lines[0]
    column = grid.only("exchange kind") or grid.only("drip")
    shown = grid.having("exchange kind", "exchange", "drip")
    cells = [
        f"{clip(text)} under {clip(c.header)}"
        for c in shown
        if not is_blank(text := grid.text(c, line))
    ]
    answer = desk.ask(
        "exchange or drip",
        grid.place(column, line),
        seen=f"{' and '.join(cells)} on {some(lines)}",
        expected="a share or a volume for a batch or backwash, a drip for a drip "
        "change",
        mend="answer what the row is, or correct its kind or its numbers",
        choices=(*(Choice(w, _MEANS[w]) for w in offered), LEAVE_OUT),
        touches=[",".join(grid.rows[n]) for n in lines],
        lines=lines,
    )
    return cast(Verdict, answer) if answer in offered else "open"
