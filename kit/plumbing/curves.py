"""Curves for pictures of hoses and prefilters: points worked out, nothing drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kit.plumbing.friction import Pipe
from kit.plumbing.prefilter import clogged_flow, rotted_share
from kit.plumbing.siphon import hose_minutes_falling

__all__ = ["Curve", "clog_curve", "hose_curve", "rot_curve"]

_POINTS = 40


@dataclass(frozen=True, slots=True)
class Curve:
    """Points of one line.

    Parameters
    ----------
    x, y : tuple of float
        As many of the one as of the other, in the units their maker says.
    """

    x: tuple[float, ...]
    y: tuple[float, ...]


def _curve(rule: Callable[[float], float], most: float) -> Curve:
    """Work a rule out at even steps from nothing to the most."""
    x = tuple(most * i / _POINTS for i in range(_POINTS + 1))
    return Curve(x, tuple(rule(value) for value in x))


def clog_curve(clog_per_day: float, days: float) -> Curve:
    """Flow of a prefilter from one cleaning on.

    Parameters
    ----------
    clog_per_day : float
        How fast it clogs. [1/day]
    days : float
        How far to look. [day]

    Returns
    -------
    Curve
        Days [day] and flow [% of that when clean].

    Examples
    --------
    >>> clog_curve(0.6, 5.0).y[-1]
    50.0
    """
    return _curve(lambda day: clogged_flow(100.0, clog_per_day, day), days)


def rot_curve(rot_per_day: float, days: float) -> Curve:
    """Share of trapped waste that turns, by the days between cleanings.

    Parameters
    ----------
    rot_per_day : float
        How fast it turns. [1/day]
    days : float
        How far to look. [day]

    Returns
    -------
    Curve
        Days [day] and share [%].

    Examples
    --------
    >>> round(rot_curve(0.15, 14.0).y[-1], 1)
    58.2
    """
    return _curve(lambda day: 100.0 * rotted_share(day, rot_per_day), days)


def hose_curve(hose: Pipe, area_m2: float, head_m: float, litres: float) -> Curve:
    """Water that a hose has moved, by time, as the level falls.

    Parameters
    ----------
    hose : Pipe
        The hose.
    area_m2 : float
        Water surface. [m2]
    head_m : float
        From the waterline down to the end of the hose, at first. [m]
    litres : float
        Water to move. [L]

    Returns
    -------
    Curve
        Minutes [min] and part moved [%]; the time is ``math.inf`` where the level
        would fall to the end of the hose.

    Examples
    --------
    >>> round(hose_curve(Pipe(16.0, 5.0), 0.6, 1.0, 75.0).x[-1], 1)
    4.4
    """
    fall = litres / 1000.0 / area_m2 / _POINTS
    minutes = [0.0]
    for i in range(_POINTS):
        top, low = head_m - i * fall, head_m - (i + 1) * fall
        minutes.append(minutes[-1] + hose_minutes_falling(hose, area_m2, top, low))
    return Curve(tuple(minutes), tuple(100.0 * i / _POINTS for i in range(_POINTS + 1)))
