"""Two habits side by side: water, heat, salt, money and hours of a month."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import makeup
from kit.makeup.money import Month, month_of_habit, side_by_side, tariff_of
from kit.markup import Markup, element
from kit.panel import say
from kit.rounding import round_for_people
from kit.sawtooth import Habit
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.stacked_table import stacked_table
from kit.widgets.unit_dials import Shown, flow

__all__ = ["HabitsPanel"]

_HEADS = ("In a month", "Now", "Trial", "The trial takes")


class HabitsPanel(MakeupPanel):
    """What the log's habit takes in a month, and what a trial habit would.

    Attributes
    ----------
    seen : tuple of Month or None
        Now and trial, worked out.
    """

    pictured = False
    seen: tuple[Month, Month] | None = None

    def make(self) -> list[Any]:
        """Make the dials."""
        add, warm = self.dials.add, self.dials.warm
        self.table = widgets.HTML()
        self._rows: tuple[tuple[str, ...], ...] = ()
        self.percent = add(20.0, Shown("Trial: exchange (%)", 0.0, 90.0, 0.5))
        self.every = add(7.0, Shown("Trial: every (days)", 0.5, 60.0, 0.5))
        self.drip = add(0.0, *flow("Trial: drip", 200.0))
        self.minutes = add(40.0, Shown("One exchange takes (minutes)", 0.0, 240.0, 5.0))
        self.rate = add(1.0, Shown("Nitrate rise (mg/L a day)", 0.0, 10.0, 0.05))
        self.tank_c = warm("Tank water", 25.0, 5.0, 35.0)
        self.new_c = warm("New water", 13.0, 2.0, 35.0)
        self.salt = add(0.0, Shown("Salt in a litre (g)", 0.0, 40.0, 0.05))
        return []

    def after(self) -> list[Any]:
        """Give the table."""
        return [self.table]

    def begin(self) -> None:
        """Start the trial at the log's own habit, and the rise at its fit."""
        self.percent.put(round_for_people(100.0 * self.habit.fraction))
        self.every.put(self.habit.interval_days)
        self.drip.put(self.habit.drip_l_day)
        result = None if self.picker is None else self.picker.fit()
        if result is not None and result.net_rate is not None:
            rate = result.net_rate
            half = (rate.high - rate.low) / 2.0
            self.rate.put(max(round_for_people(rate.estimate, half), 0.0))

    def trial(self) -> Habit:
        """Give the habit the dials stand for."""
        return replace(
            self.habit,
            fraction=self.percent.value / 100.0,
            interval_days=self.every.value,
            drip_l_day=self.drip.value,
        )

    def _month(self, habit: Habit) -> Month:
        return month_of_habit(
            habit,
            tank_c=self.tank_c.value,
            new_c=self.new_c.value,
            salt_g_l=self.salt.value,
            minutes_each=self.minutes.value,
            tariff=tariff_of(self.tank),
        )

    def show(self) -> None:
        """Work both months out and show them."""
        habits = (self.habit, self.trial())
        now, trial = self.seen = (self._month(habits[0]), self._month(habits[1]))
        rows = side_by_side(now, trial, self.tank.currency)
        self._rows = makeup.habit_rows(rows, self.output)
        self.table.value = stacked_table("Two habits", _HEADS, self._rows)
        self.tell(
            makeup.habit_sentences(habits, self.rate.value, self.seen, self.output)
        )

    def fail(self, sentence: str) -> None:
        """Show a fault in place of sentences and rows that no longer hold."""
        self._rows, self.table.value = (), ""
        super().fail(sentence)

    def text(self) -> str:
        """Sentences, then each row as a line."""
        return "\n".join([super().text(), *("; ".join(row) for row in self._rows)])

    def still(self) -> Markup:
        """Give sentences and table."""
        table = stacked_table("Two habits", _HEADS, self._rows)
        return element("div", say(self.verdict, self.warnings), table)
