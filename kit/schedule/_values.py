"""Everyday plans as plain values, for scripts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kit.plan import Band
from kit.schedule.line import Line
from kit.schedule.shortlist import Offer
from kit.schedule.trial import Trial

__all__ = ["shortlist_as_dict"]


def _numbers(b: Band) -> dict[str, float]:
    return {"estimate": b.estimate, "low": b.low, "high": b.high}


def _one_line(line: Line) -> dict[str, Any]:
    """Give one line of a comparison as plain values."""
    habit, month = line.habit, line.month
    return {
        "percent": 100.0 * habit.fraction,
        "every_days": habit.interval_days if habit.fraction > 0.0 else None,
        "drip_l_day": habit.drip_l_day,
        "peak_mg_l": _numbers(line.peak_mg_l),
        "trough_mg_l": _numbers(line.trough_mg_l),
        "mean_mg_l": _numbers(line.mean_mg_l),
        "swing_mg_l": line.swing_mg_l,
        "chance_single_peak_under_ceiling": line.chance,
        "litres_month": month.litres,
        "heating_kwh_month": month.heating_kwh,
        "money_month": month.money,
        "minutes_month": line.minutes_month,
        "colder_by_c": line.drop_c,
    }


def shortlist_as_dict(
    trial: Trial, offers: Sequence[Offer], statements: Sequence[str] = ()
) -> dict[str, Any]:
    """Give everyday plans as plain values.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    offers : sequence of Offer
        From `kit.schedule.shortlist`.
    statements : sequence of str, optional
        What is said of them.

    Returns
    -------
    dict
        Levels as NO3 [mg/L], water [L/month], time [min/month], chance [-]; null
        where nothing is stated.
    """
    left = [o for o in offers if o.line is None]
    return {
        "ceiling_mg_l": trial.ceiling_mg_l,
        "plans": [_one_line(o.line) for o in offers if o.line is not None],
        "left_out": [
            {
                "way": o.way,
                "every_days": o.interval_days if o.way != "drip" else None,
                "lacks": o.lacks,
                "percent_needed": o.needs,
                "reaches_mg_l": o.reaches_mg_l,
            }
            for o in left
        ],
        "statements": list(statements),
    }
