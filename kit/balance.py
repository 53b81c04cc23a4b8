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

from dataclasses import dataclass

import numpy as np

from kit.steps import (
    Chain,
    Exchanged,
    Floats,
    Flow,
    Observed,
    Resized,
    Restarted,
    Step,
    link,
)

__all__ = [
    "Chain",
    "Design",
    "Exchanged",
    "Floats",
    "Flow",
    "Observed",
    "Resized",
    "Restarted",
    "Step",
    "after_last",
    "carry",
    "collected",
    "design",
    "link",
]


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


def _run(keep: list[float], added: Floats) -> Floats:
    """Run ``x <- keep x + added`` from 0 and give x before the first and after each."""
    x = 0.0
    out = [x]
    # Plain floats: an array's overhead would be most of the time of so short a step.
    for a, b in zip(keep, added.tolist(), strict=True):
        x = a * x + b
        out.append(x)
    return np.array(out)


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
    keep, places = chain.keep.tolist(), chain.observed + 1
    feed, base, source, known = (
        _run(keep, added)[places]
        for added in (chain.feed, chain.base, chain.source, chain.known)
    )
    started = np.concatenate([[0], np.cumsum(chain.starts)])
    level = _since_start(chain)
    start = np.zeros((len(places), int(started[-1]) + 1))
    start[np.arange(len(places)), started[places]] = level[places]
    kept, wander = _between(chain, chain.wander)
    return Design(start, feed, base, source, known, kept, wander)


def _since_start(chain: Chain) -> Floats:
    """Kept part of the newest starting level, before the first and after each step."""
    x = 1.0
    out = [x]
    for a, fresh in zip(chain.keep.tolist(), chain.starts.tolist(), strict=True):
        x = 1.0 if fresh else a * x
        out.append(x)
    return np.array(out)


def after_last(chain: Chain, variance: Floats | None = None) -> tuple[float, float]:
    """Kept part and collected variance from the last asked-for level to the end.

    Parameters
    ----------
    chain : Chain
        From `link`, with at least one asked-for level.
    variance : ndarray, shape (n,), optional
        Variance each step adds; the chain's own day-to-day variance when left out.

    Returns
    -------
    float
        Kept part of a deviation. [-]
    float
        Variance collected, already diluted: per unit of day-to-day variance [day], or
        in the unit of ``variance``.
    """
    last = int(chain.observed[-1])
    added = chain.wander if variance is None else variance
    a, w = chain.keep[last + 1 :], added[last + 1 :]
    later = np.append(np.cumprod(a[::-1])[::-1], 1.0)
    return float(later[0]), float(np.sum(w * later[1:] ** 2))


def collected(chain: Chain, variance: Floats) -> Floats:
    """Variance from one asked-for level to the next, diluted by what follows.

    Parameters
    ----------
    chain : Chain
        From `link`.
    variance : ndarray, shape (n,)
        Variance each step adds to the level. [mg2/L2]

    Returns
    -------
    ndarray, shape (m,)
        What is left of it at each asked-for level. [mg2/L2]
    """
    return _between(chain, variance)[1]


def _between(chain: Chain, variance: Floats) -> tuple[Floats, Floats]:
    """Kept part and collected variance from one asked-for level to the next."""
    steps = list(zip(chain.keep.tolist(), variance.tolist(), strict=True))
    kept, wander = np.zeros(len(chain.observed)), np.zeros(len(chain.observed))
    first = 0
    for j, last in enumerate(chain.observed.tolist()):
        part, gathered = 1.0, 0.0
        for a, w in steps[first : last + 1]:
            part *= a
            # What wandered in before is diluted by every later step.
            gathered = a * a * gathered + w
        kept[j], wander[j] = part, gathered
        first = last + 1
    if len(kept):
        kept[0] = 0.0
    return kept, wander
