"""One plan for a fitted tank: given, or solved for the keeper's ceiling, or why not."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kit.errors import PlanError
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.plan import Plan, plan, solve_interval, solve_percent
from kit.sawtooth import Habit
from kit.subject import Subject, subject_of

__all__ = ["SURE", "Outcome", "plan_for"]

SURE = 0.9
"""Chance of staying under the ceiling that a solved plan is also worked out for. [-]"""
_UNIT_VOLUME_L = 100.0


@dataclass(frozen=True, slots=True)
class Outcome:
    """A plan, or why there is none.

    Parameters
    ----------
    plan : Plan or None
        The plan.
    surer : Plan or None
        For a solved plan: the one that stays under the ceiling nine times in ten.
    why : str
        Why there is no plan; ``""`` when there is one.
    refused : bool
        True when the log carries no rate at all, False when the ceiling cannot be
        held.
    litres_known : bool
        False when the volume is not stated, so that litres mean nothing.
    backwash_l_day : float
        Part of the plan's drip that stands for the log's backwashes. [L/day]
    """

    plan: Plan | None
    surer: Plan | None = None
    why: str = ""
    refused: bool = False
    litres_known: bool = True
    backwash_l_day: float = 0.0


def plan_for(
    log: Logbook,
    result: FitResult,
    *,
    percent: float | None,
    every_days: float | None,
    drip_l_day: float | None = None,
) -> Outcome:
    """Plan a habit, or solve for its percent or interval against the ceiling.

    Parameters
    ----------
    log : Logbook
        The log, for volume, drip and ceiling.
    result : FitResult
        Its fit.
    percent : float or None
        Percent exchanged each time; None to solve for it. [%]
    every_days : float or None
        Days between exchanges; None to solve for it. [day]
    drip_l_day : float, optional
        Drip to plan with; the log's own when left out. [L/day]

    Returns
    -------
    Outcome
        The plan, or why there is none.
    """
    if result.net_rate is None:
        return Outcome(None, why=result.refused or "", refused=True)
    known = log.tank.volume_l is not None
    drips = bool(drip_l_day) or log.tank.drip_l_day > 0
    if not known and drips:
        why = "A drip means nothing without the tank's volume: state it."
        return Outcome(None, why=why)
    if not known:
        # Percent, interval and levels need no volume; only litres do.
        log = replace(log, tank=replace(log.tank, volume_l=_UNIT_VOLUME_L))
    try:
        subject = subject_of(log, result)
        habit = _habit(subject, percent, every_days, drip_l_day)
        found = _planned(subject, habit, percent is None, every_days is None)
    except PlanError as why_not:
        return Outcome(None, why=str(why_not))
    return replace(found, litres_known=known, backwash_l_day=subject.backwash_l_day)


def _habit(
    subject: Subject,
    percent: float | None,
    every_days: float | None,
    drip_l_day: float | None,
) -> Habit:
    """Lay what was asked over the log's own habit."""
    habit = subject.habit
    return replace(
        habit,
        fraction=0.0 if percent is None else percent / 100.0,
        interval_days=habit.interval_days if every_days is None else every_days,
        drip_l_day=(
            habit.drip_l_day
            if drip_l_day is None
            else drip_l_day + subject.backwash_l_day
        ),
    )


def _planned(
    subject: Subject, habit: Habit, percent_open: bool, days_open: bool
) -> Outcome:
    """Plan as given, or solve for what is open, once more for a surer plan."""
    rates, ceiling = subject.draws.rate_mg_l_day, subject.ceiling_mg_l
    rate = subject.rate_mg_l_day

    def carried(solved: Habit) -> Plan:
        errors = subject.draws.source_errors()
        return plan(solved, rate, rates, source_errors=errors, ceiling_mg_l=ceiling)

    if not percent_open and not days_open:
        return Outcome(carried(habit))
    if ceiling is None:
        msg = "To solve for it the plan needs your ceiling: add --ceiling, in mg/L."
        raise PlanError(msg)
    if percent_open and days_open:
        msg = "Give either the percent or the interval; the other can be solved for."
        raise PlanError(msg)

    def solved(chance: float | None) -> Habit:
        if days_open:
            return solve_interval(habit, rate, ceiling, rate_draws=rates, chance=chance)
        return solve_percent(
            habit,
            rate,
            ceiling,
            rate_draws=rates,
            chance=chance,
            max_percent=subject.max_percent,
        )

    first = carried(solved(None))
    try:
        return Outcome(first, surer=carried(solved(SURE)))
    except PlanError:
        return Outcome(first)
