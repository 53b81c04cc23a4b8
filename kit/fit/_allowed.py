"""What the bands alone allow, when no reading error is needed to explain them."""

from __future__ import annotations

import numpy as np
from scipy.optimize import linprog

from kit.balance import Floats
from kit.fit._readings import Readings

__all__ = ["allowed_range", "runs_off"]

_UNSEEN = 1e-6


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
    rows: list[Floats] = []
    limits: list[float] = []
    for sign, ends in ((1.0, readings.high), (-1.0, readings.low)):
        finite = np.isfinite(ends)
        rows.append(sign * x[finite])
        limits.extend(sign * (ends - known)[finite])
    bounds = [
        (0.0, None) if (x[:, j] >= 0).all() and _is_start(x[:, j]) else (None, None)
        for j in range(x.shape[1])
    ]
    found = []
    for sign in (1.0, -1.0):
        cost = np.zeros(x.shape[1])
        cost[column] = sign
        result = linprog(
            cost, A_ub=np.vstack(rows), b_ub=np.array(limits), bounds=bounds
        )
        if result.status == 2:
            return None
        found.append(sign * result.fun if result.status == 0 else -sign * np.inf)
    return float(found[0]), float(found[1])


def _is_start(column: Floats) -> bool:
    """A starting level has weight 1 at its own first reading and never more."""
    return bool(np.isclose(column.max(), 1.0) and (column <= 1.0 + 1e-9).all())


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
    rows = np.vstack([x[np.isfinite(readings.high)], -x[np.isfinite(readings.low)]])
    rows = rows / np.where(size > 0, size, 1.0)
    bounds = [(0, 1)] * column + [(-1, 1)] * (rows.shape[1] - column)
    for sign in (1.0, -1.0):
        cost = np.zeros(rows.shape[1])
        cost[column] = -sign
        found = linprog(cost, A_ub=rows, b_ub=np.zeros(len(rows)), bounds=bounds)
        if found.status == 0 and -found.fun > _UNSEEN:
            return True
    return False
