"""Which file of a logbook takes a new entry, and in which columns."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from kit import safe_write, store
from kit.entry import Amount, Entry, Kind, point_for_comma
from kit.errors import SaveError
from kit.intake.cells import RULES
from kit.intake.columns import Column, Unit, columns_of
from kit.intake.vocabulary import file_kind
from kit.store import Saved
from kit.structure import Table, parse_sheet

__all__ = ["HEADERS", "Target", "cells_of", "last_rows", "line_of", "save", "target"]

HEADERS: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = MappingProxyType(
    {
        "test": (
            "tests.csv",
            ("date", "time", "nitrate (mg/L NO3)", "reader", "kit", "note"),
        ),
        "exchange": (
            "exchanges.csv",
            (
                "date",
                "time",
                "kind",
                "percent (%)",
                "volume (L)",
                "drip (L/day)",
                "note",
            ),
        ),
        "feeding": ("feedings.csv", ("date", "food (g)", "kind", "note")),
        "upkeep": ("upkeep.csv", ("date", "task", "note")),
        "source test": ("source.csv", ("date", "nitrate (mg/L NO3)", "note")),
    }
)
"""File and columns of each kind of entry, where a new file has to be made."""

_SIZE_LIMIT: Final = 20_000_000
_NEEDED: Final = {
    "test": {"nitrate"},
    "exchange": {"exchange", "drip"},
    "feeding": {"feed", "pinches"},
    "upkeep": {"task"},
    "source test": {"source nitrate"},
}


@dataclass(frozen=True, slots=True)
class Target:
    """The file that takes an entry, as it was when it was loaded.

    Parameters
    ----------
    path : pathlib.Path
        The file; it may not be there yet.
    table : Table or None
        Its table; None for a file that is still to be made.
    columns : tuple of Column
        What each of its columns holds.
    sha256 : str or None
        Digest of the file as loaded.
    """

    path: Path
    table: Table | None
    columns: tuple[Column, ...]
    sha256: str | None

    @property
    def is_new(self) -> bool:
        """Whether the file is still to be made."""
        return self.table is None


def target(path: Path, kind: Kind) -> Target:
    """Find the file that takes a kind of entry, and load it.

    Parameters
    ----------
    path : pathlib.Path
        A logbook folder, or one CSV file.
    kind : str
        Kind of entry.

    Returns
    -------
    Target
        In a folder: the file named for that kind, or the one sheet with a column
        for it, or a new file.

    Raises
    ------
    SaveError
        When the path is not there, or several sheets could take the entry.
    """
    path = Path(path)
    if path.is_file():
        return _load(path)
    if not path.is_dir():
        raise SaveError("There is no such folder or file; check the spelling.")
    name, header = HEADERS[kind]
    if (path / name).is_file():
        return _load(path / name)
    stem = name.removesuffix(".csv")
    sheets = [p for p in sorted(path.glob("*.csv")) if _is_log(p)]
    named = [p for p in sheets if file_kind(p.name) == stem]
    if named:
        return _load(named[0])
    wide = [_load(p) for p in sheets if file_kind(p.name) == "wide"]
    fits = [t for t in wide if _NEEDED[kind] & {c.role for c in t.columns}]
    if len(fits) > 1:
        names = " or ".join(t.path.name for t in fits)
        raise SaveError(f"This folder has several sheets; choose {names} itself.")
    if fits:
        return fits[0]
    table = Table(header, 1, ())
    return Target(path / name, None, _columns(table, stem), None)


def _is_log(path: Path) -> bool:
    hidden = path.name.startswith(".") or path.name.endswith(".pending.csv")
    return path.is_file() and not hidden and path.stat().st_size <= _SIZE_LIMIT


def _load(path: Path) -> Target:
    try:
        raw = path.read_bytes()
    except OSError as fault:
        raise SaveError(f"{path.name} cannot be read.") from fault
    sheet = parse_sheet(raw, path.name)
    table = sheet.tables[-1] if sheet.tables else Table((), None, ())
    columns = _columns(table, file_kind(path.name))
    return Target(path, table, columns, safe_write.digest(raw))


def _columns(table: Table, kind: str) -> tuple[Column, ...]:
    """Decide the columns; in a file of source tests "nitrate" is the new water's."""
    columns = columns_of(table, kind)
    if kind != "source":
        return columns
    return tuple(
        replace(c, role="source nitrate") if c.role == "nitrate" else c for c in columns
    )


def cells_of(entry: Entry, goal: Target) -> tuple[dict[str, str | float], list[str]]:
    """Lay an entry out under the file's own column names.

    Parameters
    ----------
    entry : Entry
        A sound entry.
    goal : Target
        The file.

    Returns
    -------
    values : dict
        Column name to cell.
    numeric : list of str
        Columns that follow the file's decimal sign.

    Raises
    ------
    SaveError
        When the file has no column for something that was given.
    """
    out: dict[str, str | float] = {}
    numeric: list[str] = []
    day = entry.day.isoformat() if entry.day is not None else ""
    clock = entry.time.strftime("%H:%M") if entry.time is not None else ""
    date_column = _column(goal, "date")
    time_column = _maybe(goal, "time")
    if clock and time_column is not None:
        out[time_column.header] = clock
    elif clock:
        day = f"{day} {clock}"
    out[date_column.header] = day
    if entry.amount is not None:
        column = _amount_column(entry.amount, goal)
        out[column.header] = _amount_cell(entry.amount, column)
        numeric.append(column.header)
    for role, text in entry.words.items():
        if text.strip():
            out[_column(goal, role).header] = text.strip()
    return {**_tank_name(goal), **out}, numeric


def _maybe(goal: Target, role: str) -> Column | None:
    return next((c for c in goal.columns if c.role == role), None)


def _column(goal: Target, role: str) -> Column:
    found = _maybe(goal, role)
    if found is None:
        raise SaveError(
            f"{goal.path.name} has no column for the {_named(role)}. Leave it empty "
            "here, or add the column to the file first."
        )
    return found


def _named(role: str) -> str:
    return RULES[role].title if role in RULES else role


def _amount_column(amount: Amount, goal: Target) -> Column:
    """Choose the column of the role, best one in the unit that was typed."""
    unit = amount.unit_read
    pinches = _maybe(goal, "pinches")
    if amount.unit == "pinches" and pinches is not None:
        return pinches
    fitting = [c for c in goal.columns if c.role == amount.role]
    for column in fitting:
        if unit is not None and column.measure == unit.measure:
            return column
    # Some files keep litres and percent in one column; the cell then says which.
    return fitting[0] if fitting else _column(goal, amount.role)


def _amount_cell(amount: Amount, column: Column) -> str | float:
    """Write the amount bare where the column says its unit, else with its unit."""
    unit = amount.unit_read
    bare = point_for_comma(amount.text)
    if unit is None and amount.unit and column.role != "pinches":
        return f"{bare} {amount.unit}"
    if unit is None or _same(unit, column.unit):
        return bare if amount.number is None else amount.number
    return f"{bare} {amount.unit}"


def _same(unit: Unit, other: Unit | None) -> bool:
    if other is None or unit.measure != other.measure:
        return False
    if unit.nitrate is not None and other.nitrate is not None:
        # A column that does not say its basis is left as the keeper uses it.
        agreed = unit.nitrate.basis == other.nitrate.basis
        return agreed and unit.nitrate.factor == other.nitrate.factor
    return unit.factor == other.factor


def _tank_name(goal: Target) -> dict[str, str | float]:
    """Fill in the tank's name in a file that repeats it on every row."""
    column = _maybe(goal, "tank name")
    if column is None or goal.table is None:
        return {}
    names = {r.cells[column.index].strip() for r in goal.table.records} - {""}
    if len(names) > 1:
        raise SaveError(
            f"{goal.path.name} holds several tanks; add the entry in the file itself."
        )
    return {column.header: names.pop()} if names else {}


def line_of(entry: Entry, goal: Target) -> str:
    """Give the line as it would stand in the file, without writing.

    Parameters
    ----------
    entry, goal
        As for `save`.

    Returns
    -------
    str
        The line without its end.
    """
    values, numeric = cells_of(entry, goal)
    if goal.is_new:
        return store.preview_new([c.header for c in goal.columns], values)
    return store.preview_entry(goal.path, values, numeric=numeric)


def save(entry: Entry, goal: Target, today: dt.date) -> Saved:
    """Add a sound entry to its file, which is made first where it is missing.

    Parameters
    ----------
    entry : Entry
        With no faults left.
    goal : Target
        The file as loaded.
    today : datetime.date
        Day that names the backup.

    Returns
    -------
    Saved
        Where the line stands.

    Raises
    ------
    SaveError
        When it could not be saved; the file is then as it was.
    """
    values, numeric = cells_of(entry, goal)
    sha256 = goal.sha256
    if goal.is_new:
        sha256 = store.create_log(goal.path, [c.header for c in goal.columns])
    return store.append_entry(
        goal.path, values, expected_sha256=sha256, today=today, numeric=numeric
    )


def last_rows(
    goal: Target, count: int = 5
) -> tuple[Sequence[str], list[Sequence[str]]]:
    """Give the header and the last rows of a file, as text.

    Parameters
    ----------
    goal : Target
        The file as loaded.
    count : int
        How many rows at most.

    Returns
    -------
    header : sequence of str
        Column names.
    rows : list of sequence of str
        Oldest first; the text is the keeper's and must be escaped.
    """
    if goal.table is None:
        return tuple(c.header for c in goal.columns), []
    return goal.table.header, [r.cells for r in goal.table.records[-count:]]
