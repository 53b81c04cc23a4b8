"""How fast nitrate rises in the picked tank, with the picture."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import plots, style, words
from kit.fit import FitResult
from kit.panel import Panel, Picture
from kit.widgets.folder_picker import FolderPicker

__all__ = ["FitPanel"]


class FitPanel(Panel):
    """The fit of the picked logbook in words and picture.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to fit; another pick changes the panel in place.
    shows : {"level", "distance"}, optional
        The fitted level, or how far each reading lies from its forecast.
    """

    picture: Picture

    def __init__(self, picker: FolderPicker, shows: str = "level") -> None:
        super().__init__()
        self.picker = picker
        self.shows = widgets.ToggleButtons(
            options=[
                ("level and readings", "level"),
                ("distance of each reading", "distance"),
            ],
            value=shows,
            description="Picture",
            style={"description_width": "initial", "button_width": "14em"},
            layout={"width": "auto"},
        )
        self.picture = Picture(style.blank_figure())
        self.arrange(self.words, self.shows, self.picture.widget)
        again = self.guarded(self.refresh)
        self.shows.observe(again, names="value")
        picker.listen(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Fit what was picked and show it."""
        result = self.picker.fit()
        if result is None:
            self.fail("Nothing to fit: no logbook is read. Pick one above.")
            return
        if result.net_rate is None:
            self.fail(result.refused or "This log gives no rate.")
            return
        self._draw(result)
        self.tell(words.fit_sentences(result))

    def _draw(self, result: FitResult) -> None:
        figure, log = self.picture.figure, self.picker.log
        figure.clear()
        self.picture.restart()
        axes = style.axes_in(figure)
        ceiling = None if log is None else log.tank.ceiling_mg_l
        if self.shows.value == "level":
            plots.fit_picture(result, ax=axes, ceiling_mg_l=ceiling)
            alt = plots.fit_alt(result, ceiling_mg_l=ceiling)
        else:
            plots.residual_picture(result, ax=axes)
            alt = plots.residual_alt(result)
        self.picture.draw(alt)
