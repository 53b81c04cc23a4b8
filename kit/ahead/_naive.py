"""Two forecasts that need no balance, to measure the kit's against.

The one says what the last reading said. The other says what the last reading at the
same place of the cycle said, that is as many days after an exchange, and the mean of
all readings where there was none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.balance import Exchanged
from kit.fit.model import Ledger
from kit.logbook import Test
from kit.steps import Floats

__all__ = ["Readings", "last_reading", "readings_of", "same_place"]

_NEAR_DAYS = 1.0
"""Readings this close in days since an exchange stand at the same place. [day]"""


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of a log as plain numbers.

    Parameters
    ----------
    at : ndarray, shape (n,)
        Day count of each. [day]
    number : ndarray, shape (n,)
        What was written, else the middle of what it allows, as NO3. [mg/L]
    since : ndarray, shape (n,)
        Days since the last exchange; ``nan`` before the first. [day]
    """

    at: Floats
    number: Floats
    since: Floats


def _number(test: Test) -> float:
    """One number for a reading."""
    if test.value_mg_l is not None:
        return test.value_mg_l
    high = test.low_mg_l if test.high_mg_l is None else test.high_mg_l
    return (test.low_mg_l + high) / 2.0


def readings_of(ledger: Ledger) -> Readings:
    """Give a log's readings as plain numbers.

    Parameters
    ----------
    ledger : Ledger
        Of the whole log.

    Returns
    -------
    Readings
        In time order.
    """
    since, last = [], float("nan")
    for event in ledger.events:
        if isinstance(event.what, Exchanged):
            last = event.at
        elif isinstance(event.what, Test):
            since.append(event.at - last)
    numbers = np.array([_number(t) for t in ledger.tests])
    return Readings(ledger.days, numbers, np.array(since))


def last_reading(readings: Readings, known: int, wanted: Sequence[int]) -> Floats:
    """Foretell the last reading's number for all that follow.

    Parameters
    ----------
    readings : Readings
        Of the whole log.
    known : int
        How many of them are known.
    wanted : sequence of int
        Places of those to foretell.

    Returns
    -------
    ndarray
        One number each. [mg/L]
    """
    return np.full(len(wanted), readings.number[known - 1])


def same_place(readings: Readings, known: int, wanted: Sequence[int]) -> Floats:
    """Foretell the last reading's number at the same place of the cycle.

    Parameters
    ----------
    readings, known, wanted : Readings, int, sequence of int
        As in `last_reading`.

    Returns
    -------
    ndarray
        One number each; the mean of the known readings where none stands at the same
        place. [mg/L]
    """
    out = []
    for place in wanted:
        apart = np.abs(readings.since[:known] - readings.since[place])
        near = np.flatnonzero(apart <= _NEAR_DAYS)
        number = readings.number[near[-1]] if len(near) else None
        out.append(readings.number[:known].mean() if number is None else number)
    return np.array(out)
