"""Which test next, for one log: what would narrow its answer, and by how much."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from kit import fit
from kit.ahead._candidates import candidates, many_tanks, with_unknown_source
from kit.ahead._future import future_draws
from kit.ahead._kit import Kit, kit_of
from kit.ahead._outlook import days_to_exchange
from kit.ahead._worth import Advice, advise
from kit.errors import PlanError
from kit.fit import Estimate, FitResult
from kit.logbook import Logbook
from kit.sawtooth import Habit

__all__ = ["NextTests", "next_tests"]

_KIT_EFFECT: Final = "a steady error of the kit"
_TENTH: Final = 0.1


@dataclass(frozen=True, slots=True)
class NextTests:
    """What to test next in one tank.

    Parameters
    ----------
    advice : Advice
        Tests ranked, and the calendar.
    kit : Kit
        The kit in hand.
    rate : Estimate
        The rate as far as it is known, all that the ranking counts taken in.
        [mg/L/day]
    source_known : bool
        Whether the new water was ever tested or stated; if not, it is counted as 0 to
        50 mg/L.
    kit_bias : float
        How far the kit was taken to be off; 0 for a kit taken as right. [-]
    by_peak : bool
        Whether the calendar narrows the usual peak and not the rate.
    """

    advice: Advice
    kit: Kit
    rate: Estimate
    source_known: bool
    kit_bias: float
    by_peak: bool


def next_tests(
    log: Logbook,
    result: FitResult,
    habit: Habit,
    *,
    days: int = 28,
    budget: int = 4,
    by_peak: bool = False,
    kit_bias: float = 0.0,
    refit: Callable[[Logbook], FitResult] = fit.rate,
) -> NextTests:
    """Rank the tests of the next weeks for one log.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    result : FitResult
        Its fit.
    habit : Habit
        What is done meanwhile.
    days : int, optional
        How far ahead. [day]
    budget : int, optional
        Tests in the calendar.
    by_peak : bool, optional
        Narrow the usual peak and not the rate.
    kit_bias : float, optional
        How far the kit may steadily be off, 0.15 for 15 %; 0 takes it as right. [-]
    refit : callable, optional
        Gives the fit of a log; used where the new water was never tested.

    Returns
    -------
    NextTests
        With the widths that each test would leave.

    Raises
    ------
    PlanError
        The log gives no rate.
    """
    known = result if result.source_known else refit(with_unknown_source(log))
    if known.net_rate is None or not len(known.draws):
        raise PlanError(known.refused or "This log gives no rate to narrow.")
    kit = kit_of(log, known)
    # The habit as the draws have it: level, rate and source of a draw go together.
    source = float(np.median(known.draws.source_mg_l))
    habit = replace(habit, source_mg_l=source)
    first = days_to_exchange(log, habit.interval_days)
    listed = candidates(
        habit,
        kit,
        start=_last_day(log),
        days=days,
        first_days=first,
        usual_mg_l=float(np.median(known.draws.level_mg_l)),
    )
    many = many_tanks(
        habit,
        future_draws(known),
        listed,
        first_days=first,
        kit_bias=kit_bias,
        bias_effect=_effect_of_kit(known),
    )
    low, middle, high = np.quantile(many.draws.rate_mg_l_day, [0.025, 0.5, 0.975])
    return NextTests(
        advise(habit, many, kit, budget=budget, by_peak=by_peak),
        kit,
        Estimate(float(middle), float(low), float(high)),
        result.source_known,
        kit_bias,
        by_peak,
    )


def _last_day(log: Logbook) -> dt.date:
    """Day of the last test or exchange."""
    return max([t.date for t in log.tests] + [e.date for e in log.exchanges])


def _effect_of_kit(result: FitResult) -> float:
    """Change of the rate for a kit that reads twice what is there. [mg/L/day]."""
    for alike in result.alike:
        if alike.what == _KIT_EFFECT:
            return alike.effect / _TENTH
    return 0.0 if result.net_rate is None else -result.net_rate.estimate
