"""Heat and money of new water, month by month."""

from __future__ import annotations

from typing import Any

from kit import makeup, plots
from kit.makeup.evaporation import evaporation_guess
from kit.makeup.money import Tariff
from kit.makeup.year import Year, seasonal_c, year_of
from kit.rounding import round_for_people
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.unit_dials import Shown, flow, surface

__all__ = ["HeatYearPanel"]


class HeatYearPanel(MakeupPanel):
    """The tap's seasons, litres a day and prices; bars for twelve months.

    Attributes
    ----------
    seen : Year or None
        What the dials stand for, worked out.
    """

    topics = ("electricity", "mould")
    seen: Year | None = None

    def make(self) -> list[Any]:
        """Make the dials."""
        add, warm = self.dials.add, self.dials.warm
        self.water = add(25.0, *flow("New water in all", 200.0))
        self.lost = add(3.0, *flow("Evaporation", 20.0, 0.1))
        self.open = add(0.4, *surface("Open surface", 5.0))
        self.tank_c = warm("Tank water", 25.0, 5.0, 35.0)
        self.room_c = warm("Room", 21.0, 5.0, 35.0)
        self.cold_c = warm("Tap in its coldest month", 9.0, 0.0, 30.0)
        self.warm_c = warm("Tap in its warmest month", 17.0, 0.0, 35.0)
        self.energy = add(0.0, Shown("Price of energy, for each kWh", 0.0, 2.0, 0.01))
        self.price = add(0.0, Shown("Price of water, for each m³", 0.0, 20.0, 0.1))
        self.gain = add(100.0, Shown("Heat for each kWh bought (%)", 50.0, 500.0, 5.0))
        return []

    def begin(self) -> None:
        """Start at the tank's habit and prices."""
        self.water.put(round_for_people(self.habit.water_l_day))
        self.lost.put(self.habit.evaporation_l_day)
        self.energy.put(self.tank.energy_per_kwh or 0.0)
        self.price.put(self.tank.water_per_m3 or 0.0)

    def tariff(self) -> Tariff:
        """Give the prices shown; 0 is none stated."""
        return Tariff(
            self.tank.currency,
            self.price.value or None,
            self.energy.value or None,
            None,
            self.gain.value / 100.0,
        )

    def show(self) -> None:
        """Work the year out and show it."""
        self.seen = year = year_of(
            self.water.value,
            seasonal_c(self.cold_c.value, self.warm_c.value),
            self.tank_c.value,
            evaporation_l_day=self.lost.value,
            tariff=self.tariff(),
        )
        guess = evaporation_guess(self.open.value, self.tank_c.value, self.room_c.value)
        currency = self.tank.currency
        plots.year_picture(year, ax=self.axes(), currency=currency)
        self.draw(plots.year_alt(year, currency))
        self.tell(makeup.year_sentences(year, currency, guess, self.output))
