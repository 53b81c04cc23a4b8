"""What the keeper's own kit will show: the next reading, in the kit's own steps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from scipy.special import ndtr

from kit.bands import bands
from kit.basis import NITRATE_PER_N
from kit.fit import FitResult
from kit.fit.model import view
from kit.logbook import Logbook
from kit.steps import Floats

__all__ = ["Chances", "Kit", "kit_of"]

_NOISE: Final = 0.12
"""Spread of one eye on one sample as a part of the level, common practice, no source;
used where a fit gives none. [-]"""
_LIKELY: Final = 0.8
_CELLS: Final = 40


@dataclass(frozen=True, slots=True)
class Kit:
    """A test kit as the log knows it.

    Parameters
    ----------
    low, high : ndarray, shape (k,)
        Ends of the bands of true values that the kit's numbers stand for, as NO3,
        ``-inf`` and ``inf`` where open; empty for a meter. [mg/L]
    shown : tuple of float
        The number the kit shows for each band, in its own basis. [mg/L]
    resolution_mg_l : float
        For a meter: smallest difference shown, as NO3; 0 for a chart. [mg/L]
    noise : float
        Spread of a reading as a part of the level. [-]
    floor_mg_l : float
        Spread left near zero, as NO3. [mg/L]
    basis_factor : float, optional
        What the kit's own number is multiplied by for NO3. [-]
    """

    low: Floats
    high: Floats
    shown: tuple[float, ...]
    resolution_mg_l: float
    noise: float
    floor_mg_l: float
    basis_factor: float = 1.0

    @property
    def chart(self) -> bool:
        """Whether the kit shows steps of a colour chart."""
        return len(self.shown) > 0

    def spread(self, level_mg_l: Floats) -> Floats:
        """Reading error at a level. [mg/L]."""
        relative = self.noise * np.maximum(level_mg_l, 0.0)
        return np.asarray(np.sqrt(self.floor_mg_l**2 + relative**2))

    def cells(self, level_mg_l: Floats, extra: Floats | float = 0.0) -> Kit:
        """Give the kit with bands; a meter's are made to suit the levels.

        Parameters
        ----------
        level_mg_l : ndarray
            Levels that the readings may come from. [mg/L]
        extra : ndarray or float, optional
            Spread of the level itself at each. [mg/L]

        Returns
        -------
        Kit
            Itself for a chart.
        """
        if self.chart:
            return self
        sd = np.sqrt(self.spread(level_mg_l) ** 2 + np.square(extra))
        ends = np.array([np.min(level_mg_l - 3 * sd), np.max(level_mg_l + 3 * sd)])
        step = max(self.resolution_mg_l, (ends[1] - ends[0]) / _CELLS, 1e-9)
        first, last = np.floor(max(ends[0], 0.0) / step), np.ceil(ends[1] / step)
        middles = step * np.arange(first, last + 1.0)
        low, high = middles - step / 2.0, middles + step / 2.0
        low[0], high[-1] = -np.inf, np.inf
        shown = tuple((middles / self.basis_factor).tolist())
        return replace(self, low=low, high=high, shown=shown)

    def likelihood(self, level_mg_l: Floats, extra: Floats | float = 0.0) -> Floats:
        """Chance of each number shown, at each level.

        Parameters
        ----------
        level_mg_l : ndarray, shape (d,)
            True levels, as NO3. [mg/L]
        extra : ndarray or float, optional
            Spread of the level itself at each, such as the tank's own noise. [mg/L]

        Returns
        -------
        ndarray, shape (k, d)
            Columns add up to 1. [-]
        """
        sd = np.sqrt(self.spread(level_mg_l) ** 2 + np.square(extra))
        sd = np.maximum(sd, 1e-9)
        up = ndtr((self.high[:, None] - level_mg_l) / sd)
        down = ndtr((self.low[:, None] - level_mg_l) / sd)
        return np.asarray(up - down)

    def chances(self, level_mg_l: Floats) -> Chances:
        """Chance of each number the kit may show.

        Parameters
        ----------
        level_mg_l : ndarray, shape (d,)
            Equally likely levels, as NO3. [mg/L]

        Returns
        -------
        Chances
            With the few most likely ones named.
        """
        fine = self.cells(level_mg_l)
        share = fine.likelihood(level_mg_l).mean(axis=1)
        first, last = _shortest(share, _LIKELY)
        return Chances(
            fine.shown,
            share,
            fine.shown[first : last + 1],
            float(share[first : last + 1].sum()),
        )

    def widened(self, low_mg_l: float, high_mg_l: float) -> tuple[float, float]:
        """Widen a band to the ends of the kit's own steps; it shows nothing between.

        Parameters
        ----------
        low_mg_l, high_mg_l : float
            A band of true values, as NO3. [mg/L]

        Returns
        -------
        tuple of float
            Reaching from the end of a step to the end of a step; above the top step to
            twice its lower end. [mg/L]
        """
        if not self.chart:
            half = self.resolution_mg_l / 2.0
            return max(low_mg_l - half, 0.0), high_mg_l + half
        ends = self.low[1:]
        below, above = ends[ends <= low_mg_l], ends[ends >= high_mg_l]
        top = max(2.0 * float(ends[-1]), high_mg_l) if len(ends) else high_mg_l
        return (
            float(below[-1]) if len(below) else 0.0,
            float(above[0]) if len(above) else top,
        )

    def diluted(self, times: float) -> Kit:
        """Read a sample diluted with pure water and multiply by `times`.

        Parameters
        ----------
        times : float
            1.5 for two parts of tank and one of pure water. [-]

        Returns
        -------
        Kit
            Its bands lie that much higher.
        """
        return replace(
            self,
            low=self.low * times,
            high=self.high * times,
            shown=tuple(s * times for s in self.shown),
            resolution_mg_l=self.resolution_mg_l * times,
            floor_mg_l=self.floor_mg_l * times,
        )


@dataclass(frozen=True, slots=True)
class Chances:
    """What a reading to come may show.

    Parameters
    ----------
    shown : tuple of float
        Numbers the kit may show, in its own basis. [mg/L]
    share : ndarray, shape (k,)
        Chance of each. [-]
    likely : tuple of float
        The fewest neighbouring numbers that hold four chances in five. [mg/L]
    held : float
        The chance they hold. [-]
    """

    shown: tuple[float, ...]
    share: Floats
    likely: tuple[float, ...]
    held: float


def _shortest(share: Floats, wanted: float) -> tuple[int, int]:
    """Shortest run of neighbours that holds a chance; of equals the most likely."""
    total = np.concatenate([[0.0], np.cumsum(share)])
    for length in range(1, len(share) + 1):
        held = total[length:] - total[:-length]
        best = int(np.argmax(held))
        if held[best] >= wanted - 1e-9:
            return best, best + length - 1
    return 0, len(share) - 1


def kit_of(log: Logbook, result: FitResult) -> Kit:
    """Give the kit in hand as the log states or shows it.

    Parameters
    ----------
    log : Logbook
        With its tests.
    result : FitResult
        Its fit, for the reading noise.

    Returns
    -------
    Kit
        Bands of the chart, or a meter's resolution. A kit that is not stated has the
        steps or digits its readings show.
    """
    tank = log.tank
    seen = view(log.tests, tank)
    noise = result.reading_noise.estimate if result.reading_noise else _NOISE
    factor = NITRATE_PER_N if tank.kit_basis == "NO3-N" else 1.0
    steps = tank.kit_steps_mg_l
    if steps is None and seen.chart:
        steps = _steps_seen(log)
    if not steps:
        resolution = tank.kit_resolution_mg_l or _digit(seen.low, seen.high)
        none = np.array([])
        return Kit(none, none, (), resolution, noise, seen.floor, factor)
    ends = bands(steps)
    low = np.array([a if i else -np.inf for i, (a, _) in enumerate(ends)])
    high = np.array([np.inf if b is None else b for _, b in ends])
    shown = tuple(round(s / factor, 6) for s in steps)
    return Kit(low, high, shown, 0.0, noise, seen.floor, factor)


def _steps_seen(log: Logbook) -> tuple[float, ...]:
    """Numbers that an unstated chart showed; none where too few were written."""
    written = {t.value_mg_l for t in log.tests if t.value_mg_l is not None}
    return tuple(sorted(written)) if len(written) > 1 else ()


def _digit(low: Floats, high: Floats) -> float:
    """Usual width of a reading's band. [mg/L]."""
    width = (high - low)[np.isfinite(high - low)]
    return float(np.median(width)) if len(width) else 1.0
