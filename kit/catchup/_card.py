"""A level as the keeper's own kit will show it."""

from __future__ import annotations

import math
from typing import Final

from kit.bands import bands
from kit.basis import NITRATE_PER_N
from kit.logbook import Tank
from kit.rounding import plain

__all__ = ["card_shows"]

_PARTS: Final = (1, 3, 4, 9, 19)
"""Parts of pure water that a keeper can measure with one small vessel."""


def card_shows(low_mg_l: float, high_mg_l: float, tank: Tank) -> str:
    """Say what the tank's own kit shows for a level between two ends.

    Parameters
    ----------
    low_mg_l, high_mg_l : float
        Ends of the level, as NO3. [mg/L]
    tank : Tank
        Its kit's steps or resolution, and its basis.

    Returns
    -------
    str
        Such as ``"40 to 80"``; with the mixing to read it by where the level goes
        off the card; ``""`` where no kit is stated.

    Examples
    --------
    >>> doubling = Tank(kit_steps_mg_l=(0.0, 5.0, 10.0, 20.0, 40.0, 80.0, 160.0))
    >>> card_shows(30.0, 60.0, doubling)
    '40 to 80'
    >>> card_shows(200.0, 260.0, doubling)
    '40 to 80 with 1 part tank water in 3 parts pure water, times 4'
    """
    unit = NITRATE_PER_N if tank.kit_basis == "NO3-N" else 1.0
    if tank.kit_steps_mg_l is None:
        if tank.kit_resolution_mg_l is None:
            return ""
        return _meter(
            low_mg_l / unit, high_mg_l / unit, tank.kit_resolution_mg_l / unit
        )
    steps = tank.kit_steps_mg_l
    top = bands(steps)[-1][0]
    parts = 0
    if high_mg_l >= top:
        parts = next((n for n in _PARTS if high_mg_l / (1 + n) < top), _PARTS[-1])
    ends = [_step(v / (1 + parts), steps) / unit for v in (low_mg_l, high_mg_l)]
    text = _range(*(plain(round(e, 1)) for e in ends))
    if not parts:
        return text
    word = "part" if parts == 1 else "parts"
    return (
        f"{text} with 1 part tank water in {parts} {word} pure water, times {1 + parts}"
    )


def _step(level: float, steps: tuple[float, ...]) -> float:
    """Printed step that a level shows as."""
    edges = bands(steps)
    return next(
        step
        for step, (_, high) in zip(steps, edges, strict=True)
        if high is None or level < high
    )


def _meter(low: float, high: float, resolution: float) -> str:
    """Write a range to the figures a meter shows."""
    places = max(0, -math.floor(math.log10(resolution) + 1e-9))
    ends = [plain(round(v / resolution) * resolution, places) for v in (low, high)]
    return _range(*ends)


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low} to {high}"
