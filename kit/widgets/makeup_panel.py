"""What the panels on new water share: the picked tank's habit, dials, one picture."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kit import cautions, style
from kit.logbook import Tank
from kit.panel import Panel, Picture
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.subject import present_habit
from kit.widgets.caution_box import caution_rows
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.warm_dials import WarmDials

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["MakeupPanel"]


class MakeupPanel(Panel):
    """A panel on the new water of the picked tank.

    Parameters
    ----------
    picker : FolderPicker or None, optional
        Whose tank; another pick changes the panel in place. None for a panel that
        needs no tank.
    output : {"metric", "us"}, optional
        Whose units to begin with.
    with_picker : bool, optional
        Whether to show the picker on top, where it stands nowhere else.
    cautioned : bool, optional
        Whether its cautions stand on the page above already; it shows them itself
        otherwise.

    Attributes
    ----------
    habit : Habit
        What the picked log shows, or a plain tank to begin with.
    tank : Tank
        Its settings.
    """

    pictured = True
    topics: tuple[str, ...] = cautions.EXCHANGE

    def __init__(
        self,
        picker: FolderPicker | None = None,
        output: Output = "metric",
        *,
        with_picker: bool = False,
        cautioned: bool = False,
    ) -> None:
        super().__init__()
        self.picker = picker
        self._ready = picker is None
        self._axes: Axes | None = None
        self.habit = Habit(200.0, 0.25, 7.0)
        self.tank = Tank()
        self.dials = WarmDials()
        extra = self.make()
        if self.pictured:
            self.picture = Picture(style.blank_figure())
        shown = [] if self.picture is None else [self.picture.widget]
        rows = (*self.dials.rows, *extra, self.words, *shown, *self.after())
        first = [picker.box] if picker is not None and with_picker else []
        mind = "Before you add water"
        above = caution_rows(self.topics, mind, cautioned=cautioned)
        self.arrange(*above, *first, self.dials.switch, *rows)
        for control in extra:
            control.observe(self.guarded(lambda _c: self.refresh()), names="value")
        for dial in self.dials.made:
            # A picture drawn anew takes too long to follow each pixel of a slide.
            dial.slider.continuous_update = False
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        if picker is not None:
            picker.listen(self.guarded(self.load))
        self.guarded(self.load)()

    # To be filled in by each panel ---------------------------------------------

    def make(self) -> list[Any]:
        """Make the dials; give further controls that have a ``value``."""
        raise NotImplementedError

    def begin(self) -> None:
        """Set the dials to what the picked tank shows."""

    def show(self) -> None:
        """Work out what the dials stand for and show it."""
        raise NotImplementedError

    def after(self) -> list[Any]:
        """Give what stands below the picture."""
        return []

    # Shared ----------------------------------------------------------------------

    @property
    def output(self) -> Output:
        """Whose units are shown."""
        return self.dials.output

    def load(self) -> None:
        """Take over the picked tank."""
        if self.picker is not None:
            self._ready = False
            log = self.picker.log
            if log is None:
                self.fail("Nothing to work with: no logbook is read. Pick one above.")
                return
            self.tank = log.tank
            habit = present_habit(log, log.tank.source_nitrate_mg_l)
            if habit is None:
                self.fail("The log does not say how much water the tank holds.")
                return
            self.habit, self._ready = habit, True
        with self.dials.held():
            self.begin()
        self.refresh()

    def refresh(self) -> None:
        """Show what the dials stand for; nothing without a tank to speak of."""
        if self._ready:
            self.show()

    def axes(self) -> Axes:
        """Empty the picture and give its axes, which keep their place on the page."""
        if self.picture is None:
            msg = "this panel has no picture"
            raise RuntimeError(msg)
        figure = self.picture.figure
        if self._axes is None:
            self._axes = style.axes_in(figure)
            return self._axes
        with style.drawing():
            self._axes.clear()
        for legend in list(figure.legends):
            legend.remove()
        return self._axes

    def draw(self, alt: str) -> None:
        """Send the picture to the page."""
        if self.picture is not None:
            # Ticks are made as late as this, and take the look in force then.
            with style.drawing():
                self.picture.draw(alt)
