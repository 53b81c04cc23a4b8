"""Water in a full round pipe: how much runs for a given head.

Notes
-----
Darcy-Weisbach with the losses at ends and bends ::

    h = (f L/D + K) v**2 / (2 g)

where ``f = 64/Re`` in smooth streams below a Reynolds number of 2,000 and, from 4,000
up, the formula of Swamee and Jain (1976), which stays within 1 % of Colebrook's in
fast streams and within 3 % in slow ones ::

    f = 0.25 / log10(eps/(3.7 D) + 5.74/Re**0.9)**2

Between the two nothing is settled; a straight line joins them. Sources
``swamee_jain_1976`` and ``crane_tp410`` in `kit.sources`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from kit.errors import PlanError

__all__ = [
    "GRAVITY_M_S2",
    "HOSE_ENDS",
    "KPA_PER_M",
    "VISCOSITY_M2_S",
    "Pipe",
    "flow_l_h",
    "friction_factor",
    "head_lost_m",
    "reynolds",
]

GRAVITY_M_S2: Final = 9.80665
"""Standard gravity. [m/s2]"""
VISCOSITY_M2_S: Final = 1.00e-6
"""Kinematic viscosity of water at 20 °C, to two figures. Colder water is thicker and
runs slower, so a supply counted at 20 °C errs towards too much. [m2/s]"""
KPA_PER_M: Final = 998.207 * GRAVITY_M_S2 / 1000.0
"""Pressure of a metre of water at 20 °C. [kPa/m]"""
HOSE_ENDS: Final = 1.5
"""Loss of a sharp inlet (0.5) and of the stream that leaves (1). [velocity heads]"""

_SMOOTH, _ROUGH = 2000.0, 4000.0
_SECONDS_H: Final = 3600.0


@dataclass(frozen=True, slots=True)
class Pipe:
    """A tube, hose or pipe that runs full.

    Parameters
    ----------
    bore_mm : float
        Inside width. [mm]
    length_m : float
        Length. [m]
    ends : float, optional
        Losses at inlet, outlet and bends together. [velocity heads]
    roughness_mm : float, optional
        Height of the wall's roughness; 0 for drawn plastic. [mm]
    """

    bore_mm: float
    length_m: float
    ends: float = HOSE_ENDS
    roughness_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no pipe.

        Raises
        ------
        PlanError
            A bore that is not above zero, or a negative length, loss or roughness.
        """
        if not (self.bore_mm > 0 and math.isfinite(self.bore_mm)):
            msg = "The inside width of a pipe must be more than 0 mm."
            raise PlanError(msg)
        if not min(self.length_m, self.ends, self.roughness_mm) >= 0:
            msg = "Length, losses and roughness of a pipe cannot be negative."
            raise PlanError(msg)
        if self.length_m + self.ends == 0:
            msg = "A pipe without length or losses would carry any amount of water."
            raise PlanError(msg)

    @property
    def area_m2(self) -> float:
        """Inside cross-section. [m2]."""
        return math.pi / 4.0 * (self.bore_mm / 1000.0) ** 2


def reynolds(flow_l_h: float, bore_mm: float) -> float:
    """Reynolds number of water at 20 °C in a full round pipe.

    Parameters
    ----------
    flow_l_h : float
        Flow. [L/h]
    bore_mm : float
        Inside width. [mm]

    Returns
    -------
    float
        ``v D / nu``. [-]

    Examples
    --------
    >>> round(reynolds(284.0, 6.35))
    15818
    """
    bore = bore_mm / 1000.0
    speed = flow_l_h / 1000.0 / _SECONDS_H / (math.pi / 4.0 * bore**2)
    return speed * bore / VISCOSITY_M2_S


def friction_factor(reynolds_number: float, rough: float = 0.0) -> float:
    """Darcy's friction factor.

    Parameters
    ----------
    reynolds_number : float
        Above 0. [-]
    rough : float, optional
        Roughness over inside width; 0 for a smooth wall. [-]

    Returns
    -------
    float
        Four times Fanning's factor. [-]

    Examples
    --------
    >>> friction_factor(1000.0)
    0.064
    >>> round(friction_factor(100600.0), 4)
    0.0178
    """
    if reynolds_number <= _SMOOTH:
        return 64.0 / reynolds_number
    if reynolds_number >= _ROUGH:
        return _swamee_jain(reynolds_number, rough)
    low, high = 64.0 / _SMOOTH, _swamee_jain(_ROUGH, rough)
    part = (reynolds_number - _SMOOTH) / (_ROUGH - _SMOOTH)
    return low + part * (high - low)


def _swamee_jain(reynolds_number: float, rough: float) -> float:
    """Swamee and Jain's explicit form of Colebrook's equation."""
    inner = rough / 3.7 + 5.74 / reynolds_number**0.9
    return float(0.25 / math.log10(inner) ** 2)


def head_lost_m(pipe: Pipe, flow_l_h: float) -> float:
    """Head that a flow uses up in a full pipe.

    Parameters
    ----------
    pipe : Pipe
        The pipe.
    flow_l_h : float
        Flow. [L/h]

    Returns
    -------
    float
        Head of water. [m]

    Examples
    --------
    >>> round(head_lost_m(Pipe(16.0, 5.0), 1055.0), 2)
    1.0
    """
    if flow_l_h <= 0.0:
        return 0.0
    speed = flow_l_h / 1000.0 / _SECONDS_H / pipe.area_m2
    number = reynolds(flow_l_h, pipe.bore_mm)
    factor = friction_factor(number, pipe.roughness_mm / pipe.bore_mm)
    losses = factor * pipe.length_m * 1000.0 / pipe.bore_mm + pipe.ends
    return losses * speed**2 / (2.0 * GRAVITY_M_S2)


def flow_l_h(pipe: Pipe, head_m: float) -> float:
    """Water that a full pipe carries for a head.

    Parameters
    ----------
    pipe : Pipe
        The pipe.
    head_m : float
        Height of the water that drives it, or its pressure over `KPA_PER_M`. [m]

    Returns
    -------
    float
        Flow; 0 without head. [L/h]

    Notes
    -----
    `head_lost_m` grows with the flow, so the flow is found by halving.

    Examples
    --------
    >>> round(flow_l_h(Pipe(6.35, 10.0), 137.9 / KPA_PER_M))
    284
    """
    if head_m <= 0.0:
        return 0.0
    low, high = 0.0, 1.0
    while head_lost_m(pipe, high) < head_m:
        low, high = high, 2.0 * high
    for _ in range(60):
        middle = (low + high) / 2.0
        if head_lost_m(pipe, middle) < head_m:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
