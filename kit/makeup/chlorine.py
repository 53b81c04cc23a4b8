"""Chlorine and chloramine of tap water that goes in untreated."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kit.basis import NITRATE_PER_N
from kit.errors import PlanError
from kit.makeup._values import Floats, N, check_volume, fraction_checked

__all__ = [
    "CRITERIA",
    "K_PER_DAY",
    "TAP_LIMIT_MG_L",
    "Criteria",
    "DripChlorine",
    "batch_level_mg_l",
    "chloramine_ammonia_n_mg_l",
    "chloramine_nitrate_mg_l",
    "days_until",
    "decay_curve",
    "drip_level_mg_l",
    "drip_range",
    "largest_untreated_fraction",
]


@dataclass(frozen=True, slots=True)
class Criteria:
    """Chlorine that the US EPA's criteria for wild waters allow.

    Parameters
    ----------
    acute_mg_l : float
        Mean of an hour. [mg/L]
    chronic_mg_l : float
        Mean of four days. [mg/L]
    """

    acute_mg_l: float
    chronic_mg_l: float


CRITERIA: dict[str, Criteria] = {
    "fresh": Criteria(0.019, 0.011),
    "salt": Criteria(0.013, 0.0075),
}
"""US EPA (1985), EPA 440/5-84-030 (source ``epa_chlorine``)."""

TAP_LIMIT_MG_L = 4.0
"""Most chlorine or chloramine allowed in US tap water, as Cl2, as a yearly mean;
40 CFR 141.65. [mg/L]"""

K_PER_DAY = (1.0, 20.0)
"""How fast a tank uses chlorine up: from clean and bare to full of life. Common
practice, no source; chloramine lasts longer. [1/day]"""

_HAIR = 1e-300
_CL2_PER_N = 2 * 35.453 / 14.0067
"""Chlorine as Cl2 that stands for a gram of nitrogen in monochloramine. [g/g]"""


def drip_level_mg_l(
    drip_l_day: N, volume_l: float | N, tap_mg_l: float | N, k_per_day: float | N
) -> N:
    """Chlorine that an untreated drip keeps in the tank.

    Parameters
    ----------
    drip_l_day : float or ndarray
        Untreated water running in. [L/day]
    volume_l : float or ndarray
        Water of the tank. [L]
    tap_mg_l : float or ndarray
        Chlorine of the tap, as Cl2. [mg/L]
    k_per_day : float or ndarray
        How fast the tank uses it up, first order. [1/day]

    Returns
    -------
    float or ndarray
        Steady level, the water well mixed; near the drip's end it is higher. [mg/L]

    Raises
    ------
    PlanError
        A volume that is not above zero.

    Notes
    -----
    Balance of a stirred tank: ``(q/V) C / (k + q/V)``.

    Examples
    --------
    >>> round(1000.0 * drip_level_mg_l(5.0, 100.0, 1.0, 1.0))
    48
    """
    check_volume(volume_l)
    turnover = drip_l_day / volume_l
    # Nothing coming in and nothing used up leaves nothing, not nought over nought.
    level: N = turnover * tap_mg_l / (turnover + k_per_day + _HAIR)
    return level


@dataclass(frozen=True, slots=True)
class DripChlorine:
    """Chlorine that an untreated drip may keep in the tank, over a range of decay.

    Parameters
    ----------
    low_mg_l, high_mg_l : float
        Where the tank uses it up fast, and slowly. [mg/L]
    criteria : Criteria
        To set it against.
    """

    low_mg_l: float
    high_mg_l: float
    criteria: Criteria

    @property
    def can_pass_chronic(self) -> bool:
        """Whether the upper end lies above the criterion of four days."""
        return self.high_mg_l > self.criteria.chronic_mg_l


def drip_range(
    drip_l_day: float,
    volume_l: float,
    tap_mg_l: float,
    *,
    k_per_day: tuple[float, float] = K_PER_DAY,
    water: str = "fresh",
) -> DripChlorine:
    """Chlorine an untreated drip may keep in the tank.

    Parameters
    ----------
    drip_l_day, volume_l : float
        Untreated water running in [L/day], and water of the tank. [L]
    tap_mg_l : float
        Chlorine of the tap, as Cl2. [mg/L]
    k_per_day : tuple of float, optional
        Slowest and fastest decay thought possible. [1/day]
    water : {"fresh", "salt"}, optional
        Which criteria to set it against.

    Returns
    -------
    DripChlorine
        Both ends and the criteria.

    Raises
    ------
    PlanError
        A volume that is not above zero, or another kind of water.

    Examples
    --------
    >>> found = drip_range(22.0, 262.0, 1.0, k_per_day=(1.0, 5.0))
    >>> round(1000.0 * found.low_mg_l), round(1000.0 * found.high_mg_l)
    (17, 77)
    """
    if water not in CRITERIA:
        msg = "The water is fresh or salt."
        raise PlanError(msg)
    slow, fast = min(k_per_day), max(k_per_day)
    return DripChlorine(
        drip_level_mg_l(drip_l_day, volume_l, tap_mg_l, fast),
        drip_level_mg_l(drip_l_day, volume_l, tap_mg_l, slow),
        CRITERIA[water],
    )


def batch_level_mg_l(fraction: N, tap_mg_l: float | N) -> N:
    """Chlorine right after an exchange with untreated water.

    Parameters
    ----------
    fraction : float or ndarray
        Part exchanged, 0 to 1. [-]
    tap_mg_l : float or ndarray
        Chlorine of the tap, as Cl2. [mg/L]

    Returns
    -------
    float or ndarray
        Level at once, before any is used up. [mg/L]

    Raises
    ------
    PlanError
        Fraction outside 0 to 1.

    Examples
    --------
    >>> batch_level_mg_l(0.3, 1.0)
    0.3
    """
    return fraction_checked(fraction) * tap_mg_l


def largest_untreated_fraction(
    tap_mg_l: float, criteria: Criteria = CRITERIA["fresh"]
) -> float:
    """Untreated exchange that just reaches the criterion of an hour.

    Parameters
    ----------
    tap_mg_l : float
        Chlorine of the tap, as Cl2. [mg/L]
    criteria : Criteria, optional
        From `CRITERIA`.

    Returns
    -------
    float
        Part of the water, 0 to 1. [-]

    Examples
    --------
    >>> round(100.0 * largest_untreated_fraction(4.0), 3)
    0.475
    """
    if tap_mg_l <= 0.0:
        return 1.0
    return min(criteria.acute_mg_l / tap_mg_l, 1.0)


def days_until(level_mg_l: float, wanted_mg_l: float, k_per_day: float) -> float:
    """Days until a level has fallen to another, no more coming in.

    Parameters
    ----------
    level_mg_l, wanted_mg_l : float
        Level now, and wanted. [mg/L]
    k_per_day : float
        How fast the tank uses it up. [1/day]

    Returns
    -------
    float
        Zero where it is there already; infinite where nothing uses it up. [day]

    Notes
    -----
    First order: ``ln(c / c_wanted) / k``.

    Examples
    --------
    >>> round(24.0 * days_until(0.3, 0.019, 5.0))
    13
    """
    if level_mg_l <= wanted_mg_l:
        return 0.0
    if k_per_day <= 0.0 or wanted_mg_l <= 0.0:
        return math.inf
    return math.log(level_mg_l / wanted_mg_l) / k_per_day


def chloramine_ammonia_n_mg_l(tap_mg_l: N) -> N:
    """Ammonia nitrogen set free when chloramine is broken.

    Parameters
    ----------
    tap_mg_l : float or ndarray
        Chloramine of the tap, as Cl2. [mg/L]

    Returns
    -------
    float or ndarray
        Total ammonia as nitrogen in the new water; suppliers add some beyond it.
        [mg/L]

    Notes
    -----
    A mole of nitrogen for each mole of Cl2, as in monochloramine: over 5.06.

    Examples
    --------
    >>> round(chloramine_ammonia_n_mg_l(2.0), 2)
    0.4
    """
    return tap_mg_l / _CL2_PER_N


def chloramine_nitrate_mg_l(tap_mg_l: N) -> N:
    """Nitrate that chloramine's nitrogen becomes in a cycled tank.

    Parameters
    ----------
    tap_mg_l : float or ndarray
        Chloramine of the tap, as Cl2. [mg/L]

    Returns
    -------
    float or ndarray
        To add to the nitrate of the new water, as NO3. [mg/L]

    Examples
    --------
    >>> round(chloramine_nitrate_mg_l(2.0), 2)
    1.75
    """
    return chloramine_ammonia_n_mg_l(tap_mg_l) * NITRATE_PER_N


def decay_curve(
    drip_l_day: float, volume_l: float, tap_mg_l: float
) -> tuple[Floats, Floats]:
    """Give what an untreated drip keeps in the tank, from slow to fast decay.

    Parameters
    ----------
    drip_l_day, volume_l : float
        Untreated water running in [L/day], and water of the tank. [L]
    tap_mg_l : float
        Chlorine of the tap, as Cl2. [mg/L]

    Returns
    -------
    tuple of ndarray
        How fast it is used up [1/day], and the level. [mg/L]
    """
    k = np.geomspace(K_PER_DAY[0] / 2.0, K_PER_DAY[1] * 2.0, 401)
    return k, drip_level_mg_l(drip_l_day + 0.0 * k, volume_l, tap_mg_l, k)
