"""What new water does to the warmth of a tank, and what warming it takes."""

from __future__ import annotations

import numpy as np

from kit.errors import PlanError
from kit.makeup._values import N, fraction_checked

__all__ = [
    "WH_PER_LITRE_KELVIN",
    "drip_heater_w",
    "drip_loss_w_k",
    "evaporation_kwh",
    "heating_hours",
    "heating_kwh",
    "largest_fraction",
    "latent_heat_kj_kg",
    "mixed_temperature_c",
    "parts_needed",
    "temper_to_c",
    "temperature_drop_c",
]

WH_PER_LITRE_KELVIN = 1.163
"""Heat that warms a litre of water by a kelvin: 4.186 kJ, the calorie of 15 °C, over
3.6. IAPWS-95 gives 1.157 to 1.165 between 5 and 30 °C. [Wh/(L K)]"""

_KJ_PER_KWH = 3600.0
_HOURS = 24.0


def mixed_temperature_c(fraction: N, tank_c: float | N, new_c: float | N) -> N:
    """Temperature right after an exchange, by volumes.

    Parameters
    ----------
    fraction : float or ndarray
        Part exchanged, 0 to 1. [-]
    tank_c, new_c : float or ndarray
        Temperature of the tank and of the new water. [°C]

    Returns
    -------
    float or ndarray
        Temperature of the mix. [°C]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Notes
    -----
    ``(1 - f) T + f T_new``. Weighing masses and heats instead moves it by less than
    0.05 °C between 5 and 35 °C (`kit.makeup.enthalpy`), far less than a
    thermometer shows.

    Examples
    --------
    >>> mixed_temperature_c(0.2, 26.0, 12.0)
    23.2
    """
    return tank_c + fraction_checked(fraction) * (new_c - tank_c)


def temperature_drop_c(fraction: N, tank_c: float | N, new_c: float | N) -> N:
    """How far an exchange cools the tank at once.

    Parameters
    ----------
    fraction : float or ndarray
        Part exchanged, 0 to 1. [-]
    tank_c, new_c : float or ndarray
        Temperature of the tank and of the new water. [°C]

    Returns
    -------
    float or ndarray
        ``f (T - T_new)``; negative where the new water is warmer. [K]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Examples
    --------
    >>> temperature_drop_c(0.2, 25.0, 10.0)
    3.0
    """
    return fraction_checked(fraction) * (tank_c - new_c)


def largest_fraction(allowed_drop_c: float, tank_c: float | N, new_c: N) -> N:
    """Largest exchange that changes the temperature by no more than is allowed.

    Parameters
    ----------
    allowed_drop_c : float
        The keeper's own limit for one exchange, up or down. [K]
    tank_c : float or ndarray
        Temperature of the tank. [°C]
    new_c : float or ndarray
        Temperature of the new water. [°C]

    Returns
    -------
    float or ndarray
        Part of the water, 0 to 1; 1 where any exchange keeps the limit. [-]

    Raises
    ------
    PlanError
        A limit below zero.

    Examples
    --------
    >>> round(largest_fraction(2.0, 25.0, 10.0), 3)
    0.133
    """
    if not allowed_drop_c >= 0.0:
        msg = "The change of temperature allowed cannot be negative."
        raise PlanError(msg)
    apart = np.abs(np.asarray(tank_c - new_c, dtype=float))
    far = apart > allowed_drop_c
    most = np.where(far, allowed_drop_c / np.where(far, apart, 1.0), 1.0)
    result: N = most if isinstance(new_c, np.ndarray) else float(most)
    return result


def temper_to_c(fraction: float, tank_c: float, allowed_drop_c: float) -> float:
    """Coldest new water that one exchange can take.

    Parameters
    ----------
    fraction : float
        Part exchanged, 0 to 1. [-]
    tank_c : float
        Temperature of the tank. [°C]
    allowed_drop_c : float
        The keeper's own limit for one exchange. [K]

    Returns
    -------
    float
        Temperature to warm the new water to; minus infinity without an exchange.
        [°C]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Examples
    --------
    >>> temper_to_c(0.2, 25.0, 2.0)
    15.0
    """
    share = fraction_checked(fraction)
    return tank_c - allowed_drop_c / share if share > 0.0 else -np.inf


def parts_needed(
    fraction: float, tank_c: float, new_c: float, allowed_drop_c: float
) -> int | None:
    """Into how many equal exchanges to split one, warmed up again in between.

    Parameters
    ----------
    fraction : float
        Part of the old water that shall have gone in the end, 0 to 1. [-]
    tank_c, new_c : float
        Temperature of the tank and of the new water. [°C]
    allowed_drop_c : float
        The keeper's own limit for one exchange. [K]

    Returns
    -------
    int or None
        Smallest number of parts; None where no number does, as all the old water
        shall go or no change is allowed.

    Raises
    ------
    PlanError
        Fraction outside 0 to 1, or a limit below zero.

    Notes
    -----
    Equal parts of ``1 - (1 - f)**(1/n)`` leave the same old water behind as one
    exchange of ``f``; ``n = ln(1 - f) / ln(1 - f_max)``, rounded up.

    Examples
    --------
    >>> parts_needed(0.2, 25.0, 10.0, 2.0)
    2
    """
    most = largest_fraction(allowed_drop_c, tank_c, new_c)
    share = fraction_checked(fraction)
    if share <= most:
        return 1
    if most == 0.0 or share == 1.0:
        return None
    return int(np.ceil(np.log1p(-share) / np.log1p(-most) - 1e-9))


def heating_kwh(volume_l: N, new_c: float | N, tank_c: float | N) -> N:
    """Heat to warm new water up to the tank.

    Parameters
    ----------
    volume_l : float or ndarray
        New water. [L]
    new_c, tank_c : float or ndarray
        Its temperature and the tank's. [°C]

    Returns
    -------
    float or ndarray
        Heat, not what the meter counts (see `kit.makeup.money`); zero where the new
        water is the warmer one. [kWh]

    Notes
    -----
    ``V (T - T_new) 1.163 / 1000``.

    Examples
    --------
    >>> round(heating_kwh(22.0, 12.0, 25.0), 2)
    0.33
    """
    warmed = volume_l * (tank_c - new_c) * (WH_PER_LITRE_KELVIN / 1000.0)
    result: N = (warmed + abs(warmed)) / 2.0
    return result


def heating_hours(heat_kwh: N, heater_w: float) -> N:
    """Hours a heater needs for it, were none of its heat lost.

    Parameters
    ----------
    heat_kwh : float or ndarray
        Heat. [kWh]
    heater_w : float
        Power of the heater. [W]

    Returns
    -------
    float or ndarray
        Time; the true one is longer, as the tank loses heat meanwhile. [h]

    Raises
    ------
    PlanError
        A heater without power.

    Examples
    --------
    >>> round(heating_hours(1.86, 300.0), 1)
    6.2
    """
    if not heater_w > 0.0:
        msg = "The heater's power must be more than 0 W."
        raise PlanError(msg)
    return heat_kwh * (1000.0 / heater_w)


def drip_heater_w(drip_l_day: N, new_c: float | N, tank_c: float | N) -> N:
    """Heater power that a drip of cold water takes up all day.

    Parameters
    ----------
    drip_l_day : float or ndarray
        Fresh water running in. [L/day]
    new_c, tank_c : float or ndarray
        Its temperature and the tank's. [°C]

    Returns
    -------
    float or ndarray
        Mean power; zero where the new water is the warmer one. [W]

    Examples
    --------
    >>> round(drip_heater_w(22.0, 12.0, 25.0))
    14
    """
    return heating_kwh(drip_l_day, new_c, tank_c) * (1000.0 / _HOURS)


def drip_loss_w_k(drip_l_day: N) -> N:
    """What a drip adds to the heat a tank loses for each degree it is warmer.

    Parameters
    ----------
    drip_l_day : float or ndarray
        Fresh water running in. [L/day]

    Returns
    -------
    float or ndarray
        Power for each degree between tank and new water. [W/K]

    Examples
    --------
    >>> round(drip_loss_w_k(22.0), 2)
    1.07
    """
    return drip_l_day * (WH_PER_LITRE_KELVIN / _HOURS)


def latent_heat_kj_kg(celsius: N) -> N:
    """Heat that water takes along when it turns to vapour.

    Parameters
    ----------
    celsius : float or ndarray
        Temperature of the water, 0 to 40. [°C]

    Returns
    -------
    float or ndarray
        Latent heat. [kJ/kg]

    Notes
    -----
    ``2501 - 2.361 t``, FAO Irrigation and Drainage Paper 56 (1998), annex 3, after
    Harrison (1963); within 0.1 % of IAPWS-95.

    Examples
    --------
    >>> round(latent_heat_kj_kg(26.0))
    2440
    """
    return 2501.0 - 2.361 * celsius


def evaporation_kwh(evaporated_l: N, tank_c: float | N = 25.0) -> N:
    """Heat that evaporated water took out of the tank.

    Parameters
    ----------
    evaporated_l : float or ndarray
        Water lost to the air, a litre taken as a kilogram. [L]
    tank_c : float or ndarray, optional
        Temperature of the water. [°C]

    Returns
    -------
    float or ndarray
        Heat; 0.678 kWh for a litre at 25 °C. Part of it is drawn from the room where
        the tank is no warmer than the room. [kWh]

    Examples
    --------
    >>> round(evaporation_kwh(3.0), 1)
    2.0
    """
    return evaporated_l * latent_heat_kj_kg(tank_c + 0.0 * evaporated_l) / _KJ_PER_KWH
