"""How soon a change in the picked tank would be seen."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from kit import plots
from kit.ahead import (
    WAYS,
    Power,
    exchanges_a_test,
    kit_of,
    power_for,
    power_rows,
    power_sentences,
    way_of,
)
from kit.errors import PlanError
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.tank_panel import TankPanel

__all__ = ["SoonPanel"]


class SoonPanel(TankPanel):
    """Chances of seeing a change, for three ways of testing.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    lines : tuple of tuple of Power
        What is shown.
    """

    topics = ("animals", "skin")
    mind = "Before you test"
    united = False
    lines: tuple[tuple[Power, ...], ...] = ()

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the change to look for."""
        self.change = Dial("Change of the daily rise (%)", 58.0, -90.0, 200.0, 1.0)
        self.heed(self.change)
        return [self.change.row]

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Work the chances out and show them."""
        if self.change.value == 0.0:
            msg = "Set a change to look for: 50 for half as much again."
            raise PlanError(msg)
        change = self.change.value / 100.0
        kit = kit_of(log, result)
        self.lines = tuple(
            power_for(log, subject.habit, result, change, kit, way) for way in WAYS
        )
        usual = way_of(log).name
        every = exchanges_a_test(log, subject.habit.interval_days)
        self.tell(power_sentences(self.lines, change, usual, every=every))
        plots.soon_picture(self.lines, ax=self.fresh_axes())
        self.picture.draw(plots.soon_alt(self.lines))
        self.put_rows("Chance of seeing it, in 100", *power_rows(self.lines, usual))
