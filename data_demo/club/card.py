"""What a keeper's kit makes of a concentration: steps on a card, or a meter."""

from __future__ import annotations

import math
from itertools import pairwise

__all__ = ["CHARTS", "LOTS", "READERS", "as_nitrogen", "nearest_step", "splits"]

CHARTS: dict[str, tuple[float, ...]] = {
    "doubling": (0, 5, 10, 20, 40, 80, 160),
    "mixed": (0, 2, 5, 10, 25, 50, 100),
    "strip": (0, 10, 25, 50, 100, 250),
    "low range": (0, 0.5, 1, 2, 5, 10, 25, 50),
}

#: Three people read the cards; each sees colours a little differently. Invented.
READERS: dict[str, float] = {"A": 0.90, "B": 1.00, "C": 1.15}

#: Two kits for each kind; the second mixed one reads low. Invented.
LOTS: dict[str, tuple[float, float]] = {
    "doubling": (1.0, 1.0),
    "mixed": (1.0, 0.85),
    "strip": (1.0, 1.0),
    "low range": (1.0, 1.0),
    "meter": (1.0, 1.0),
}

_N_ATOM, _O_ATOM = 14.007, 15.999


def as_nitrogen(nitrate_mg_l: float) -> float:
    """Give nitrate [mg/L as NO3] as nitrogen [mg/L as N], from the atom weights."""
    return nitrate_mg_l * _N_ATOM / (_N_ATOM + 3 * _O_ATOM)


def splits(steps: tuple[float, ...]) -> list[float]:
    """Give the levels at which the eye changes from one step to the next.

    The middle of two colours of a card lies at their geometric mean; beside 0 there
    is none, so half of the first step is taken.
    """
    inner = [math.sqrt(a * b) for a, b in pairwise(steps[1:])]
    return [steps[1] / 2, *inner]


def nearest_step(steps: tuple[float, ...], seen_mg_l: float) -> float:
    """Give the step of the card nearest to what the eye sees. [mg/L]."""
    return steps[sum(seen_mg_l > s for s in splits(steps))]
