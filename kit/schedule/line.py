"""One plan as a line of a comparison: levels, chance, and what a month of it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from kit.logbook import Tank
from kit.makeup.heat import temperature_drop_c
from kit.makeup.money import Month, Tariff, month_of, tariff_of
from kit.plan import Band
from kit.sawtooth import Habit
from kit.schedule.grid import Runs, long_runs
from kit.schedule.trial import Trial, chances
from kit.steps import Floats

__all__ = ["Line", "Terms", "line_for", "terms_of"]

_BUCKET_L = 10.0
"""A household bucket, where none is stated. [L]"""


@dataclass(frozen=True, slots=True)
class Terms:
    """What the keeper says of warmth, time and prices; the kit has none of its own.

    Parameters
    ----------
    tank_c, new_c : float or None, optional
        Temperature of the tank and of the new water. [°C]
    minutes_exchange : float or None, optional
        Time an exchange takes whatever its size: laying out, tidying. [min]
    minutes_bucket : float or None, optional
        Time for each bucket carried, in and out. [min]
    bucket_l : float, optional
        Water in a bucket. [L]
    tariff : Tariff, optional
        Prices.
    """

    tank_c: float | None = None
    new_c: float | None = None
    minutes_exchange: float | None = None
    minutes_bucket: float | None = None
    bucket_l: float = _BUCKET_L
    tariff: Tariff = field(default_factory=Tariff)

    @property
    def warmth_known(self) -> bool:
        """Whether both temperatures are stated."""
        return self.tank_c is not None and self.new_c is not None

    @property
    def time_known(self) -> bool:
        """Whether any time is stated."""
        return self.minutes_exchange is not None or self.minutes_bucket is not None

    def minutes_for(self, exchange_l: float) -> float:
        """Time one exchange takes. [min]."""
        buckets = math.ceil(exchange_l / self.bucket_l - 1e-9)
        return (self.minutes_exchange or 0.0) + buckets * (self.minutes_bucket or 0.0)


def terms_of(tank: Tank) -> Terms:
    """Take the keeper's warmth, time and prices from the tank's settings.

    Parameters
    ----------
    tank : Tank
        With what ``[costs]`` and ``[temperature]`` of its settings say.

    Returns
    -------
    Terms
        What was not stated stays None.
    """
    return Terms(
        tank.tank_c,
        tank.new_water_c,
        tank.minutes_per_exchange,
        tank.minutes_per_bucket,
        _BUCKET_L if tank.bucket_l is None else tank.bucket_l,
        tariff_of(tank),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """One plan with everything that is set side by side.

    Parameters
    ----------
    habit : Habit
        The plan.
    peak_mg_l, trough_mg_l, mean_mg_l : Band
        Usual highest, lowest and mean level with their 95 % bands, as NO3. [mg/L]
    swing_mg_l : float
        From trough to peak, at the middle of the estimate. [mg/L]
    chance : float
        Chance that a single peak stays under the ceiling. [-]
    month : Month
        Water, heat and money of a mean month; heat counts the new water alone.
    minutes_month : float or None
        The keeper's time; None where no time is stated. [min]
    drop_c : float or None
        How much colder the tank is after an exchange; None where the temperatures
        are not stated, 0 for a drip. [K]
    """

    habit: Habit
    peak_mg_l: Band
    trough_mg_l: Band
    mean_mg_l: Band
    swing_mg_l: float
    chance: float
    month: Month
    minutes_month: float | None
    drop_c: float | None


def line_for(trial: Trial, habit: Habit, terms: Terms) -> Line:
    """Work out one plan.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    habit : Habit
        The plan; its own drip and source count.
    terms : Terms
        Warmth, time and prices.

    Returns
    -------
    Line
        Levels, chance and the month.
    """
    draws = trial.draws
    middle = long_runs(habit, habit.fraction, habit.interval_days, trial.rate_mg_l_day)
    drawn = long_runs(
        habit,
        habit.fraction,
        habit.interval_days,
        draws.rate_mg_l_day,
        draws.source_mg_l,
    )
    own = Trial(habit, trial.rate_mg_l_day, draws, trial.ceiling_mg_l)
    chance = chances(own, np.array(habit.fraction), np.array(habit.interval_days))
    peak, trough, mean = (
        _band(m, d) for m, d in zip(_parts(middle), _parts(drawn), strict=True)
    )
    month = _month(habit, terms)
    return Line(
        habit=habit,
        peak_mg_l=peak,
        trough_mg_l=trough,
        mean_mg_l=mean,
        swing_mg_l=float(middle.swing_mg_l),
        chance=float(chance),
        month=month,
        minutes_month=60.0 * month.hours if terms.time_known else None,
        drop_c=_drop(habit, terms),
    )


def _parts(runs: Runs) -> tuple[Floats, Floats, Floats]:
    return runs.peak_mg_l, runs.trough_mg_l, runs.mean_mg_l


def _band(middle: Floats, drawn: Floats) -> Band:
    """95 % band of draws round the middle."""
    low, high = np.quantile(drawn, [0.025, 0.975], method="inverted_cdf")
    return Band(float(middle), float(low), float(high))


def _month(habit: Habit, terms: Terms) -> Month:
    """Water, heat and money of a month."""
    exchange = habit.fraction * habit.volume_l
    warmth = {}
    if terms.tank_c is not None and terms.new_c is not None:
        warmth = {"tank_c": terms.tank_c, "new_c": terms.new_c}
    return month_of(
        exchange_l=exchange,
        interval_days=habit.interval_days if habit.fraction > 0.0 else math.inf,
        drip_l_day=habit.drip_l_day,
        top_up_l_day=habit.inflow_l_day - habit.drip_l_day,
        minutes_each=terms.minutes_for(exchange),
        tariff=terms.tariff,
        **warmth,
    )


def _drop(habit: Habit, terms: Terms) -> float | None:
    """How much colder an exchange leaves the tank."""
    if habit.fraction == 0.0:
        return 0.0
    if terms.tank_c is None or terms.new_c is None:
        return None
    return temperature_drop_c(habit.fraction, terms.tank_c, terms.new_c)
