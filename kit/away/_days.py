"""The days of a trip, one stretch after the other, for every draw at once."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kit.away._water import Stretch
from kit.balance import Floats
from kit.draws import Draws
from kit.errors import PlanError
from kit.feed import YieldRange
from kit.logbook import Logbook
from kit.sawtooth import Habit

__all__ = [
    "Run",
    "Tanks",
    "Trip",
    "days_since_exchange",
    "live",
    "tanks_of",
    "usual_leaving",
]

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_POINTS = 12


@dataclass(frozen=True, slots=True)
class Trip:
    """A time away and what is arranged for it.

    Parameters
    ----------
    days : float
        From leaving to coming back. [day]
    feed_g_day : float
        Food while away, 0 for none. [g/day]
    leave_in_days : float, optional
        From the last record to leaving. [day]
    since_exchange_days : float, optional
        From the last exchange to the last record. [day]
    exchange_before, exchange_after : bool, optional
        One exchange of the usual size the day before leaving; one on coming back.
        Without them the habit's own days are kept, but for those away.
    feeder_g : float, optional
        All the food in the feeder, for the case that it empties itself. [g]
    drip : bool, optional
        Whether the drip runs on.
    top_up : {"none", "source", "pure"}, optional
        What a machine or a sitter replaces evaporated water with.
    area_cm2 : float, optional
        Surface of the water, for the fall of its level. [cm2]
    salt_g_kg : float, optional
        Salinity on leaving. [g/kg]
    backwash_l_day : float, optional
        Part of the habit's drip that stands for backwashes, which nobody does while
        away. [L/day]

    Raises
    ------
    PlanError
        Days, food or area that cannot be.
    """

    days: float
    feed_g_day: float
    leave_in_days: float = 1.0
    since_exchange_days: float = 0.0
    exchange_before: bool = True
    exchange_after: bool = True
    feeder_g: float | None = None
    drip: bool = True
    top_up: str = "none"
    area_cm2: float | None = None
    salt_g_kg: float | None = None
    backwash_l_day: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no trip can be."""
        if not 0.0 < self.days <= 365.0:
            msg = "The days away lie above 0 and up to 365."
            raise PlanError(msg)
        parts = (self.feed_g_day, self.leave_in_days, self.since_exchange_days)
        if not all(math.isfinite(p) and p >= 0.0 for p in parts):
            msg = "Food and days cannot be negative."
            raise PlanError(msg)
        if self.area_cm2 is not None and not self.area_cm2 > 0.0:
            msg = "The surface of the water must be more than 0."
            raise PlanError(msg)

    def stretch(self, habit: Habit) -> Stretch:
        """Give how the water stands while away.

        Parameters
        ----------
        habit : Habit
            The habit at home.

        Returns
        -------
        Stretch
            With the drip that runs on, if any, but no backwashes.
        """
        drip = max(habit.drip_l_day - self.backwash_l_day, 0.0)
        left = replace(habit, drip_l_day=drip)
        return Stretch.of(left, drip=self.drip, top_up=self.top_up)


def days_since_exchange(log: Logbook) -> float:
    """Days from the last exchange of known size to the last record.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    float
        0 where no exchange is known. [day]
    """
    batches = [e.date for e in log.exchanges if e.kind == "batch" and e.fraction]
    if not batches:
        return 0.0
    last = max([t.date for t in log.tests] + [e.date for e in log.exchanges])
    return float((last - max(batches)).days)


def usual_leaving(log: Logbook, habit: Habit) -> float:
    """Days from the last record to the next exchange: a good day to leave on.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    habit : Habit
        Its habit.

    Returns
    -------
    float
        At least 1. [day]
    """
    return max(round(habit.interval_days - days_since_exchange(log)), 1.0)


@dataclass(frozen=True, slots=True)
class Tanks:
    """The middle estimate (first place) and every draw."""

    level: Floats
    rate: Floats
    source: Floats
    grams: Floats
    noise: Floats

    def fed(self, more_g_day: float, volume_l: float) -> Floats:
        """Rates with so much more food, less where below zero. [mg/L/day]."""
        rate: Floats = self.rate + more_g_day * self.grams / volume_l
        return rate


@dataclass(slots=True)
class Run:
    """Levels through time, gathered as the days go."""

    now: Floats
    day: float
    days: list[float]
    levels: list[Floats]
    leaving: Floats
    home: Floats
    topped: Floats
    rate_away: float = 0.0

    def note(self) -> None:
        """Keep where it stands."""
        self.days.append(self.day)
        self.levels.append(self.now)


def tanks_of(
    rate: float, level: float, source: float, grams: YieldRange, draws: Draws | None
) -> Tanks:
    """Set the middle estimate before the draws."""
    many = Draws.none() if draws is None else draws
    places = np.mod((np.arange(len(many)) + 0.5) * _GOLDEN, 1.0)
    spread = [grams.at(min(max(p, 1e-4), 1.0 - 1e-4)) for p in places]
    return Tanks(
        np.append(level, many.level_mg_l),
        np.append(rate, many.rate_mg_l_day),
        np.append(source, many.source_mg_l),
        np.append(grams.mg_g, spread),
        np.append(0.0, many.tank_noise),
    )


def _exchange_days(habit: Habit, trip: Trip) -> list[float]:
    """Days of exchanges from now on, with none while away."""
    leave, back = trip.leave_in_days, trip.leave_in_days + trip.days
    until = back + 2.0 * habit.interval_days
    usual = np.arange(1, 2 + math.ceil((until + trip.since_exchange_days)
                                       / habit.interval_days))  # fmt: skip
    rhythm = usual * habit.interval_days - trip.since_exchange_days
    at_home = [float(d) for d in rhythm if 0.0 < d < leave - 1e-9]
    if trip.exchange_before:
        day = max(leave - 1.0, 0.0)
        # The one that would fall close before it is this one.
        close = 0.5 * habit.interval_days
        at_home = [d for d in at_home if d < day - close] + [day]
    if trip.exchange_after:
        later = [back, back + habit.interval_days]
    else:
        later = [float(d) for d in rhythm if d >= back]
    return at_home + [d for d in later if d < until]


def live(
    habit: Habit, trip: Trip, tanks: Tanks, fed: float, spill: float | None = None
) -> Run:
    """Go through the days, from now until two intervals after coming back."""
    run = Run(tanks.level, 0.0, [], [], tanks.level, tanks.level, tanks.level)
    chance = np.random.default_rng(20260302)
    home = Stretch.of(habit, drip=True, top_up=habit.top_up)
    # A keeper at home keeps the level up; only the time away lets it fall.
    home = replace(home, top_up="source" if home.top_up == "none" else home.top_up)
    leave, back = trip.leave_in_days, trip.leave_in_days + trip.days
    exchanges = _exchange_days(habit, trip)
    end = back + 2.0 * habit.interval_days
    run.note()
    _stay(run, tanks, home, habit, [d for d in exchanges if d <= leave], leave, chance)
    run.leaving = run.now
    away = trip.stretch(habit)
    rate = tanks.fed(fed, habit.volume_l)
    run.rate_away = float(rate[0])
    if spill is not None:
        rate = tanks.fed(fed - trip.feed_g_day, habit.volume_l)
        run.now = run.now + spill * tanks.grams / habit.volume_l
        run.note()
    _away(run, tanks, away, rate, trip.days, chance)
    run.home = run.now
    kept = float(away.volume_after(trip.days)) / habit.volume_l
    run.topped = run.now * kept + tanks.source * (1.0 - kept)
    if kept < 1.0:
        run.now = run.topped
        run.note()
    _stay(run, tanks, home, habit, [d for d in exchanges if d >= back], end, chance)
    return run


def _sway(tanks: Tanks, days: float, chance: np.random.Generator) -> Floats:
    """What each tank strays by itself in some days. [mg/L]."""
    strayed = chance.standard_normal(len(tanks.level))
    swayed: Floats = tanks.noise * math.sqrt(days) * strayed
    return swayed


def _away(
    run: Run,
    tanks: Tanks,
    away: Stretch,
    rate: Floats,
    days: float,
    chance: np.random.Generator,
) -> None:
    """Let the tank stand, noting it on the way."""
    begun, start = run.day, run.now
    sway = _sway(tanks, days, chance)
    for i in range(1, _POINTS + 1):
        gone = days * i / _POINTS
        level = away.level_after(gone, start, rate, tanks.source)
        run.now = np.maximum(level + sway * math.sqrt(i / _POINTS), 0.0)
        run.day = begun + gone
        run.note()


def _stay(
    run: Run,
    tanks: Tanks,
    home: Stretch,
    habit: Habit,
    exchanges: list[float],
    end: float,
    chance: np.random.Generator,
) -> None:
    """Live on at home until a day, with the exchanges that fall before it."""
    for day in [*exchanges, end]:
        gap = day - run.day
        if gap > 1e-9:
            level = home.level_after(gap, run.now, tanks.rate, tanks.source)
            run.now = np.maximum(level + _sway(tanks, gap, chance), 0.0)
            run.day = day
            run.note()
        if day in exchanges and habit.fraction > 0.0:
            run.now = run.now + habit.fraction * (tanks.source - run.now)
            run.note()
