"""How long a hose takes to drain or fill."""

from __future__ import annotations

import math

from kit import plots, plumbing
from kit.panel import Panel, Picture
from kit.plumbing import Pipe
from kit.rounding import Output
from kit.widgets.sheet import Sheet
from kit.widgets.unit_dials import UnitDials, length_m, surface, volume, width

__all__ = ["HosePanel"]


class HosePanel(Panel):
    """A hose on sliders, and the minutes it takes as the level falls.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.
    """

    picture: Picture

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.dials = UnitDials()
        add = self.dials.add
        self.litres = add(75.0, *volume("Water to move", 1000.0))
        self.bore = add(16.0, *width("Inside width of the hose", 50.0, 0.5))
        self.length = add(5.0, *length_m("Its length", 30.0))
        self.head = add(1.0, *length_m("Waterline down to its end", 3.0, 0.05))
        self.area = add(0.6, *surface("Water surface", 5.0))
        self._sheet = Sheet()
        self.picture = self._sheet.picture
        self.arrange(
            self.dials.switch, *self.dials.rows, self.picture.widget, self.words
        )
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Work the time out and show it."""
        hose, litres = Pipe(self.bore.value, self.length.value), self.litres.value
        output, head = self.dials.output, self.head.value
        curve = plumbing.hose_curve(hose, self.area.value, head, litres)
        minutes = curve.x[-1]
        if math.isfinite(minutes):
            plots.hose_picture(curve, litres, ax=self._sheet.blank(), output=output)
            self._sheet.show(plots.hose_alt(curve, litres, output))
        else:
            self.picture.clear()
        first = plumbing.flow_l_h(hose, head)
        self.tell(plumbing.hose_sentences(first, litres, minutes, output))
