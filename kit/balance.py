"""The exact nitrate balance of one tank: flows, exchanges, and where they lead.

Between events the balance is linear with constant coefficients, so each step is
solved exactly; nothing is stepped through time. A step turns a level ``C`` into
``keep * C + what came in``, whatever it is: a stretch of days, an exchange, a
change of volume. A whole log is then a chain of such steps.

Notes
-----
At constant volume ``V`` with outflow ``q`` (drip and top-up less evaporation) ::

    dC/dt = (yield F)/V + base - uptake + inflow Cs / V - (q/V + loss) C

and with ``k = q/V + loss`` a stretch of ``d`` days keeps ``exp(-k d)`` of the level
and collects ``(1 - exp(-k d)) / k`` days' worth of what comes in: the continuous
stirred tank, a standard result. At an exchange ``C <- (1 - f) C + f Cs``.
Evaporation carries no nitrate away, so it is not part of ``q``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Chain",
    "Design",
    "Exchanged",
    "Flow",
    "Observed",
    "Resized",
    "Restarted",
    "Step",
    "after_last",
    "carry",
    "design",
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


@dataclass(frozen=True, slots=True)
class Design:
    """How the asked-for levels depend on each unknown: the balance on unit inputs.

    The level is ``start @ c0 + feed * yield + base * rate + known`` (or, in place of
    ``known``, ``source * Cs``).

    Parameters
    ----------
    start : ndarray, shape (m, s)
        Kept part of each starting level, one column per start. [-]
    feed, base, source, known : ndarray, shape (m,)
        Collected feed [g/L], days [day], source share [-], source nitrate [mg/L].
    kept : ndarray, shape (m,)
        Part of the level kept since the asked-for level before (0 after a restart
        and for the first). [-]
    wander : ndarray, shape (m,)
        Variance collected since the asked-for level before, per unit of day-to-day
        variance, already diluted. [day]
    """

    start: Floats
    feed: Floats
    base: Floats
    source: Floats
    known: Floats
    kept: Floats
    wander: Floats


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
    """Fill in all stretches of time at once; see the module's Notes."""
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


def _run(keep: Floats, added: Floats, first: Floats) -> Floats:
    """Run ``x <- keep x + added`` and give x before the first and after each step."""
    out = np.empty((len(keep) + 1, *first.shape))
    x = out[0] = first
    for i, (a, b) in enumerate(zip(keep.tolist(), added, strict=True), start=1):
        x = out[i] = a * x + b
    return out


def carry(
    chain: Chain,
    *,
    start_mg_l: float,
    yield_mg_g: float = 0.0,
    base_mg_l_day: float = 0.0,
    uptake_mg_l_day: float = 0.0,
    floor: bool = True,
) -> Floats:
    """Level at every asked-for place, with the source levels stated in the steps.

    Parameters
    ----------
    chain : Chain
        From `link`; without restarts.
    start_mg_l : float
        Level before the first step, as NO3. [mg/L]
    yield_mg_g : float, optional
        Nitrate per gram of food, as NO3. [mg/g]
    base_mg_l_day : float, optional
        Rise that does not follow the feed. [mg/L/day]
    uptake_mg_l_day : float, optional
        Constant uptake by plants or algae. [mg/L/day]
    floor : bool, optional
        Hold the level at zero where uptake would take more than there is. Within a
        stretch the level moves one way only, so a level that would end below zero
        met zero and stayed there: the floor is exact at the end of each step.

    Returns
    -------
    ndarray, shape (m,)
        Levels. [mg/L]

    Raises
    ------
    ValueError
        If the chain has a restart: the level after it is not known.

    Examples
    --------
    >>> week = [Flow(7.0, 100.0), Observed(), Exchanged(0.25, 10.0), Observed()]
    >>> carry(link(week), start_mg_l=31.0, base_mg_l_day=1.0)
    array([38., 31.])
    """
    if chain.starts.any():
        msg = "the level after a restart is not known"
        raise ValueError(msg)
    added = (
        chain.feed * yield_mg_g
        + chain.base * (base_mg_l_day - uptake_mg_l_day)
        + chain.known
    )
    levels = [float(start_mg_l)]
    x = levels[0]
    for a, b in zip(chain.keep.tolist(), added.tolist(), strict=True):
        x = a * x + b
        if floor and x < 0.0:
            x = 0.0
        levels.append(x)
    return np.array(levels)[chain.observed + 1]


def design(chain: Chain) -> Design:
    """Run the balance on unit inputs: the columns of a linear model.

    Parameters
    ----------
    chain : Chain
        From `link`.

    Returns
    -------
    Design
        One row per asked-for level, in the order of the steps.
    """
    columns = np.column_stack([chain.feed, chain.base, chain.source, chain.known])
    values = _run(chain.keep, columns, np.zeros(4))[chain.observed + 1]
    started = np.concatenate([[0], np.cumsum(chain.starts)])
    keep_within = np.where(chain.starts, 1.0, chain.keep)
    level = _run(keep_within, np.zeros((len(chain.keep), 1)), np.ones(1))[:, 0]
    level = _since_start(level, keep_within, chain.starts)
    start = np.zeros((len(chain.observed), int(started[-1]) + 1))
    rows = np.arange(len(chain.observed))
    start[rows, started[chain.observed + 1]] = level[chain.observed + 1]
    kept, wander = _between(chain)
    feed, base, source, known = values.T
    return Design(start, feed, base, source, known, kept, wander)


def _since_start(level: Floats, keep: Floats, starts: NDArray[np.bool_]) -> Floats:
    """Kept part of the newest starting level after each step."""
    if not starts.any():
        return level
    out = np.ones(len(keep) + 1)
    x = 1.0
    for i, (a, fresh) in enumerate(zip(keep.tolist(), starts.tolist(), strict=True)):
        x = 1.0 if fresh else a * x
        out[i + 1] = x
    return out


def after_last(chain: Chain) -> tuple[float, float]:
    """Kept part and collected variance from the last asked-for level to the end.

    Parameters
    ----------
    chain : Chain
        From `link`, with at least one asked-for level.

    Returns
    -------
    float
        Kept part of a deviation. [-]
    float
        Variance collected, per unit of day-to-day variance, already diluted. [day]
    """
    last = int(chain.observed[-1])
    a, w = chain.keep[last + 1 :], chain.wander[last + 1 :]
    later = np.append(np.cumprod(a[::-1])[::-1], 1.0)
    return float(later[0]), float(np.sum(w * later[1:] ** 2))


def _between(chain: Chain) -> tuple[Floats, Floats]:
    """Kept part and collected variance from one asked-for level to the next."""
    m = len(chain.observed)
    kept, wander = np.zeros(m), np.zeros(m)
    previous = -1
    for j, last in enumerate(chain.observed.tolist()):
        a = chain.keep[previous + 1 : last + 1]
        w = chain.wander[previous + 1 : last + 1]
        # What wandered in at step i is diluted by every later step.
        later = np.append(np.cumprod(a[::-1])[::-1], 1.0)
        kept[j] = later[0]
        wander[j] = float(np.sum(w * later[1:] ** 2))
        previous = last
    if m:
        kept[0] = 0.0
    return kept, wander
