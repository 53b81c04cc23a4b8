"""Plans for a case: catching up, more food or fish, a time away."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from kit.cli._shortlist import everyday_plans
from kit.errors import KitError

if TYPE_CHECKING:
    from kit.catchup import CatchUp
    from kit.fit import FitResult
    from kit.logbook import Logbook
    from kit.sawtooth import Habit
    from kit.subject import Subject

__all__ = ["add_case_options", "case_of", "plan_case"]

_MOST = 1e6
_SURE = 0.9
"""Chance for a shortlist where none is named. [-]"""
_RANGES: Final = {
    "percent": (0.0, 100.0),
    "every": (0.01, 3650.0),
    "target": (0.0, _MOST),
    "nitrate-step": (0.0, _MOST),
    "percent-a-day": (0.0, 100.0),
    "start-in": (0.0, 365.0),
    "ammonia": (0.0, 100.0),
    "tank-ph": (3.0, 11.0),
    "new-ph": (3.0, 11.0),
    "tank-dkh": (0.0, 100.0),
    "new-dkh": (0.0, 100.0),
    "add-feed": (-_MOST, _MOST),
    "away": (0.01, 365.0),
    "feed-away": (0.0, _MOST),
    "leave-in": (0.0, 365.0),
    "feeder": (0.0, _MOST),
    "evaporation": (0.0, _MOST),
    "area": (1.0, _MOST),
    "salinity": (0.0, 100.0),
    "chance": (0.01, 0.99),
    "max-percent": (1.0, 100.0),
}
"""Least and most of each option."""
_USUAL_PERCENT, _USUAL_DAYS = 20.0, 3.0
"""A cautious way down to begin with; common practice, no source. [%], [day]"""


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
    down.add_argument("--level", help='the level now, as "220" or "200-240", mg/L NO3')
    down.add_argument("--nitrate-step", help="most nitrate to take off at once, mg/L")
    down.add_argument("--percent-a-day", help="most water to change a day, percent")
    down.add_argument("--start-in", help="days from the last entry to the first")
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


def _number(asked: argparse.Namespace, option: str) -> float | None:
    """Read a number of an option, strictly; None where it was not named."""
    text = getattr(asked, option.replace("-", "_"))
    if text is None:
        return None
    low, high = _RANGES[option]
    try:
        value = float(str(text).strip().removesuffix("%"))
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        most = "" if high == _MOST else f" and {high:g}"
        least = f"not below {low:g}" if high == _MOST else f"between {low:g}{most}"
        msg = f"--{option} {str(text)!r} is no number {least}."
        raise KitError(msg)
    return value


def _range(text: str) -> tuple[float, float]:
    """Read a level or a range of levels. [mg/L]."""
    ends = [part.strip() for part in text.split("-")]
    try:
        values = sorted(float(part) for part in ends)
    except ValueError:
        values = []
    if len(values) not in (1, 2) or not all(0.0 <= v <= _MOST for v in values):
        msg = f'--level {text!r} is neither a number nor a range such as "200-240".'
        raise KitError(msg)
    return values[0], values[-1]


def plan_case(
    asked: argparse.Namespace,
    fitted: Callable[[argparse.Namespace], tuple[Logbook, FitResult]],
    drip_l_day: float | None,
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
    for option in _RANGES:
        _number(asked, option)
    if asked.level is not None:
        _range(asked.level)
    log, result = fitted(asked)
    subject = subject_of(log, result)
    if drip_l_day is not None:
        drip = drip_l_day + subject.backwash_l_day
        subject = replace(subject, habit=replace(subject.habit, drip_l_day=drip))
    run = {
        "catch-up": _catch_up,
        "feed": _feed,
        "away": _away,
        "shortlist": _shortlist,
    }
    return run[case_of(asked) or "away"](asked, log, result, subject)


def _habit(asked: argparse.Namespace, habit: Habit) -> Habit:
    """Lay percent and interval, where named, over the log's habit."""
    percent = _number(asked, "percent")
    days = _number(asked, "every")
    return replace(
        habit,
        fraction=habit.fraction if percent is None else percent / 100.0,
        interval_days=habit.interval_days if days is None else days,
    )


def _catch_up(
    asked: argparse.Namespace, log: Logbook, result: FitResult, subject: Subject
) -> tuple[Sequence[str], dict[str, Any]]:
    from kit import catchup, cautions, exports

    target = _target(asked, log)
    usual = min(_USUAL_PERCENT, log.tank.max_percent or _USUAL_PERCENT)
    caps = catchup.Caps(
        _number(asked, "percent") or usual,
        _number(asked, "every") or _USUAL_DAYS,
        nitrate_step_mg_l=_number(asked, "nitrate-step"),
        percent_a_day=_number(asked, "percent-a-day"),
    )
    draws, level = subject.draws, subject.level_mg_l
    if asked.level is not None:
        low, high = _range(asked.level)
        draws, level = catchup.stated_start(draws, low, high), (low + high) / 2.0
    found = catchup.catch_up(
        subject.habit,
        subject.rate_mg_l_day,
        level,
        target,
        caps,
        draws=draws,
        now=subject.last,
        wait_days=_number(asked, "start-in") or 0.0,
    )
    said = [*cautions.for_page(*cautions.CATCH_UP), ""]
    said += _down_said(asked, found, log, subject)
    return said, exports.catch_up_as_dict(found)


def _down_said(
    asked: argparse.Namespace, found: CatchUp, log: Logbook, subject: Subject
) -> Sequence[str]:
    """Say a way down, with what else was tested and each exchange."""
    from kit import catchup

    known, units = subject.source_known, asked.units
    tested = catchup.TwoWaters(
        _number(asked, "tank-ph"),
        _number(asked, "new-ph"),
        _number(asked, "ammonia"),
        tank_dkh=_number(asked, "tank-dkh"),
        new_dkh=_number(asked, "new-dkh"),
    )
    check = catchup.check_water(found, tested)
    said = catchup.catch_up_sentences(found, check, source_known=known, output=units)
    if not found.turns:
        return said
    rows = catchup.catch_up_rows(found, log.tank, output=units)
    lines = [_line(catchup.HEADS, row) for row in rows]
    return [*said, "", catchup.STOP_SIGNS, *lines]


def _target(asked: argparse.Namespace, log: Logbook) -> float:
    """Give where to come down to: as named, else the keeper's ceiling. [mg/L]."""
    target = _number(asked, "target") or log.tank.ceiling_mg_l
    if target is None:
        msg = "Say where to come down to: add --target, or your --ceiling, in mg/L."
        raise KitError(msg)
    return target


def _line(heads: Sequence[str], row: Sequence[str]) -> str:
    """Write a row of a table as one line."""
    lower = [h[0].lower() + h[1:] for h in heads[1:]]
    named = [f"{h}: {c}" for h, c in zip(lower, row[1:], strict=True)]
    return "; ".join([row[0], *named])


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
        _number(asked, "add-feed") or 0.0,
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
    air = _number(asked, "evaporation")
    if air is not None:
        habit = replace(habit, evaporation_l_day=air)
    leave, feed = _number(asked, "leave-in"), _number(asked, "feed-away")
    trip = away.Trip(
        days=_number(asked, "away") or 0.0,
        feed_g_day=feed if feed is not None else result.feed_g_day or 0.0,
        leave_in_days=away.usual_leaving(log, habit) if leave is None else leave,
        since_exchange_days=away.days_since_exchange(log),
        feeder_g=_number(asked, "feeder"),
        area_cm2=_number(asked, "area"),
        salt_g_kg=_number(asked, "salinity"),
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
    own = _number(asked, "max-percent")
    return everyday_plans(
        log,
        subject,
        chance=_number(asked, "chance") or _SURE,
        max_percent=subject.max_percent if own is None else own,
        output=asked.units,
    )
