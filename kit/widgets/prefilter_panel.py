"""A prefilter that clogs, and what it holds back when it is cleaned in time."""

from __future__ import annotations

from kit import plots, plumbing
from kit.panel import Panel, Picture
from kit.plumbing import Cleaning
from kit.widgets.dial import Dial
from kit.widgets.sheet import Sheet

__all__ = ["CleaningPanel", "ClogPanel"]

_LEAST_DAYS = 7.0
_SHOWN_DAYS = 30.0


class ClogPanel(Panel):
    """Two measured flows on sliders, and the day the flow has fallen too far.

    Attributes
    ----------
    day : float
        When the flow is down to the part chosen. [day]
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        self.day = 0.0
        self.clean = Dial("Flow when clean (any unit)", 600.0, 1.0, 5000.0, 1.0)
        self.later = Dial("Flow some days later", 300.0, 1.0, 5000.0, 1.0)
        self.days = Dial("How many days later", 14.0, 1.0, 60.0, 1.0)
        self.part = Dial(
            "Clean at (% of clean flow)", 70.0, 20.0, 95.0, 1.0, factor=0.01
        )
        self._sheet = Sheet()
        self.picture = self._sheet.picture
        dials = (self.clean, self.later, self.days, self.part)
        for dial in dials:
            dial.watch(self.guarded(lambda _change: self.refresh()))
        self.arrange(*(d.row for d in dials), self.picture.widget, self.words)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Work the day out and show it."""
        days, part = self.days.value, self.part.value
        clog = plumbing.clog_rate(self.clean.value, self.later.value, days)
        self.day = plumbing.days_to_flow(clog, part)
        curve = plumbing.clog_curve(clog, max(days, _LEAST_DAYS))
        plots.clog_picture(curve, part, self.day, ax=self._sheet.blank())
        self._sheet.show(plots.clog_alt(curve, part, self.day))
        self.tell(plumbing.clog_sentences(clog, part, self.day))


class CleaningPanel(Panel):
    """Two cleaning cadences on sliders, and what the change does to nitrate.

    Attributes
    ----------
    tried : Cleaning or None
        What the sliders stand for, worked out.
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        self.tried: Cleaning | None = None
        self.now = Dial("Cleaned now every (days)", 14.0, 0.5, 30.0, 0.5)
        self.then = Dial("To try: every (days)", 2.0, 0.5, 30.0, 0.5)
        self.trapped = Dial(
            "Part of all waste it traps (%)", 15.0, 0.0, 50.0, 1.0, factor=0.01
        )
        self.rot = Dial(
            "Trapped waste rots (% a day)", 15.0, 1.0, 60.0, 1.0, factor=0.01
        )
        self.rate = Dial("Nitrate rise now (mg/L a day)", 2.0, 0.0, 10.0, 0.1)
        self._sheet = Sheet()
        self.picture = self._sheet.picture
        dials = (self.now, self.then, self.trapped, self.rot, self.rate)
        for dial in dials:
            dial.watch(self.guarded(lambda _change: self.refresh()))
        self.arrange(*(d.row for d in dials), self.picture.widget, self.words)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Compare both cadences and show them."""
        now, then, rate = self.now.value, self.then.value, self.rate.value
        tried = self.tried = plumbing.try_cleaning(
            rate,
            now_days=now,
            then_days=then,
            trapped=self.trapped.value,
            rot_per_day=self.rot.value,
        )
        curve = plumbing.rot_curve(self.rot.value, _SHOWN_DAYS)
        points = ((now, tried.now_share), (then, tried.then_share))
        plots.rot_picture(curve, *points, ax=self._sheet.blank())
        self._sheet.show(plots.rot_alt(curve, *points))
        self.tell(plumbing.cleaning_sentences(tried, now, then, rate))
