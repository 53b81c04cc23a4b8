"""What one colour of a card allows, and how often a level is read as each colour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from kit.bands import bands
from kit.errors import SumError
from kit.testkit.standards import READER_NOISE

__all__ = ["Colour", "colour_of", "colours", "mean_reading", "reading_chances"]

_BOTH_SIDES = 1.959964


@dataclass(frozen=True, slots=True)
class Colour:
    """One colour of a card.

    Parameters
    ----------
    step_mg_l : float
        Number printed beside it. [mg/L]
    low_mg_l : float
        Level at which it is as near as the colour below. [mg/L]
    high_mg_l : float or None
        Level at which it is as near as the colour above; None at the end of the card.
        [mg/L]
    widest_low_mg_l : float
        Lowest level that this eye still takes for it 1 time in 40. [mg/L]
    widest_high_mg_l : float or None
        Highest such level. [mg/L]
    """

    step_mg_l: float
    low_mg_l: float
    high_mg_l: float | None
    widest_low_mg_l: float
    widest_high_mg_l: float | None


def colours(
    steps_mg_l: Sequence[float], noise: float = READER_NOISE
) -> tuple[Colour, ...]:
    """Give what each colour of a card stands for.

    Use this to see how wide a "40" is.

    Parameters
    ----------
    steps_mg_l : sequence of float
        Numbers printed on the card, rising. [mg/L]
    noise : float, optional
        Spread of one eye on one sample, as a part; 0 is a perfect eye. [-]

    Returns
    -------
    tuple of Colour
        One for each step.

    Raises
    ------
    SumError
        Fewer than two steps, or steps that do not rise.

    Notes
    -----
    Neighbouring steps are split at ``sqrt(a b)``, a first step above 0 from 0 at its
    half. With noise the range is widened by ``exp(1.96 noise)`` either way: outside it
    less than 1 level in 40 is read as this colour on that side.

    Examples
    --------
    >>> forty = colours([0, 5, 10, 20, 40, 80, 160])[4]
    >>> round(forty.low_mg_l), round(forty.high_mg_l)
    (28, 57)
    """
    _checked(steps_mg_l, noise)
    wider = math.exp(_BOTH_SIDES * noise)
    return tuple(
        Colour(step, low, high, low / wider, None if high is None else high * wider)
        for step, (low, high) in zip(steps_mg_l, bands(steps_mg_l), strict=True)
    )


def _checked(steps: Sequence[float], noise: float) -> None:
    rising = all(b > a >= 0 for a, b in pairwise(steps))
    if len(steps) < 2 or not rising:
        raise SumError(
            "A card needs at least two numbers, each larger than the one before."
        )
    if not 0 <= noise < 1:
        raise SumError("The spread of the eye is a part between 0 and 1.")


def colour_of(level_mg_l: float, steps_mg_l: Sequence[float]) -> int:
    """Tell which colour a perfect eye sees.

    Parameters
    ----------
    level_mg_l : float
        Nitrate. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]

    Returns
    -------
    int
        Place of the step, from 0.

    Examples
    --------
    >>> colour_of(33, [0, 5, 10, 20, 40, 80, 160])
    4
    """
    edges = [high for _, high in bands(steps_mg_l)]
    return next(i for i, high in enumerate(edges) if high is None or level_mg_l < high)


def reading_chances(
    level_mg_l: float, steps_mg_l: Sequence[float], noise: float = READER_NOISE
) -> tuple[float, ...]:
    """Give how often a level is read as each colour.

    Parameters
    ----------
    level_mg_l : float
        Nitrate, above 0. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    noise : float, optional
        Spread of one eye on one sample, as a part. [-]

    Returns
    -------
    tuple of float
        Chance of each colour, adding up to 1. [-]

    Notes
    -----
    ``ln seen = ln level + e``, ``e ~ N(0, noise^2)``.

    Examples
    --------
    >>> [round(c, 2) for c in reading_chances(28.3, [0, 5, 10, 20, 40, 80])]
    [0.0, 0.0, 0.0, 0.5, 0.5, 0.0]
    """
    _checked(steps_mg_l, noise)
    if level_mg_l <= 0 or noise == 0:
        seen = colour_of(max(level_mg_l, 0.0), steps_mg_l)
        return tuple(float(i == seen) for i in range(len(steps_mg_l)))
    below = [
        _normal(math.log(high / level_mg_l) / noise)
        for _, high in bands(steps_mg_l)
        if high is not None
    ]
    ends = [0.0, *below, 1.0]
    return tuple(b - a for a, b in pairwise(ends))


def mean_reading(
    level_mg_l: float, steps_mg_l: Sequence[float], noise: float = READER_NOISE
) -> float:
    """Give what the mean of the printed numbers goes to, however many tests.

    Parameters
    ----------
    level_mg_l : float
        Nitrate. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    noise : float, optional
        Spread of one eye on one sample, as a part. [-]

    Returns
    -------
    float
        Not the level, as a rule. [mg/L]

    Examples
    --------
    >>> mean_reading(33, [0, 5, 10, 20, 40, 80], 0.0)
    40.0
    """
    chances = reading_chances(level_mg_l, steps_mg_l, noise)
    return math.fsum(c * s for c, s in zip(chances, steps_mg_l, strict=True))


def _normal(z: float) -> float:
    """Give the normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
