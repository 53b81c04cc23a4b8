"""Numbers of the options of ``plan``, read strictly and within sense."""

from __future__ import annotations

import argparse
import math
from typing import Final

from kit.errors import KitError

__all__ = ["RANGES", "level_range", "number_of"]

_MOST = 1e6
RANGES: Final = {
    "percent": (0.0, 100.0),
    "every": (0.01, 3650.0),
    "target": (0.0, _MOST),
    "nitrate-step": (0.0, _MOST),
    "percent-a-day": (0.0, 100.0),
    "start-in": (0.0, 365.0),
    "ammonia": (0.0, 100.0),
    "tank-ph": (3.0, 11.0),
    "new-ph": (3.0, 11.0),
    "tank-dkh": (0.0, 100.0),
    "new-dkh": (0.0, 100.0),
    "add-feed": (-_MOST, _MOST),
    "away": (0.01, 365.0),
    "feed-away": (0.0, _MOST),
    "leave-in": (0.0, 365.0),
    "feeder": (0.0, _MOST),
    "evaporation": (0.0, _MOST),
    "area": (1.0, _MOST),
    "salinity": (0.0, 100.0),
    "chance": (0.01, 0.99),
    "max-percent": (1.0, 100.0),
}
"""Least and most of each option."""


def number_of(asked: argparse.Namespace, option: str) -> float | None:
    """Read a number of an option, strictly; None where it was not named."""
    text = getattr(asked, option.replace("-", "_"))
    if text is None:
        return None
    low, high = RANGES[option]
    try:
        value = float(str(text).strip().removesuffix("%"))
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        most = "" if high == _MOST else f" and {high:g}"
        least = f"not below {low:g}" if high == _MOST else f"between {low:g}{most}"
        msg = f"--{option} {str(text)!r} is no number {least}."
        raise KitError(msg)
    return value


def level_range(text: str) -> tuple[float, float]:
    """Read a level or a range of levels. [mg/L]."""
    ends = [part.strip() for part in text.split("-")]
    try:
        values = sorted(float(part) for part in ends)
    except ValueError:
        values = []
    if len(values) not in (1, 2) or not all(0.0 <= v <= _MOST for v in values):
        msg = f'--level {text!r} is neither a number nor a range such as "200-240".'
        raise KitError(msg)
    return values[0], values[-1]
