"""What is taken for known before a log is read: stated, and to be switched off."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["KIT_BIAS", "USUAL_YIELD", "Beforehand"]

KIT_BIAS = 0.15
"""Steady error kits have against a standard; common practice, no source. [-]"""


USUAL_YIELD = (180.0, 90.0)
"""Nitrate a gram of food makes where food clearly varied and the log does not tell,
with an error wide enough for frozen and dry food: an assumption. [mg/g]"""


@dataclass(frozen=True, slots=True)
class Beforehand:
    """Knowledge a fit starts from, apart from the log.

    Every entry is common practice, no source, unless said otherwise; None or 0
    switches it off. What was used stands in the assumptions of the result.

    Parameters
    ----------
    reader_noise : tuple of float, or None
        Middle and log spread of one reader's error as a part of the level; None for
        the usual one of the kit (colour chart 12 %, meter 8 %). [-]
    tank_noise : tuple of float, or None
        Middle and log spread of the tank's day-to-day noise as a part of its daily
        rise; None for the usual one. [-]
    exchange_error, rough_error : float
        How far a single exchange may be off the size written, as a part of it; for
        one written as a rough amount. [-]
    overflow_error : float
        How far drip and overflow may steadily be off what is stated. [-]
    reader_offset : float
        How far one reader or kit may steadily differ from another. [-]
    kit_bias : float or None
        Steady error of all readings together that the band is to hold; None leaves it
        out, and the rate it would lead to is given apart. [-]
    feed_yield : tuple of float, or None
        Nitrate a gram of food makes, middle and standard deviation, used where the
        log alone does not earn a yield. [mg/g]

    Examples
    --------
    >>> Beforehand(feed_yield=(210.0, 40.0)).feed_yield
    (210.0, 40.0)
    """

    reader_noise: tuple[float, float] | None = None
    tank_noise: tuple[float, float] | None = None
    exchange_error: float = 0.03
    rough_error: float = 0.15
    overflow_error: float = 0.15
    reader_offset: float = 0.15
    kit_bias: float | None = None
    feed_yield: tuple[float, float] | None = None
