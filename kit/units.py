"""Units as keepers spell them, turned into the one unit used inside.

Inside the kit a number is a plain float in a fixed unit (litres, mg/L as the NO3
ion, grams, days, °C, kPa, cm). Units meet it only at the edges: a header, a cell,
a setting, a printed number.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from kit.basis import (
    NITRATE_PER_N,
    Basis,
    NitrateUnit,
    nitrate_basis,
    nitrate_factor,
)
from kit.errors import UnitError
from kit.registry import (
    AMBIGUOUS_VOLUMES,
    FLOW_WORDS,
    LENGTH_SPELLINGS,
    MASS_SPELLINGS,
    PRESSURE_SPELLINGS,
    TEMPERATURE_SPELLINGS,
    VOLUME_SPELLINGS,
    Ambiguous,
    fold,
    registry_factor,
    to_celsius,
)
from kit.rounding import (
    Output,
    format_flow,
    format_length,
    format_mass,
    format_nitrate,
    format_temperature,
    format_temperature_difference,
    format_volume,
    round_for_people,
    say_band,
)

__all__ = [
    "NITRATE_PER_N",
    "VOLUME_SPELLINGS",
    "Ambiguous",
    "Basis",
    "NitrateUnit",
    "Output",
    "flow_factor_l_day",
    "fold",
    "format_flow",
    "format_length",
    "format_mass",
    "format_nitrate",
    "format_temperature",
    "format_temperature_difference",
    "format_volume",
    "length_cm",
    "mass_factor_g",
    "nitrate_basis",
    "nitrate_factor",
    "pressure_kpa",
    "refusal",
    "registry_factor",
    "round_for_people",
    "say_band",
    "temperature_c",
    "temperature_difference_c",
    "volume_factor_l",
]

# Short forms that run volume and time together: "gph", "us gpd", "lph".
_RUN_TOGETHER: Final = {"gp": "gal", "lp": "l", "mlp": "ml"}
_SHORT_TIMES: Final = {"d": "d", "h": "h", "m": "min"}
_REFUSED: Final = (
    (
        re.compile(r"\bppt\b"),
        'parts per thousand or per trillion; write the nitrate in "mg/L NO3"',
    ),
    (
        re.compile(r"\bdrops?\b"),
        "drops differ in size; catch the drip in a measuring cup for some minutes "
        'and write it in "L/day"',
    ),
    (
        re.compile(r"\b(buckets?|cans?|jugs?)\b"),
        "buckets differ in size; write litres",
    ),
)


def volume_factor_l(text: str) -> float | Ambiguous | None:
    """Give the litres in one of the volume unit written.

    Parameters
    ----------
    text : str
        A unit such as ``"L"``, ``"US gal"``, ``"cu ft"``.

    Returns
    -------
    float or Ambiguous or None
        Factor [L]; `Ambiguous` where the country is missing; None when unknown.

    Examples
    --------
    >>> volume_factor_l("imperial gallons")
    4.54609
    >>> volume_factor_l("gallons")
    <Ambiguous.GALLON: 'a US gallon is 3.785 L, an imperial gallon 4.546 L'>
    """
    name = fold(text)
    if name in AMBIGUOUS_VOLUMES:
        return AMBIGUOUS_VOLUMES[name]
    unit = VOLUME_SPELLINGS.get(name)
    return None if unit is None else registry_factor(unit, "liter")


def mass_factor_g(text: str) -> float | Ambiguous | None:
    """Give the grams in one of the mass unit written.

    Parameters
    ----------
    text : str
        A unit such as ``"g"``, ``"mg"``, ``"oz"``.

    Returns
    -------
    float or Ambiguous or None
        Factor [g]; `Ambiguous` for "gr"; None when unknown.
    """
    name = fold(text)
    if name in {"gr", "grs"}:
        return Ambiguous.GRAIN
    unit = MASS_SPELLINGS.get(name)
    return None if unit is None else registry_factor(unit, "gram")


def _flow_parts(name: str) -> tuple[str, str] | None:
    """Split a folded flow into its volume and its time."""
    volume, slash, time = re.sub(r" (per|a|each) ", "/", name).partition("/")
    if slash:
        # "gal/h us" names the country after the time.
        time, _, country = time.partition(" ")
        return f"{volume} {country}".strip(), time
    match = re.fullmatch(r"(us |imp |uk )?(gp|lp|mlp)([dhm])( us| imp| uk)?", name)
    if match is None:
        return None
    country = (match[1] or match[4] or "").strip()
    return f"{country} {_RUN_TOGETHER[match[2]]}".strip(), _SHORT_TIMES[match[3]]


def flow_factor_l_day(text: str) -> float | Ambiguous | None:
    """Give the litres a day in one of the flow unit written.

    Parameters
    ----------
    text : str
        A unit such as ``"L/day"``, ``"mL/min"``, ``"gph US"``.

    Returns
    -------
    float or Ambiguous or None
        Factor [L/day]; `Ambiguous` where the country of a gallon is missing; None
        when unknown, drops among them (see `refusal`).

    Examples
    --------
    >>> flow_factor_l_day("mL/min")
    1.44
    """
    parts = _flow_parts(fold(text))
    if parts is None or parts[1] not in FLOW_WORDS:
        return None
    volume = volume_factor_l(parts[0])
    if not isinstance(volume, float):
        return volume
    per_day = registry_factor("day", FLOW_WORDS[parts[1]])
    return round(volume * per_day, 12)


def refusal(text: str) -> str | None:
    """Say why a unit that keepers do use is not taken.

    Parameters
    ----------
    text : str
        A unit as written.

    Returns
    -------
    str or None
        The reason in plain words; None when there is nothing special to say.

    Examples
    --------
    >>> refusal("ppt")
    'parts per thousand or per trillion; write the nitrate in "mg/L NO3"'
    """
    name = fold(text)
    return next((why for pattern, why in _REFUSED if pattern.search(name)), None)


def _known(text: str, table: Mapping[str, str], what: str, example: str) -> str:
    """Look a spelling up, or raise with what is accepted."""
    unit = table.get(fold(text))
    if unit is None:
        raise UnitError(f'"{text[:40]}" is not {what} the kit knows; write {example}')
    return unit


def temperature_c(value: float, unit: str = "°C") -> float:
    """Turn a temperature into °C.

    Parameters
    ----------
    value : float
        Temperature in `unit`.
    unit : str
        ``"°C"``, ``"°F"`` or ``"K"``.

    Returns
    -------
    float
        Temperature. [°C]

    Examples
    --------
    >>> temperature_c(77, "F")
    25.0
    """
    name = _known(unit, TEMPERATURE_SPELLINGS, "a temperature", '"°C" or "°F"')
    return to_celsius(value, name)


def temperature_difference_c(value: float, unit: str = "°C") -> float:
    """Turn a difference of two temperatures into °C, without the 32 of a scale.

    Parameters
    ----------
    value : float
        Difference in `unit`.
    unit : str
        ``"°C"``, ``"°F"`` or ``"K"``.

    Returns
    -------
    float
        Difference. [°C]

    Examples
    --------
    >>> temperature_difference_c(9, "F")
    5.0
    """
    name = _known(unit, TEMPERATURE_SPELLINGS, "a temperature", '"°C" or "°F"')
    if name in {"degC", "kelvin"}:
        return float(value)
    return float(Fraction(value) * Fraction(5, 9))


def pressure_kpa(value: float, unit: str = "kPa") -> float:
    """Turn a pressure into kPa.

    Parameters
    ----------
    value : float
        Pressure in `unit`.
    unit : str
        ``"kPa"``, ``"bar"``, ``"psi"`` and the like.

    Returns
    -------
    float
        Pressure. [kPa]
    """
    name = _known(unit, PRESSURE_SPELLINGS, "a pressure", '"kPa" or "psi"')
    return value * registry_factor(name, "kilopascal")


def length_cm(value: float, unit: str = "cm") -> float:
    """Turn a length into cm.

    Parameters
    ----------
    value : float
        Length in `unit`.
    unit : str
        ``"cm"``, ``"mm"``, ``"in"`` and the like.

    Returns
    -------
    float
        Length. [cm]

    Examples
    --------
    >>> length_cm(10, "in")
    25.4
    """
    name = _known(unit, LENGTH_SPELLINGS, "a length", '"cm" or "in"')
    return value * registry_factor(name, "centimeter")
