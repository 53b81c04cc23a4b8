"""The pH of two fresh waters once mixed, from their carbonate hardness."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.makeup._values import fraction_checked
from kit.makeup.alkalinity import DKH_PER_MEQ

__all__ = ["MixedPh", "mixed_ph"]

_KELVIN = 273.15
_LOW_PH, _HIGH_PH = 2.0, 12.0
_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class MixedPh:
    """Acidity after mixing.

    Parameters
    ----------
    low, high : float
        The lower and the higher pH of the two waters. [-]
    estimate : float or None
        pH of the mix by its carbonate balance; None without both hardnesses. [-]
    """

    low: float
    high: float
    estimate: float | None


def _constants(temperature_c: float) -> tuple[float, float, float]:
    """First and second constant of carbonic acid, and of water, in fresh water.

    Plummer and Busenberg (1982), Geochimica et Cosmochimica Acta 46:1011, for carbon
    dioxide and carbonate; for water the polynomial of Harned and Owen in 1/T. [mol/L].
    """
    t = temperature_c + _KELVIN
    first = (
        -356.3094
        - 0.06091964 * t
        + 21834.37 / t
        + 126.8339 * math.log10(t)
        - 1684915.0 / t**2
    )
    second = (
        -107.8871
        - 0.03252849 * t
        + 5151.79 / t
        + 38.92561 * math.log10(t)
        - 563713.9 / t**2
    )
    water = -4470.99 / t + 6.0875 - 0.01706 * t
    return 10.0**first, 10.0**second, 10.0**water


def _shares(ph: float, constants: tuple[float, float, float]) -> tuple[float, float]:
    """Charge that a mole of carbonate carries [eq/mol]; hydroxide less acid [mol/L]."""
    first, second, water = constants
    acid = 10.0**-ph
    whole = acid * acid + first * acid + first * second
    charge = (first * acid + 2.0 * first * second) / whole
    return charge, water / acid - acid


def mixed_ph(
    fraction: float,
    tank_ph: float,
    new_ph: float,
    *,
    tank_dkh: float | None = None,
    new_dkh: float | None = None,
    temperature_c: float = 25.0,
) -> MixedPh:
    """Acidity right after an exchange of fresh water.

    Parameters
    ----------
    fraction : float
        Part exchanged, 0 to 1. [-]
    tank_ph, new_ph : float
        Acidity of the tank and of the new water. [-]
    tank_dkh, new_dkh : float, optional
        Their carbonate hardness. [dKH]
    temperature_c : float, optional
        Temperature of the mix. [°C]

    Returns
    -------
    MixedPh
        Both ends, and an estimate where both hardnesses are given.

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Notes
    -----
    Alkalinity and total carbonate mix by volumes; the pH is that at which the mixed
    carbonate carries the mixed alkalinity, found by halving. Constants at zero ionic
    strength; phosphate, humic acids and the air are left out. Air comes in within the
    hour: where the mix holds more carbon dioxide than air keeps in it, its pH climbs
    on. So the estimate is a caution, and the higher of the two is what to plan by.

    Examples
    --------
    >>> round(mixed_ph(0.2, 6.2, 7.4, tank_dkh=0.5, new_dkh=5.0).estimate, 2)
    6.68
    """
    share = fraction_checked(fraction)
    ends = min(tank_ph, new_ph), max(tank_ph, new_ph)
    if tank_dkh is None or new_dkh is None:
        return MixedPh(*ends, None)
    constants = _constants(temperature_c)
    alkalinity, carbonate = 0.0, 0.0
    for part, ph, dkh in ((1.0 - share, tank_ph, tank_dkh), (share, new_ph, new_dkh)):
        charge, base = _shares(ph, constants)
        held = max(dkh, 0.0) / DKH_PER_MEQ / 1000.0
        alkalinity += part * held
        carbonate += part * max(held - base, 0.0) / charge
    low, high = _LOW_PH, _HIGH_PH
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        charge, base = _shares(middle, constants)
        if carbonate * charge + base < alkalinity:
            low = middle
        else:
            high = middle
    estimate = min(max((low + high) / 2.0, ends[0]), ends[1])
    return MixedPh(*ends, estimate)
