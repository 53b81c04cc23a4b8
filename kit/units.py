"""Units as keepers spell them, turned into the one unit used inside.

Inside the kit a number is a plain float in a fixed unit (litres, mg/L as the NO3
ion, grams, days, °C, kPa, cm). Only spellings on the lists below are taken: a
registry of units would read "ppt" as a trillionth of a pint and every "gallon" as
the US one. The factors themselves come from pint, exactly, on first use.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from kit.errors import UnitError

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = [
    "FLOW_WORDS",
    "LENGTH_SPELLINGS",
    "MASS_SPELLINGS",
    "NITRATE_PER_N",
    "PRESSURE_SPELLINGS",
    "TEMPERATURE_SPELLINGS",
    "VOLUME_SPELLINGS",
    "Ambiguous",
    "NitrateUnit",
    "flow_factor_l_day",
    "fold",
    "length_cm",
    "mass_factor_g",
    "nitrate_basis",
    "nitrate_factor",
    "pressure_kpa",
    "refusal",
    "registry_factor",
    "temperature_c",
    "temperature_difference_c",
    "volume_factor_l",
]

Basis = Literal["NO3", "NO3-N"]

# CIAAW/IUPAC standard atomic weights as single values (2007 table); both lie inside
# the intervals printed today (N 14.00643 to 14.00728, O 15.99903 to 15.99977).
_WEIGHT_N: Final = 14.0067
_WEIGHT_O: Final = 15.9994
_WEIGHT_NO3: Final = _WEIGHT_N + 3 * _WEIGHT_O

NITRATE_PER_N: Final = _WEIGHT_NO3 / _WEIGHT_N
"""Mass of the nitrate ion that carries one mass of nitrogen, 4.4268. [g/g]"""


class Ambiguous(Enum):
    """A spelling that two places use for different amounts; never guessed."""

    GALLON = "a US gallon is 3.785 L, an imperial gallon 4.546 L"
    QUART = "a US quart is 0.946 L, an imperial quart 1.137 L"
    PINT = "a US pint is 0.473 L, an imperial pint 0.568 L"
    GRAIN = '"gr" is a gram to some and a grain (0.065 g) to others'


@dataclass(frozen=True, slots=True)
class NitrateUnit:
    """A nitrate unit as a keeper wrote it.

    Parameters
    ----------
    factor : float
        What to multiply by for mg/L as NO3; NO3 is taken where unsaid. [-]
    basis : {"NO3", "NO3-N"} or None
        What the text says the numbers count; None when it does not say.
    """

    factor: float
    basis: Basis | None

    @property
    def basis_said(self) -> bool:
        """Whether the text itself says NO3 or NO3-N."""
        return self.basis is not None


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
_AMBIGUOUS: Final = {
    **dict.fromkeys(_GALLON.split(", "), Ambiguous.GALLON),
    **dict.fromkeys(_QUART.split(", "), Ambiguous.QUART),
    **dict.fromkeys(_PINT.split(", "), Ambiguous.PINT),
}
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
def _registry() -> UnitRegistry:
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
    if name in _AMBIGUOUS:
        return _AMBIGUOUS[name]
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


_N = r"(?:no3|nitrate)[- ]?n(?:itrogen)?|n[- ]?no3|(?:no3 |nitrate )?as n|n(?:itrogen)?"
_NO3 = r"(?:nitrate )?as (?:no3|nitrate)|no3|nitrate"
_BASIS = rf"(?:(?P<n>{_N})|(?P<no3>{_NO3}))(?:-|\^-)?"
_AMOUNTS: Final = {
    "mg": 1.0,
    "ug": 1e-3,
    "mcg": 1e-3,
    "g": 1e3,
    "ppm": 1.0,
    "ppb": 1e-3,
}
_MOLES: Final = {"mmol": 1.0, "umol": 1e-3}  # to mmol
_WATER: Final = {
    "l": 1.0,
    "liter": 1.0,
    "litre": 1.0,
    "dm3": 1.0,
    "kg": 1.0,
    "m3": 1e-3,
}
_CONCENTRATION: Final = re.compile(
    r"(?P<amount>mg|ug|mcg|g|mmol|umol) ?(?P<inside>[a-z][a-z0-9 -]{0,20}?)? ?"
    r"(?:/| per | (?=l ?-1))(?P<water>liter|litre|l|dm3|kg|m3)(?: ?-1)?"
)
_PARTS: Final = re.compile(r"(?P<amount>ppm|ppb)")


def nitrate_basis(text: str) -> Basis | None:
    """Tell whether a text says that nitrate is counted as NO3 or as nitrogen.

    Parameters
    ----------
    text : str
        The words beside a unit, such as ``"as N"``, ``"NO3-N"``, ``"NO3"``.

    Returns
    -------
    {"NO3", "NO3-N"} or None
        The basis; None when the text names neither and nothing else.

    Examples
    --------
    >>> nitrate_basis("nitrate-nitrogen")
    'NO3-N'
    """
    match = re.fullmatch(_BASIS, fold(text).strip(" -"))
    if match is None:
        return None
    return "NO3-N" if match["n"] else "NO3"


def nitrate_factor(text: str) -> NitrateUnit | None:
    """Read a nitrate unit, with its basis where the text gives one.

    Parameters
    ----------
    text : str
        A unit such as ``"mg/L"``, ``"ppm"``, ``"mg/l NO3-N"``, ``"ppm as N"``.

    Returns
    -------
    NitrateUnit or None
        Factor to mg/L as NO3 and the basis said; None when unknown, "ppt" among
        them (see `refusal`).

    Notes
    -----
    A part per million is taken as 1 mg/L. It is a mg in a kg, which differs by
    0.3 % in fresh water and 2.3 % in sea water, less than any kit can show.

    Examples
    --------
    >>> nitrate_factor("ppm as N").factor
    4.4268
    """
    name = fold(text)
    match = _CONCENTRATION.search(name) or _PARTS.search(name)
    if match is None:
        return None
    around = (name[: match.start()].strip(), name[match.end() :].strip(" -"))
    said = [w for w in (*around, match.groupdict().get("inside") or "") if w]
    if len(said) > 1 or not _stands_alone(name, match):
        return None
    basis = nitrate_basis(said[0]) if said else None
    if said and basis is None:
        return None
    water = _WATER[match.groupdict().get("water") or "l"]
    if match["amount"] in _MOLES:
        # A mole of nitrate is a mole of nitrogen: the basis does not matter.
        factor = _MOLES[match["amount"]] * _WEIGHT_NO3 * water
        return NitrateUnit(factor, basis or "NO3")
    per_n = NITRATE_PER_N if basis == "NO3-N" else 1.0
    return NitrateUnit(_AMOUNTS[match["amount"]] * water * per_n, basis)


def _stands_alone(name: str, match: re.Match[str]) -> bool:
    """Tell whether the unit is a word of its own, not the end of another."""
    before, after = name[: match.start()], name[match.end() :]
    return not before[-1:].isalnum() and not after[:1].isalnum()


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
    if name == "degC":
        return float(value)
    quantity = _registry().Quantity(Fraction(value), name)
    return float(quantity.to("degC").magnitude)


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
