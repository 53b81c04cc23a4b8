"""Carbonate hardness: what making nitrate uses up, and what new water brings back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kit.basis import NITRATE_PER_N
from kit.makeup._values import N, fraction_checked

__all__ = [
    "CACO3_PER_N",
    "DKH_PER_MEQ",
    "DKH_PER_NITRATE",
    "KhReserve",
    "Origin",
    "dkh_used",
    "kh_reserve",
    "mixed_dkh",
    "nitrate_that_uses",
]

Origin = Literal["food", "ammonium"]
"""Where the nitrogen came from: eaten food, or an ammonium salt or dose."""

_WEIGHT_N = 14.0067  # g/mol, CIAAW standard atomic weights (2007)
_WEIGHT_CAO = 40.078 + 15.9994
_WEIGHT_CACO3 = 40.078 + 12.0107 + 3 * 15.9994

DKH_PER_MEQ = _WEIGHT_CAO / 2 / 10.0
"""German degrees in a milliequivalent a litre; 1 dKH is 10 mg/L of CaO. [dKH L/meq]"""

CACO3_PER_N = _WEIGHT_CACO3 / _WEIGHT_N
"""Alkalinity as CaCO3 that ammonium nitrogen uses on its way to nitrate, two
equivalents a mole. [g/g]"""

DKH_PER_NITRATE: dict[Origin, float] = {
    "food": DKH_PER_MEQ / (_WEIGHT_N * NITRATE_PER_N),
    "ammonium": 2.0 * DKH_PER_MEQ / (_WEIGHT_N * NITRATE_PER_N),
}
"""Carbonate hardness gone for each mg/L of nitrate made. [dKH L/mg]"""


def dkh_used(nitrate_mg_l: N, origin: Origin = "food") -> N:
    """Carbonate hardness used up by the nitrate that was made.

    Parameters
    ----------
    nitrate_mg_l : float or ndarray
        Nitrate made, as NO3; not what the new water brought. [mg/L]
    origin : {"food", "ammonium"}, optional
        Where its nitrogen came from.

    Returns
    -------
    float or ndarray
        Hardness used. [dKH]

    Notes
    -----
    Food: protein nitrogen leaves the fish as ammonia, which takes up one hydrogen ion
    on becoming ammonium; nitrification then gives off two. One equivalent a mole is
    the balance, 0.0452 dKH for each mg/L. Ammonium from a bottle misses the first
    step: two equivalents, the 7.14 g of CaCO3 for each gram of nitrogen of textbooks.
    Denitrification gives one equivalent a mole back.

    Examples
    --------
    >>> round(dkh_used(100.0), 1)
    4.5
    """
    return nitrate_mg_l * DKH_PER_NITRATE[origin]


def nitrate_that_uses(dkh: N, origin: Origin = "food") -> N:
    """Nitrate above the new water's that would use up a carbonate hardness.

    Parameters
    ----------
    dkh : float or ndarray
        Hardness. [dKH]
    origin : {"food", "ammonium"}, optional
        Where the nitrogen came from.

    Returns
    -------
    float or ndarray
        Nitrate as NO3. [mg/L]

    Examples
    --------
    >>> round(nitrate_that_uses(5.0))
    111
    """
    return dkh / DKH_PER_NITRATE[origin]


def mixed_dkh(fraction: N, tank_dkh: float | N, new_dkh: float | N) -> N:
    """Carbonate hardness right after an exchange.

    Parameters
    ----------
    fraction : float or ndarray
        Part exchanged, 0 to 1. [-]
    tank_dkh, new_dkh : float or ndarray
        Hardness of the tank and of the new water. [dKH]

    Returns
    -------
    float or ndarray
        Hardness of the mix; alkalinity mixes by volumes, unlike pH. [dKH]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Examples
    --------
    >>> mixed_dkh(0.25, 0.0, 6.0)
    1.5
    """
    return tank_dkh + fraction_checked(fraction) * (new_dkh - tank_dkh)


@dataclass(frozen=True, slots=True)
class KhReserve:
    """What nitrate leaves of the new water's carbonate hardness.

    Parameters
    ----------
    used_dkh : float
        Used up by the nitrate above the new water's. [dKH]
    left_dkh : float
        What is left of the new water's hardness, not below zero. [dKH]
    spent : bool
        True where the nitrate would use all of it: acid can then build up at once
        when more nitrate forms.
    spent_at_mg_l : float
        Nitrate in the tank at which nothing is left, as NO3. [mg/L]
    """

    used_dkh: float
    left_dkh: float
    spent: bool
    spent_at_mg_l: float


def kh_reserve(
    nitrate_mg_l: float,
    source_nitrate_mg_l: float,
    source_dkh: float,
    origin: Origin = "food",
) -> KhReserve:
    """Judge from nitrate what is left of the new water's carbonate hardness.

    Parameters
    ----------
    nitrate_mg_l, source_nitrate_mg_l : float
        Nitrate of the tank and of the new water, as NO3. [mg/L]
    source_dkh : float
        Carbonate hardness of the new water. [dKH]
    origin : {"food", "ammonium"}, optional
        Where the nitrogen came from.

    Returns
    -------
    KhReserve
        Used and left.

    Notes
    -----
    Exchanges thin out nitrate and its want of hardness alike, so the sum holds
    whatever the habit, as long as nothing else adds or takes hardness. Chalky rock or
    sand adds it, denitrification gives half back, plants that take carbonate use more,
    and nitrate that plants ate no longer shows. A test of the tank's own hardness
    always counts for more than this sum.

    Examples
    --------
    >>> kh_reserve(116.0, 5.0, 5.0).spent
    True
    """
    made = max(nitrate_mg_l - source_nitrate_mg_l, 0.0)
    used = dkh_used(made, origin)
    return KhReserve(
        used_dkh=used,
        left_dkh=max(source_dkh - used, 0.0),
        spent=used >= source_dkh,
        spent_at_mg_l=source_nitrate_mg_l + nitrate_that_uses(source_dkh, origin),
    )
