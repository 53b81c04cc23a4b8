"""Reading between the steps of a card by diluting the sample with pure water."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from kit.bands import band, bands
from kit.errors import SumError

__all__ = ["Dilution", "best_dilution", "dilution", "read_diluted"]

PARTS: Final = ((2, 1), (1, 1), (3, 1), (1, 2), (1, 3))
"""Parts of tank water and of pure water that a small cylinder measures well."""

_REACH: Final = 10.0  # a level past the end of the card may lie this many times on
_WORTH: Final = 0.999  # a dilution must leave less than this of the width


@dataclass(frozen=True, slots=True)
class Dilution:
    """A sample diluted with pure water, and what it can tell of a present band.

    Parameters
    ----------
    tank_parts, pure_parts : int
        Parts of tank water and of pure water.
    edges_mg_l : tuple of float
        Levels of the tank, inside the present band, at which the diluted sample
        changes its colour. [mg/L]
    left : float
        Width that is left on average, as a part of the present one on the card's
        scale of ratios. [-]
    """

    tank_parts: int
    pure_parts: int
    edges_mg_l: tuple[float, ...]
    left: float

    @property
    def factor(self) -> float:
        """What to multiply the reading by. [-]."""
        return (self.tank_parts + self.pure_parts) / self.tank_parts

    @property
    def name(self) -> str:
        """Parts in short, such as ``"2 + 1"``."""
        return f"{self.tank_parts} + {self.pure_parts}"


def dilution(
    low_mg_l: float,
    high_mg_l: float | None,
    steps_mg_l: Sequence[float],
    parts: tuple[int, int],
) -> Dilution:
    """Work out what one dilution can tell of a present band.

    Parameters
    ----------
    low_mg_l, high_mg_l : float, float or None
        What the undiluted reading allows; None is open above. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    parts : tuple of int
        Parts of tank water and of pure water.

    Returns
    -------
    Dilution
        With the new edges; none where the card's steps fall on themselves.

    Raises
    ------
    SumError
        Parts that are not above zero, or a band the wrong way round.

    Notes
    -----
    The diluted sample changes colour where ``level / factor`` crosses an edge of the
    card, so at ``edge * factor``. Levels are taken as evenly spread on the scale of
    ratios; past the end of the card up to 10 times on, an assumption.

    Examples
    --------
    >>> two = dilution(28.3, 56.6, [0, 5, 10, 20, 40, 80, 160], (2, 1))
    >>> [round(e) for e in two.edges_mg_l]
    [42]
    """
    tank, pure = parts
    if tank < 1 or pure < 1:
        raise SumError("A dilution needs at least one part of each water.")
    top = low_mg_l * _REACH if high_mg_l is None else high_mg_l
    if not top > low_mg_l:
        raise SumError("The present band must rise.")
    factor = (tank + pure) / tank
    card = [high for _, high in bands(steps_mg_l) if high is not None]
    slack = 1e-6 * top
    edges = [e * factor for e in card if low_mg_l + slack < e * factor < top - slack]
    bottom = low_mg_l if low_mg_l > 0 else min([top / _REACH, *(e / 2 for e in edges)])
    ends = [math.log(e) for e in (bottom, *edges, top)]
    pieces = [b - a for a, b in pairwise(ends)]
    left = sum(p * p for p in pieces) / sum(pieces) ** 2
    return Dilution(tank, pure, tuple(edges), left)


def best_dilution(
    low_mg_l: float, high_mg_l: float | None, steps_mg_l: Sequence[float]
) -> Dilution | None:
    """Choose the dilution that splits a present band best.

    Parameters
    ----------
    low_mg_l, high_mg_l : float, float or None
        What the undiluted reading allows; None is open above. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]

    Returns
    -------
    Dilution or None
        The one of `PARTS` that leaves the least width; of equals the one with the
        fewest parts and the most tank water. None where no dilution helps, as in the
        lowest band of a card.

    Examples
    --------
    >>> card = [0, 5, 10, 20, 40, 80, 160]
    >>> best_dilution(28.3, 56.6, card).name, best_dilution(113, None, card).name
    ('2 + 1', '1 + 3')
    >>> best_dilution(0, 2.5, card) is None
    True
    """
    tried = [dilution(low_mg_l, high_mg_l, steps_mg_l, p) for p in PARTS]
    useful = [d for d in tried if d.edges_mg_l and d.left < _WORTH]
    if not useful:
        return None
    return min(
        useful,
        key=lambda d: (round(d.left, 3), d.tank_parts + d.pure_parts, -d.tank_parts),
    )


def read_diluted(
    present: tuple[float, float | None],
    value_mg_l: float,
    steps_mg_l: Sequence[float],
    parts: tuple[int, int],
) -> tuple[float, float | None] | None:
    """Join a reading of the diluted sample to the undiluted one.

    Parameters
    ----------
    present : tuple of (float, float or None)
        What the undiluted reading allows. [mg/L]
    value_mg_l : float
        Number read on the diluted sample, as printed. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    parts : tuple of int
        Parts of tank water and of pure water.

    Returns
    -------
    tuple of (float, float or None), or None
        What both allow; None where they contradict each other. [mg/L]

    Examples
    --------
    >>> both = read_diluted((28.3, 56.6), 20, [0, 5, 10, 20, 40, 80], (2, 1))
    >>> [round(x) for x in both]
    [28, 42]
    """
    factor = sum(parts) / parts[0]
    low, high = band(value_mg_l, steps_mg_l)
    low = max(low * factor, present[0])
    tops = [t for t in (None if high is None else high * factor, present[1]) if t]
    top = min(tops) if tops else None
    return None if top is not None and top <= low else (low, top)
