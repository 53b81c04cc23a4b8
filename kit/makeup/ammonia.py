"""The part of ammonia that harms fish, and what an exchange does to it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kit.makeup._values import Floats, N, fraction_checked
from kit.makeup.acidity import MixedPh, mixed_ph
from kit.makeup.heat import mixed_temperature_c

__all__ = [
    "FRESH_BELOW_G_KG",
    "NH3_HARM_MG_L",
    "RescueStep",
    "acute_tan_mg_l",
    "chronic_tan_mg_l",
    "ph_curve",
    "rescue_step",
    "unionised_fraction",
    "unionised_mg_l",
]

NH3_HARM_MG_L = 0.05
"""Un-ionised ammonia as nitrogen above which fish take harm; University of Florida
IFAS, fact sheet FA-16. [mg/L]"""

FRESH_BELOW_G_KG = 1.0
"""Salinity up to which the criteria for fresh water are given. [g/kg]"""

_KELVIN = 273.15


def unionised_fraction(
    ph: N, temperature_c: float | N, salinity_g_kg: float | N = 0.0
) -> N:
    """Part of total ammonia that is un-ionised, the form that harms fish.

    Parameters
    ----------
    ph : float or ndarray
        Acidity, 5 to 10. [-]
    temperature_c : float or ndarray
        Temperature, 0 to 35. [°C]
    salinity_g_kg : float or ndarray, optional
        Salinity, up to 40; 0 is fresh. [g/kg]

    Returns
    -------
    float or ndarray
        Fraction, 0 to 1. [-]

    Notes
    -----
    ``1 / (1 + 10**(pKa - pH))``. Fresh: ``pKa = 0.09018 + 2729.92 / T``, T in kelvin
    (Emerson and others 1975). Salt raises it by ``(0.1552 - 0.0003142 t) I``, t in °C
    (Khoo, Culberson and Bates 1977), with the ionic strength of sea salt
    ``I = 19.9273 S / (1000 - 1.005109 S)``; within 2 % of the table of Bower and
    Bidwell (1978) for sea water of 34 g/kg.

    Examples
    --------
    >>> round(100.0 * unionised_fraction(8.0, 25.0), 2)
    5.37
    """
    t = ph * 0.0 + temperature_c
    salt = ph * 0.0 + salinity_g_kg
    strength = 19.9273 * salt / (1000.0 - 1.005109 * salt)
    pka = 0.09018 + 2729.92 / (t + _KELVIN) + (0.1552 - 0.0003142 * t) * strength
    share: N = 1.0 / (1.0 + 10.0 ** (pka - ph))
    return share


def unionised_mg_l(
    tan_mg_l: N, ph: float | N, temperature_c: float | N, salinity_g_kg: float | N = 0.0
) -> N:
    """Un-ionised ammonia from the total that a kit reads.

    Parameters
    ----------
    tan_mg_l : float or ndarray
        Total ammonia as nitrogen; a kit that reads NH4 shows 1.29 times, one that
        reads NH3 1.22 times as much. [mg/L]
    ph : float or ndarray
        Acidity. [-]
    temperature_c : float or ndarray
        Temperature. [°C]
    salinity_g_kg : float or ndarray, optional
        Salinity; 0 is fresh. [g/kg]

    Returns
    -------
    float or ndarray
        Un-ionised ammonia as nitrogen. [mg/L]

    Examples
    --------
    >>> round(unionised_mg_l(1.0, 8.0, 24.0), 3)
    0.05
    """
    share = unionised_fraction(tan_mg_l * 0.0 + ph, temperature_c, salinity_g_kg)
    return tan_mg_l * share


def acute_tan_mg_l(ph: float, temperature_c: float) -> float:
    """Total ammonia that the EPA criteria allow for an hour in fresh water.

    Parameters
    ----------
    ph : float
        Acidity, 6.5 to 9. [-]
    temperature_c : float
        Temperature, 0 to 30. [°C]

    Returns
    -------
    float
        Total ammonia as nitrogen, salmon and trout present. [mg/L]

    Notes
    -----
    US EPA (2013), Aquatic life ambient water quality criteria for ammonia,
    freshwater, EPA 822-R-13-001: the smaller of its two expressions. It protects wild
    waters with mussels in them; it is not a promise for a fish in a tank.

    Examples
    --------
    >>> round(acute_tan_mg_l(7.0, 20.0))
    17
    """
    up, down = math.pow(10.0, 7.204 - ph), math.pow(10.0, ph - 7.204)
    trout = 0.275 / (1.0 + up) + 39.0 / (1.0 + down)
    others = 0.7249 * (0.0114 / (1.0 + up) + 1.6181 / (1.0 + down))
    return min(trout, others * 23.12 * math.pow(10.0, 0.036 * (20.0 - temperature_c)))


def chronic_tan_mg_l(ph: float, temperature_c: float) -> float:
    """Total ammonia that the EPA criteria allow as a 30-day mean in fresh water.

    Parameters
    ----------
    ph : float
        Acidity, 6.5 to 9. [-]
    temperature_c : float
        Temperature, 0 to 30. [°C]

    Returns
    -------
    float
        Total ammonia as nitrogen. [mg/L]

    Notes
    -----
    US EPA (2013), EPA 822-R-13-001; as `acute_tan_mg_l`.

    Examples
    --------
    >>> round(chronic_tan_mg_l(7.0, 20.0), 1)
    1.9
    """
    up, down = math.pow(10.0, 7.688 - ph), math.pow(10.0, ph - 7.688)
    acid = 0.0278 / (1.0 + up) + 1.1994 / (1.0 + down)
    warmth = 2.126 * math.pow(10.0, 0.028 * (20.0 - max(temperature_c, 7.0)))
    return 0.8876 * acid * warmth


@dataclass(frozen=True, slots=True)
class RescueStep:
    """One exchange judged by the ammonia after it.

    Parameters
    ----------
    tan_mg_l : float
        Total ammonia as nitrogen after mixing. [mg/L]
    temperature_c : float
        Temperature after mixing. [°C]
    ph : MixedPh
        Acidity after mixing.
    nh3_before_mg_l : float
        Un-ionised ammonia as nitrogen before. [mg/L]
    nh3_after_mg_l : float or None
        After, at the pH worked out from both carbonate hardnesses; None where one of
        them is missing or the water is salt. [mg/L]
    nh3_most_mg_l : float
        The most it can be: the higher of the two pH, and the tank warm again. [mg/L]
    acute_tan_mg_l, chronic_tan_mg_l : float or None
        EPA criteria for total ammonia at that pH and warmth; None in salt water.
        [mg/L]
    """

    tan_mg_l: float
    temperature_c: float
    ph: MixedPh
    nh3_before_mg_l: float
    nh3_after_mg_l: float | None
    nh3_most_mg_l: float
    acute_tan_mg_l: float | None
    chronic_tan_mg_l: float | None

    @property
    def rises(self) -> bool:
        """Whether un-ionised ammonia can end higher than before."""
        return self.nh3_most_mg_l > self.nh3_before_mg_l * (1.0 + 1e-9)

    @property
    def harms(self) -> bool:
        """Whether it can pass `NH3_HARM_MG_L` or the acute criterion."""
        over = self.acute_tan_mg_l is not None and self.tan_mg_l > self.acute_tan_mg_l
        return over or self.nh3_most_mg_l > NH3_HARM_MG_L


def rescue_step(
    fraction: float,
    *,
    tan_mg_l: float,
    tank_ph: float,
    new_ph: float,
    tank_c: float,
    new_c: float,
    tank_dkh: float | None = None,
    new_dkh: float | None = None,
    new_tan_mg_l: float = 0.0,
    salinity_g_kg: float = 0.0,
) -> RescueStep:
    """Check one exchange of a catch-up for ammonia at the pH after mixing.

    Parameters
    ----------
    fraction : float
        Part exchanged, 0 to 1. [-]
    tan_mg_l : float
        Total ammonia of the tank, as nitrogen. [mg/L]
    tank_ph, new_ph : float
        Acidity of the tank and of the new water; that of water which stood a day,
        as tap water often climbs when its carbon dioxide escapes. [-]
    tank_c, new_c : float
        Temperature of both. [°C]
    tank_dkh, new_dkh : float, optional
        Carbonate hardness of both; without them no pH of the mix is worked out.
        [dKH]
    new_tan_mg_l : float, optional
        Total ammonia of the new water, as nitrogen; chloramine leaves some. [mg/L]
    salinity_g_kg : float, optional
        Salinity, taken as the same in both. [g/kg]

    Returns
    -------
    RescueStep
        Before, after, and the most it can be.

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Notes
    -----
    The most is what to plan by: it takes the higher pH of the two waters for the mix,
    whatever the hardness, since a spent tank holds nothing that would keep the pH
    low, and the temperature the heater brings back.

    Examples
    --------
    >>> step = rescue_step(
    ...     0.2, tan_mg_l=2.0, tank_ph=6.2, new_ph=8.0, tank_c=25.0, new_c=25.0
    ... )
    >>> round(step.nh3_before_mg_l, 3), round(step.nh3_most_mg_l, 3)
    (0.002, 0.086)
    """
    share = fraction_checked(fraction)
    tan = tan_mg_l + share * (new_tan_mg_l - tan_mg_l)
    mixed_c = mixed_temperature_c(share, tank_c, new_c)
    warm = max(tank_c, mixed_c)
    fresh = salinity_g_kg <= FRESH_BELOW_G_KG
    ph = mixed_ph(
        share,
        tank_ph,
        new_ph,
        tank_dkh=tank_dkh if fresh else None,
        new_dkh=new_dkh if fresh else None,
        temperature_c=mixed_c,
    )
    after = None
    if ph.estimate is not None:
        after = unionised_mg_l(tan, ph.estimate, mixed_c, salinity_g_kg)
    return RescueStep(
        tan_mg_l=tan,
        temperature_c=mixed_c,
        ph=ph,
        nh3_before_mg_l=unionised_mg_l(tan_mg_l, tank_ph, tank_c, salinity_g_kg),
        nh3_after_mg_l=after,
        nh3_most_mg_l=unionised_mg_l(tan, ph.high, warm, salinity_g_kg),
        acute_tan_mg_l=acute_tan_mg_l(ph.high, warm) if fresh else None,
        chronic_tan_mg_l=chronic_tan_mg_l(ph.high, warm) if fresh else None,
    )


def ph_curve(
    tan_mg_l: float, temperature_c: float, salinity_g_kg: float = 0.0
) -> tuple[Floats, Floats]:
    """Give un-ionised ammonia for one total over the pH of tanks.

    Parameters
    ----------
    tan_mg_l : float
        Total ammonia as nitrogen. [mg/L]
    temperature_c : float
        Temperature. [°C]
    salinity_g_kg : float, optional
        Salinity. [g/kg]

    Returns
    -------
    tuple of ndarray
        pH [-], and un-ionised ammonia as nitrogen. [mg/L]
    """
    ph = np.linspace(5.5, 9.0, 71)
    return ph, tan_mg_l * unionised_fraction(ph, temperature_c, salinity_g_kg)
