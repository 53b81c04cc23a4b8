"""Who foretold better, and whether the log is long enough to say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import statsmodels.regression.linear_model as lm

from kit.ahead._backtest import HORIZONS, Backtest, Foretold, Guess, Horizon
from kit.ahead._scores import interval_score
from kit.steps import Floats

__all__ = ["FEWEST", "Compared", "Tally", "compare", "tally"]

FEWEST: Final = 8
"""Days looked back to below which nothing is said of who is better."""
_SURE: Final = 0.025
"""Half of 1 in 20, as each plain guess is met twice: by its number and its band."""
Who = Literal["kit", "last", "place"]
Winner = Literal["kit", "plain", "open", "short"]


@dataclass(frozen=True, slots=True)
class Compared:
    """The kit against one plain forecast.

    Parameters
    ----------
    ours, theirs : float
        Mean over the days looked back to; smaller is better. [mg/L]
    winner : {"kit", "plain", "open", "short"}
        Who is better; open where the difference may be chance, short where the log
        is too short to say.
    """

    ours: float
    theirs: float
    winner: Winner


@dataclass(frozen=True, slots=True)
class Tally:
    """How the forecasts of one horizon did.

    Parameters
    ----------
    horizon : {"next", "2 weeks", "4 weeks"}
        How far ahead.
    readings, days : int
        Readings foretold, and days they were foretold on.
    held_80, held_95 : float
        Part of the readings inside the kit's bands; nan without any. [-]
    miss_last, miss_place : Compared
        How far off the numbers were, against each plain forecast.
    score_last, score_place : Compared
        Interval score of the 95 % bands, where both had one.
    """

    horizon: Horizon
    readings: int
    days: int
    held_80: float
    held_95: float
    miss_last: Compared
    miss_place: Compared
    score_last: Compared
    score_place: Compared


def compare(
    ours: Sequence[float] | Floats, theirs: Sequence[float] | Floats, lag: int = 0
) -> Compared:
    """Compare two series of losses, in the order of the days.

    Parameters
    ----------
    ours, theirs : sequence of float or ndarray
        One loss for each day looked back to. [mg/L]
    lag : int, optional
        How many later days' forecasts reach over the same stretch of time.

    Returns
    -------
    Compared
        With a winner only where the mean difference is told from 0 at 2.5 %.

    Notes
    -----
    The test of Diebold and Mariano (1995): the mean of the differences against its
    standard error, with the covariance of neighbours that overlap (Newey and West
    1987) and a t distribution for few days, by statsmodels.
    """
    a, b = np.asarray(ours, float), np.asarray(theirs, float)
    means = (float(a.mean()), float(b.mean())) if len(a) else (np.nan, np.nan)
    if len(a) < FEWEST:
        return Compared(*means, "short")
    apart = a - b
    if np.allclose(apart, apart[0]):
        side = float(np.sign(apart[0]))
    else:
        found = lm.OLS(apart, np.ones(len(apart))).fit(
            cov_type="HAC",
            cov_kwds={"maxlags": min(lag, len(apart) // 3), "use_correction": True},
            use_t=True,
        )
        sure = float(found.pvalues[0]) < _SURE
        side = float(np.sign(apart.mean())) if sure else 0.0
    winner: Winner = "open" if side == 0.0 else "kit" if side < 0 else "plain"
    return Compared(*means, winner)


def tally(found: Backtest) -> tuple[Tally, ...]:
    """Sum a backtest up, one line for each horizon.

    Parameters
    ----------
    found : Backtest
        From `kit.ahead.backtest`.

    Returns
    -------
    tuple of Tally
        Only horizons with a reading.
    """
    return tuple(_tally(h, found.at(h)) for h in HORIZONS if found.at(h))


def _tally(horizon: Horizon, rows: Sequence[Foretold]) -> Tally:
    """Sum one horizon up."""
    days = sorted({r.origin for r in rows})
    spans = [(r.day - r.origin).days for r in rows]
    gaps = np.diff([d.toordinal() for d in days])
    usual = float(np.median(gaps)) if len(gaps) else 1.0
    lag = max(int(np.ceil(float(np.median(spans)) / max(usual, 1.0))) - 1, 0)

    def misses(who: Who) -> Floats:
        return np.array(
            [np.mean([r.miss(who) for r in rows if r.origin == d]) for d in days]
        )

    return Tally(
        horizon,
        len(rows),
        len(days),
        float(np.mean([r.held_80 for r in rows])),
        float(np.mean([r.held_95 for r in rows])),
        compare(misses("kit"), misses("last"), lag),
        compare(misses("kit"), misses("place"), lag),
        _scored(rows, "last", lag),
        _scored(rows, "place", lag),
    )


def _scored(rows: Sequence[Foretold], who: Who, lag: int) -> Compared:
    """Compare interval scores of the 95 % bands where both have one."""
    both: dict[int, list[tuple[float, float]]] = {}
    for row in rows:
        theirs: Guess = getattr(row, who)
        if row.kit.band_95 and theirs.band_95:
            pair = (_score(row, row.kit.band_95), _score(row, theirs.band_95))
            both.setdefault(row.origin.toordinal(), []).append(pair)
    means = np.array([np.mean(pairs, axis=0) for pairs in both.values()])
    ours, theirs_ = means.reshape(-1, 2).T
    return compare(np.asarray(ours), np.asarray(theirs_), lag)


def _score(row: Foretold, band: tuple[float, float]) -> float:
    return interval_score(*band, row.low_mg_l, row.high_mg_l, level=0.95)
