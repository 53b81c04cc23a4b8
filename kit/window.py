"""How much of time and level a picture or a slider takes in.

All of it follows from the tank and none from the habit tried: two habits can only be
compared while the picture stays as it is.
"""

from __future__ import annotations

import math
from typing import Final

from kit.sawtooth import Habit, long_run
from kit.subject import Seen

__all__ = ["days_ahead", "drip_range", "picture_top"]

BEYOND: Final = 2.0
"""A look further ahead than this many times the log's length is called far."""

_TOPS: Final = (
    5,
    10,
    15,
    20,
    30,
    40,
    50,
    60,
    80,
    100,
    150,
    200,
    300,
    400,
    500,
    750,
    1000,
)


def days_ahead(seen: Seen | None) -> float:
    """Choose how far to look ahead: 26 usual exchanges, less after a short log.

    Parameters
    ----------
    seen : Seen or None
        What the log has seen.

    Returns
    -------
    float
        From 8 weeks to 26, and no more than twice the log's length. [day]
    """
    if seen is None:
        return 182.0
    wanted = min(26.0 * seen.interval_days[1], BEYOND * seen.length_days)
    return min(max(wanted, 56.0), 182.0)


def picture_top(
    rate_mg_l_day: float,
    source_mg_l: float,
    *,
    usual: Habit | None = None,
    start_mg_l: float = 0.0,
    ceiling_mg_l: float | None = None,
) -> float:
    """Choose the top of a picture from the tank alone.

    Parameters
    ----------
    rate_mg_l_day, source_mg_l : float
        Net rate [mg/L/day] and nitrate of the new water [mg/L], as NO3.
    usual : Habit, optional
        What the log shows; without it a month's rise is taken in.
    start_mg_l : float, optional
        Level now, as NO3. [mg/L]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]

    Returns
    -------
    float
        A round number with room above. [mg/L]

    Examples
    --------
    >>> picture_top(1.0, 10.0)
    50.0
    """
    wanted = 1.25 * (source_mg_l + 30.0 * max(rate_mg_l_day, 0.0))
    if usual is not None:
        peak = long_run(usual, rate_mg_l_day).peak_mg_l
        # Twice the usual peak: half the water, or half as often, still fits.
        wanted = 2.0 * peak if math.isfinite(peak) else wanted
    wanted = max(wanted, 1.2 * start_mg_l, 1.4 * (ceiling_mg_l or 0.0))
    return float(next((top for top in _TOPS if top >= wanted), _TOPS[-1]))


def drip_range(volume: float) -> float:
    """Choose the end of a drip slider: about an eighth of the tank a day.

    Parameters
    ----------
    volume : float
        Water volume, in any unit.

    Returns
    -------
    float
        A round number, in the same unit a day.

    Examples
    --------
    >>> drip_range(342.0)
    50.0
    """
    return float(next((t for t in (1, 2, 5, *_TOPS) if t >= volume / 8.0), _TOPS[-1]))
