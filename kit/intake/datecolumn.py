"""One date column on its way from text to days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from kit.findings import clip
from kit.intake.datetext import Stamp
from kit.intake.desk import Desk, Place

__all__ = ["EXPECTED", "OLDEST", "DateColumn", "Moment"]

OLDEST: Final = dt.date(1950, 1, 1)
"""First day that is taken."""
EXPECTED: Final = 'a day such as "2026-04-03" or "3 Apr 2026"'
_WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True, slots=True)
class Moment:
    """Wall-clock day, and time of day where the date cell holds one."""

    day: dt.date
    time: dt.time | None = None


@dataclass(slots=True)
class DateColumn:
    """One date column, with what is known of it so far.

    Parameters
    ----------
    desk : Desk
        Clock, answers, and where problems go.
    place : Place
        File and column.
    raws : mapping of int to str
        Editor line to cell as written.
    found : dict of int to Moment
        Days read so far.
    """

    desk: Desk
    place: Place
    raws: Mapping[int, str]
    found: dict[int, Moment] = field(default_factory=dict)

    def bad(self, line: int, kind: str, mend: str, expected: str = EXPECTED) -> None:
        """Record a cell that is left out."""
        self.desk.tell(
            "error",
            kind,
            self.place.at(line),
            seen=clip(self.raws[line]),
            expected=expected,
            mend=mend,
        )

    def keep(self, line: int, stamp: Stamp, day: dt.date) -> None:
        """Keep a day that is possible, or say why not."""
        last = self.desk.today + dt.timedelta(days=1)
        short = getattr(stamp.day, "short_year", False)
        if day > last:
            kind = "future date"
            mend = "correct the year, month or day"
            if short:
                mend = "write the year with four digits"
            expected = f"a day up to today, {self.desk.today.isoformat()}"
            self.bad(line, kind, mend, expected)
        elif day < OLDEST:
            self.bad(
                line,
                "date too old",
                "correct the year",
                f"a day from {OLDEST.year} on",
            )
        else:
            self.found[line] = Moment(day, stamp.time)
            self._weekday(line, stamp, day)

    def _weekday(self, line: int, stamp: Stamp, day: dt.date) -> None:
        if stamp.day.weekday and _WEEKDAYS[day.weekday()] != stamp.day.weekday:
            self.desk.tell(
                "note",
                "weekday does not fit",
                self.place.at(line),
                seen=clip(self.raws[line]),
                expected=f"{day.isoformat()} was a {day.strftime('%A')}",
                mend="read by its numbers; correct the day or the weekday",
            )

    def note(self, kind: str, lines: Sequence[int], seen: str, mend: str) -> None:
        """Record a note about some lines."""
        self.desk.tell(
            "note",
            kind,
            self.place.at(lines[0]),
            seen=seen,
            expected=EXPECTED,
            mend=mend,
            lines=lines,
        )
