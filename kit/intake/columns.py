"""What each column of a table holds, from its header and units row alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from kit.celltext import words
from kit.intake.headers import BRACKETS, Unit, joined, parse_unit, split_header
from kit.intake.vocabulary import (
    NAMES,
    SOURCE_WORDS,
    STANDARD_NAMES,
    plain_name,
)
from kit.structure import Table

__all__ = [
    "VALUE_ROLES",
    "Column",
    "Unit",
    "columns_of",
    "letter_of",
    "parse_unit",
    "role_of",
]

Moment = Literal["before", "after"]

VALUE_ROLES: Final = frozenset(
    {"nitrate", "source nitrate", "known", "feed", "pinches", "exchange", "drip"}
)
"""Roles whose cells are amounts."""

_MOMENT: Final = re.compile(r"\b(before|after|pre|post)\b(?: ?-?(?:wc|change))?")
_WITH_ASIDES: Final = frozenset(
    {"nitrate", "date", "time", "note", "task", "reader", "kit", "exchange", "feed"}
)
_NOT_IN_BRACKETS: Final = re.compile(r"top[ -]?(?:up|off)|evaporat\w{0,6}|\w{0,4}days?")
_CLOCK: Final = re.compile(r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?(?: ?[ap]m)?")
# What a header without a unit means in a file that says what it holds.
_BY_FILE: Final = {
    "tests": "nitrate",
    "source": "source nitrate",
    "exchanges": "exchange",
    "feedings": "feed",
}
_KIND_BY_FILE: Final = {"exchanges": "exchange kind", "feedings": "food kind"}


@dataclass(frozen=True, slots=True)
class Column:
    """One column and what it holds.

    Parameters
    ----------
    index : int
        Place in the record, from 0.
    header : str
        As written.
    role : str
        What it holds; ``"unknown"`` when no synonym fits.
    unit : Unit or None
        From the header or the units row.
    kind : str
        For an exchange column: ``"backwash"`` when the header says so.
    moment : {"before", "after"} or None
        For a nitrate column: said to be before or after the exchange.
    other_unit : Unit or None
        A different unit in the units row, when header and row disagree.
    below : str
        Cell of the units row, as written.
    was : str
        For a held column: the role it may turn out to have.
    """

    index: int
    header: str
    role: str
    unit: Unit | None = None
    kind: str = ""
    moment: Moment | None = None
    other_unit: Unit | None = None
    below: str = ""
    was: str = ""

    def held(self, was: str = "") -> Column:
        """Give the column as held by an open question.

        Parameters
        ----------
        was : str
            The role it may turn out to have; its present one when left out.
        """
        return replace(self, role="held", was=was or self.role)

    @property
    def letter(self) -> str:
        """Letter of the column in a spreadsheet."""
        return letter_of(self.index)

    @property
    def measure(self) -> str | None:
        """What the unit measures, if there is one."""
        return None if self.unit is None else self.unit.measure


def letter_of(index: int) -> str:
    """Give the spreadsheet letter of a column.

    Parameters
    ----------
    index : int
        Place from 0.

    Returns
    -------
    str
        ``"A"`` to ``"Z"``, then ``"AA"`` and so on.

    Examples
    --------
    >>> letter_of(0), letter_of(27)
    ('A', 'AB')
    """
    text, rest = "", index + 1
    while rest:
        rest, digit = divmod(rest - 1, 26)
        text = chr(ord("A") + digit) + text
    return text


def _nitrate_role(name: str) -> str | None:
    """Tell the tank's nitrate from the new water's."""
    parts = set(name.split())
    spoken = parts & {"nitrate", "no3", "nitrat", "nitrato", "nitraat", "n03"}
    if (
        spoken
        and parts - spoken
        and parts - spoken <= SOURCE_WORDS - {"water"} | {"water"}
    ):
        return "nitrate" if parts - spoken == {"water"} else "source nitrate"
    return None


def _same_for_all(bare: str) -> str:
    """Find the role that every word of a name has alone, as in "notes / remarks"."""
    roles = {NAMES.get(w, "unknown") for w in bare.split()}
    return roles.pop() if len(roles) == 1 else "unknown"


def _role(name: str, unit: Unit | None, kind: str) -> str:
    """Find the role of a bare name."""
    if kind == "standards" and words(name) in STANDARD_NAMES:
        return STANDARD_NAMES[words(name)]
    bare = plain_name(name) or words(name)
    role = NAMES.get(bare) or _nitrate_role(bare) or _same_for_all(bare)
    if role == "tank name" and unit is not None and unit.measure == "volume":
        return "tank volume"
    if role == "kind":
        return _KIND_BY_FILE.get(kind, "unknown")
    if role in {"generic", "generic volume"} or not bare:
        return _generic(role, unit, kind)
    return role


def _generic(role: str, unit: Unit | None, kind: str) -> str:
    """Decide a name such as "amount", or a unit alone, by the file's own name."""
    meant = _BY_FILE.get(kind)
    measure = unit.measure if unit is not None else None
    if measure in {"nitrate", "basis"} and unit and unit.nitrate:
        if meant == "source nitrate":
            return meant
        said = unit.nitrate.basis_said
        return "nitrate" if said or meant == "nitrate" else "which?"
    fits: dict[str, set[str | None]] = {
        "exchange": {None, "percent", "fraction", "volume"},
        "feed": {None, "mass"},
        "nitrate": {None},
        "source nitrate": {None},
    }
    if meant and measure in fits[meant] and role in {"generic", "generic volume"}:
        return meant
    if meant and measure is not None and measure in fits[meant]:
        return meant
    return "which?"


def _fits(role: str, unit: Unit | None) -> bool:
    """Tell whether a unit can belong to a role."""
    if unit is None:
        return True
    allowed = {
        "nitrate": {"nitrate", "basis"},
        "source nitrate": {"nitrate", "basis"},
        "known": {"nitrate", "basis"},
        "feed": {"mass"},
        "exchange": {"percent", "fraction", "volume"},
        "tank volume": {"volume"},
        "drip": {"flow", "volume"},
    }.get(role)
    return allowed is None or unit.measure in allowed


def _column(index: int, header: str, kind: str) -> Column:
    """Read one header."""
    name, unit = split_header(header)
    moment = _MOMENT.search(name)
    when: Moment | None = None
    role = _role(name, unit, kind)
    if role == "unknown" and moment is not None:
        without = _MOMENT.sub(" ", name)
        role = _role(re.sub(r"\b(wc|water change|change)\b", " ", without), unit, kind)
        role = role if role == "nitrate" else "unknown"
        when = "before" if moment[1] in {"before", "pre"} else "after"
    if not words(header):
        return Column(index, header, "unknown")
    if role == "unknown":
        role, unit = _without_asides(words(header), unit, kind)
    if not _fits(role, unit):
        role, unit = ("unknown", unit)
    role, extra = _exchange_like(role)
    return Column(index, header, role, unit, extra, when if role == "nitrate" else None)


def _without_asides(text: str, unit: Unit | None, kind: str) -> tuple[str, Unit | None]:
    """Read a header again without brackets that are no unit, or its first slash."""
    brackets = BRACKETS.findall(text)
    if " - " in text:
        front, _, after = text.partition(" - ")
        name, bare = split_header(front)
        bare = joined(bare, parse_unit(after))
        role = _role(name, bare, kind)
        return (role, bare) if role == "nitrate" else ("unknown", unit)
    if not brackets:
        name, bare = split_header(text.replace("/", " ", 1))
        role = _role(name, bare, kind) if "/" in text else "unknown"
        return role, unit if role == "unknown" else bare
    name, bare = split_header(BRACKETS.sub(" ", text))
    if not any(parse_unit(b) for b in brackets):
        unit = bare
    role = _role(name, unit, kind)
    spoken = [b.strip() for b in brackets if parse_unit(b) is None]
    if any(_NOT_IN_BRACKETS.fullmatch(b) for b in spoken):
        return "unknown", unit
    return role if role in _WITH_ASIDES else "unknown", unit


def _exchange_like(role: str) -> tuple[str, str]:
    """Fold the exchange roles into one, with what the header says of the kind."""
    if role == "backwash":
        return "exchange", "backwash"
    if role == "exchange volume":
        return "exchange", "volume"
    return role, ""


def role_of(header: str, kind: str) -> str:
    """Find the role of one header by itself.

    Parameters
    ----------
    header : str
        As written.
    kind : str
        What the file holds by its name.

    Returns
    -------
    str
        ``"unknown"`` when no synonym fits.

    Examples
    --------
    >>> role_of("Test date", "wide")
    'date'
    """
    return _column(0, header, kind).role


def columns_of(table: Table, kind: str) -> tuple[Column, ...]:
    """Decide what each column of a table holds.

    Parameters
    ----------
    table : Table
        Header, units row and records.
    kind : str
        What the file holds by its name, see `kit.intake.vocabulary.file_kind`.

    Returns
    -------
    tuple of Column
        One for each header.
    """
    columns = [_column(i, h, kind) for i, h in enumerate(table.header)]
    if table.header_line is None:
        columns = [_by_cells(c, table) for c in columns]
    columns = _volumes(columns, table.header)
    return tuple(
        _below(c, u, kind)
        for c, u in zip(
            columns, (*table.units, *[""] * len(columns))[: len(columns)], strict=True
        )
    )


def _by_cells(column: Column, table: Table) -> Column:
    """Take a column without a name by its cells: words alone are notes."""
    cells = [words(r.cells[column.index]) for r in table.records]
    if any(re.search("[0-9]", cell) for cell in cells):
        timed = all(not c or _CLOCK.fullmatch(c) for c in cells)
        return replace(column, role="time" if timed else "which?")
    return replace(column, role="note")


def _below(column: Column, text: str, kind: str) -> Column:
    """Join the cell of the units row to a column."""
    column = replace(column, below=text)
    if column.role == "unknown" and words(text):
        # A header of two lines: "Test" over "NO3 (mg/L)".
        for header in (f"{column.header} {text}", text):
            again = _column(column.index, header, kind)
            if again.role not in {"unknown", "which?"}:
                return replace(again, header=column.header, below=text)
    unit = parse_unit(words(text).strip("()[]{} "))
    if unit is None:
        return column
    if column.unit is None:
        role = column.role
        if role in {"which?", "tank name"}:
            role = _role(split_header(column.header)[0], unit, kind)
        return replace(column, unit=unit, role=role)
    if unit.measure == "basis" or _same_unit(column.unit, unit):
        return replace(column, unit=joined(column.unit, unit))
    return replace(column, other_unit=unit)


def _same_unit(one: Unit, other: Unit) -> bool:
    """Tell whether two spellings mean the same."""
    if one.measure != other.measure:
        return False
    if one.nitrate is None or other.nitrate is None:
        return one.factor == other.factor
    said = one.nitrate.basis_said and other.nitrate.basis_said
    return one.nitrate.factor == other.nitrate.factor or not said


def _volumes(columns: Sequence[Column], header: Iterable[str]) -> list[Column]:
    """Tell a bare "volume" from its neighbours: the tank's, or the exchange's."""
    roles = {c.role for c in columns}
    out = []
    for column, text in zip(columns, header, strict=True):
        bare = plain_name(split_header(text)[0])
        if column.role == "which?" and NAMES.get(bare) == "generic volume":
            if "exchange" in roles and "tank volume" not in roles:
                column = replace(column, role="tank volume")
            elif "tank volume" in roles and "exchange" not in roles:
                column = replace(column, role="exchange", kind="volume")
        out.append(column)
    return out
