"""Chance of a standard normal band, and a draw from inside it."""

from __future__ import annotations

import numpy as np
from scipy.special import log_ndtr, ndtr, ndtri

from kit.balance import Floats

__all__ = ["inside"]

_TINY = 1e-300
_HIGH, _FAR = 3.0, -35.0
"""Above the one the digits of a chance run out at its upper end; below the other the
chance itself runs out."""


def inside(
    low: float, high: float, centre: Floats, sd: Floats, u: Floats
) -> tuple[Floats, Floats]:
    """Log chance of a band, and a draw from inside it.

    Parameters
    ----------
    low, high : float
        Ends of the band, ``-inf``/``inf`` where open. [mg/L]
    centre, sd : ndarray
        Of the normal that falls into it. [mg/L]
    u : ndarray
        Quantiles of the draws inside the band. [-]

    Returns
    -------
    ndarray
        Log of the chance.
    ndarray
        Draws, in standard deviations from the centre.
    """
    if high == np.inf and low > -np.inf:
        # The lower tail has the digits, so an open top is turned upside down.
        chance, z = inside(-high, -low, -centre, sd, 1.0 - u)
        return chance, -z
    above = (high - centre) / sd
    below = (low - centre) / sd
    under = ndtr(below)
    width = ndtr(above) - under
    hard = (below > _HIGH) | (above < _FAR)
    awkward = bool(hard.any())
    if awkward:
        width[hard] = 1.0
    chance = np.log(width)
    z = ndtri(under + u * width)
    if awkward:
        asked = np.broadcast_to(u, hard.shape)[hard]
        chance[hard], z[hard] = _in_a_tail(below[hard], above[hard], asked)
    return chance, z


def _in_a_tail(low: Floats, high: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Give the same of bands far out, where a plain difference has no digits."""
    flip = low > 0
    a = np.where(flip, -high, low)
    b = np.where(flip, -low, high)
    pa, pb = ndtr(a), ndtr(b)
    width = pb - pa
    none = width < _TINY
    chance = np.where(none, log_ndtr(b), np.log(np.where(none, 1.0, width)))
    quantile = np.where(flip, 1.0 - u, u)
    z = ndtri(np.clip(pa + quantile * width, _TINY, 1.0))
    z = np.clip(np.where(none, b, z), a, b)
    return chance, np.where(flip, -z, z)
