"""Salt for an exchange, and what water for evaporation brings."""

from __future__ import annotations

from typing import Any

from kit import makeup, plots
from kit.makeup.salt import SaltDose, salt_dose
from kit.makeup.topup import TopUp, top_up_effect
from kit.rounding import Output, round_for_people
from kit.sawtooth import Habit
from kit.scenario import try_habit
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.unit_dials import Shown, flow

__all__ = ["SaltPanel"]

_DAYS = 180.0


class SaltPanel(MakeupPanel):
    """Gravity, percent and evaporation; grams of salt, and two ways of topping up.

    Parameters
    ----------
    picker : FolderPicker or None, optional
        Whose tank.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    gravity : float, optional
        Specific gravity to begin with. [-]
    rate_mg_l_day : float, optional
        Nitrate rise to begin with, without what new water brings. [mg/L/day]
    with_picker : bool, optional
        Whether to show the picker on top.
    cautioned : bool, optional
        Whether its cautions stand on the page above already.

    Attributes
    ----------
    dose : SaltDose or None
        Salt, worked out.
    top_up : TopUp or None
        Both ways of topping up, worked out.
    """

    topics = ("skin", "shock")
    dose: SaltDose | None = None
    top_up: TopUp | None = None

    def __init__(
        self,
        picker: FolderPicker | None = None,
        output: Output = "metric",
        *,
        gravity: float = 1.005,
        rate_mg_l_day: float = 1.0,
        with_picker: bool = False,
        cautioned: bool = False,
    ) -> None:
        self._first = (gravity, rate_mg_l_day)
        super().__init__(picker, output, with_picker=with_picker, cautioned=cautioned)

    def make(self) -> list[Any]:
        """Make the dials."""
        add = self.dials.add
        gravity, rate = self._first
        self.gravity = add(
            gravity, Shown("Gravity to keep (25/25 °C)", 1.0, 1.03, 0.0005)
        )
        self.percent = add(25.0, Shown("Exchange (% of the water)", 0.0, 90.0, 0.5))
        self.every = add(10.0, Shown("Every (days)", 1.0, 60.0, 0.5))
        self.moisture = add(5.0, Shown("Moisture of the salt (%)", 0.0, 15.0, 0.5))
        self.lost = add(2.0, *flow("Evaporation", 20.0, 0.1))
        self.away = add(7.0, Shown("Days without topping up", 0.0, 30.0, 1.0))
        self.tap = add(10.0, Shown("Nitrate of the tap (mg/L)", 0.0, 100.0, 0.5))
        self.rate = add(rate, Shown("Nitrate rise (mg/L a day)", 0.0, 10.0, 0.005))
        return []

    def begin(self) -> None:
        """Start at the tank's habit."""
        self.percent.put(round_for_people(100.0 * self.habit.fraction))
        self.every.put(self.habit.interval_days)
        self.lost.put(self.habit.evaporation_l_day)
        self.tap.put(self.habit.source_mg_l)

    def tried(self) -> Habit:
        """Give the habit the dials stand for."""
        return Habit(
            self.habit.volume_l,
            self.percent.value / 100.0,
            self.every.value,
            self.tap.value,
            drip_l_day=self.habit.drip_l_day,
            evaporation_l_day=self.lost.value,
        )

    def show(self) -> None:
        """Work dose and top-up out and show them."""
        habit, rate = self.tried(), self.rate.value
        self.dose = salt_dose(
            habit.volume_l,
            habit.fraction,
            self.gravity.value,
            moisture=self.moisture.value / 100.0,
            evaporation_l_day=habit.evaporation_l_day,
            days=self.away.value,
        )
        self.top_up = found = top_up_effect(habit, rate)
        start = found.pure_trough_mg_l
        ways = (found.tap, found.pure)
        tap, pure = (try_habit(w, rate, start, days=_DAYS).trace for w in ways)
        plots.top_up_picture(tap, pure, ax=self.axes(), output=self.output)
        self.draw(plots.top_up_alt(found))
        self.tell(
            [
                *makeup.salt_sentences(self.dose, self.output),
                *makeup.top_up_sentences(found, self.output),
            ]
        )
