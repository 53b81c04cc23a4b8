"""Will it spill: a drain against its drip, a stuck valve and a blocked mouth."""

from __future__ import annotations

import ipywidgets as widgets

from kit import plots, plumbing
from kit.markup import element
from kit.panel import Panel, Picture
from kit.plumbing import Drain, Outlook, Pipe
from kit.rounding import Output
from kit.units import registry_factor
from kit.widgets.caution_box import caution_rows
from kit.widgets.sheet import Sheet
from kit.widgets.unit_dials import (
    Shown,
    UnitDials,
    flow,
    length_m,
    surface,
    width,
)

__all__ = ["DrainPanel"]

_TOPICS = ("flooding", "pressure", "electricity", "floor")
_HOURS = 24.0


class DrainPanel(Panel):
    """Drain, supply and tank on sliders, and what each failure comes to.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether the cautions stand on the page above already.

    Attributes
    ----------
    seen : Outlook or None
        What the sliders stand for, worked out.
    """

    picture: Picture

    def __init__(self, output: Output = "metric", *, cautioned: bool = False) -> None:
        super().__init__()
        self.seen: Outlook | None = None
        self.dials = UnitDials()
        self._make_drain()
        self._make_supply()
        self._sheet = Sheet()
        self.picture = self._sheet.picture
        self._lay_out(cautioned)
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def _make_drain(self) -> None:
        add = self.dials.add
        self.bore = add(26.6, *width("Inside width of the drain", 60.0))
        self.head = add(10.0, *width("Rise allowed above its lip", 60.0, 1.0))
        self.count = add(1.0, Shown("How many such drains", 1.0, 4.0, 1.0))
        self.blocked = add(0.0, Shown("Part blocked (%)", 0.0, 100.0, 5.0, 0.01))
        self.slope = add(0.0, Shown("Fall of a level run (%)", 0.0, 10.0, 0.5, 0.01))
        self.room = add(30.0, *width("From the lip to the rim", 200.0, 1.0))
        self.area = add(0.6, *surface("Water surface", 5.0))

    def _make_supply(self) -> None:
        add = self.dials.add
        psi = registry_factor("psi", "kilopascal")
        self.drip = add(22.0, *flow("Drip as set", 200.0))
        self.tube = add(6.35, *width("Supply tube, inside", 20.0, 0.05))
        self.length = add(10.0, *length_m("Its length", 50.0))
        self.pressure = add(
            20.0 * psi,
            Shown("Line pressure (kPa)", 0.0, 700.0, 1.0),
            Shown("Line pressure (psi)", 0.0, 100.0, 1.0, psi),
        )
        self.asked = add(3.0, Shown("Spare factor you ask for", 1.0, 6.0, 0.5))

    def _lay_out(self, cautioned: bool) -> None:
        rows = self.dials.rows
        self.arrange(
            *caution_rows(_TOPICS, "Before you trust a drain", cautioned=cautioned),
            self.dials.switch,
            widgets.HTML(element("p", element("strong", "The drain and the tank"))),
            *rows[:7],
            widgets.HTML(element("p", element("strong", "What runs in"))),
            *rows[7:],
            self.picture.widget,
            self.words,
        )

    def drain(self) -> Drain:
        """Give the drain the sliders stand for."""
        return Drain(
            self.bore.value,
            count=round(self.count.value),
            blocked=self.blocked.value,
            run_slope=self.slope.value,
        )

    def refresh(self) -> None:
        """Work every case out and show it."""
        tube = Pipe(self.tube.value, self.length.value)
        self.seen = plumbing.outlook(
            self.drain(),
            drip_l_h=self.drip.value / _HOURS,
            wide_open_l_h=plumbing.wide_open_l_h(tube, self.pressure.value),
            head_mm=self.head.value,
            freeboard_mm=self.room.value,
            area_m2=self.area.value,
            asked=self.asked.value,
        )
        output = self.dials.output
        plots.drain_picture(self.seen, ax=self._sheet.blank(), output=output)
        self._sheet.show(plots.drain_alt(self.seen, output))
        self.tell(plumbing.outlook_sentences(self.seen, output))
