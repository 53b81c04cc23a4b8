"""The true values that a colour chart or a meter shows as one number."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

__all__ = ["band", "bands"]


def bands(steps_mg_l: Sequence[float]) -> tuple[tuple[float, float | None], ...]:
    """Give the band of true values that each chart step stands for.

    Parameters
    ----------
    steps_mg_l : sequence of float
        Steps printed on the chart, rising. [mg/L]

    Returns
    -------
    tuple of (float, float or None)
        Lower and upper edge for each step; None is open above. [mg/L]

    Notes
    -----
    Neighbouring steps are split at their geometric midpoint, and a step of 0 from
    the next one at half of it. Below a lowest step above 0 nothing is known but 0.

    Examples
    --------
    >>> [(round(a, 1), b and round(b, 1)) for a, b in bands([0, 5, 10, 20])]
    [(0.0, 2.5), (2.5, 7.1), (7.1, 14.1), (14.1, None)]
    """
    edges = [
        math.sqrt(a * b) if a > 0 else b / 2 for a, b in itertools.pairwise(steps_mg_l)
    ]
    return tuple(zip([0.0, *edges], [*edges, None], strict=True))


def _between(value: float, steps: Sequence[float]) -> tuple[float, float | None]:
    """Give the two steps around a value that is no step itself."""
    below = [s for s in steps if s < value]
    above = [s for s in steps if s > value]
    return (below[-1] if below else 0.0, above[0] if above else None)


def band(
    value_mg_l: float,
    steps_mg_l: Sequence[float] | None = None,
    resolution_mg_l: float | None = None,
) -> tuple[float, float | None]:
    """Give the true values that a kit shows as one number.

    Parameters
    ----------
    value_mg_l : float
        Number read. [mg/L]
    steps_mg_l : sequence of float or None
        Steps of a chart. [mg/L]
    resolution_mg_l : float or None
        Smallest difference a meter shows. [mg/L]

    Returns
    -------
    tuple of (float, float or None)
        Lower and upper end; None is open above. Without a kit the number itself
        twice. A number between two steps gives those two steps. [mg/L]

    Examples
    --------
    >>> band(7, [0, 5, 10, 20])
    (5, 10)
    >>> band(7, resolution_mg_l=1)
    (6.5, 7.5)
    """
    if steps_mg_l:
        for step, edges in zip(steps_mg_l, bands(steps_mg_l), strict=True):
            if math.isclose(step, value_mg_l, rel_tol=1e-6, abs_tol=1e-9):
                return edges
        return _between(value_mg_l, steps_mg_l)
    if resolution_mg_l:
        half = resolution_mg_l / 2
        return max(0.0, value_mg_l - half), value_mg_l + half
    return value_mg_l, value_mg_l
