"""Columns a file cannot do without, and files that are about something else."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from kit.celltext import words
from kit.findings import clip
from kit.intake.desk import Desk, Place
from kit.intake.grid import Grid
from kit.intake.headers import split_header
from kit.intake.vocabulary import plain_name

__all__ = ["is_something_else", "note_something_else", "tell_missing_columns"]

_Need = tuple[tuple[str, ...], str]
_NEEDED: Final[Mapping[str, tuple[_Need, ...]]] = {
    "tests": ((("nitrate",), "nitrate (mg/L NO3)"),),
    "wide": ((("nitrate",), "nitrate (mg/L NO3)"),),
    "source": ((("nitrate", "source nitrate"), "nitrate (mg/L NO3)"),),
    "exchanges": ((("exchange", "drip"), "percent (%)"),),
    "feedings": ((("feed", "pinches"), "food (g)"),),
    "upkeep": ((("task", "note"), "task"),),
    "standards": (
        (("known",), "known (mg/L NO3)"),
        (("nitrate",), "read (mg/L NO3)"),
    ),
}
# What keepers log besides nitrate; a table of these alone is no log of nitrate.
_ELSE: Final = re.compile(
    r"\b(?:temp(?:erature)?|ph|d?[kg]h|hardness|alkalinity|ammoni(?:a|um)|nitrite|"
    r"phosphate|conductivity|tds|salinity|oxygen|co2|light|par|calcium|magnesium|iron|"
    r"potassium|redox|orp|fish|plant|species|count|price|cost|weight)\b"
)
_BESIDE: Final = frozenset({"date", "time", "note", "reader", "tank name", "unknown"})


def is_something_else(kind: str, grids: Sequence[Grid]) -> bool:
    """Tell a file that is plainly about something else, such as temperatures.

    Parameters
    ----------
    kind : str
        What the file holds by its name.
    grids : sequence of Grid
        Its tables.

    Returns
    -------
    bool
        True when all its columns are known to be other things.
    """
    columns = [c for g in grids for c in g.columns if words(c.header)]
    if kind != "wide" or any(c.role not in _BESIDE for c in columns):
        return False
    unknown = [c for c in columns if c.role == "unknown"]
    return bool(unknown) and all(_named_else(c.header) for c in unknown)


def _named_else(header: str) -> bool:
    name = plain_name(split_header(header)[0]) or plain_name(header)
    return _ELSE.search(name) is not None


def note_something_else(file: str, grids: Sequence[Grid], desk: Desk) -> None:
    """Note a file that is not read.

    Parameters
    ----------
    file : str
        File name.
    grids : sequence of Grid
        Its tables.
    desk : Desk
        Takes the note.
    """
    desk.tell(
        "note",
        "file about something else",
        Place(file, grids[0].header_line),
        seen=f"columns {_heads(grids[0])}",
        expected="nitrate, food, exchanges or upkeep",
        mend="the file is left alone",
    )


def tell_missing_columns(
    file: str, kind: str, grids: Sequence[Grid], desk: Desk
) -> None:
    """Name the columns a file cannot do without.

    Parameters
    ----------
    file, kind : str
        File name, and what it holds by its name.
    grids : sequence of Grid
        Its tables.
    desk : Desk
        Takes the problems.
    """
    for grid in grids:
        if not grid.having("date"):
            desk.tell(
                "error",
                "no date column",
                grid.place(None, grid.header_line),
                seen=f"columns {_heads(grid)}",
                expected='one column named "date"',
                mend="name the column of days",
            )
    open_ = any(c.role in {"held", "which?"} for g in grids for c in g.columns)
    roles = {c.role for g in grids for c in g.columns}
    for need, example in _NEEDED.get(kind, ()) if grids and not open_ else ():
        if not roles.isdisjoint(need):
            continue
        desk.tell(
            "error",
            f"no {need[0]} column",
            grids[0].place(None, grids[0].header_line),
            seen=f"columns {_heads(grids[0])}",
            expected=f'a column such as "{example}"',
            mend=f'add a column with it, or name the one that holds it "{example}"',
        )


def _heads(grid: Grid) -> str:
    return ", ".join(clip(c.header) for c in grid.columns[:8])
