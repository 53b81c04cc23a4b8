"""What runs back into a sump when its return pump stops."""

from __future__ import annotations

from kit import plumbing
from kit.panel import Panel
from kit.plumbing import Backflow
from kit.rounding import Output
from kit.widgets.unit_dials import UnitDials, surface, volume, width

__all__ = ["SumpPanel"]


class SumpPanel(Panel):
    """Tank, pipes and sump on sliders, and whether the sump holds what runs back.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.

    Attributes
    ----------
    seen : Backflow or None
        What the sliders stand for, worked out.
    """

    def __init__(self, output: Output = "metric") -> None:
        super().__init__()
        self.seen: Backflow | None = None
        self.dials = UnitDials()
        add = self.dials.add
        self.area = add(0.6, *surface("Tank, water surface", 5.0))
        self.drop = add(25.0, *width("Tank drains back by", 200.0, 1.0))
        self.pipes = add(3.0, *volume("Water in the pipes", 50.0, 0.5))
        self.sump_area = add(0.2, *surface("Sump, water surface", 3.0))
        self.room = add(150.0, *width("Sump level to its rim", 400.0, 1.0))
        self.arrange(self.dials.switch, *self.dials.rows, self.words)
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        self.guarded(self.refresh)()

    def refresh(self) -> None:
        """Work out what runs back and say it."""
        self.seen = plumbing.backflow(
            tank_area_m2=self.area.value,
            drop_mm=self.drop.value,
            pipes_l=self.pipes.value,
            sump_area_m2=self.sump_area.value,
            sump_room_mm=self.room.value,
        )
        self.tell(plumbing.sump_sentences(self.seen, self.dials.output))
