"""Has something changed in the picked tank: in words, with the pictures."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import change, plots, style
from kit.change import ChangeReport
from kit.markup import Markup
from kit.panel import Panel, Picture, say
from kit.widgets.folder_picker import FolderPicker

__all__ = ["ChangePanel", "DoubtPanel"]


class ChangePanel(Panel):
    """What changed in the picked logbook, when, and what else would explain it.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to search; another pick changes the panel in place.
    shows : {"when", "shape"}, optional
        The evidence by day with the running sum, or the shape of the misfit.

    Attributes
    ----------
    report : ChangeReport or None
        What was found.
    """

    picture: Picture

    def __init__(self, picker: FolderPicker, shows: str = "when") -> None:
        super().__init__()
        self.picker = picker
        self.report: ChangeReport | None = None
        self.named = widgets.DatePicker(
            description="I changed something on",
            style={"description_width": "initial"},
            layout={"width": "22em", "max_width": "100%"},
        )
        self.shows = widgets.ToggleButtons(
            options=[("when it began", "when"), ("shape of the misfit", "shape")],
            value=shows,
            description="Picture",
            style={"description_width": "initial", "button_width": "12em"},
            layout={"width": "auto"},
        )
        self.picture = Picture(style.blank_figure(plots.CHANGE_SIZE_IN))
        self.arrange(self.named, self.words, self.shows, self.picture.widget)
        again = self.guarded(self.refresh)
        self.named.observe(again, names="value")
        self.shows.observe(self.guarded(self._drawn_anew), names="value")
        picker.listen(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Search what was picked and show it."""
        log = self.picker.log
        self.report = None
        if log is None:
            self.fail("Nothing to search: no logbook is read. Pick one above.")
            return
        report = self.report = change.report(log, known=self.named.value)
        if report.refused is not None:
            self.fail(report.refused)
            return
        self._draw(report)
        else_said = ["What else would look like this:"] if report.rivals else []
        self.tell([*report.statements, *else_said, *report.rivals])

    def _drawn_anew(self, _change: Any = None) -> None:
        if self.report is not None and self.report.refused is None:
            self._draw(self.report)

    def _draw(self, report: ChangeReport) -> None:
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        if self.shows.value == "shape" and report.shapes is not None:
            ax = style.axes_in(figure)
            plots.shape_picture(report.shapes, ax=ax)
            self.picture.draw(plots.shape_alt(report.shapes))
            return
        with style.drawing():
            above, below = figure.subplots(2, 1)
        plots.change_picture(report, axes=(above, below))
        self.picture.draw(plots.change_alt(report))


class DoubtPanel(Panel):
    """Exchanges that may be missing and readings that stand out, with both rates.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to look at; another pick changes the panel in place.
    """

    def __init__(self, picker: FolderPicker) -> None:
        super().__init__()
        self.picker = picker
        self.arrange(self.words)
        again = self.guarded(self.refresh)
        picker.listen(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Look at what was picked and say it."""
        log = self.picker.log
        if log is None:
            self.fail("Nothing to look at: no logbook is read. Pick one above.")
            return
        self.tell(change.doubts(log))

    def still(self) -> Markup:
        """Give the sentences."""
        return say(self.verdict, self.warnings)
