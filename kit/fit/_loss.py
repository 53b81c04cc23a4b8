"""Nitrate that is lost in the tank, where the log shows it and only there.

Deep sand and slow filters may take away a part of what is there each day. In a tank
with regular exchanges that looks like a smaller rise; where the level climbs far or
falls far it does not, and a fit without it would miss the present level.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.balance import Floats, Flow
from kit.fit._bands import KitView
from kit.fit._beforehand import Beforehand
from kit.fit._columns import lay_out, levels_by, simple, unsettled
from kit.fit._estimate import top_of
from kit.fit._food import Food
from kit.fit._laid import Turned
from kit.fit._ledger import Ledger
from kit.fit._weave import laid

__all__ = ["with_loss"]

_TRIED = (0.0, 0.001, 0.002, 0.004, 0.008, 0.016, 0.032)
"""Losses tried; tanks without a reactor lose 0.002 to 0.03 a day (from memory).
[1/day]"""
_SURE = 6.63
"""Twice the log-likelihood it must gain: chi-square, 1 degree of freedom, at 99 % (any
table). Stricter than for food, as forgotten exchanges look much the same."""
_HINT = 1.5
_ROUGH_READING = 0.15
_TURN = 0.001


def with_loss(
    ledger: Ledger, kit: KitView, known: Beforehand, foods: tuple[Food, ...]
) -> Ledger:
    """Give the ledger the loss its tests show, if they clearly do.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    known : Beforehand
        What is known before the log is read.
    foods : tuple of Food
        Foods that varied: poorer feeding must not pass for a loss.

    Returns
    -------
    Ledger
        The same where no loss shows, or where a drip runs: too little drip stated and
        a loss are the same number.
    """
    if any(isinstance(s, Flow) and s.overflow_l_day > 0 for s in laid(ledger).steps):
        return ledger
    if not _hinted(ledger, kit, foods):
        return ledger
    tried = [replace(ledger, loss_per_day=k) for k in _TRIED]
    heights = np.array([_height(one, kit, known, foods) for one in tried])
    best = int(np.argmax(heights))
    if 2.0 * (heights[best] - heights[0]) < _SURE:
        return ledger
    return tried[best]


def _height(
    ledger: Ledger, kit: KitView, known: Beforehand, foods: tuple[Food, ...]
) -> float:
    """Log-likelihood of the likeliest answer with the ledger's loss."""
    layout = unsettled(lay_out(ledger, kit, foods), ledger, kit, known)
    return top_of(layout, kit, known).llf


def _hinted(ledger: Ledger, kit: KitView, foods: tuple[Food, ...]) -> bool:
    """Whether plain weighted regression hints at a loss, to spare others the trial."""
    layout = lay_out(ledger, kit, foods)
    plain = np.asarray(simple(layout, kit).params)
    levels = levels_by(layout, ledger, plain)
    level = levels((), Turned())
    bend = (levels((), Turned(loss_per_day=_TURN)) - level) / _TURN
    weight = 1.0 / (_ROUGH_READING * np.maximum(level, 1.0)) ** 2
    x: Floats = np.column_stack([layout.readings.exog, bend])
    found = lm.WLS(kit.written - layout.readings.known, x, weights=weight).fit()
    return bool(found.params[-1] > _HINT * found.bse[-1])
