"""Why a colour is an interval: one water read again and again."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import plots, style
from kit.charts import CHARTS
from kit.panel import Panel, Picture
from kit.testkit import mean_reading, reading_chances, repeat_sentences
from kit.widgets.dial import Dial

__all__ = ["ColourBench"]


class ColourBench(Panel):
    """A level, a card and an eye, and how often each colour is read.

    Attributes
    ----------
    level, eye : Dial
        What is truly in the water, and the spread of the eye. [mg/L], [%]
    card : ipywidgets.Dropdown
        Which card.
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        self.level = Dial("Truly in the water (mg/L)", 33.0, 0.5, 200.0, 0.5)
        self.eye = Dial("Spread of the eye (%)", 12.0, 0.0, 40.0, 1.0)
        self.card = widgets.Dropdown(
            options=list(CHARTS),
            value="doubling",
            description="Card",
            style={"description_width": "initial"},
            layout={"width": "16em", "max_width": "100%"},
        )
        self.picture = Picture(style.blank_figure())
        self.arrange(
            self.card,
            self.level.row,
            self.eye.row,
            self.picture.widget,
            self.words,
        )
        again = self.guarded(self.refresh)
        self.card.observe(again, names="value")
        self.level.watch(again)
        self.eye.watch(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Show how the water is read."""
        level, noise = self.level.value, self.eye.value / 100.0
        steps = CHARTS[self.card.value]
        chances = reading_chances(level, steps, noise)
        mean = mean_reading(level, steps, noise)
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        axes = style.axes_in(figure)
        plots.chances_picture(level, steps, chances, mean, ax=axes)
        self.picture.draw(plots.chances_alt(level, steps, chances, mean))
        self.tell(repeat_sentences(level, steps, chances, mean))
