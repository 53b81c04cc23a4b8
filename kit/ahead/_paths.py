"""Many possible futures of one tank, each with its own rate, source and noise.

One draw of a fit is one possible tank. Its level is carried through the steps of the
balance, and at each stretch of days the tank's own day-to-day noise is added: later
exchanges dilute what came in before them, as they dilute everything else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from kit.balance import Chain, Exchanged, Flow, Observed, Step, link
from kit.draws import Draws
from kit.fit.model import Beforehand
from kit.sawtooth import Habit
from kit.steps import Floats

__all__ = [
    "EXCHANGE_ERROR",
    "Course",
    "course",
    "follow",
    "gathered",
    "scores",
]

EXCHANGE_ERROR = Beforehand().exchange_error
"""How far one exchange may be off its size, as the fit takes it. [-]"""


@dataclass(frozen=True, slots=True)
class Course:
    """The moments ahead at which the level is asked for, and the way there.

    Parameters
    ----------
    days : ndarray, shape (m,)
        Days from now; a day stands twice at an exchange. [day]
    after : ndarray of bool, shape (m,)
        True for the moment just after an exchange.
    before : ndarray of bool, shape (m,)
        True for the moment just before an exchange.
    chain : Chain
        The steps between.
    """

    days: Floats
    after: NDArray[np.bool_]
    before: NDArray[np.bool_]
    chain: Chain


def course(
    habit: Habit,
    days: float,
    *,
    per_cycle: int = 1,
    first_days: float | None = None,
    asked: Sequence[float] = (),
) -> Course:
    """Lay out the days ahead under a habit.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    days : float
        How far ahead. [day]
    per_cycle : int, optional
        Stretches between two exchanges.
    first_days : float, optional
        Days until the first exchange, a full interval when left out; 0 for one that
        is due now. [day]
    asked : sequence of float, optional
        Further days at which the level is asked for. [day]

    Returns
    -------
    Course
        From now on, now included.
    """
    steps: list[Step] = [Observed()]
    rows: list[tuple[float, bool, bool]] = [(0.0, False, False)]
    now = 0.0
    until = habit.interval_days if first_days is None else max(first_days, 0.0)
    while True:
        for moment in _moments(now, min(until, days), per_cycle, asked):
            steps += [_flow(habit, moment - now), Observed()]
            rows.append((moment, False, False))
            now = moment
        if until > days + 1e-9:
            break
        now = until
        if habit.fraction > 0:
            rows[-1] = (rows[-1][0], False, True)
            steps += [Exchanged(habit.fraction, habit.source_mg_l), Observed()]
            rows.append((now, True, False))
        until += habit.interval_days
    at, after, before = zip(*rows, strict=True)
    return Course(np.array(at), np.array(after), np.array(before), link(steps))


def _moments(
    start: float, end: float, parts: int, asked: Sequence[float]
) -> list[float]:
    """Moments of a stretch at which the level is asked for, its end included."""
    if end - start <= 1e-9:
        return []
    even = [start + (end - start) * part / parts for part in range(1, parts)]
    more = [at for at in asked if start + 1e-6 < at < end - 1e-6]
    return sorted({*even, *more, end})


def _flow(habit: Habit, days: float) -> Flow:
    """Give a stretch of the habit between exchanges."""
    return Flow(
        days,
        habit.volume_l,
        inflow_l_day=habit.inflow_l_day,
        overflow_l_day=habit.overflow_l_day,
        source_mg_l=habit.source_mg_l,
        loss_per_day=habit.loss_per_day,
    )


@lru_cache(maxsize=8)
def scores(rows: int, count: int, seed: int = 20260302) -> Floats:
    """Fixed standard normal numbers, the same whenever they are asked for.

    Parameters
    ----------
    rows, count : int
        How many sets, of how many numbers.
    seed : int, optional
        Another seed gives other numbers.

    Returns
    -------
    ndarray, shape (rows, count)
        Each row holds the same normal quantiles in another order, with mean 0 and
        variance 1 exactly; not to be written to.
    """
    line = ndtri((np.arange(count) + 0.5) / count)
    if count > 1:
        line = line / line.std()
    out = np.tile(line, (rows, 1))
    np.random.default_rng(seed).permuted(out, axis=1, out=out)
    out.setflags(write=False)
    return out


def follow(
    chain: Chain,
    draws: Draws,
    *,
    exchange_error: float | Floats = EXCHANGE_ERROR,
    meant_mg_l: float | None = None,
    seed: int = 20260302,
) -> Floats:
    """Carry each draw through the steps, with the tank's own noise on the way.

    Parameters
    ----------
    chain : Chain
        Without restarts.
    draws : Draws
        Equally likely tanks.
    exchange_error : float or ndarray, shape (n,), optional
        How far an exchange may be off its size, as a part of it; one for each step
        where they differ. [-]
    meant_mg_l : float, optional
        What the log says of the new water, as in `Draws.source_errors`. [mg/L]
    seed : int, optional
        Seed of the tank's noise.

    Returns
    -------
    ndarray, shape (m, d)
        Level at each asked-for moment for each draw, never below zero. [mg/L]

    Notes
    -----
    At each step ``C <- keep C + base g + known + source e + s sqrt(wander) z`` with
    the draw's rate ``g``, its error of the source ``e`` and its tank noise ``s``. An
    exchange moves the level by ``1 + error z`` times what it should. Where the level
    would fall below zero it stays at zero, at the end of each step.
    """
    error = draws.source_errors(meant_mg_l)
    z = scores(len(chain.keep), len(draws), seed)
    out = np.empty((len(chain.keep) + 1, len(draws)))
    x = out[0] = np.maximum(draws.level_mg_l, 0.0)
    rough = _roughness(chain, exchange_error)
    for i, (keep, base, known, source, wander) in enumerate(_steps(chain)):
        fresh = keep * x + (known + source * error)
        if base:
            fresh += base * draws.rate_mg_l_day
        if wander:
            fresh += wander * draws.tank_noise * z[i]
        elif rough[i]:
            fresh += rough[i] * (fresh - x) * z[i]
        x = out[i + 1] = np.maximum(fresh, 0.0)
    return out[chain.observed + 1]


def _steps(chain: Chain) -> Iterator[tuple[float, ...]]:
    """Kept part, days, known part, source share and spread of each step."""
    parts = (chain.keep, chain.base, chain.known, chain.source, np.sqrt(chain.wander))
    return zip(*(part.tolist() for part in parts), strict=True)


def _roughness(chain: Chain, exchange_error: float | Floats) -> list[float]:
    """Error of the size of each exchange, 0 at other steps. [-]."""
    at_once = (chain.base == 0.0) & (chain.source > 0.0)
    errors: list[float] = np.where(at_once, exchange_error, 0.0).tolist()
    return errors


def gathered(
    chain: Chain,
    start_mg_l: float,
    rate_mg_l_day: float,
    *,
    exchange_error: float = EXCHANGE_ERROR,
) -> tuple[Floats, Floats]:
    """Variance that noise of the tank and of exchanges has gathered by each moment.

    Parameters
    ----------
    chain : Chain
        Without restarts.
    start_mg_l, rate_mg_l_day : float
        Level now [mg/L] and net rate [mg/L/day], for the size of the exchanges' steps.
    exchange_error : float, optional
        As in `follow`. [-]

    Returns
    -------
    ndarray, shape (m,)
        Of the tank, for a day-to-day noise of 1, already diluted. [day]
    ndarray, shape (m,)
        Of the exchanges, already diluted. [mg2/L2]
    """
    days, jolts = [0.0], [0.0]
    level = start_mg_l
    rough = _roughness(chain, exchange_error)
    for i, (keep, base, known, _, wander) in enumerate(_steps(chain)):
        after = max(keep * level + base * rate_mg_l_day + known, 0.0)
        days.append(keep * keep * days[-1] + wander * wander)
        jolts.append(keep * keep * jolts[-1] + (rough[i] * (after - level)) ** 2)
        level = after
    at = chain.observed + 1
    return np.array(days)[at], np.array(jolts)[at]
