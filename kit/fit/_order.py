"""Which tests share their moment with an exchange, so that nothing tells the order."""

from __future__ import annotations

import datetime as dt

from kit.logbook import Logbook, Test

__all__ = ["beside", "exchange_times", "order_unknown"]


def order_unknown(log: Logbook) -> tuple[Test, ...]:
    """Tests whose order to that day's exchange nothing in the log tells.

    Parameters
    ----------
    log : Logbook
        The loaded log.

    Returns
    -------
    tuple of Test
        Empty when every order is known.
    """
    if log.tank.same_day is not None:
        return ()
    times = exchange_times(log)
    return tuple(t for t in log.tests if beside(t, times) and t.order is None)


def beside(test: Test, times: dict[dt.date, set[dt.time | None]]) -> bool:
    """Whether times do not settle a test's place beside that day's exchange."""
    if test.date not in times:
        return False
    # One time for a whole row of a spreadsheet says no more of the order than none.
    there = times[test.date]
    return test.time is None or None in there or test.time in there


def exchange_times(log: Logbook) -> dict[dt.date, set[dt.time | None]]:
    """Times of each day's exchanges; None stands for one without a time."""
    times: dict[dt.date, set[dt.time | None]] = {}
    for e in log.exchanges:
        if e.kind != "drip change":
            times.setdefault(e.date, set()).add(e.time)
    for date in log.unknown_exchanges:
        times.setdefault(date, set()).add(None)
    return times
