"""Noise of the tank that lasts: how it gathers between readings and is diluted.

A tank's rise does not only stray from day to day; a richer week is followed by another
one. Beside the white noise a slow one is therefore carried: a deviation of the rate
that is forgotten with a memory of some days. It gathers in the level, and exchanges
dilute what has gathered, but not the deviation of the rate itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from kit.balance import Exchanged, Floats, Flow, Observed, Resized, Restarted, Step

__all__ = ["MEMORY_DAYS", "Memory", "memory_of", "over_weeks"]

MEMORY_DAYS = 10.0
"""How long a richer or poorer time lasts on the mean; an assumption. [day]"""
_SPAN_DAYS = 14.0


@dataclass(frozen=True, slots=True)
class Memory:
    """How slow noise passes from one asked-for level to the next.

    With ``x`` the deviation of the level and ``r`` that of the rate, per unit of the
    spread of ``r`` ::

        x <- kept x + gained r + noise,   r <- lasting r + noise

    Parameters
    ----------
    gained : ndarray, shape (n,)
        Level that a unit deviation of the rate brings. [day]
    lasting : ndarray, shape (n,)
        Part of the deviation of the rate that is left. [-]
    level, both, rate : ndarray, shape (n,)
        Variance that is new in the level [day2], covariance [day], and variance that
        is new in the rate [-].
    days : ndarray, shape (n,)
        Time since the level before; 0 where a gap lies between, of which nothing is
        known. [day]
    risen : ndarray, shape (n,)
        Rise, not diluted, that a unit deviation of the rate brings. [day]
    risen_var, risen_level, risen_rate : ndarray, shape (n,)
        Variance that is new in that rise, and its covariance with what is new in level
        and rate. [day2], [day2], [day]
    shared : ndarray, shape (n,)
        Covariance of rise and level from day-to-day noise of unit variance. [day]
    """

    gained: Floats
    lasting: Floats
    level: Floats
    both: Floats
    rate: Floats
    days: Floats
    risen: Floats
    risen_var: Floats
    risen_level: Floats
    risen_rate: Floats
    shared: Floats


@dataclass(slots=True)
class _Pass:
    """One row of `Memory` while the steps are walked through."""

    gained: float = 0.0
    lasting: float = 1.0
    level: float = 0.0
    both: float = 0.0
    rate: float = 0.0
    days: float = 0.0
    risen: float = 0.0
    risen_var: float = 0.0
    risen_level: float = 0.0
    risen_rate: float = 0.0
    shared: float = 0.0

    def keep(self, part: float) -> None:
        """Dilute, or concentrate, what has gathered in the level."""
        self.gained *= part
        self.level *= part * part
        self.both *= part
        self.risen_level *= part
        self.shared *= part

    def forget(self) -> None:
        """Begin anew after a gap: how the level rose in it is not known."""
        self.keep(0.0)
        self.days = self.risen = self.risen_var = self.risen_rate = 0.0

    def flow(self, step: Flow) -> None:
        """Let time pass, at most a day at once; the rate is level within each."""
        k = step.overflow_l_day / step.volume_l + step.loss_per_day
        count = max(math.ceil(step.days - 1e-9), 1)
        days = step.days / count
        part = math.exp(-k * days)
        worth = days if k * days < 1e-12 else -math.expm1(-k * days) / k
        last = math.exp(-days / MEMORY_DAYS)
        fresh = 1.0 - last * last
        for _ in range(count):
            self._rise(days, part, worth, last)
            self.gained = part * self.gained + worth * self.lasting
            self.level = (
                part * part * self.level
                + 2.0 * part * worth * self.both
                + worth * worth * self.rate
            )
            self.both = last * (part * self.both + worth * self.rate)
            self.lasting *= last
            self.rate = last * last * self.rate + fresh

    def _rise(self, days: float, part: float, worth: float, last: float) -> None:
        """Count what rises in a stretch, before any of it is diluted."""
        self.days += days
        self.risen += days * self.lasting
        self.risen_var += 2.0 * days * self.risen_rate + days * days * self.rate
        self.risen_level = (
            part * (self.risen_level + days * self.both)
            + worth * self.risen_rate
            + worth * days * self.rate
        )
        self.risen_rate = last * (self.risen_rate + days * self.rate)
        self.shared = part * self.shared + worth


def memory_of(steps: Sequence[Step]) -> tuple[Memory, Memory]:
    """Work out how slow noise passes between asked-for levels.

    Parameters
    ----------
    steps : sequence of Step
        From `kit.fit._weave.weave`.

    Returns
    -------
    Memory
        A row for each asked-for level, from the one before it.
    Memory
        One row: from the last asked-for level to the end.
    """
    rows: list[_Pass] = []
    now = _Pass()
    for step in steps:
        if isinstance(step, Observed):
            rows.append(now)
            now = _Pass()
        elif isinstance(step, Flow):
            now.flow(step)
        elif isinstance(step, Exchanged):
            now.keep(1.0 - step.fraction)
        elif isinstance(step, Resized):
            now.keep(1.0 if step.how == "drained" else 1.0 / step.ratio)
        elif isinstance(step, Restarted):
            now.forget()
    return _table(rows), _table([now])


def _table(rows: Sequence[_Pass]) -> Memory:
    """Put rows into columns."""
    names = [field.name for field in fields(Memory)]
    values = [[getattr(row, name) for name in names] for row in rows]
    return Memory(*np.array(values, dtype=np.float64).reshape(-1, len(names)).T)


def over_weeks(white: Floats, slow: Floats) -> Floats:
    """Give the white noise that scatters two weeks as much as both noises do.

    Parameters
    ----------
    white : ndarray, shape (d,)
        Day-to-day noise. [mg/L per root day]
    slow : ndarray, shape (d,)
        Spread of the lasting deviation of the rate. [mg/L/day]

    Returns
    -------
    ndarray, shape (d,)
        One day-to-day noise for both. [mg/L per root day]
    """
    one = _Pass()
    one.rate = 1.0  # the deviation of the rate is unknown to its full spread
    one.flow(Flow(_SPAN_DAYS, 1.0))
    return np.asarray(np.sqrt(white**2 + slow**2 * one.level / _SPAN_DAYS))
