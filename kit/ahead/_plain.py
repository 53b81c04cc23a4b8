"""A backtest as plain values, for scripts."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from kit.ahead._backtest import Backtest, Foretold, Guess
from kit.ahead._say import backtest_sentences
from kit.ahead._verdict import tally

__all__ = ["backtest_as_dict"]


def backtest_as_dict(found: Backtest) -> dict[str, Any]:
    """Give a backtest as plain values.

    Parameters
    ----------
    found : Backtest
        From `kit.ahead.backtest`.

    Returns
    -------
    dict
        Levels as NO3 [mg/L]; ``horizons`` sums up, ``rows`` holds each reading.
    """
    return {
        "days_looked_back_to": found.origins,
        "days_without_a_rate": found.refused,
        "why_without": found.why,
        "statements": list(backtest_sentences(found)),
        "horizons": [asdict(t) for t in tally(found)],
        "rows": [_row(r) for r in found.rows],
    }


def _row(row: Foretold) -> dict[str, Any]:
    """Give one reading."""
    return {
        "known_up_to": row.origin.isoformat(),
        "date": row.day.isoformat(),
        "horizon": row.horizon,
        "read": row.raw,
        "low": row.low_mg_l,
        "high": row.high_mg_l,
        "kit": _guess(row.kit),
        "last_reading": _guess(row.last),
        "same_place": _guess(row.place),
        "part_in_80": row.held_80,
        "part_in_95": row.held_95,
    }


def _guess(guess: Guess) -> dict[str, Any]:
    """Give one forecast."""
    return {
        "number": guess.number_mg_l,
        "band_80": None if guess.band_80 is None else list(guess.band_80),
        "band_95": None if guess.band_95 is None else list(guess.band_95),
    }
