"""What a log must hold before a rate, or a feed's yield, is fitted at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Flow, Observed, Step, design, link
from kit.fit._allowed import allowed_range, runs_off
from kit.fit._bands import KitView
from kit.fit._columns import Columns, columns, lay_out, mean_feed_per_litre
from kit.fit._food import Food
from kit.fit._ledger import Ledger
from kit.fit._readings import Readings
from kit.fit._weave import laid

__all__ = ["Refusal", "feed_gate", "feed_spread", "foods_gate", "rate_gate"]

_MIN_RESID = 3
_ALIKE_CONDITION = 30.0
_ALIKE_SPREAD = 0.10


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why no rate is given, with what would help, and a bound where there is one."""

    reason: str
    upper_bound: float | None = None


def rate_gate(ledger: Ledger, kit: KitView) -> Refusal | None:
    """Tell whether the log can carry a rate.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.

    Returns
    -------
    Refusal or None
        None when a rate may be fitted.
    """
    layout = columns(ledger, kit, with_feed=False)
    n, parameters = layout.readings.exog.shape
    if n < 2:
        return Refusal(
            "Only one usable test stands in the log, so nothing says how fast nitrate "
            "rises. Test again in a week and once more the week after."
        )
    if np.ptp(ledger.days) < 1.0:
        return Refusal(
            "All tests fall within one day; a rise needs tests days or weeks apart."
        )
    if not np.isfinite(kit.low).any() and kit.high.max() < np.inf:
        return _all_low(layout, kit)
    if not np.isfinite(kit.high).any():
        return Refusal(
            "Every reading is off the top of the chart, so only a lower limit of the "
            "level is known and no rise. Dilute the sample with pure water (1 part "
            "tank, 3 parts water, times 4) and test again."
        )
    short = parameters + _MIN_RESID - n
    if short > 0:
        return Refusal(
            f"{_tests(n)} to find {parameters} numbers by, such as the level on the "
            "first day and the rise: too few to tell a rise from chance. "
            f"{_tests(short)} more would do, best one before and one after an "
            f"exchange.{_why(ledger)}"
        )
    if runs_off(layout.readings, layout.rate):
        return _endless(layout)
    return None


def _endless(layout: Columns) -> Refusal:
    """Refuse where the readings set the rate no limit on one side."""
    text = (
        "The readings set no limit to the rise on one side: too many are only a bound, "
        "below the lowest step or above the highest, or no two of them see the same "
        "stretch between exchanges."
    )
    allowed = allowed_range(layout.readings, layout.rate)
    low, high = allowed if allowed is not None else (-np.inf, np.inf)
    if np.isfinite(low):
        text += f" Read without error they ask for at least {low:.2g} mg/L a day."
    if np.isfinite(high):
        text += f" Read without error they ask for at most {high:.2g} mg/L a day."
    text += (
        " Readings off the top can be had by diluting the sample with pure water; "
        "readings off the bottom by waiting longer before the next exchange."
    )
    return Refusal(text, float(high) if np.isfinite(high) else None)


def _tests(n: int) -> str:
    """Count tests in words."""
    return f"{n} test" if n == 1 else f"{n} tests"


def _why(ledger: Ledger) -> str:
    """Say why more unknowns than usual are in play."""
    if not ledger.restarts:
        return ""
    return " The level had to start afresh because " + "; ".join(ledger.restarts) + "."


def _all_low(layout: Columns, kit: KitView) -> Refusal:
    """Refuse a rate where no reading shows any nitrate, with a bound."""
    r = layout.readings
    at_least_zero = Readings(
        np.where(np.isfinite(r.low), r.low, 0.0),
        r.high,
        r.exog,
        r.known,
        r.kept,
        r.wander,
    )
    allowed = allowed_range(at_least_zero, layout.rate)
    top = float(kit.high.max())
    bound = allowed[1] if allowed is not None and np.isfinite(allowed[1]) else None
    text = (
        f"Every reading is below what the kit can tell (under {top:.3g} mg/L), so "
        "there "
        "is no rise to fit; none of them is a zero."
    )
    if bound is not None and bound >= 0:
        text += f" The rise cannot be above about {bound:.2g} mg/L a day."
    elif bound is not None:
        text += (
            " With the new water as stated, something takes up at least "
            f"{-bound:.2g} mg/L a day, or the new water holds less than that."
        )
    text += (
        " To learn more, let the next exchange wait until a reading shows, and check "
        "the kit against a standard."
    )
    return Refusal(text, bound)


def feed_spread(ledger: Ledger) -> float:
    """Coefficient of variation of the daily food between tests. [-]."""
    if ledger.feed is None or ledger.tank.volume_l is None:
        return 0.0
    d = design(link(_unexchanged(ledger)))
    days = np.diff(d.base)
    food = np.diff(d.feed)
    wide = days > 0.5
    per_day = food[wide] / days[wide]
    if len(per_day) < 2 or per_day.mean() <= 0:
        return 0.0
    return float(per_day.std(ddof=1) / per_day.mean())


def _unexchanged(ledger: Ledger) -> tuple[Step, ...]:
    """Only flows and tests, to add up food between tests."""
    return tuple(s for s in laid(ledger).steps if isinstance(s, Flow | Observed))


def foods_gate(ledger: Ledger, kit: KitView, foods: tuple[Food, ...]) -> str:
    """Tell whether several foods can be told apart from each other and the rest.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    foods : tuple of Food
        From `kit.fit._food.each_food`.

    Returns
    -------
    str
        ``""`` when each may get a yield, else why not.
    """
    x = lay_out(ledger, kit, foods).readings.exog
    if x.shape[0] - x.shape[1] < _MIN_RESID + 2 * len(foods):
        return "there are too few tests for a yield of each food"
    size = np.linalg.norm(x, axis=0)
    if not (size > 0).all() or np.linalg.cond(x / size) > _ALIKE_CONDITION:
        return "the foods went hand in hand, so their shares cannot be told apart"
    return ""


def feed_gate(ledger: Ledger, kit: KitView) -> str:
    """Tell whether food and the rest can be told apart.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.

    Returns
    -------
    str
        ``""`` when the yield may be fitted, else why not.
    """
    if ledger.feed is None:
        return ledger.feed_note
    if ledger.tank.volume_l is None:
        return "the tank's volume is not stated"
    if mean_feed_per_litre(ledger) <= 0.0:
        return "the log shows no food between the tests"
    if feed_spread(ledger) < _ALIKE_SPREAD:
        return "you fed nearly the same between all tests"
    layout = columns(ledger, kit, with_feed=True)
    x = layout.readings.exog
    if x.shape[0] - x.shape[1] < _MIN_RESID + 2:
        return "there are too few tests for a second unknown"
    centred = x / np.linalg.norm(x, axis=0)
    if np.linalg.cond(centred) > _ALIKE_CONDITION:
        return "food and time went hand in hand, so their shares cannot be told apart"
    return ""
