"""How much more food a habit of exchanges can carry under the keeper's ceiling.

Notes
-----
A steady habit's usual peak rises in a straight line with the rate. The rate at which
it meets the ceiling is ``g* = (ceiling (1 - r) - f Cs E) / w - inflow Cs / V`` with
``E = exp(-k T)``, ``r = (1 - f) E`` and ``w`` the days' worth collected; without drip
or loss ``g* = (ceiling - Cs) f / T``. The room is ``(g* - g) V / Y`` grams a day, and
the feed ceiling ``(g* - b) V / Y`` with ``b`` what does not come from food.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kit.ahead import Trace, forecast
from kit.balance import Floats
from kit.bands import bands
from kit.draws import Draws
from kit.errors import PlanError
from kit.feed import YieldRange
from kit.logbook import Tank
from kit.plan import Band, Plan, plan
from kit.sawtooth import Habit, long_run

__all__ = ["FeedRoom", "FeedTrial", "feed_room", "rate_for", "try_feed"]

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_MOST_DAYS = 730.0
_SURE = 1.959964
"""Standard deviations that hold 95 % of a normal spread."""


@dataclass(frozen=True, slots=True)
class FeedRoom:
    """Room for more food under a ceiling.

    Parameters
    ----------
    habit : Habit
        The habit it holds for.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]
    peak_mg_l : Band
        Usual peak now, as NO3. [mg/L]
    rate_mg_l_day : float
        Rate at which the usual peak meets the ceiling, as NO3. [mg/L/day]
    room_g_day : Band
        Food that may be added; below zero it is too much already. [g/day]
    feed_g_day : float or None
        Food now; None where the log holds none. [g/day]
    peak_a_gram : float
        Rise of the usual peak for each gram more a day; ``math.inf`` where nothing
        holds the level. [mg/L per g/day]
    percent_a_gram : float or None
        Percent more at each exchange that one gram more a day takes at the ceiling;
        None with a drip or no exchange. [% per g/day]
    chance : float or None
        Share of the draws with room for the food of today. [-]
    grams : YieldRange
        What a gram is taken to make.
    """

    habit: Habit
    ceiling_mg_l: float
    peak_mg_l: Band
    rate_mg_l_day: float
    room_g_day: Band
    feed_g_day: float | None
    peak_a_gram: float
    percent_a_gram: float | None
    chance: float | None
    grams: YieldRange


@dataclass(frozen=True, slots=True)
class FeedTrial:
    """More food tried: before, after, and when it shows.

    Parameters
    ----------
    added_g_day : float
        Food added; below zero it is taken away. [g/day]
    now, then : Plan
        The habit's long run before and after.
    before, after : Trace
        The level ahead without and with the change.
    days_to_95 : float
        Until 95 % of the change is done, in whole exchanges; ``math.inf`` when it
        never settles. [day]
    tells_on : float or None
        First day on which one test can tell the two apart; None where none within
        the picture can. [day]
    tells_after : bool
        Whether that test is the one just after an exchange.
    grams : YieldRange
        What a gram is taken to make.
    """

    added_g_day: float
    now: Plan
    then: Plan
    before: Trace
    after: Trace
    days_to_95: float
    tells_on: float | None
    tells_after: bool
    grams: YieldRange


def rate_for(habit: Habit, ceiling_mg_l: float) -> float:
    """Rate at which the usual peak of a habit meets a ceiling.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    ceiling_mg_l : float
        The keeper's ceiling, as NO3. [mg/L]

    Returns
    -------
    float
        Net rate, as NO3. [mg/L/day]

    Raises
    ------
    PlanError
        The new water is at or above the ceiling, or nothing carries nitrate away.

    Examples
    --------
    >>> rate_for(Habit(141.0, 0.3, 7.0, source_mg_l=5.0), 40.0)
    1.5
    """
    if ceiling_mg_l <= habit.source_mg_l:
        msg = (
            f"The new water already holds {habit.source_mg_l:.3g} mg/L: no food at all "
            f"would keep the tank under {ceiling_mg_l:g} mg/L. See to the water first."
        )
        raise PlanError(msg)
    k, days, f = habit.decay_per_day, habit.interval_days, habit.fraction
    kept_between = math.exp(-k * days)
    kept = (1.0 - f) * kept_between
    if kept >= 1.0:
        msg = "Without an exchange or a drip nothing carries nitrate away."
        raise PlanError(msg)
    worth = days if k * days < 1e-12 else -math.expm1(-k * days) / k
    needed = ceiling_mg_l * (1.0 - kept) - f * habit.source_mg_l * kept_between
    return needed / worth - habit.income(0.0)


def _yields(grams: YieldRange, count: int) -> Floats:
    """Spread a yield evenly over as many draws, in an order of its own."""
    places = np.mod((np.arange(count) + 0.5) * _GOLDEN, 1.0)
    return np.array([grams.at(min(max(p, 1e-4), 1.0 - 1e-4)) for p in places])


def _band(middle: float, many: Floats) -> Band:
    if not len(many):
        return Band(middle, middle, middle)
    low, high = np.quantile(many, [0.025, 0.975])
    return Band(middle, float(low), float(high))


def feed_room(
    habit: Habit,
    rate_mg_l_day: float,
    ceiling_mg_l: float,
    grams: YieldRange,
    *,
    feed_g_day: float | None = None,
    draws: Draws | None = None,
) -> FeedRoom:
    """Work out the food that may be added under a ceiling.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    rate_mg_l_day, ceiling_mg_l : float
        Net rate now [mg/L/day] and the keeper's ceiling [mg/L], as NO3.
    grams : YieldRange
        What a gram of the added food makes.
    feed_g_day : float, optional
        Food now. [g/day]
    draws : Draws, optional
        Equally likely rates; without them only the yield gives the band its width.

    Returns
    -------
    FeedRoom
        The room with its band.

    Raises
    ------
    PlanError
        As in `rate_for`.
    """
    allowed = rate_for(habit, ceiling_mg_l)
    many = Draws.none() if draws is None else draws
    rates = many.rate_mg_l_day if len(many) else np.full(400, rate_mg_l_day)
    room = (allowed - rates) * habit.volume_l / _yields(grams, len(rates))
    middle = (allowed - rate_mg_l_day) * habit.volume_l / grams.mg_g
    step = grams.mg_g / habit.volume_l
    rise = long_run(habit, rate_mg_l_day + 1.0).peak_mg_l
    slope = rise - long_run(habit, rate_mg_l_day).peak_mg_l
    still = habit.decay_per_day == 0.0 and habit.fraction > 0.0
    share = step * habit.interval_days / (ceiling_mg_l - habit.source_mg_l)
    return FeedRoom(
        habit=habit,
        ceiling_mg_l=ceiling_mg_l,
        peak_mg_l=plan(
            habit,
            rate_mg_l_day,
            many.rate_mg_l_day,
            source_errors=many.source_errors(),
        ).peak_mg_l,
        rate_mg_l_day=allowed,
        room_g_day=_band(middle, room),
        feed_g_day=feed_g_day,
        peak_a_gram=slope * step if math.isfinite(slope) else math.inf,
        percent_a_gram=100.0 * share if still else None,
        chance=float(np.mean(rates <= allowed)) if len(many) else None,
        grams=grams,
    )


def try_feed(
    habit: Habit,
    rate_mg_l_day: float,
    start_mg_l: float,
    added_g_day: float,
    grams: YieldRange,
    *,
    tank: Tank | None = None,
    reading_noise: float = 0.12,
    ceiling_mg_l: float | None = None,
    draws: Draws | None = None,
    per_cycle: int = 1,
) -> FeedTrial:
    """Compare the level ahead without and with a change of food.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges, drip and source.
    rate_mg_l_day, start_mg_l : float
        Net rate [mg/L/day] and level now [mg/L], as NO3.
    added_g_day : float
        Food added from now on; below zero it is taken away. [g/day]
    grams : YieldRange
        What a gram of it makes.
    tank : Tank, optional
        Its kit, to say when a test can tell.
    reading_noise : float, optional
        Spread of one reading as a part of the level. [-]
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]
    draws : Draws, optional
        Equally likely tanks.
    per_cycle : int, optional
        Points of the picture between exchanges.

    Returns
    -------
    FeedTrial
        Both curves, and when the change shows.
    """
    many = Draws.none() if draws is None else draws
    more = added_g_day / habit.volume_l
    rate = rate_mg_l_day + more * grams.mg_g
    fed = replace(
        many,
        rate_mg_l_day=many.rate_mg_l_day + more * _yields(grams, len(many)),
    )
    now, then = (
        plan(
            habit,
            g,
            d.rate_mg_l_day,
            source_errors=d.source_errors(),
            ceiling_mg_l=ceiling_mg_l,
        )
        for g, d in ((rate_mg_l_day, many), (rate, fed))
    )
    settled = _settles(now)
    days = min(1.3 * settled, _MOST_DAYS) if math.isfinite(settled) else 182.0
    days = max(days, 3.0 * habit.interval_days, 28.0)
    before, after = (
        forecast(habit, start_mg_l, g, days=days, draws=d, per_cycle=per_cycle)
        for g, d in ((rate_mg_l_day, many), (rate, fed))
    )
    tells, just_after = _first_told(before, after, tank, reading_noise)
    return FeedTrial(
        added_g_day, now, then, before, after, settled, tells, just_after, grams
    )


def _settles(now: Plan) -> float:
    """Days until 95 % of any change is done, in whole exchanges."""
    if not math.isfinite(now.cycles_to_95) or now.habit.fraction == 0.0:
        return now.days_to_95
    return max(math.ceil(now.cycles_to_95 - 1e-9), 1) * now.habit.interval_days


def _first_told(
    before: Trace, after: Trace, tank: Tank | None, noise: float
) -> tuple[float | None, bool]:
    """Find the first moment at which one reading tells the curves apart.

    They are apart where their distance passes what reading noise and the doubt in the
    first curve can make in 19 cases of 20, and a colour card shows another step.
    """
    doubt = (before.high - before.low) / 2.0
    sway = np.hypot(_SURE * noise * before.level, doubt)
    apart = np.abs(after.level - before.level) > sway
    if tank is not None and tank.kit_steps_mg_l:
        edges = [high for _, high in bands(tank.kit_steps_mg_l) if high is not None]
        apart &= np.digitize(before.level, edges) != np.digitize(after.level, edges)
    if not apart.any():
        return None, False
    i = int(np.argmax(apart))
    return float(before.days[i]), i > 0 and before.days[i] == before.days[i - 1]
