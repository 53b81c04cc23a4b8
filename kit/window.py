"""How much of time and level a picture or a slider takes in.

All of it follows from the tank and none from the habit tried: two habits can only be
compared while the picture stays as it is.
"""

from __future__ import annotations

from typing import Final

from kit.subject import Seen

__all__ = ["days_ahead", "drip_range", "picture_top"]

BEYOND: Final = 2.0
"""A look further ahead than this many times the log's length is called far."""

_TOPS: Final = (10, 15, 20, 30, 40, 50, 60, 80, 100, 150, 200, 300, 400, 500, 750, 1000)


def days_ahead(seen: Seen | None) -> float:
    """Choose how far to look ahead: half a year, less after a short log.

    Parameters
    ----------
    seen : Seen or None
        What the log has seen.

    Returns
    -------
    float
        Twice the log's length, from 8 weeks to 26. [day]
    """
    length = 91.0 if seen is None else seen.length_days
    return min(max(BEYOND * length, 56.0), 182.0)


def picture_top(
    rate_mg_l_day: float,
    source_mg_l: float,
    *,
    start_mg_l: float = 0.0,
    ceiling_mg_l: float | None = None,
) -> float:
    """Choose the top of a picture from the tank alone, never from the habit.

    Two habits can only be compared while the picture keeps its height, so percent,
    interval and drip have no say in it.

    Parameters
    ----------
    rate_mg_l_day, source_mg_l : float
        Net rate [mg/L/day] and nitrate of the new water [mg/L], as NO3.
    start_mg_l : float, optional
        Level now, as NO3. [mg/L]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]

    Returns
    -------
    float
        A round number holding a month's rise with room above. [mg/L]

    Examples
    --------
    >>> picture_top(1.0, 10.0)
    50.0
    """
    wanted = max(
        1.25 * (source_mg_l + 30.0 * max(rate_mg_l_day, 0.0)),
        1.2 * start_mg_l,
        1.4 * (ceiling_mg_l or 0.0),
    )
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
