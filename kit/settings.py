"""A tank's settings: ``tank.toml`` becomes a `Tank`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, get_args

from kit import clock
from kit.basis import NITRATE_PER_N, Basis, nitrate_basis
from kit.charts import CHARTS, rising_steps
from kit.findings import Problem, clip, in_reading_order
from kit.logbook import SameDay, Tank, TopUp
from kit.settings_file import Settings, read_settings
from kit.settings_volume import (
    VOLUME_TABLES,
    VOLUME_WAYS,
    Answered,
    amount,
    volume_changes,
    volume_of,
)
from kit.units import flow_factor_l_day, temperature_c

__all__ = ["CHARTS", "VOLUME_WAYS", "Answered", "read_tank"]

_FLOW_KEYS: Final = (
    "litres_per_day",
    "us_gallons_per_day",
    "imperial_gallons_per_day",
    "millilitres_per_minute",
)
_HIGHEST_MG_L: Final = 500.0
_TARIFFS: Final = ("water_per_m3", "energy_per_kwh", "salt_per_kg")
_TIMES: Final = ("minutes_per_exchange", "minutes_per_bucket")
_SECTIONS: Final = {
    "source": ("nitrate_mg_l", "nitrate_n_mg_l"),
    "kit": ("chart", "steps", "resolution_mg_l", "basis"),
    "drip": _FLOW_KEYS,
    "evaporation": (*_FLOW_KEYS, "top_up"),
    "plan": ("ceiling_mg_l", "max_percent"),
    "habit": ("same_day",),
    "feed": ("protein_percent", "pinch_g"),
    "costs": ("currency", *_TARIFFS, *_TIMES, "bucket_litres"),
    "temperature": ("tank_c", "new_water_c", "tank_f", "new_water_f"),
}


def read_tank(
    path: Path, *, today: dt.date | None = None, answered: Answered | None = None
) -> tuple[Tank, tuple[Problem, ...]]:
    """Read a tank's settings; every problem in one pass, nothing raised.

    Parameters
    ----------
    path : pathlib.Path
        ``tank.toml``, or the folder it stands in.
    today : datetime.date, optional
        Day to judge future dates by; the clock's when left out.
    answered : callable, optional
        Gives the keeper's answer to a question, or None.

    Returns
    -------
    Tank
        What could be read; the defaults where a setting is missing or wrong.
    tuple of Problem
        Worst first.
    """
    path = Path(path)
    if path.is_dir():
        path = path / "tank.toml"
    found = read_settings(path)
    if not found.values:
        if not found.problems:
            volume_of(found, answered)
        return Tank(name=_folder_name(path)), in_reading_order(found.problems)
    tank = Tank(
        name=found.text_of(found.values, ("", "name", 0), 200) or _folder_name(path),
        **volume_of(found, answered),
        volume_changes=volume_changes(found, today or clock.today(), answered),
        source_nitrate_mg_l=_source(found),
        **_kit(found),
        **_water(found, answered),
        **_plan(found),
        **_costs(found),
        **_temperature(found),
    )
    found.unknown_keys(found.values, "", ("name", *VOLUME_TABLES, *_SECTIONS))
    return tank, in_reading_order(found.problems)


def _folder_name(path: Path) -> str:
    return path.absolute().parent.name or "tank"


def _checked(found: Settings, name: str, *extra: str) -> dict[str, Any]:
    """Give a section after noting its unknown settings."""
    section = found.section(name)
    found.unknown_keys(section, name, (*_SECTIONS[name], *extra))
    return section


def _source(found: Settings) -> float | None:
    section = _checked(found, "source")
    given = [k for k in _SECTIONS["source"] if k in section]
    if len(given) > 1:
        found.tell(
            "error",
            "given twice",
            ("source", given[1], 0),
            seen=" and ".join(given),
            expected="one of them",
            mend="delete one",
        )
        return None
    limits = (0.0, _HIGHEST_MG_L)
    for key in given:
        value = found.number(section, ("source", key, 0), limits, "5")
        as_n = key == "nitrate_n_mg_l"
        return None if value is None else value * (NITRATE_PER_N if as_n else 1.0)
    return None


def _kit(found: Settings) -> dict[str, Any]:
    section = _checked(found, "kit")
    basis = _kit_basis(found, section)
    ways = [k for k in ("chart", "steps", "resolution_mg_l") if k in section]
    if len(ways) > 1:
        found.tell(
            "error",
            "given twice",
            ("kit", ways[1], 0),
            seen=" and ".join(ways),
            expected="chart, or steps, or resolution_mg_l: a kit is one of them",
            mend="delete all but one; none is used until then",
        )
        return {"kit_basis": basis}
    steps: tuple[float, ...] | None = None
    if chart := found.word(section, ("kit", "chart", 0), CHARTS):
        steps = CHARTS[chart]
    if "steps" in section:
        steps = _steps(found, section["steps"], ("kit", "steps", 0))
    place = ("kit", "resolution_mg_l", 0)
    resolution = found.number(section, place, (0.0, 100.0), "1", zero=False)
    return {
        "kit_basis": basis,
        **_as_no3(steps, resolution, basis),
    }


def _as_no3(
    steps: tuple[float, ...] | None, resolution: float | None, basis: Basis | None
) -> dict[str, Any]:
    """Give steps and resolution as NO3, whatever the kit counts."""
    factor = NITRATE_PER_N if basis == "NO3-N" else 1.0
    return {
        "kit_steps_mg_l": None if steps is None else tuple(s * factor for s in steps),
        "kit_resolution_mg_l": None if resolution is None else resolution * factor,
    }


def _kit_basis(found: Settings, section: Mapping[str, Any]) -> Basis | None:
    if "basis" not in section:
        return None
    value = section["basis"]
    basis = nitrate_basis(value) if isinstance(value, str) else None
    if basis is None:
        found.word(section, ("kit", "basis", 0), get_args(Basis))
    return basis


def _steps(
    found: Settings, value: Any, place: tuple[str, str, int]
) -> tuple[float, ...] | None:
    """Check the steps of a card: at least two, rising, none below zero."""
    steps = rising_steps(value if isinstance(value, list) else [])
    if steps is not None:
        return steps
    found.tell(
        "error",
        "steps not rising",
        place,
        seen=f"{place[1]} = {clip(str(value))[1:-1]}",
        expected="at least two numbers, each larger than the one before, such as "
        "[0, 5, 10, 20]",
        mend="write the numbers printed under the colours, smallest first",
    )
    return None


def _water(found: Settings, answered: Answered | None) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name in ("drip", "evaporation"):
        section = found.section(name)
        units = [k for k in section if flow_factor_l_day(k) is not None]
        found.unknown_keys(section, name, (*_SECTIONS[name], *units))
        flow = amount(found, section, (name, 0), flow_factor_l_day, answered, zero=True)
        out[f"{name}_l_day"] = flow or 0.0
    section = found.section("evaporation") if "evaporation" in found.values else {}
    top_up = found.word(section, ("evaporation", "top_up", 0), get_args(TopUp))
    return {**out, "top_up": top_up or "source"}


def _plan(found: Settings) -> dict[str, Any]:
    plan, habit, feed = (_checked(found, n) for n in ("plan", "habit", "feed"))
    share = (0.0, 100.0)
    level = (0.0, _HIGHEST_MG_L)

    def read(
        section: dict[str, Any],
        name: str,
        key: str,
        limits: tuple[float, float],
        eg: str,
    ) -> float | None:
        return found.number(section, (name, key, 0), limits, eg, zero=False)

    return {
        "ceiling_mg_l": read(plan, "plan", "ceiling_mg_l", level, "40"),
        "max_percent": read(plan, "plan", "max_percent", share, "50"),
        "same_day": found.word(habit, ("habit", "same_day", 0), get_args(SameDay)),
        "feed_protein_percent": read(feed, "feed", "protein_percent", share, "45"),
        "pinch_g": read(feed, "feed", "pinch_g", share, "0.25"),
    }


def _costs(found: Settings) -> dict[str, Any]:
    section = _checked(found, "costs")

    def read(key: str, most: float, example: str, zero: bool = True) -> float | None:
        limits = (0.0, most)
        return found.number(section, ("costs", key, 0), limits, example, zero=zero)

    return {
        "currency": found.text_of(section, ("costs", "currency", 0), 20) or "",
        **{key: read(key, 1e9, "4") for key in _TARIFFS},
        **{key: read(key, 1440.0, "15") for key in _TIMES},
        "bucket_l": read("bucket_litres", 1000.0, "10", zero=False),
    }


def _temperature(found: Settings) -> dict[str, Any]:
    """Read warmth in °C or °F, the unit being the setting's own name."""
    section = _checked(found, "temperature")
    out: dict[str, Any] = {}
    for name in ("tank", "new_water"):
        place = ("temperature", f"{name}_c", 0)
        celsius = found.number(section, place, (-2.0, 45.0), "25")
        place = ("temperature", f"{name}_f", 0)
        fahrenheit = found.number(section, place, (28.0, 113.0), "77")
        if celsius is not None and fahrenheit is not None:
            found.tell(
                "error",
                "given twice",
                place,
                seen=f"{name}_c and {name}_f",
                expected="one of them",
                mend="delete one; neither is used until then",
            )
            celsius = fahrenheit = None
        if fahrenheit is not None:
            celsius = temperature_c(fahrenheit, "F")
        out[f"{name}_c"] = celsius
    return out
