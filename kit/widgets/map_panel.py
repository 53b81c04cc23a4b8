"""The map of percent and days for the picked tank, under sliders."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import ipywidgets as widgets
import numpy as np

from kit import cautions, plots, scenario, schedule, style, window, words
from kit.panel import Panel, Picture, caution_markup
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.schedule.line import line_for, terms_of
from kit.schedule.map import ScheduleMap, schedule_map
from kit.schedule.trial import Trial, food_rate, food_share, trial_of
from kit.subject import Subject, subject_of
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.units_switch import units_switch, volume_factor

__all__ = ["MapPanel"]


class MapPanel(Panel):
    """Sliders for a ceiling and a plan, and the map of all plans round it.

    Parameters
    ----------
    picker : FolderPicker
        Whose tank; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether the cautions of an exchange stand on the page above already; the
        panel shows them itself otherwise.

    Attributes
    ----------
    ceiling, percent, interval, drip, source, food : Dial
        The sliders.
    tank : Subject or None
        The fitted tank; None where there is none.
    trial : Trial or None
        What the sliders ask of the tank.
    chart : ScheduleMap or None
        The map shown.
    like : Habit or None
        The plan whose water is kept, while that box is ticked.
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
        self._forget()
        self._busy = False
        self._listeners: list[Callable[[], None]] = []
        self._make_controls()
        axes = style.axes_in(style.blank_figure(plots.MAP_SIZE_IN))
        self._drawn = plots.MapPicture(axes)
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        self._lay_out(cautioned)
        self.units.value = output
        self._connect()
        self.guarded(self.load)()

    def _forget(self) -> None:
        self.tank: Subject | None = None
        self.trial: Trial | None = None
        self.chart: ScheduleMap | None = None
        self.like: Habit | None = None

    # Making ---------------------------------------------------------------------

    def _make_controls(self) -> None:
        self.ceiling = Dial("Your ceiling (mg/L)", 40.0, 0.0, 200.0, 1.0)
        self.percent = Dial("Exchange (% of the water)", 25.0, 0.0, 90.0, 0.5)
        self.interval = Dial("Every (days)", 7.0, 0.5, 30.0, 0.5)
        self.drip = Dial("Drip (L a day)", 0.0, 0.0, 50.0, 0.5)
        self.source = Dial("Nitrate in the new water (mg/L)", 0.0, 0.0, 100.0, 0.5)
        self.food = Dial("Food (% of the log's)", 100.0, 0.0, 200.0, 5.0)
        self.units = units_switch()
        self.same = widgets.Checkbox(
            description="Keep the water a month the same",
            indent=False,
            layout={"width": "auto"},
        )

    def _lay_out(self, cautioned: bool) -> None:
        mind = caution_markup(
            cautions.for_page(*cautions.SCHEDULE), "Before you move water"
        )
        asked = (self.ceiling, self.drip, self.source, self.food)
        self.arrange(
            *([] if cautioned else [widgets.HTML(mind)]),
            self.units,
            *(dial.row for dial in (*asked, self.percent, self.interval)),
            self.same,
            self.picture.widget,
            self.words,
        )

    def _connect(self) -> None:
        self.percent.watch(self.guarded(lambda _c: self._tried("fraction")))
        self.interval.watch(self.guarded(lambda _c: self._tried("interval")))
        for dial in (self.ceiling, self.drip, self.source, self.food):
            dial.watch(self.guarded(lambda _c: self._asked()))
        self.same.observe(self.guarded(self._same_changed), names="value")
        self.units.observe(self.guarded(lambda _c: self._rename()), names="value")
        self.picker.listen(self.guarded(self.load))

    def listen(self, action: Callable[[], None]) -> None:
        """Call `action` whenever the map or the water to keep changes."""
        self._listeners.append(action)

    # Loading --------------------------------------------------------------------

    def load(self) -> None:
        """Take over the picked tank; the sliders start at the habit its log shows."""
        self._forget()
        try:
            self._take_over()
        finally:
            self._tell_listeners()

    def _take_over(self) -> None:
        log, result = self.picker.log, self.picker.fit()
        if log is None or result is None:
            self.fail("Nothing to map: no logbook is read. Pick one above.")
            return
        tank = self.tank = subject_of(log, result)
        self._food_rate = food_rate(result)
        self._terms = terms_of(log.tank)
        with self._held():
            self.same.value = False
            self._turn(tank.habit)
            self.ceiling.put(tank.ceiling_mg_l or 0.0)
            self.source.put(tank.habit.source_mg_l)
            self.food.put(100.0)
            self._scale_drip(tank.habit.drip_l_day)
        self._recompute()

    def _scale_drip(self, drip_l_day: float) -> None:
        """Show the drip in the unit chosen, with a range that suits the tank."""
        if self.tank is None:
            return
        output: Output = self.units.value
        factor = volume_factor(output)
        label = "Drip (US gal a day)" if output == "us" else "Drip (L a day)"
        most = window.drip_range(self.tank.habit.volume_l / factor)
        self.drip.rename(label, 0.0, most, most / 100.0, factor)
        self.drip.put(drip_l_day)

    def _rename(self) -> None:
        with self._held():
            self._scale_drip(self.drip.value)
        self._asked()

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

    def habit(self, trial: Trial) -> Habit:
        """Give the plan the sliders stand for."""
        return replace(
            trial.habit,
            fraction=self.percent.value / 100.0,
            interval_days=self.interval.value,
        )

    def _tried(self, keep: scenario.Keep) -> None:
        """Answer to percent and days: the map stays, the mark moves."""
        if self._busy or self.trial is None:
            return
        if self.like is not None:
            turned = scenario.same_water(self.habit(self.trial), self.like, keep=keep)
            with self._held():
                self._turn(turned)
        self._show()

    def _asked(self) -> None:
        """Answer to the ceiling, drip, source and food: another map."""
        if self._busy or self.tank is None:
            return
        if self.like is not None:
            self.like = replace(
                self.like, drip_l_day=self.drip.value, source_mg_l=self.source.value
            )
        try:
            self._recompute()
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

    def _recompute(self) -> None:
        """Work the map out anew."""
        tank = self.tank
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
        tank, trial, chart = self.tank, self.trial, self.chart
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
