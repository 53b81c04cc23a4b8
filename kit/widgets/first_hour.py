"""The first hour: what a tank does between exchanges, without any data."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import cautions, plots, style, words
from kit.panel import Panel, Picture, caution_markup
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.scenario import try_habit
from kit.widgets.dial import Dial
from kit.widgets.units_switch import units_switch, volume_factor
from kit.window import picture_top

__all__ = ["FirstHour"]

_DAYS = 120.0


class FirstHour(Panel):
    """Five sliders and a sawtooth of an imaginary tank.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.

    Attributes
    ----------
    volume, rate, percent, interval, source : Dial
        The sliders.
    """

    picture: Picture

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.volume = Dial("Water volume (L)", 200.0, 20.0, 1000.0, 5.0)
        self.rate = Dial("Nitrate rise (mg/L a day)", 1.0, 0.0, 10.0, 0.1)
        self.percent = Dial("Exchange (% of the water)", 25.0, 0.0, 90.0, 0.5)
        self.interval = Dial("Every (days)", 7.0, 0.5, 60.0, 0.5)
        self.source = Dial("Nitrate in the new water (mg/L)", 10.0, 0.0, 50.0, 1.0)
        self.units = units_switch()
        axes = style.axes_in(style.blank_figure())
        self._drawn = plots.PlanPicture(axes, banded=False)
        self.picture = Picture(self._drawn.figure, self._drawn.moving)
        self.dials = (self.percent, self.interval, self.rate, self.source, self.volume)
        for dial in self.dials:
            dial.watch(self.guarded(self._moved))
        self.units.observe(self.guarded(self._units_changed), names="value")
        mind = caution_markup(
            cautions.for_page("shock", "animals"), "Before you copy this into a tank"
        )
        self.arrange(
            widgets.HTML(mind),
            self.units,
            *(dial.row for dial in self.dials),
            self.picture.widget,
            self.words,
        )
        self._held = False
        self.units.value = output
        self.guarded(self.refresh)()

    def habit(self) -> Habit:
        """Give the habit the sliders stand for."""
        return Habit(
            volume_l=self.volume.value,
            fraction=self.percent.value / 100.0,
            interval_days=self.interval.value,
            source_mg_l=self.source.value,
        )

    def _moved(self, _change: Any) -> None:
        if not self._held:
            self.refresh()

    def _units_changed(self, _change: Any) -> None:
        output: Output = self.units.value
        us = output == "us"
        self._held = True
        try:
            if us:
                gallons = ("Water volume (US gal)", 5.0, 265.0, 1.0)
                self.volume.rename(*gallons, volume_factor(output))
            else:
                self.volume.rename("Water volume (L)", 20.0, 1000.0, 5.0, 1.0)
        finally:
            self._held = False
        self.refresh()

    def refresh(self) -> None:
        """Work the sliders' habit out and show it."""
        output: Output = self.units.value
        habit, rate = self.habit(), self.rate.value
        tried = try_habit(habit, rate, habit.source_mg_l, days=_DAYS)
        top = picture_top(rate, habit.source_mg_l)
        if self._drawn.frame(top, _DAYS, output=output):
            self.picture.restart()
        self._drawn.show(tried.plan, tried.trace)
        self.picture.draw(plots.plan_alt(tried.plan, tried.trace))
        self.tell(words.plan_sentences(tried.plan, output=output))
