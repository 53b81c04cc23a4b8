"""How good a foretold band or number was, once the reading is there.

A reading off a chart is an interval, and is judged as one: a forecast is not blamed for
what the kit cannot show.
"""

from __future__ import annotations

import numpy as np

__all__ = ["interval_score", "miss", "share_held"]


def interval_score(
    low: float,
    high: float,
    seen_low: float,
    seen_high: float | None = None,
    *,
    level: float,
) -> float:
    """Score a foretold band: its width, and a fine for what fell outside.

    Parameters
    ----------
    low, high : float
        The foretold band.
    seen_low, seen_high : float or None
        What the reading allows; left out for a single number, ``math.inf`` for a
        reading open above.
    level : float
        Chance the band claims to hold, such as 0.95. [-]

    Returns
    -------
    float
        Smaller is better; in the unit of the band.

    Notes
    -----
    ``(u - l) + 2/a (l - x) [x < l] + 2/a (x - u) [x > u]`` with ``a = 1 - level``
    (Gneiting and Raftery 2007, equation 43). For an interval, ``x`` is the point of it
    that lies nearest the band.

    Examples
    --------
    >>> interval_score(10.0, 20.0, 22.0, level=0.9).__round__(6)
    50.0
    """
    top = seen_low if seen_high is None else seen_high
    fine = 2.0 / (1.0 - level)
    below, above = max(low - top, 0.0), max(seen_low - high, 0.0)
    return (high - low) + fine * (below + above)


def miss(number: float, seen_low: float, seen_high: float) -> float:
    """How far a foretold number lies from what the reading allows.

    Parameters
    ----------
    number : float
        As foretold. [mg/L]
    seen_low, seen_high : float
        What the reading allows, ``math.inf`` where open. [mg/L]

    Returns
    -------
    float
        0 inside. [mg/L]

    Examples
    --------
    >>> miss(25.0, 28.0, 57.0), miss(30.0, 28.0, 57.0)
    (3.0, 0.0)
    """
    return max(seen_low - number, number - seen_high, 0.0)


def share_held(below: float, upto: float, level: float) -> float:
    """Part of a reading that lies inside the foretold middle band.

    Parameters
    ----------
    below, upto : float
        Foretold chance of reading less than the lower, and less than the upper end of
        what was read. [-]
    level : float
        Chance the middle band claims to hold, such as 0.8. [-]

    Returns
    -------
    float
        0 to 1; its mean over many readings is ``level`` for a forecast that is right,
        however wide the kit's steps are. [-]

    Notes
    -----
    The uniform version of the probability integral transform for steps (Czado,
    Gneiting and Held 2009, Biometrics 65:1254): the reading's chance is spread evenly
    over ``below`` to ``upto``.

    Examples
    --------
    >>> share_held(0.85, 0.95, 0.8).__round__(6)
    0.5
    """
    tail = (1.0 - level) / 2.0
    width = upto - below
    if width <= 0.0:
        return float(tail <= below <= 1.0 - tail)
    inside = min(upto, 1.0 - tail) - max(below, tail)
    return float(np.clip(inside / width, 0.0, 1.0))
