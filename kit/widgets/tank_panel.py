"""What panels on one fitted tank share: loading, units, cautions, one picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from kit import cautions, style
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.markup import Markup
from kit.panel import Panel, Picture, caution_markup
from kit.rounding import Output
from kit.subject import Subject, subject_of
from kit.widgets.dial import Dial
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.stacked_table import stacked_table
from kit.widgets.units_switch import units_switch

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["TankPanel", "choice", "number_box", "wrapped"]


def wrapped(parts: Sequence[widgets.Widget]) -> Any:
    """Set parts side by side as far as the page is wide."""
    rows = {"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.2em 1em"}
    return widgets.Box(list(parts), layout=rows)


def number_box(label: str, value: float, high: float, step: float) -> Any:
    """Make a named box for a number from 0."""
    box = widgets.BoundedFloatText(
        value=value,
        min=0.0,
        max=high,
        step=step,
        description=label,
        style={"description_width": "16.5em"},
        layout={"width": "22.5em", "max_width": "100%"},
    )
    box.add_class("kit-dial")
    return box


def choice(label: str, options: Sequence[tuple[str, Any]]) -> Any:
    """Make a named list to choose from."""
    return widgets.Dropdown(
        options=list(options),
        description=label,
        style={"description_width": "initial"},
        layout={"width": "26em", "max_width": "100%"},
    )


class TankPanel(Panel):
    """A panel that speaks of the picked tank.

    Parameters
    ----------
    picker : FolderPicker
        Whose tank; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether its cautions stand on the page above already; it shows them itself
        otherwise.
    """

    picture: Picture
    topics: tuple[str, ...] = cautions.EXCHANGE
    mind = "Before you move water"

    def __init__(
        self,
        picker: FolderPicker,
        output: Output = "metric",
        *,
        cautioned: bool = False,
    ) -> None:
        super().__init__()
        self.picker = picker
        self.subject: Subject | None = None
        self._busy = False
        self.units = units_switch()
        self.table = widgets.HTML()
        self._rows: tuple[tuple[str, ...], ...] = ()
        self.picture = Picture(style.blank_figure())
        controls = self.controls()
        mind = caution_markup(cautions.for_page(*self.topics), self.mind)
        self.arrange(
            *([] if cautioned else [widgets.HTML(mind)]),
            self.units,
            *controls,
            self.picture.widget,
            self.words,
            self.table,
        )
        self.units.value = output
        self.units.observe(self.guarded(lambda _c: self._turned()), names="value")
        picker.listen(self.guarded(self.load))
        self.guarded(self.load)()

    # To be filled in by each panel ---------------------------------------------

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the controls, top first; each calls `heed` on itself."""
        raise NotImplementedError

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Set the controls to what the picked tank shows."""
        raise NotImplementedError

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Work out what the controls stand for and show it."""
        raise NotImplementedError

    def relabel(self, output: Output) -> None:
        """Name the controls in the units chosen."""

    # Shared ----------------------------------------------------------------------

    def heed(self, *controls: Dial | widgets.Widget) -> None:
        """Show anew whenever one of these moves; a slider only once it is let go."""
        again = self.guarded(lambda _c: self.refresh())
        for control in controls:
            if isinstance(control, Dial):
                # A whole plan and its picture take too long to follow each pixel.
                control.slider.continuous_update = False
                control.watch(again)
            else:
                control.observe(again, names="value")

    @contextmanager
    def held(self) -> Iterator[None]:
        """Move controls without answering to each."""
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def load(self) -> None:
        """Take over the picked tank."""
        self.subject = None
        log, result = self.picker.log, self.picker.fit()
        if log is None or result is None:
            self.fail("Nothing to plan: no logbook is read. Pick one above.")
            return
        self.subject = subject_of(log, result)
        with self.held():
            self.relabel(self.units.value)
            self.begin(self.subject, log, result)
        self.refresh()

    def _turned(self) -> None:
        with self.held():
            self.relabel(self.units.value)
        self.refresh()

    def refresh(self) -> None:
        """Show what the controls stand for."""
        log, result = self.picker.log, self.picker.fit()
        if self._busy or self.subject is None or log is None or result is None:
            return
        self.show(self.subject, log, result)

    def fail(self, sentence: str) -> None:
        """Show a fault in place of numbers and rows that no longer hold."""
        self.put_rows("", (), ())
        super().fail(sentence)

    def put_rows(
        self, title: str, heads: Sequence[str], rows: Sequence[tuple[str, ...]]
    ) -> None:
        """Show rows under the picture; none takes the table away."""
        self._rows = tuple(rows)
        self.table.value = stacked_table(title, heads, rows)

    def fresh_axes(self) -> Axes:
        """Clear the picture and give axes to draw on."""
        self.picture.figure.clear()
        self.picture.restart()
        return style.axes_in(self.picture.figure)

    def text(self) -> str:
        """Sentences, then each row as a line."""
        return "\n".join([super().text(), *("; ".join(row) for row in self._rows)])

    def still(self) -> Markup | None:
        """Leave the still page to the picture and the words."""
        return None
