"""Dials that show their numbers in metric or in US units."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from kit.rounding import Output
from kit.units import registry_factor
from kit.widgets.dial import Dial
from kit.widgets.units_switch import GALLON_L, units_switch

__all__ = ["Shown", "UnitDials", "flow", "length_m", "surface", "volume", "width"]


@dataclass(frozen=True, slots=True)
class Shown:
    """How a dial looks in one set of units.

    Parameters
    ----------
    label : str
        Name with its unit.
    low, high, step : float
        Ends and step, in the unit shown.
    factor : float, optional
        How much of the kit's unit one shown unit is.
    """

    label: str
    low: float
    high: float
    step: float
    factor: float = 1.0


class UnitDials:
    """Dials under one switch of units, each with its look in both.

    Attributes
    ----------
    switch : ipywidgets.ToggleButtons
        Litres and metres, or US units.
    """

    def __init__(self) -> None:
        self.switch: Any = units_switch()
        self.switch.options = [("metric", "metric"), ("US units", "us")]
        self._rows: list[tuple[Dial, Shown, Shown]] = []
        self._held = False

    @property
    def output(self) -> Output:
        """Whose units are shown."""
        chosen: Output = self.switch.value
        return chosen

    def add(self, value: float, metric: Shown, us: Shown | None = None) -> Dial:
        """Make a dial.

        Parameters
        ----------
        value : float
            Start, in the kit's unit.
        metric, us : Shown
            Its look in each set of units; the same in both where `us` is left out.

        Returns
        -------
        Dial
            Beginning in metric units.
        """
        dial = Dial(
            metric.label,
            value / metric.factor,
            metric.low,
            metric.high,
            metric.step,
            factor=metric.factor,
        )
        self._rows.append((dial, metric, us or metric))
        return dial

    def watch(self, guarded: Callable[..., Any], refresh: Callable[[], None]) -> None:
        """Call `refresh` whenever a dial or the switch moves, once for each move.

        Parameters
        ----------
        guarded : callable
            The panel's guard, which turns a fault into a sentence.
        refresh : callable
            What shows the answer.
        """

        def moved(_change: Any) -> None:
            if not self._held:
                refresh()

        def switched(_change: Any) -> None:
            self._rename()
            refresh()

        self._rename()
        for dial, _, _ in self._rows:
            dial.watch(guarded(moved))
        self.switch.observe(guarded(switched), names="value")

    def _rename(self) -> None:
        """Show every dial in the units chosen."""
        with self._hold():
            for dial, metric, us in self._rows:
                look = us if self.output == "us" else metric
                dial.rename(look.label, look.low, look.high, look.step, look.factor)

    @contextmanager
    def _hold(self) -> Iterator[None]:
        """Move dials without answering to each."""
        self._held = True
        try:
            yield
        finally:
            self._held = False

    @property
    def rows(self) -> tuple[Any, ...]:
        """The dials' rows, in the order they were made."""
        return tuple(dial.row for dial, _, _ in self._rows)


def width(name: str, most_mm: float, step_mm: float = 0.1) -> tuple[Shown, Shown]:
    """Look of a width or a height in mm and inches.

    Parameters
    ----------
    name : str
        What it is.
    most_mm, step_mm : float
        Upper end and step. [mm]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    inch = registry_factor("inch", "millimeter")
    return (
        Shown(f"{name} (mm)", 0.0, most_mm, step_mm),
        Shown(f"{name} (in)", 0.0, round(most_mm / inch, 1), 0.001, inch),
    )


def length_m(name: str, most_m: float, step_m: float = 0.1) -> tuple[Shown, Shown]:
    """Look of a length in metres and feet.

    Parameters
    ----------
    name : str
        What it is.
    most_m, step_m : float
        Upper end and step. [m]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    foot = registry_factor("foot", "meter")
    return (
        Shown(f"{name} (m)", 0.0, most_m, step_m),
        Shown(f"{name} (ft)", 0.0, round(most_m / foot), 0.25, foot),
    )


def surface(name: str, most_m2: float) -> tuple[Shown, Shown]:
    """Look of a water surface in square metres and square feet.

    Parameters
    ----------
    name : str
        What it is.
    most_m2 : float
        Upper end. [m2]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    foot = registry_factor("foot", "meter") ** 2
    return (
        Shown(f"{name} (m2)", 0.05, most_m2, 0.05),
        Shown(f"{name} (sq ft)", 0.5, round(most_m2 / foot), 0.25, foot),
    )


def volume(name: str, most_l: float, step_l: float = 1.0) -> tuple[Shown, Shown]:
    """Look of a volume in litres and US gallons.

    Parameters
    ----------
    name : str
        What it is.
    most_l, step_l : float
        Upper end and step. [L]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    return (
        Shown(f"{name} (L)", 0.0, most_l, step_l),
        Shown(f"{name} (US gal)", 0.0, round(most_l / GALLON_L), 0.25, GALLON_L),
    )


def flow(name: str, most_l_day: float, step: float = 0.5) -> tuple[Shown, Shown]:
    """Look of a drip in litres and US gallons a day.

    Parameters
    ----------
    name : str
        What it is.
    most_l_day, step : float
        Upper end and step. [L/day]

    Returns
    -------
    tuple of Shown
        Metric and US.
    """
    return (
        Shown(f"{name} (L a day)", 0.0, most_l_day, step),
        Shown(
            f"{name} (US gal a day)", 0.0, round(most_l_day / GALLON_L), 0.02, GALLON_L
        ),
    )
