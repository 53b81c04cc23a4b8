"""A picture drawn anew from nothing on each move, its place on the page kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kit import style
from kit.panel import Picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["Sheet"]


class Sheet:
    """One axes for pictures that are made by a function each time.

    The layout is worked out anew only where the upright numbers need more room or
    less, which keeps a move quick.

    Parameters
    ----------
    height_in : float, optional
        Height. [inch]

    Attributes
    ----------
    picture : Picture
        What the page shows.
    """

    def __init__(self, height_in: float = 4.2) -> None:
        self.axes: Axes = style.axes_in(style.blank_figure((6.4, height_in)))
        figure: Any = self.axes.get_figure()
        self.picture = Picture(figure)
        self._room: tuple[Any, ...] = ()

    def blank(self) -> Axes:
        """Give the axes, empty."""
        with style.drawing():
            self.axes.clear()
        return self.axes

    def show(self, alt: str) -> None:
        """Send what is drawn to the page.

        Parameters
        ----------
        alt : str
            What it shows, in words.
        """
        digits = len(f"{self.axes.get_ylim()[1]:.0f}")
        room = (digits, self.axes.get_xlabel(), self.axes.get_ylabel())
        if room != self._room:
            self._room = room
            self.picture.restart()
        with style.drawing():  # ticks are made, and sized, as they are drawn
            self.picture.draw(alt)
