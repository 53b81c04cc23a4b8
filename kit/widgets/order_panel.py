"""What one exchange does, by the order of draining and filling."""

from __future__ import annotations

from collections.abc import Sequence

from kit import plots
from kit.panel import Panel, Picture
from kit.rounding import Output
from kit.schedule.order import Outcome, compare_orders, level_at_once
from kit.schedule.said import order_sentences
from kit.widgets.sheet import Sheet
from kit.widgets.unit_dials import Shown, UnitDials, volume

__all__ = ["OrderPanel"]


class OrderPanel(Panel):
    """One exchange on sliders, and what it does in each order.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.

    Attributes
    ----------
    seen : sequence of Outcome
        Each order, worked out.
    """

    picture: Picture

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.seen: Sequence[Outcome] = ()
        self.dials = UnitDials()
        add = self.dials.add
        self.volume = add(300.0, *volume("Water in the full tank", 2000.0, 5.0))
        self.drained = add(75.0, *volume("Water drained", 1000.0))
        self.lost = add(15.0, *volume("Missing by evaporation", 200.0))
        self.level = add(40.0, Shown("Nitrate before (mg/L)", 0.0, 200.0, 1.0))
        self.source = add(5.0, Shown("Nitrate in the new water (mg/L)", 0.0, 50.0, 1.0))
        self.reached = add(
            1.0,
            Shown("Part that mixes at once (%)", 50.0, 100.0, 1.0, 0.01),
        )
        self._sheet = Sheet()
        self.picture = self._sheet.picture
        self.arrange(
            self.dials.switch, *self.dials.rows, self.picture.widget, self.words
        )
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Work each order out and show it."""
        self.seen = compare_orders(
            self.level.value,
            self.source.value,
            drained_l=self.drained.value,
            volume_l=self.volume.value,
            evaporated_l=self.lost.value,
        )
        plots.order_picture(self.seen, ax=self._sheet.blank())
        self._sheet.show(plots.order_alt(self.seen))
        output, level = self.dials.output, self.level.value
        at_once = level_at_once(
            level,
            self.source.value,
            drained_l=self.drained.value,
            volume_l=self.volume.value,
            evaporated_l=self.lost.value,
            reached=self.reached.value,
        )
        self.tell(order_sentences(self.seen, level, at_once, output))
