"""Fits and plans as plain values, for scripts."""

from __future__ import annotations

from typing import Any

from kit.away import Homecoming
from kit.catchup import CatchUp
from kit.fit import Estimate, FitResult
from kit.headroom import FeedRoom, FeedTrial
from kit.outcome import Outcome
from kit.plan import Band, Plan

__all__ = [
    "away_as_dict",
    "catch_up_as_dict",
    "feed_as_dict",
    "fit_as_dict",
    "plan_as_dict",
]


def _numbers(e: Estimate | Band | None) -> dict[str, float] | None:
    """Give an estimate as plain values."""
    if e is None:
        return None
    return {"estimate": e.estimate, "low": e.low, "high": e.high}


def fit_as_dict(result: FitResult, more: tuple[str, ...] = ()) -> dict[str, Any]:
    """Give a fit as plain values.

    Parameters
    ----------
    result : FitResult
        From `kit.fit.rate`.
    more : tuple of str, optional
        Further statements, on the log.

    Returns
    -------
    dict
        Rates as NO3 [mg/L/day], yield [mg/g], levels [mg/L], volume [L].
    """
    return {
        "net_rate_mg_l_day": _numbers(result.net_rate),
        "usual_rate_mg_l_day": _numbers(result.usual_rate),
        "loss_per_day": _numbers(result.loss_per_day),
        "feed_yield_mg_g": _numbers(result.feed_yield),
        "volume_l": result.volume_l,
        "method": result.method,
        "tests_used": len(result.tests),
        "statements": list(result.statements + more),
        "assumptions": list(result.assumptions),
        "fitted": [
            {
                "date": t.date.isoformat(),
                "time": None if t.time is None else t.time.isoformat("minutes"),
                "low": t.low_mg_l,
                "high": t.high_mg_l,
                "fitted": t.fitted.estimate,
                "band": [t.fitted.low, t.fitted.high],
                "file": t.file,
                "line": t.line,
            }
            for t in result.tests
        ],
        "level_now_mg_l": _numbers(result.level_now),
        "reading_noise": _numbers(result.reading_noise),
        "tank_noise_mg_l_root_day": _numbers(result.tank_noise),
        "plain_least_squares_mg_l_day": _numbers(result.simple_rate),
        "chart_alone_allows_mg_l_day": (
            None if result.band_range is None else list(result.band_range)
        ),
        "upper_bound_mg_l_day": result.upper_bound,
        "source_mg_l": result.source_mg_l,
        "refused": result.refused,
    }


def _one_plan(p: Plan | None, litres_known: bool) -> dict[str, Any]:
    """Give one plan as plain values; nulls where there is none."""
    if p is None:
        names = (
            "percent every_days drip_l_day peak_mg_l trough_mg_l mean_mg_l "
            "cycles_to_95 litres_month ceiling_mg_l chance_under_ceiling"
        )
        return dict.fromkeys(names.split())
    return {
        "percent": 100.0 * p.habit.fraction,
        "every_days": p.habit.interval_days,
        "drip_l_day": p.habit.drip_l_day,
        "peak_mg_l": _numbers(p.peak_mg_l),
        "trough_mg_l": _numbers(p.trough_mg_l),
        "mean_mg_l": _numbers(p.mean_mg_l),
        "cycles_to_95": p.cycles_to_95,
        "litres_month": p.litres_month if litres_known else None,
        "ceiling_mg_l": p.ceiling_mg_l,
        "chance_under_ceiling": p.chance_under_ceiling,
    }


def plan_as_dict(outcome: Outcome) -> dict[str, Any]:
    """Give a plan as plain values.

    Parameters
    ----------
    outcome : Outcome
        From `kit.outcome.plan_for`.

    Returns
    -------
    dict
        Levels as NO3 [mg/L], water [L/month], chance [-]; ``surer`` is the solved plan
        that stays under the ceiling nine times in ten.
    """
    out = _one_plan(outcome.plan, outcome.litres_known)
    surer = outcome.surer
    out["surer"] = None if surer is None else _one_plan(surer, outcome.litres_known)
    out["infeasible"] = (
        outcome.why if outcome.plan is None and not outcome.refused else None
    )
    out["refused"] = outcome.why if outcome.refused else None
    return out


def catch_up_as_dict(found: CatchUp) -> dict[str, Any]:
    """Give a way down as plain values.

    Parameters
    ----------
    found : CatchUp
        From `kit.catchup.catch_up`.

    Returns
    -------
    dict
        Levels as NO3 [mg/L], parts of the water [%], water [L], time [day].
    """
    hold = found.hold_fraction
    return {
        "start_mg_l": _numbers(found.start_mg_l),
        "target_mg_l": found.target_mg_l,
        "one_go_percent": 100.0 * found.one_go,
        "exchanges_needed": _numbers(found.needed),
        "days": found.days,
        "litres": found.litres,
        "hold_weekly_percent": None if hold is None else 100.0 * hold,
        "chance_at_target": found.chance,
        "exchanges": [
            {
                "number": turn.number,
                "day": turn.day,
                "date": None if turn.date is None else turn.date.isoformat(),
                "percent": 100.0 * turn.fraction,
                "limited_by": turn.why,
                "before_mg_l": _numbers(turn.before),
                "after_mg_l": _numbers(turn.after),
            }
            for turn in found.turns
        ],
    }


def feed_as_dict(trial: FeedTrial, room: FeedRoom | None) -> dict[str, Any]:
    """Give a change of food as plain values.

    Parameters
    ----------
    trial : FeedTrial
        From `kit.headroom.try_feed`.
    room : FeedRoom or None
        From `kit.headroom.feed_room`; None without a ceiling.

    Returns
    -------
    dict
        Food [g/day], levels as NO3 [mg/L], yield [mg/g], time [day].
    """
    grams = trial.grams
    return {
        "added_g_day": trial.added_g_day,
        "peak_now_mg_l": _numbers(trial.now.peak_mg_l),
        "peak_then_mg_l": _numbers(trial.then.peak_mg_l),
        "chance_under_ceiling": trial.then.chance_under_ceiling,
        "days_to_95": trial.days_to_95,
        "one_test_tells_on_day": trial.tells_on,
        "room_g_day": None if room is None else _numbers(room.room_g_day),
        "feed_g_day": None if room is None else room.feed_g_day,
        "yield_mg_g": {
            "estimate": grams.mg_g,
            "low": grams.low_mg_g,
            "high": grams.high_mg_g,
            "from_the_log": grams.earned,
        },
    }


def away_as_dict(found: Homecoming) -> dict[str, Any]:
    """Give a time away as plain values.

    Parameters
    ----------
    found : Homecoming
        From `kit.away.come_home`.

    Returns
    -------
    dict
        Levels as NO3 [mg/L], time [day], water [L], fall [cm], salinity [g/kg].
    """
    return {
        "days": found.trip.days,
        "feed_g_day": found.trip.feed_g_day,
        "leaving_mg_l": _numbers(found.leaving_mg_l),
        "home_mg_l": _numbers(found.home_mg_l),
        "home_topped_up_mg_l": _numbers(found.topped_mg_l),
        "home_feeder_spilled_mg_l": _numbers(found.spilled_mg_l),
        "peak_mg_l": _numbers(found.peak_mg_l),
        "peak_without_exchanges_mg_l": _numbers(found.peak_as_usual_mg_l),
        "water_lost_l": found.lost_l,
        "fall_cm": found.fall_cm,
        "salt_g_kg": found.salt_g_kg,
        "days_until_ceiling": [
            {"part_of_usual_food": part, "days": _numbers(days)}
            for part, days in found.until
        ],
        "chance_under_ceiling": found.chance,
    }
