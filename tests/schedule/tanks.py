"""Tanks made up for these tests: known to the digit, or uncertain by a known law."""

from __future__ import annotations

import numpy as np

from kit.draws import Draws
from kit.sawtooth import Habit
from kit.schedule.trial import Trial


def sure(habit: Habit, rate: float, ceiling: float, noise: float = 0.0) -> Trial:
    """A tank of which everything is known."""
    one = Draws(*(np.array([v]) for v in (rate, 30.0, noise, habit.source_mg_l)))
    return Trial(habit, rate, one, ceiling)


def unsure(habit: Habit, rate: float, ceiling: float, n: int = 1000) -> Trial:
    """A tank with a rate sure to 15 %, noise to a factor of two, source to 10 %."""
    rng = np.random.default_rng(5)
    draws = Draws(
        rng.normal(rate, 0.15 * abs(rate), n),
        np.full(n, 30.0),
        0.6 * np.exp(rng.normal(0.0, 0.7, n)),
        np.maximum(rng.normal(habit.source_mg_l, 0.1 * habit.source_mg_l, n), 0.0),
    )
    return Trial(habit, rate, draws, ceiling)
