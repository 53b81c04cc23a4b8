"""A time away: what the tank comes to, and what an exchange before leaving is worth."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.ahead import Trace
from kit.away._days import Run, Tanks, Trip, live, tanks_of
from kit.away._water import Stretch, days_until
from kit.balance import Floats
from kit.draws import Draws
from kit.feed import TAN_SHARE_KEPT, YieldRange, ammonia_nitrogen_g
from kit.plan import Band
from kit.sawtooth import Habit

__all__ = ["Homecoming", "come_home"]

_CM3_A_LITRE = 1000.0


@dataclass(frozen=True, slots=True)
class Homecoming:
    """What the keeper comes back to.

    Parameters
    ----------
    trip : Trip
        As arranged.
    habit : Habit
        The habit at home.
    leaving_mg_l, home_mg_l, topped_mg_l : Band
        Nitrate on leaving, on coming back, and once the water is topped up with new
        water, as NO3. [mg/L]
    spilled_mg_l : Band or None
        On coming back when the feeder empties itself at once; None without a feeder
        that holds more than the food planned. [mg/L]
    ammonia_mg_l : float or None
        Total ammonia nitrogen that such a spill can make before the filter follows,
        by the protein on the label. [mg/L]
    peak_mg_l, peak_as_usual_mg_l : Band
        Highest nitrate from now until two intervals after coming back, as arranged,
        and with neither exchange. [mg/L]
    lost_l, fall_cm : float, float or None
        Water gone by then [L], and its fall [cm].
    salt_g_kg : float or None
        Salinity on coming back. [g/kg]
    until : tuple of (float, Band)
        Part of the usual food (1 all, 0 none), and days from leaving until the
        ceiling; empty without a ceiling. [-], [day]
    chance : float or None
        Share of the draws under the ceiling on coming back. [-]
    ceiling_mg_l : float or None
        The keeper's ceiling, as NO3. [mg/L]
    rate_away_mg_l_day : float
        Net rate on the food while away, in the full tank, as NO3. [mg/L/day]
    trace, as_usual, spilled : Trace, Trace, Trace or None
        Levels from now on: as arranged, with neither exchange, and with the spill.
    grams : YieldRange
        What a gram of food is taken to make.
    home_feed_g_day : float or None
        Food at home. [g/day]
    """

    trip: Trip
    habit: Habit
    leaving_mg_l: Band
    home_mg_l: Band
    topped_mg_l: Band
    spilled_mg_l: Band | None
    ammonia_mg_l: float | None
    peak_mg_l: Band
    peak_as_usual_mg_l: Band
    lost_l: float
    fall_cm: float | None
    salt_g_kg: float | None
    until: tuple[tuple[float, Band], ...]
    chance: float | None
    ceiling_mg_l: float | None
    rate_away_mg_l_day: float
    trace: Trace
    as_usual: Trace
    spilled: Trace | None
    grams: YieldRange
    home_feed_g_day: float | None


def _band(values: Floats) -> Band:
    middle, many = float(values[0]), values[1:]
    if not len(many):
        return Band(middle, middle, middle)
    low, high = np.quantile(many, [0.025, 0.975], method="inverted_cdf")
    return Band(middle, float(low), float(high))


def come_home(
    habit: Habit,
    rate_mg_l_day: float,
    level_mg_l: float,
    trip: Trip,
    grams: YieldRange,
    *,
    home_feed_g_day: float | None = None,
    ceiling_mg_l: float | None = None,
    protein_percent: float | None = None,
    draws: Draws | None = None,
) -> Homecoming:
    """Work out what a keeper comes back to.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip, evaporation and source at home.
    rate_mg_l_day, level_mg_l : float
        Net rate with the usual food [mg/L/day] and level now [mg/L], as NO3.
    trip : Trip
        The time away.
    grams : YieldRange
        What a gram of food makes.
    home_feed_g_day : float, optional
        Food at home; without it the rate stays as at home. [g/day]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]
    protein_percent : float, optional
        Protein on the food's label. [%]
    draws : Draws, optional
        Equally likely tanks.

    Returns
    -------
    Homecoming
        Levels, water, salt, and days until the ceiling.

    Raises
    ------
    PlanError
        More than half of the water would evaporate.

    Notes
    -----
    Food acts on the day it is given. What a spilled feeder makes is counted on the day
    of leaving, all of it: the worst for the level, as decay takes days. The tank's own
    day-to-day noise gathers over the time away.
    """
    tanks = tanks_of(rate_mg_l_day, level_mg_l, habit.source_mg_l, grams, draws)
    spill = _spill(trip)
    run, usual, worst = _ways(habit, trip, tanks, home_feed_g_day, spill)
    lost, fall, salt = _water(trip.stretch(habit), trip)
    spilled, spilled_trace = _spilled(worst)
    return Homecoming(
        trip=trip,
        habit=habit,
        leaving_mg_l=_band(run.leaving),
        home_mg_l=_band(run.home),
        topped_mg_l=_band(run.topped),
        spilled_mg_l=spilled,
        ammonia_mg_l=_ammonia(trip, habit, spill, protein_percent),
        peak_mg_l=_band(np.max(run.levels, axis=0)),
        peak_as_usual_mg_l=_band(np.max(usual.levels, axis=0)),
        lost_l=lost,
        fall_cm=fall,
        salt_g_kg=salt,
        until=_until(habit, trip, tanks, run.leaving, ceiling_mg_l, home_feed_g_day),
        chance=_chance(run, ceiling_mg_l),
        ceiling_mg_l=ceiling_mg_l,
        rate_away_mg_l_day=run.rate_away,
        trace=_trace(run),
        as_usual=_trace(usual),
        spilled=spilled_trace,
        grams=grams,
        home_feed_g_day=home_feed_g_day,
    )


def _ways(
    habit: Habit, trip: Trip, tanks: Tanks, home_feed: float | None, spill: float | None
) -> tuple[Run, Run, Run | None]:
    """Live through it as arranged, with neither exchange, and with the spill."""
    fed = 0.0 if home_feed is None else trip.feed_g_day - home_feed
    neither = replace(trip, exchange_before=False, exchange_after=False)
    worst = None if spill is None else live(habit, trip, tanks, fed, spill)
    return live(habit, trip, tanks, fed), live(habit, neither, tanks, fed), worst


def _spilled(worst: Run | None) -> tuple[Band | None, Trace | None]:
    """Give level and course with the spill, where there is one."""
    return (None, None) if worst is None else (_band(worst.home), _trace(worst))


def _water(stretch: Stretch, trip: Trip) -> tuple[float, float | None, float | None]:
    """Water gone [L], its fall [cm] and the salinity [g/kg] on coming back."""
    lost = stretch.volume_l - float(stretch.volume_after(trip.days))
    fall = None if trip.area_cm2 is None else lost * _CM3_A_LITRE / trip.area_cm2
    salt = trip.salt_g_kg
    return lost, fall, None if salt is None else stretch.salt_after(trip.days, salt)


def _chance(run: Run, ceiling: float | None) -> float | None:
    """Share of the draws under the ceiling on coming back. [-]."""
    if ceiling is None or len(run.home) < 2:
        return None
    return float(np.mean(run.home[1:] <= ceiling))


def _spill(trip: Trip) -> float | None:
    """Food that falls in at once, more than what was planned for the days. [g]."""
    if trip.feeder_g is None or trip.feeder_g <= trip.feed_g_day * trip.days:
        return None
    return trip.feeder_g


def _ammonia(
    trip: Trip, habit: Habit, spill: float | None, protein: float | None
) -> float | None:
    """Total ammonia nitrogen of a spill, all of it in the water at once. [mg/L]."""
    if spill is None or protein is None:
        return None
    return 1000.0 * ammonia_nitrogen_g(spill, protein, TAN_SHARE_KEPT) / habit.volume_l


def _until(
    habit: Habit,
    trip: Trip,
    tanks: Tanks,
    leaving: Floats,
    ceiling: float | None,
    feed: float | None,
) -> tuple[tuple[float, Band], ...]:
    """Days until the ceiling with all, half and none of the usual food."""
    if ceiling is None:
        return ()
    stretch = trip.stretch(habit)
    parts = (1.0,) if not feed else (1.0, 0.5, 0.0)
    return tuple(
        (
            part,
            _band(
                days_until(
                    stretch,
                    ceiling,
                    leaving,
                    tanks.fed((part - 1.0) * (feed or 0.0), stretch.volume_l),
                )
            ),
        )
        for part in parts
    )


def _trace(run: Run) -> Trace:
    levels = np.array(run.levels)
    many = levels[:, 1:] if levels.shape[1] > 1 else levels
    low, high = np.quantile(many, [0.025, 0.975], axis=1)
    return Trace(np.array(run.days), levels[:, 0], low, high)
