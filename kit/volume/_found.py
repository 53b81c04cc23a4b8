"""A volume found one way, with its error, and how errors are carried through."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from kit.errors import SumError

__all__ = ["WAYS", "Found", "found_by", "positive"]

WAYS: Final = (
    "geometry",
    "counted fill",
    "tracer",
    "level fall",
    "salinity",
    "nitrate",
    "measured",
)
"""Ways that can stand in a mean; a maker's label is none."""

_STEP: Final = 1e-5  # part of an error by which each number is moved


@dataclass(frozen=True, slots=True)
class Found:
    """A volume found one way.

    Parameters
    ----------
    how : str
        One of `WAYS`.
    litres : float
        Water volume. [L]
    sd_l : float
        Its standard error. [L]
    said : tuple of str
        What to keep in mind with this way and these numbers.
    """

    how: str
    litres: float
    sd_l: float
    said: tuple[str, ...] = ()

    @property
    def error_percent(self) -> float:
        """Standard error as a part of the volume. [%]."""
        return 100.0 * self.sd_l / self.litres


def positive(**numbers: float) -> None:
    """Refuse numbers that are not above zero.

    Parameters
    ----------
    **numbers : float
        By the words that name them, spaces written as underlines.

    Raises
    ------
    SumError
        One is zero, below, or no number.
    """
    for name, value in numbers.items():
        if not (math.isfinite(value) and value > 0):
            raise SumError(f"The {name.replace('_', ' ')} must be a number above 0.")


def found_by(
    how: str,
    formula: Callable[..., float],
    numbers: Sequence[tuple[float, float]],
    *,
    unseen: float = 0.0,
    said: Sequence[str] = (),
) -> Found:
    """Work a formula out and carry the errors of its numbers through.

    Parameters
    ----------
    how : str
        Name of the way.
    formula : callable
        Takes the numbers, gives litres.
    numbers : sequence of (float, float)
        Each number with its standard error.
    unseen : float, optional
        Error of the way itself, as a part of the litres. [-]
    said : sequence of str, optional
        What to keep in mind.

    Returns
    -------
    Found
        Litres and standard error.

    Raises
    ------
    SumError
        No water is left.

    Notes
    -----
    ``sd^2 = sum (dV/dx sd_x)^2 + (unseen V)^2``: the errors are small and apart from
    each other (the law of propagation of uncertainty). Slopes are central differences.
    """
    values = [value for value, _ in numbers]
    litres = formula(*values)
    if not (math.isfinite(litres) and litres > 0):
        raise SumError("No water is left by these numbers; look them over.")
    square = (unseen * litres) ** 2
    for place, (value, sd) in enumerate(numbers):
        if sd > 0:
            step = _STEP * sd
            up, down = list(values), list(values)
            up[place], down[place] = value + step, value - step
            square += ((formula(*up) - formula(*down)) / (2 * _STEP)) ** 2
    return Found(how, litres, math.sqrt(square), tuple(said))
