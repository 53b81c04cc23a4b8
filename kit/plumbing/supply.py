"""What comes in: a tube at line pressure, a drip emitter, a cup held under it.

Notes
-----
A valve that sticks open leaves nothing but the tube between the line and the tank, so
the flow is that of a full pipe driven by the line's pressure (`kit.plumbing.friction`).
A plain emitter is an orifice: its flow follows the root of the pressure.
"""

from __future__ import annotations

import math

from kit.errors import PlanError
from kit.plumbing.friction import KPA_PER_M, Pipe, flow_l_h

__all__ = [
    "DROP_ML",
    "cup_l_day",
    "drops_l_day",
    "emitter_flow",
    "wide_open_l_h",
]

DROP_ML = 0.05
"""A usual drop; drops differ by half and more. Common practice, no source. [mL]"""
_MINUTES_DAY = 1440.0
_SECONDS_DAY = 86400.0


def wide_open_l_h(tube: Pipe, pressure_kpa: float, rise_m: float = 0.0) -> float:
    """Flow through a tube with nothing to hold it back.

    Parameters
    ----------
    tube : Pipe
        From the shut-off to the tank.
    pressure_kpa : float
        Line pressure above the air's, as a gauge shows it. [kPa]
    rise_m : float, optional
        How much higher than the gauge the tube ends. [m]

    Returns
    -------
    float
        Flow. [L/h]

    Examples
    --------
    >>> round(wide_open_l_h(Pipe(6.35, 10.0), 413.7))
    529
    """
    return flow_l_h(tube, pressure_kpa / KPA_PER_M - rise_m)


def emitter_flow(
    rated_flow: float, rated_kpa: float, pressure_kpa: float, power: float = 0.5
) -> float:
    """Flow of an emitter at another pressure.

    Parameters
    ----------
    rated_flow : float
        Flow it is sold for, in any unit.
    rated_kpa : float
        Pressure it is sold for. [kPa]
    pressure_kpa : float
        Pressure in the line. [kPa]
    power : float, optional
        0.5 for a plain opening; near 0 where the emitter regulates itself. [-]

    Returns
    -------
    float
        Flow, in the unit of `rated_flow`.

    Raises
    ------
    PlanError
        The rated pressure is not above zero.

    Examples
    --------
    >>> round(emitter_flow(8.0, 137.9, 413.7), 1)
    13.9
    """
    if not rated_kpa > 0:
        msg = "The pressure an emitter is sold for must be more than 0."
        raise PlanError(msg)
    return float(rated_flow * (max(pressure_kpa, 0.0) / rated_kpa) ** power)


def cup_l_day(caught_ml: float, seconds: float) -> float:
    """Turn a cup and a watch into a drip.

    Parameters
    ----------
    caught_ml : float
        Water caught. [mL]
    seconds : float
        How long it took. [s]

    Returns
    -------
    float
        Drip. [L/day]

    Raises
    ------
    PlanError
        No time, or less than no water.

    Examples
    --------
    >>> cup_l_day(250.0, 240.0)
    90.0
    """
    if not (seconds > 0 and caught_ml >= 0 and math.isfinite(seconds)):
        msg = "Catch some water over some time; neither can be less than nothing."
        raise PlanError(msg)
    return caught_ml / 1000.0 * _SECONDS_DAY / seconds


def drops_l_day(drops_a_minute: float, drop_ml: float = DROP_ML) -> float:
    """Turn counted drops into a drip; a rough guide, as drops differ.

    Parameters
    ----------
    drops_a_minute : float
        Drops counted. [1/min]
    drop_ml : float, optional
        Size of one. [mL]

    Returns
    -------
    float
        Drip. [L/day]

    Examples
    --------
    >>> round(drops_l_day(60.0), 2)
    4.32
    """
    return drops_a_minute * drop_ml / 1000.0 * _MINUTES_DAY
