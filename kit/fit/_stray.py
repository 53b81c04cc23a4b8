"""Draws of how far the tank strayed from its balance, in level and in rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.balance import Floats
from kit.fit._readings import Readings
from kit.fit._state import LEVEL, RATE, RISE, State

__all__ = ["Ends", "Strayed", "astray", "ends_of"]

_THINGS = 3
_NONE = 1e-12


@dataclass(frozen=True, slots=True)
class Strayed:
    """How far a tank strayed from its balance, one draw for each row of parameters.

    Parameters
    ----------
    level : ndarray, shape (N,)
        Deviation of the level at the last reading. [mg/L]
    rate : ndarray, shape (N,)
        Lasting deviation of the rate there. [mg/L/day]
    mean : ndarray, shape (N,)
        Deviation of the rate on the mean over all days between readings; a gap that
        restarts the level does not count. [mg/L/day]
    """

    level: Floats
    rate: Floats
    mean: Floats


@dataclass(frozen=True, slots=True)
class Ends:
    """Where the paths of each row of parameters stand after the last reading.

    Parameters
    ----------
    logw : ndarray, shape (M, N)
        Log weight of each path.
    mean : ndarray, shape (3, M, N)
        What each foretells of level [mg/L], rate [mg/L/day] and rise [mg/L].
    cov : ndarray, shape (3, 3, N)
        Covariances of the three.
    """

    logw: Floats
    mean: Floats
    cov: Floats

    def pick(self, rows: NDArray[np.intp]) -> Ends:
        """Take some rows, as often as they are asked for."""
        return Ends(self.logw[:, rows], self.mean[:, :, rows], self.cov[:, :, rows])


def ends_of(logw: Floats, at: State) -> Ends:
    """Give where a sweep that carried all three has ended.

    Parameters
    ----------
    logw : ndarray, shape (M, N)
        Log weights.
    at : State
        Where the paths stand.

    Returns
    -------
    Ends
        The same.
    """
    # Exact readings part no paths: one then stands for all.
    mean = np.broadcast_to(at.mean, (_THINGS, *logw.shape))
    return Ends(logw, mean, at.cov.reshape(_THINGS, _THINGS, -1))


def astray(ends: Ends, readings: Readings, rng: np.random.Generator) -> Strayed:
    """Draw how far the tank strayed, from where the paths of each row have ended.

    Parameters
    ----------
    ends : Ends
        From a sweep over the same readings.
    readings : Readings
        The data.
    rng : numpy.random.Generator
        Source of the draws.

    Returns
    -------
    Strayed
        Level, rate and mean rate of one row belong together.
    """
    # One path a row, picked by its weight.
    heights = np.cumsum(np.exp(ends.logw - ends.logw.max(axis=0)), axis=0)
    rows = np.arange(heights.shape[1])
    picked = (heights < rng.random(len(rows)) * heights[-1]).sum(axis=0)
    fresh = rng.standard_normal((_THINGS, len(picked)))
    level, rate, rise = ends.mean[:, picked, rows] + np.einsum(
        "ijn,jn->in", _root(ends.cov), fresh
    )
    days = 0.0 if readings.memory is None else float(readings.memory.days.sum())
    return Strayed(level, rate, rise / max(days, _NONE))


def _root(cov: Floats) -> Floats:
    """Lower roots: level first, rate given it, then the rise given both.

    Where one follows wholly from those before it, nothing of its own is left.
    """
    out = np.zeros_like(cov)
    for j in (LEVEL, RATE, RISE):
        own = cov[j, j] - (out[j, :j] ** 2).sum(axis=0)
        out[j, j] = np.sqrt(np.maximum(own, 0.0))
        rest = cov[j + 1 :, j] - (out[j + 1 :, :j] * out[j, :j]).sum(axis=1)
        sure = own <= _NONE * cov[j, j]
        out[j + 1 :, j] = np.where(sure, 0.0, rest / np.where(sure, 1.0, out[j, j]))
    return out
