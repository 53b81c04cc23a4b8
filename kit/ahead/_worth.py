"""Which test next: how much each would narrow the answer, before it is made.

Each equally likely tank of the fit gets its own days ahead. A test would show one of
the kit's numbers; the tanks are then weighted by how likely each would have shown it,
and the range that holds 95 % of the weight is what would be left. The mean over all
numbers the test may show is what it is worth: a preposterior analysis (Raiffa and
Schlaifer 1961, Applied Statistical Decision Theory, chapter 4).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from kit.ahead._candidates import Candidate, Many
from kit.ahead._kit import Kit
from kit.ahead._outlook import usual_peaks
from kit.sawtooth import Habit
from kit.steps import Floats

__all__ = ["Advice", "Worth", "advise"]

_WORLDS: Final = 100
_TAILS: Final = (0.025, 0.975)


@dataclass(frozen=True, slots=True)
class Worth:
    """What tests would leave of the answer, on average.

    Parameters
    ----------
    tests : tuple of Candidate
        One test, or all of a calendar up to this one.
    rate_width : float
        Expected width of the rate's 95 % band. [mg/L/day]
    peak_width : float
        Expected width of the usual peak's 95 % band; ``nan`` where nothing holds the
        level. [mg/L]
    """

    tests: tuple[Candidate, ...]
    rate_width: float
    peak_width: float


@dataclass(frozen=True, slots=True)
class Advice:
    """Tests ranked, and a calendar for a budget.

    Parameters
    ----------
    now : Worth
        Widths without any test.
    ranked : tuple of Worth
        Each test by itself, best first.
    calendar : tuple of Worth
        The tests to make, chosen one after the other, each with what all up to it
        leave.
    """

    now: Worth
    ranked: tuple[Worth, ...]
    calendar: tuple[Worth, ...]


class _Scale:
    """One quantity of all tanks, sorted once, to read widths off weights."""

    def __init__(self, values: Floats) -> None:
        self.order = np.argsort(values)
        self.values = values[self.order]

    def widths(self, weights: Floats) -> Floats:
        """Width of the middle 95 % for each row of weights, tanks in their order."""
        return self.widths_sorted(weights[:, self.order])

    def widths_sorted(self, weights: Floats) -> Floats:
        """Width of the middle 95 % for each row of weights, tanks sorted already."""
        if not np.isfinite(self.values).all():
            return np.full(len(weights), np.nan)
        total = np.cumsum(weights, axis=1)
        whole = np.maximum(total[:, -1], 1e-300)
        row = np.arange(len(weights))
        ends = []
        for tail in _TAILS:
            wanted = tail * whole
            at = np.argmax(total >= wanted[:, None], axis=1)
            upper, lower = total[row, at], np.where(at > 0, total[row, at - 1], 0.0)
            part = (wanted - lower) / np.maximum(upper - lower, 1e-300)
            before = self.values[np.maximum(at - 1, 0)]
            ends.append(before + part * (self.values[at] - before))
        return np.asarray(ends[1] - ends[0])


class _Table:
    """Chance of each number the kit may show at one candidate, for each tank."""

    def __init__(
        self, what: Candidate, level: Floats, kit: Kit, extra: Floats | float = 0.0
    ) -> None:
        fine = kit.diluted(what.times) if what.times != 1.0 else kit
        self.chance = fine.cells(level, extra).likelihood(level, extra)

    def shown(self, worlds: NDArray[np.intp], u: Floats) -> Floats:
        """Likelihood, in each world, of what is read there: shape (worlds, tanks)."""
        total = np.cumsum(self.chance[:, worlds], axis=0)
        cell = np.minimum((total < u).sum(axis=0), len(self.chance) - 1)
        return np.asarray(self.chance[cell])


def advise(
    habit: Habit,
    many: Many,
    kit: Kit,
    *,
    budget: int = 4,
    by_peak: bool = False,
    worlds: int = _WORLDS,
) -> Advice:
    """Rank tests and lay out a calendar.

    Parameters
    ----------
    habit : Habit
        What is done meanwhile, and whose usual peak is meant.
    many : Many
        From `kit.ahead.many_tanks`.
    kit : Kit
        The kit in hand.
    budget : int, optional
        Tests in the calendar.
    by_peak : bool, optional
        Choose by the width of the usual peak and not of the rate.
    worlds : int, optional
        Futures the calendar is tried on.

    Returns
    -------
    Advice
        Widths are of the kit's own scale unless the tanks hold an error of the kit.

    Notes
    -----
    For one test the mean over the numbers it may show, and over the tank's noise, is
    taken exactly. A calendar is
    built one test after the other on the same futures throughout (common random
    numbers), each with the test that leaves least.
    """
    scales = (
        _Scale(many.draws.rate_mg_l_day),
        _Scale(usual_peaks(habit, many.draws)),
    )
    flat = np.ones((1, len(many.draws)))
    now = Worth((), *(float(s.widths(flat)[0]) for s in scales))
    ranked = []
    for c, (level, extra) in many.middle.items():
        chance = _Table(c, level, kit, extra).chance
        ranked.append(Worth((c,), *(_expected(chance, s) for s in scales)))
    side = 1 if by_peak else 0
    ranked.sort(key=lambda w: (w.rate_width, w.peak_width)[side])
    first = ranked[0].tests[0]
    calendar = _calendar(many, kit, scales, side, (first, budget), worlds)
    return Advice(now, tuple(ranked), calendar)


def _expected(chance: Floats, scale: _Scale) -> float:
    """Mean width left after one test, over all it may show."""
    share = chance.mean(axis=1)
    seen = share > 1e-6
    widths = scale.widths(chance[seen])
    return float(np.sum(share[seen] * widths) / np.sum(share[seen]))


def _calendar(
    many: Many,
    kit: Kit,
    scales: tuple[_Scale, _Scale],
    side: int,
    plan: tuple[Candidate, int],
    worlds: int,
) -> tuple[Worth, ...]:
    """Choose tests one after the other, from the best one on."""
    first, budget = plan
    main = scales[side]
    # All tanks in the order of what is to be narrowed, so that nothing is sorted again.
    left = {c: _Table(c, level[main.order], kit) for c, level in many.readable.items()}
    back = np.argsort(main.order)
    count = len(main.order)
    places = np.linspace(0, count - 1, worlds).astype(np.intp)
    weights = np.ones((worlds, count))
    # A world is one of the tanks; it must not find itself again.
    weights[np.arange(worlds), places] = 0.0
    u = np.random.default_rng(31).random(worlds)
    chosen: list[Candidate] = []
    out = []
    for _ in range(min(budget, len(left))):
        u = np.roll(u, 1)
        best = first
        if chosen:
            tried = {
                what: np.mean(main.widths_sorted(weights * table.shown(places, u)))
                for what, table in left.items()
            }
            best = min(tried, key=lambda what: float(tried[what]))
        weights = weights * left.pop(best).shown(places, u)
        weights /= np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
        chosen.append(best)
        means = [float(np.mean(s.widths(weights[:, back]))) for s in scales]
        out.append(Worth(tuple(chosen), *means))
    return tuple(out)
