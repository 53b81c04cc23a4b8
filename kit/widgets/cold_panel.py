"""How cold an exchange may be."""

from __future__ import annotations

from typing import Any

from kit import makeup, plots
from kit.makeup.cold import ColdExchange, cold_exchange
from kit.rounding import round_for_people
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.unit_dials import Shown
from kit.widgets.warm_dials import difference

__all__ = ["ColdPanel"]


class ColdPanel(MakeupPanel):
    """Percent, two temperatures and a limit; what the exchange does to warmth.

    Attributes
    ----------
    seen : ColdExchange or None
        What the dials stand for, worked out.
    """

    topics = ("shock", "heaters", "electricity")
    seen: ColdExchange | None = None

    def make(self) -> list[Any]:
        """Make the dials."""
        add, warm = self.dials.add, self.dials.warm
        self.percent = add(25.0, Shown("Exchange (% of the water)", 0.0, 60.0, 0.5))
        self.tank_c = warm("Tank water", 25.0, 5.0, 35.0)
        self.new_c = warm("New water", 12.0, 2.0, 35.0)
        self.allowed = add(2.0, *difference("Your limit at once", 8.0))
        return []

    def begin(self) -> None:
        """Start at the tank's own exchange."""
        self.percent.put(round_for_people(100.0 * self.habit.fraction))

    def show(self) -> None:
        """Work the exchange out and show it."""
        self.seen = cold = cold_exchange(
            self.habit.volume_l,
            self.percent.value / 100.0,
            tank_c=self.tank_c.value,
            new_c=self.new_c.value,
            allowed_c=self.allowed.value,
            drip_l_day=self.habit.drip_l_day,
        )
        plots.cold_picture(cold, ax=self.axes(), output=self.output)
        self.draw(plots.cold_alt(cold, self.output))
        self.tell(makeup.cold_sentences(cold, self.output))
