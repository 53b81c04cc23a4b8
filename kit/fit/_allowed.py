"""What the bands alone allow, when no reading error is needed to explain them."""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from kit.balance import Floats
from kit.fit._readings import Readings

__all__ = ["allowed_range", "runs_off"]

_UNSEEN = 1e-6
_FULL_RANK = 1e-4
"""Smallest singular value, of columns with a largest entry of 1, that surely counts."""


def allowed_range(readings: Readings, column: int) -> tuple[float, float] | None:
    """Range of one coefficient for which every reading can sit inside its band.

    Inside this range the likelihood of the bands has no finite maximum: it rises to 1
    as the reading error goes to nothing, so a standard error means nothing there.

    Parameters
    ----------
    readings : Readings
        Bands and design.
    column : int
        Which coefficient.

    Returns
    -------
    tuple of float or None
        Lowest and highest value (``inf`` where the bands set no limit); None when no
        values at all put every reading in its band.
    """
    x, known = readings.exog, readings.known
    inside = LinearConstraint(x, readings.low - known, readings.high - known)
    starts = [(column >= 0).all() and _is_start(column) for column in x.T]
    bounds = Bounds(np.where(starts, 0.0, -np.inf), np.inf)
    found = []
    for sign in (1.0, -1.0):
        cost = np.zeros(x.shape[1])
        cost[column] = sign
        # Without whole numbers among the unknowns this is a plain linear programme.
        result = milp(cost, constraints=inside, bounds=bounds)
        if result.status == 2:
            return None
        found.append(sign * result.fun if result.status == 0 else -sign * np.inf)
    return float(found[0]), float(found[1])


def _is_start(column: Floats) -> bool:
    """A starting level has weight 1 at its own first reading and never more."""
    return bool(np.isclose(column.max(), 1.0) and (column <= 1.0 + 1e-9).all())


def _settled(rows: Floats) -> bool:
    """Whether readings bounded on both sides alone leave no direction open."""
    if rows.shape[0] < rows.shape[1]:
        return False
    return bool(np.linalg.svd(rows, compute_uv=False)[-1] > _FULL_RANK)


def runs_off(readings: Readings, column: int) -> bool:
    """Tell whether one coefficient can grow without end and break no band.

    With bands open on one side, such as readings off the top of a chart, the
    likelihood can stay up however large the coefficient gets; no band can then be
    given for it, whatever the reading error.

    Parameters
    ----------
    readings : Readings
        Bands and design; the columns before ``column`` are starting levels, which
        cannot be below zero.
    column : int
        Which coefficient.

    Returns
    -------
    bool
        True when a direction leads off to infinity.
    """
    x = readings.exog
    size = np.abs(x).max(axis=0)
    if size[column] < _UNSEEN:
        return True
    x = x / np.where(size > 0, size, 1.0)
    above, below = np.isfinite(readings.high), np.isfinite(readings.low)
    if _settled(x[above & below]):
        return False
    rows = np.vstack([x[above], -x[below]])
    bounds = [(0, 1)] * column + [(-1, 1)] * (rows.shape[1] - column)
    for sign in (1.0, -1.0):
        cost = np.zeros(rows.shape[1])
        cost[column] = -sign
        found = linprog(cost, A_ub=rows, b_ub=np.zeros(len(rows)), bounds=bounds)
        if found.status == 0 and -found.fun > _UNSEEN:
            return True
    return False
