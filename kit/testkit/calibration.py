"""A calibration line through known solutions, and a level read back from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from kit.errors import SumError

__all__ = ["Line", "ReadBack", "calibration_line"]

_FEWEST: Final = 3


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A level found from a reading through a calibration line.

    Parameters
    ----------
    level_mg_l, sd_mg_l : float
        Level and its standard error. [mg/L]
    inside : bool
        Whether it lies within the known solutions.
    """

    level_mg_l: float
    sd_mg_l: float
    inside: bool


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line ``reading = intercept + slope * known``.

    Parameters
    ----------
    slope, intercept : float
        Of the line. [reading per mg/L], [reading]
    slope_sd, intercept_sd : float
        Their standard errors.
    sd : float
        Spread of the readings about the line. [reading]
    n : int
        Solutions used.
    middle, spread : float
        Mean of the known levels, and sum of squared distances from it. [mg/L], [mg2/L2]
    reading_middle : float
        Mean of the readings. [reading]
    correlation : float
        Of known and reading. [-]
    low, high : float
        Ends of the known levels. [mg/L]
    """

    slope: float
    intercept: float
    slope_sd: float
    intercept_sd: float
    sd: float
    n: int
    middle: float
    spread: float
    reading_middle: float
    correlation: float
    low: float
    high: float

    @property
    def detection_limit(self) -> float:
        """Three spreads about the line as a level, for comparison. [mg/L]."""
        return 3.0 * self.sd / abs(self.slope)

    @property
    def method_sd(self) -> float:
        """Spread about the line as a level. [mg/L]."""
        return self.sd / abs(self.slope)

    def read_back(self, reading: float, replicates: int = 1) -> ReadBack:
        """Find the level of a sample from its reading.

        Parameters
        ----------
        reading : float
            Reading, or the mean of several. [reading]
        replicates : int, optional
            How many readings it is the mean of.

        Returns
        -------
        ReadBack
            Level with its standard error.

        Raises
        ------
        SumError
            Fewer than one reading.

        Notes
        -----
        ``x = (y - a) / b``;
        ``s_x = s / b sqrt(1/m + 1/n + (y - ybar)^2 / (b^2 Sxx))``.
        """
        if replicates < 1:
            raise SumError("At least one reading is needed.")
        level = (reading - self.intercept) / self.slope
        far = (reading - self.reading_middle) ** 2 / (self.slope**2 * self.spread)
        sd = self.method_sd * math.sqrt(1.0 / replicates + 1.0 / self.n + far)
        return ReadBack(level, sd, self.low <= level <= self.high)

    def read_sample(self, readings: Sequence[float]) -> ReadBack:
        """Find the level of a sample from the mean of its readings.

        Parameters
        ----------
        readings : sequence of float
            Readings of the same sample. [reading]

        Returns
        -------
        ReadBack
            Level with its standard error.

        Raises
        ------
        SumError
            There is no reading.
        """
        if not readings:
            raise SumError("At least one reading is needed.")
        return self.read_back(math.fsum(readings) / len(readings), len(readings))


def calibration_line(known: Sequence[float], readings: Sequence[float]) -> Line:
    """Fit a straight line through readings of known solutions.

    Parameters
    ----------
    known : sequence of float
        Known levels, at least three and not all the same. [mg/L]
    readings : sequence of float
        What the meter showed of each. [reading]

    Returns
    -------
    Line
        Fitted by ordinary least squares (statsmodels).

    Raises
    ------
    SumError
        Too few pairs, one level only, or readings that do not change.

    Examples
    --------
    >>> line = calibration_line([0, 10, 20, 30], [0.1, 9.9, 20.2, 29.8])
    >>> round(line.slope, 3)
    0.994
    """
    if len(known) != len(readings) or len(known) < _FEWEST:
        raise SumError(f"A line needs at least {_FEWEST} pairs of known and reading.")
    if max(known) <= min(known) or max(readings) <= min(readings):
        raise SumError("A line needs different known levels with different readings.")
    import numpy as np
    from statsmodels.regression.linear_model import OLS

    x, y = np.asarray(known, float), np.asarray(readings, float)
    fit = OLS(y, np.column_stack([np.ones_like(x), x])).fit()
    (intercept, slope), (intercept_sd, slope_sd) = fit.params, fit.bse
    if slope == 0:
        raise SumError("The readings do not follow the known levels at all.")
    return Line(
        slope=float(slope),
        intercept=float(intercept),
        slope_sd=float(slope_sd),
        intercept_sd=float(intercept_sd),
        sd=math.sqrt(float(fit.mse_resid)),
        n=len(x),
        middle=float(x.mean()),
        spread=float(((x - x.mean()) ** 2).sum()),
        reading_middle=float(y.mean()),
        correlation=math.copysign(math.sqrt(max(float(fit.rsquared), 0.0)), slope),
        low=float(x.min()),
        high=float(x.max()),
    )
