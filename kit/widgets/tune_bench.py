"""The tuning bench: percent, interval and drip of a tank, against a ceiling."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import cautions, plots, scenario, style, words
from kit.fit import FitResult
from kit.panel import Panel, Picture, caution_markup
from kit.plan import solve_interval, solve_percent
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.scenario import Scenario, Seen
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

    Attributes
    ----------
    percent, interval, drip, ceiling : Dial
        The sliders.
    tried : Scenario or None
        What the sliders stand for, worked out.
    """

    def __init__(self, picker: FolderPicker, output: Output = "metric") -> None:
        super().__init__()
        self.picker = picker
        self.tried: Scenario | None = None
        self._result: FitResult | None = None
        self._habit: Habit | None = None
        self._seen: Seen | None = None
        self._like: Habit | None = None
        self._held = False
        self._make_controls()
        self._drawn = plots.PlanPicture(style.axes_in(style.blank_figure()), 50.0)
        self.picture = Picture(self._drawn.figure)
        self._lay_out()
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
            options=[("as likely as not", None), ("8 in 10", 0.8), ("19 in 20", 0.95)],
            value=0.8,
            description="so that the ceiling holds",
            style={"description_width": "initial"},
            layout={"width": "22em", "max_width": "100%"},
        )
        wide = {"width": "auto"}
        self.find_percent = widgets.Button(description="Find the percent", layout=wide)
        self.find_interval = widgets.Button(description="Find the days", layout=wide)

    def _lay_out(self) -> None:
        mind = caution_markup(
            cautions.for_page(*cautions.EXCHANGE), "Before you move water"
        )
        rows = {"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.2em 1em"}
        solve = widgets.Box(
            [self.find_percent, self.find_interval, self.sure], layout=rows
        )
        dials = [d.row for d in (self.percent, self.interval, self.drip, self.ceiling)]
        self._bench = [
            widgets.HTML(mind),
            self.units,
            *dials,
            self.same,
            solve,
            self.picture_widget(),
            self.words,
        ]
        self.arrange(*self._bench)

    def picture_widget(self) -> Any:
        """Give the widget that holds the picture."""
        assert self.picture is not None  # noqa: S101 - made in __init__
        return self.picture.widget

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
        self._result, self._habit, self.tried = None, None, None
        log, result = self.picker.log, self.picker.fit()
        if log is None or result is None:
            self.fail("Nothing to tune: no logbook is read. Pick one above.")
            return
        if result.net_rate is None or result.level_now is None:
            self.fail(result.refused or "This log gives no rate to plan with.")
            return
        habit = scenario.present_habit(log, result.source_mg_l)
        if habit is None:
            self.fail("The log does not say how much water the tank holds.")
            return
        self._result, self._habit, self._seen = result, habit, scenario.seen_in(log)
        self._like = None
        self._held = True
        try:
            self.same.value = False
            self.percent.put(100.0 * habit.fraction)
            self.interval.put(habit.interval_days)
            self.ceiling.put(log.tank.ceiling_mg_l or 0.0)
        finally:
            self._held = False
        self._rename(habit.drip_l_day)

    def _rename(self, drip_l_day: float | None = None) -> None:
        """Show volumes in the unit chosen, with a drip range that suits the tank."""
        if self._habit is None:
            return
        output: Output = self.units.value
        kept = self.drip.value if drip_l_day is None else drip_l_day
        factor = volume_factor(output)
        label = "Drip (US gal a day)" if output == "us" else "Drip (L a day)"
        most = scenario.drip_range(self._habit.volume_l / factor)
        self._held = True
        try:
            self.drip.rename(label, 0.0, most, most / 100.0, factor)
            self.drip.put(kept)
        finally:
            self._held = False
        self.refresh()

    # Moving ---------------------------------------------------------------------

    def habit(self) -> Habit:
        """Give the habit the sliders stand for."""
        if self._habit is None:
            msg = "no tank is loaded"
            raise ValueError(msg)
        return replace(
            self._habit,
            fraction=self.percent.value / 100.0,
            interval_days=self.interval.value,
            drip_l_day=self.drip.value,
        )

    def _moved(self, keep: scenario.Keep | None = None) -> None:
        if self._held or self._habit is None:
            return
        if self._like is not None and keep is not None:
            self._set(scenario.same_water(self.habit(), self._like, keep=keep))
        self.refresh()

    def _set(self, habit: Habit) -> None:
        """Move percent and interval without answering to it."""
        self._held = True
        try:
            self.percent.put(100.0 * habit.fraction)
            self.interval.put(habit.interval_days)
        finally:
            self._held = False

    def _same_changed(self, _change: Any) -> None:
        self._like = self.habit() if self.same.value and self._habit else None

    def _solve(self, side: str) -> None:
        if self._habit is None or self._result is None or not self._result.net_rate:
            return
        if self.ceiling.value <= 0.0:
            self.tell(["Set your ceiling first; the kit has none of its own."])
            return
        rate, draws = self._result.net_rate.estimate, self._result.draws[:, 0]
        goal, log = self.ceiling.value, self.picker.log
        sure = {"rate_draws": draws, "chance": self.sure.value}
        if side == "percent":
            most = None if log is None else log.tank.max_percent
            found = solve_percent(self.habit(), rate, goal, max_percent=most, **sure)
        else:
            found = solve_interval(self.habit(), rate, goal, **sure)
        self.same.value = False
        self._set(scenario.on_the_safe_side(found))
        self.refresh()

    # Showing --------------------------------------------------------------------

    def refresh(self) -> None:
        """Work the sliders' habit out and show it."""
        result, habit = self._result, self.habit()
        if result is None or result.net_rate is None or result.level_now is None:
            return
        rate, level = result.net_rate.estimate, result.level_now.estimate
        goal = self.ceiling.value or None
        self.tried = scenario.try_habit(
            habit,
            rate,
            level,
            days=scenario.days_ahead(self._seen),
            draws=result.draws,
            ceiling_mg_l=goal,
            seen=self._seen,
        )
        top = scenario.picture_top(
            rate, habit.source_mg_l, start_mg_l=level, ceiling_mg_l=goal
        )
        self._show(self.tried, top)
        said = words.plan_sentences(
            self.tried.plan,
            source_known=result.source_known,
            output=self.units.value,
        )
        self.tell([*said, *self._date_said()], self.tried.warnings)

    def _show(self, tried: Scenario, top: float) -> None:
        start = self._start()
        self._drawn.frame(top, output=self.units.value, start=start)
        self._drawn.show(tried.plan, tried.trace)
        assert self.picture is not None  # noqa: S101 - made in __init__
        self.picture.draw(plots.plan_alt(tried.plan, tried.trace, start=start))

    def _start(self) -> dt.date | None:
        return None if self._seen is None else self._seen.last

    def _date_said(self) -> list[str]:
        """Name the day by which a change has settled."""
        start = self._start()
        if start is None or self.tried is None:
            return []
        day = scenario.settling_day(self.tried.plan, start)
        if day is None:
            return []
        return [
            f"Begun on {plots.say_day(start)}, the last day of your log, it would be "
            f"95 % there by {plots.say_day(day)}."
        ]
