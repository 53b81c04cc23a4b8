"""Same tank, three answers: a season with a known truth, read with three kits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import plots, style
from kit.classroom import Answer, Season, answer_sentences, three_answers
from kit.panel import Panel, Picture
from kit.widgets.dial import Dial

__all__ = ["AnswersPanel"]


class AnswersPanel(Panel):
    """An invented season, read with three kits and fitted two ways.

    Attributes
    ----------
    rate, weeks, eye : Dial
        The truth, the length of the log, the spread of the eye.
    after : ipywidgets.Checkbox
        Test after the exchange as well.
    again : ipywidgets.Button
        Another season of the same tank.
    answers : tuple of Answer
        What was found last.
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        start = Season()
        self.season = start
        self.answers: tuple[Answer, ...] = ()
        self.rate = Dial("True rise (mg/L a day)", start.rate_mg_l_day, 0.5, 4.0, 0.01)
        self.weeks = Dial("Weeks in the log", float(start.weeks), 6.0, 52.0, 1.0)
        self.eye = Dial("Spread of the eye (%)", 100 * start.eye, 0.0, 25.0, 1.0)
        self.after = widgets.Checkbox(
            value=False,
            description="test after the exchange as well",
            indent=False,
        )
        self.again = widgets.Button(description="Another season")
        self.picture = Picture(style.blank_figure())
        for dial in (self.rate, self.weeks, self.eye):
            # Three fits take about a second: once a drag is enough.
            dial.slider.continuous_update = False
        self.arrange(
            self.rate.row,
            self.weeks.row,
            self.eye.row,
            self.after,
            self.again,
            self.picture.widget,
            self.words,
        )
        moved = self.guarded(self.refresh)
        for dial in (self.rate, self.weeks, self.eye):
            dial.watch(moved)
        self.after.observe(moved, names="value")
        self.again.on_click(self.guarded(self._another))
        moved()

    def _another(self, _button: Any) -> None:
        self.season = replace(self.season, seed=self.season.seed + 1)
        self.refresh()

    def refresh(self, _change: Any = None) -> None:
        """Live through the season and show the three answers."""
        self.season = replace(
            self.season,
            rate_mg_l_day=self.rate.value,
            weeks=round(self.weeks.value),
            eye=self.eye.value / 100.0,
            after_too=self.after.value,
        )
        self.answers = three_answers(self.season)
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        plots.answers_picture(self.answers, ax=style.axes_in(figure))
        self.picture.draw(plots.answers_alt(self.answers))
        self.tell(answer_sentences(self.answers))
