"""What an exchange does to ammonia when it lifts the pH."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from kit import makeup, plots
from kit.makeup.alkalinity import kh_reserve
from kit.makeup.ammonia import RescueStep, rescue_step
from kit.makeup.oxygen import oxygen_saturation_mg_l
from kit.widgets.makeup_panel import MakeupPanel
from kit.widgets.unit_dials import Shown

__all__ = ["AmmoniaPanel"]


class AmmoniaPanel(MakeupPanel):
    """Two waters with their pH, hardness and warmth, and ammonia after mixing.

    Attributes
    ----------
    seen : RescueStep or None
        What the dials stand for, worked out.
    """

    topics = ("shock", "animals")
    seen: RescueStep | None = None

    def make(self) -> list[Any]:
        """Make the dials, at a neglected tank to begin with."""
        add, warm = self.dials.add, self.dials.warm
        ph = (5.0, 9.0, 0.1)
        dkh = (0.0, 20.0, 0.5)
        self.percent = add(20.0, Shown("Exchange (% of the water)", 0.0, 90.0, 0.5))
        self.tan = add(2.0, Shown("Total ammonia (mg/L as N)", 0.0, 10.0, 0.05))
        self.tank_ph = add(6.2, Shown("pH of the tank", *ph))
        self.new_ph = add(7.4, Shown("pH of new water, stood a day", *ph))
        self.tank_dkh = add(0.5, Shown("KH of the tank (dKH)", *dkh))
        self.new_dkh = add(5.0, Shown("KH of the new water (dKH)", *dkh))
        self.tank_c = warm("Tank water", 25.0, 5.0, 35.0)
        self.new_c = warm("New water", 20.0, 2.0, 35.0)
        self.salt = add(0.0, Shown("Salinity (g/kg)", 0.0, 40.0, 0.5))
        self.nitrate = add(229.0, Shown("Nitrate, tank (mg/L)", 0.0, 400.0, 1.0))
        self.source = add(5.0, Shown("Nitrate, new water (mg/L)", 0.0, 100.0, 1.0))
        self.tested = widgets.Checkbox(
            value=True,
            description="KH of both waters was tested",
            indent=False,
            layout={"width": "auto"},
        )
        return [self.tested]

    def show(self) -> None:
        """Work the mix out and show it."""
        tested = self.tested.value
        self.seen = step = rescue_step(
            self.percent.value / 100.0,
            tan_mg_l=self.tan.value,
            tank_ph=self.tank_ph.value,
            new_ph=self.new_ph.value,
            tank_c=self.tank_c.value,
            new_c=self.new_c.value,
            tank_dkh=self.tank_dkh.value if tested else None,
            new_dkh=self.new_dkh.value if tested else None,
            salinity_g_kg=self.salt.value,
        )
        tank_ph, tank_c, salt = self.tank_ph.value, self.tank_c.value, self.salt.value
        axes = self.axes()
        plots.ammonia_picture(step, tank_ph, tank_c, ax=axes, salinity=salt)
        self.draw(plots.ammonia_alt(step, tank_ph))
        nitrate, dkh = self.nitrate.value, self.new_dkh.value
        reserve = kh_reserve(nitrate, self.source.value, dkh)
        held = oxygen_saturation_mg_l(tank_c, salt)
        self.tell(
            [
                *makeup.ammonia_sentences(step, self.output),
                makeup.reserve_sentence(reserve, nitrate, dkh),
                makeup.oxygen_sentence(held, tank_c, self.output),
            ]
        )
