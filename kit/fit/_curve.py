"""The fitted level through time, and where it stands after the last record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Floats, after_last
from kit.fit._estimate import Fitted, band_ends
from kit.fit._ledger import Ledger
from kit.fit._result import Curve
from kit.fit._stray import Strayed
from kit.fit._weave import grid, laid

__all__ = ["Through", "curve_of", "levels_through", "mean_level"]


@dataclass(frozen=True, slots=True)
class Through:
    """Levels through a log by a fit, not held at zero.

    Parameters
    ----------
    days : ndarray, shape (m,)
        Days since day zero, each day and round each exchange. [day]
    low, middle, high : ndarray, shape (m,)
        Middle and 95 % band of the level there. [mg/L]
    last : ndarray, shape (d,)
        Level of each draw after the last record. [mg/L]
    """

    days: Floats
    low: Floats
    middle: Floats
    high: Floats
    last: Floats


def levels_through(ledger: Ledger, fitted: Fitted) -> Through:
    """Levels through the log.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.

    Returns
    -------
    Through
        The balance's levels, without what the tank strayed from it.
    """
    days, values = _levels(ledger, fitted)
    last = values[-1].copy()
    low, middle, high = band_ends(values)
    return Through(days, low, middle, high, last)


def mean_level(ledger: Ledger, fitted: Fitted) -> Floats:
    """Level of each draw on the mean from the first test to the last, gaps left out.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.

    Returns
    -------
    ndarray, shape (d,)
        [mg/L]
    """
    days, values = _levels(ledger, fitted)
    middle = (days[1:] + days[:-1]) / 2.0
    counts = middle < ledger.days[-1]
    for first, after in ledger.gaps:
        counts &= (middle < first) | (middle > after)
    weight = np.diff(days) * counts
    level = np.maximum(values, 0.0)
    return np.asarray(weight @ (level[1:] + level[:-1]) / (2.0 * weight.sum()))


def _levels(ledger: Ledger, fitted: Fitted) -> tuple[Floats, Floats]:
    """Days, shape (m,), and the level of each draw there, shape (m, d)."""
    asked = grid(ledger)
    x, known = fitted.columns.ahead(ledger, asked)
    values = x @ fitted.draws.values[:, : x.shape[1]].T
    values += known[:, None]
    return np.array([e.at for e in asked]), values


def curve_of(
    ledger: Ledger, fitted: Fitted, through: Through, stray: Strayed
) -> tuple[Curve, Floats]:
    """Fitted level through time with its band, and draws of the last level.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.
    through : Through
        From `levels_through`.
    stray : Strayed
        How far the tank of each draw strayed from its balance.

    Returns
    -------
    Curve
        Each day and round each exchange.
    ndarray, shape (d,)
        Level after the last record, one for each draw: the balance's, and how far the
        tank has strayed from it. [mg/L]
    """
    low, middle, high = (
        np.maximum(level, 0.0) for level in (through.low, through.middle, through.high)
    )
    for first, after in ledger.gaps:
        unknown = (through.days > first) & (through.days < after)
        low[unknown] = middle[unknown] = high[unknown] = np.nan
    # The balance may dip below zero, a tank cannot.
    start = np.maximum(through.last, 0.0)
    last = np.maximum(start + _astray(ledger, fitted, stray), 0.0)
    return Curve(ledger.day0, through.days, middle, low, high), last


def _astray(ledger: Ledger, fitted: Fitted, stray: Strayed) -> Floats:
    """Draws of the tank's deviation from its balance after the last record. [mg/L]."""
    rng = np.random.default_rng(12)
    draws = fitted.draws.values
    kept, wander = after_last(laid(ledger).chain)
    _, memory = laid(ledger).memory
    tank, slow = np.exp(draws[:, -2:]).T
    variance = tank**2 * wander + fitted.columns.last_jolt + slow**2 * memory.level[0]
    fresh = np.sqrt(variance) * rng.standard_normal(len(draws))
    return np.asarray(kept * stray.level + memory.gained[0] * stray.rate + fresh)
