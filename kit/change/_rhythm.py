"""The keeper's usual exchange, and the days on which the log lacks it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from kit.logbook import Exchange, Logbook

__all__ = ["Rhythm", "rhythm", "with_exchanges"]

_FEWEST_GAPS = 4
_REGULAR = 0.6
_MOST_IN_A_GAP = 4


@dataclass(frozen=True, slots=True)
class Rhythm:
    """What a keeper usually exchanges, and when it is not in the log.

    Parameters
    ----------
    interval_days : float
        Usual days between exchanges. [day]
    fraction : float
        Usual part. [-]
    time : datetime.time or None
        Usual time of day; None where none is written.
    missing : tuple of datetime.date
        Days on which the usual exchange would fall and none is written.
    """

    interval_days: float
    fraction: float
    time: dt.time | None
    missing: tuple[dt.date, ...]


def rhythm(log: Logbook) -> Rhythm | None:
    """Find the usual exchange of a log.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Rhythm or None
        None when exchanges are few or come without a rhythm.

    Notes
    -----
    A gap that is two, three or more times the usual interval, to within a day or a
    seventh of it, may hide exchanges. The stretch from the last exchange to the last
    test counts as a gap too.
    """
    batches = [e for e in log.exchanges if e.kind == "batch"]
    dates = sorted({e.date for e in batches} | set(log.unknown_exchanges))
    sizes = [size for e in batches if (size := _part(e, log)) is not None]
    if len(dates) <= _FEWEST_GAPS or not sizes or not log.tests:
        return None
    gaps = np.diff([d.toordinal() for d in dates])
    usual = float(np.median(gaps))
    slack = max(1.0 if usual > 2 else 0.0, usual / 7.0)
    if float(np.mean(np.abs(gaps - usual) <= slack)) < _REGULAR:
        return None
    last = max(t.date for t in log.tests)
    missing: list[dt.date] = []
    for day, gap in zip(dates[:-1], gaps.tolist(), strict=True):
        missing += _within(day, gap, usual, slack)
    missing += _within_tail(dates[-1], (last - dates[-1]).days, usual, slack)
    times = [e.time for e in batches if e.time is not None]
    hour = sorted(times)[len(times) // 2] if 2 * len(times) > len(batches) else None
    first = min(t.date for t in log.tests)
    inside = tuple(day for day in missing if first < day <= last)
    return Rhythm(usual, float(np.median(sizes)), hour, inside)


def _part(e: Exchange, log: Logbook) -> float | None:
    """Part of the water of an exchange, from litres where need be. [-]."""
    if e.fraction is not None:
        return e.fraction
    if e.litres is None or log.tank.volume_l is None:
        return None
    return min(e.litres / log.tank.volume_l, 1.0)


def _within(day: dt.date, gap: int, usual: float, slack: float) -> list[dt.date]:
    """Days inside one gap on which an exchange would be usual."""
    times = round(gap / usual)
    if not 2 <= times <= _MOST_IN_A_GAP or abs(gap - times * usual) > slack:
        return []
    return [day + dt.timedelta(round(k * gap / times)) for k in range(1, times)]


def _within_tail(day: dt.date, gap: int, usual: float, slack: float) -> list[dt.date]:
    """Days after the last exchange on which another would be usual."""
    times = min(int((gap - slack) / usual), _MOST_IN_A_GAP)
    return [day + dt.timedelta(round(k * usual)) for k in range(1, times + 1)]


def with_exchanges(
    log: Logbook,
    days: tuple[dt.date, ...],
    fraction: float,
    time: dt.time | None,
) -> Logbook:
    """Give a log with exchanges put in on some days.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    days : tuple of datetime.date
        When.
    fraction : float
        Part of the water; 0 only marks the place. [-]
    time : datetime.time or None
        Time of day.

    Returns
    -------
    Logbook
        A copy; the log itself is left as it is.
    """
    added = tuple(Exchange(day, time, fraction, None, "", 0) for day in days)
    merged = sorted(
        (*log.exchanges, *added), key=lambda e: (e.date, e.time or dt.time(12))
    )
    return replace(log, exchanges=tuple(merged))
