"""The plain fit that every candidate is held against: one rate all through the log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.balance import Floats, design
from kit.change._filter import Chances
from kit.change._scan import Base, base_fit
from kit.change._timeline import Timeline
from kit.fit.model import KitView, Ledger, Noise, Readings, laid

__all__ = ["Look", "look"]

_CHART_NOISE, _METER_NOISE = (0.12, 0.3), (0.08, 0.6)
"""One reader's error as a part of the level: middle and log spread. 10 to 15 % for a
colour chart, common practice, no source; wider for a meter, which the log can judge."""
_TANK_NOISE = 0.15
"""Day-to-day noise of the tank as a part of its daily rise, held there: beside noise
that lasts, a log of weeks cannot tell how large it is, and what it is more goes into
the other two."""
_CHART_SLOW, _METER_SLOW = (0.15, 1.0), (0.2, 1.0)
"""Deviation of the rise that lasts for some days, likewise: middle and log spread. An
assumption, wider for a card and more for a meter than the fit takes, so that a restless
tank is not taken for a changed one; the share of false alarms was measured with it."""
_USUAL_STEP, _LEAST_STEP = 2.0, 0.01
"""How far a rate steps, to one standard deviation: as a part of itself, and at least of
the level a day. An assumption: without it a few readings at an end of the log would be
explained by rates that no tank has."""
_FEED_EARNED = 6.6
"""Gain at which the food of the log is taken into the plain fit: 1 in 100 by chance."""
_FEED_SPREAD = 0.1


@dataclass(frozen=True, slots=True)
class Look:
    """A log laid out and fitted as if nothing had happened.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    line : Timeline
        The same as a chain.
    columns : ndarray, shape (n + x, p)
        Columns fitted, with rows for the readings and for before each exchange.
    known : ndarray, shape (n + x,)
        Known part of those levels. [mg/L]
    rate : int
        Column of the rate.
    base : Base
        The fit.
    """

    ledger: Ledger
    line: Timeline
    columns: Floats
    known: Floats
    rate: int
    base: Base

    @property
    def usual_step(self) -> float:
        """How far a rate steps, to one standard deviation. [mg/L/day]."""
        rate = abs(float(self.base.at[self.rate]))
        return max(_USUAL_STEP * rate, _LEAST_STEP * float(self.base.levels.mean()))

    def with_column(self, added: Floats, start: Floats | None = None) -> Look:
        """Take something found into the fit, so that more can be looked for.

        Parameters
        ----------
        added : ndarray, shape (n + x, 1)
            Its column.
        start : ndarray, shape (p + 1 + k,), optional
            Where to begin the fit.

        Returns
        -------
        Look
            Fitted with the column.
        """
        columns = np.hstack([self.columns, added])
        base = self.base
        begin = np.insert(base.at, base.width, 0.0) if start is None else start
        fitted = base_fit(base.chances, columns[: self.line.readings], begin)
        return Look(self.ledger, self.line, columns, self.known, self.rate, fitted)


def look(ledger: Ledger, kit: KitView, line: Timeline) -> Look:
    """Fit one rate to the whole log, with the food where the log earns it.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    line : Timeline
        The ledger as a chain.

    Returns
    -------
    Look
        Columns are the starts, the rate, then the food where taken in.
    """
    between, d, n = design(line.chain), line.design, line.readings
    columns = np.hstack([d.start, d.base[:, None]])
    readings = Readings(
        kit.low,
        kit.high,
        columns[:n],
        d.known[:n],
        between.kept,
        between.wander,
        memory=laid(ledger).memory[0],
    )
    rate = columns.shape[1] - 1
    plain = Look(
        ledger, line, columns, d.known, rate, _fit(readings, kit, columns[:n], rate)
    )
    food = _food(d.feed, d.base, n)
    if food is None:
        return plain
    fed = plain.with_column(food[:, None])
    earned = 2.0 * (fed.base.height - plain.base.height) > _FEED_EARNED
    return fed if earned and fed.base.at[rate + 1] > 0.0 else plain


def _food(feed: Floats, days: Floats, n: int) -> Floats | None:
    """Column of the food against its mean; None where it hardly varied."""
    if n < 2 or not feed[:n].any() or days[n - 1] <= 0.0:
        return None
    against = feed - float(feed[:n] @ days[:n] / (days[:n] @ days[:n])) * days
    steady = np.std(against[:n]) < _FEED_SPREAD * np.std(feed[:n])
    return None if steady else np.asarray(against)


def _fit(readings: Readings, kit: KitView, exog: Floats, rate: int) -> Base:
    """Fit some columns with the noise that is known of such readings."""
    written = np.maximum(kit.written, 0.0)
    simple = np.asarray(lm.OLS(written - readings.known, exog).fit().params)
    noise = _CHART_NOISE if kit.chart else _METER_NOISE
    rise, level = abs(float(simple[rate])), float(written.mean())
    tank = max(_TANK_NOISE * rise, 0.005 * level, 0.01)
    lasting = _CHART_SLOW if kit.chart else _METER_SLOW
    slow = max(lasting[0] * rise, 0.001 * level, 0.003)
    logs = np.log(np.array([noise[0], slow]))
    spreads = Noise(additive=kit.floor, relative=None, tank=tank, slow=None)
    chances = Chances(readings, spreads, logs, np.array([noise[1], lasting[1]]))
    return base_fit(chances, exog, np.concatenate([simple, logs]))
