"""What untreated tap water brings of chlorine."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import makeup, plots
from kit.makeup.chlorine import (
    DripChlorine,
    batch_level_mg_l,
    decay_curve,
    drip_range,
)
from kit.rounding import round_for_people
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.unit_dials import Shown, flow

__all__ = ["ChlorinePanel"]


class ChlorinePanel(MakeupPanel):
    """Chlorine of the tap, a drip and an exchange, untreated.

    Attributes
    ----------
    seen : DripChlorine or None
        What the dials stand for, worked out.
    """

    topics = ("chlorine",)
    seen: DripChlorine | None = None

    def make(self) -> list[Any]:
        """Make the dials."""
        add = self.dials.add
        self.tap = add(1.0, Shown("Chlorine of the tap (mg/L as Cl2)", 0.0, 4.0, 0.05))
        self.drip = add(0.0, *flow("Untreated drip", 200.0))
        self.percent = add(20.0, Shown("Untreated exchange (%)", 0.0, 90.0, 0.5))
        self.slow = add(1.0, Shown("Used up at least (parts a day)", 0.1, 50.0, 0.1))
        self.fast = add(20.0, Shown("Used up at most (parts a day)", 0.1, 50.0, 0.1))
        self.kind = _choice(
            "The supplier uses", [("chlorine", False), ("chloramine", True)]
        )
        self.water = _choice("The tank is", [("fresh", "fresh"), ("salt", "salt")])
        return [self.kind, self.water]

    def begin(self) -> None:
        """Start at the tank's own drip and exchange."""
        self.drip.put(self.habit.drip_l_day)
        self.percent.put(round_for_people(100.0 * self.habit.fraction))

    def show(self) -> None:
        """Work the levels out and show them."""
        tap, drip, fraction = self.tap.value, self.drip.value, self.percent.value / 100
        volume = self.habit.volume_l
        self.seen = found = drip_range(
            drip,
            volume,
            tap,
            k_per_day=(self.slow.value, self.fast.value),
            water=self.water.value,
        )
        curve = decay_curve(drip, volume, tap)
        plots.chlorine_picture(curve, found.criteria, ax=self.axes())
        self.draw(plots.chlorine_alt(curve, found.criteria))
        self.tell(
            makeup.chlorine_sentences(
                found,
                batch_level_mg_l(fraction, tap),
                tap_mg_l=tap,
                fraction=fraction,
                drip_l_day=drip,
                chloramine=self.kind.value,
                output=self.output,
            )
        )


def _choice(label: str, options: list[tuple[str, Any]]) -> Any:
    listed = widgets.Dropdown(
        options=options,
        description=label,
        style={"description_width": "16.5em"},
        layout={"width": "26em", "max_width": "100%"},
    )
    listed.add_class("kit-dial")
    return listed
