"""The tuning bench: percent, interval and drip of a tank, against a ceiling."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import plots, scenario, style, window, words
from kit.errors import PlanError
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.panel import Picture
from kit.plan import solve_interval, solve_percent
from kit.rounding import Output, format_flow, round_for_people
from kit.sawtooth import Habit
from kit.scenario import Scenario
from kit.subject import Subject
from kit.widgets.bench_frame import BenchFrame
from kit.widgets.dial import Dial
from kit.widgets.habit_dials import HabitDials, drip_dial, same_water_box, scale_drip

__all__ = ["TuneBench"]


class TuneBench(BenchFrame):
    """Sliders for a habit of exchanges, and where it leads in the picked tank.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    percent, interval, drip, ceiling : Dial
        The sliders.
    tried : Scenario or None
        What the sliders stand for, worked out.
    """

    aim = "tune"

    def forget(self) -> None:
        """Let go of what was tried, and of the water to keep."""
        self._like: Habit | None = None
        self.tried: Scenario | None = None

    # Making ---------------------------------------------------------------------

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the sliders, the search, and the picture to be changed in place."""
        self.pair = HabitDials()
        self.percent, self.interval = self.pair.percent, self.pair.interval
        self.drip = drip_dial()
        self.ceiling = Dial("Your ceiling (mg/L, 0 for none)", 0.0, 0.0, 200.0, 1.0)
        self._make_search()
        self._drawn = plots.PlanPicture(style.axes_in(style.blank_figure()))
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        self._connect()
        dials = [d.row for d in (self.percent, self.interval, self.drip, self.ceiling)]
        rows = {"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.2em 1em"}
        search = (self.find_percent, self.find_interval, self.sure, self.same)
        return [*dials, widgets.Box(search, layout=rows)]

    def _make_search(self) -> None:
        self.same = same_water_box()
        self.sure = widgets.Dropdown(
            options=[("as likely as not", 0.5), ("9 in 10", 0.9), ("19 in 20", 0.95)],
            value=0.9,
            description="so that the ceiling holds",
            style={"description_width": "initial"},
            layout={"width": "22em", "max_width": "100%"},
        )
        wide = {"width": "auto"}
        self.find_percent = widgets.Button(description="Find the percent", layout=wide)
        self.find_interval = widgets.Button(description="Find the days", layout=wide)

    def _connect(self) -> None:
        self.percent.watch(self.guarded(lambda _c: self._moved("fraction")))
        self.interval.watch(self.guarded(lambda _c: self._moved("interval")))
        self.drip.watch(self.guarded(lambda _c: self._moved()))
        self.ceiling.watch(self.guarded(lambda _c: self._moved()))
        self.same.observe(self.guarded(self._same_changed), names="value")
        self.find_percent.on_click(self.guarded(lambda _b: self._solve("percent")))
        self.find_interval.on_click(self.guarded(lambda _b: self._solve("interval")))

    # Loading --------------------------------------------------------------------

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start at the habit and ceiling the log shows."""
        self.same.value = False
        self.pair.put(subject.habit)
        self.ceiling.put(subject.ceiling_mg_l or 0.0)
        self.drip.put(subject.habit.drip_l_day)

    def relabel(self, output: Output) -> None:
        """Show the drip in the unit chosen."""
        if self.subject is not None:
            scale_drip(self.drip, self.subject.habit.volume_l, output)

    # Moving ---------------------------------------------------------------------

    def habit(self, tank: Subject) -> Habit:
        """Give the habit the sliders stand for."""
        return replace(self.pair.habit(tank.habit), drip_l_day=self.drip.value)

    def _moved(self, keep: scenario.Keep | None = None) -> None:
        if self._busy or self.subject is None:
            return
        if self._like is not None and keep is not None:
            like = scenario.same_water(self.habit(self.subject), self._like, keep=keep)
            with self.held():
                self.pair.put(like)
        self.refresh()

    def _same_changed(self, _change: Any) -> None:
        on = self.same.value and self.subject is not None
        self._like = self.habit(self.subject) if on and self.subject else None

    def _solve(self, side: str) -> None:
        if self.subject is None:
            return
        if self.ceiling.value <= 0.0:
            self.refresh("Set your ceiling first; the kit has none of its own.")
            return
        try:
            found = self._find(side, self.subject)
        except PlanError as why:
            self.refresh(str(why))
            return
        with self.held():
            self.same.value = False
            self.pair.put(scenario.on_the_safe_side(found))
        self.refresh()

    def _find(self, side: str, tank: Subject) -> Habit:
        """Solve for one side of the habit, with the chance asked for."""
        habit, goal = self.habit(tank), self.ceiling.value
        rate, draws, chance = (
            tank.rate_mg_l_day,
            tank.draws.rate_mg_l_day,
            self.sure.value,
        )
        if side == "interval":
            return solve_interval(habit, rate, goal, rate_draws=draws, chance=chance)
        most = tank.max_percent
        return solve_percent(
            habit, rate, goal, rate_draws=draws, chance=chance, max_percent=most
        )

    # Showing --------------------------------------------------------------------

    def refresh(self, remark: str = "") -> None:
        """Work the sliders' habit out and show it.

        Parameters
        ----------
        remark : str, optional
            A sentence to set before the warnings.
        """
        tank, goal = self.subject, self.ceiling.value or None
        if tank is None:
            return
        self.tried = scenario.try_habit(
            self.habit(tank),
            tank.rate_mg_l_day,
            tank.level_mg_l,
            days=window.days_ahead(tank.seen),
            draws=tank.draws,
            ceiling_mg_l=goal,
            seen=tank.seen,
        )
        self._show(self.tried, tank)
        said = words.plan_sentences(
            self.tried.plan, source_known=tank.source_known, output=self.units.value
        )
        day = _date_said(self.tried, tank.last)
        washed = _backwash_said(tank, self.units.value)
        self.tell([*said, day], [remark, washed, *self.tried.warnings])

    def _show(self, tried: Scenario, tank: Subject) -> None:
        """Draw the picture; only the tank and the ceiling set its height."""
        top = window.picture_top(
            tank.rate_mg_l_day,
            tank.habit.source_mg_l,
            usual=tank.habit,
            start_mg_l=tank.level_mg_l,
            ceiling_mg_l=tried.plan.ceiling_mg_l,
        )
        days = float(tried.trace.days[-1])
        if self._drawn.frame(top, days, output=self.units.value, start=tank.last):
            self.picture.restart()
        self._drawn.show(tried.plan, tried.trace)
        self.picture.draw(plots.plan_alt(tried.plan, tried.trace, start=tank.last))


def _date_said(tried: Scenario, start: dt.date | None) -> str:
    """Name the day by which a change has settled; nothing when it never does."""
    day = None if start is None else scenario.settling_day(tried.plan, start)
    if start is None or day is None:
        return ""
    return (
        f"Begun on {plots.say_day(start)}, the last day of your log, it would be "
        f"95 % there by {plots.say_day(day)}."
    )


def _backwash_said(tank: Subject, output: Output) -> str:
    """Say that backwashes are in the drip; nothing without any."""
    if tank.backwash_l_day == 0.0:
        return ""
    flow = format_flow(round_for_people(tank.backwash_l_day), output)
    return (
        f"The backwashes in your log come to about {flow} and are counted as part of "
        "the drip. Take that much off the drip to see the tank without them."
    )
