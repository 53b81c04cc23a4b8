"""Colour charts by their printed steps; never by a maker's name."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Final

__all__ = ["CHARTS", "rising_steps"]

CHARTS: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType(
    {
        "doubling": (0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0),
        "mixed": (0.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0),
        "strip": (0.0, 10.0, 25.0, 50.0, 100.0, 250.0),
        "low range": (0.0, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0, 50.0),
    }
)
"""Four common kinds of colour chart; common practice, no source. [mg/L]"""

_HIGHEST_STEP: Final = 1000.0


def rising_steps(values: Sequence[Any]) -> tuple[float, ...] | None:
    """Take the steps of a colour chart if they can be one.

    Parameters
    ----------
    values : sequence
        What was written, smallest first. [mg/L]

    Returns
    -------
    tuple of float or None
        At least two numbers, none below zero, each larger than the one before;
        None when they are not. [mg/L]

    Examples
    --------
    >>> rising_steps([0, 5, 10])
    (0.0, 5.0, 10.0)
    >>> rising_steps([0, 10, 5]) is None
    True
    """
    numbers = [
        float(v)
        for v in values
        if isinstance(v, int | float) and not isinstance(v, bool) and abs(v) < 1e9
    ]
    if len(numbers) != len(values) or len(numbers) < 2:
        return None
    if not all(math.isfinite(s) and 0 <= s <= _HIGHEST_STEP for s in numbers):
        return None
    rising = all(a < b for a, b in pairwise(numbers))
    return tuple(numbers) if rising else None
