"""Dates of plans that count on from a log which ended some time ago."""

from __future__ import annotations

import datetime as dt

__all__ = ["old_log_said"]

_OLD_DAYS = 7
"""Days after which a log no longer tells the level it ended with."""


def old_log_said(last: dt.date | None, today: dt.date, then: str = "") -> list[str]:
    """Say that a plan's dates count from a log that ended some time ago.

    Parameters
    ----------
    last : datetime.date or None
        Day of the last record.
    today : datetime.date
        The day it is.
    then : str, optional
        What to do besides a test of the level.

    Returns
    -------
    list of str
        Empty for a log that is up to date.
    """
    if last is None or (days := (today - last).days) < _OLD_DAYS:
        return []
    advice = f"test the level {then}".rstrip()
    return [
        f"The log ends on {last.isoformat()}, {days} days ago, and the dates here "
        f"count from there. What the tank did since is not in it: {advice}."
    ]
