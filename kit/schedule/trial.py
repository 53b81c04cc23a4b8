"""What is asked of a fitted tank: a ceiling, and what is to be changed beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from kit.draws import Draws
from kit.fit import FitResult
from kit.makeup.money import MONTH_DAYS
from kit.sawtooth import Habit
from kit.schedule.grid import before_weights, peak_spreads
from kit.steps import Floats
from kit.subject import Subject

__all__ = [
    "Trial",
    "chances",
    "few_draws",
    "food_rate",
    "food_share",
    "seen_l_month",
    "trial_of",
]

_HAIR_MG_L = 1e-9
"""Far below what any kit shows: a peak that meets the ceiling holds it. [mg/L]"""
_CERTAIN = 4.0
"""Spreads from the ceiling past which a chance is 0 or 1 within 0.00004. [-]"""
_CALM = 1e-12
"""Noise of a tank without any, so that it divides. [mg/L per root day]"""


@dataclass(frozen=True, slots=True)
class Trial:
    """A tank with a ceiling to hold, and what is to be changed beside its exchanges.

    Parameters
    ----------
    habit : Habit
        Volume, source, drip, evaporation and losses to reckon with; its percent and
        interval are the tank's present ones.
    rate_mg_l_day : float
        Net rate, as NO3, the food asked about included. [mg/L/day]
    draws : Draws
        Equally likely answers of the fit, shifted likewise; one at least.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]
    """

    habit: Habit
    rate_mg_l_day: float
    draws: Draws
    ceiling_mg_l: float


def food_rate(result: FitResult) -> float | None:
    """Part of the net rate that follows the food, where the log earned it.

    Parameters
    ----------
    result : FitResult
        A fit.

    Returns
    -------
    float or None
        None where the log cannot tell food from the rest. [mg/L/day]
    """
    known = (result.feed_yield, result.feed_g_day, result.volume_l)
    if result.feed_yield is None or None in known or not result.volume_l:
        return None
    return result.feed_yield.estimate * (result.feed_g_day or 0.0) / result.volume_l


def seen_l_month(subject: Subject) -> float | None:
    """New water that the habit a log has seen uses in a mean month.

    Parameters
    ----------
    subject : Subject
        The tank.

    Returns
    -------
    float or None
        None where the log has seen too few exchanges to show a habit. [L/month]
    """
    if subject.seen is None:
        return None
    return subject.habit.water_l_day * MONTH_DAYS


def trial_of(
    subject: Subject,
    ceiling_mg_l: float,
    *,
    drip_l_day: float | None = None,
    source_mg_l: float | None = None,
    food_times: float = 1.0,
    food_rate_mg_l_day: float | None = None,
) -> Trial:
    """Lay what is asked over a fitted tank.

    Parameters
    ----------
    subject : Subject
        The tank.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]
    drip_l_day : float, optional
        Drip to run; the tank's own when left out. [L/day]
    source_mg_l : float, optional
        Nitrate of the new water to use; the tank's own when left out. The draws keep
        their spread round it. [mg/L]
    food_times : float, optional
        Food against that of the log: 1 as now, 0.5 half of it. [-]
    food_rate_mg_l_day : float, optional
        Part of the net rate that follows the food; the whole of it when left out.
        [mg/L/day]

    Returns
    -------
    Trial
        Ready for a map or a shortlist.
    """
    own, draws = subject.habit, subject.draws
    habit = replace(
        own,
        drip_l_day=own.drip_l_day if drip_l_day is None else drip_l_day,
        source_mg_l=own.source_mg_l if source_mg_l is None else source_mg_l,
    )
    if not len(draws):
        draws = Draws(
            np.array([subject.rate_mg_l_day]),
            np.array([subject.level_mg_l]),
            np.zeros(1),
            np.array([own.source_mg_l]),
        )
    more, rate = food_times - 1.0, subject.rate_mg_l_day
    by_food = food_rate_mg_l_day
    shift = habit.source_mg_l - own.source_mg_l
    return Trial(
        habit,
        rate + more * (rate if by_food is None else by_food),
        replace(
            draws,
            rate_mg_l_day=draws.rate_mg_l_day
            + more * (draws.rate_mg_l_day if by_food is None else by_food),
            source_mg_l=np.maximum(draws.source_mg_l + shift, 0.0),
        ),
        ceiling_mg_l,
    )


def food_share(trial: Trial, fraction: float, interval_days: float) -> float:
    """Part of the rate with which a habit's usual peak meets the ceiling.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    fraction, interval_days : float
        Part exchanged [-] and days between [day].

    Returns
    -------
    float
        More than 1 where there is room, below 0 where no food would do; it is the
        part of the food only where the whole rate follows the food. [-]

    Examples
    --------
    >>> sure = Draws(*(np.array([v]) for v in (2.0, 30.0, 0.0, 5.0)))
    >>> food_share(Trial(Habit(200.0, 0.4, 7.0, 5.0), 2.0, sure, 40.0), 0.2, 7.0)
    0.5
    """
    of_rate, of_source = before_weights(
        trial.habit, np.asarray(fraction), np.asarray(interval_days)
    )
    room = trial.ceiling_mg_l - float(of_source) * trial.habit.source_mg_l
    if trial.rate_mg_l_day <= 0.0:
        return np.inf
    return room / float(of_rate) / trial.rate_mg_l_day


def few_draws(draws: Draws, most: int) -> Draws:
    """Give fewer draws that keep the spread of the rate.

    Parameters
    ----------
    draws : Draws
        Equally likely answers of a fit.
    most : int
        How many to keep at most.

    Returns
    -------
    Draws
        Evenly spaced ones in the order of the rate, from the middle of each share.
    """
    if len(draws) <= most:
        return draws
    places = ((np.arange(most) + 0.5) * len(draws) / most).astype(np.intp)
    return draws.pick(np.argsort(draws.rate_mg_l_day, kind="stable")[places])


def chances(
    trial: Trial,
    fraction: Floats,
    interval_days: Floats,
    *,
    draws: Draws | None = None,
) -> Floats:
    """Chance that a single peak stays under the ceiling, for many habits.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    fraction, interval_days : ndarray
        Parts exchanged [-] and days between [day]; they broadcast.
    draws : Draws, optional
        Draws to use in place of the trial's own.

    Returns
    -------
    ndarray
        Chances, 0 to 1, of the common shape. [-]

    Notes
    -----
    Mean over the draws of ``Phi((ceiling - usual peak)/spread)``, with the usual peak
    from each draw's rate and source and the spread from its tank noise
    (`kit.sawtooth.peak_spread`).

    Examples
    --------
    >>> sure = Draws(*(np.array([v]) for v in (1.0, 30.0, 0.0, 10.0)))
    >>> trial = Trial(Habit(200.0, 0.25, 7.0, 10.0), 1.0, sure, 38.0)
    >>> chances(trial, np.array([0.24, 0.25]), np.array(7.0)).tolist()
    [0.0, 1.0]
    """
    drawn = trial.draws if draws is None else draws
    f, days = np.broadcast_arrays(
        np.asarray(fraction, float), np.asarray(interval_days, float)
    )
    spread = peak_spreads(trial.habit, f, days).reshape(-1)
    weights = np.stack(
        [w.reshape(-1) for w in before_weights(trial.habit, f, days)], axis=1
    )
    parts, held = f.reshape(-1), np.isfinite(spread)
    out = np.empty(parts.shape)
    # With nothing leaving, only a tank that does not rise stays under any ceiling.
    fed = trial.habit.inflow_l_day / trial.habit.volume_l * drawn.source_mg_l
    out[~held] = np.mean(drawn.rate_mg_l_day + fed <= 0.0)
    out[held] = _held_chances(trial, drawn, weights[held], parts[held], spread[held])
    return np.asarray(out.reshape(f.shape))


def _held_chances(
    trial: Trial, drawn: Draws, weights: Floats, parts: Floats, spread: Floats
) -> Floats:
    """Chances of habits that hold the level; draws are asked only where in doubt."""
    rate, source = drawn.rate_mg_l_day, drawn.source_mg_l
    ceiling = trial.ceiling_mg_l + _HAIR_MG_L
    falls = _falls(trial.habit, rate, source)
    ends = np.array([[rate.min(), source.min()], [rate.max(), source.max()]])
    # The peak rises with rate and source, so all draws lie between these two.
    low, high = (
        ceiling - _peaks(weights, parts, end[:, None], falls)[:, 0] for end in ends
    )
    widest = _CERTAIN * spread * max(float(drawn.tank_noise.max()), _CALM)
    out = np.where(high > widest, 1.0, 0.0)
    doubt = (high <= widest) & (low >= -widest)
    room = _peaks(weights[doubt], parts[doubt], np.stack([rate, source]), falls)
    # Distances from the ceiling in spreads, worked out in place: it is done often.
    np.subtract(ceiling, room, out=room)
    room /= spread[doubt][:, None]
    room /= np.maximum(drawn.tank_noise, _CALM)
    out[doubt] = ndtr(room, out=room).mean(axis=1)
    return out


def _peaks(weights: Floats, parts: Floats, drawn: Floats, falls: bool) -> Floats:
    """Usual peaks of habits for each draw of rate and source."""
    peak = weights @ drawn
    if falls:
        np.maximum(peak, 0.0, out=peak)
        after = (1.0 - parts)[:, None] * peak + np.outer(parts, drawn[1])
        np.maximum(peak, after, out=peak)
    return np.asarray(peak)


def _falls(habit: Habit, rate: Floats, source: Floats) -> bool:
    """Whether in any draw the tank drifts below its new water."""
    leaves = habit.decay_per_day - habit.inflow_l_day / habit.volume_l
    return bool(np.any(rate < leaves * source))
