"""A picture of a level ahead, drawn once and then changed in place."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import numpy as np

from kit import style
from kit.plots import _parts as parts
from kit.rounding import Output

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["LevelPicture"]


class LevelPicture:
    """What pictures of a level ahead share: their frame, the line and the ceiling.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw.
    """

    def __init__(self, ax: Axes) -> None:
        self.ax = ax
        self.start: dt.date | None = None
        self.top = 0.0
        self._framed: tuple[Any, ...] = ()
        self.figure: Any = ax.get_figure()
        with style.drawing():
            parts.level_axis(ax, "metric")

    def _make_band(self, color: str, label: str | None) -> Any:
        """Make a band for `show` to place."""
        none = np.zeros(2)
        return self.ax.fill_between(none, none, none, color=color, lw=0, label=label)

    def _make_line(self, label: str) -> Any:
        """Make the level's line for `show` to place."""
        none = np.zeros(2)
        return self.ax.plot(none, none, color=style.LEVEL, label=label)[0]

    def _make_head(self) -> None:
        """Make the ceiling's line and a title."""
        self._ceiling, self._ceiling_said = parts.ceiling_line(self.ax, 0.0)
        self._title: Any = self.ax.set_title("A title that takes its room")

    def frame(
        self,
        top_mg_l: float,
        days: float,
        *,
        output: Output = "metric",
        start: dt.date | None = None,
    ) -> bool:
        """Set what stays while the sliders move.

        Parameters
        ----------
        top_mg_l : float
            Top of the picture. [mg/L]
        days : float
            Its end. [day]
        output : {"metric", "us", "imperial"}, optional
            Whose units.
        start : datetime.date, optional
            Day zero.

        Returns
        -------
        bool
            Whether anything changed.
        """
        wanted = (top_mg_l, days, output, start)
        if wanted == self._framed:
            return False
        self._framed = wanted
        self.start, self.top = start, top_mg_l
        self.ax.set_xlim(0.0, days)
        self.ax.set_ylim(0.0, top_mg_l)
        parts.level_axis(self.ax, output)
        self.ax.set_xlabel(parts.days_from(start))
        return True

    def _show_ceiling(self, ceiling_mg_l: float | None) -> None:
        for part in (self._ceiling, self._ceiling_said):
            part.set_visible(ceiling_mg_l is not None)
        if ceiling_mg_l is not None:
            self._ceiling.set_ydata([ceiling_mg_l, ceiling_mg_l])
            self._ceiling_said.xy = (1.0, ceiling_mg_l)
            self._ceiling_said.set_text(parts.ceiling_words(ceiling_mg_l))
