"""A prefilter that clogs, and what it holds back if it is cleaned in time.

Notes
-----
Under a steady push the cake on a filter adds resistance with each litre that passed,
so the flow falls as ``Q = Q0 / sqrt(1 + a t)``. What the filter traps keeps rotting
into nitrate at a rate ``k`` until it is taken out. Cleaned every ``T`` days, this
share has turned before it leaves ::

    1 - (1 - exp(-k T)) / (k T)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from kit.errors import PlanError

__all__ = [
    "ROT_PER_DAY",
    "Cleaning",
    "clog_rate",
    "clogged_flow",
    "days_to_flow",
    "rotted_share",
    "try_cleaning",
]

ROT_PER_DAY: Final = 0.15
"""How fast trapped waste turns, from memory; warm water and fine waste are quicker.
[1/day]"""


def clogged_flow(clean_flow: float, clog_per_day: float, days: float) -> float:
    """Flow of a filter so many days after it was cleaned.

    Parameters
    ----------
    clean_flow : float
        Flow when clean, in any unit.
    clog_per_day : float
        How fast it clogs. [1/day]
    days : float
        Since it was cleaned. [day]

    Returns
    -------
    float
        Flow, in the unit of `clean_flow`.

    Examples
    --------
    >>> clogged_flow(600.0, 0.6, 5.0)
    300.0
    """
    return clean_flow / math.sqrt(1.0 + clog_per_day * days)


def clog_rate(clean_flow: float, flow: float, days: float) -> float:
    """How fast a filter or an emitter clogs, from two measured flows.

    Parameters
    ----------
    clean_flow, flow : float
        Flow when clean, and some days later, in the same unit.
    days : float
        Days between. [day]

    Returns
    -------
    float
        The ``a`` of ``Q0 / sqrt(1 + a t)``; 0 where the flow did not fall. [1/day]

    Raises
    ------
    PlanError
        Flows or days that are not above zero.

    Examples
    --------
    >>> round(clog_rate(22.0, 12.0, 60.0), 4)
    0.0394
    """
    if not min(clean_flow, flow, days) > 0:
        msg = "Two flows of more than 0, some days apart, show how fast it clogs."
        raise PlanError(msg)
    return max((clean_flow / flow) ** 2 - 1.0, 0.0) / days


def days_to_flow(clog_per_day: float, part: float) -> float:
    """Days until the flow has fallen to a part of that when clean.

    Parameters
    ----------
    clog_per_day : float
        How fast it clogs. [1/day]
    part : float
        Part of the clean flow, above 0 and at most 1. [-]

    Returns
    -------
    float
        ``math.inf`` where it does not clog. [day]

    Raises
    ------
    PlanError
        A part that is not above 0 and at most 1.

    Examples
    --------
    >>> days_to_flow(0.6, 0.5)
    5.0
    """
    if not 0 < part <= 1:
        msg = "The flow falls to a part of what it was when clean."
        raise PlanError(msg)
    if clog_per_day <= 0.0:
        return 0.0 if part == 1.0 else math.inf
    return (1.0 / part**2 - 1.0) / clog_per_day


def rotted_share(interval_days: float, rot_per_day: float = ROT_PER_DAY) -> float:
    """Share of trapped waste that turns into nitrate before it is taken out.

    Parameters
    ----------
    interval_days : float
        Days between cleanings. [day]
    rot_per_day : float, optional
        How fast it turns. [1/day]

    Returns
    -------
    float
        0 to 1. [-]

    Examples
    --------
    >>> round(rotted_share(2.0), 2), round(rotted_share(14.0), 2)
    (0.14, 0.58)
    """
    x = rot_per_day * interval_days
    if x < 1e-6:
        return max(x, 0.0) / 2.0
    return 1.0 + math.expm1(-x) / x


@dataclass(frozen=True, slots=True)
class Cleaning:
    """What another cleaning cadence does to the rise of nitrate.

    Parameters
    ----------
    now_share, then_share : float
        Share of the trapped waste that turns, at the present and at the tried
        cadence. [-]
    of_all : float
        Change in nitrate made, as a part of what all the waste would make; above
        zero where the tried cadence makes less. [-]
    rate_mg_l_day : float
        Rise at the tried cadence. [mg/L/day]
    """

    now_share: float
    then_share: float
    of_all: float
    rate_mg_l_day: float


def try_cleaning(
    rate_mg_l_day: float,
    *,
    now_days: float,
    then_days: float,
    trapped: float,
    rot_per_day: float = ROT_PER_DAY,
) -> Cleaning:
    """Compare two cleaning cadences.

    Parameters
    ----------
    rate_mg_l_day : float
        Rise of nitrate at the present cadence, uptake not taken off. [mg/L/day]
    now_days, then_days : float
        Days between cleanings, at present and to try. [day]
    trapped : float
        Part of all waste nitrogen that the filter catches, 0 to 1; 0.1 to 0.2 is
        from memory. [-]
    rot_per_day : float, optional
        How fast trapped waste turns. [1/day]

    Returns
    -------
    Cleaning
        Shares, change and the rise to expect.

    Raises
    ------
    PlanError
        A trapped part outside 0 to 1, or days that are not above zero.

    Notes
    -----
    With ``M`` from `rotted_share` the rise is in proportion to
    ``1 - trapped (1 - M)``.

    Examples
    --------
    >>> tried = try_cleaning(2.0, now_days=14.0, then_days=2.0, trapped=0.15)
    >>> round(tried.of_all, 3), round(tried.rate_mg_l_day, 2)
    (0.067, 1.86)
    """
    if not (0 <= trapped <= 1 and min(now_days, then_days) > 0):
        msg = "A filter catches a part of the waste, and is cleaned every some days."
        raise PlanError(msg)
    now = rotted_share(now_days, rot_per_day)
    then = rotted_share(then_days, rot_per_day)
    made_now, made_then = 1.0 - trapped * (1.0 - now), 1.0 - trapped * (1.0 - then)
    if made_now <= 0.0:
        return Cleaning(now, then, made_now - made_then, rate_mg_l_day)
    rate = rate_mg_l_day * made_then / made_now
    return Cleaning(now, then, made_now - made_then, rate)
