"""How soon a change would be seen, with one's own kit and way of testing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kit.ahead._kit import Kit
from kit.ahead._paths import Course, course, gathered, scores
from kit.ahead._ratio import Read, ratios
from kit.balance import Exchanged
from kit.errors import PlanError
from kit.fit import FitResult
from kit.fit.model import build
from kit.logbook import Logbook, Test
from kit.sawtooth import Habit, long_run
from kit.steps import Floats

__all__ = ["WAYS", "Power", "Way", "exchanges_a_test", "power", "power_for", "way_of"]

_LIMIT: Final = 3.841459
"""95 % point of a chi-squared distribution of one degree, from any table."""
_FALSE: Final = 0.05
_LOGS: Final = 300
_STEP: Final = 2
_SOON_DAYS: Final = 1.0


@dataclass(frozen=True, slots=True)
class Way:
    """A way of testing.

    Parameters
    ----------
    name : str
        In plain words.
    after : bool
        Whether there is a test just after each exchange.
    days : tuple of float
        Tests so many days after an exchange; those past the next one are left out.
        [day]
    before : bool
        Whether there is a test just before each exchange.
    """

    name: str
    after: bool = False
    days: tuple[float, ...] = ()
    before: bool = True


WAYS: Final = (
    Way("a test before the exchange"),
    Way("a test before and one after the exchange", after=True),
    Way("tests before, after and twice between", after=True, days=(2.0, 4.0)),
)


@dataclass(frozen=True, slots=True)
class Power:
    """Chance that a change is seen.

    Parameters
    ----------
    way : Way
        How the keeper tests.
    weeks : float
        Weeks after the change.
    chance : float
        Chance that the readings tell it from chance at 5 %. [-]
    error : float
        Standard error of the chance, from the number of logs tried. [-]
    """

    way: Way
    weeks: float
    chance: float
    error: float


def power(
    habit: Habit,
    rate_mg_l_day: float,
    change: float,
    kit: Kit,
    way: Way,
    *,
    weeks_before: float = 16.0,
    weeks_after: Sequence[float] = (2.0, 4.0, 6.0, 8.0, 12.0),
    tank_noise: float = 0.0,
    every: int = 1,
    logs: int = _LOGS,
) -> tuple[Power, ...]:
    """Chance of seeing a change of the rate, some weeks after it.

    Parameters
    ----------
    habit : Habit
        What goes on meanwhile.
    rate_mg_l_day : float
        Net rate before the change, as NO3; above zero. [mg/L/day]
    change : float
        The change as a part of the rate: 0.58 for 58 % more. [-]
    kit : Kit
        The kit in hand, with its reading noise.
    way : Way
        How the keeper tests.
    weeks_before : float, optional
        Length of the log before the change. [week]
    weeks_after : sequence of float, optional
        When the log is looked at. [week]
    tank_noise : float, optional
        Day-to-day noise of the tank. [mg/L per root day]
    every : int, optional
        1 for tests at each exchange, 5 for tests at every fifth.
    logs : int, optional
        Simulated logs.

    Returns
    -------
    tuple of Power
        One for each of ``weeks_after``.

    Notes
    -----
    Each log is drawn from the exact balance and read with the kit; then a rate that
    steps on the day of the change is compared with one that does not, by the likelihood
    ratio of the readings with the noise held fixed. The limit is 3.84, or what 1 in 20
    logs without a change passes where that is more: the tank's own noise is in the
    readings, and the ratio does not know how it is carried along.
    """
    laid = _lay_out(habit, way, 7.0 * weeks_before, 7.0 * max(weeks_after), every)
    both = [
        _read(laid, habit, kit, (rate_mg_l_day, step * rate_mg_l_day), tank_noise, logs)
        for step in (change, 0.0)
    ]
    start = np.array([long_run(habit, rate_mg_l_day).trough_mg_l, rate_mg_l_day, 0.0])
    out = []
    for weeks in weeks_after:
        rows = laid.at <= 7.0 * weeks + 1e-6
        seen, none = (
            ratios(read.rows(rows), laid.x[rows], _STEP, start) for read in both
        )
        limit = _LIMIT
        if tank_noise > 0.0:
            limit = max(limit, float(np.quantile(none, 1.0 - _FALSE)))
        chance = float(np.mean(seen > limit))
        error = (max(chance * (1.0 - chance), 1.0 / logs) / logs) ** 0.5
        out.append(Power(way, weeks, chance, error))
    return tuple(out)


def power_for(
    log: Logbook,
    habit: Habit,
    result: FitResult,
    change: float,
    kit: Kit,
    way: Way,
) -> tuple[Power, ...]:
    """Chance of seeing a change in one tank, from the end of its log on.

    Parameters
    ----------
    log : Logbook
        A loaded log; its length is the time before the change, 26 weeks at most.
    habit : Habit
        What goes on meanwhile.
    result : FitResult
        Its fit, for the rate and the tank's noise.
    change : float
        The change as a part of the rate. [-]
    kit : Kit
        The kit in hand.
    way : Way
        How the keeper tests.

    Returns
    -------
    tuple of Power
        At 2, 4, 6, 8 and 12 weeks after.

    Raises
    ------
    PlanError
        There is no rise that could change.
    """
    rate = result.net_rate
    if rate is None or rate.estimate <= 0.0 or habit.fraction == 0.0:
        msg = (
            "This takes a tank whose nitrate rises and whose water is exchanged; the "
            "log shows no such rise."
        )
        raise PlanError(result.refused or msg)
    days = (max(t.date for t in log.tests) - min(t.date for t in log.tests)).days
    return power(
        habit,
        rate.estimate,
        change,
        kit,
        way,
        weeks_before=min(max(days / 7.0, 2.0), 26.0),
        tank_noise=result.tank_noise.estimate if result.tank_noise else 0.0,
        every=exchanges_a_test(log, habit.interval_days),
    )


def exchanges_a_test(log: Logbook, interval_days: float) -> int:
    """Tell at every how manieth exchange a log tests.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    interval_days : float
        Days between exchanges. [day]

    Returns
    -------
    int
        1 where the days between tests are no more than those between exchanges.
    """
    days = sorted({t.date.toordinal() for t in log.tests})
    if len(days) < 2:
        return 1
    return max(round(float(np.median(np.diff(days))) / interval_days), 1)


def way_of(log: Logbook) -> Way:
    """Tell the way of testing a log shows.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Way
        One of `WAYS`: by whether at least half of the exchanges have a test within a
        day after them, and whether there are more than three tests to an exchange.
    """
    if not log.tests:
        return WAYS[0]
    ledger = build(log, log.tank.same_day or "before")
    exchanges = followed = 0
    last = math.inf
    for event in ledger.events:
        if isinstance(event.what, Exchanged):
            exchanges, last = exchanges + 1, event.at
        elif isinstance(event.what, Test) and event.at - last <= _SOON_DAYS:
            followed, last = followed + 1, math.inf
    if exchanges and len(log.tests) > 3.0 * exchanges:
        return WAYS[2]
    return WAYS[1] if exchanges and 2 * followed >= exchanges else WAYS[0]


@dataclass(frozen=True, slots=True)
class _Laid:
    """Tests, and how the level at each follows from start, rate and step.

    ``rows`` are the places of the tests among the moments of ``course``, ``at`` their
    days since the change; columns of ``x`` are start, rate and step.
    """

    course: Course
    rows: NDArray[np.intp]
    at: Floats
    x: Floats
    known: Floats


def _lay_out(habit: Habit, way: Way, before: float, after: float, every: int) -> _Laid:
    """Lay the tests out; the change comes with an exchange."""
    cycle = habit.interval_days
    lead = max(round(before / cycle), 1) * cycle
    between = [
        number * cycle + day
        for number in range(int((lead + after) / cycle) + 1)
        for day in way.days
        if day < cycle - 0.5
    ]
    ahead = course(habit, lead + after, asked=between)
    chosen = (ahead.before & way.before) | (ahead.after & way.after)
    chosen |= np.isin(ahead.days, between)
    chosen &= np.floor((ahead.days - lead) / cycle + 1e-9) % every == 0
    chosen[0] = True
    chain = ahead.chain
    ends = np.zeros(len(chain.keep))
    ends[chain.observed[1:]] = ahead.days[1:]
    late = np.where(ends > lead + 1e-6, chain.base, 0.0)
    added = np.column_stack([np.zeros(len(ends)), chain.base, late, chain.known])
    values = np.zeros((len(ends) + 1, 4))
    values[0, 0] = 1.0
    for i, keep in enumerate(chain.keep.tolist()):
        values[i + 1] = keep * values[i] + added[i]
    rows = np.flatnonzero(chosen)
    there = values[chain.observed + 1][rows]
    return _Laid(ahead, rows, ahead.days[rows] - lead, there[:, :3], there[:, 3])


def _read(
    laid: _Laid,
    habit: Habit,
    kit: Kit,
    rates: tuple[float, float],
    tank_noise: float,
    logs: int,
) -> Read:
    """Live through many logs and read each with the kit."""
    start = long_run(habit, rates[0]).trough_mg_l
    middle = laid.x @ np.array([start, *rates]) + laid.known
    chain = laid.course.chain
    z = scores(len(chain.keep), logs, 41)
    strayed = np.zeros((len(chain.keep) + 1, logs))
    for i, keep in enumerate(chain.keep.tolist()):
        fresh = tank_noise * math.sqrt(chain.wander[i]) * z[i]
        strayed[i + 1] = keep * strayed[i] + fresh
    level = middle[:, None] + strayed[chain.observed + 1][laid.rows]
    level = np.maximum(level, 0.0)
    seen = level + kit.spread(level) * scores(len(middle), logs, 43)
    days, _ = gathered(chain, start, rates[0])
    spread = np.sqrt(kit.spread(middle) ** 2 + tank_noise**2 * days[laid.rows])
    if not kit.chart:
        return Read(seen.T, seen.T, np.maximum(spread, 1e-6), laid.known)
    place = np.searchsorted(kit.low[1:], seen.T)
    return Read(kit.low[place], kit.high[place], np.maximum(spread, 1e-6), laid.known)
