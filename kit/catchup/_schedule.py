"""The way down from a high level, one exchange after the other, within the caps.

Notes
-----
Each exchange gives ``C <- (1 - f) C + f Cs`` with ``f`` from `Caps.fraction`; between
exchanges the balance of `kit.balance` runs on. The fractions are set by the middle of
what is known; the draws carry what is not known of start, rate and new water through
the same fractions.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace

import numpy as np

from kit.ahead import Trace
from kit.catchup._caps import Caps
from kit.catchup._runs import MOST_TURNS, Between, Runs
from kit.draws import Draws
from kit.errors import PlanError
from kit.plan import Band
from kit.rounding import plain, round_for_people
from kit.sawtooth import Habit, fraction_for, long_run

__all__ = ["CatchUp", "Turn", "catch_up", "one_go", "stated_start"]

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_HOLD_DAYS = 7.0
"""Interval of the habit offered for afterwards; common practice, no source. [day]"""


@dataclass(frozen=True, slots=True)
class Turn:
    """One exchange of the way down.

    Parameters
    ----------
    number : int
        From 1.
    day : float
        Days from the beginning. [day]
    date : datetime.date or None
        Its day, where the beginning is known.
    fraction : float
        Part of the water exchanged. [-]
    why : str
        The limit that set it.
    before, after : Band
        Nitrate just before and just after, as NO3. [mg/L]
    pulled : tuple of (float, float)
        Values of ``caps.pulled`` just before and just after. [their units]
    """

    number: int
    day: float
    date: dt.date | None
    fraction: float
    why: str
    before: Band
    after: Band
    pulled: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class CatchUp:
    """A way down, or none where the level is at the target already.

    Parameters
    ----------
    habit : Habit
        Volume, new water and drip, with the caps' interval.
    caps : Caps
        The keeper's limits.
    start_mg_l : Band
        Level before the first exchange, as NO3. [mg/L]
    target_mg_l : float
        Where to come down to, as NO3. [mg/L]
    turns : tuple of Turn
        The exchanges; empty when none is needed.
    one_go : float
        Part that would do it at once; ``math.inf`` where none would. [-]
    needed : Band
        Number of exchanges until the target is met.
    chance : float or None
        Share of the draws at or under the target after the last exchange. [-]
    days : float
        From the first exchange to the last. [day]
    litres : float
        New water for all exchanges. [L]
    hold_fraction : float or None
        Exchange once a week that holds the target afterwards. [-]
    trace : Trace
        The level from the first exchange on.
    """

    habit: Habit
    caps: Caps
    start_mg_l: Band
    target_mg_l: float
    turns: tuple[Turn, ...]
    one_go: float
    needed: Band
    chance: float | None
    days: float
    litres: float
    hold_fraction: float | None
    trace: Trace


def one_go(level_mg_l: float, source_mg_l: float, target_mg_l: float) -> float:
    """Part of the water that would do it in one exchange.

    Parameters
    ----------
    level_mg_l, source_mg_l, target_mg_l : float
        Nitrate now, of the new water and wanted, as NO3. [mg/L]

    Returns
    -------
    float
        ``(C - target)/(C - Cs)``; 0 when already there, ``math.inf`` when even all of
        the water would not do. [-]

    Examples
    --------
    >>> round(one_go(229.0, 5.0, 40.0), 3)
    0.844
    """
    if level_mg_l <= target_mg_l:
        return 0.0
    if target_mg_l < source_mg_l:
        return math.inf
    return (level_mg_l - target_mg_l) / (level_mg_l - source_mg_l)


def stated_start(draws: Draws, low_mg_l: float, high_mg_l: float) -> Draws:
    """Set the level by a test of the keeper's own, spread evenly over its range.

    Parameters
    ----------
    draws : Draws
        The fit's draws.
    low_mg_l, high_mg_l : float
        What the test allows, as NO3. [mg/L]

    Returns
    -------
    Draws
        The same rates and new water with the stated level.
    """
    place = np.mod((np.arange(len(draws)) + 0.5) * _GOLDEN, 1.0)
    return replace(draws, level_mg_l=low_mg_l + (high_mg_l - low_mg_l) * place)


def catch_up(
    habit: Habit,
    rate_mg_l_day: float,
    level_mg_l: float,
    target_mg_l: float,
    caps: Caps,
    *,
    draws: Draws | None = None,
    now: dt.date | None = None,
    wait_days: float = 0.0,
) -> CatchUp:
    """Plan the way down from a level to a target.

    Parameters
    ----------
    habit : Habit
        Volume, new water and drip; its own fraction and interval are not used.
    rate_mg_l_day, level_mg_l : float
        Net rate [mg/L/day] and level now [mg/L], as NO3.
    target_mg_l : float
        Where to come down to, as NO3. [mg/L]
    caps : Caps
        The keeper's limits.
    draws : Draws, optional
        Equally likely starts, rates and new water; without them bands have no width.
    now : datetime.date, optional
        Day of the level now.
    wait_days : float, optional
        Days to the first exchange, in which the level goes on as it does. [day]

    Returns
    -------
    CatchUp
        The exchanges with dates, levels and what limits each.

    Raises
    ------
    PlanError
        The target cannot be reached and held within the caps; the text says why.
    """
    habit = replace(habit, fraction=0.0, interval_days=caps.interval_days)
    if wait_days > 0.0:
        waited = Between(replace(habit, interval_days=wait_days))
        draws = None if draws is None else waited.carry_draws(draws)
        level_mg_l = float(waited.carry(level_mg_l, rate_mg_l_day, habit.source_mg_l))
    if level_mg_l > target_mg_l:
        _refuse(habit, rate_mg_l_day, target_mg_l, caps)
    path = _walk(habit, rate_mg_l_day, level_mg_l, target_mg_l, caps)
    runs = Runs(habit, rate_mg_l_day, level_mg_l, path.fractions, draws)
    first = None if now is None else now + dt.timedelta(math.floor(wait_days))
    turns = tuple(_turns(caps, path, runs, first))
    after = runs.after[-1] if turns else None
    many = draws is not None and len(draws) > 0
    return CatchUp(
        habit=habit,
        caps=caps,
        start_mg_l=runs.band_of(runs.start),
        target_mg_l=target_mg_l,
        turns=turns,
        one_go=one_go(level_mg_l, habit.source_mg_l, target_mg_l),
        needed=runs.needed(target_mg_l),
        chance=float(np.mean(after[1:] <= target_mg_l))
        if after is not None and many
        else None,
        days=max(len(turns) - 1, 0) * caps.interval_days,
        litres=sum(path.fractions) * habit.volume_l,
        hold_fraction=_hold(habit, rate_mg_l_day, target_mg_l),
        trace=runs.trace(),
    )


def _refuse(habit: Habit, rate: float, target: float, caps: Caps) -> None:
    """Say before any planning that the caps can never hold the target."""
    source = habit.source_mg_l
    if target <= source:
        msg = (
            f"The new water already holds {source:.3g} mg/L, so no exchange brings the "
            f"tank to {target:g} mg/L. Blend with purer water or choose a higher "
            "target."
        )
        raise PlanError(msg)
    fraction, why = caps.lasting(target, source)
    settled = long_run(replace(habit, fraction=min(fraction, 1.0)), rate).peak_mg_l
    if settled > target:
        peak = plain(round_for_people(settled))
        msg = (
            f"Not within these limits: {100 * fraction:.3g} % every "
            f"{caps.interval_days:g} days ({why}) ends at peaks of {peak} mg/L, "
            f"above the {target:g} mg/L wanted. Exchange more often, allow more at a "
            "time, feed less, or use purer water."
        )
        raise PlanError(msg)


@dataclass(frozen=True, slots=True)
class _Path:
    """Fractions of the way down, with what set them."""

    fractions: tuple[float, ...]
    reasons: tuple[str, ...]
    pulled: tuple[tuple[tuple[float, float], ...], ...]


def _walk(habit: Habit, rate: float, level: float, target: float, caps: Caps) -> _Path:
    """Exchange as much as the caps allow until the target is met."""
    between = Between(habit)
    values = [p.tank for p in caps.pulled]
    fractions: list[float] = []
    reasons: list[str] = []
    pulled: list[tuple[tuple[float, float], ...]] = []
    while level > target:
        if len(fractions) == MOST_TURNS:
            msg = (
                f"These limits need more than {MOST_TURNS} exchanges. Allow more at a "
                "time, or look for the source of the nitrate first."
            )
            raise PlanError(msg)
        fraction, why = caps.fraction(level, habit.source_mg_l, values)
        fraction = min(fraction, 1.0)
        level += fraction * (habit.source_mg_l - level)
        new = [p.after(v, fraction) for p, v in zip(caps.pulled, values, strict=True)]
        fractions.append(fraction)
        reasons.append(why)
        pulled.append(tuple(zip(values, new, strict=True)))
        values = [
            p.tank if p.returns else v for p, v in zip(caps.pulled, new, strict=True)
        ]
        if level > target:
            level = float(between.carry(level, rate, habit.source_mg_l))
    return _Path(tuple(fractions), tuple(reasons), tuple(pulled))


def _turns(caps: Caps, path: _Path, runs: Runs, first: dt.date | None) -> list[Turn]:
    """Put the rows of the plan together."""
    rows = []
    for i, (fraction, why) in enumerate(zip(path.fractions, path.reasons, strict=True)):
        day = i * caps.interval_days
        rows.append(
            Turn(
                number=i + 1,
                day=day,
                date=None if first is None else first + dt.timedelta(math.floor(day)),
                fraction=fraction,
                why=why,
                before=runs.band_of(runs.before[i]),
                after=runs.band_of(runs.after[i]),
                pulled=path.pulled[i],
            )
        )
    return rows


def _hold(habit: Habit, rate: float, target: float) -> float | None:
    """Exchange once a week that holds the target, where one does."""
    weekly = replace(habit, interval_days=_HOLD_DAYS)
    try:
        return fraction_for(weekly, rate, target)
    except PlanError:
        return None
