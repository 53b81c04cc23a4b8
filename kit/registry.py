"""Spellings of units that are taken, and the exact factors behind them.

Only spellings on these lists are taken: a registry of units would read "ppt" as a
trillionth of a pint and every "gallon" as the US one. Names on the left are the
registry's; the factors come from pint, exactly, and pint is loaded on first use.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = [
    "AMBIGUOUS_VOLUMES",
    "FLOW_WORDS",
    "LENGTH_SPELLINGS",
    "MASS_SPELLINGS",
    "PRESSURE_SPELLINGS",
    "TEMPERATURE_SPELLINGS",
    "VOLUME_SPELLINGS",
    "Ambiguous",
    "fold",
    "registry_factor",
    "to_celsius",
]


class Ambiguous(Enum):
    """A spelling that two places use for different amounts; never guessed."""

    GALLON = "a US gallon is 3.785 L, an imperial gallon 4.546 L"
    QUART = "a US quart is 0.946 L, an imperial quart 1.137 L"
    PINT = "a US pint is 0.473 L, an imperial pint 0.568 L"
    GRAIN = '"gr" is a gram to some and a grain (0.065 g) to others'


def _spellings(table: Mapping[str, str]) -> Mapping[str, str]:
    """Turn ``registry unit: "spelling, spelling"`` round."""
    pairs = ((s.strip(), u) for u, words in table.items() for s in words.split(","))
    return MappingProxyType(dict(pairs))


_GALLON = "gal, gals, gallon, gallons"
_QUART = "qt, qts, quart, quarts"
_PINT = "pt, pts, pint, pints"


def _of_country(words: str, *countries: str) -> str:
    """List every word with the country before and after it."""
    names = [w.strip() for w in words.split(",")]
    both = [f"{c} {w}" for c in countries for w in names]
    return ", ".join([*both, *(f"{w} {c}" for c in countries for w in names)])


_US = ("us", "usa", "american", "us liquid")
_IMPERIAL = ("imp", "imperial", "uk", "british")

VOLUME_SPELLINGS: Final = _spellings(
    {
        "liter": "l, ltr, ltrs, lt, liter, liters, litre, litres, dm3",
        "milliliter": "ml, mls, cc, cm3, milliliter, milliliters, millilitre, "
        "millilitres",
        "centiliter": "cl, centiliter, centiliters, centilitre, centilitres",
        "meter**3": "m3, m^3, cubic meter, cubic meters, cubic metre, cubic metres, "
        "cu m, cbm",
        "foot**3": "ft3, ft^3, cu ft, cuft, cubic foot, cubic feet, cubic ft",
        "inch**3": "in3, in^3, cu in, cubic inch, cubic inches",
        "gallon": _of_country(_GALLON, *_US) + ", usg, usgal",
        "imperial_gallon": _of_country(_GALLON, *_IMPERIAL) + ", ig, impgal",
        "quart": _of_country(_QUART, *_US),
        "imperial_quart": _of_country(_QUART, *_IMPERIAL),
        "pint": _of_country(_PINT, *_US),
        "imperial_pint": _of_country(_PINT, *_IMPERIAL),
        "fluid_ounce": _of_country("fl oz", *_US),
        "imperial_fluid_ounce": _of_country("fl oz", *_IMPERIAL),
    }
)
MASS_SPELLINGS: Final = _spellings(
    {
        "gram": "g, gm, gms, gram, grams, gramme, grammes",
        "milligram": "mg, milligram, milligrams",
        "kilogram": "kg, kgs, kilo, kilos, kilogram, kilograms",
        "ounce": "oz, ounce, ounces",
        "pound": "lb, lbs, pound, pounds",
    }
)
LENGTH_SPELLINGS: Final = _spellings(
    {
        "centimeter": "cm, centimeter, centimeters, centimetre, centimetres",
        "millimeter": "mm, millimeter, millimeters, millimetre, millimetres",
        "meter": "m, meter, meters, metre, metres",
        "inch": 'in, inch, inches, "',
        "foot": "ft, foot, feet, '",
    }
)
PRESSURE_SPELLINGS: Final = _spellings(
    {
        "kilopascal": "kpa, kilopascal, kilopascals",
        "bar": "bar, bars",
        "millibar": "mbar, millibar, hpa",
        "psi": "psi, psig, lb/in2",
        "atmosphere": "atm, atmosphere, atmospheres",
    }
)
TEMPERATURE_SPELLINGS: Final = _spellings(
    {
        "degC": "c, °c, deg c, degc, celsius, centigrade, degrees c, degrees celsius",
        "degF": "f, °f, deg f, degf, fahrenheit, degrees f, degrees fahrenheit",
        "kelvin": "k, kelvin, kelvins",
    }
)
FLOW_WORDS: Final = _spellings(
    {
        "second": "s, sec, secs, second, seconds",
        "minute": "min, mins, minute, minutes",
        "hour": "h, hr, hrs, hour, hours",
        "day": "d, day, days, 24 h, 24h",
        "week": "w, wk, week, weeks",
    }
)
AMBIGUOUS_VOLUMES: Final = {
    **dict.fromkeys(_GALLON.split(", "), Ambiguous.GALLON),
    **dict.fromkeys(_QUART.split(", "), Ambiguous.QUART),
    **dict.fromkeys(_PINT.split(", "), Ambiguous.PINT),
}


def fold(text: str) -> str:
    """Fold a unit's text so that case, dots, brackets and spaces do not matter.

    Parameters
    ----------
    text : str
        A unit as written in a header, a cell or a setting.

    Returns
    -------
    str
        Lower-case text with single spaces.

    Examples
    --------
    >>> fold(" Gal. (U.S.) ")
    'gal us'
    >>> fold("µg/L")
    'ug/l'
    """
    shown = unicodedata.normalize("NFKC", text[:80]).casefold()
    shown = shown.replace("\u03bc", "u").replace("\u2212", "-").replace(".", "")
    shown = re.sub(r"[()\[\]{}_,;:\s]+", " ", shown).strip()
    return re.sub(r" ?/ ?", "/", shown)


@cache
def _registry() -> UnitRegistry[Any]:
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Fraction)


@cache
def registry_factor(unit: str, into: str) -> float:
    """Give the exact factor between two units of the registry.

    Parameters
    ----------
    unit, into : str
        Names the registry knows; not for text that a keeper wrote.

    Returns
    -------
    float
        How many `into` one `unit` is.

    Examples
    --------
    >>> registry_factor("gallon", "liter")
    3.785411784
    """
    if unit == into:
        return 1.0
    quantity = _registry().Quantity(Fraction(1), unit)
    return float(quantity.to(into).magnitude)


def to_celsius(value: float, unit: str) -> float:
    """Turn a temperature in a registry unit (``"degF"``, ``"kelvin"``) into °C.

    Parameters
    ----------
    value : float
        Temperature in `unit`.
    unit : str
        Name the registry knows.

    Returns
    -------
    float
        Temperature. [°C]
    """
    if unit == "degC":
        return float(value)
    quantity = _registry().Quantity(Fraction(value), unit)
    return float(quantity.to("degC").magnitude)
