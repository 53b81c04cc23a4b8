"""A reading of nothing, week after week: the tank or the kit."""

from __future__ import annotations

from typing import Any

from kit.feed import STATED_YIELDS
from kit.markup import Markup
from kit.panel import Panel, say
from kit.sawtooth import Habit
from kit.testkit import zero_reading, zero_sentences
from kit.widgets.dial import Dial

__all__ = ["ZeroPanel"]


class ZeroPanel(Panel):
    """What the food makes against what can hide under the lowest colour.

    Attributes
    ----------
    food, per_gram, volume, percent, days, source, limit : Dial
        The sliders; they begin with a small planted tank.
    """

    def __init__(self) -> None:
        super().__init__()
        usual = STATED_YIELDS["dry"].mg_g
        self.food = Dial("Food (g a day)", 0.2, 0.0, 20.0, 0.05)
        self.per_gram = Dial("Nitrate a gram makes (mg)", usual, 10.0, 360.0, 5.0)
        self.volume = Dial("Water volume (L)", 48.0, 10.0, 1000.0, 1.0)
        self.percent = Dial("Exchange (% of the water)", 30.0, 0.0, 90.0, 1.0)
        self.days = Dial("Every (days)", 7.0, 1.0, 60.0, 1.0)
        self.source = Dial("Nitrate in the new water (mg/L)", 2.0, 0.0, 50.0, 0.5)
        self.limit = Dial("Kit shows none below (mg/L)", 2.5, 0.1, 20.0, 0.1)
        self.dials = (
            self.food,
            self.per_gram,
            self.volume,
            self.percent,
            self.days,
            self.source,
            self.limit,
        )
        self.arrange(*(d.row for d in self.dials), self.words)
        again = self.guarded(self.refresh)
        for dial in self.dials:
            dial.watch(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Say what the reading takes to be true."""
        habit = Habit(
            volume_l=self.volume.value,
            fraction=self.percent.value / 100.0,
            interval_days=self.days.value,
            source_mg_l=self.source.value,
        )
        found = zero_reading(
            self.food.value, self.per_gram.value, habit, self.limit.value
        )
        self.tell(zero_sentences(found))

    def still(self) -> Markup:
        """Give the sentences."""
        return say(self.verdict, self.warnings)
