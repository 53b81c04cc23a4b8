"""What every panel on the picked tank is built from, and how it takes a tank over."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from kit import cautions, style
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.panel import Panel, Picture
from kit.rounding import Output
from kit.subject import Subject, subject_of
from kit.widgets.caution_box import caution_rows
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.units_switch import units_switch

__all__ = ["BenchFrame"]


class BenchFrame(Panel):
    """Cautions, units, controls, a picture and words on the picked tank.

    Parameters
    ----------
    picker : FolderPicker
        Whose tank; another pick changes the panel in place.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether its cautions stand on the page above already; it shows them itself
        otherwise.

    Attributes
    ----------
    subject : Subject or None
        The fitted tank; None where there is none.
    """

    picture: Picture
    topics: tuple[str, ...] = cautions.EXCHANGE
    mind = "Before you move water"
    aim = "plan"

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
        self.units = units_switch()
        self.picture = Picture(style.blank_figure())
        controls = self.controls()
        self.arrange(
            *caution_rows(self.topics, self.mind, cautioned=cautioned),
            self.units,
            *controls,
            self.picture.widget,
            self.words,
            *self.below(),
        )
        self.units.value = output
        self.units.observe(self.guarded(lambda _c: self.turned()), names="value")
        picker.listen(self.guarded(self.load))
        self.guarded(self.load)()

    # To be filled in by each panel ---------------------------------------------

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the controls, top first; a picture of the panel's own as well."""
        raise NotImplementedError

    def below(self) -> Sequence[widgets.Widget]:
        """Make what stands under the words."""
        return ()

    def forget(self) -> None:
        """Let go of what was worked out for another tank."""

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Set the controls to what the picked tank shows; by default leave them."""

    def relabel(self, output: Output) -> None:
        """Name the controls in the units chosen."""

    def refresh(self) -> None:
        """Work out what the controls stand for and show it."""
        raise NotImplementedError

    # Shared ----------------------------------------------------------------------

    def load(self) -> None:
        """Take over the picked tank; the controls start at what its log shows."""
        self.subject = None
        self.forget()
        log, result = self.picker.log, self.picker.fit()
        if log is None or result is None:
            self.fail(f"Nothing to {self.aim}: no logbook is read. Pick one above.")
            return
        self.subject = subject_of(log, result)
        with self.held():
            self.relabel(self.units.value)
            self.begin(self.subject, log, result)
        self.refresh()

    def turned(self) -> None:
        """Answer to the other units."""
        with self.held():
            self.relabel(self.units.value)
        self.refresh()
