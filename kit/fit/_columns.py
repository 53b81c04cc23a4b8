"""The design of one fit: which columns stand for what, at the tests and elsewhere."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import statsmodels.regression.linear_model as lm
from statsmodels.tools.sm_exceptions import ModelWarning

from kit.balance import Floats, after_last
from kit.fit._bands import KitView
from kit.fit._beforehand import Beforehand
from kit.fit._food import Food, all_food, food_column
from kit.fit._laid import Turned
from kit.fit._ledger import Event, Ledger
from kit.fit._readings import Readings
from kit.fit._unsure import Plug, Unsure, exchange_variance, jolts, unsure
from kit.fit._weave import laid

__all__ = [
    "Columns",
    "columns",
    "lay_out",
    "levels_by",
    "mean_feed_per_litre",
    "simple",
    "unsettled",
]


@dataclass(frozen=True, slots=True)
class Columns:
    """The design in the kit's own terms.

    Parameters
    ----------
    readings : Readings
        Bands and columns: starts, then the rate at mean feed, then the yield of each
        food that is fitted, then what the log may be wrong about.
    rate : int
        Column of the net rate.
    foods : tuple of Food
        Foods with a column of their own.
    extras : tuple of Unsure
        What the last columns stand for.
    last_jolt : float
        Variance that inexact exchanges add after the last reading. [mg2/L2]
    """

    readings: Readings
    rate: int
    foods: tuple[Food, ...] = ()
    extras: tuple[Unsure, ...] = ()
    last_jolt: float = 0.0

    @property
    def feed(self) -> int | None:
        """Column of the first yield; None when no food is fitted."""
        return self.rate + 1 if self.foods else None

    @property
    def main(self) -> int:
        """Number of columns before those of what the log may be wrong about."""
        return self.rate + 1 + len(self.foods)

    @property
    def main_only(self) -> Readings:
        """Readings with the columns of the tank itself only."""
        return replace(self.readings, exog=self.readings.exog[:, : self.main])

    def ahead(self, ledger: Ledger, asked: tuple[Event, ...]) -> tuple[Floats, Floats]:
        """Columns and known part of the tank's level at other moments.

        Parameters
        ----------
        ledger : Ledger
            The ledger laid out.
        asked : tuple of Event
            Where.

        Returns
        -------
        ndarray, shape (m, p)
            Columns in the order of `readings`; an error of reading has none of it.
        ndarray, shape (m,)
            Known part. [mg/L]
        """
        main, known = _main(ledger, self.foods, asked, Turned())
        extras = [extra.ahead(asked) for extra in self.extras]
        return np.column_stack([main, *extras]), known


def _main(
    ledger: Ledger,
    foods: Sequence[Food],
    asked: tuple[Event, ...],
    turned: Turned,
) -> tuple[Floats, Floats]:
    """Columns of starts, days and foods, and the known part."""
    d = laid(ledger, asked, turned).design
    fed = [food_column(ledger, food, asked, turned) for food in foods]
    return np.column_stack([d.start, d.base, *fed]), d.known


def lay_out(ledger: Ledger, kit: KitView, foods: tuple[Food, ...] = ()) -> Columns:
    """Lay out the design for a ledger.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    foods : tuple of Food, optional
        Foods that get a column each.

    Returns
    -------
    Columns
        Ready for `kit.fit._estimate.estimate`.
    """
    d = laid(ledger).design
    x, known = _main(ledger, foods, (), Turned())
    memory, _ = laid(ledger).memory
    readings = Readings(kit.low, kit.high, x, known, d.kept, d.wander, memory=memory)
    return Columns(readings, d.start.shape[1], foods)


def columns(ledger: Ledger, kit: KitView, *, with_feed: bool) -> Columns:
    """Lay out the design with all food together, or none.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    with_feed : bool
        Whether the yield gets a column.

    Returns
    -------
    Columns
        As `lay_out`.
    """
    food = all_food(ledger) if with_feed else None
    return lay_out(ledger, kit, () if food is None else (food,))


def mean_feed_per_litre(ledger: Ledger) -> float:
    """Mean food over the span of the tests. [g/L/day]."""
    food = all_food(ledger)
    return 0.0 if food is None else food.mean


def simple(layout: Columns, kit: KitView) -> lm.RegressionResults:
    """Fit what was written by plain least squares.

    Parameters
    ----------
    layout : Columns
        The design; only the columns of the tank itself are used.
    kit : KitView
        The numbers written.

    Returns
    -------
    statsmodels RegressionResults
        Starts, rate and yields.
    """
    r = layout.main_only
    written = np.where(np.isfinite(r.high), np.clip(kit.written, 0, None), kit.written)
    with warnings.catch_warnings():
        # Columns that cannot be told apart are named by `kit.fit._alike` instead.
        warnings.simplefilter("ignore", ModelWarning)
        return lm.OLS(written - r.known, r.exog).fit()


def levels_by(
    layout: Columns, ledger: Ledger, coefs: Floats
) -> Callable[[tuple[Event, ...], Turned], Floats]:
    """Levels by a first answer, with what the log states turned.

    Parameters
    ----------
    layout : Columns
        From `lay_out`.
    ledger : Ledger
        Events in order.
    coefs : ndarray, shape (p,)
        The answer; starts below zero are taken as zero.

    Returns
    -------
    callable
        Of where to ask (at the tests when nothing is asked) and what is turned. [mg/L]
    """
    first = np.array(coefs)
    first[: layout.rate] = np.maximum(first[: layout.rate], 0.0)

    def levels(asked: tuple[Event, ...], turned: Turned) -> Floats:
        x, stated = _main(ledger, layout.foods, asked, turned)
        return np.asarray(x @ first + stated)

    return levels


def unsettled(
    layout: Columns, ledger: Ledger, kit: KitView, known: Beforehand
) -> Columns:
    """Add what the log may be wrong about to a layout.

    Parameters
    ----------
    layout : Columns
        From `lay_out`.
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    known : Beforehand
        How far each may be off.

    Returns
    -------
    Columns
        With a column for each, and the variance of inexact exchanges.
    """
    first = np.array(simple(layout, kit).params)
    plug = Plug(ledger, levels_by(layout, ledger, first))
    extras = unsure(plug, known, kit.tried)
    r = layout.readings
    exog = np.column_stack([r.exog, *(extra.column for extra in extras)])
    variance = exchange_variance(plug, known)
    return replace(
        layout,
        readings=replace(r, exog=exog, jolt=jolts(plug, variance)),
        extras=extras,
        last_jolt=after_last(laid(ledger).chain, variance)[1],
    )
