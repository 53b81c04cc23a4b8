"""The level of the next weeks, with what is not known of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.ahead._paths import course, follow
from kit.balance import carry
from kit.draws import Draws
from kit.sawtooth import Habit
from kit.steps import Floats

__all__ = ["Trace", "forecast"]

_DRAWS = 400
"""Draws a picture under sliders is made from; more change it by less than a line."""


@dataclass(frozen=True, slots=True)
class Trace:
    """A level through time with its bands, for a picture.

    Parameters
    ----------
    days : ndarray, shape (m,)
        Days from now; a day stands twice at an exchange. [day]
    level, low, high : ndarray, shape (m,)
        Level and 95 % band, as NO3. [mg/L]
    low_80, high_80 : ndarray, shape (m,), optional
        80 % band, as NO3; None where it was not asked for. [mg/L]
    """

    days: Floats
    level: Floats
    low: Floats
    high: Floats
    low_80: Floats | None = None
    high_80: Floats | None = None


def forecast(
    habit: Habit,
    start_mg_l: float,
    rate_mg_l_day: float,
    *,
    days: float,
    draws: Draws | None = None,
    per_cycle: int = 1,
    first_days: float | None = None,
    meant_mg_l: float | None = None,
    most: int = _DRAWS,
) -> Trace:
    """Level from now on under a habit, before and after each exchange.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source; its source is the middle one.
    start_mg_l, rate_mg_l_day : float
        Level now [mg/L] and net rate [mg/L/day], as NO3.
    days : float
        How far ahead. [day]
    draws : Draws, optional
        Equally likely tanks; without them the bands have no width.
    per_cycle : int, optional
        Points between exchanges; 1 suffices where the line is straight.
    first_days : float, optional
        Days until the first exchange; a full interval when left out. [day]
    meant_mg_l : float, optional
        What the log says of the new water, as NO3; the middle of the draws when left
        out. [mg/L]
    most : int, optional
        Draws to use at most.

    Returns
    -------
    Trace
        Level with its bands: of the true level, at each moment by itself.

    Notes
    -----
    The bands hold what is not known of rate, present level and source, the tank's own
    day-to-day noise, and that no exchange is exactly of its size; later exchanges
    dilute both (`kit.ahead._paths`).

    Examples
    --------
    >>> week = forecast(Habit(100.0, 0.5, 7.0), 10.0, 1.0, days=7.0)
    >>> week.level.tolist()
    [10.0, 17.0, 8.5]
    """
    way = course(habit, days, per_cycle=per_cycle, first_days=first_days)
    level = carry(way.chain, start_mg_l=start_mg_l, base_mg_l_day=rate_mg_l_day)
    if draws is None or not len(draws):
        return Trace(way.days, level, level, level, level, level)
    levels = follow(way.chain, draws.pick(slice(most)), meant_mg_l=meant_mg_l)
    low, low_80, high_80, high = np.quantile(levels, [0.025, 0.1, 0.9, 0.975], axis=1)
    return Trace(way.days, level, low, high, low_80, high_80)
