"""The weeks ahead of the picked tank, under its habit or one to try."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from kit import plots, style, window
from kit.ahead import (
    Coming,
    Kit,
    Outlook,
    days_to_exchange,
    future_draws,
    kit_of,
    outlook,
    outlook_sentences,
    reading_words,
)
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.panel import Picture
from kit.rounding import say_band
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.habit_dials import HabitDials
from kit.widgets.tank_panel import TankPanel, choice

__all__ = ["WeeksAheadPanel"]

_SHOWN = 8
_NO_HABIT = (
    "The log shows no habit of exchanges yet; the sliders begin at a quarter a week, "
    "which is no advice."
)


class WeeksAheadPanel(TankPanel):
    """What the level and the next readings will be.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    seen : Outlook or None
        What is shown.
    """

    united = False
    seen: Outlook | None = None

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the habit to try, the ceiling and how far to look."""
        self.pair = HabitDials()
        self.percent, self.interval = self.pair.percent, self.pair.interval
        self.ceiling = Dial("Your ceiling (mg/L, 0 for none)", 0.0, 0.0, 200.0, 1.0)
        self.weeks = choice(
            "Look ahead", [(f"{n} weeks", n) for n in (2, 4, 8, 12, 26)]
        )
        self.weeks.value = 8
        dials = (self.percent, self.interval, self.ceiling)
        self.heed(*dials, self.weeks)
        self._drawn = plots.AheadPicture(style.axes_in(style.blank_figure()))
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        return [*(d.row for d in dials), self.weeks]

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start at the habit and ceiling the log shows."""
        self.pair.put(subject.habit)
        self.ceiling.put(subject.ceiling_mg_l or 0.0)

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Look ahead and show it."""
        habit = self.pair.habit(subject.habit)
        kit = kit_of(log, result)
        days, start = 7.0 * self.weeks.value, subject.last
        if start is None:
            return
        self.seen = seen = outlook(
            habit,
            future_draws(result),
            kit,
            start=start,
            days=days,
            level_mg_l=subject.level_mg_l,
            rate_mg_l_day=subject.rate_mg_l_day,
            first_days=days_to_exchange(log, habit.interval_days),
            ceiling_mg_l=self.ceiling.value or None,
            meant_mg_l=result.source_mg_l,
        )
        top = window.picture_top(
            subject.rate_mg_l_day,
            subject.habit.source_mg_l,
            usual=subject.habit,
            start_mg_l=subject.level_mg_l,
            ceiling_mg_l=seen.ceiling_mg_l,
        )
        if self._drawn.frame(top, days, start=start):
            self.picture.restart()
        self._drawn.show(seen, kit)
        self.picture.draw(plots.ahead_alt(seen, kit))
        unseen = "" if subject.seen is not None else _NO_HABIT
        self.tell(outlook_sentences(seen, kit), [unseen])
        heads = ("When", "True level, mg/L", "You will most likely read")
        rows = tuple(_cells(c, kit) for c in seen.coming[:_SHOWN])
        self.put_rows("The next tests, if you make them", heads, rows)


def _cells(coming: Coming, kit: Kit) -> tuple[str, str, str]:
    """Give one moment as words."""
    return (
        f"{plots.say_day(coming.day)}, {coming.place} the exchange",
        say_band(coming.level, coming.low, coming.high, "").replace(" (", "("),
        reading_words(coming.reading, kit),
    )
