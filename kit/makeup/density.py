"""Density of fresh and salt water, and what a float or a meter says of the salt."""

from __future__ import annotations

import numpy as np

from kit.errors import PlanError
from kit.makeup._values import N

__all__ = [
    "density_kg_l",
    "gravity_of",
    "salinity_of_conductivity",
    "salinity_of_gravity",
]

_ROUNDS = 12
_KG_L_PER_G_KG = 7.6e-4  # about what a gram a kilogram adds to the density
_DENSEST_KG_L = 1.034
_SEA_MS_CM = 42.914  # sea water of 35 at 15 °C, PSS-78


def density_kg_l(salinity_g_kg: N, temperature_c: float | N) -> N:
    """Density of water with sea salt at one atmosphere.

    Parameters
    ----------
    salinity_g_kg : float or ndarray
        Practical salinity, 0 to 42, taken as g of salt in a kg of water. [g/kg]
    temperature_c : float or ndarray
        Temperature, 0 to 40. [°C]

    Returns
    -------
    float or ndarray
        Density. [kg/L]

    Notes
    -----
    One-atmosphere international equation of state of sea water (EOS-80), Fofonoff and
    Millard, UNESCO Technical Papers in Marine Science 44 (1983) ::

        rho = rho_w(t) + A(t) S + B(t) S**1.5 + C S**2

    Examples
    --------
    >>> round(density_kg_l(35.0, 25.0), 5)
    1.02334
    """
    s, t = salinity_g_kg, temperature_c + salinity_g_kg * 0.0
    pure = 999.842594 + t * (
        6.793952e-2
        + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    first = 8.24493e-1 + t * (
        -4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9))
    )
    half = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    density: N = (pure + s * (first + 4.8314e-4 * s) + half * s**1.5) / 1000.0
    return density


def gravity_of(
    salinity_g_kg: N, temperature_c: float | N = 25.0, reference_c: float = 25.0
) -> N:
    """Specific gravity that a salinity shows.

    Parameters
    ----------
    salinity_g_kg : float or ndarray
        Salinity, 0 to 42. [g/kg]
    temperature_c : float or ndarray, optional
        Temperature of the water. [°C]
    reference_c : float, optional
        Temperature of the pure water it is set against, as printed on the float.
        [°C]

    Returns
    -------
    float or ndarray
        Density over the density of pure water. [-]

    Examples
    --------
    >>> round(gravity_of(35.0), 4)
    1.0264
    """
    return density_kg_l(salinity_g_kg, temperature_c) / density_kg_l(0.0, reference_c)


def salinity_of_gravity(
    gravity: N, temperature_c: float | N = 25.0, reference_c: float = 25.0
) -> N:
    """Salinity from the specific gravity of a float or a light refractometer.

    Parameters
    ----------
    gravity : float or ndarray
        Specific gravity as read. [-]
    temperature_c : float or ndarray, optional
        Temperature of the water; that of the float's scale for an instrument that
        corrects for it. [°C]
    reference_c : float, optional
        Temperature of the pure water it is set against. [°C]

    Returns
    -------
    float or ndarray
        Salinity; zero for gravities of fresh water. [g/kg]

    Raises
    ------
    PlanError
        A gravity that no sea water has.

    Notes
    -----
    `gravity_of` turned round by Newton's method. The float's own glass, which widens
    with warmth, is left out: about 0.0001 over five degrees, from memory.

    Examples
    --------
    >>> round(salinity_of_gravity(1.005), 1)
    6.6
    """
    wanted = np.asarray(gravity, dtype=float) * density_kg_l(0.0, reference_c)
    if not np.all((wanted > 0.95) & (wanted < _DENSEST_KG_L)):
        msg = "A specific gravity of salt water lies between 1 and 1.03."
        raise PlanError(msg)
    found = np.zeros(np.broadcast_shapes(wanted.shape, np.shape(temperature_c)))
    for _ in range(_ROUNDS):
        short = wanted - density_kg_l(found, np.asarray(temperature_c, dtype=float))
        found = np.maximum(found + short / _KG_L_PER_G_KG, 0.0)
    result: N = found if isinstance(gravity, np.ndarray) else float(found)
    return result


def salinity_of_conductivity(conductivity_ms_cm: N, temperature_c: float | N) -> N:
    """Salinity from a conductivity meter that does not correct for warmth.

    Parameters
    ----------
    conductivity_ms_cm : float or ndarray
        Conductivity at the water's own temperature. [mS/cm]
    temperature_c : float or ndarray
        Temperature of the water; 25 for a meter that corrects to 25 °C. [°C]

    Returns
    -------
    float or ndarray
        Practical salinity, good from 2 to 42. [g/kg]

    Notes
    -----
    Practical salinity scale of 1978 at one atmosphere, UNESCO Technical Papers in
    Marine Science 44 (1983), against 42.914 mS/cm for 35 at 15 °C.

    Examples
    --------
    >>> round(salinity_of_conductivity(42.914, 15.0), 6)
    35.0
    """
    t = temperature_c + conductivity_ms_cm * 0.0
    warmth = 0.6766097 + t * (
        2.00564e-2 + t * (1.104259e-4 + t * (-6.9698e-7 + t * 1.0031e-9))
    )
    x = (conductivity_ms_cm / _SEA_MS_CM / warmth) ** 0.5
    at_15 = 0.0080 + x * (
        -0.1692 + x * (25.3851 + x * (14.0941 + x * (-7.0261 + x * 2.7081)))
    )
    away = 0.0005 + x * (
        -0.0056 + x * (-0.0066 + x * (-0.0375 + x * (0.0636 - x * 0.0144)))
    )
    salinity: N = at_15 + (t - 15.0) / (1.0 + 0.0162 * (t - 15.0)) * away
    return salinity
