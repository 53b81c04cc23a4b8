"""How often an unchanged log looks as changed as this one, by luck alone.

Notes
-----
Twice the gain of one addition at a place named beforehand follows chi-square with one
degree of freedom. For the best of many places two published bounds are used. Days of a
step lie close together, so the path of the signed root of the gain is smooth and
Davies (1987, Biometrika 74:33) bounds the chance that it climbs so high anywhere by
its total variation. Exchanges and single readings are nearly independent of each
other, and Sidak (1967) holds.

Several kinds of happening are looked for at once; each has its share of the one in
twenty that is allowed. How often unchanged logs are alarmed by the whole search is
measured in ``tests/bench/change_limits.py``.
"""

from __future__ import annotations

from math import exp, expm1, log1p, pi, sqrt
from typing import Final

import numpy as np
from scipy.optimize import brentq
from scipy.stats import chi2

from kit.balance import Floats

__all__ = [
    "LIMIT",
    "SHARES",
    "among_many",
    "at_one",
    "needed_on_a_path",
    "on_a_path",
    "shared",
]

LIMIT: Final = 0.05
"""Share of unchanged logs that may be alarmed."""
SHARES: Final = {
    "step": 0.70,
    "slip": 0.15,
    "missing": 0.04,
    "kit": 0.16,
    "reading": 0.04,
}
"""Part of it that each kind of happening has; a rate that stepped is asked for most.
The gain is over noise that is fitted, and where the rise of a tank stays high or low
for weeks, the fit with a step takes that noise for less than it is. With these shares
about 1 in 40 of all simulated tanks is alarmed, and 1 in 20 or fewer of each sort but
the most restless, whose rise strays by a third for ten days at a time: of those about 1
in 10. Half of these shares would spare them, and miss a third of the true changes that
these find in eight weeks."""


def at_one(gain: float) -> float:
    """Chance of such a gain at a place named beforehand.

    Parameters
    ----------
    gain : float
        Twice the rise of the log-likelihood.

    Returns
    -------
    float
        From chi-square with one degree of freedom.

    Examples
    --------
    >>> round(at_one(3.841), 3)
    0.05
    """
    return float(chi2.sf(gain, 1))


def among_many(gain: float, count: int) -> float:
    """Chance that the best of independent places gains so much.

    Parameters
    ----------
    gain : float
        The best gain.
    count : int
        Places looked at.

    Returns
    -------
    float
        One less the chance that none does.
    """
    single = min(at_one(gain), 1.0 - 1e-16)
    return -expm1(count * log1p(-single))


def on_a_path(gains: Floats, sizes: Floats) -> float:
    """Chance that the gain climbs as high anywhere along a path of places.

    Parameters
    ----------
    gains, sizes : ndarray, shape (c,)
        Gain and size of the addition at each place, in order.

    Returns
    -------
    float
        Davies's bound, at most 1.
    """
    if not len(gains):
        return 1.0
    return _davies(float(gains.max()), _variation(gains, sizes))


def _variation(gains: Floats, sizes: Floats) -> float:
    """Total variation of the signed root of the gain."""
    roots = np.sign(sizes) * np.sqrt(gains)
    return float(np.abs(np.diff(roots)).sum())


def _davies(top: float, variation: float) -> float:
    bound = at_one(top) + variation * exp(-top / 2.0) / sqrt(2.0 * pi)
    return min(1.0, bound)


def needed_on_a_path(gains: Floats, sizes: Floats, kind: str) -> float:
    """Gain above which a path alarms the search.

    Parameters
    ----------
    gains, sizes : ndarray, shape (c,)
        As in `on_a_path`.
    kind : str
        Key of `SHARES`.

    Returns
    -------
    float
        Twice the log-likelihood.
    """
    variation = _variation(gains, sizes)
    allowed = LIMIT * SHARES[kind]

    def over(gain: float) -> float:
        return at_one(gain) + variation * exp(-gain / 2.0) / sqrt(2.0 * pi) - allowed

    return float(brentq(over, 0.0, 200.0))


def shared(kind: str, chance: float) -> float:
    """Chance that the whole search is alarmed, given one kind's chance.

    Parameters
    ----------
    kind : str
        Key of `SHARES`.
    chance : float
        Chance for that kind alone.

    Returns
    -------
    float
        At most 1.
    """
    return min(1.0, chance / SHARES[kind])
