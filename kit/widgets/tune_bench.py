"""The tuning bench: percent, interval and drip of a tank, against a ceiling."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import cautions, plots, scenario, style, window, words
from kit.errors import PlanError
from kit.panel import Panel, Picture, caution_markup
from kit.plan import solve_interval, solve_percent
from kit.rounding import Output, format_flow, round_for_people
from kit.sawtooth import Habit
from kit.scenario import Scenario
from kit.subject import Subject, subject_of
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.units_switch import units_switch, volume_factor

__all__ = ["TuneBench"]


class TuneBench(Panel):
    """Sliders for a habit of exchanges, and where it leads in the picked tank.

    Parameters
    ----------
    picker : FolderPicker
        Whose tank to tune; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether the cautions of an exchange stand on the page above already; the
        bench shows them itself otherwise.

    Attributes
    ----------
    percent, interval, drip, ceiling : Dial
        The sliders.
    tried : Scenario or None
        What the sliders stand for, worked out.
    """

    picture: Picture

    def __init__(
        self,
        picker: FolderPicker,
        output: Output = "metric",
        *,
        cautioned: bool = False,
    ) -> None:
        super().__init__()
        self.picker = picker
        self.tried: Scenario | None = None
        self._tank: Subject | None = None
        self._like: Habit | None = None
        self._busy = False
        self._make_controls()
        self._drawn = plots.PlanPicture(style.axes_in(style.blank_figure()))
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        self._lay_out(cautioned)
        self.units.value = output
        self._connect()
        self.guarded(self.load)()

    # Making ---------------------------------------------------------------------

    def _make_controls(self) -> None:
        self.percent = Dial("Exchange (% of the water)", 25.0, 0.0, 90.0, 0.5)
        self.interval = Dial("Every (days)", 7.0, 0.5, 60.0, 0.5)
        self.drip = Dial("Drip (L a day)", 0.0, 0.0, 50.0, 0.5)
        self.ceiling = Dial("Your ceiling (mg/L, 0 for none)", 0.0, 0.0, 200.0, 1.0)
        self.units = units_switch()
        self.same = widgets.Checkbox(
            description="Keep the water a month the same",
            indent=False,
            layout={"width": "auto"},
        )
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

    def _lay_out(self, cautioned: bool) -> None:
        rows = {"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.2em 1em"}
        solve = widgets.Box(
            [self.find_percent, self.find_interval, self.sure, self.same], layout=rows
        )
        dials = [d.row for d in (self.percent, self.interval, self.drip, self.ceiling)]
        mind = caution_markup(
            cautions.for_page(*cautions.EXCHANGE), "Before you move water"
        )
        self.arrange(
            *([] if cautioned else [widgets.HTML(mind)]),
            self.units,
            *dials,
            solve,
            self.picture.widget,
            self.words,
        )

    def _connect(self) -> None:
        self.percent.watch(self.guarded(lambda _c: self._moved("fraction")))
        self.interval.watch(self.guarded(lambda _c: self._moved("interval")))
        self.drip.watch(self.guarded(lambda _c: self._moved()))
        self.ceiling.watch(self.guarded(lambda _c: self._moved()))
        self.same.observe(self.guarded(self._same_changed), names="value")
        self.units.observe(self.guarded(lambda _c: self._rename()), names="value")
        self.find_percent.on_click(self.guarded(lambda _b: self._solve("percent")))
        self.find_interval.on_click(self.guarded(lambda _b: self._solve("interval")))
        self.picker.listen(self.guarded(self.load))

    # Loading --------------------------------------------------------------------

    def load(self) -> None:
        """Take over the picked tank; the sliders start at the habit its log shows."""
        self._tank, self._like, self.tried = None, None, None
        log, result = self.picker.log, self.picker.fit()
        if log is None or result is None:
            self.fail("Nothing to tune: no logbook is read. Pick one above.")
            return
        tank = self._tank = subject_of(log, result)
        with self._held():
            self.same.value = False
            self._turn(tank.habit)
            self.ceiling.put(tank.ceiling_mg_l or 0.0)
        self._rename(tank.habit.drip_l_day)

    def _rename(self, drip_l_day: float | None = None) -> None:
        """Show volumes in the unit chosen, with a drip range that suits the tank."""
        if self._tank is None:
            return
        output: Output = self.units.value
        kept = self.drip.value if drip_l_day is None else drip_l_day
        factor = volume_factor(output)
        label = "Drip (US gal a day)" if output == "us" else "Drip (L a day)"
        most = window.drip_range(self._tank.habit.volume_l / factor)
        with self._held():
            self.drip.rename(label, 0.0, most, most / 100.0, factor)
            self.drip.put(kept)
        self.refresh()

    # Moving ---------------------------------------------------------------------

    @contextmanager
    def _held(self) -> Iterator[None]:
        """Move sliders without answering to each."""
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def _turn(self, habit: Habit) -> None:
        """Put percent and interval where a habit has them."""
        self.percent.put(100.0 * habit.fraction)
        self.interval.put(habit.interval_days)

    def habit(self, tank: Subject) -> Habit:
        """Give the habit the sliders stand for."""
        return replace(
            tank.habit,
            fraction=self.percent.value / 100.0,
            interval_days=self.interval.value,
            drip_l_day=self.drip.value,
        )

    def _moved(self, keep: scenario.Keep | None = None) -> None:
        if self._busy or self._tank is None:
            return
        if self._like is not None and keep is not None:
            like = scenario.same_water(self.habit(self._tank), self._like, keep=keep)
            with self._held():
                self._turn(like)
        self.refresh()

    def _same_changed(self, _change: Any) -> None:
        on = self.same.value and self._tank is not None
        self._like = self.habit(self._tank) if on and self._tank else None

    def _solve(self, side: str) -> None:
        if self._tank is None:
            return
        if self.ceiling.value <= 0.0:
            self.refresh("Set your ceiling first; the kit has none of its own.")
            return
        try:
            found = self._find(side, self._tank)
        except PlanError as why:
            self.refresh(str(why))
            return
        with self._held():
            self.same.value = False
            self._turn(scenario.on_the_safe_side(found))
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
        tank, goal = self._tank, self.ceiling.value or None
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
