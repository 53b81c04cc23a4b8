"""Cells of one exchange column: a share, litres, or something still open."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import median
from typing import Final

from kit.findings import Choice, clip
from kit.intake.amounts import Amount, Yes
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.commas import amounts_of
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.gallons import ask_gallon, litres_factor
from kit.intake.grid import Grid
from kit.reading import Unreadable
from kit.units import Ambiguous

__all__ = ["Parts", "ask_size", "parts_of"]

_PERCENT: Final = RULES["percent"]
_VOLUME: Final = RULES["volume"]
_SIZE: Final = r"([0-9]{1,4}(?:\.[0-9]{1,2})?) ?(%|L)"
_EACH: Final = r"([0-9]{1,4}(?:\.[0-9]{1,2})?) L each"
_NOT_KNOWN: Final = Choice("not known", "an exchange of unknown size happened that day")
_NONE: Final = Choice("no exchange", "no water was exchanged on these days")
_UNSIZED: Final = Choice(
    LEAVE_OUT.answer,
    "these sizes are not used; the days stay days of an exchange of unknown size",
)


@dataclass(slots=True)
class Parts:
    """What one exchange column says, by line.

    Parameters
    ----------
    column : Column
        Where it stands.
    raws : dict of int to str
        Cells as written.
    percent : dict of int to float
        Shares. [%]
    litres : dict of int to float
        Volumes. [L]
    gallons : dict of int to float
        Volumes in gallons of unknown country. [gallon]
    unknown : set of int
        An exchange happened, its size is not known.
    sizeless : set of int
        The keeper answered that the size is not known.
    rough : set of int
        Marked as approximate, or a share in words.
    """

    column: Column
    raws: dict[int, str]
    percent: dict[int, float] = field(default_factory=dict)
    litres: dict[int, float] = field(default_factory=dict)
    gallons: dict[int, float] = field(default_factory=dict)
    unknown: set[int] = field(default_factory=set)
    sizeless: set[int] = field(default_factory=set)
    rough: set[int] = field(default_factory=set)

    def speaks(self, line: int) -> bool:
        """Tell whether this column speaks of an exchange on a line."""
        known = (self.percent, self.litres, self.gallons, self.unknown)
        return any(line in part for part in known)


def parts_of(grid: Grid, column: Column, desk: Desk) -> Parts:
    """Read an exchange column.

    Parameters
    ----------
    grid, column, desk
        Where it stands, and where problems go.

    Returns
    -------
    Parts
        Cells in error or in question stand among the unknown.
    """
    parts = Parts(column, dict(grid.cells(column)))
    bare: dict[int, float] = {}
    open_: dict[str, dict[int, tuple[float, str]]] = {}
    marks: list[int] = []
    other: list[int] = []
    reads, held = amounts_of(grid, column, desk, shares=True)
    parts.unknown |= held
    for line, read in reads.items():
        if isinstance(read, Unreadable):
            _refuse(grid, parts, desk, line, read)
        elif isinstance(read, Yes):
            marks.append(line)
        elif isinstance(read, Amount) and (read.number > 0 or read.unit is not None):
            _sort(grid, parts, desk, line, read, bare, open_)
            parts.rough |= {line} if read.rough else set()
            other += [line] if _other_unit(column, read) else []
    _settle_bare(grid, parts, desk, bare, open_)
    for word, cells in open_.items():
        _settle_gallons(grid, parts, desk, cells, word)
    _limit(grid, parts, desk)
    _note_rough(grid, parts, desk)
    _note_other_unit(grid, parts, desk, other)
    if marks:
        ask_size(grid, parts, desk, marks)
    return parts


def _other_unit(column: Column, read: Amount) -> bool:
    """Tell whether a cell's own unit is not that of its column."""
    if read.unit is None or column.unit is None or read.rough:
        return False
    shares = {"percent", "fraction"}
    own, head = read.unit.measure, column.unit.measure
    if own == head:
        return read.unit.factor != column.unit.factor
    return not {own, head} <= shares


def _note_other_unit(grid: Grid, parts: Parts, desk: Desk, lines: list[int]) -> None:
    if lines:
        desk.tell(
            "note",
            "unit of the cell",
            grid.place(parts.column, lines[0]),
            seen=clip(parts.raws[lines[0]]),
            expected=f"the unit of the column, {clip(parts.column.header)}",
            mend=f"read in the cell's own unit: {some(lines)}",
            lines=lines,
        )


def _refuse(grid: Grid, parts: Parts, desk: Desk, line: int, why: Unreadable) -> None:
    volume = parts.column.measure == "volume"
    parts.unknown.add(line)
    desk.tell(
        "error",
        why.kind,
        grid.place(parts.column, line),
        seen=clip(parts.raws[line]),
        expected=(_VOLUME if volume else _PERCENT).expected,
        mend=why.mend,
    )


def _sort(
    grid: Grid,
    parts: Parts,
    desk: Desk,
    line: int,
    read: Amount,
    bare: dict[int, float],
    open_: dict[str, dict[int, tuple[float, str]]],
) -> None:
    """Put one amount where its own unit says, or among the bare numbers."""
    unit = read.unit
    if read.number == 0:
        return
    if unit is None:
        bare[line] = read.number
    elif unit.measure == "percent":
        parts.percent[line] = read.number
        _note_small(grid, parts, desk, line)
    elif unit.measure == "volume" and isinstance(unit.factor, float):
        parts.litres[line] = read.number * unit.factor
    elif unit.measure == "volume" and isinstance(unit.factor, Ambiguous):
        word = unit.factor.name.lower()
        open_.setdefault(word, {})[line] = (read.number, parts.raws[line])
    else:
        _refuse(grid, parts, desk, line, Unreadable("unknown unit", _PERCENT.mend))


def _note_small(grid: Grid, parts: Parts, desk: Desk, line: int) -> None:
    """Note a share of 1 % or less: the sign is written, so it is not asked."""
    if parts.percent[line] <= 1:
        desk.tell(
            "note",
            "very small share",
            grid.place(parts.column, line),
            seen=clip(parts.raws[line]),
            expected=_PERCENT.expected,
            mend="taken as the percent written; correct it if a part of one was meant",
        )


def _settle_bare(
    grid: Grid,
    parts: Parts,
    desk: Desk,
    bare: dict[int, float],
    open_: dict[str, dict[int, tuple[float, str]]],
) -> None:
    """Give bare numbers the unit of the header, or ask for it."""
    unit = parts.column.unit
    if not bare:
        return
    if unit is None:
        _ask_unit(grid, parts, desk, bare)
    elif unit.measure == "volume" and isinstance(unit.factor, float):
        parts.litres |= {n: x * unit.factor for n, x in bare.items()}
    elif unit.measure == "volume" and isinstance(unit.factor, Ambiguous):
        word = unit.factor.name.lower()
        cells = {n: (x, parts.raws[n]) for n, x in bare.items()}
        open_[word] = open_.get(word, {}) | cells
    elif unit.measure == "fraction":
        large = {n: x for n, x in bare.items() if x > 1}
        parts.percent |= {n: 100 * x for n, x in bare.items() if x <= 1}
        _ask_share(grid, parts, desk, large)
    else:
        small = {n: x for n, x in bare.items() if x <= 1}
        parts.percent |= {n: x for n, x in bare.items() if x > 1}
        _ask_share(grid, parts, desk, small)


def _ask_share(
    grid: Grid, parts: Parts, desk: Desk, cells: Mapping[int, float]
) -> None:
    """Ask whether numbers are percent or parts of one."""
    if not cells:
        return
    line = next(iter(cells))
    raw, number = parts.raws[line], cells[line]
    answer = desk.ask(
        "percent or parts of one",
        grid.place(parts.column, line),
        seen=f"{clip(raw)} on {some(list(cells))}",
        expected=_PERCENT.expected,
        mend='answer which, or write the sign with the number, as in "20 %"',
        choices=(
            Choice("percent", "the number is a percent", f"{raw} is {number:g} %"),
            Choice(
                "parts of one", "1 is the whole tank", f"{raw} is {100 * number:g} %"
            ),
            _UNSIZED,
        ),
        touches=[parts.column.header, *(parts.raws[n] for n in cells)],
        lines=list(cells),
    )
    factor = {"percent": 1.0, "parts of one": 100.0}.get(answer or "")
    if factor is not None:
        parts.percent |= {n: x * factor for n, x in cells.items()}
    else:
        parts.unknown |= set(cells)


def _ask_unit(grid: Grid, parts: Parts, desk: Desk, cells: Mapping[int, float]) -> None:
    """Ask what numbers without any unit count."""
    line = next(iter(cells))
    raw, number = parts.raws[line], cells[line]
    shares = [] if parts.column.kind == "volume" else ["percent", "parts of one"]
    shares = [s for s in shares if s == "percent" or max(cells.values()) <= 1]
    volumes = ["litres", "US gallon", "imperial gallon"]
    examples = {"percent": f"{number:g} %", "parts of one": f"{100 * number:g} %"}
    examples |= {v: f"{number * (litres_factor(v) or 1):.4g} L" for v in volumes}
    answer = desk.ask(
        "unit of the exchange",
        grid.place(parts.column, line),
        seen=f"{clip(raw)} on {some(list(cells))}",
        expected=f"{_PERCENT.expected}; or {_VOLUME.expected}",
        mend='answer the unit, or write it in the header, as in "exchanged (%)"; '
        'for buckets answer with their size, as in "10 L each"',
        choices=(
            *(Choice(w, w, f"{raw} is {examples[w]}") for w in [*shares, *volumes]),
            _UNSIZED,
        ),
        touches=[parts.column.header, *(parts.raws[n] for n in cells)],
        lines=list(cells),
        free=_EACH,
    )
    each = re.fullmatch(_EACH, answer or "")
    factor = float(each[1]) if each else litres_factor(answer)
    if answer in {"percent", "parts of one"}:
        scale = 1.0 if answer == "percent" else 100.0
        parts.percent |= {n: x * scale for n, x in cells.items()}
    elif factor is not None:
        parts.litres |= {n: x * factor for n, x in cells.items()}
    else:
        parts.unknown |= set(cells)


def _settle_gallons(
    grid: Grid,
    parts: Parts,
    desk: Desk,
    cells: Mapping[int, tuple[float, str]],
    word: str,
) -> None:
    """Ask which gallon; the bare numbers are kept for a share of the tank."""
    factor = ask_gallon(grid, parts.column, desk, dict(sorted(cells.items())), word)
    if factor is None:
        parts.gallons |= {n: x for n, (x, _) in cells.items()}
    else:
        parts.litres |= {n: x * factor for n, (x, _) in cells.items()}


def _limit(grid: Grid, parts: Parts, desk: Desk) -> None:
    """Leave out shares of more than the whole tank, and name them."""
    for line in [n for n, x in parts.percent.items() if x > 100]:
        del parts.percent[line]
        parts.unknown.add(line)
        desk.tell(
            "error",
            "more than the whole tank",
            grid.place(parts.column, line),
            seen=clip(parts.raws[line]),
            expected=_PERCENT.expected,
            mend="correct the percent; if these are litres, say so in the header",
        )


def _note_rough(grid: Grid, parts: Parts, desk: Desk) -> None:
    sized = parts.percent.keys() | parts.litres.keys()
    kept = sorted(parts.rough & sized)
    if not kept:
        return
    line = kept[0]
    percent = parts.percent.get(line)
    shown = f"{percent:.3g} %" if percent else f"{parts.litres[line]:.4g} L"
    desk.tell(
        "note",
        "rough amount",
        grid.place(parts.column, line),
        seen=clip(parts.raws[line]),
        expected="a measured amount",
        mend=f"taken as {shown}; {some(kept)}",
        lines=kept,
    )


def ask_size(grid: Grid, parts: Parts, desk: Desk, lines: list[int]) -> None:
    """Ask how large exchanges were that are only marked, or named without a size.

    Parameters
    ----------
    grid : Grid
        The table.
    parts : Parts
        The column; takes the size, or the lines as of unknown size.
    desk : Desk
        Where problems go.
    lines : list of int
        Editor lines.
    """
    line = lines[0]
    known = sorted(parts.percent.values())
    usual = f"{median(known):.0f} %" if known else ""
    raws = {n: parts.raws.get(n) for n in lines}
    seen = clip(raws[line] or "") if raws[line] else "a row without a size"
    answer = desk.ask(
        "usual size?",
        grid.place(parts.column, line),
        seen=f"{seen} on {some(lines)}",
        expected='how much was exchanged, such as "25 %" or "40 L"',
        mend="answer with the usual size, or write it in the cells",
        choices=(
            *([Choice(usual, "the usual exchange of this log")] if usual else []),
            _NOT_KNOWN,
            _NONE,
            _UNSIZED,
        ),
        touches=[raws[n] or ",".join(grid.rows[n]) for n in lines],
        lines=lines,
        free=_SIZE,
    )
    size = re.fullmatch(_SIZE, answer or "")
    if size and size[2] == "%" and 0 < float(size[1]) <= 100:
        parts.percent |= dict.fromkeys(lines, float(size[1]))
    elif size and size[2] == "L" and float(size[1]) > 0:
        parts.litres |= dict.fromkeys(lines, float(size[1]))
    elif answer != _NONE.answer:
        parts.unknown |= set(lines)
        parts.sizeless |= set(lines) if answer == _NOT_KNOWN.answer else set()
