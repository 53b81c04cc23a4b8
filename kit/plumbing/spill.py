"""Will it spill: inflow against drain in each way it can go wrong.

A drain that copes with the drip as it is set proves little. The cases here are the
drip as set, the valve stuck open, the drain blocked, and the last two at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from kit.errors import PlanError
from kit.plumbing.drain import Drain, capacity_l_h, standing_mm

__all__ = [
    "Backflow",
    "Case",
    "Outlook",
    "backflow",
    "minutes_to_spill",
    "outlook",
]

_STEPS = 400
_MINUTES_H = 60.0

Name = Literal["as set", "stuck open", "drain blocked", "both"]


@dataclass(frozen=True, slots=True)
class Case:
    """One way in which water comes and goes.

    Parameters
    ----------
    name : {"as set", "stuck open", "drain blocked", "both"}
        Which.
    inflow_l_h, capacity_l_h : float
        What comes in, and what the drain carries at the head allowed. [L/h]
    standing_mm : float
        Where the water comes to stand above the lip; ``math.inf`` where it does
        not. [mm]
    minutes : float
        From now until water runs over the rim; ``math.inf`` where it does not. [min]
    """

    name: Name
    inflow_l_h: float
    capacity_l_h: float
    standing_mm: float
    minutes: float

    @property
    def spare(self) -> float:
        """How many times the inflow the drain carries. [-]."""
        if self.inflow_l_h <= 0.0:
            return math.inf
        return self.capacity_l_h / self.inflow_l_h


@dataclass(frozen=True, slots=True)
class Outlook:
    """Every case for one tank, with what they were worked out from.

    Parameters
    ----------
    cases : tuple of Case
        Drip as set, valve stuck open, drain blocked, both at once.
    head_mm : float
        Rise above the lip that is allowed. [mm]
    freeboard_mm : float
        From the lip to the rim. [mm]
    asked : float
        How many times the inflow the keeper wants the drain to carry. [-]
    """

    cases: tuple[Case, ...]
    head_mm: float
    freeboard_mm: float
    asked: float

    def case(self, name: Name) -> Case:
        """Give one case by its name.

        Parameters
        ----------
        name : {"as set", "stuck open", "drain blocked", "both"}
            Which.

        Returns
        -------
        Case
            That one.
        """
        return next(case for case in self.cases if case.name == name)


def minutes_to_spill(
    inflow_l_h: float, room_mm: float, area_m2: float, drain: Drain | None = None
) -> float:
    """Time until water that stands at the lip runs over the rim.

    Parameters
    ----------
    inflow_l_h : float
        What comes in. [L/h]
    room_mm : float
        From the lip to the rim. [mm]
    area_m2 : float
        Water surface. [m2]
    drain : Drain, optional
        What drains meanwhile; None for a blocked one.

    Returns
    -------
    float
        ``math.inf`` where the drain catches up below the rim. [min]

    Notes
    -----
    The level climbs by ``(inflow - drain(h)) / area``; the time is the sum over thin
    layers from the lip to the rim. Without a drain it is room times area over inflow.

    Examples
    --------
    >>> round(minutes_to_spill(284.0, 30.0, 0.6), 1)
    3.8
    """
    if inflow_l_h <= 0.0:
        return math.inf
    layer_l = area_m2 * room_mm / _STEPS
    hours = 0.0
    for i in range(_STEPS):
        head = (i + 0.5) / _STEPS * room_mm
        out = 0.0 if drain is None else capacity_l_h(drain, head)
        if out >= inflow_l_h:
            return math.inf
        hours += layer_l / (inflow_l_h - out)
    return hours * _MINUTES_H


def outlook(
    drain: Drain,
    *,
    drip_l_h: float,
    wide_open_l_h: float,
    head_mm: float,
    freeboard_mm: float,
    area_m2: float,
    asked: float = 3.0,
) -> Outlook:
    """Set inflow against drain in each case.

    Parameters
    ----------
    drain : Drain
        The drains, with what part is taken as blocked.
    drip_l_h : float
        Drip as it is set. [L/h]
    wide_open_l_h : float
        What runs in when the valve sticks open; the drip as set if that is
        more. [L/h]
    head_mm : float
        Rise above the drain's lip that is allowed. [mm]
    freeboard_mm : float
        From the drain's lip to the rim; not less than `head_mm`. [mm]
    area_m2 : float
        Water surface. [m2]
    asked : float, optional
        How many times the inflow the drain should carry; 3 is common practice,
        without a source. [-]

    Returns
    -------
    Outlook
        All cases.

    Raises
    ------
    PlanError
        A size below zero, or less room to the rim than the head allowed.

    Examples
    --------
    >>> seen = outlook(Drain(26.6), drip_l_h=0.9, wide_open_l_h=284.0, head_mm=10.0,
    ...                freeboard_mm=30.0, area_m2=0.6)
    >>> round(seen.case("stuck open").spare, 1), round(seen.case("both").minutes, 1)
    (1.9, 3.8)
    """
    if not (min(drip_l_h, wide_open_l_h) >= 0 and min(head_mm, area_m2, asked) > 0):
        msg = "Flows cannot be negative; the head and the water surface must be more."
        raise PlanError(msg)
    if freeboard_mm < head_mm:
        msg = (
            f"The water may rise {head_mm:g} mm above the lip, but the rim is only "
            f"{freeboard_mm:g} mm above it. Allow less, or lower the drain."
        )
        raise PlanError(msg)
    worst = max(drip_l_h, wide_open_l_h)
    open_cases: tuple[tuple[Name, float], ...] = (
        ("as set", drip_l_h),
        ("stuck open", worst),
    )
    shut_cases: tuple[tuple[Name, float], ...] = (
        ("drain blocked", drip_l_h),
        ("both", worst),
    )
    carried = capacity_l_h(drain, head_mm)
    cases = [
        Case(
            name,
            flow,
            carried,
            standing_mm(drain, flow),
            minutes_to_spill(flow, freeboard_mm, area_m2, drain),
        )
        for name, flow in open_cases
    ]
    cases += [
        Case(name, flow, 0.0, math.inf, minutes_to_spill(flow, freeboard_mm, area_m2))
        for name, flow in shut_cases
    ]
    return Outlook(tuple(cases), head_mm, freeboard_mm, asked)


@dataclass(frozen=True, slots=True)
class Backflow:
    """What runs back into a sump when the return pump stops.

    Parameters
    ----------
    back_l, room_l : float
        Water that runs back, and room in the sump above its running level. [L]
    rise_mm : float
        How much the sump's level climbs. [mm]
    """

    back_l: float
    room_l: float
    rise_mm: float

    @property
    def spare(self) -> float:
        """How many times the water that runs back fits. [-]."""
        return math.inf if self.back_l <= 0.0 else self.room_l / self.back_l


def backflow(
    *,
    tank_area_m2: float,
    drop_mm: float,
    pipes_l: float,
    sump_area_m2: float,
    sump_room_mm: float,
) -> Backflow:
    """Work out whether a sump holds what runs back when its return pump stops.

    Parameters
    ----------
    tank_area_m2 : float
        Water surface of the tank above. [m2]
    drop_mm : float
        How far that tank drains: from its running waterline to the lip of its
        overflow or to the hole that breaks the return's siphon, the lower of
        the two. [mm]
    pipes_l : float
        Water in the pipes above the sump. [L]
    sump_area_m2 : float
        Water surface of the sump. [m2]
    sump_room_mm : float
        From the sump's running level to its rim. [mm]

    Returns
    -------
    Backflow
        Water, room and rise.

    Raises
    ------
    PlanError
        An area that is not above zero, or a size below zero.

    Examples
    --------
    >>> seen = backflow(tank_area_m2=0.6, drop_mm=25.0, pipes_l=3.0,
    ...                 sump_area_m2=0.2, sump_room_mm=150.0)
    >>> seen.back_l, seen.room_l, round(seen.rise_mm)
    (18.0, 30.0, 90)
    """
    if not (tank_area_m2 > 0 and sump_area_m2 > 0):
        msg = "Tank and sump need a water surface of more than 0."
        raise PlanError(msg)
    if not min(drop_mm, pipes_l, sump_room_mm) >= 0:
        msg = "Drop, pipes and room cannot be less than nothing."
        raise PlanError(msg)
    back = tank_area_m2 * drop_mm + pipes_l
    return Backflow(back, sump_area_m2 * sump_room_mm, back / sump_area_m2)
