"""Numbers one at a time or many at once."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from kit.errors import PlanError
from kit.steps import Floats

__all__ = ["MONTH_DAYS", "Floats", "N", "check_volume", "fraction_checked"]

N = TypeVar("N", float, Floats)
"""A float, or an array of them; the others may then be floats or like arrays."""

MONTH_DAYS = 30.4375
"""A mean month, a twelfth of 365.25. [day]"""


def fraction_checked(fraction: N) -> N:
    """Give a fraction back, or refuse one that no exchange can have.

    Raises
    ------
    PlanError
        Below 0 or above 1, or not a number.
    """
    if not np.all((np.asarray(fraction) >= 0.0) & (np.asarray(fraction) <= 1.0)):
        msg = "An exchange lies between 0 and 100 percent of the water."
        raise PlanError(msg)
    return fraction


def check_volume(volume_l: float | Floats) -> None:
    """Refuse a volume that no tank has [L].

    Raises
    ------
    PlanError
        Not above 0.
    """
    if not np.all(np.asarray(volume_l) > 0.0):
        msg = "The water volume must be more than 0 L."
        raise PlanError(msg)
