"""A few everyday plans that hold one ceiling with one chance, side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kit.sawtooth import Habit
from kit.schedule.grid import long_runs
from kit.schedule.line import Line, Terms, line_for
from kit.schedule.trial import Trial, chances

__all__ = [
    "EVERYDAY",
    "MONTHLY",
    "Offer",
    "drip_for_chance",
    "equal_water",
    "percent_for_chance",
    "shortlist",
]

EVERYDAY = (3.0, 7.0, 10.0, 14.0, 28.0)
"""Intervals people keep: twice a week nearly, a week, ten days, two, four. [day]"""
MONTHLY = 28.0
"""Interval of the exchange that goes with a drip. [day]"""
_USUAL_FRACTION = 0.2
"""Monthly exchange beside a drip where the log shows none: common practice. [-]"""
_SPARE = 10.0
_MOST = 6
_HALVINGS = 24


@dataclass(frozen=True, slots=True)
class Offer:
    """One everyday way of keeping the tank, or why it does not do.

    Parameters
    ----------
    way : {"every", "drip", "both"}
        Exchanges at an interval, a drip alone, or a monthly exchange and a drip.
    interval_days : float
        Days between exchanges; of no meaning for a drip alone. [day]
    line : Line or None
        The plan worked out; None where there is none.
    lacks : {"", "source", "water", "limit", "nothing to do"}
        Why there is none: the new water is too high, not even all the water (or a
        tankful a day) suffices, it takes more than the keeper's limit, or the ceiling
        holds without it.
    needs : float
        What it would take where it passes the limit. [%]
    reaches_mg_l : float
        Usual peak with all the water, or a tankful a day, where that is too little.
        [mg/L]
    """

    way: str
    interval_days: float
    line: Line | None = None
    lacks: str = ""
    needs: float = math.nan
    reaches_mg_l: float = math.nan


def percent_for_chance(
    trial: Trial, interval_days: float, chance: float
) -> float | None:
    """Least whole percent at an interval that holds the ceiling with a chance.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    interval_days : float
        Days between exchanges. [day]
    chance : float
        Chance wanted that a single peak stays under the ceiling, 0 to 1. [-]

    Returns
    -------
    float or None
        0 to 100; None where not even all the water does. [%]
    """
    whole = np.arange(101.0)
    held = chances(trial, whole / 100.0, np.array(interval_days)) >= chance
    return float(whole[np.argmax(held)]) if held.any() else None


def _chance_with_drip(trial: Trial, habit: Habit, drip_l_day: float) -> float:
    own = replace(trial, habit=replace(habit, drip_l_day=drip_l_day))
    at = np.array(habit.fraction), np.array(habit.interval_days)
    return float(chances(own, *at))


def drip_for_chance(trial: Trial, habit: Habit, chance: float) -> float | None:
    """Least drip beside a habit's exchanges that holds the ceiling with a chance.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    habit : Habit
        Percent and interval beside the drip; its own drip is not used.
    chance : float
        As in `percent_for_chance`. [-]

    Returns
    -------
    float or None
        Rounded up to what a cup and a watch can set; None where not even a tankful a
        day does. [L/day]
    """
    low, high = 0.0, habit.volume_l
    if _chance_with_drip(trial, habit, low) >= chance:
        return low
    if _chance_with_drip(trial, habit, high) < chance:
        return None
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _chance_with_drip(trial, habit, middle) >= chance:
            high = middle
        else:
            low = middle
    step = 0.1 if high < 10.0 else 0.5 if high < 50.0 else 1.0
    return round(math.ceil(high / step - 1e-6) * step, 6)


def shortlist(
    trial: Trial,
    terms: Terms,
    *,
    chance: float = 0.9,
    max_percent: float | None = None,
) -> tuple[Offer, ...]:
    """Set everyday plans side by side that hold the ceiling.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    terms : Terms
        Warmth, time and prices.
    chance : float, optional
        Chance wanted that a single peak stays under the ceiling, 0 to 1. [-]
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]

    Returns
    -------
    tuple of Offer
        By days between exchanges, then a drip alone, then a monthly exchange and a
        drip; at most six that hold, and each that does not with why.
    """
    offers = [
        _at_interval(trial, terms, days, chance, max_percent) for days in EVERYDAY
    ]
    offers += [
        _by_drip(trial, terms, chance),
        _by_both(trial, terms, chance, max_percent),
    ]
    if sum(o.line is not None for o in offers) > _MOST:
        offers = [o for o in offers if (o.way, o.interval_days) != ("every", _SPARE)]
    return tuple(offers)


def _at_interval(
    trial: Trial, terms: Terms, days: float, chance: float, most: float | None
) -> Offer:
    """Exchanges at an interval, beside the drip that runs."""
    percent = percent_for_chance(trial, days, chance)
    offer = Offer("every", days)
    if percent is None:
        full = replace(trial.habit, fraction=1.0, interval_days=days)
        return _too_little(trial, offer, full)
    if percent == 0.0:
        return replace(offer, lacks="nothing to do")
    if most is not None and percent > most:
        return replace(offer, lacks="limit", needs=percent)
    habit = replace(trial.habit, fraction=percent / 100.0, interval_days=days)
    return replace(offer, line=line_for(trial, habit, terms))


def _by_drip(trial: Trial, terms: Terms, chance: float) -> Offer:
    """A drip alone."""
    habit = replace(trial.habit, fraction=0.0, interval_days=1.0)
    return _dripped(trial, terms, Offer("drip", 1.0), habit, chance)


def _by_both(trial: Trial, terms: Terms, chance: float, most: float | None) -> Offer:
    """The log's usual exchange once in four weeks, and a drip."""
    usual = round(trial.habit.fraction, 2) or _USUAL_FRACTION
    fraction = min(usual, 1.0 if most is None else most / 100.0)
    habit = replace(trial.habit, fraction=fraction, interval_days=MONTHLY)
    return _dripped(trial, terms, Offer("both", MONTHLY), habit, chance)


def _dripped(
    trial: Trial, terms: Terms, offer: Offer, habit: Habit, chance: float
) -> Offer:
    """Find the drip, or say why there is none."""
    drip = drip_for_chance(trial, habit, chance)
    if drip is None:
        return _too_little(trial, offer, replace(habit, drip_l_day=habit.volume_l))
    if drip == 0.0:
        return replace(offer, lacks="nothing to do")
    return replace(offer, line=line_for(trial, replace(habit, drip_l_day=drip), terms))


def _too_little(trial: Trial, offer: Offer, most: Habit) -> Offer:
    """Say whether the new water or the amount of it is what stands in the way."""
    if trial.habit.source_mg_l >= trial.ceiling_mg_l:
        return replace(offer, lacks="source")
    run = long_runs(most, most.fraction, most.interval_days, trial.rate_mg_l_day)
    return replace(offer, lacks="water", reaches_mg_l=float(run.peak_mg_l))


def equal_water(
    trial: Trial, like: Habit, terms: Terms, *, max_percent: float | None = None
) -> tuple[Offer, ...]:
    """Set the everyday ways side by side at the water of one habit.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    like : Habit
        The habit whose exchange water a day all of them use; its drip goes on.
    terms : Terms
        Warmth, time and prices.
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]

    Returns
    -------
    tuple of Offer
        As of `shortlist`; the last one gives half the water at once and half by drip.

    Notes
    -----
    Without drip or loss all of them peak at ``Cs + g V / w`` for ``w`` litres a day:
    equal water, equal peak. Means and swings differ.
    """
    water = like.fraction * like.volume_l / like.interval_days
    drip_alone = replace(
        like, fraction=0.0, interval_days=1.0, drip_l_day=like.drip_l_day + water
    )
    half = replace(
        like,
        fraction=min(water / 2.0 * MONTHLY / like.volume_l, 1.0),
        interval_days=MONTHLY,
        drip_l_day=like.drip_l_day + water / 2.0,
    )
    offers = [_of_water(trial, like, terms, days, max_percent) for days in EVERYDAY]
    offers.append(Offer("drip", 1.0, line_for(trial, drip_alone, terms)))
    if max_percent is not None and 100.0 * half.fraction > max_percent + 1e-9:
        offers.append(
            Offer("both", MONTHLY, lacks="limit", needs=100.0 * half.fraction)
        )
    else:
        offers.append(Offer("both", MONTHLY, line_for(trial, half, terms)))
    return tuple(offers)


def _of_water(
    trial: Trial, like: Habit, terms: Terms, days: float, most: float | None
) -> Offer:
    """Exchanges at an interval that use as much water as another habit."""
    fraction = like.fraction * days / like.interval_days
    offer = Offer("every", days)
    limit = 100.0 if most is None else most
    if 100.0 * fraction > limit + 1e-9:
        return replace(offer, lacks="limit", needs=100.0 * fraction)
    habit = replace(like, fraction=fraction, interval_days=days)
    return replace(offer, line=line_for(trial, habit, terms))
