"""A rough guess of evaporation, to hold a logged top-up against."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kit.errors import PlanError
from kit.makeup.heat import latent_heat_kj_kg

__all__ = ["Evaporation", "evaporation_guess", "vapour_pressure_kpa"]

_STILL_W_M2_PA = 0.0885
_WIND_W_M2_PA = 0.0779
_MEASURED = 0.74
_FACTOR = 2.0
_SECONDS = 86_400.0


def vapour_pressure_kpa(temperature_c: float) -> float:
    """Pressure of water vapour over water.

    Parameters
    ----------
    temperature_c : float
        Temperature, 0 to 40. [°C]

    Returns
    -------
    float
        Saturation pressure. [kPa]

    Notes
    -----
    ``0.6108 exp(17.27 t / (t + 237.3))``, FAO Irrigation and Drainage Paper 56 (1998),
    equation 11; within 0.2 % of IAPWS-95.

    Examples
    --------
    >>> round(vapour_pressure_kpa(26.0), 2)
    3.36
    """
    return 0.6108 * math.exp(17.27 * temperature_c / (temperature_c + 237.3))


@dataclass(frozen=True, slots=True)
class Evaporation:
    """A guess of evaporation that is good to a factor of two.

    Parameters
    ----------
    guess_l_day : float
        Middle of the guess. [L/day]
    low_l_day, high_l_day : float
        Half and twice of it. [L/day]
    """

    guess_l_day: float
    low_l_day: float
    high_l_day: float

    def agrees(self, logged_l_day: float) -> bool:
        """Whether a logged top-up lies within the guess [L/day]."""
        return self.low_l_day <= logged_l_day <= self.high_l_day


def evaporation_guess(
    open_m2: float,
    water_c: float,
    air_c: float,
    humidity: float = 0.5,
    wind_m_s: float = 0.0,
) -> Evaporation:
    """Guess evaporation from the open surface.

    Parameters
    ----------
    open_m2 : float
        Surface that no lid covers. [m²]
    water_c, air_c : float
        Temperature of water and room. [°C]
    humidity : float, optional
        Relative humidity of the room, 0 to 1. [-]
    wind_m_s : float, optional
        Air moving over the surface, as from a fan. [m/s]

    Returns
    -------
    Evaporation
        Good to a factor of two: bubbles, films and lids change it more than the
        formula knows.

    Raises
    ------
    PlanError
        A surface below zero, or a humidity outside 0 to 100 percent.

    Notes
    -----
    Carrier's formula as in the ASHRAE handbooks, ``(0.0885 + 0.0779 v) (p_w - p_a)``
    in W/m² with pressures in Pa, over the latent heat, times 0.74, which is what was
    measured over quiet water (ASHRAE Transactions 1998, 104-1A). Only to see whether
    a logged top-up is possible; never to replace it.

    Examples
    --------
    >>> round(evaporation_guess(0.5, 26.0, 22.0).guess_l_day, 1)
    2.4
    """
    if not (open_m2 >= 0.0 and 0.0 <= humidity <= 1.0 and wind_m_s >= 0.0):
        msg = "The open surface and the wind cannot be below zero, and humidity lies "
        raise PlanError(msg + "between 0 and 100 percent.")
    drive = vapour_pressure_kpa(water_c) - humidity * vapour_pressure_kpa(air_c)
    watts = (_STILL_W_M2_PA + _WIND_W_M2_PA * wind_m_s) * 1000.0 * max(drive, 0.0)
    per_m2 = _MEASURED * watts * _SECONDS / (1000.0 * latent_heat_kj_kg(water_c))
    guess = open_m2 * per_m2
    return Evaporation(guess, guess / _FACTOR, guess * _FACTOR)
