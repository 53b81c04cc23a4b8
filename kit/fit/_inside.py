"""Chance of a standard normal band, and a draw from inside it."""

from __future__ import annotations

import numpy as np
from scipy.special import log_ndtr, ndtr, ndtri

from kit.balance import Floats

__all__ = ["inside"]

_TINY = 1e-300
_HIGH, _FAR = 4.0, -35.0
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
    centre : ndarray, shape (M, N) or (1, N)
        Of the normal that falls into it. [mg/L]
    sd : ndarray, shape (N,)
        Its spread. [mg/L]
    u : ndarray, shape (M, 1)
        Quantiles of the draws inside the band. [-]

    Returns
    -------
    ndarray, shape (M, N) or (1, N)
        Log of the chance.
    ndarray, shape (M, N)
        Draws, in standard deviations from the centre.
    """
    if high == np.inf and low > -np.inf:
        # The lower tail has the digits, so an open top is turned upside down.
        chance, z = inside(-high, -low, -centre, sd, 1.0 - u)
        return chance, -z
    above, below = high - centre, low - centre
    above /= sd
    below /= sd
    under, width = ndtr(below), ndtr(above)
    width -= under
    awkward = bool(below.max() > _HIGH or above.min() < _FAR)
    if awkward:
        hard = (below > _HIGH) | (above < _FAR)
        width[hard] = 1.0
    z = u * width
    z += under
    z, chance = ndtri(z, out=z), np.log(width, out=width)
    if awkward:
        hard = np.broadcast_to(hard, z.shape)
        chance = np.array(np.broadcast_to(chance, z.shape))
        chance[hard], z[hard] = _in_a_tail(
            *(np.broadcast_to(x, z.shape)[hard] for x in (below, above, u))
        )
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
