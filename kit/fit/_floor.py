"""Refusing a fit whose balance would take a tank below nothing."""

from __future__ import annotations

import numpy as np

from kit.balance import Floats
from kit.fit._bands import KitView
from kit.fit._gates import Refusal

__all__ = ["floor_gate"]

_MOST_DAYS = 0.05
"""Part of the days on which the fitted level may lie below zero. [-]"""


def floor_gate(middle: Floats, kit: KitView) -> Refusal | None:
    """Tell whether a steady rate can be the whole story of a fitted log.

    Parameters
    ----------
    middle : ndarray, shape (m,)
        Middle of the level through the log, not held at zero. [mg/L]
    kit : KitView
        What its readings can tell.

    Returns
    -------
    Refusal or None
        A refusal where the fitted level falls below zero for a good part of the log:
        uptake then ends as the tank is empty, which no steady rate can show.
    """
    # A reading error is no sign of an empty tank.
    if float(np.mean(middle < -kit.floor)) <= _MOST_DAYS:
        return None
    return Refusal(
        "By the readings something takes up nitrate until the tank is empty, so its "
        "rise is not one steady number and none is given. Plants or algae that take "
        "up all there is look like this; so does a kit that no longer shows any. "
        "Check the kit on a standard, and test a few days after an exchange with "
        "water of known nitrate."
    )
