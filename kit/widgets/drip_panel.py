"""Drip or bucket: two habits of one tank on one axis."""

from __future__ import annotations

import ipywidgets as widgets

from kit import plots
from kit.errors import PlanError
from kit.markup import element
from kit.panel import Panel, Picture
from kit.rounding import Output
from kit.sawtooth import Habit
from kit.schedule.mixing import mixed_habit
from kit.schedule.said import drip_sentences, say_habit
from kit.schedule.ways import Cycle, Ways, steady_cycle
from kit.widgets.caution_box import caution_rows
from kit.widgets.sheet import Sheet
from kit.widgets.unit_dials import Shown, UnitDials, flow, volume

__all__ = ["DripPanel"]

_DAYS = 90.0
_TOPICS = ("flooding", "pressure", "chlorine", "electricity", "mould")


class DripPanel(Panel):
    """One tank on sliders, kept by buckets and kept by a drip.

    Parameters
    ----------
    output : {"metric", "us"}, optional
        Whose units to begin with.
    cautioned : bool, optional
        Whether the cautions stand on the page above already.

    Attributes
    ----------
    buckets_cycle, drip_cycle : Cycle or None
        Where each leads; None where nothing holds the level.
    """

    picture: Picture

    def __init__(self, output: Output = "metric", *, cautioned: bool = False) -> None:
        super().__init__()
        self.buckets_cycle: Cycle | None = None
        self.drip_cycle: Cycle | None = None
        self.dials = UnitDials()
        self._make_dials()
        self.top_up = widgets.Dropdown(
            options=[
                ("with the new water", "source"),
                ("with pure water", "pure"),
                ("not at all", "none"),
            ],
            description="Topped up, beyond the drip,",
            style={"description_width": "initial"},
            layout={"width": "26em", "max_width": "100%"},
        )
        self._sheet = Sheet(4.8)
        self.picture = self._sheet.picture
        self._lay_out(cautioned)
        self.dials.switch.value = output
        self.dials.watch(self.guarded, self.refresh)
        again = self.guarded(lambda _change: self.refresh())
        self.top_up.observe(again, names="value")
        self.guarded(self.refresh)()

    def _make_dials(self) -> None:
        add = self.dials.add
        part = ("Exchange (% of the water)", 0.0, 90.0, 0.5, 0.01)
        self.volume = add(262.0, *volume("Water in the tank", 2000.0))
        self.rate = add(2.726, Shown("Nitrate rise (mg/L a day)", 0.0, 10.0, 0.01))
        self.source = add(
            12.0, Shown("Nitrate in the new water (mg/L)", 0.0, 50.0, 1.0)
        )
        self.lost = add(3.0, *flow("Evaporation", 50.0))
        self.percent = add(0.5, Shown(*part))
        self.interval = add(7.0, Shown("Every (days)", 1.0, 60.0, 0.5))
        self.drip = add(22.0, *flow("Drip", 100.0))
        self.mixed = add(1.0, Shown("Drip that mixes in (%)", 50.0, 100.0, 5.0, 0.01))
        self.rare_percent = add(0.0, Shown(*part))
        self.rare_interval = add(42.0, Shown("Every (days)", 1.0, 60.0, 0.1))

    def _lay_out(self, cautioned: bool) -> None:
        rows = self.dials.rows
        heads = [
            widgets.HTML(element("p", element("strong", text)))
            for text in (
                "The tank",
                "Buckets: full line",
                "Drip side: broken line",
            )
        ]
        self.arrange(
            *caution_rows(_TOPICS, "Before you set up a drip", cautioned=cautioned),
            self.dials.switch,
            heads[0],
            *rows[:4],
            self.top_up,
            heads[1],
            *rows[4:6],
            heads[2],
            *rows[6:],
            self.picture.widget,
            self.words,
        )

    def habits(self) -> tuple[Habit, Habit]:
        """Give both habits the sliders stand for, buckets first."""
        tank = {
            "source_mg_l": self.source.value,
            "evaporation_l_day": self.lost.value,
        }
        buckets = Habit(
            self.volume.value,
            self.percent.value,
            self.interval.value,
            top_up=self.top_up.value,
            **tank,
        )
        other = Habit(
            self.volume.value,
            self.rare_percent.value,
            self.rare_interval.value,
            drip_l_day=self.drip.value,
            top_up=self.top_up.value,
            **tank,
        )
        return buckets, other

    def refresh(self) -> None:
        """Work both habits out and show them."""
        buckets, other = self.habits()
        rate, output = self.rate.value, self.dials.output
        self.buckets_cycle = _held(buckets, rate)
        mixed = self.mixed.value
        self.drip_cycle = _held(mixed_habit(other, mixed=mixed), rate)
        first = plots.Side(say_habit(buckets, output), self.buckets_cycle)
        second = plots.Side(say_habit(other, output), self.drip_cycle)
        plots.pair_picture(
            first,
            second,
            _DAYS,
            source_mg_l=self.source.value,
            ax=self._sheet.blank(),
            output=output,
        )
        self._sheet.show(plots.pair_alt(first, second, _DAYS))
        self.tell(drip_sentences(buckets, other, rate, output, mixed=mixed))


def _held(habit: Habit, rate_mg_l_day: float) -> Cycle | None:
    """Give where a habit leads; None where nothing holds the level."""
    try:
        return steady_cycle(Ways(habit), rate_mg_l_day)
    except PlanError:
        return None
