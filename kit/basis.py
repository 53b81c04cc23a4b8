"""Nitrate units: mg/L, ppm and the like, counted as NO3 or as nitrogen."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from kit.registry import fold

__all__ = [
    "NITRATE_PER_N",
    "Basis",
    "NitrateUnit",
    "nitrate_basis",
    "nitrate_factor",
]

Basis = Literal["NO3", "NO3-N"]

# CIAAW/IUPAC standard atomic weights as single values (2007 table); both lie inside
# the intervals printed today (N 14.00643 to 14.00728, O 15.99903 to 15.99977).
_WEIGHT_N: Final = 14.0067
_WEIGHT_O: Final = 15.9994
_WEIGHT_NO3: Final = _WEIGHT_N + 3 * _WEIGHT_O

NITRATE_PER_N: Final = _WEIGHT_NO3 / _WEIGHT_N
"""Mass of the nitrate ion that carries one mass of nitrogen, 4.4268. [g/g]"""


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
        them (see `kit.units.refusal`).

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
