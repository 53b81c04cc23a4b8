"""What panels on one fitted tank share: dials that wait, rows, one picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from kit import style
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.markup import Markup
from kit.subject import Subject
from kit.widgets.bench_frame import BenchFrame
from kit.widgets.dial import Dial
from kit.widgets.stacked_table import stacked_table

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["TankPanel", "choice", "food_choice", "number_box", "wrapped"]


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


def food_choice() -> Any:
    """Make the list of what food is like."""
    return choice("Food", [("dry: flakes, pellets", "dry"), ("frozen, wet", "frozen")])


class TankPanel(BenchFrame):
    """A panel that speaks of the picked tank, with rows under its words.

    Parameters are those of `BenchFrame`.
    """

    united = True
    """Whether litres or gallons make a difference to it."""

    # To be filled in by each panel, beside the controls --------------------------

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Work out what the controls stand for and show it."""
        raise NotImplementedError

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

    def below(self) -> Sequence[widgets.Widget]:
        """Make the place for rows; hide units that change nothing."""
        self.table = widgets.HTML()
        self._rows: tuple[tuple[str, ...], ...] = ()
        if not self.united:
            self.units.layout.display = "none"
        return [self.table]

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
