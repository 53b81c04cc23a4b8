"""Volume by nitrate before and after an exchange: possible, and usually poor."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from kit.bands import band
from kit.errors import SumError
from kit.volume._dilution import apart
from kit.volume._found import Found, found_by, positive

__all__ = ["POOR", "nitrate_exchange"]

POOR: Final = (
    "Nitrate before and after an exchange is a poor way to a volume: the error of both "
    "readings falls on their difference. Litres and a tape tell more."
)


def nitrate_exchange(
    exchanged_l: float,
    before_mg_l: float,
    after_mg_l: float,
    new_mg_l: float,
    *,
    steps_mg_l: Sequence[float] | None = None,
    reading_part: float = 0.12,
    exchanged_part: float = 0.03,
    new_sd_mg_l: float = 1.0,
) -> Found:
    """Find the volume from nitrate before and after a known exchange.

    Use this only where nothing else is at hand.

    Parameters
    ----------
    exchanged_l : float
        Old water out, new water in. [L]
    before_mg_l, after_mg_l : float
        Nitrate of the tank before and after, well mixed. [mg/L]
    new_mg_l : float
        Nitrate of the new water. [mg/L]
    steps_mg_l : sequence of float, optional
        Steps of the colour card, when it was read from one. [mg/L]
    reading_part : float, optional
        Standard error of one reading, as a part. [-]
    exchanged_part : float, optional
        Standard error of the litres, as a part. [-]
    new_sd_mg_l : float, optional
        Standard error of the new water's nitrate. [mg/L]

    Returns
    -------
    Found
        Litres and standard error, with a warning.

    Raises
    ------
    SumError
        The two readings could as well be the same, or the new water is not lower.

    Notes
    -----
    ``V = D (c_b - c_s) / (c_b - c_a)``. A card reading counts as the middle of its
    band, with the spread of a number that lies anywhere in it.

    Examples
    --------
    >>> round(nitrate_exchange(50, 40, 30, 0, reading_part=0.02).litres)
    200
    """
    positive(exchanged_litres=exchanged_l, nitrate_before=before_mg_l)
    if new_mg_l >= before_mg_l:
        raise SumError(
            "The new water holds as much nitrate as the tank, so an exchange shows "
            "nothing of the volume."
        )
    before, before_sd = _reading(before_mg_l, steps_mg_l, reading_part)
    after, after_sd = _reading(after_mg_l, steps_mg_l, reading_part)
    if steps_mg_l and _touch(before_mg_l, after_mg_l, steps_mg_l):
        raise SumError(
            "On this card the two readings could be the same level, so they give no "
            "volume at all. " + POOR
        )
    apart(before - after, math.hypot(before_sd, after_sd) / math.sqrt(2), "nitrate")
    return found_by(
        "nitrate",
        lambda d, b, a, s: d * (b - s) / (b - a),
        (
            (exchanged_l, exchanged_part * exchanged_l),
            (before, before_sd),
            (after, after_sd),
            (new_mg_l, new_sd_mg_l),
        ),
        said=(POOR,),
    )


def _reading(
    value: float, steps: Sequence[float] | None, part: float
) -> tuple[float, float]:
    """Give a reading and its spread: the eye's, and that of its band."""
    if not steps:
        return value, part * value
    low, high = band(value, steps)
    if high is None:
        raise SumError(
            "A reading beyond the end of the card has no upper edge; dilute the sample "
            "until it falls inside."
        )
    middle = (low + high) / 2.0
    return middle, math.hypot(part * middle, (high - low) / math.sqrt(12.0))


def _touch(before: float, after: float, steps: Sequence[float]) -> bool:
    """Tell whether the bands of two readings meet."""
    _, top = band(after, steps)
    bottom, _ = band(before, steps)
    return top is None or bottom <= top * (1 + 1e-9)
