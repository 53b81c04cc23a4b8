"""How much oxygen water can hold from the air; a caution and no measurement."""

from __future__ import annotations

import numpy as np

from kit.makeup._values import N

__all__ = ["oxygen_saturation_mg_l"]

_KELVIN = 273.15


def oxygen_saturation_mg_l(temperature_c: N, salinity_g_kg: float | N = 0.0) -> N:
    """Oxygen that water in touch with air holds at sea level.

    Parameters
    ----------
    temperature_c : float or ndarray
        Temperature, 0 to 40. [°C]
    salinity_g_kg : float or ndarray, optional
        Salinity, 0 to 40. [g/kg]

    Returns
    -------
    float or ndarray
        Dissolved oxygen at saturation, moist air of one atmosphere. [mg/L]

    Notes
    -----
    Benson and Krause (1984), Limnology and Oceanography 29:620, in mg/L as printed in
    Standard Methods (APHA). A tank usually lies below it; warmth, salt, height above
    the sea and a night with plants all lower it. What is in the water only a test
    tells.

    Examples
    --------
    >>> round(oxygen_saturation_mg_l(25.0), 2)
    8.26
    """
    t = temperature_c + _KELVIN
    fresh = (
        -139.34411
        + 1.575701e5 / t
        - 6.642308e7 / t**2
        + 1.243800e10 / t**3
        - 8.621949e11 / t**4
    )
    salted = salinity_g_kg * (1.7674e-2 - 10.754 / t + 2140.7 / t**2)
    result: N = np.exp(fresh - salted)
    return result if isinstance(result, np.ndarray) else float(result)
