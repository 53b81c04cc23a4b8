"""``tank.toml`` of a tidy logbook."""

from __future__ import annotations

import json
from typing import Any

from kit import escape
from kit.logbook import Tank
from kit.settings import VOLUME_WAYS
from kit.tidy._cells import basis_of

__all__ = ["settings_text"]


def _quoted(text: str) -> str:
    """Write a text for TOML; JSON's escapes are TOML's as well."""
    return json.dumps(escape.plain(text, 200), ensure_ascii=False)


def settings_text(tank: Tank) -> str:
    """Write the settings as used."""
    basis, factor = basis_of(tank)
    steps = None
    if tank.kit_steps_mg_l:
        shown = ", ".join(_toml(s / factor) for s in tank.kit_steps_mg_l)
        steps = f"[{shown}]"
    resolution = tank.kit_resolution_mg_l
    sections: dict[str, dict[str, Any]] = {
        "volume": {
            "litres": tank.volume_l,
            # A mean of several ways is written as the number it came to.
            "how": tank.volume_how if tank.volume_how in VOLUME_WAYS else None,
            "error_percent": tank.volume_error_percent,
        },
        "source": {"nitrate_mg_l": tank.source_nitrate_mg_l},
        "kit": {
            "steps": steps and _Raw(steps),
            "resolution_mg_l": None if resolution is None else resolution / factor,
            "basis": basis if tank.kit_basis else None,
        },
        "drip": {"litres_per_day": tank.drip_l_day or None},
        "evaporation": {
            "litres_per_day": tank.evaporation_l_day or None,
            "top_up": tank.top_up if tank.evaporation_l_day else None,
        },
        "plan": {"ceiling_mg_l": tank.ceiling_mg_l, "max_percent": tank.max_percent},
        "habit": {"same_day": tank.same_day},
        "feed": {
            "protein_percent": tank.feed_protein_percent,
            "pinch_g": tank.pinch_g,
        },
        "costs": {
            "currency": tank.currency or None,
            "water_per_m3": tank.water_per_m3,
            "energy_per_kwh": tank.energy_per_kwh,
            "salt_per_kg": tank.salt_per_kg,
            "minutes_per_exchange": tank.minutes_per_exchange,
            "minutes_per_bucket": tank.minutes_per_bucket,
            "bucket_litres": tank.bucket_l,
        },
        "temperature": {"tank_c": tank.tank_c, "new_water_c": tank.new_water_c},
    }
    out = [f"name = {_quoted(tank.name)}"]
    for name, values in sections.items():
        out += _section(f"[{name}]", values)
    for change in tank.volume_changes:
        values = {
            "date": _Raw(change.date.isoformat()),
            "litres": change.volume_l,
            "how": change.how,
        }
        out += _section("[[volume_change]]", values)
    return "\n".join(out) + "\n"


class _Raw(str):
    """Text that stands in a settings file without quotation marks."""

    __slots__ = ()


def _toml(value: float) -> str:
    """Write a number; a whole one without its point."""
    return f"{value:.12g}"


def _section(head: str, values: dict[str, Any]) -> list[str]:
    """Write one table of settings; nothing when nothing is set."""
    lines = []
    for key, value in values.items():
        if isinstance(value, _Raw):
            lines.append(f"{key} = {value}")
        elif isinstance(value, str):
            lines.append(f"{key} = {_quoted(value)}")
        elif value is not None:
            lines.append(f"{key} = {_toml(value)}")
    return ["", head, *lines] if lines else []
