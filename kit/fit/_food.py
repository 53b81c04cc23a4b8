"""Food by day as it reaches the water: of one kind or several, at once or later.

Anything that adds nitrate in proportion to a daily amount is laid out the same way:
all food together, one kind of several, or food that takes days to turn into nitrate.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from kit.balance import Floats
from kit.fit._laid import Turned
from kit.fit._ledger import Event, Ledger
from kit.fit._weave import laid

__all__ = ["Food", "all_food", "each_food", "food_column", "lagged"]

_MIN_DAYS = 8
_MIN_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class Food:
    """Something given by the day.

    Parameters
    ----------
    name : str
        Which food; ``""`` for all of it together.
    daily : dict of int to float
        Amount by day since day zero. [g]
    mean : float
        Mean between the first and the last test, per litre. [g/L/day]
    lag_days : float
        Mean time until it has turned into nitrate. [day]
    """

    name: str
    daily: dict[int, float]
    mean: float
    lag_days: float = 0.0


def _mean(ledger: Ledger, daily: dict[int, float]) -> float:
    """Mean over the span of the tests. [g/L/day]."""
    end = float(ledger.days[-1])
    span = max(end - float(ledger.days[0]), 1.0)
    total = sum(g for day, g in daily.items() if 0 <= day < end)
    return total / span / (ledger.tank.volume_l or 1.0)


def all_food(ledger: Ledger) -> Food | None:
    """Give all food together.

    Parameters
    ----------
    ledger : Ledger
        Events in order.

    Returns
    -------
    Food or None
        None where the log cannot tell it.
    """
    if ledger.feed is None or ledger.tank.volume_l is None:
        return None
    return Food("", ledger.feed, _mean(ledger, ledger.feed))


def each_food(ledger: Ledger) -> tuple[Food, ...]:
    """Give each kind of food that was logged often enough to stand alone.

    Parameters
    ----------
    ledger : Ledger
        Events in order.

    Returns
    -------
    tuple of Food
        Empty with fewer than two kinds, or where one of them is hardly ever given.
    """
    if ledger.feed is None or ledger.tank.volume_l is None or len(ledger.foods) < 2:
        return ()
    out = [Food(n, d, _mean(ledger, d)) for n, d in ledger.foods.items()]
    whole = sum(f.mean for f in out)
    often = all(len(f.daily) >= _MIN_DAYS for f in out)
    much = all(f.mean >= _MIN_SHARE * whole > 0.0 for f in out)
    return tuple(out) if often and much else ()


def lagged(ledger: Ledger, food: Food, days: float) -> Food:
    """Let food turn into nitrate over some days.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    food : Food
        As given.
    days : float
        Mean time until it has turned; each day the same part of what is left does.
        [day]

    Returns
    -------
    Food
        By the day on which its nitrate comes.
    """
    if days <= 0.0:
        return food
    keep = float(np.exp(-1.0 / days))
    first = min(chain(food.daily, [0]))
    last = int(np.ceil(float(ledger.days[-1]))) + 1
    # Before the log began food was given as well: as much as the mean.
    left = food.mean * (ledger.tank.volume_l or 1.0) * keep / (1.0 - keep)
    daily = {}
    for day in range(first, last + 1):
        left += food.daily.get(day, 0.0)
        daily[day] = (1.0 - keep) * left
        left *= keep
    return Food(food.name, daily, _mean(ledger, daily), days)


def food_column(
    ledger: Ledger,
    food: Food,
    asked: tuple[Event, ...] = (),
    turned: Turned | None = None,
) -> Floats:
    """Change of each level for a yield of one, against the mean feeding.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    food : Food
        Which.
    asked : tuple of Event, optional
        Where levels are asked for; at the tests when left out.
    turned : Turned, optional
        Factors on what the log states.

    Returns
    -------
    ndarray, shape (m,)
        Against the mean, so that the rate stays the rate at the feeding logged. [g/L]
    """
    # All food together is what the ledger was laid out with as it is.
    same = food.daily is ledger.feed
    fed = ledger if same else replace(ledger, feed=food.daily)
    d = laid(fed, asked, turned or Turned()).design
    return np.asarray(d.feed - food.mean * d.base)
