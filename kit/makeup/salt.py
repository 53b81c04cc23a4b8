"""Sea salt for new water, and why evaporated water gets none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.errors import PlanError
from kit.makeup._values import N, fraction_checked
from kit.makeup.density import density_kg_l, salinity_of_gravity

__all__ = [
    "SaltDose",
    "correction_g",
    "creep_g_kg_day",
    "exchange_dose_g",
    "freshening_fraction",
    "from_the_bag_g",
    "salinity_after_evaporation",
    "salt_dose",
    "salt_g_l",
]


def salt_g_l(salinity_g_kg: N, temperature_c: float | N = 25.0) -> N:
    """Salt in a litre of water.

    Parameters
    ----------
    salinity_g_kg : float or ndarray
        Salinity, 0 to 42. [g/kg]
    temperature_c : float or ndarray, optional
        Temperature. [°C]

    Returns
    -------
    float or ndarray
        Dry sea salts. [g/L]

    Examples
    --------
    >>> round(salt_g_l(35.0), 1)
    35.8
    """
    return salinity_g_kg * density_kg_l(salinity_g_kg, temperature_c)


def exchange_dose_g(
    new_water_l: N,
    target_g_kg: float | N,
    temperature_c: float = 25.0,
    *,
    new_water_g_kg: float = 0.0,
) -> N:
    """Dry salt for the new water of an exchange, mixed before it goes in.

    Parameters
    ----------
    new_water_l : float or ndarray
        Water that replaces salt water drained, without what replaces evaporation. [L]
    target_g_kg : float or ndarray
        Salinity to keep. [g/kg]
    temperature_c : float, optional
        Temperature of the tank. [°C]
    new_water_g_kg : float, optional
        Salinity the new water has by itself. [g/kg]

    Returns
    -------
    float or ndarray
        Dry sea salts; zero where the new water is the saltier one. [g]

    Raises
    ------
    PlanError
        A salinity or a volume below zero.

    Notes
    -----
    Evaporation carries off water and leaves the salt. The dose is for drained litres
    alone; water for what evaporated gets none, or the salinity creeps up.

    Examples
    --------
    >>> round(exchange_dose_g(37.25, 6.64))
    248
    """
    if new_water_g_kg < 0.0 or np.any(np.asarray(new_water_l) < 0.0):
        msg = "A salinity or a volume cannot be below zero."
        raise PlanError(msg)
    target = new_water_l * 0.0 + target_g_kg
    own = new_water_l * 0.0 + new_water_g_kg
    short = salt_g_l(target, temperature_c) - salt_g_l(own, temperature_c)
    dose: N = new_water_l * (short + abs(short)) / 2.0
    return dose


def from_the_bag_g(dry_g: N, moisture: float = 0.0) -> N:
    """What to weigh out, as salt from a bag holds water.

    Parameters
    ----------
    dry_g : float or ndarray
        Dry sea salts wanted. [g]
    moisture : float, optional
        Part of the bag's mass that is water; 0.03 to 0.08 is usual, from memory. [-]

    Returns
    -------
    float or ndarray
        Mass from the bag. [g]

    Raises
    ------
    PlanError
        Moisture outside 0 to below 1.

    Examples
    --------
    >>> round(from_the_bag_g(248.0, 0.05))
    261
    """
    if not 0.0 <= moisture < 1.0:
        msg = "The bag's moisture lies between 0 and 100 percent."
        raise PlanError(msg)
    return dry_g / (1.0 - moisture)


def correction_g(
    volume_l: N,
    now_g_kg: float | N,
    target_g_kg: float | N,
    temperature_c: float = 25.0,
) -> N:
    """Dry salt that brings a whole tank to its salinity, its level being full.

    Parameters
    ----------
    volume_l : float or ndarray
        Water of the tank. [L]
    now_g_kg, target_g_kg : float or ndarray
        Salinity measured with the level full, and wanted. [g/kg]
    temperature_c : float, optional
        Temperature. [°C]

    Returns
    -------
    float or ndarray
        Dry sea salts; negative where the tank holds that much too much, for which
        see `freshening_fraction`. [g]

    Notes
    -----
    ``V (S_target rho_target - S rho)``.

    Examples
    --------
    >>> round(correction_g(149.0, 6.0, 6.6))
    90
    """
    zero = volume_l * 0.0
    wanted = salt_g_l(zero + target_g_kg, temperature_c)
    held = salt_g_l(zero + now_g_kg, temperature_c)
    return volume_l * (wanted - held)


def freshening_fraction(now_g_kg: float, target_g_kg: float) -> float:
    """Part of the water to exchange for water without salt to bring salinity down.

    Parameters
    ----------
    now_g_kg, target_g_kg : float
        Salinity measured and wanted. [g/kg]

    Returns
    -------
    float
        Fraction, 0 where nothing need come down. [-]

    Examples
    --------
    >>> round(freshening_fraction(36.8, 35.0), 3)
    0.049
    """
    if now_g_kg <= target_g_kg or now_g_kg <= 0.0:
        return 0.0
    return 1.0 - max(target_g_kg, 0.0) / now_g_kg


def salinity_after_evaporation(
    salinity_g_kg: N, volume_l: float, lost_l: float, temperature_c: float = 25.0
) -> N:
    """Salinity once water has gone into the air and was not replaced.

    Parameters
    ----------
    salinity_g_kg : float or ndarray
        Salinity with the level full. [g/kg]
    volume_l : float
        Water of the full tank. [L]
    lost_l : float
        Water evaporated. [L]
    temperature_c : float, optional
        Temperature. [°C]

    Returns
    -------
    float or ndarray
        Salinity; topping up with pure water brings the old one back. [g/kg]

    Raises
    ------
    PlanError
        More evaporated than there was.

    Notes
    -----
    The mass of salt stays: ``S V rho / (V rho - E rho_w)``.

    Examples
    --------
    >>> round(salinity_after_evaporation(35.0, 214.0, 10.5), 1)
    36.8
    """
    if not 0.0 <= lost_l < volume_l:
        msg = "No more water can evaporate than the tank holds."
        raise PlanError(msg)
    held = volume_l * density_kg_l(salinity_g_kg, temperature_c)
    gone = lost_l * density_kg_l(salinity_g_kg * 0.0, temperature_c)
    return salinity_g_kg * held / (held - gone)


def creep_g_kg_day(top_up_l_day: N, top_up_g_kg: float | N, volume_l: float | N) -> N:
    """How fast salinity climbs when evaporated water is replaced by salty water.

    Parameters
    ----------
    top_up_l_day : float or ndarray
        Water added for evaporation. [L/day]
    top_up_g_kg : float or ndarray
        Its salinity. [g/kg]
    volume_l : float or ndarray
        Water of the tank. [L]

    Returns
    -------
    float or ndarray
        Rise, densities taken as equal. [g/kg/day]

    Examples
    --------
    >>> round(creep_g_kg_day(3.5, 35.0, 214.0), 2)
    0.57
    """
    return top_up_l_day * top_up_g_kg / volume_l


@dataclass(frozen=True, slots=True)
class SaltDose:
    """Salt for one exchange, and what a week without topping up does.

    Parameters
    ----------
    litres : float
        New water of the exchange. [L]
    salinity_g_kg, salt_g_l : float
        Salinity to keep [g/kg], and the salt in a litre of it. [g/L]
    dry_g, bag_g : float
        Dry sea salts, and what to weigh out of the bag. [g]
    lost_l, saltier_g_kg : float
        Water gone after the days without topping up [L], and the salinity then. [g/kg]
    days : float
        Those days. [day]
    """

    litres: float
    salinity_g_kg: float
    salt_g_l: float
    dry_g: float
    bag_g: float
    lost_l: float
    saltier_g_kg: float
    days: float


def salt_dose(
    volume_l: float,
    fraction: float,
    gravity: float,
    *,
    temperature_c: float = 25.0,
    moisture: float = 0.0,
    evaporation_l_day: float = 0.0,
    days: float = 7.0,
) -> SaltDose:
    """Work out the salt of one exchange from the specific gravity to keep.

    Parameters
    ----------
    volume_l, fraction : float
        Water of the tank [L], and the part exchanged, 0 to 1. [-]
    gravity : float
        Specific gravity to keep, against pure water of 25 °C. [-]
    temperature_c : float, optional
        Temperature of the tank. [°C]
    moisture : float, optional
        Part of the bag's mass that is water. [-]
    evaporation_l_day, days : float, optional
        Water lost to the air [L/day], and days without topping up. [day]

    Returns
    -------
    SaltDose
        Grams, and the salinity after those days.

    Raises
    ------
    PlanError
        A gravity, a fraction or a moisture that cannot be, or a tank run dry.

    Examples
    --------
    >>> dose = salt_dose(149.0, 0.25, 1.005, evaporation_l_day=2.2)
    >>> round(dose.litres, 2), round(dose.dry_g), round(dose.saltier_g_kg, 1)
    (37.25, 248, 7.4)
    """
    salinity = salinity_of_gravity(gravity, temperature_c)
    litres = volume_l * fraction_checked(fraction)
    dry = exchange_dose_g(litres, salinity, temperature_c)
    lost = evaporation_l_day * days
    return SaltDose(
        litres=litres,
        salinity_g_kg=salinity,
        salt_g_l=salt_g_l(salinity, temperature_c),
        dry_g=dry,
        bag_g=from_the_bag_g(dry, moisture),
        lost_l=lost,
        saltier_g_kg=salinity_after_evaporation(
            salinity, volume_l, lost, temperature_c
        ),
        days=days,
    )
