"""Percent, days and drip of a habit, as dials."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import window
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.widgets.dial import Dial
from kit.widgets.units_switch import volume_factor

__all__ = ["HabitDials", "drip_dial", "same_water_box", "scale_drip"]


class HabitDials:
    """How much is exchanged each time, and how often.

    Parameters
    ----------
    longest_days : float, optional
        Longest time between exchanges to set. [day]
    """

    def __init__(self, longest_days: float = 60.0) -> None:
        self.percent = Dial("Exchange (% of the water)", 25.0, 0.0, 90.0, 0.5)
        self.interval = Dial("Every (days)", 7.0, 0.5, longest_days, 0.5)

    def put(self, habit: Habit) -> None:
        """Move to where a habit has them."""
        self.percent.put(100.0 * habit.fraction)
        self.interval.put(habit.interval_days)

    def habit(self, otherwise: Habit) -> Habit:
        """Give a habit with this percent and these days, else as another one.

        Parameters
        ----------
        otherwise : Habit
            The other one.

        Returns
        -------
        Habit
            What the dials stand for.
        """
        return replace(
            otherwise,
            fraction=self.percent.value / 100.0,
            interval_days=self.interval.value,
        )


def same_water_box() -> Any:
    """Make the tick that turns percent and days together."""
    return widgets.Checkbox(
        description="Keep the water a month the same",
        indent=False,
        layout={"width": "auto"},
    )


def drip_dial() -> Dial:
    """Make the dial of the drip; `scale_drip` suits it to a tank."""
    return Dial("Drip (L a day)", 0.0, 0.0, 50.0, 0.5)


def scale_drip(drip: Dial, volume_l: float, output: Output) -> None:
    """Show a drip in the unit chosen, with a range that suits the tank.

    Parameters
    ----------
    drip : Dial
        From `drip_dial`.
    volume_l : float
        The tank's water. [L]
    output : {"metric", "us"}
        Whose units.
    """
    kept, factor = drip.value, volume_factor(output)
    label = "Drip (US gal a day)" if output == "us" else "Drip (L a day)"
    most = window.drip_range(volume_l / factor)
    drip.rename(label, 0.0, most, most / 100.0, factor)
    drip.put(kept)
