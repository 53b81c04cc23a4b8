"""How long a hose takes, at one level or while the level falls."""

from __future__ import annotations

import math

from kit.errors import PlanError
from kit.plumbing.drain import EDGE, orifice_l_h
from kit.plumbing.friction import Pipe, flow_l_h

__all__ = ["hole_minutes", "hose_minutes", "hose_minutes_falling"]

_THIN_M = 0.01
_LAYERS = 100
_MINUTES_H = 60.0


def hose_minutes(hose: Pipe, litres: float, head_m: float) -> float:
    """Time for a hose to carry some water while the level hardly falls.

    Parameters
    ----------
    hose : Pipe
        The hose.
    litres : float
        Water to move. [L]
    head_m : float
        From the waterline down to the end of the hose, or to the water it ends
        in. [m]

    Returns
    -------
    float
        ``math.inf`` without head. [min]

    Examples
    --------
    >>> round(hose_minutes(Pipe(16.0, 5.0), 75.0, 1.0), 1)
    4.3
    """
    flow = flow_l_h(hose, head_m)
    if litres <= 0.0:
        return 0.0
    return math.inf if flow <= 0.0 else litres / flow * _MINUTES_H


def hose_minutes_falling(
    hose: Pipe, area_m2: float, head_start_m: float, head_end_m: float
) -> float:
    """Time for a hose to lower the level of a tank, slower as it falls.

    Parameters
    ----------
    hose : Pipe
        The hose.
    area_m2 : float
        Water surface. [m2]
    head_start_m, head_end_m : float
        From the waterline down to the end of the hose, at first and at last. [m]

    Returns
    -------
    float
        ``math.inf`` where the level would fall to the end of the hose. [min]

    Raises
    ------
    PlanError
        The level would rise, or there is no surface.

    Notes
    -----
    The sum of thin layers of water, each over the hose's flow at its level.

    Examples
    --------
    >>> round(hose_minutes_falling(Pipe(16.0, 5.0), 0.6, 1.0, 0.875), 1)
    4.4
    """
    if not (area_m2 > 0 and head_start_m >= head_end_m):
        msg = "The level must fall, over a water surface of more than 0."
        raise PlanError(msg)
    if head_start_m == head_end_m:
        return 0.0
    if head_end_m <= 0.0:
        return math.inf
    layers = min(_LAYERS, max(math.ceil((head_start_m - head_end_m) / _THIN_M), 2))
    fall = (head_start_m - head_end_m) / layers
    heads = (head_end_m + (i + 0.5) * fall for i in range(layers))
    return sum(hose_minutes(hose, area_m2 * fall * 1000.0, head) for head in heads)


def hole_minutes(
    bore_mm: float,
    area_m2: float,
    head_start_m: float,
    head_end_m: float = 0.0,
    edge: float = EDGE,
) -> float:
    """Time for a hole to lower the level of a tank with straight walls.

    Parameters
    ----------
    bore_mm : float
        Width of the hole. [mm]
    area_m2 : float
        Water surface. [m2]
    head_start_m, head_end_m : float
        Water above the hole, at first and at last. [m]
    edge : float, optional
        Discharge coefficient. [-]

    Returns
    -------
    float
        Time. [min]

    Raises
    ------
    PlanError
        The level would rise, or sizes are not above zero.

    Notes
    -----
    ``t = 2 A (sqrt(h1) - sqrt(h2)) / (Cd a sqrt(2 g))``.

    Examples
    --------
    >>> round(hole_minutes(12.0, 0.6, 0.5), 1)
    47.1
    """
    if not (min(bore_mm, area_m2) > 0 and head_start_m >= head_end_m >= 0):
        msg = "The level must fall, through a hole and over a surface of more than 0."
        raise PlanError(msg)
    at_one_metre = orifice_l_h(bore_mm, 1000.0, edge) / 1000.0
    roots = math.sqrt(head_start_m) - math.sqrt(head_end_m)
    return 2.0 * area_m2 * roots / at_one_metre * _MINUTES_H
