"""What a drain carries by its own weight: an open standpipe and a near-level run.

Notes
-----
Water falling over the lip of an open pipe is a weir as long as the lip, until the
mouth runs full and is an orifice; the smaller of the two rules ::

    weir     (2/3) Cd pi D sqrt(2 g) h**1.5
    orifice  Cd (pi/4) D**2 sqrt(2 g h)

A near-level run behind it, part full, carries what Manning's formula gives ::

    Q = (1/n) A R**(2/3) S**(1/2)

The coefficient of 0.6 is the usual one for a sharp edge (source ``usbr_water`` in
`kit.sources`); Manning's n of 0.010 is usual for smooth plastic (source
``chow_1959``). A real mouth with a strainer, a gurgle or slime carries less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from kit.errors import PlanError
from kit.plumbing.friction import GRAVITY_M_S2

__all__ = [
    "EDGE",
    "MANNING_PLASTIC",
    "Drain",
    "capacity_l_h",
    "orifice_l_h",
    "part_full",
    "run_l_h",
    "standing_mm",
    "weir_l_h",
]

EDGE: Final = 0.6
"""Discharge coefficient of a sharp edge. [-]"""
MANNING_PLASTIC: Final = 0.010
"""Manning's n of smooth plastic. [s/m^(1/3)]"""

_L_H: Final = 3_600_000.0  # L/h in one m3/s
_FALL: Final = math.sqrt(2.0 * GRAVITY_M_S2)


@dataclass(frozen=True, slots=True)
class Drain:
    """One or more equal open drains.

    Parameters
    ----------
    bore_mm : float
        Inside width of the mouth. [mm]
    count : int, optional
        How many such drains.
    blocked : float, optional
        Part lost to snails, leaves or slime, 0 to 1. [-]
    run_slope : float, optional
        Fall over length of a near-level run behind the mouth; 0 where the pipe drops
        straight down. [-]
    run_fill : float, optional
        How deep the run may stand, as a part of its bore. [-]
    edge : float, optional
        Discharge coefficient. [-]
    manning : float, optional
        Manning's n of the run. [s/m^(1/3)]
    """

    bore_mm: float
    count: int = 1
    blocked: float = 0.0
    run_slope: float = 0.0
    run_fill: float = 0.5
    edge: float = EDGE
    manning: float = MANNING_PLASTIC

    def __post_init__(self) -> None:
        """Refuse what is no drain.

        Raises
        ------
        PlanError
            A bore, number, part or slope that cannot be.
        """
        if not (self.bore_mm > 0 and math.isfinite(self.bore_mm) and self.count >= 1):
            msg = "A drain needs an inside width of more than 0 mm, and one at least."
            raise PlanError(msg)
        if not 0 <= self.blocked <= 1:
            msg = "The blocked part of a drain lies between none and all of it."
            raise PlanError(msg)
        if not (0 < self.run_fill <= 1 and self.run_slope >= 0):
            msg = "A run falls with the water and stands at most full."
            raise PlanError(msg)
        if not (self.edge > 0 and self.manning > 0):
            msg = "The coefficients of a drain must be more than 0."
            raise PlanError(msg)


def weir_l_h(bore_mm: float, head_mm: float, edge: float = EDGE) -> float:
    """Water over the lip of an open standpipe that does not run full.

    Parameters
    ----------
    bore_mm : float
        Inside width. [mm]
    head_mm : float
        Water above the lip. [mm]
    edge : float, optional
        Discharge coefficient. [-]

    Returns
    -------
    float
        Flow. [L/h]

    Examples
    --------
    >>> round(weir_l_h(41.0, 10.0))
    821
    """
    lip, head = math.pi * bore_mm / 1000.0, max(head_mm, 0.0) / 1000.0
    return float(2.0 / 3.0 * edge * lip * _FALL * head**1.5 * _L_H)


def orifice_l_h(bore_mm: float, head_mm: float, edge: float = EDGE) -> float:
    """Water through a round opening that runs full.

    Parameters
    ----------
    bore_mm : float
        Inside width. [mm]
    head_mm : float
        Water above it. [mm]
    edge : float, optional
        Discharge coefficient. [-]

    Returns
    -------
    float
        Flow. [L/h]

    Examples
    --------
    >>> round(orifice_l_h(26.6, 10.0))
    532
    """
    area = math.pi / 4.0 * (bore_mm / 1000.0) ** 2
    return edge * area * _FALL * math.sqrt(max(head_mm, 0.0) / 1000.0) * _L_H


def part_full(fill: float) -> tuple[float, float]:
    """Wetted section of a round pipe that is part full.

    Parameters
    ----------
    fill : float
        Depth over inside width, 0 to 1. [-]

    Returns
    -------
    float
        Area over the square of the width. [-]
    float
        Area over wetted edge, over the width. [-]

    Examples
    --------
    >>> area, radius = part_full(0.5)
    >>> round(area, 4), radius
    (0.3927, 0.25)
    """
    if fill <= 0.0:
        return 0.0, 0.0
    angle = 2.0 * math.acos(1.0 - 2.0 * min(fill, 1.0))
    area = (angle - math.sin(angle)) / 8.0
    return area, area / (angle / 2.0)


def run_l_h(
    bore_mm: float, slope: float, fill: float = 0.5, manning: float = MANNING_PLASTIC
) -> float:
    """Water in a near-level run that is part full.

    Parameters
    ----------
    bore_mm : float
        Inside width. [mm]
    slope : float
        Fall over length. [-]
    fill : float, optional
        Depth over inside width. [-]
    manning : float, optional
        Manning's n. [s/m^(1/3)]

    Returns
    -------
    float
        Flow. [L/h]

    Examples
    --------
    >>> round(run_l_h(26.6, 0.01))
    354
    """
    bore = bore_mm / 1000.0
    area, radius = part_full(fill)
    section, deep = area * bore**2, radius * bore
    return float(section * deep ** (2.0 / 3.0) * math.sqrt(slope) / manning * _L_H)


def capacity_l_h(drain: Drain, head_mm: float) -> float:
    """What the drains carry with so much water above the lip.

    Parameters
    ----------
    drain : Drain
        The drains.
    head_mm : float
        Water above the lip. [mm]

    Returns
    -------
    float
        The least of weir, orifice and run, times the number of drains, times what is
        not blocked. [L/h]

    Examples
    --------
    >>> round(capacity_l_h(Drain(26.6), 10.0))
    532
    >>> round(capacity_l_h(Drain(26.6, count=2, blocked=0.5), 10.0))
    532
    """
    one = min(
        weir_l_h(drain.bore_mm, head_mm, drain.edge),
        orifice_l_h(drain.bore_mm, head_mm, drain.edge),
    )
    if drain.run_slope > 0.0:
        run = run_l_h(drain.bore_mm, drain.run_slope, drain.run_fill, drain.manning)
        one = min(one, run)
    return drain.count * (1.0 - drain.blocked) * one


def standing_mm(drain: Drain, inflow_l_h: float) -> float:
    """How high the water stands above the lip while a flow drains off.

    Parameters
    ----------
    drain : Drain
        The drains.
    inflow_l_h : float
        What comes in. [L/h]

    Returns
    -------
    float
        Water above the lip; ``math.inf`` where the run or a block holds it back for
        good. [mm]

    Examples
    --------
    >>> round(standing_mm(Drain(26.6), 532.0))
    10
    """
    if inflow_l_h <= 0.0:
        return 0.0
    most = capacity_l_h(drain, 1e9)
    if most < inflow_l_h:
        return math.inf
    each = inflow_l_h / (drain.count * (1.0 - drain.blocked))
    weir = float((each / weir_l_h(drain.bore_mm, 1.0, drain.edge)) ** (2.0 / 3.0))
    orifice = (each / orifice_l_h(drain.bore_mm, 1.0, drain.edge)) ** 2
    return max(weir, orifice)
