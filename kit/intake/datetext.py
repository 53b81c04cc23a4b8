"""The text of one date or time cell, as far as that cell alone can tell."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Final, Literal

from kit.celltext import has_odd_digit, words

__all__ = [
    "BadDate",
    "DayParts",
    "FixedDay",
    "Stamp",
    "read_date",
    "read_time",
]

_MONTH_WORDS: Final = {
    1: "january jan januar jän janvier enero gennaio janeiro januari ene",
    2: "february feb februar février fevrier febrero febbraio fevereiro februari fév",
    3: "march mar märz mär marz mars marzo março maart mrt",
    4: "april apr avril abril aprile avr abr",
    5: "may mai mayo maggio maio mei",
    6: "june jun juni juin junio giugno junho",
    7: "july jul juli juillet julio luglio julho",
    8: "august aug août aout agosto augustus ago",
    9: "september sep sept septembre septiembre settembre setembro",
    10: "october oct oktober okt octobre octubre ottobre outubro",
    11: "november nov novembre noviembre novembro",
    12: "december dec dezember dez décembre decembre diciembre dicembre dezembro dic",
}
_MONTHS: Final = {w: n for n, text in _MONTH_WORDS.items() for w in text.split()}
_WEEKDAY: Final = re.compile(
    r"(mon|tue|wed|thu|fri|sat|sun)(?:s?day|nesday|rsday|urday|s|rs|r|ur)?\.?,? ?"
)
_WEEKDAY_AFTER: Final = re.compile(
    r",? \(?(?:mon|tue|wed|thu|fri|sat|sun)(?:s?day|nesday|rsday|urday|s|rs|r|ur)?\)?$"
)
_ORDINAL: Final = re.compile(r"\b([0-9]{1,2})(?:st|nd|rd|th)\b")
_TIME_TEXT: Final = (
    r"(?P<h>[0-9]{1,2})[:.h](?P<m>[0-9]{2})(?::(?P<s>[0-9]{2})(?:[.,][0-9]{1,6})?)?"
    r" ?(?P<half>am|pm|a\.m\.?|p\.m\.?)?"
    r" ?(?P<zone>z|utc|gmt|[+-][0-9]{2}:?[0-9]{2})?"
)
_TIME: Final = re.compile(_TIME_TEXT)
_HOUR: Final = re.compile(r"(?P<h>[0-9]{1,2}) ?(?P<half>am|pm|a\.m\.?|p\.m\.?)")
_RUN_HOUR: Final = re.compile(r"(?P<h>[0-2][0-9])(?P<m>[0-5][0-9])")
_DAY_SHARE: Final = re.compile(r"0?\.[0-9]{1,15}")
_WITH_TIME: Final = re.compile(
    rf"(?P<day>.{{6,40}}?)(?:,? |(?<=[0-9])t(?=[0-9]))(?:at )?(?P<time>{_TIME_TEXT})"
)
_YEAR_FIRST: Final = re.compile(
    r"([0-9]{4})(?: ?[-/.] ?| )([0-9]{1,2})(?: ?[-/.] ?| )([0-9]{1,2})\.?"
)
_RUN_DAY: Final = re.compile(r"((?:19|20)[0-9]{2})([01][0-9])([0-3][0-9])")
_PARTS: Final = re.compile(
    r"([0-9]{1,2})(?: ?[-/.] ?| )([0-9]{1,2})(?: ?[-/.] ?| )('?[0-9]{2}|[0-9]{4})\.?"
)
_SERIAL: Final = re.compile(r"([0-9]{5})(?:\.([0-9]{1,15}))?")
_NO_YEAR: Final = re.compile(r"[0-9]{1,2}[-/. ][0-9]{1,2}\.?")
_EPOCH: Final = dt.date(1899, 12, 30)
_SERIALS: Final = (20_000, 60_000)


@dataclass(frozen=True, slots=True)
class FixedDay:
    """A cell that is one day, whatever its neighbours say.

    Parameters
    ----------
    day : datetime.date
        The day.
    how : {"plain", "month name", "serial", "short year"}
        How it was written.
    weekday : str
        First three letters of a weekday written before it.
    """

    day: dt.date
    how: Literal["plain", "month name", "serial"] = "plain"
    weekday: str = ""
    short_year: bool = False


@dataclass(frozen=True, slots=True)
class DayParts:
    """Two small numbers and a year: the order of day and month is open.

    Parameters
    ----------
    first, second : int
        The two numbers in the order written.
    year : int
        Year; two digits are taken as 20yy.
    short_year : bool
        The year was written with two digits.
    """

    first: int
    second: int
    year: int
    short_year: bool = False
    weekday: str = ""

    def as_day(self, *, day_first: bool) -> dt.date | None:
        """Read it in one order.

        Parameters
        ----------
        day_first : bool
            Whether the first number is the day.

        Returns
        -------
        datetime.date or None
            None when there is no such day.
        """
        day, month = self.first, self.second
        if not day_first:
            day, month = month, day
        return _day(self.year, month, day)


@dataclass(frozen=True, slots=True)
class BadDate:
    """A cell that is no day, with the reason and the cure."""

    kind: str
    mend: str


@dataclass(frozen=True, slots=True)
class Stamp:
    """A day cell with the time of day that stood in it, if any."""

    day: FixedDay | DayParts
    time: dt.time | None = None
    zone: str = ""


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _clock(match: re.Match[str]) -> dt.time | None:
    """Make a time of day out of hours, minutes and am or pm."""
    found = match.groupdict()
    hour, minute = int(found["h"]), int(found.get("m") or 0)
    second = int(found.get("s") or 0)
    half = (found.get("half") or "")[:1]
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return dt.time(hour, minute, second)
    except ValueError:
        return None


def read_time(raw: str) -> dt.time | None:
    """Read a time-of-day cell.

    Parameters
    ----------
    raw : str
        Cell as written, such as ``"18:30"``, ``"6.30 pm"``, ``"0.75"``.

    Returns
    -------
    datetime.time or None
        Wall-clock time; None when it is none.

    Examples
    --------
    >>> read_time("6:30 pm"), read_time("0.75"), read_time("25:00")
    (datetime.time(18, 30), datetime.time(18, 0), None)
    """
    text = words(raw)
    if has_odd_digit(raw) or re.fullmatch(r"0\.[0-5][0-9]", text):
        return None  # minutes after midnight, or a share of the day
    if _DAY_SHARE.fullmatch(text):
        seconds = round(float(text) * 86_400)
        if seconds < 86_400:
            minutes, second = divmod(seconds, 60)
            return dt.time(*divmod(minutes, 60), second)
    for pattern in (_TIME, _HOUR, _RUN_HOUR):
        match = pattern.fullmatch(text)
        if match:
            return _clock(match)
    return {"noon": dt.time(12), "midday": dt.time(12)}.get(text)


def _with_month_name(text: str, weekday: str) -> FixedDay | BadDate | None:
    """Read a day whose month is a word."""
    plain = re.sub(r"[-/.,]", " ", _ORDINAL.sub(r"\1", text)).replace(" of ", " ")
    plain = plain.replace("'", "")
    tokens = [t for t in plain.split() if t != "de"]
    months = [i for i, t in enumerate(tokens) if t in _MONTHS]
    if len(months) != 1 or not all(
        re.fullmatch(r"[a-zà-ÿ]+|[0-9]+", t) for t in tokens
    ):
        return None
    numbers = [t for i, t in enumerate(tokens) if i != months[0]]
    if len(numbers) == 1 and len(numbers[0]) == 4:
        return BadDate("day missing", "write the day too, such as 2026-04-03")
    if len(numbers) == 1 and numbers[0].isdigit():
        return BadDate("year missing", "write the year too, such as 2026-04-03")
    if len(numbers) != 2 or not all(re.fullmatch("[0-9]{1,4}", n) for n in numbers):
        return None
    year, day = (numbers[0], numbers[1]) if len(numbers[0]) == 4 else numbers[::-1]
    if len(year) not in {2, 4} or len(day) > 2:
        return None
    short = len(year) == 2
    found = _day(int(year) + 2000 * short, _MONTHS[tokens[months[0]]], int(day))
    if found is None:
        return _no_such_day()
    return FixedDay(found, "month name", weekday, short)


def _no_such_day() -> BadDate:
    return BadDate("impossible date", "there is no such day; correct day or month")


def _from_parts(match: re.Match[str], weekday: str) -> FixedDay | DayParts | BadDate:
    """Sort two numbers and a year."""
    first, second, year = int(match[1]), int(match[2]), match[3].lstrip("'")
    short = len(year) == 2
    parts = DayParts(first, second, int(year) + 2000 * short, short, weekday)
    readings = {parts.as_day(day_first=True), parts.as_day(day_first=False)} - {None}
    if not readings:
        return _no_such_day()
    return parts


def _from_serial(match: re.Match[str]) -> tuple[FixedDay, dt.time | None] | None:
    number = int(match[1])
    if not _SERIALS[0] <= number <= _SERIALS[1]:
        return None
    whole = not match[2] or not match[2].strip("0")
    time = None if whole else read_time(f"0.{match[2]:0<3}")
    return FixedDay(_EPOCH + dt.timedelta(days=number), "serial"), time


def _day_text(text: str) -> FixedDay | DayParts | BadDate | None:
    """Read the day part of a cell."""
    prefix = _WEEKDAY.match(text)
    weekday = prefix[1] if prefix and prefix.end() < len(text) else ""
    if prefix and weekday:
        text = text[prefix.end() :].strip()
    for pattern in (_YEAR_FIRST, _RUN_DAY):
        match = pattern.fullmatch(text)
        if match:
            found = _day(int(match[1]), int(match[2]), int(match[3]))
            return FixedDay(found, "plain", weekday) if found else _no_such_day()
    match = _PARTS.fullmatch(text)
    if match:
        return _from_parts(match, weekday)
    return _with_month_name(text, weekday)


def read_date(raw: str) -> Stamp | BadDate:
    """Read a date cell, without looking at its neighbours.

    Parameters
    ----------
    raw : str
        Cell as written.

    Returns
    -------
    Stamp or BadDate
        The day, or its two numbers where the order is open, and the time of day
        where one stands in the cell; or why it is no date.

    Examples
    --------
    >>> read_date("2026-04-03").day.day
    datetime.date(2026, 4, 3)
    >>> read_date("03/04/2026").day.first
    3
    >>> read_date("yesterday").kind
    'not a date'
    """
    if has_odd_digit(raw):
        return BadDate("not a date", "write the day with plain digits")
    text = _WEEKDAY_AFTER.sub("", words(raw)[:60])
    serial = _SERIAL.fullmatch(text)
    if serial:
        found = _from_serial(serial)
        if found:
            return Stamp(*found)
    day = _day_text(text)
    time, zone = None, ""
    if day is None:
        match = _WITH_TIME.fullmatch(text)
        day = _day_text(match["day"].rstrip(",")) if match else None
        if match and day is not None:
            time, zone = _clock(match), match["zone"] or ""
            if time is None:
                return BadDate("impossible time", 'write the time as "18:30"')
    if isinstance(day, BadDate):
        return day
    return _refused(text) if day is None else Stamp(day, time, zone)


def _refused(text: str) -> BadDate:
    """Say why a text is no date."""
    if re.fullmatch("#{2,60}", text):
        return BadDate(
            "date lost", "the column was too narrow; widen it and save as CSV again"
        )
    if _NO_YEAR.fullmatch(text):
        return BadDate("year missing", "write the year too, such as 2026-04-03")
    return BadDate("not a date", "write the day as year-month-day, such as 2026-04-03")
