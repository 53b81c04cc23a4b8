"""Nitrate that is lost in the tank, where the log shows it and only there.

Deep sand and slow filters may take away a part of what is there each day. In a tank
with regular exchanges that looks like a smaller rise; where the level climbs far or
falls far it does not, and a fit without it would miss the present level.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kit.balance import Exchanged, Floats, Flow
from kit.fit._banded import BandedModel
from kit.fit._bands import KitView
from kit.fit._beforehand import Beforehand
from kit.fit._columns import Columns, lay_out, levels_by, unsettled
from kit.fit._estimate import Top, top_of
from kit.fit._laid import Turned
from kit.fit._ledger import Ledger
from kit.fit._weave import laid

__all__ = ["with_loss"]

_TRIED = (0.001, 0.002, 0.004, 0.008, 0.016)
"""Losses tried; tanks without a reactor lose 0.002 to 0.03 a day (from memory), and
where more goes than the last of these, water that was not logged is likelier.
[1/day]"""
_WORTH_IT = 2.0
"""Twice the log-likelihood it must gain where no exchange stands between the tests:
the cost of one more unknown by Akaike's criterion (any textbook)."""
_SURE = 6.63
"""The same where water is exchanged, as forgotten or mistyped exchanges look much like
a loss: chi-square, 1 degree of freedom, at 99 % (any table)."""
_PART = 0.25
"""Part of that gain which the slope and curvature without a loss must promise."""
_TURN = 1e-4
_LEAST_LEVEL = 1.0


def with_loss(
    ledger: Ledger, kit: KitView, known: Beforehand, layout: Columns, plain: Top
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
    layout : Columns
        From `unsettled`, without a loss; with the foods that varied, as poorer feeding
        must not pass for a loss.
    plain : Top
        Its likeliest answer.

    Returns
    -------
    Ledger
        The same where no loss shows, or where a drip runs: too little drip stated and
        a loss are the same number.
    """
    steps = laid(ledger).steps
    if any(isinstance(s, Flow) and s.overflow_l_day > 0 for s in steps):
        return ledger
    exchanged = any(isinstance(s, Exchanged) for s in steps)
    needed = _SURE if exchanged else _WORTH_IT
    if _promised(ledger, layout, plain) < _PART * needed:
        return ledger
    best, top = ledger, plain.llf
    for loss in _TRIED:
        tried = replace(ledger, loss_per_day=loss)
        with_it = unsettled(lay_out(tried, kit, layout.foods), tried, kit, known)
        height = top_of(with_it, kit, known).llf
        if height < top:
            break  # the likelihood has one top
        best, top = tried, height
    return best if 2.0 * (top - plain.llf) > needed else ledger


def _promised(ledger: Ledger, layout: Columns, plain: Top) -> float:
    """Twice the gain that slope and curvature at no loss promise of one (Rao's score).

    It costs one sweep, so that others are spared the trial, which takes a whole fit.
    """
    r, p = layout.readings, layout.readings.exog.shape[1]
    levels = levels_by(layout, ledger, plain.mode[: layout.main])
    level = levels((), Turned())
    bend = (levels((), Turned(loss_per_day=_TURN)) - level) / _TURN
    if not _could_show(bend, level, layout, plain):
        return 0.0
    prior = replace(
        plain.prior, mean=(*plain.prior.mean, 0.0), sd=(*plain.prior.sd, np.inf)
    )
    exog: Floats = np.column_stack([r.exog, bend])
    paths = plain.model.u.shape[1]
    model = BandedModel(replace(r, exog=exog), plain.noise, prior, draws=paths)
    at = np.insert(plain.mode, p, 0.0)
    slope = float(model.score(at)[p])
    if slope <= 0.0:
        return 0.0
    bent = -model.hessian(at)
    rest = np.delete(np.arange(len(at)), p)
    shared = np.linalg.lstsq(bent[np.ix_(rest, rest)], bent[rest, p], rcond=None)[0]
    return slope**2 / max(float(bent[p, p] - bent[rest, p] @ shared), 1e-12)


def _could_show(bend: Floats, level: Floats, layout: Columns, plain: Top) -> bool:
    """Whether the largest loss would stand out of the readings' own errors at all.

    In most logs a lower rate does nearly the same to every reading.
    """
    relative = float(np.exp(plain.mode[-3]))
    error = relative * np.maximum(level, _LEAST_LEVEL)
    seen = layout.readings.exog / error[:, None]
    bent = _TRIED[-1] * bend / error
    left = bent - seen @ np.linalg.lstsq(seen, bent, rcond=None)[0]
    return float(left @ left) > _WORTH_IT
