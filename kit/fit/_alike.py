"""What the tests cannot tell from the rate: each named, with what it would change."""

from __future__ import annotations

import numpy as np

from kit.balance import Exchanged, Floats, Flow
from kit.fit._bands import KitView
from kit.fit._columns import lay_out
from kit.fit._estimate import Fitted
from kit.fit._laid import Turned
from kit.fit._ledger import Event, Ledger
from kit.fit._memory import over_weeks
from kit.fit._result import Alike
from kit.fit._unsure import Plug
from kit.fit._weave import laid
from kit.fit._weights import covariance

__all__ = ["KIT", "LOSS", "OVERFLOW", "SIZES", "SOURCE", "alike_of"]

SOURCE = "the nitrate of the new water"
SIZES = "the true size of the exchanges"
LOSS = "a loss in the tank, such as plants or deep sand"
OVERFLOW = "what the drip really carries off"
KIT = "a steady error of the kit"
_TURN = 0.01


def alike_of(ledger: Ledger, kit: KitView, fitted: Fitted) -> tuple[Alike, ...]:
    """Work out what each thing left free would do to the rate.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests.
    fitted : Fitted
        The fit.

    Returns
    -------
    tuple of Alike
        One for each that bends the levels of this log at all.

    Notes
    -----
    To first order: a column says how a thing bends the readings, and least squares
    whitened by the fitted noise says what the rate does when that is granted, and how
    the two estimates go together when both are free.
    """
    bare = lay_out(ledger, kit, fitted.columns.foods)
    middle = np.median(fitted.draws.values, axis=0)
    beta = middle[: fitted.columns.main]

    def levels(asked: tuple[Event, ...], turned: Turned) -> Floats:
        if asked:
            x, known = bare.ahead(ledger, asked)
            return np.asarray(x @ beta + known)
        d = laid(ledger, (), turned).design
        food = bare.readings.exog[:, bare.rate + 1 :]
        x = np.column_stack([d.start, d.base, food])
        return np.asarray(x @ beta + d.known)

    plug = Plug(ledger, levels)
    level = np.maximum(levels((), Turned()), 0.0)
    root = np.linalg.cholesky(_sigma(fitted, level))
    white = np.linalg.solve(root, bare.readings.exog)
    out = []
    for what, per, column in _columns(plug, level):
        if np.abs(column).max() < 1e-9:
            continue
        bent = np.linalg.solve(root, column)
        effect = -float(np.linalg.lstsq(white, bent, rcond=None)[0][bare.rate])
        both = np.column_stack([white, bent])
        out.append(Alike(what, _correlation(both, bare.rate), effect, per))
    return tuple(out)


def _columns(plug: Plug, level: Floats) -> list[tuple[str, str, Floats]]:
    """How each thing bends the readings, for the change it is named with."""
    ledger = plug.ledger
    source = laid(ledger).design.source
    steps = laid(ledger).steps
    out = [
        (SOURCE, "10 mg/L more in the new water", 10.0 * source),
        (KIT, "a kit that reads a tenth high", 0.1 * level),
    ]
    if ledger.loss_per_day == 0.0:
        bent = plug.bend((), Turned(loss_per_day=_TURN))
        out.append((LOSS, "a loss of 1 % a day", 0.01 * bent))
    if any(isinstance(s, Exchanged) for s in steps):
        bent = plug.bend((), Turned(exchanges=1.0 + _TURN))
        out.append((SIZES, "exchanges a fifth smaller than written", -0.2 * bent))
    if any(isinstance(s, Flow) and s.overflow_l_day > 0 for s in steps):
        bent = plug.bend((), Turned(overflow=1.0 + _TURN))
        out.append((OVERFLOW, "a drip a fifth slower than stated", -0.2 * bent))
    return out


def _sigma(fitted: Fitted, level: Floats) -> Floats:
    """Covariance of the readings at the fitted noise, with the width of their bands."""
    r = fitted.columns.readings
    relative, white, slow = np.exp(np.median(fitted.draws.values[:, -3:], axis=0))
    tank = over_weeks(np.array([white]), np.array([slow]))[0]
    floor = fitted.noise.additive or 0.0
    width = np.where(np.isfinite(r.high - r.low), r.high - r.low, level)
    reading = floor**2 + (relative * level) ** 2 + width**2 / 12.0 + 1e-9
    return covariance(r.kept, r.wander, float(tank) ** 2, reading)


def _correlation(white: Floats, rate: int) -> float:
    """Correlation of rate and last column with all free; 1 where they are the same."""
    size = np.linalg.norm(white, axis=0)
    if not (size > 0).all():
        return 1.0
    white = white / size
    if np.linalg.cond(white) > 1e7:
        return 1.0
    cov = np.linalg.inv(white.T @ white)
    return float(cov[rate, -1] / np.sqrt(cov[rate, rate] * cov[-1, -1]))
