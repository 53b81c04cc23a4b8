"""How much water: several ways side by side, their mean, and lines for the settings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import ipywidgets as widgets

from kit import plots, style
from kit.errors import SumError
from kit.markup import Markup, element
from kit.panel import Panel, Picture
from kit.rounding import Output, format_volume, plain
from kit.volume import (
    CONDUCTIVITY_PER_G_L,
    Found,
    Mean,
    counted_fill,
    geometry,
    label_sentence,
    level_fall,
    mean,
    mean_sentences,
    nitrate_exchange,
    salinity,
    settings_lines,
    tracer,
)
from kit.widgets.dial import Dial
from kit.widgets.units_switch import units_switch

__all__ = ["VolumePanel"]

_HEADS: Final = ("Way", "Water", "Give or take", "Counts for")
_NAMES: Final = {
    "geometry": "Tape measure",
    "counted fill": "Counted buckets",
    "level fall": "Litres drained and fall of the level",
    "tracer": "Salt and a conductivity meter",
    "salinity": "Salinity before and after a fresh top-up",
    "nitrate": "Nitrate before and after an exchange (poor)",
}
_METER_PART: Final = 0.01
_SLOPE_PART: Final = 0.04


class VolumePanel(Panel):
    """Sliders for each way to a volume, a table, a picture and the mean.

    Attributes
    ----------
    uses : dict of str to ipywidgets.Checkbox
        Which ways count.
    dials : dict of str to Dial
        All numbers, by name.
    result : Mean or None
        What was found last.
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        self.result: Mean | None = None
        self.units = units_switch()
        self.dials = _dials()
        self.uses = {
            way: widgets.Checkbox(
                value=way in {"geometry", "counted fill"},
                description=title,
                indent=False,
                layout={"width": "auto"},
            )
            for way, title in _NAMES.items()
        }
        self.groups = {way: self._group(way) for way in _NAMES}
        self.table = widgets.HTML()
        self.lines = widgets.Textarea(
            description="For tank.toml",
            rows=10,
            style={"description_width": "initial"},
            layout={"width": "30em", "max_width": "calc(100% - 0.6em)"},
        )
        self.picture = Picture(style.blank_figure())
        parts = [w for way in _NAMES for w in (self.uses[way], self.groups[way])]
        self.arrange(
            self.units,
            *parts,
            self.dials["label"].row,
            self.words,
            self.picture.widget,
            self.table,
            self.lines,
        )
        again = self.guarded(self.refresh)
        for part in (self.units, *self.uses.values()):
            part.observe(again, names="value")
        for dial in self.dials.values():
            dial.watch(again)
        again()

    def _group(self, way: str) -> Any:
        rows = [self.dials[name].row for name in _OF[way]]
        return widgets.VBox(rows, layout={"padding": "0 0 0.6em 1.2em"})

    def fail(self, sentence: str) -> None:
        """Show a fault, and no numbers that no longer hold."""
        self.table.value, self.lines.value, self.result = "", "", None
        super().fail(sentence)

    def refresh(self, _change: Any = None) -> None:
        """Work every way out that counts, and their mean."""
        for way, box in self.uses.items():
            self.groups[way].layout.display = "flex" if box.value else "none"
        found, refused = self._found()
        if not found:
            self.fail(" ".join(refused) or "Tick at least one way.")
            return
        output: Output = self.units.value
        self.result = result = mean(found)
        self.lines.value = settings_lines(found)
        self.table.value = _table(result, output)
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        plots.volume_picture(result, ax=style.axes_in(figure), output=output)
        self.picture.draw(plots.volume_alt(result, output))
        said = list(mean_sentences(result, output))
        if self.dials["label"].value > 0:
            said.append(label_sentence(result, self.dials["label"].value, output))
        self.tell(said, refused)

    def _found(self) -> tuple[list[Found], list[str]]:
        """Give the ways that work, and a sentence for each that does not."""
        found, refused = [], []
        for way, box in self.uses.items():
            if box.value:
                try:
                    found.append(_WORK[way](self))
                except SumError as fault:
                    refused.append(f"{_NAMES[way]}: {fault}")
        return found, refused

    def text(self) -> str:
        """Verdict, the ways, and the lines for the settings."""
        return "\n".join([super().text(), self.lines.value])

    def number(self, name: str) -> float:
        """Give one number of the sliders."""
        return self.dials[name].value


def _dials() -> dict[str, Dial]:
    return {
        "length": Dial("Length inside (cm)", 120.0, 20.0, 300.0, 0.5),
        "width": Dial("Width inside (cm)", 50.0, 10.0, 150.0, 0.5),
        "waterline": Dial("Waterline over the floor (cm)", 45.0, 10.0, 120.0, 0.5),
        "sand": Dial("Sand (cm)", 5.0, 0.0, 30.0, 0.5),
        "rock": Dial("Rock (kg)", 20.0, 0.0, 200.0, 0.5),
        "glass": Dial("Glass (mm; 0 = sizes inside)", 0.0, 0.0, 30.0, 1.0),
        "buckets": Dial("Buckets", 24.5, 1.0, 300.0, 0.1),
        "bucket": Dial("Litres in a bucket", 10.0, 0.5, 50.0, 0.1),
        "drained": Dial("Litres drained", 54.0, 1.0, 1000.0, 1.0),
        "fall": Dial("Fall of the level (cm)", 9.5, 0.5, 60.0, 0.1),
        "salt": Dial("Table salt, dry (g)", 24.0, 1.0, 500.0, 0.5),
        "before": Dial("Conductivity before (uS/cm)", 400.0, 0.0, 3000.0, 1.0),
        "after": Dial("Conductivity after (uS/cm)", 597.0, 0.0, 4000.0, 1.0),
        "top_up": Dial("Fresh top-up (L)", 12.0, 0.5, 300.0, 0.5),
        "high": Dial("Salinity before (g/kg)", 36.8, 1.0, 45.0, 0.1),
        "low": Dial("Salinity after (g/kg)", 35.0, 1.0, 45.0, 0.1),
        "salinity_sd": Dial(
            "Error of one salinity reading (g/kg)", 0.1, 0.0, 2.0, 0.05
        ),
        "exchanged": Dial("Litres exchanged", 100.0, 1.0, 1000.0, 1.0),
        "nitrate_before": Dial("Nitrate before (mg/L)", 40.0, 0.0, 300.0, 1.0),
        "nitrate_after": Dial("Nitrate after (mg/L)", 25.5, 0.0, 300.0, 0.5),
        "nitrate_new": Dial("Nitrate in the new water (mg/L)", 5.0, 0.0, 100.0, 1.0),
        "label": Dial("The label says (L; 0 = none)", 300.0, 0.0, 2000.0, 1.0),
    }


_OF: Final = {
    "geometry": ("length", "width", "waterline", "sand", "rock", "glass"),
    "counted fill": ("buckets", "bucket"),
    "level fall": ("drained", "fall"),
    "tracer": ("salt", "before", "after"),
    "salinity": ("top_up", "high", "low", "salinity_sd"),
    "nitrate": ("exchanged", "nitrate_before", "nitrate_after", "nitrate_new"),
}


def _geometry(panel: VolumePanel) -> Found:
    return geometry(
        panel.number("length"),
        panel.number("width"),
        panel.number("waterline"),
        sand_cm=panel.number("sand"),
        rock_kg=panel.number("rock"),
        glass_mm=panel.number("glass"),
    )


def _counted(panel: VolumePanel) -> Found:
    return counted_fill(panel.number("buckets"), panel.number("bucket"))


def _level(panel: VolumePanel) -> Found:
    return level_fall(
        panel.number("drained"),
        panel.number("fall"),
        panel.number("length"),
        panel.number("width"),
        panel.number("waterline"),
        sand_cm=panel.number("sand"),
    )


def _tracer(panel: VolumePanel) -> Found:
    after = panel.number("after")
    return tracer(
        panel.number("salt"),
        panel.number("before"),
        after,
        per_g_l=CONDUCTIVITY_PER_G_L,
        per_g_l_part=_SLOPE_PART,
        reading_sd=_METER_PART * after,
    )


def _salinity(panel: VolumePanel) -> Found:
    return salinity(
        panel.number("top_up"),
        panel.number("high"),
        panel.number("low"),
        reading_sd=panel.number("salinity_sd"),
        filled=True,
    )


def _nitrate(panel: VolumePanel) -> Found:
    return nitrate_exchange(
        panel.number("exchanged"),
        panel.number("nitrate_before"),
        panel.number("nitrate_after"),
        panel.number("nitrate_new"),
    )


_WORK: Final[dict[str, Callable[[VolumePanel], Found]]] = {
    "geometry": _geometry,
    "counted fill": _counted,
    "level fall": _level,
    "tracer": _tracer,
    "salinity": _salinity,
    "nitrate": _nitrate,
}


def _table(result: Mean, output: Output) -> Markup:
    rows = [
        element(
            "tr",
            element("td", way.how),
            element("td", format_volume(way.litres, output, band_l=way.sd_l)),
            element("td", f"{plain(round(way.error_percent, 1))} %"),
            element("td", f"{plain(round(100.0 * share))} %"),
        )
        for way, share in zip(result.ways, result.shares, strict=True)
    ]
    table = element(
        "table",
        element(
            "thead", element("tr", *(element("th", h, scope="col") for h in _HEADS))
        ),
        element("tbody", *rows),
    )
    return element("div", table, class_="kit-rows", tabindex="0")
