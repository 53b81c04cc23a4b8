"""The long run of a steady habit: the sawtooth between exchanges, and its inverse.

Notes
-----
With a net rate ``g``, an exchange of fraction ``f`` every ``T`` days of source ``Cs``,
an outflow and loss ``k`` a day and a level ``Cinf`` the tank would reach without
exchanges, the long run is a geometric series: with ``E = exp(-k T)`` ::

    peak = (Cinf (1 - E) + f Cs E') / (1 - (1 - f) E),  trough = (1 - f) peak + f Cs

where at ``k = 0`` the peak is ``Cs + g T / f``. The same series is the textbook
multiple-dosing regime of pharmacokinetics (Bourne, A First Course in
Pharmacokinetics and Biopharmaceutics, ch. 14): dose over volume is the rise ``g T``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

from kit.errors import PlanError
from kit.steps import Floats

__all__ = [
    "Habit",
    "Sawtooth",
    "fraction_for",
    "interval_for",
    "long_run",
    "peak_spread",
]


@dataclass(frozen=True, slots=True)
class Habit:
    """A steady way of keeping one tank.

    Parameters
    ----------
    volume_l : float
        Water volume. [L]
    fraction : float
        Part exchanged each time, 0 to 1; 0 for a drip alone. [-]
    interval_days : float
        Days between exchanges. [day]
    source_mg_l : float, optional
        Nitrate of the new water, as NO3. [mg/L]
    drip_l_day : float, optional
        Fresh water running in. [L/day]
    evaporation_l_day : float, optional
        Water lost to the air. [L/day]
    top_up : {"source", "pure", "none"}, optional
        What replaces evaporation beyond the drip.
    loss_per_day : float, optional
        First-order loss. [1/day]
    """

    volume_l: float
    fraction: float
    interval_days: float
    source_mg_l: float = 0.0
    drip_l_day: float = 0.0
    evaporation_l_day: float = 0.0
    top_up: str = "source"
    loss_per_day: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no tank can do.

        Raises
        ------
        PlanError
            Percent outside 0 to 100, an interval, volume or flow that is not
            possible.
        """
        if not self.volume_l > 0:
            msg = "The water volume must be more than 0 L."
            raise PlanError(msg)
        if not 0 <= self.fraction <= 1:
            msg = "An exchange lies between 0 and 100 percent of the water."
            raise PlanError(msg)
        if not (self.interval_days > 0 and math.isfinite(self.interval_days)):
            msg = "The interval must be more than 0 days."
            raise PlanError(msg)
        if min(self.drip_l_day, self.evaporation_l_day, self.source_mg_l) < 0:
            msg = "Drip, evaporation and source nitrate cannot be negative."
            raise PlanError(msg)

    @property
    def overflow_l_day(self) -> float:
        """Water that leaves as water. [L/day]."""
        return max(self.drip_l_day - self.evaporation_l_day, 0.0)

    @property
    def inflow_l_day(self) -> float:
        """Source water that comes in: drip, and top-up where it is source. [L/day]."""
        short = max(self.evaporation_l_day - self.drip_l_day, 0.0)
        return self.drip_l_day + (short if self.top_up == "source" else 0.0)

    @property
    def decay_per_day(self) -> float:
        """Part of the level that leaves a day between exchanges. [1/day]."""
        return self.overflow_l_day / self.volume_l + self.loss_per_day

    def income(self, rate_mg_l_day: float) -> float:
        """All that comes in between exchanges, per litre of tank. [mg/L/day]."""
        return rate_mg_l_day + self.inflow_l_day / self.volume_l * self.source_mg_l

    @property
    def water_l_day(self) -> float:
        """Source water used a day, exchanges, drip and top-up. [L/day]."""
        return self.fraction * self.volume_l / self.interval_days + self.inflow_l_day


@dataclass(frozen=True, slots=True)
class Sawtooth:
    """Where a steady habit leads in the long run.

    Parameters
    ----------
    peak_mg_l, trough_mg_l, mean_mg_l : float
        Highest and lowest level of a cycle and the mean over time, as NO3;
        ``math.inf`` where nothing holds the level, ``math.nan`` where nothing comes in
        or leaves and it stays wherever it is. [mg/L]
    cycles_to_95 : float
        Exchanges until 95 % of a change is done (days/interval when no exchange);
        ``math.inf`` where it never settles.
    """

    peak_mg_l: float
    trough_mg_l: float
    mean_mg_l: float
    cycles_to_95: float


def _worth(k: float, days: float) -> float:
    """Days' worth collected over a stretch, ``(1 - exp(-k d))/k``."""
    return days if k * days < 1e-300 else -math.expm1(-k * days) / k


def long_run(habit: Habit, rate_mg_l_day: float) -> Sawtooth:
    """Give the sawtooth a steady habit settles to.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    rate_mg_l_day : float
        Net rate of accumulation, source water not included, as NO3. [mg/L/day]

    Returns
    -------
    Sawtooth
        Peak, trough, mean and cycles to 95 %.

    Notes
    -----
    A falling tank (rate below zero) peaks just after the exchange and is held at
    zero; the mean then takes the time spent at zero into account.

    Examples
    --------
    >>> run = long_run(Habit(200.0, 0.25, 7.0, source_mg_l=10.0), 1.0)
    >>> run.peak_mg_l, run.trough_mg_l, run.mean_mg_l, round(run.cycles_to_95, 1)
    (38.0, 31.0, 34.5, 10.4)
    """
    k, days = habit.decay_per_day, habit.interval_days
    income = habit.income(rate_mg_l_day)
    f, source = habit.fraction, habit.source_mg_l
    kept = (1.0 - f) * math.exp(-k * days)
    if kept >= 1.0:
        return _unheld(income)
    cycles = 0.0 if kept == 0.0 else math.log(0.05) / math.log(kept)
    worth = _worth(k, days)
    before = (income * worth + f * source * math.exp(-k * days)) / (1.0 - kept)
    if before < 0.0:
        before = 0.0
    after = (1.0 - f) * before + f * source
    mean = _mean_of_stretch(after, income, k, days)
    return Sawtooth(max(before, after), min(before, after), mean, cycles)


def _unheld(income: float) -> Sawtooth:
    """Long run with nothing leaving: grows for ever, stays, or ends at zero."""
    end = math.nan if income == 0 else math.inf if income > 0 else 0.0
    return Sawtooth(end, end, end, math.inf)


@overload
def peak_spread(habit: Habit, tank_noise: float) -> float: ...
@overload
def peak_spread(habit: Habit, tank_noise: Floats) -> Floats: ...


def peak_spread(habit: Habit, tank_noise: float | Floats) -> float | Floats:
    """How far single peaks scatter round the usual peak of a steady habit.

    The usual peak (`long_run`) is where the habit leads on average; each single peak
    lies above or below it, because the tank's days are not all alike.

    Parameters
    ----------
    habit : Habit
        Exchanges, drip and losses; its source does not matter.
    tank_noise : float or ndarray
        Day-to-day noise of the tank. [mg/L per root day]

    Returns
    -------
    float or ndarray
        Standard deviation of the level just before an exchange, after many of them;
        ``math.inf`` where nothing leaves the tank. [mg/L]

    Notes
    -----
    White noise ``s`` in the source term collects ``s^2 w`` between two exchanges,
    ``w = (1 - exp(-2 k T)) / (2 k)``, and a cycle keeps ``r = (1 - f) exp(-k T)`` of a
    deviation, so the variance is the geometric series ``s^2 w / (1 - r^2)``: the
    stationary variance of an autoregression of order one, a standard result. Just
    after the exchange the spread is ``(1 - f)`` times as wide. The chance that one
    peak stays under a ceiling is the mean over the draws of ``Phi((ceiling - usual
    peak) / spread)``.

    Examples
    --------
    >>> peak_spread(Habit(200.0, 0.5, 7.0), 1.0) ** 2 * 0.75
    7.0
    """
    k, days = habit.decay_per_day, habit.interval_days
    kept = (1.0 - habit.fraction) * math.exp(-k * days)
    if kept >= 1.0:
        return tank_noise + math.inf
    return tank_noise * math.sqrt(_worth(2.0 * k, days) / (1.0 - kept * kept))


def _mean_of_stretch(after: float, income: float, k: float, days: float) -> float:
    """Mean level from just after an exchange to just before the next, floored at 0."""
    worth = _worth(k, days)
    end = after * math.exp(-k * days) + income * worth
    if end < 0.0:
        # Days until the level meets zero; it stays there until the exchange.
        met = math.log1p(-after * k / income) / k if k > 0.0 else -after / income
        days_above, worth = met, _worth(k, met)
    else:
        days_above = days
    if k * days < 1e-8:
        area = after * days_above + income * days_above**2 / 2.0
    else:
        area = after * worth + income * (days_above - worth) / k
    return area / days


def fraction_for(habit: Habit, rate_mg_l_day: float, ceiling_mg_l: float) -> float:
    """Fraction to exchange at this interval so that the peak meets the ceiling.

    Parameters
    ----------
    habit : Habit
        Its own fraction is not used.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    ceiling_mg_l : float
        The keeper's ceiling for the peak, as NO3. [mg/L]

    Returns
    -------
    float
        Fraction, 0 to 1; 0 when the ceiling holds without exchanges. [-]

    Raises
    ------
    PlanError
        No exchange at this interval can hold the ceiling; the text says why.

    Notes
    -----
    From ``peak = ceiling`` in `long_run`:
    ``f = (income w - ceiling (1 - E)) / (E (ceiling - Cs))`` with ``w`` the days'
    worth collected; without drip or loss ``f = g T / (ceiling - Cs)``.

    Examples
    --------
    >>> fraction_for(Habit(200.0, 0.0, 7.0, source_mg_l=5.0), 2.0, 40.0)
    0.4
    """
    k, days, source = habit.decay_per_day, habit.interval_days, habit.source_mg_l
    income, worth = habit.income(rate_mg_l_day), _worth(k, days)
    surplus = income * worth - ceiling_mg_l * -math.expm1(-k * days)
    if surplus <= 0.0 and ceiling_mg_l >= 0.0:
        # Held by the drip or the tank alone; a source above the ceiling still spoils
        # any exchange, so none is the answer.
        return 0.0
    _refuse_source(source, ceiling_mg_l)
    # Before the exchange the level kept E of the one after it: C_before =
    # E C_after + income w, and C_after = (1-f) ceiling + f Cs.
    kept = math.exp(-k * days)
    fraction = surplus / (kept * (ceiling_mg_l - source)) if kept > 0.0 else math.inf
    if fraction > 1.0 + 1e-9:
        lowest = source * kept + income * worth
        msg = (
            f"Not by exchanges every {days:g} days: even changing all the water each "
            f"time, nitrate climbs to {lowest:.3g} mg/L before the next, above the "
            f"ceiling of {ceiling_mg_l:g} mg/L. Exchange more often, feed less, or run "
            "a drip."
        )
        raise PlanError(msg)
    return min(fraction, 1.0)


def _refuse_source(source_mg_l: float, ceiling_mg_l: float) -> None:
    """Refuse a ceiling at or below the new water's own nitrate."""
    if ceiling_mg_l <= source_mg_l:
        msg = (
            f"The new water already holds {source_mg_l:g} mg/L, so no exchange can "
            f"bring the tank under {ceiling_mg_l:g} mg/L. Blend with purer water or "
            "choose a higher ceiling."
        )
        raise PlanError(msg)


def interval_for(habit: Habit, rate_mg_l_day: float, ceiling_mg_l: float) -> float:
    """Longest interval at this fraction that keeps the peak at the ceiling.

    Parameters
    ----------
    habit : Habit
        Its own interval is not used.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    ceiling_mg_l : float
        The keeper's ceiling for the peak, as NO3. [mg/L]

    Returns
    -------
    float
        Days; ``math.inf`` when the ceiling holds without exchanges. [day]

    Raises
    ------
    PlanError
        The new water is at or above the ceiling, or the fraction is zero.

    Notes
    -----
    Between exchanges the level climbs from ``(1 - f) ceiling + f Cs`` towards
    ``income / k``; the interval is the time to reach the ceiling, without drip or
    loss ``T = f (ceiling - Cs) / g``.

    Examples
    --------
    >>> interval_for(Habit(200.0, 0.4, 1.0, source_mg_l=5.0), 2.0, 40.0)
    7.0
    """
    k, income = habit.decay_per_day, habit.income(rate_mg_l_day)
    if income - k * ceiling_mg_l <= 0.0:
        return math.inf
    _refuse_source(habit.source_mg_l, ceiling_mg_l)
    if habit.fraction == 0.0:
        msg = "Without an exchange the ceiling does not hold: nitrate climbs past it."
        raise PlanError(msg)
    drop = habit.fraction * (ceiling_mg_l - habit.source_mg_l)
    climb = income - k * ceiling_mg_l
    return drop / climb if k < 1e-12 else math.log1p(drop * k / climb) / k
