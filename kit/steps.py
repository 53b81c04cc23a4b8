"""Steps of a balance, and the chain of numbers they make.

A step turns a level ``C`` into ``keep * C + what came in``, whatever it is: a stretch
of days, an exchange, a change of volume. Formulas: `kit.balance`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Chain",
    "Exchanged",
    "Floats",
    "Flow",
    "Observed",
    "Resized",
    "Restarted",
    "Step",
    "link",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Flow:
    """A stretch of time with constant feed, drip and source water.

    Parameters
    ----------
    days : float
        Length of the stretch. [day]
    volume_l : float
        Water volume. [L]
    feed_g_day : float, optional
        Food given. [g/day]
    inflow_l_day : float, optional
        All source water coming in: drip, and top-up when it is source water. [L/day]
    overflow_l_day : float, optional
        Water leaving as water; evaporation is not part of it. [L/day]
    source_mg_l : float, optional
        Nitrate of the inflow, as NO3. [mg/L]
    loss_per_day : float, optional
        First-order loss such as denitrification. [1/day]
    """

    days: float
    volume_l: float
    feed_g_day: float = 0.0
    inflow_l_day: float = 0.0
    overflow_l_day: float = 0.0
    source_mg_l: float = 0.0
    loss_per_day: float = 0.0


@dataclass(frozen=True, slots=True)
class Exchanged:
    """Part of the water replaced at once; a backwash with refill is one too.

    Parameters
    ----------
    fraction : float
        Part of the volume replaced, 0 to 1. [-]
    source_mg_l : float, optional
        Nitrate of the new water, as NO3. [mg/L]
    """

    fraction: float
    source_mg_l: float = 0.0


@dataclass(frozen=True, slots=True)
class Resized:
    """A change of the water volume.

    Parameters
    ----------
    ratio : float
        New volume over old. [-]
    how : {"filled", "drained", "evaporated"}
        Filled with source water, drained, or lost to the air.
    source_mg_l : float, optional
        Nitrate of the filling water, as NO3. [mg/L]

    Raises
    ------
    ValueError
        In `link`, when the ratio is not positive.
    """

    ratio: float
    how: str = "filled"
    source_mg_l: float = 0.0


@dataclass(frozen=True, slots=True)
class Restarted:
    """The level is unknown from here on: a gap, or an exchange of unknown size."""


@dataclass(frozen=True, slots=True)
class Observed:
    """A place in the chain where the level is asked for."""


Step = Flow | Exchanged | Resized | Restarted | Observed


@dataclass(frozen=True, slots=True)
class Chain:
    """Steps turned into arrays, one entry per step.

    Parameters
    ----------
    keep : ndarray, shape (n,)
        Part of the level kept by the step. [-]
    feed, base, source, known : ndarray, shape (n,)
        What the step adds per unit of yield [g/L], of base rate [day], of a source
        level common to all water [-], and from the source levels stated in the
        steps [mg/L].
    wander : ndarray, shape (n,)
        Variance the step adds per unit of day-to-day variance of the tank. [day]
    starts : ndarray of bool, shape (n,)
        True where the level starts afresh.
    observed : ndarray of int, shape (m,)
        Index of the last step before each asked-for level; -1 for none.
    """

    keep: Floats
    feed: Floats
    base: Floats
    source: Floats
    known: Floats
    wander: Floats
    starts: NDArray[np.bool_]
    observed: NDArray[np.intp]


def _collected(k: Floats, days: Floats) -> Floats:
    """Days' worth collected, ``(1 - exp(-k d)) / k``, also at ``k = 0``."""
    x = k * days
    small = x < 1e-300
    return np.where(small, days, -np.expm1(-x) / np.where(small, 1.0, k))


def link(steps: Sequence[Step]) -> Chain:
    """Turn steps into arrays; each step is solved exactly.

    Parameters
    ----------
    steps : sequence of Step
        In time order; the order inside a day is the order given.

    Returns
    -------
    Chain
        One entry per step that changes the level.

    Raises
    ------
    ValueError
        A fraction outside 0 to 1, a volume or ratio that is not positive, or
        negative days or flows.
    """
    real = [s for s in steps if not isinstance(s, Observed)]
    observed, seen = [], -1
    for step in steps:
        if isinstance(step, Observed):
            observed.append(seen)
        else:
            seen += 1
    n = len(real)
    keep, source, known = np.ones(n), np.zeros(n), np.zeros(n)
    feed, base, wander = np.zeros(n), np.zeros(n), np.zeros(n)
    starts = np.zeros(n, dtype=np.bool_)
    _link_flows(real, keep, feed, base, source, known, wander)
    for i, step in enumerate(real):
        if isinstance(step, Flow):
            continue
        if isinstance(step, Restarted):
            keep[i], starts[i] = 0.0, True
            continue
        keep[i] = _kept_at_once(step)
        if isinstance(step, Exchanged) or step.how == "filled":
            source[i] = 1.0 - keep[i]
            known[i] = source[i] * step.source_mg_l
    return Chain(
        keep, feed, base, source, known, wander, starts, np.array(observed, np.intp)
    )


def _kept_at_once(step: Step) -> float:
    """Give the kept part of the level at an exchange or a change of volume."""
    if isinstance(step, Exchanged):
        if not 0.0 <= step.fraction <= 1.0:
            msg = f"an exchange lies between 0 and 1 of the tank, not {step.fraction}"
            raise ValueError(msg)
        return 1.0 - step.fraction
    assert isinstance(step, Resized)  # noqa: S101 - narrows the type only
    if not step.ratio > 0.0:
        msg = f"the new volume must be more than nothing, not {step.ratio} of the old"
        raise ValueError(msg)
    return 1.0 if step.how == "drained" else 1.0 / step.ratio


def _link_flows(
    real: Sequence[Step],
    keep: Floats,
    feed: Floats,
    base: Floats,
    source: Floats,
    known: Floats,
    wander: Floats,
) -> None:
    """Fill in all stretches of time at once; see the Notes of `kit.balance`."""
    at = [i for i, s in enumerate(real) if isinstance(s, Flow)]
    if not at:
        return
    values = np.array(
        [
            (
                s.days,
                s.volume_l,
                s.feed_g_day,
                s.inflow_l_day,
                s.overflow_l_day,
                s.source_mg_l,
                s.loss_per_day,
            )
            for s in real
            if isinstance(s, Flow)
        ],
        dtype=np.float64,
    ).T
    days, volume, food, inflow, overflow, level, loss = values
    if not (volume > 0).all():
        msg = "the water volume must be more than nothing"
        raise ValueError(msg)
    if (np.stack([days, inflow, overflow, loss]) < 0).any():
        msg = "days, flows and losses cannot be negative"
        raise ValueError(msg)
    k = overflow / volume + loss
    worth = _collected(k, days)
    keep[at] = np.exp(-k * days)
    feed[at] = worth * food / volume
    base[at] = worth
    source[at] = worth * inflow / volume
    known[at] = source[at] * level
    # Day-to-day noise is white in the source term: its variance decays twice as fast.
    wander[at] = _collected(2.0 * k, days)
