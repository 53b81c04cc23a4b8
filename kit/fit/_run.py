"""One fit of one ledger: with the food where the log earns it, and how it comes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.balance import Floats
from kit.fit._bands import KitView
from kit.fit._beforehand import USUAL_YIELD, Beforehand
from kit.fit._columns import Columns, lay_out, unsettled
from kit.fit._curve import Through, levels_through, mean_level
from kit.fit._estimate import Fitted, Top, estimate, quantile_band, top_of
from kit.fit._food import Food, all_food, each_food, lagged
from kit.fit._gates import feed_gate, foods_gate
from kit.fit._ledger import Ledger
from kit.fit._loss import with_loss
from kit.fit._memory import over_weeks
from kit.fit._result import Estimate, Lag
from kit.fit._stray import Strayed, astray

__all__ = ["Run", "run"]

_LAGS = (1.0, 2.0, 4.0, 7.0, 10.0, 14.0)
_SURE = 3.84
"""Twice the log-likelihood by which one more unknown must gain: chi-square, 1 degree of
freedom, at 95 % (any table)."""


@dataclass(frozen=True, slots=True)
class Run:
    """One fit under one order of same-day events.

    Parameters
    ----------
    ledger, kit : Ledger, KitView
        What was fitted.
    fitted : Fitted
        Draws of all unknowns.
    gate : str
        Why no yield was fitted; ``""`` when one was tried.
    yields : tuple of (str, Estimate)
        Yield of each food that earned one; ``""`` for all food together. [mg/g]
    from_before : bool
        The yield rests on what was known before the log.
    lag : Lag or None
        How long after the food its nitrate comes, where the log shows it.
    through : Through
        Levels through the log.
    stray : Strayed
        How far the tank of each draw strayed from its balance.
    supposed : bool
        The food varied, the log does not tell its yield, and a usual one was supposed.
    """

    ledger: Ledger
    kit: KitView
    fitted: Fitted
    gate: str
    yields: tuple[tuple[str, Estimate], ...]
    from_before: bool
    lag: Lag | None
    through: Through
    stray: Strayed
    supposed: bool

    @property
    def rates(self) -> Floats:
        """Draws of the rate that the tank strays about. [mg/L/day]."""
        values = self.fitted.draws.values
        return np.asarray(values[:, self.fitted.columns.rate])

    @property
    def tank_noise(self) -> Floats:
        """Draws of the tank's noise, slow and white as one. [mg/L per root day]."""
        return over_weeks(*np.exp(self.fitted.draws.values[:, -2:]).T)

    def _extra(self, name: str) -> Floats | None:
        """Draws of one thing the log may be wrong about; None where it is not asked."""
        names = [extra.name for extra in self.fitted.columns.extras]
        if name not in names:
            return None
        column = self.fitted.columns.main + names.index(name)
        return np.asarray(self.fitted.draws.values[:, column])

    @property
    def source(self) -> Floats:
        """Draws of the new water's nitrate. [mg/L]."""
        mean, off = self.ledger.source.mean_mg_l, self._extra("source")
        if off is None:
            return np.full(len(self.rates), mean)
        return np.maximum(mean + off, 0.0)

    @property
    def means(self) -> Floats:
        """Draws of what nitrate rose by a day, on the mean over the log. [mg/L/day]."""
        risen, losses = self.rates + self.stray.mean, self.losses
        if losses is None:
            return np.asarray(risen)
        return np.asarray(risen - losses * mean_level(self.ledger, self.fitted))

    @property
    def losses(self) -> Floats | None:
        """Draws of the part lost a day; None where the log shows none. [1/day]."""
        off = self._extra("loss")
        if off is None:
            return None
        return np.asarray(np.maximum(self.ledger.loss_per_day + off, 0.0))

    @property
    def net(self) -> Estimate:
        """Net rate on the mean over the log, with its band. [mg/L/day]."""
        return quantile_band(self.means)

    @property
    def usual(self) -> Estimate:
        """Rate that the tank strays about, with its band. [mg/L/day]."""
        return quantile_band(self.rates)


def run(ledger: Ledger, kit: KitView, known: Beforehand) -> Run:
    """Fit a ledger, with the food where it is earned, else without.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    known : Beforehand
        What is known before the log is read.

    Returns
    -------
    Run
        The fit.
    """
    gate = feed_gate(ledger, kit)
    varied = None if gate else all_food(ledger)
    foods = () if varied is None else (varied,)
    layout = unsettled(lay_out(ledger, kit, foods), ledger, kit, known)
    top = top_of(layout, kit, known)
    lossy = with_loss(ledger, kit, known, layout, top)
    bare = (layout, top) if lossy is ledger and not foods else None
    return _fed(lossy, kit, known, gate, bare)


def _fed(
    ledger: Ledger,
    kit: KitView,
    known: Beforehand,
    gate: str,
    bare: tuple[Columns, Top] | None,
) -> Run:
    """Fit with the food that is earned, else without any, which may be laid out."""
    several = each_food(ledger)
    if several and not foods_gate(ledger, kit, several):
        done = _earned(ledger, kit, known, several)
        if done is not None:
            return _made(ledger, kit, known, done, "", None)
    food = all_food(ledger)
    if food is not None and (not gate or known.feed_yield is not None):
        lag = None if gate else _lag(ledger, kit, known, food)
        chosen = food if lag is None else lagged(ledger, food, lag.days)
        done = _earned(ledger, kit, known, (chosen,), always=bool(known.feed_yield))
        if done is not None:
            return _made(ledger, kit, known, done, gate, lag)
        # The food did vary: leaving it out would take its ups and downs for noise.
        supposed = replace(known, feed_yield=USUAL_YIELD)
        done = _earned(ledger, kit, supposed, (food,), always=True)
        if done is not None:
            return _made(ledger, kit, known, done, gate, None, supposed=True)
    if bare is None:
        layout = unsettled(lay_out(ledger, kit), ledger, kit, known)
        bare = layout, top_of(layout, kit, known)
    fitted = estimate(bare[0], kit, known, bare[1])
    return _made(ledger, kit, known, fitted, gate, None)


def _earned(
    ledger: Ledger,
    kit: KitView,
    known: Beforehand,
    foods: tuple[Food, ...],
    *,
    always: bool = False,
) -> Fitted | None:
    """Fit with foods; None where the band of a yield then holds zero."""
    layout = unsettled(lay_out(ledger, kit, foods), ledger, kit, known)
    fitted = estimate(layout, kit, known)
    bands = [quantile_band(fitted.draws.values[:, c]) for c in _places(layout)]
    return fitted if always or all(b.low > 0.0 for b in bands) else None


def _places(layout: Columns) -> range:
    """Columns of the yields."""
    return range(layout.rate + 1, layout.main)


def _made(
    ledger: Ledger,
    kit: KitView,
    known: Beforehand,
    fitted: Fitted,
    gate: str,
    lag: Lag | None,
    *,
    supposed: bool = False,
) -> Run:
    """Put a fit together with what was found of the food."""
    layout = fitted.columns
    yields = tuple(
        (food.name, quantile_band(fitted.draws.values[:, column]))
        for food, column in zip(layout.foods, _places(layout), strict=True)
    )
    before = bool(yields) and known.feed_yield is not None
    yields = () if supposed else yields
    through = levels_through(ledger, fitted)
    stray = astray(fitted.draws.ends, layout.readings, np.random.default_rng(11))
    return Run(ledger, kit, fitted, gate, yields, before, lag, through, stray, supposed)


def _lag(ledger: Ledger, kit: KitView, known: Beforehand, food: Food) -> Lag | None:
    """Find how long after the food its nitrate comes, where the data show it."""
    tried = {
        days: top_of(
            lay_out(ledger, kit, (lagged(ledger, food, days),)), kit, known
        ).llf
        for days in (0.0, *_LAGS)
    }
    best = max(tried, key=lambda days: tried[days])
    if 2.0 * (tried[best] - tried[0.0]) < _SURE:
        return None
    near = [d for d, llf in tried.items() if 2.0 * (tried[best] - llf) < _SURE]
    return Lag(best, min(near), max(near), max(near) >= _LAGS[-1])
