"""One tank in a log: rows and headings that name several are asked about."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.columns import Column
from kit.intake.desk import Desk, Place, some
from kit.intake.grid import Grid
from kit.intake.lost import lose_rows
from kit.structure import Record, Sheet

__all__ = ["one_tank", "under_one_heading"]

_ALL_ONE: Final = "all one tank"
_OF_TIME: Final = re.compile(
    r"(?:jan|feb|m[aä]r|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])[a-zä]{0,7}"
    r"|(?:19|20)[0-9]{2}|week|month|year|spring|summer|autumn|fall|winter|quarter|kw"
)


def one_tank(grid: Grid, desk: Desk) -> Grid:
    """Keep the rows of one tank when a file names several."""
    column = grid.only("tank name")
    tanks: dict[str, list[int]] = {}
    for line in grid.rows:
        name = words(grid.text(column, line))
        if name:
            tanks.setdefault(name, []).append(line)
    if column is None or len(tanks) < 2:
        return grid
    shown = {n: grid.text(column, lines[0]) for n, lines in tanks.items()}
    wanted = words(desk.tank.name)
    if wanted in tanks:
        kept = _of_this_tank(grid, column, desk, tanks, shown)
    else:
        kept = _of_one_tank(grid, column, desk, tanks, shown)
    return replace(grid, rows={n: r for n, r in grid.rows.items() if n in kept})


def _of_this_tank(
    grid: Grid,
    column: Column,
    desk: Desk,
    tanks: Mapping[str, list[int]],
    shown: Mapping[str, str],
) -> set[int]:
    """Keep the rows under the name in the settings; ask about the others."""
    wanted = words(desk.tank.name)
    others = [n for name, lines in tanks.items() if name != wanted for n in lines]
    kept = set(grid.rows) - set(others)
    names = [shown[name] for name in tanks if name != wanted]
    answer = desk.ask(
        "rows of another tank",
        grid.place(column, others[0]),
        seen=f"{', '.join(clip(n) for n in names[:5])} on {some(others)}",
        expected=f"rows of {clip(desk.tank.name)} only",
        mend="answer whether it is the same tank, or put the rows into another log",
        choices=(
            Choice(_ALL_ONE, "the same tank under another name"),
            Choice("another tank", f"these {len(others)} rows are not used"),
        ),
        touches=[*names, str(len(others))],
        lines=others,
    )
    if answer is None:
        lose_rows(grid, desk, others)
    return set(grid.rows) if answer == _ALL_ONE else kept


def _of_one_tank(
    grid: Grid,
    column: Column,
    desk: Desk,
    tanks: Mapping[str, list[int]],
    shown: Mapping[str, str],
) -> set[int]:
    """Ask which of several tanks is meant; no row is used until then."""
    answer = desk.ask(
        "which tank",
        grid.place(column, next(iter(tanks.values()))[0]),
        seen=f"{len(tanks)} tanks: {', '.join(clip(s) for s in shown.values())}",
        expected="one tank in a log",
        mend="answer which tank, or put each into a file of its own",
        choices=(
            *(
                Choice(name, f"only the rows of {shown[name]}", f"{len(n)} rows")
                for name, n in tanks.items()
            ),
            Choice(_ALL_ONE, "one tank that was renamed"),
        ),
        touches=sorted(shown.values()),
    )
    return set(grid.rows) if answer == _ALL_ONE else set(tanks.get(answer or "", ()))


def under_one_heading(sheet: Sheet, desk: Desk) -> Sheet:
    """Ask which rows belong to this tank when headings part them.

    Parameters
    ----------
    sheet : Sheet
        A file as tables of text.
    desk : Desk
        Where problems go.

    Returns
    -------
    Sheet
        Rows under other headings are gone; all are unsure while that is open.
    """
    parts = _parts(sheet)
    if len(parts) < 2:
        return sheet
    names = [clip(_text(head)) for head, _ in parts]
    answer = desk.ask(
        "several headings",
        Place(sheet.file, parts[0][0].line),
        seen=f"rows under {', '.join(names[:6])}; {some([h.line for h, _ in parts])}",
        expected="the rows of one tank",
        mend="answer which rows are meant, or put each tank into a file of its own",
        choices=(
            *(
                Choice(_text(head), "only the rows under it", some(lines))
                for head, lines in parts
            ),
            Choice(_ALL_ONE, "the headings do not part tanks; all rows are used"),
        ),
        touches=[*names, *(str(len(lines)) for _, lines in parts)],
        lines=[h.line for h, _ in parts],
    )
    if answer == _ALL_ONE:
        return sheet
    wanted = {n for head, lines in parts if _text(head) == answer for n in lines}
    tables = []
    for table in sheet.tables:
        rows = table.records
        if answer is None:
            table = replace(table, unsure=frozenset(r.line for r in rows))
        else:
            kept = tuple(r for r in rows if r.line in wanted)
            table = replace(table, records=kept)
        tables.append(table)
    return replace(sheet, tables=tuple(tables))


def _text(head: Record) -> str:
    return next(c.strip() for c in head.cells if c.strip())


def _parts(sheet: Sheet) -> list[tuple[Record, list[int]]]:
    """Find headings that name no time, with the lines of the rows under each."""
    heads = {a.line: a for a in sheet.asides if _is_name(a)}
    rows = sorted(r.line for t in sheet.tables for r in t.records)
    if not rows or not heads:
        return []
    names = [t.header_line for t in sheet.tables if t.header_line is not None]
    names += [a.line for a in sheet.asides if len([c for c in a.cells if c]) > 1]
    lines = [n for n in sorted(heads) if n > rows[0]]
    first = max((n for n in heads if n < rows[0]), default=None)
    # A title counts as a heading under the names of the columns, or where another
    # heading has names of its own too.
    if first is not None and (
        any(n < first for n in names) or any(n + 1 in names for n in lines)
    ):
        lines.insert(0, first)
    ends = [*lines[1:], rows[-1] + 1]
    found = [
        (heads[n], [r for r in rows if n < r < end])
        for n, end in zip(lines, ends, strict=False)
    ]
    return [(head, under) for head, under in found if under]


def _is_name(aside: Record) -> bool:
    """Tell a heading of words that is neither a time nor a remark."""
    cells = [c.strip() for c in aside.cells if c.strip()]
    if len(cells) != 1 or not cells[0][:1].isalpha():
        return False
    found = re.findall(r"[a-zà-ÿ]{1,20}|[0-9]{1,4}", words(cells[0]))
    return not any(_OF_TIME.fullmatch(w) for w in found)
