"""Seeded chance that comes out the same on every machine and numpy version."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np

__all__ = ["Dice"]

_NORMAL = NormalDist()


class Dice:
    """Draws from one seed.

    Only the raw bits are taken from numpy, because those are promised to stay the
    same from version to version while the shaped draws are not.

    Parameters
    ----------
    seed : int
        One seed for each tank.
    """

    def __init__(self, seed: int) -> None:
        self._bits = np.random.default_rng(seed).bit_generator

    def uniform(self) -> float:
        """Draw from the open interval 0 to 1."""
        return ((int(self._bits.random_raw()) >> 11) + 0.5) * 2.0**-53

    def normal(self, sd: float) -> float:
        """Draw from a normal law around 0."""
        return sd * _NORMAL.inv_cdf(self.uniform())

    def factor(self, sd: float) -> float:
        """Draw a positive factor around 1 whose logarithm has the given spread."""
        return math.exp(self.normal(sd))

    def pick(self, things: Sequence[str]) -> str:
        """Draw one of several things, each as likely as the other."""
        return things[int(self.uniform() * len(things))]

    def chance(self, share: float) -> bool:
        """Tell whether an event of the given probability happens."""
        return self.uniform() < share
