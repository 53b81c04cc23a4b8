"""The only place that asks the machine what day it is."""

from __future__ import annotations

import datetime as dt

__all__ = ["today"]


def today() -> dt.date:
    """Give the day on this machine's wall clock.

    Returns
    -------
    datetime.date
        Local day; every other function takes the day as a parameter.
    """
    return dt.datetime.now().astimezone().date()
