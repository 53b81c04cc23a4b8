"""Plans for a case: catching up, more food or fish, a time away."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kit.cli._dates import old_log_said
from kit.cli._down import coming_down
from kit.cli._numbers import RANGES, level_range, number_of
from kit.cli._shortlist import everyday_plans
from kit.errors import KitError

if TYPE_CHECKING:
    from kit.fit import FitResult
    from kit.logbook import Logbook
    from kit.sawtooth import Habit
    from kit.subject import Subject

__all__ = ["add_case_options", "case_of", "plan_case"]

_SURE = 0.9
"""Chance for a shortlist where none is named. [-]"""


def add_case_options(plan: argparse.ArgumentParser) -> None:
    """Describe what may stand on the line of such a plan.

    Parameters
    ----------
    plan : argparse.ArgumentParser
        The parser of the plan command.
    """
    down = plan.add_argument_group("coming down from a high level")
    down.add_argument(
        "--catch-up",
        action="store_true",
        help="exchanges of at most --percent, each --every days, down to --target",
    )
    down.add_argument("--target", help="where to come down to, mg/L NO3")
    down.add_argument("--level", help='level of today, "220" or "200-240", mg/L NO3')
    down.add_argument("--nitrate-step", help="most nitrate to take off at once, mg/L")
    down.add_argument("--percent-a-day", help="most water to change a day, percent")
    down.add_argument(
        "--start-in",
        help="days to the first, from the last entry (--level: today)",
    )
    down.add_argument("--ammonia", help="total ammonia of the tank, mg/L as nitrogen")
    down.add_argument("--tank-ph", help="pH of the tank")
    down.add_argument("--new-ph", help="pH of the new water")
    down.add_argument("--tank-dkh", help="carbonate hardness of the tank, dKH")
    down.add_argument("--new-dkh", help="carbonate hardness of the new water, dKH")
    food = plan.add_argument_group("more food or fish")
    food.add_argument("--add-feed", help="food to add, g a day; below 0 for less")
    food.add_argument(
        "--food", choices=("dry", "frozen"), help="kind, where the log names none"
    )
    plans = plan.add_argument_group("everyday plans side by side")
    plans.add_argument(
        "--shortlist", action="store_true", help="those that hold your ceiling"
    )
    plans.add_argument(
        "--chance", help="how surely single peaks are to stay under it, as 0.9"
    )
    plans.add_argument("--max-percent", help="your most at once, %%")
    away = plan.add_argument_group("a time away")
    away.add_argument("--away", help="days away")
    away.add_argument("--feed-away", help="food while away, g a day")
    away.add_argument("--leave-in", help="days from the last entry to leaving")
    away.add_argument("--feeder", help="all the food the feeder holds, g")
    away.add_argument("--evaporation", help="water lost to the air, L a day")
    away.add_argument("--area", help="surface of the water, cm2")
    away.add_argument("--salinity", help="salinity, g/kg")


def case_of(asked: argparse.Namespace) -> str | None:
    """Name the case asked for; None for a plan of a habit.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.

    Returns
    -------
    {"catch-up", "feed", "away", "shortlist"} or None
        The case.

    Raises
    ------
    KitError
        More than one at once, or a shortlist of one plan.
    """
    named = [
        name
        for name, on in (
            ("catch-up", asked.catch_up),
            ("feed", asked.add_feed is not None),
            ("away", asked.away is not None),
            ("shortlist", asked.shortlist),
        )
        if on
    ]
    if len(named) > 1:
        msg = "Ask for one of --catch-up, --add-feed, --away and --shortlist at a time."
        raise KitError(msg)
    if asked.shortlist and (asked.percent is not None or asked.every is not None):
        msg = "Give either --shortlist, or --percent and --every."
        raise KitError(msg)
    return named[0] if named else None


def plan_case(
    asked: argparse.Namespace,
    fitted: Callable[[argparse.Namespace], tuple[Logbook, FitResult]],
    drip_l_day: float | None,
    today: dt.date,
) -> tuple[Sequence[str], dict[str, Any]]:
    """Plan a case.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.
    fitted : callable
        Loads the log and fits it; called once the options are read.
    drip_l_day : float or None
        Drip to plan with; the log's own when None. [L/day]
    today : datetime.date
        The day it is.

    Returns
    -------
    sequence of str
        Cautions, then the plan in words.
    dict
        The same as plain values.

    Raises
    ------
    KitError
        An option that says no number, or no plan; the text says why.
    """
    from kit.subject import subject_of

    # A slip of the fingers is said at once, not after the fit.
    for option in RANGES:
        number_of(asked, option)
    if asked.level is not None:
        level_range(asked.level)
    log, result = fitted(asked)
    subject = subject_of(log, result)
    if drip_l_day is not None:
        drip = drip_l_day + subject.backwash_l_day
        subject = replace(subject, habit=replace(subject.habit, drip_l_day=drip))
    case = case_of(asked)
    if case == "catch-up":
        return coming_down(asked, log, subject, today)
    run = {"feed": _feed, "away": _away, "shortlist": _shortlist}
    said, values = run[case or "away"](asked, log, result, subject)
    old = old_log_said(subject.last, today) if case == "away" else []
    return [*said, *old], values


def _habit(asked: argparse.Namespace, habit: Habit) -> Habit:
    """Lay percent and interval, where named, over the log's habit."""
    percent = number_of(asked, "percent")
    days = number_of(asked, "every")
    return replace(
        habit,
        fraction=habit.fraction if percent is None else percent / 100.0,
        interval_days=habit.interval_days if days is None else days,
    )


def _feed(
    asked: argparse.Namespace, log: Logbook, result: FitResult, subject: Subject
) -> tuple[Sequence[str], dict[str, Any]]:
    from kit import cautions, exports, headroom
    from kit.feed import believed_yield, usual_food

    habit, goal = _habit(asked, subject.habit), log.tank.ceiling_mg_l
    kind = asked.food or usual_food(log.feedings)
    grams = believed_yield(result.feed_yield, kind)
    rate, draws = subject.rate_mg_l_day, subject.draws
    feed = result.feed_g_day
    noise = result.reading_noise
    trial = headroom.try_feed(
        habit,
        rate,
        subject.level_mg_l,
        number_of(asked, "add-feed") or 0.0,
        grams,
        tank=log.tank,
        reading_noise=0.12 if noise is None else noise.estimate,
        ceiling_mg_l=goal,
        draws=draws,
    )
    room = None
    if goal is not None:
        room = headroom.feed_room(
            habit, rate, goal, grams, feed_g_day=feed, draws=draws
        )
    blends = headroom.blend_table(habit, rate, draws.rate_mg_l_day)
    said = [
        *cautions.for_page(*cautions.FEEDING),
        "",
        *headroom.trial_sentences(trial, start=subject.last),
        *(() if room is None else headroom.room_sentences(room)),
        *headroom.source_sentences(habit, rate, blends),
    ]
    return said, exports.feed_as_dict(trial, room)


def _away(
    asked: argparse.Namespace, log: Logbook, result: FitResult, subject: Subject
) -> tuple[Sequence[str], dict[str, Any]]:
    from kit import away, cautions, exports
    from kit.feed import believed_yield, usual_food

    habit = _habit(asked, subject.habit)
    air = number_of(asked, "evaporation")
    if air is not None:
        habit = replace(habit, evaporation_l_day=air)
    leave, feed = number_of(asked, "leave-in"), number_of(asked, "feed-away")
    trip = away.Trip(
        days=number_of(asked, "away") or 0.0,
        feed_g_day=feed if feed is not None else result.feed_g_day or 0.0,
        leave_in_days=away.usual_leaving(log, habit) if leave is None else leave,
        since_exchange_days=away.days_since_exchange(log),
        feeder_g=number_of(asked, "feeder"),
        area_cm2=number_of(asked, "area"),
        salt_g_kg=number_of(asked, "salinity"),
        backwash_l_day=subject.backwash_l_day,
    )
    found = away.come_home(
        habit,
        subject.rate_mg_l_day,
        subject.level_mg_l,
        trip,
        believed_yield(result.feed_yield, asked.food or usual_food(log.feedings)),
        home_feed_g_day=result.feed_g_day,
        ceiling_mg_l=log.tank.ceiling_mg_l,
        protein_percent=log.tank.feed_protein_percent,
        draws=subject.draws,
    )
    said = [
        *cautions.for_page(*cautions.AWAY),
        "",
        *away.away_sentences(found, start=subject.last, output=asked.units),
    ]
    return said, exports.away_as_dict(found)


def _shortlist(
    asked: argparse.Namespace, log: Logbook, result: FitResult, subject: Subject
) -> tuple[Sequence[str], dict[str, Any]]:
    own = number_of(asked, "max-percent")
    return everyday_plans(
        log,
        subject,
        chance=number_of(asked, "chance") or _SURE,
        max_percent=subject.max_percent if own is None else own,
        output=asked.units,
    )
