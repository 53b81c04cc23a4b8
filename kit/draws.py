"""Equally likely answers of a fit, kept together so that what belongs together stays.

A plan, a forecast or a design of tests carries each draw through its own sums: rate,
level and the new water of one draw go together, as they were judged together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.steps import Floats

__all__ = ["Draws"]


@dataclass(frozen=True, slots=True)
class Draws:
    """Equally weighted draws of what a fit leaves possible.

    Parameters
    ----------
    rate_mg_l_day : ndarray, shape (d,)
        Rate that the tank strays about from week to week, as NO3. [mg/L/day]
    level_mg_l : ndarray, shape (d,)
        Level after the last record, as NO3. [mg/L]
    tank_noise : ndarray, shape (d,)
        The tank's own day-to-day noise. [mg/L per root day]
    source_mg_l : ndarray, shape (d,)
        Nitrate of the new water, as NO3; 0 throughout where it is not known. [mg/L]
    """

    rate_mg_l_day: Floats
    level_mg_l: Floats
    tank_noise: Floats
    source_mg_l: Floats

    def __len__(self) -> int:
        """Count the draws."""
        return len(self.rate_mg_l_day)

    def __post_init__(self) -> None:
        """Refuse columns of unequal length.

        Raises
        ------
        ValueError
            If the columns differ in length.
        """
        columns = (self.level_mg_l, self.tank_noise, self.source_mg_l)
        if any(len(column) != len(self) for column in columns):
            msg = "all columns of the draws must be of one length"
            raise ValueError(msg)

    def source_errors(self, meant_mg_l: float | None = None) -> Floats:
        """How far each draw's new water lies from what it is taken for.

        A trial plan may name another source than the log's; what is not known of the
        one is taken as not known of the other.

        Parameters
        ----------
        meant_mg_l : float, optional
            What the log itself says of the new water, as NO3; the middle of the draws
            when left out. [mg/L]

        Returns
        -------
        ndarray, shape (d,)
            [mg/L]
        """
        if not len(self):
            return self.source_mg_l
        if meant_mg_l is None:
            meant_mg_l = float(np.median(self.source_mg_l))
        return np.asarray(self.source_mg_l - meant_mg_l)

    @classmethod
    def none(cls) -> Draws:
        """Give no draws at all, as of a refused fit."""
        empty = np.array([])
        return cls(empty, empty, empty, empty)

    def pick(self, places: slice | NDArray[np.intp]) -> Draws:
        """Give some of the draws.

        Parameters
        ----------
        places : slice or ndarray of int
            Which.

        Returns
        -------
        Draws
            Those, in that order.

        Examples
        --------
        >>> one = np.array([1.0, 2.0, 3.0])
        >>> len(Draws(one, one, one, one).pick(slice(2)))
        2
        """
        return Draws(
            self.rate_mg_l_day[places],
            self.level_mg_l[places],
            self.tank_noise[places],
            self.source_mg_l[places],
        )
