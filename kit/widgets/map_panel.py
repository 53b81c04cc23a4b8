"""The map of percent and days for the picked tank, under sliders."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets
import numpy as np

from kit import cautions, plots, scenario, schedule, style, words
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.panel import Picture
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.schedule.line import line_for, terms_of
from kit.schedule.map import ScheduleMap, schedule_map
from kit.schedule.trial import Trial, food_rate, food_share, trial_of
from kit.subject import Subject
from kit.widgets.bench_frame import BenchFrame
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.habit_dials import HabitDials, drip_dial, same_water_box, scale_drip

__all__ = ["MapPanel"]


class MapPanel(BenchFrame):
    """Sliders for a ceiling and a plan, and the map of all plans round it.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    ceiling, percent, interval, drip, source, food : Dial
        The sliders.
    trial : Trial or None
        What the sliders ask of the tank.
    chart : ScheduleMap or None
        The map shown.
    like : Habit or None
        The plan whose water is kept, while that box is ticked.
    """

    topics = cautions.SCHEDULE
    aim = "map"

    def __init__(
        self,
        picker: FolderPicker,
        output: Output = "metric",
        *,
        cautioned: bool = False,
    ) -> None:
        self._listeners: list[Callable[[], None]] = []
        super().__init__(picker, output, cautioned=cautioned)

    def forget(self) -> None:
        """Let go of the map and of the water to keep."""
        self.trial: Trial | None = None
        self.chart: ScheduleMap | None = None
        self.like: Habit | None = None

    # Making ---------------------------------------------------------------------

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the sliders, and the map to be changed in place."""
        self.ceiling = Dial("Your ceiling (mg/L)", 40.0, 0.0, 200.0, 1.0)
        self.pair = HabitDials(30.0)
        self.percent, self.interval = self.pair.percent, self.pair.interval
        self.drip = drip_dial()
        self.source = Dial("Nitrate in the new water (mg/L)", 0.0, 0.0, 100.0, 0.5)
        self.food = Dial("Food (% of the log's)", 100.0, 0.0, 200.0, 5.0)
        self.same = same_water_box()
        axes = style.axes_in(style.blank_figure(plots.MAP_SIZE_IN))
        self._drawn = plots.MapPicture(axes)
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        self.percent.watch(self.guarded(lambda _c: self._tried("fraction")))
        self.interval.watch(self.guarded(lambda _c: self._tried("interval")))
        asked = (self.ceiling, self.drip, self.source, self.food)
        for dial in asked:
            dial.watch(self.guarded(lambda _c: self._asked()))
        self.same.observe(self.guarded(self._same_changed), names="value")
        dials = (*asked, self.percent, self.interval)
        return [*(dial.row for dial in dials), self.same]

    def listen(self, action: Callable[[], None]) -> None:
        """Call `action` whenever the map or the water to keep changes."""
        self._listeners.append(action)

    # Loading --------------------------------------------------------------------

    def load(self) -> None:
        """Take over the picked tank; the sliders start at the habit its log shows."""
        try:
            super().load()
        finally:
            self._tell_listeners()

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start at the habit, ceiling and source the log shows, on its own food."""
        self._food_rate = food_rate(result)
        self._terms = terms_of(log.tank)
        self.same.value = False
        self.pair.put(subject.habit)
        self.ceiling.put(subject.ceiling_mg_l or 0.0)
        self.source.put(subject.habit.source_mg_l)
        self.food.put(100.0)
        self.drip.put(subject.habit.drip_l_day)

    def relabel(self, output: Output) -> None:
        """Show the drip in the unit chosen."""
        if self.subject is not None:
            scale_drip(self.drip, self.subject.habit.volume_l, output)

    def turned(self) -> None:
        """Answer to the other units, and let those who listen know."""
        with self.held():
            self.relabel(self.units.value)
        self._asked()

    # Moving ---------------------------------------------------------------------

    def habit(self, trial: Trial) -> Habit:
        """Give the plan the sliders stand for."""
        return self.pair.habit(trial.habit)

    def _tried(self, keep: scenario.Keep) -> None:
        """Answer to percent and days: the map stays, the mark moves."""
        if self._busy or self.trial is None:
            return
        if self.like is not None:
            turned = scenario.same_water(self.habit(self.trial), self.like, keep=keep)
            with self.held():
                self.pair.put(turned)
        self._show()

    def _asked(self) -> None:
        """Answer to the ceiling, drip, source and food: another map."""
        if self._busy or self.subject is None:
            return
        if self.like is not None:
            self.like = replace(
                self.like, drip_l_day=self.drip.value, source_mg_l=self.source.value
            )
        try:
            self.refresh()
        finally:
            self._tell_listeners()

    def _same_changed(self, _change: Any) -> None:
        if self._busy:
            return
        on = self.same.value and self.trial is not None
        self.like = self.habit(self.trial) if on and self.trial else None
        self._tell_listeners()

    def _tell_listeners(self) -> None:
        for action in self._listeners:
            action()

    # Showing --------------------------------------------------------------------

    def refresh(self) -> None:
        """Work the map out anew."""
        tank = self.subject
        if tank is None:
            return
        self.trial, self.chart = None, None
        if self.ceiling.value <= 0.0:
            self.fail("Set your ceiling first: the kit has none of its own.")
            return
        own = tank.habit.source_mg_l
        moved = abs(self.source.value - own) > self.source.slider.step / 2
        self.trial = trial_of(
            tank,
            self.ceiling.value,
            drip_l_day=self.drip.value,
            source_mg_l=self.source.value if moved else own,
            food_times=self.food.value / 100.0,
            food_rate_mg_l_day=self._food_rate,
        )
        self.chart = schedule_map(self.trial)
        if self._drawn.frame(tank.max_percent):
            self.picture.restart()
        self._drawn.show(self.chart)
        self._show()

    def _show(self) -> None:
        """Move the mark, draw, and say where the plan leads."""
        tank, trial, chart = self.subject, self.trial, self.chart
        if tank is None or trial is None or chart is None:
            return
        tried = self.habit(trial)
        # A log with too few exchanges shows no habit to mark.
        now = None if tank.seen is None else tank.habit
        self._drawn.mark(now=now, tried=tried)
        self.picture.draw(plots.map_alt(chart, now=now, tried=tried))
        self.tell(self._said(tank, trial, tried), self._reserves(tank, trial))

    def _said(self, tank: Subject, trial: Trial, tried: Habit) -> list[str]:
        days, most = tried.interval_days, tank.max_percent
        share = food_share(trial, 1.0 if most is None else most / 100.0, days)
        line = line_for(trial, tried, self._terms)
        return [
            *schedule.line_sentences(line, trial, self.units.value),
            *schedule.reach_sentences(
                schedule_map(trial, interval_days=np.array([days])),
                days,
                max_percent=most,
                food_share=share,
            ),
        ]

    def _reserves(self, tank: Subject, trial: Trial) -> list[str]:
        said = list(schedule.reserve_sentences(trial, source_known=tank.source_known))
        earned = self._food_rate is not None
        said += schedule.food_sentences(self.food.value / 100.0, earned)
        if tank.backwash_l_day > 0.0:
            said.append(words.backwash_sentence(tank.backwash_l_day, self.units.value))
        return said
