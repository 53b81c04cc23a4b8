"""Exchanges that are usual and not in the log: both rates, and a question."""

from __future__ import annotations

import numpy as np

from kit import fit
from kit.change._hull import hull_of
from kit.change._report import laid_out
from kit.change._result import Unlogged
from kit.change._rhythm import Rhythm, rhythm, with_exchanges
from kit.change._say import day_said, every, percent, rate_band
from kit.fit import Estimate
from kit.logbook import Logbook

__all__ = ["unlogged"]

_SPEAKS = 4.0
_SHOWN = 6
_WEEKDAYS = (
    *("Monday", "Tuesday", "Wednesday", "Thursday"),
    *("Friday", "Saturday", "Sunday"),
)


def unlogged(log: Logbook) -> Unlogged | None:
    """Suspect exchanges that are not written down, and show what they would change.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Unlogged or None
        None when the exchanges have no rhythm; without days when none is missing.
    """
    usual = rhythm(log)
    if usual is None:
        return None
    if not usual.missing:
        none = (None, None, None)
        return Unlogged((), usual.interval_days, usual.fraction, *none, 0.0, ())
    put_in = with_exchanges(log, usual.missing, usual.fraction, usual.time)
    first, second = fit.rate(log).net_rate, fit.rate(put_in).net_rate
    favour = _favour(log, put_in, usual)
    hull = hull_of(first, second)
    said = _said(log, usual, first, second, hull, favour)
    return Unlogged(
        usual.missing,
        usual.interval_days,
        usual.fraction,
        first,
        second,
        hull,
        favour,
        said,
    )


def _favour(log: Logbook, put_in: Logbook, usual: Rhythm) -> float:
    """Twice the log-likelihood with the exchanges less that without; 0 if unknown."""
    marked = with_exchanges(log, usual.missing, 0.0, usual.time)
    without, with_them = laid_out(marked), laid_out(put_in)
    if isinstance(without, str) or isinstance(with_them, str):
        return 0.0
    value = 2.0 * (with_them.base.height - without.base.height)
    return float(np.nan_to_num(value))


def _said(
    log: Logbook,
    usual: Rhythm,
    first: Estimate | None,
    second: Estimate | None,
    hull: Estimate | None,
    favour: float,
) -> tuple[str, ...]:
    """Ask about the days and show both rates."""
    days = usual.missing
    named = ", ".join(day_said(d) for d in days[:_SHOWN])
    more = f" and {len(days) - _SHOWN} more" if len(days) > _SHOWN else ""
    out = [
        f"You usually exchange {percent(usual.fraction)}, {every(usual.interval_days)}"
        f"{_weekday(log)}, and nothing is written for "
        f"{named}{more}. Was water exchanged then? The kit assumes neither."
    ]
    if first is None or second is None or hull is None:
        return tuple(out)
    out.append(
        f"As logged the rise is {rate_band(first)}; with the usual exchange put in "
        f"on {'that day' if len(days) == 1 else 'those days'} it is "
        f"{rate_band(second)}. Until you say which, count on anything from both: "
        f"{rate_band(hull)}."
    )
    if favour > _SPEAKS:
        out.append("The readings agree better with the exchanges having been made.")
    elif favour < -_SPEAKS:
        out.append("The readings agree better with no exchange on those days.")
    else:
        out.append("The readings do not tell which.")
    return tuple(out)


def _weekday(log: Logbook) -> str:
    """Name the weekday most exchanges fall on, where there is one."""
    days = [e.date.weekday() for e in log.exchanges if e.kind == "batch"]
    counts = np.bincount(days, minlength=7)
    top = int(np.argmax(counts))
    if counts[top] < 0.6 * len(days):
        return ""
    return f", most often on a {_WEEKDAYS[top]}"
