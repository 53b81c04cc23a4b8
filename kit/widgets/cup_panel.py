"""A drip by cup and watch, and whether its emitter clogs."""

from __future__ import annotations

from kit import plumbing
from kit.panel import Panel
from kit.rounding import Output
from kit.widgets.unit_dials import Shown, UnitDials, flow

__all__ = ["CupPanel"]

_SECONDS = 60.0


class CupPanel(Panel):
    """What a cup caught on sliders, and the drip it stands for.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.

    Attributes
    ----------
    drip_l_day : float
        Drip found. [L/day]
    """

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.drip_l_day = 0.0
        self.dials = UnitDials()
        add = self.dials.add
        self.caught = add(50.0, Shown("Caught in the cup (mL)", 0.0, 1000.0, 5.0))
        self.time = add(
            6.0 * _SECONDS, Shown("In so many minutes", 0.5, 60.0, 0.5, _SECONDS)
        )
        self.earlier = add(22.0, *flow("Earlier drip, 0 unknown", 200.0))
        self.days = add(60.0, Shown("So many days ago", 1.0, 365.0, 1.0))
        self.arrange(self.dials.switch, *self.dials.rows, self.words)
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Work the drip out and say it."""
        self.drip_l_day = plumbing.cup_l_day(self.caught.value, self.time.value)
        earlier, days = self.earlier.value, self.days.value
        output = self.dials.output
        self.tell(plumbing.cup_sentences(self.drip_l_day, earlier, days, output))
