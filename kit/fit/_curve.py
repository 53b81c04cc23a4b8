"""The fitted level through time, and where it stands after the last record."""

from __future__ import annotations

import numpy as np

from kit.balance import Floats, after_last, link
from kit.fit._estimate import Fitted
from kit.fit._ledger import Ledger
from kit.fit._memory import memory_of
from kit.fit._result import Curve
from kit.fit._stray import Strayed
from kit.fit._weave import grid, weave

__all__ = ["curve_of", "levels_through"]


def levels_through(ledger: Ledger, fitted: Fitted) -> tuple[Floats, Floats]:
    """Levels of each draw through the log, not held at zero.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.

    Returns
    -------
    ndarray, shape (m,)
        Days since day zero, each day and round each exchange. [day]
    ndarray, shape (d, m)
        Levels. [mg/L]
    """
    asked = grid(ledger)
    x, known = fitted.columns.ahead(ledger, asked)
    values = fitted.draws.values[:, : x.shape[1]] @ x.T + known
    return np.array([e.at for e in asked]), np.asarray(values)


def curve_of(
    ledger: Ledger, fitted: Fitted, through: tuple[Floats, Floats], stray: Strayed
) -> tuple[Curve, Floats]:
    """Fitted level through time with its band, and draws of the last level.

    Parameters
    ----------
    ledger : Ledger
        The ledger fitted.
    fitted : Fitted
        Its draws.
    through : tuple of ndarray
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
    days, values = through[0], np.maximum(through[1], 0.0)
    low, middle, high = np.quantile(values, [0.025, 0.5, 0.975], axis=0)
    last = np.maximum(values[:, -1] + _astray(ledger, fitted, stray), 0.0)
    return Curve(ledger.day0, days, middle, low, high), last


def _astray(ledger: Ledger, fitted: Fitted, stray: Strayed) -> Floats:
    """Draws of the tank's deviation from its balance after the last record. [mg/L]."""
    rng = np.random.default_rng(12)
    draws = fitted.draws.values
    steps = weave(ledger)
    kept, wander = after_last(link(steps))
    _, memory = memory_of(steps)
    tank, slow = np.exp(draws[:, -2:]).T
    variance = tank**2 * wander + fitted.columns.last_jolt + slow**2 * memory.level[0]
    fresh = np.sqrt(variance) * rng.standard_normal(len(draws))
    return np.asarray(kept * stray.level + memory.gained[0] * stray.rate + fresh)
