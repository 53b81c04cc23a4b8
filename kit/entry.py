"""One new entry for a log, and whether it is sound."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from kit.intake.cells import FEED_LIMIT_G_L, RULES
from kit.intake.columns import Unit, parse_unit
from kit.logbook import Tank
from kit.reading import Reading, TwoReadings, Unreadable, read_nitrate
from kit.units import nitrate_factor

__all__ = ["Amount", "Entry", "Kind", "faults_of", "point_for_comma"]

Kind = Literal["test", "exchange", "feeding", "upkeep", "source test"]

_OLDEST: Final = dt.date(1950, 1, 1)
_COMMA: Final = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d))")


def point_for_comma(text: str) -> str:
    """Write a decimal comma as a point; a file's own sign is put in when saving.

    Parameters
    ----------
    text : str
        A number or a reading as typed.

    Returns
    -------
    str
        Without space at either end.

    Examples
    --------
    >>> point_for_comma(" <0,5 ")
    '<0.5'
    """
    return _COMMA.sub(".", text.strip())


@dataclass(frozen=True, slots=True)
class Amount:
    """A number, or a reading in the keeper's own words, with its unit.

    Parameters
    ----------
    role : str
        What it is: ``"nitrate"``, ``"source nitrate"``, ``"exchange"``, ``"drip"``
        or ``"feed"``.
    text : str
        As typed, such as ``"20"`` or ``"<5"``.
    unit : str
        As chosen, such as ``"%"``; empty for the unit of the column.
    """

    role: str
    text: str
    unit: str = ""

    @property
    def number(self) -> float | None:
        """The number typed; None when it is none."""
        try:
            value = float(point_for_comma(self.text))
        except ValueError:
            return None
        return value if math.isfinite(value) else None

    @property
    def unit_read(self) -> Unit | None:
        """What the unit means; None where none was chosen or it is a pinch."""
        return parse_unit(self.unit) if self.unit else None


@dataclass(frozen=True, slots=True)
class Entry:
    """What the keeper wants to add.

    Parameters
    ----------
    kind : str
        One of `Kind`.
    day : datetime.date or None
        Day of the entry.
    time : datetime.time or None
        Wall-clock time, where known.
    amount : Amount or None
        The reading, exchange, drip or food.
    words : Mapping
        Further text by role: ``"exchange kind"``, ``"food kind"``, ``"task"``,
        ``"reader"``, ``"kit"``, ``"note"``.
    """

    kind: Kind
    day: dt.date | None
    time: dt.time | None = None
    amount: Amount | None = None
    words: Mapping[str, str] = field(default_factory=dict)


def faults_of(entry: Entry, tank: Tank, today: dt.date) -> tuple[str, ...]:
    """Say what keeps an entry from being saved, by the same rules as loading.

    Parameters
    ----------
    entry : Entry
        What was typed.
    tank : Tank
        Settings, for the volume and the kit.
    today : datetime.date
        Day to judge future dates by.

    Returns
    -------
    tuple of str
        Plain sentences; empty when the entry is sound.
    """
    faults = []
    if entry.day is None or not _OLDEST <= entry.day <= today:
        said = "no day" if entry.day is None else entry.day.isoformat()
        faults.append(f"Day: {said} was given. Expected: {RULES['date'].expected}.")
    amount = entry.amount
    if entry.kind == "upkeep":
        if not entry.words.get("task", "").strip():
            faults.append("Task: say in a few words what was done.")
    elif amount is None or not amount.text.strip():
        faults.append("Amount: nothing was given yet.")
    elif amount.role in {"nitrate", "source nitrate"}:
        faults += _reading_faults(amount)
    else:
        faults += _number_faults(amount, tank)
    return tuple(faults)


def _expected(role: str) -> str:
    return f"Expected: {RULES[role].expected}."


def _reading_faults(amount: Amount) -> list[str]:
    read = read_nitrate(amount.text)
    if read is None or isinstance(read, TwoReadings | Unreadable):
        mend = f" {read.mend.capitalize()}." if isinstance(read, Unreadable) else ""
        return [f'Reading: "{amount.text[:40]}". {_expected("nitrate")}{mend}']
    unit = read.unit or nitrate_factor(amount.unit or "mg/L")
    if unit is None:
        return [f'Reading: "{amount.unit[:40]}" is no unit of nitrate.']
    highest = RULES["nitrate"].high or math.inf
    if _top(read) * unit.factor > highest:
        return [f'Reading: "{amount.text[:40]}" is too high. {_expected("nitrate")}']
    return []


def _top(read: Reading) -> float:
    numbers = (read.low, read.high or 0.0, read.value or 0.0)
    return max(numbers)


def _number_faults(amount: Amount, tank: Tank) -> list[str]:
    number, unit = amount.number, amount.unit_read
    role = _rule_of(amount, unit)
    label = RULES[role].title.capitalize()
    if number is None:
        return [f'{label}: "{amount.text[:40]}" is no number. {_expected(role)}']
    factor = unit.factor if unit is not None else None
    value = number * factor if isinstance(factor, float) else number
    if amount.unit == "pinches" and tank.pinch_g is not None:
        value = number * tank.pinch_g
    highest = _highest(role, tank)
    if value < 0 or (value == 0 and role not in {"feed", "drip"}) or value > highest:
        return [f"{label}: {amount.text[:40]} is out of range. {_expected(role)}"]
    return []


def _rule_of(amount: Amount, unit: Unit | None) -> str:
    if amount.role != "exchange":
        return amount.role
    return "volume" if unit is not None and unit.measure == "volume" else "percent"


def _highest(role: str, tank: Tank) -> float:
    """Give the largest value taken, in the fixed unit of the rule."""
    limit = RULES[role].high
    highest = math.inf if limit is None else limit
    if tank.volume_l is None:
        return highest
    if role == "volume":
        return tank.volume_l
    return FEED_LIMIT_G_L * tank.volume_l if role == "feed" else highest
