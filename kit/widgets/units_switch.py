"""The switch between litres and gallons."""

from __future__ import annotations

from typing import Any, Final

import ipywidgets as widgets

from kit.rounding import Output
from kit.units import registry_factor

__all__ = ["GALLON_L", "units_switch", "volume_factor"]

GALLON_L: Final = registry_factor("gallon", "liter")


def units_switch() -> Any:
    """Make the switch; its ``value`` is the `Output` to write numbers for."""
    return widgets.ToggleButtons(
        options=[("litres", "metric"), ("US gallons", "us")],
        description="Units",
        style={"description_width": "initial", "button_width": "8em"},
        layout={"width": "auto"},
    )


def volume_factor(output: Output) -> float:
    """Litres in the volume unit shown. [L]."""
    return GALLON_L if output == "us" else 1.0
