"""A time away: what is arranged above, what the keeper comes back to below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import cautions, plots
from kit.away import (
    Homecoming,
    Trip,
    away_sentences,
    come_home,
    days_since_exchange,
    usual_leaving,
)
from kit.feed import believed_yield, usual_food
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.rounding import Output
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.tank_panel import TankPanel, choice, food_choice, number_box, wrapped
from kit.widgets.units_switch import volume_factor

__all__ = ["AwayPanel"]

_CM2_IN2 = 2.54**2
"""Square centimetres in a square inch; an inch is 2.54 cm by definition."""


class AwayPanel(TankPanel):
    """A time away from the picked tank.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    found : Homecoming or None
        What is shown.
    """

    topics = cautions.AWAY
    mind = "Before you leave"
    found: Homecoming | None = None
    _square = 1.0

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the days, the food, the water and what is arranged."""
        self.days = Dial("Days away", 14.0, 1.0, 60.0, 1.0)
        self.leave = Dial("Leaving in (days)", 1.0, 0.0, 60.0, 1.0)
        self.food = Dial("Food while away (g a day)", 0.0, 0.0, 5.0, 0.05)
        self.feeder = Dial("Feeder holds (g, 0 for none)", 0.0, 0.0, 100.0, 0.5)
        self.ceiling = Dial("Your ceiling (mg/L, 0 for none)", 0.0, 0.0, 300.0, 1.0)
        self.air = Dial("Evaporation (L a day)", 0.0, 0.0, 20.0, 0.1)
        tick = {"indent": False, "layout": {"width": "auto"}}
        self.before = widgets.Checkbox(
            value=True, description="Exchange the day before leaving", **tick
        )
        self.after = widgets.Checkbox(
            value=True, description="Exchange on coming back", **tick
        )
        self.drip = widgets.Checkbox(value=True, description="Drip runs on", **tick)
        self.top_up = choice(
            "Evaporated water is replaced by",
            [("nobody", "none"), ("new water", "source"), ("pure water", "pure")],
        )
        self.kind = food_choice()
        self.area = number_box("Surface (cm2, 0 if not known)", 0.0, 100000.0, 10.0)
        self.salt = number_box("Salinity (g/kg, 0 for fresh water)", 0.0, 60.0, 0.1)
        dials = (self.days, self.leave, self.food, self.feeder, self.ceiling, self.air)
        ticks = (self.before, self.after, self.drip)
        lists = (self.top_up, self.kind, self.area, self.salt)
        self.heed(*dials, *ticks, *lists)
        return [*(d.row for d in dials), wrapped(ticks), wrapped(lists)]

    def relabel(self, output: Output) -> None:
        """Name evaporation and surface in the units chosen."""
        us, factor = output == "us", volume_factor(output)
        label = "Evaporation (US gal a day)" if us else "Evaporation (L a day)"
        self.air.rename(label, 0.0, 5.0 if us else 20.0, 0.05 if us else 0.1, factor)
        unit, square = ("sq in", _CM2_IN2) if us else ("cm2", 1.0)
        self.area.value *= self._square / square
        self._square = square
        self.area.description = f"Surface ({unit}, 0 if not known)"

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start with leaving when the next exchange is due, on part of the food."""
        feed = result.feed_g_day or 0.0
        self.leave.put(usual_leaving(log, subject.habit))
        most = max(round(2.0 * feed, 1), 1.0)
        self.food.rename("Food while away (g a day)", 0.0, most, 0.05, 1.0)
        self.food.put(round(0.4 * feed, 1))
        self.ceiling.put(subject.ceiling_mg_l or 0.0)
        self.air.put(subject.habit.evaporation_l_day)
        dripping = subject.habit.drip_l_day > subject.backwash_l_day
        self.drip.value, self.drip.disabled = dripping, not dripping
        self.feeder.put(0.0)
        self.kind.value = usual_food(log.feedings)
        self.area.value, self.salt.value = 0.0, 0.0

    def trip(self, subject: Subject, log: Logbook) -> Trip:
        """Give the trip the controls stand for."""
        return Trip(
            days=self.days.value,
            feed_g_day=self.food.value,
            leave_in_days=self.leave.value,
            since_exchange_days=days_since_exchange(log),
            exchange_before=self.before.value,
            exchange_after=self.after.value,
            feeder_g=self.feeder.value or None,
            drip=self.drip.value,
            top_up=self.top_up.value,
            area_cm2=self.area.value * self._square or None,
            salt_g_kg=self.salt.value or None,
            backwash_l_day=subject.backwash_l_day,
        )

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Work the trip out and show it."""
        self.found = None
        found = self.found = come_home(
            replace(subject.habit, evaporation_l_day=self.air.value),
            subject.rate_mg_l_day,
            subject.level_mg_l,
            self.trip(subject, log),
            believed_yield(result.feed_yield, self.kind.value),
            home_feed_g_day=result.feed_g_day,
            ceiling_mg_l=self.ceiling.value or None,
            protein_percent=log.tank.feed_protein_percent,
            draws=subject.draws,
        )
        output: Any = self.units.value
        start = subject.last
        plots.away_picture(found, ax=self.fresh_axes(), start=start, output=output)
        self.picture.draw(plots.away_alt(found, start=start))
        self.tell(away_sentences(found, start=start, output=output))
