"""The band each reading stands for, also where the log does not say which kit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kit.balance import Floats
from kit.logbook import Tank, Test

__all__ = ["KitView", "view"]

_FEW = 6
"""Readings needed before a repeated set of numbers is taken for a chart."""


@dataclass(frozen=True, slots=True)
class KitView:
    """Bands for the fit, and what had to be supposed about the kit.

    Parameters
    ----------
    low, high : ndarray, shape (n,)
        Ends of each band, ``-inf``/``inf`` where open, as NO3. [mg/L]
    written : ndarray, shape (n,)
        The number written, else the middle of the band, for plain least squares.
        [mg/L]
    chart : bool
        Whether the readings come in steps wide enough to matter.
    floor : float
        Reading error that is left even near zero, as NO3. [mg/L]
    supposed : str
        What was supposed about an unstated kit, in a sentence, or ``""``.
    tried : dict of str to float
        Kits whose bias was found on known solutions and taken off, with its standard
        error as a part of the level. [-]
    """

    low: Floats
    high: Floats
    written: Floats
    chart: bool
    floor: float
    supposed: str
    tried: dict[str, float] = field(default_factory=dict)


def view(tests: Sequence[Test], tank: Tank) -> KitView:
    """Give each reading its band.

    Parameters
    ----------
    tests : sequence of Test
        The used tests.
    tank : Tank
        Its kit's steps or resolution, when stated.

    Returns
    -------
    KitView
        Bands of positive width.
    """
    low = np.array([t.low_mg_l for t in tests])
    high = np.array([np.inf if t.high_mg_l is None else t.high_mg_l for t in tests])
    written = _written(tests, low, high)
    bare = (low == high) & np.array([t.value_mg_l is not None for t in tests])
    supposed = ""
    if bare.any():
        low, high, supposed = _suppose(low, high, bare)
    chart = _is_chart(low, high, tank)
    low = np.where(low <= 0.0, -np.inf, low)
    return KitView(low, high, written, chart, _floor(tank, low, high), supposed)


def _written(tests: Sequence[Test], low: Floats, high: Floats) -> Floats:
    """Number to use where one number is wanted. [mg/L]."""
    middle = np.where(np.isfinite(high), (low + high) / 2.0, low)
    return np.array(
        [
            m if t.value_mg_l is None else t.value_mg_l
            for t, m in zip(tests, middle, strict=True)
        ]
    )


def _suppose(
    low: Floats, high: Floats, bare: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> tuple[Floats, Floats, str]:
    """Bands for bare numbers of an unstated kit."""
    values = low[bare]
    distinct = np.unique(values)
    if (
        len(values) >= _FEW
        and 3 * len(distinct) <= 2 * len(values)
        and _coarse(distinct)
    ):
        edges = _edges(distinct)
        place = np.searchsorted(distinct, values)
        low, high = low.copy(), high.copy()
        low[bare], high[bare] = edges[place], edges[place + 1]
        steps = ", ".join(f"{v:g}" for v in distinct)
        return (
            low,
            high,
            (
                f"The log does not say which kit; its few numbers ({steps} mg/L) "
                "look like "
                "the steps of a colour chart, so each is taken as a band reaching "
                "half way "
                "to its neighbours. State the card's steps to settle this."
            ),
        )
    unit = _smallest_digit(values)
    low = np.where(bare, np.maximum(low - unit / 2.0, 0.0), low)
    high = np.where(bare, high + unit / 2.0, high)
    return (
        low,
        high,
        (
            f"The log does not say which kit; numbers are taken as read to {unit:g} "
            "mg/L. "
            "If they come from a colour chart, state its steps: the band will be wider."
        ),
    )


def _coarse(distinct: Floats) -> bool:
    """Whether neighbours lie too far apart (a quarter of their size) for a meter."""
    if len(distinct) == 1:
        return True
    steps = np.diff(distinct) / np.maximum(distinct[1:], 1e-9)
    return bool(np.median(steps) >= 0.25)


def _edges(distinct: Floats) -> Floats:
    """Band edges half way between neighbours, as ratios; open-handed at both ends."""
    positive = distinct[distinct > 0]
    ratio = 2.0
    if len(positive) > 1:
        ratio = float(np.median(positive[1:] / positive[:-1]))
    inner = np.sqrt(np.maximum(distinct[:-1], 0) * distinct[1:])
    inner = np.where(distinct[:-1] <= 0, distinct[1:] / 2.0, inner)
    first = 0.0 if distinct[0] <= 0 else distinct[0] / ratio**0.5
    last = distinct[-1] * ratio**0.5 if distinct[-1] > 0 else 5.0
    return np.concatenate([[first], inner, [last]])


def _smallest_digit(values: Floats) -> float:
    """Smallest of 1, 0.1, 0.01 and 5, 10 that all numbers are multiples of. [mg/L]."""
    for unit in (10.0, 5.0, 1.0, 0.1):
        if np.allclose(values / unit, np.round(values / unit), atol=1e-6):
            return unit
    return 0.01


def _is_chart(low: Floats, high: Floats, tank: Tank) -> bool:
    """Whether bands are wide against the level."""
    if tank.kit_steps_mg_l:
        return True
    width = np.where(np.isfinite(high), high - low, high)
    return bool(np.median(width / np.maximum(low, 1.0)) > 0.2)


def _floor(tank: Tank, low: Floats, high: Floats) -> float:
    """Reading error left near zero: a tenth of the first step, half the last digit."""
    if tank.kit_steps_mg_l:
        return 0.1 * min(s for s in tank.kit_steps_mg_l if s > 0)
    if tank.kit_resolution_mg_l:
        return 0.5 * tank.kit_resolution_mg_l
    width = (high - low)[np.isfinite(high - low)]
    return 0.1 * float(np.median(width)) if len(width) else 0.5
