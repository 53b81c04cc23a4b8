"""A backwash as the exchange it is, beside the batch exchanges."""

from __future__ import annotations

from contextlib import suppress

from kit import plots
from kit.errors import PlanError
from kit.panel import Panel, Picture
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.schedule.said import ways_sentences
from kit.schedule.ways import Cycle, Ways, steady_cycle
from kit.widgets.sheet import Sheet
from kit.widgets.unit_dials import Shown, UnitDials, volume

__all__ = ["BackwashPanel"]

_DAYS = 60.0


class BackwashPanel(Panel):
    """Exchanges and backwashes on sliders, and where they lead together and apart.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.

    Attributes
    ----------
    cycle, without : Cycle or None
        Where all ways lead, and where they lead without backwashes.
    """

    picture: Picture

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.cycle: Cycle | None = None
        self.without: Cycle | None = None
        self.dials = UnitDials()
        add = self.dials.add
        self.volume = add(1020.0, *volume("Water in the tank", 3000.0, 5.0))
        self.rate = add(2.57, Shown("Nitrate rise (mg/L a day)", 0.0, 10.0, 0.01))
        self.source = add(8.0, Shown("Nitrate in the new water (mg/L)", 0.0, 50.0, 1.0))
        self.percent = add(
            25.0 / 100.0, Shown("Exchange (% of the water)", 0.0, 90.0, 0.5, 0.01)
        )
        self.interval = add(10.0, Shown("Every (days)", 1.0, 60.0, 1.0))
        self.washed = add(60.0, *volume("One backwash takes", 500.0))
        self.every = add(3.0, Shown("A backwash every (days)", 1.0, 30.0, 1.0))
        self._sheet = Sheet(4.8)
        self.picture = self._sheet.picture
        self.arrange(
            self.dials.switch, *self.dials.rows, self.picture.widget, self.words
        )
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def habit(self) -> Habit:
        """Give the batch exchanges the sliders stand for."""
        return Habit(
            self.volume.value,
            self.percent.value,
            round(self.interval.value),
            source_mg_l=self.source.value,
        )

    def refresh(self) -> None:
        """Work both cycles out and show them."""
        habit, rate = self.habit(), self.rate.value
        ways = Ways(habit, self.washed.value, round(self.every.value))
        self.cycle, self.without = steady_cycle(ways, rate), None
        with suppress(PlanError):  # nothing holds the level, as the sentences say
            self.without = steady_cycle(Ways(habit), rate)
        output = self.dials.output
        first = plots.Side("with the backwashes", self.cycle)
        second = plots.Side("without them", self.without)
        plots.pair_picture(
            first,
            second,
            _DAYS,
            source_mg_l=habit.source_mg_l,
            ax=self._sheet.blank(),
            output=output,
        )
        self._sheet.show(plots.pair_alt(first, second, _DAYS))
        self.tell(ways_sentences(ways, self.cycle, self.without, output))
