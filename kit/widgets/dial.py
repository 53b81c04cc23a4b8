"""A number to turn: a named box and a slider that move together."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as widgets

__all__ = ["Dial"]


def _tidy(value: float) -> float:
    """Drop what a slider's way adds to a number in its last places."""
    return float(f"{value:.10g}")


class Dial:
    """A slider paired with a number box, as a slider alone has no name.

    Parameters
    ----------
    label : str
        Name with its unit; a screen reader speaks it with the box.
    value, low, high, step : float
        Start, ends and step, in the unit shown.
    factor : float, optional
        How much of the kit's unit one shown unit is, such as litres in a gallon.
    """

    def __init__(
        self,
        label: str,
        value: float,
        low: float,
        high: float,
        step: float,
        *,
        factor: float = 1.0,
    ) -> None:
        self.factor = factor
        self.box = widgets.BoundedFloatText(
            value=value,
            min=low,
            max=high,
            step=step,
            description=label,
            style={"description_width": "16.5em"},
            layout={"width": "22.5em", "max_width": "100%"},
        )
        self.slider = widgets.FloatSlider(
            value=value,
            min=low,
            max=high,
            step=step,
            readout=False,
            layout={"flex": "1 1 15em", "min_width": "12em", "width": "auto"},
        )
        self.box.add_class("kit-dial")
        # A page works in parts of the slider's way and sends 26.599999999999998 back.
        widgets.link((self.slider, "value"), (self.box, "value"), (_tidy, _tidy))
        self.row = widgets.Box(
            [self.box, self.slider],
            layout={
                "display": "flex",
                "flex_flow": "row wrap",
                "align_items": "center",
                "max_width": "46em",
            },
        )

    @property
    def value(self) -> float:
        """Number in the kit's unit."""
        return float(self.slider.value) * self.factor

    def put(self, value: float) -> None:
        """Move to a number in the kit's unit, as far as the ends allow."""
        shown = value / self.factor
        self.slider.value = min(max(shown, self.slider.min), self.slider.max)

    def watch(self, action: Callable[..., Any]) -> None:
        """Call `action` whenever the number moves."""
        self.slider.observe(action, names="value")

    def rename(
        self, label: str, low: float, high: float, step: float, factor: float
    ) -> None:
        """Show the same number in another unit.

        Parameters
        ----------
        label : str
            Name with the new unit.
        low, high, step : float
            Ends and step in the new unit.
        factor : float
            How much of the kit's unit one shown unit is.
        """
        inside = self.value
        self.factor = factor
        # In one message: a page that hears of the new ends before the new step would
        # move the number to the old one's marks and send it back.
        with self.slider.hold_sync(), self.box.hold_sync():
            self.box.description = label
            for part in (self.slider, self.box):
                # The widest range first: an end may never pass the other on the way.
                part.min = min(low, part.min)
                part.max = max(high, part.max)
            self.put(inside)
            for part in (self.slider, self.box):
                part.min, part.max, part.step = low, high, step
