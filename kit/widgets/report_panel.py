"""The report of the picked logbook: what to show, the text to paste, the files."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import ipywidgets as widgets

from kit import plots, report, style
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.mask import masked
from kit.page import report_of
from kit.panel import Panel, Picture, say
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.units_switch import units_switch

__all__ = ["ReportPanel"]

_NAMELESS: Final = "Tank"
_FOLDER: Final = "my_report"


class ReportPanel(Panel):
    """A post made from the picked logbook, and a button that writes every file.

    Parameters
    ----------
    picker : FolderPicker
        Whose logbook to report; another pick changes the panel in place.
    """

    picture: Picture

    def __init__(self, picker: FolderPicker) -> None:
        super().__init__()
        self.picker = picker
        self.page: report.Report | None = None
        self._nameless: tuple[Logbook, Logbook, FitResult] | None = None
        self.units = units_switch()
        self.hide = widgets.Checkbox(
            value=False,
            description="Hide names and notes",
            indent=False,
            layout={"width": "auto"},
        )
        self.sections = {
            name: widgets.Checkbox(value=True, description=heading, indent=False)
            for name, heading in report.HEADINGS.items()
            if name != "cautions"
        }
        self.post = widgets.Textarea(
            description="Text to paste",
            rows=18,
            style={"description_width": "initial"},
            # The label stands above, or it would take half of a phone's width.
            layout={
                "width": "44em",
                "max_width": "100%",
                "flex_flow": "column",
                "align_items": "stretch",
            },
        )
        self.folder = widgets.Text(
            value=_FOLDER,
            description="Folder for the files",
            style={"description_width": "initial"},
            layout={"width": "24em", "max_width": "100%"},
        )
        self.button = widgets.Button(
            description="Write the files", layout={"width": "auto"}
        )
        self.done = widgets.HTML()
        self.picture = Picture(style.blank_figure())
        self._arrange()
        self._listen()

    def _arrange(self) -> None:
        """Put the parts in order: choices, the post, the files."""
        grid = widgets.Box(
            tuple(self.sections.values()),
            layout={"display": "flex", "flex_flow": "row wrap", "grid_gap": "0 1em"},
        )
        row = widgets.Box(
            (self.folder, self.button),
            layout={"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.4em"},
        )
        parts = (self.units, self.hide, grid, self.words, self.picture.widget)
        self.arrange(*parts, self.post, row, self.done)

    def _listen(self) -> None:
        again = self.guarded(self.refresh)
        for control in (self.units, self.hide, *self.sections.values()):
            control.observe(again, names="value")
        self.button.on_click(self.guarded(self.write))
        self.picker.listen(again)
        again()

    def refresh(self, _change: Any = None) -> None:
        """Make the page anew and show its post."""
        self.page, self.post.value, self.done.value = None, "", ""
        log, result = self._subject()
        if log is None or result is None:
            self.fail("Nothing to report: no logbook is read. Pick one above.")
            return
        chosen = tuple(name for name, box in self.sections.items() if box.value)
        if not chosen:
            self.fail("Tick at least one part of the report.")
            return
        self.page = report_of(log, result, self.units.value, sections=chosen)
        self.post.value = report.to_text(self.page, brief=True)
        self.tell([*self.page.verdict, _length(self.post.value)])
        self._draw(log, result)

    def _subject(self) -> tuple[Logbook | None, FitResult | None]:
        """Give the log and its fit, without names where none are wanted."""
        log = self.picker.log
        if log is None or not log.tests:
            return None, None
        if not self.hide.value:
            return log, self.picker.fit()
        if self._nameless is None or self._nameless[0] is not log:
            from kit import fit

            hidden = masked(log, _NAMELESS)
            self._nameless = (log, hidden, fit.rate(hidden))
        return self._nameless[1:]

    def _draw(self, log: Logbook, result: FitResult) -> None:
        """Show the picture that goes with the post."""
        self.picture.clear()
        if result.net_rate is None or not self.sections["picture"].value:
            return
        figure, ceiling = self.picture.figure, log.tank.ceiling_mg_l
        figure.clear()
        self.picture.restart()
        axes = style.axes_in(figure)
        units = self.units.value
        plots.fit_picture(result, ax=axes, ceiling_mg_l=ceiling, output=units)
        self.picture.draw(plots.fit_alt(result, ceiling_mg_l=ceiling))

    def write(self, _button: Any = None) -> None:
        """Write every file into the folder named."""
        if self.page is None:
            self.done.value = say(["There is no report to write yet."])
            return
        if not self.folder.value.strip():
            self.done.value = say(["Name a folder to write to."])
            return
        place = Path(self.folder.value.strip().strip("\"'")).expanduser()
        written = report.write(self.page, place)
        names = ", ".join(path.name for path in written)
        self.done.value = say(
            [
                f"Written to the folder {place.name}: {names}.",
                "Open report.html to read or print it; paste post.txt, and attach "
                "chart.png and logbook.zip.",
            ]
        )

    def text(self) -> str:
        """Give the post, or why there is none."""
        return self.post.value or super().text()

    def fail(self, sentence: str) -> None:
        """Show a fault; no older post stays in its place."""
        self.page, self.post.value = None, ""
        super().fail(sentence)


def _length(post: str) -> str:
    """Say how long a post is, as forums set limits."""
    return f"The text below has {len(post):,} characters and needs no picture."
