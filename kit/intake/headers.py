"""A header split into its name and its unit."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final, Literal

from kit.basis import NitrateUnit, nitrate_basis, nitrate_factor
from kit.celltext import words
from kit.units import Ambiguous, flow_factor_l_day, mass_factor_g, volume_factor_l

__all__ = ["BRACKETS", "Unit", "joined", "odd_unit", "parse_unit", "split_header"]

Measure = Literal["nitrate", "basis", "percent", "fraction", "volume", "mass", "flow"]

_PERCENT: Final = frozenset(
    {"%", "percent", "per cent", "pct", "percentage", "prozent", "% of tank", "vol %"}
)
_FRACTION: Final = frozenset(
    {"fraction", "share", "0-1", "0 to 1", "part", "proportion", "ratio", "0..1"}
)
BRACKETS: Final = re.compile(r"[(\[{]([^()\[\]{}]{0,60})[)\]}]")
_N_BASIS: Final = re.compile(r"\b(?:no3|nitrate|nitrat)[ -]{0,3}n(?:itrogen)?\b")


# What looks like a unit of a reading, or like another substance, and is no unit of
# nitrate; a word such as the name of a kit is none of these.
_LIKE_UNIT: Final = re.compile(
    r".*[/%°].*|x ?[0-9].*|[0-9]{1,4} ?x|10 ?\^.*|drops?|d[kg]h|[kg]h|deg.*|pp[tq]|"
    r"m?eq.*|[mµu]?mol.*|(?:no3 ?)?n ?\+ ?n|no[x2].*|.*nitrite.*|po4.*|phosph.*|"
    r"nh[34].*|ammon.*|[mµu]s.*|tds|steps?|points?|lines?|colou?rs?"
)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as written, with what it measures.

    Parameters
    ----------
    text : str
        As written.
    measure : str
        ``"nitrate"``, ``"basis"``, ``"percent"``, ``"fraction"``, ``"volume"``,
        ``"mass"`` or ``"flow"``.
    factor : float or Ambiguous or None
        To L, g or L/day; None for shares and nitrate.
    nitrate : NitrateUnit or None
        For nitrate: its factor and basis.
    """

    text: str
    measure: Measure
    factor: float | Ambiguous | None = None
    nitrate: NitrateUnit | None = None


def parse_unit(text: str) -> Unit | None:
    """Read a unit of any of the measures a logbook holds.

    Parameters
    ----------
    text : str
        A unit alone, such as ``"%"``, ``"US gal"``, ``"mg/L as N"``.

    Returns
    -------
    Unit or None
        None when it is no unit that is taken.

    Examples
    --------
    >>> parse_unit("ppm").measure, parse_unit("gal").factor  # doctest: +ELLIPSIS
    ('nitrate', <Ambiguous.GALLON: ...>)
    """
    name = words(text)
    if not name or len(name) > 40:
        return None
    if name in _PERCENT:
        return Unit(text, "percent")
    if name in _FRACTION:
        return Unit(text, "fraction")
    if (nitrate := nitrate_factor(name)) is not None:
        return Unit(text, "nitrate", nitrate=nitrate)
    if (volume := volume_factor_l(name)) is not None:
        return Unit(text, "volume", volume)
    per_day = re.sub(r" ?(?:/ ?d(?:ay)?|(?:per|a) day)$", "", name)
    if (mass := mass_factor_g(per_day)) is not None:
        return Unit(text, "mass", mass)
    if (flow := flow_factor_l_day(name)) is not None:
        return Unit(text, "flow", flow)
    if nitrate_basis(name) is not None:
        return Unit(text, "basis", nitrate=nitrate_factor(f"mg/l {name}"))
    return None


def _end_unit(name: str) -> tuple[str, Unit | None]:
    """Take a bare unit off the end, or off the beginning, of a header."""
    spaced = re.sub(r"[_,;:]", " ", name)
    spaced = re.sub(r"%", " % ", spaced)
    tokens = spaced.split()
    for size in (4, 3, 2, 1):
        for cut, rest in (
            (tokens[-size:], tokens[:-size]),
            (tokens[:size], tokens[size:]),
        ):
            text = " ".join(cut)
            if len(cut) < size or not rest or nitrate_basis(text) is not None:
                continue
            unit = parse_unit(text) or parse_unit(re.sub(r"\b(m?g) l$", r"\1/l", text))
            if unit is not None and unit.measure != "basis":
                kept = rest[:-1] if rest[-1:] == ["in"] else rest
                return " ".join(kept), unit
    return " ".join(tokens), None


def split_header(header: str) -> tuple[str, Unit | None]:
    """Split a header into its name and its unit.

    Parameters
    ----------
    header : str
        As written.

    Returns
    -------
    tuple of (str, Unit or None)
        Name in lower case, and the unit in brackets, after a comma, or bare at
        either end.

    Examples
    --------
    >>> name, unit = split_header("Water change (gal)")
    >>> name, unit.text
    ('water change', 'gal')
    >>> split_header("NO3, ppm")[0]
    'no3'
    """
    text = words(header)
    whole = parse_unit(text)
    # "NO3 (ppm)" names the column and does not say what the numbers count.
    named = re.match(r"no3|nitrat", text) is not None
    if whole is not None and whole.measure != "basis" and not named:
        return "", whole
    unit: Unit | None = None
    for inside in BRACKETS.findall(text):
        found = parse_unit(inside)
        if found is not None and (unit is None or unit.measure == "basis"):
            unit = found if unit is None else joined(found, unit)
            text = _without_bracket(text, inside)
        elif found is not None and found.measure == "basis" and unit is not None:
            unit = joined(unit, found)
            text = _without_bracket(text, inside)
    text = re.sub(r"[()\[\]{}]", " ", text)
    if unit is None or unit.measure == "basis":
        text, bare = _end_unit(text)
        unit = bare if unit is None else joined(bare, unit)
    if _N_BASIS.search(text):
        text = _N_BASIS.sub("nitrate", text)
        unit = joined(unit, parse_unit("no3-n"))
    name = " ".join(text.split())
    if unit is not None and unit.measure != "nitrate":
        # "percent (%)" and "litres (L)" name nothing but the unit.
        again = parse_unit(name)
        name = "" if again is not None and again.measure == unit.measure else name
    return name, unit


def _without_bracket(text: str, inside: str) -> str:
    """Cut one bracket and what it holds out of a header."""
    for left, right in ("()", "[]", "{}"):
        text = text.replace(f"{left}{inside}{right}", " ", 1)
    return text


def joined(unit: Unit | None, basis: Unit | None) -> Unit | None:
    """Put a basis said apart from the unit into the unit.

    Parameters
    ----------
    unit, basis : Unit or None
        The unit, and a unit that may say what nitrate counts.

    Returns
    -------
    Unit or None
        The unit, with the basis where it had none.
    """
    if basis is None or basis.nitrate is None:
        return unit
    if unit is None or unit.measure == "basis":
        return basis
    if unit.nitrate is None or unit.nitrate.basis_said:
        return unit
    factor = unit.nitrate.factor * basis.nitrate.factor
    return replace(unit, nitrate=NitrateUnit(factor, basis.nitrate.basis))


def odd_unit(header: str, below: str = "") -> str:
    """Find what stands for a unit in a header and is none that is known.

    Parameters
    ----------
    header : str
        As written.
    below : str
        Cell of the units row under it.

    Returns
    -------
    str
        The text in question; empty when there is none.

    Examples
    --------
    >>> odd_unit("nitrate (drops)"), odd_unit("nitrate (evening)")
    ('drops', '')
    """
    text = words(header)
    spoken: list[str] = [b.strip() for b in BRACKETS.findall(text)]
    bare = BRACKETS.sub(" ", text)
    spoken += [part.strip() for part in bare.split(" - ")[1:]]
    spoken += [words(below).strip("()[]{} ")]
    for part in spoken:
        if part and parse_unit(part) is None and _LIKE_UNIT.fullmatch(part):
            return part
    return ""
