"""Cells of a tidy logbook: numbers, times, readings and words."""

from __future__ import annotations

import datetime as dt

from kit import escape
from kit.basis import NITRATE_PER_N
from kit.logbook import SourceTest, Standard, Tank, Test

__all__ = ["basis_of", "number", "reading", "spelled", "time_of_day", "words"]


def number(value: float | None) -> str:
    """Write a number so that it reads back the same and as nothing else."""
    if value is None:
        return ""
    text = f"{value:.12g}"
    if "e" in text:
        text = f"{value:.12f}".rstrip("0").rstrip(".")
    # Three decimals alone could also be thousands, as some countries write them.
    return text + "0" if len(text.partition(".")[2]) == 3 else text


def time_of_day(time: dt.time | None) -> str:
    if time is None:
        return ""
    return time.strftime("%H:%M:%S" if time.second else "%H:%M")


def words(text: str) -> str:
    """Make free text harmless in a spreadsheet; once is enough."""
    return escape.csv_text(escape.csv_text_back(escape.plain(text)))


def reading(test: Test | SourceTest | Standard, factor: float) -> str:
    """Write a reading as its number, where it has one, else by its ends."""
    if test.value_mg_l is None:
        return spelled(test, factor)
    return _doubt(test) + number(test.value_mg_l / factor)


def spelled(test: Test | SourceTest | Standard, factor: float) -> str:
    """Write a reading by the ends of what it allows, as no kit would round them."""
    low, high = test.low_mg_l / factor, test.high_mg_l
    if high is None:
        return f"{_doubt(test)}>{number(low)}"
    if low == high / factor:
        return _doubt(test) + number(low)
    if low <= 0.0:
        return f"{_doubt(test)}<{number(high / factor)}"
    return f"{_doubt(test)}{number(low)}-{number(high / factor)}"


def _doubt(test: Test | SourceTest | Standard) -> str:
    return "~" if getattr(test, "doubtful", False) else ""


def basis_of(tank: Tank) -> tuple[str, float]:
    """Name what the kit's numbers count, and the factor to NO3."""
    nitrogen = tank.kit_basis == "NO3-N"
    return ("NO3-N", NITRATE_PER_N) if nitrogen else ("NO3", 1.0)
