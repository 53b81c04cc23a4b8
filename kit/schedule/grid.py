"""The long run of many habits at once: percents, intervals and draws together.

The same sums as `kit.sawtooth`, for arrays that broadcast against each other; one
habit gives what all of them share (volume, drip, evaporation, losses).

Notes
-----
With ``k`` the part of the level that leaves a day, ``E = exp(-k T)`` and
``w = (1 - E)/k`` the days' worth collected, the level just before an exchange is ::

    before = (income w + f Cs E) / (f E + (1 - E))

with ``income = g + inflow Cs / V``. For a given percent and interval it is linear in
the rate ``g`` and the source ``Cs``, so a thousand draws of them cost two products.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.sawtooth import Habit
from kit.steps import Floats

__all__ = ["Runs", "before_weights", "fractions_for", "long_runs", "peak_spreads"]


@dataclass(frozen=True, slots=True)
class Runs:
    """Where many habits lead in the long run.

    Parameters
    ----------
    peak_mg_l, trough_mg_l, mean_mg_l : ndarray
        As in `kit.sawtooth.Sawtooth`. [mg/L]
    """

    peak_mg_l: Floats
    trough_mg_l: Floats
    mean_mg_l: Floats

    @property
    def swing_mg_l(self) -> Floats:
        """From trough to peak; 0 where nothing holds the level. [mg/L]."""
        held = np.isfinite(self.peak_mg_l)
        gap = np.where(held, self.peak_mg_l, 0.0) - np.where(
            held, self.trough_mg_l, 0.0
        )
        return np.asarray(gap)


def _worth(k: float, days: Floats) -> Floats:
    """Days' worth collected over stretches, ``(1 - exp(-k d))/k``."""
    if k <= 0.0:
        return days
    return np.where(k * days < 1e-300, days, -np.expm1(-k * days) / k)


def before_weights(
    habit: Habit, fraction: Floats, interval_days: Floats
) -> tuple[Floats, Floats]:
    """Give what the level before an exchange takes of the rate and of the source.

    Parameters
    ----------
    habit : Habit
        Volume, drip, evaporation and losses; its own percent, interval and source are
        not used.
    fraction, interval_days : ndarray
        Parts exchanged [-] and days between [day]; they broadcast.

    Returns
    -------
    of_rate, of_source : ndarray
        ``before = of_rate g + of_source Cs``, not yet held at zero; ``math.inf`` where
        nothing leaves the tank. [day], [-]

    Examples
    --------
    >>> weekly = before_weights(Habit(200.0, 0.0, 1.0), np.array(0.25), np.array(7.0))
    >>> [float(w) for w in weekly]
    [28.0, 1.0]
    """
    f, days = np.asarray(fraction, float), np.asarray(interval_days, float)
    k, tank_parts = habit.decay_per_day, habit.inflow_l_day / habit.volume_l
    stays = np.exp(-k * days)
    gone = f * stays - np.expm1(-k * days)
    worth = _worth(k, days)
    with np.errstate(divide="ignore", invalid="ignore"):
        of_rate = np.where(gone > 0.0, worth / gone, np.inf)
        of_source = np.where(
            gone > 0.0, (tank_parts * worth + f * stays) / gone, np.inf
        )
    return of_rate, of_source


def long_runs(
    habit: Habit,
    fraction: Floats | float,
    interval_days: Floats | float,
    rate_mg_l_day: Floats | float,
    source_mg_l: Floats | float | None = None,
) -> Runs:
    """Give the sawtooth of every combination, as `kit.sawtooth.long_run` would.

    Parameters
    ----------
    habit : Habit
        What all share: volume, drip, evaporation, top-up and losses.
    fraction, interval_days, rate_mg_l_day : ndarray or float
        Parts exchanged [-], days between [day] and net rates [mg/L/day].
    source_mg_l : ndarray or float, optional
        Nitrate of the new water, as NO3; the habit's when left out. [mg/L]

    Returns
    -------
    Runs
        Arrays of the common shape.

    Examples
    --------
    >>> tank, parts = Habit(200.0, 0.0, 1.0, 10.0), np.array([0.125, 0.25])
    >>> runs = long_runs(tank, parts, 7.0, 1.0)
    >>> runs.peak_mg_l.tolist(), runs.trough_mg_l.tolist()
    ([66.0, 38.0], [59.0, 31.0])
    """
    asked = (habit.source_mg_l if source_mg_l is None else source_mg_l,)
    f, days, rate, source = np.broadcast_arrays(
        *(
            np.asarray(a, float)
            for a in (fraction, interval_days, rate_mg_l_day, *asked)
        )
    )
    k = habit.decay_per_day
    income = rate + habit.inflow_l_day / habit.volume_l * source
    stays = np.exp(-k * days)
    gone = f * stays - np.expm1(-k * days)
    held = gone > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        before = (income * _worth(k, days) + f * source * stays) / gone
    before = np.where(held, np.maximum(before, 0.0), 0.0)
    after = (1.0 - f) * before + f * source
    mean = _means(after, income, k, days)
    # With nothing leaving it grows for ever, stays where it is, or ends at zero.
    end = np.where(income > 0.0, np.inf, np.where(income == 0.0, np.nan, 0.0))
    return Runs(
        np.where(held, np.maximum(before, after), end),
        np.where(held, np.minimum(before, after), end),
        np.where(held, mean, end),
    )


def _means(after: Floats, income: Floats, k: float, days: Floats) -> Floats:
    """Mean level from one exchange to the next, held at zero."""
    end = after * np.exp(-k * days) + income * _worth(k, days)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Days until the level meets zero; it stays there until the exchange.
        met = np.log1p(-after * k / income) / k if k > 0.0 else -after / income
    above = np.where(end < 0.0, met, days)
    worth = _worth(k, above)
    straight = after * above + income * above**2 / 2.0
    if k <= 0.0:
        return np.asarray(straight / days)
    bent = after * worth + income * (above - worth) / k
    return np.asarray(np.where(k * days < 1e-8, straight, bent) / days)


def peak_spreads(habit: Habit, fraction: Floats, interval_days: Floats) -> Floats:
    """Scatter of single peaks for a tank noise of 1, as `kit.sawtooth.peak_spread`.

    Parameters
    ----------
    habit : Habit
        Volume, drip, evaporation and losses.
    fraction, interval_days : ndarray
        Parts exchanged [-] and days between [day].

    Returns
    -------
    ndarray
        Standard deviation for each mg/L per root day of noise; ``math.inf`` where
        nothing leaves the tank. [root day]
    """
    f, days = np.asarray(fraction, float), np.asarray(interval_days, float)
    k = habit.decay_per_day
    kept = (1.0 - f) * np.exp(-k * days)
    with np.errstate(divide="ignore"):
        square = _worth(2.0 * k, days) / (1.0 - kept * kept)
    return np.asarray(np.where(kept < 1.0, np.sqrt(square), np.inf))


def fractions_for(
    habit: Habit,
    interval_days: Floats,
    rate_mg_l_day: Floats,
    source_mg_l: Floats,
    ceiling_mg_l: float,
) -> Floats:
    """Least part to exchange so that the usual peak meets the ceiling, for many draws.

    Parameters
    ----------
    habit : Habit
        Volume, drip, evaporation and losses.
    interval_days, rate_mg_l_day, source_mg_l : ndarray
        Days between [day], net rates [mg/L/day] and nitrate of the new water [mg/L].
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]

    Returns
    -------
    ndarray
        0 where the ceiling holds without exchanges, more than 1 or ``math.inf`` where
        no exchange at that interval holds it. [-]

    Notes
    -----
    As `kit.sawtooth.fraction_for`, which refuses what this gives as more than 1.
    """
    days, source = np.asarray(interval_days, float), np.asarray(source_mg_l, float)
    k = habit.decay_per_day
    income = rate_mg_l_day + habit.inflow_l_day / habit.volume_l * source
    surplus = income * _worth(k, days) - ceiling_mg_l * -np.expm1(-k * days)
    room = np.exp(-k * days) * (ceiling_mg_l - source)
    with np.errstate(divide="ignore", invalid="ignore"):
        needed = np.where(room > 0.0, surplus / room, np.inf)
    return np.asarray(np.where(surplus <= 0.0, 0.0, needed))
