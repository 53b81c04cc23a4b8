"""How far the tank has strayed from its balance, carried from reading to reading.

Three things stray together, in this order: the level, the lasting deviation of the
rate, and all that rose beyond the balance, undiluted. Between two readings they pass
on linearly, ``x <- F x + noise``, and a reading corrects them as a Kalman filter does.

Notes
-----
Arrays run over rows of parameters last, so that what belongs to a row alone (its
covariances, which do not depend on what was read) meets what belongs to each of its
paths without being spread out first. Covariances are laid out flat: carrying them is
then one product of matrices, with what the noise adds as three more rows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.balance import Floats
from kit.fit._readings import Readings

__all__ = ["LEVEL", "RATE", "RISE", "Passage", "State", "passage"]

LEVEL, RATE, RISE = 0, 1, 2
_WHITE, _SLOW, _ALONE = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Passage:
    """How what strays passes from each reading to the next.

    Parameters
    ----------
    moves : ndarray, shape (n, s, s)
        ``F`` of each step, of the first ``s`` things that stray.
    spreads : ndarray, shape (n, s * s, s * s + 3)
        Covariances after each step from those before it, and from the white variance,
        the slow variance and one.
    """

    moves: Floats
    spreads: Floats

    @property
    def size(self) -> int:
        """How many things are carried."""
        return int(self.moves.shape[1])


def passage(readings: Readings, size: int) -> Passage:
    """Work out how what strays passes on.

    Parameters
    ----------
    readings : Readings
        With their memory, where more than the level is carried.
    size : int
        1 for the level alone, 2 with the deviation of the rate, 3 with the rise.

    Returns
    -------
    Passage
        A step for each reading, from the one before it.

    Raises
    ------
    ValueError
        If more than the level is asked for and the readings have no memory.
    """
    n, memory = len(readings.low), readings.memory
    moves, new = np.zeros((n, 3, 3)), np.zeros((n, 3, 3, 3))
    moves[:, LEVEL, LEVEL] = readings.kept
    new[:, LEVEL, LEVEL, _WHITE] = readings.wander
    new[:, LEVEL, LEVEL, _ALONE] = readings.jolts
    if memory is not None:
        moves[:, LEVEL, RATE], moves[:, RATE, RATE] = memory.gained, memory.lasting
        moves[:, RISE, RATE], moves[:, RISE, RISE] = memory.risen, 1.0
        for one, other, what, variance in (
            (LEVEL, RISE, _WHITE, memory.shared),
            (RISE, RISE, _WHITE, memory.days),
            (LEVEL, LEVEL, _SLOW, memory.level),
            (LEVEL, RATE, _SLOW, memory.both),
            (RATE, RATE, _SLOW, memory.rate),
            (LEVEL, RISE, _SLOW, memory.risen_level),
            (RATE, RISE, _SLOW, memory.risen_rate),
            (RISE, RISE, _SLOW, memory.risen_var),
        ):
            new[:, one, other, what] = new[:, other, one, what] = variance
    elif size > 1:
        msg = "what lasts cannot be carried without the memory of the readings"
        raise ValueError(msg)
    moves, flat = moves[:, :size, :size], size * size
    old = np.einsum("tij,tkl->tikjl", moves, moves).reshape(n, flat, flat)
    added = new[:, :size, :size].reshape(n, flat, 3)
    return Passage(moves, np.concatenate([old, added], axis=2))


class State:
    """Where all paths of all rows stand.

    Parameters
    ----------
    on : Passage
        How they pass on.
    white, slow : ndarray, shape (N,)
        Variance of the tank's day-to-day noise [mg2/L2/day] and of the lasting
        deviation of its rate [mg2/L2/day2].

    Attributes
    ----------
    mean : ndarray, shape (s, M, N), or (s, 1, N) while all paths are one
        What is foretold of each thing that strays.
    cov : ndarray, shape (s * s, N)
        Covariances, which the paths of a row share.
    """

    def __init__(self, on: Passage, white: Floats, slow: Floats) -> None:
        size, flat = on.size, on.size**2
        self._on = on
        self._known = np.zeros((flat + 3, len(white)))
        self._known[flat + _WHITE], self._known[flat + _SLOW] = white, slow
        self._known[flat + _ALONE] = 1.0
        # All paths are one until a first reading parts them.
        self.mean = np.zeros((size, 1, len(white)))
        self.cov = self._known[:flat]
        if size > RATE:
            # How rich the time before the first reading was nobody knows.
            self.cov[size * RATE + RATE] = slow

    def carry(self, t: int) -> None:
        """Go from one reading to the next."""
        size = self._on.size
        moved = self._on.moves[t] @ self.mean.reshape(size, -1)
        self.mean = moved.reshape(self.mean.shape)
        self.cov[:] = self._on.spreads[t] @ self._known

    def learn(self, z: Floats, sd: Floats) -> None:
        """Take in a reading that lies ``z`` standard deviations off on each path."""
        size = self._on.size
        gain = self.cov[:size] / sd
        moved = gain[:, None, :] * z
        moved += self.mean
        self.mean = moved
        self.cov -= (gain[:, None, :] * gain).reshape(size * size, -1)
