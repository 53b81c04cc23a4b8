"""The highest point of many likelihoods at once.

Notes
-----
Newton's method on all candidates side by side: value, slope and curvature come from
one sweep over the readings that carries every shifted set of unknowns. A step is
shortened, or the curvature made steeper, until it climbs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.balance import Floats

__all__ = ["Ints", "Peaks", "climb"]

_ROUNDS = 25
_GAIN = 5e-3
_STUCK = 1e3
_SHORTER = np.array([1.0, 0.4, 0.1])
_BLOCK = 4000

Ints = NDArray[np.intp]
Height = Callable[[Floats, Ints], Floats]
"""Heights of points, shape (N, k), given the candidate each belongs to, shape (N,)."""


@dataclass(frozen=True, slots=True)
class Peaks:
    """Where each candidate is highest.

    Parameters
    ----------
    at : ndarray, shape (c, k)
        Unknowns.
    height : ndarray, shape (c,)
        Log posterior there.
    covariance : ndarray, shape (c, k, k)
        Inverse of the curvature there.
    """

    at: Floats
    height: Floats
    covariance: Floats


def _shifts(k: int) -> tuple[Floats, list[tuple[int, int]]]:
    """Unit moves: none, up and down each axis, and up each pair of axes."""
    pairs = [(i, j) for i in range(k) for j in range(i)]
    rows = [np.zeros(k), *np.eye(k), *(-np.eye(k))]
    rows += [np.eye(k)[i] + np.eye(k)[j] for i, j in pairs]
    return np.array(rows), pairs


def _local(
    height: Height, at: Floats, which: Ints, step: Floats
) -> tuple[Floats, Floats, Floats]:
    """Value, slope and curvature of each candidate, by differences."""
    c, k = at.shape
    moves, pairs = _shifts(k)
    points = at[:, None, :] + moves[None] * step[:, None, :]
    owner = np.repeat(which, len(moves))
    flat = points.reshape(-1, k)
    parts = [
        height(flat[i : i + _BLOCK], owner[i : i + _BLOCK])
        for i in range(0, len(flat), _BLOCK)
    ]
    v = np.concatenate(parts).reshape(c, len(moves))
    here, up, down = v[:, :1], v[:, 1 : k + 1], v[:, k + 1 : 2 * k + 1]
    slope = (up - down) / (2.0 * step)
    curve = np.zeros((c, k, k))
    rows = np.arange(k)
    curve[:, rows, rows] = (up - 2.0 * here + down) / step**2
    for n, (i, j) in enumerate(pairs):
        both = v[:, 2 * k + 1 + n]
        cross = (both - up[:, i] - up[:, j] + here[:, 0]) / (step[:, i] * step[:, j])
        curve[:, i, j] = curve[:, j, i] = cross
    return here[:, 0], slope, curve


def _steep(curve: Floats, step: Floats) -> tuple[Floats, Floats]:
    """Eigenvalues and vectors of minus the curvature, in scaled units."""
    scaled = -curve * step[:, :, None] * step[:, None, :]
    values, vectors = np.linalg.eigh(np.nan_to_num(scaled))
    return values, vectors


def climb(height: Height, start: Floats, scale: Floats) -> Peaks:
    """Climb from given points.

    Parameters
    ----------
    height : callable
        Log posterior of points, shape (N, k), of candidates, shape (N,).
    start : ndarray, shape (c, k)
        Where each candidate begins.
    scale : ndarray, shape (c, k)
        Length over which each unknown matters.

    Returns
    -------
    Peaks
        One for each candidate.
    """
    at = np.array(start, dtype=np.float64)
    every = np.arange(len(at), dtype=np.intp)
    step = 0.02 * scale
    damp = np.full(len(at), 1e-3)
    going = np.ones(len(at), dtype=np.bool_)
    value = np.full(len(at), -np.inf)
    cov = np.zeros((*at.shape, at.shape[1]))
    for _ in range(_ROUNDS):
        which = every[going]
        if not len(which):
            break
        here, slope, curve = _local(height, at[which], which, step[which])
        values, vectors = _steep(curve, scale[which])
        cov[which] = _inverse(values, vectors, scale[which])
        pull = slope * scale[which]
        move = _move(values, vectors, pull, damp[which])
        rise = 0.5 * (pull * move).sum(axis=1)
        # So near the top that the parabola through it says how high it is.
        done = (rise < _GAIN) & (values[:, 0] > 0.0)
        value[which] = here + np.where(done, rise, 0.0)
        move *= scale[which]
        at[which[done]] += move[done]
        going[which[done]] = False
        left = which[~done]
        if len(left):
            gain = _advance(height, at, left, move[~done], here[~done], damp)
            value[left] += np.maximum(gain, 0.0)
            going[left] = (gain > 0.0) | (damp[left] < _STUCK)
    return Peaks(at, value, cov)


def _advance(
    height: Height, at: Floats, which: Ints, move: Floats, here: Floats, damp: Floats
) -> Floats:
    """Take the best length of each step; change ``at`` and ``damp`` in place."""
    tries = at[which][:, None, :] + _SHORTER[None, :, None] * move[:, None, :]
    owner = np.repeat(which, len(_SHORTER))
    heights = height(tries.reshape(-1, at.shape[1]), owner)
    heights = np.nan_to_num(heights.reshape(len(which), len(_SHORTER)), nan=-np.inf)
    best = np.argmax(heights, axis=1)
    rows = np.arange(len(which))
    gain = heights[rows, best] - here
    better = gain > 0.0
    at[which[better]] = tries[rows, best][better]
    damp[which] *= np.where(better & (best == 0), 0.1, 10.0)
    return np.asarray(gain)


def _move(values: Floats, vectors: Floats, slope: Floats, damp: Floats) -> Floats:
    """Newton's step in scaled units, no longer than a few lengths."""
    solid = np.maximum(np.abs(values), 1e-6) + damp[:, None]
    along = np.einsum("cij,ci->cj", vectors, slope) / solid
    move = np.einsum("cij,cj->ci", vectors, along)
    longest = np.abs(move).max(axis=1, keepdims=True)
    return np.asarray(move * np.minimum(1.0, 5.0 / np.maximum(longest, 1e-300)))


def _inverse(values: Floats, vectors: Floats, scale: Floats) -> Floats:
    """Inverse of minus the curvature, in the unknowns' own units."""
    solid = np.maximum(values, 1e-4)
    inverse = np.einsum("cij,cj,ckj->cik", vectors, 1.0 / solid, vectors)
    return np.asarray(inverse * scale[:, :, None] * scale[:, None, :])
