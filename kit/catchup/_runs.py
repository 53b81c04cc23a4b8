"""One interval after the other, for the middle estimate and every draw at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kit.ahead import Trace
from kit.balance import Floats, Flow, link
from kit.draws import Draws
from kit.plan import Band
from kit.sawtooth import Habit

__all__ = ["MOST_TURNS", "Between", "Runs"]

MOST_TURNS = 200
"""Exchanges after which a plan is called endless."""


class Between:
    """One interval without an exchange, for one level or for many at once."""

    def __init__(self, habit: Habit) -> None:
        chain = link(
            [
                Flow(
                    habit.interval_days,
                    habit.volume_l,
                    inflow_l_day=habit.inflow_l_day,
                    overflow_l_day=habit.overflow_l_day,
                    loss_per_day=habit.loss_per_day,
                )
            ]
        )
        self.keep, self.base = float(chain.keep[0]), float(chain.base[0])
        self.share, self.wander = float(chain.source[0]), float(chain.wander[0])

    def carry(
        self, level: Floats | float, rate: Floats | float, source: Floats | float
    ) -> Floats:
        """Give the level at the end, held at zero."""
        end = self.keep * level + self.base * rate + self.share * source
        return np.maximum(end, 0.0)

    def carry_draws(self, draws: Draws) -> Draws:
        """Give draws at the end, without the tank's own noise."""
        end = self.carry(draws.level_mg_l, draws.rate_mg_l_day, draws.source_mg_l)
        return replace(draws, level_mg_l=end)


class Runs:
    """The middle estimate (first place) and every draw, through the same exchanges."""

    def __init__(
        self,
        habit: Habit,
        rate: float,
        level: float,
        fractions: Sequence[float],
        draws: Draws | None,
    ) -> None:
        many = Draws.none() if draws is None else draws
        self.between, self.days = Between(habit), habit.interval_days
        self.rate = np.append(rate, many.rate_mg_l_day)
        self.source = np.append(habit.source_mg_l, many.source_mg_l)
        self.start = np.append(level, many.level_mg_l)
        self.noise = np.append(0.0, many.tank_noise)
        self._chance = np.random.default_rng(20260302)
        self.fractions = tuple(fractions)
        self.before: list[Floats] = []
        self.after: list[Floats] = []
        now = self.start
        for fraction in self.fractions:
            self.before.append(now)
            self.after.append(now + fraction * (self.source - now))
            now = self._on(self.after[-1])
        self.end = now

    def _on(self, now: Floats) -> Floats:
        """Carry on to the next exchange, with each tank's own ups and downs."""
        sway = self.noise * math.sqrt(self.between.wander)
        strayed = sway * self._chance.standard_normal(len(now))
        end = self.between.carry(now, self.rate, self.source)
        return np.maximum(end + strayed, 0.0)

    @staticmethod
    def band_of(values: Floats) -> Band:
        """Give the middle estimate with the band of the draws."""
        middle, many = float(values[0]), values[1:]
        if not len(many):
            return Band(middle, middle, middle)
        low, high = np.quantile(many, [0.025, 0.975])
        return Band(middle, float(low), float(high))

    def needed(self, target: float) -> Band:
        """Count the exchanges until each draw meets the target."""
        count = np.zeros(len(self.start))
        open_ = self.start > target
        for after in self.after:
            count += open_
            open_ = open_ & (after > target)
        fraction = self.fractions[-1] if self.fractions else 0.0
        now = self.after[-1] if self.after else self.start
        for _ in range(MOST_TURNS if fraction else 0):
            if not open_.any():
                break
            now = self._on(now)
            now = now + fraction * (self.source - now)
            count += open_
            open_ = open_ & (now > target)
        count[open_] = math.inf
        low, high = (
            np.quantile(count[1:], [0.025, 0.975], method="inverted_cdf")
            if len(count) > 1
            else (count[0], count[0])
        )
        return Band(float(len(self.fractions)), float(low), float(high))

    def trace(self) -> Trace:
        """Give the level before and after each exchange and one interval on."""
        levels, days = [], []
        for i, (before, after) in enumerate(zip(self.before, self.after, strict=True)):
            levels += [before, after]
            days += [i * self.days] * 2
        levels.append(self.end)
        days.append(len(self.fractions) * self.days)
        bands = [self.band_of(x) for x in levels]
        return Trace(
            np.array(days, dtype=np.float64),
            np.array([b.estimate for b in bands]),
            np.array([b.low for b in bands]),
            np.array([b.high for b in bands]),
        )
