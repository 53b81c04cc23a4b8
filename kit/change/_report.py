"""Has something changed: the whole look at one log."""

from __future__ import annotations

import datetime as dt

import numpy as np
from scipy.stats import t as student

from kit.change import _luck as luck
from kit.change import _say as say
from kit.change._cusum import cusum
from kit.change._findings import found_in
from kit.change._look import Look, look
from kit.change._profile import StepProfile, step_profile
from kit.change._result import ChangeReport, Known, Profile
from kit.change._rhythm import rhythm, with_exchanges
from kit.change._rivals import rivals
from kit.change._scan import scan
from kit.change._shapes import shapes_of
from kit.change._timeline import timeline
from kit.fit import Estimate
from kit.fit.model import build, rate_gate, view
from kit.logbook import Logbook

__all__ = ["known_change", "laid_out", "report"]

_FEWEST = 8


def laid_out(log: Logbook) -> Look | str:
    """Lay a log out and fit one rate to it.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    Look or str
        The fit, or why there is none.
    """
    if not log.tests:
        return "The log holds no usable nitrate test."
    if log.breaks or log.lost_exchanges:
        return (
            "Questions about this log are open (a change of unit, or exchanges whose "
            "day is not known). Answer them first; until then nothing can be told."
        )
    if log.tank.volume_l is None and _drips(log):
        return "A drip means nothing without the tank's volume: state it first."
    ledger = build(log, log.tank.same_day or "before")
    kit = view(ledger.tests, log.tank)
    refusal = rate_gate(ledger, kit)
    if refusal is not None:
        return refusal.reason
    if len(ledger.tests) < _FEWEST:
        return (
            f"{len(ledger.tests)} tests are too few to tell a change from chance; "
            f"{_FEWEST} at least are needed, better 12."
        )
    return look(ledger, kit, timeline(ledger))


def _drips(log: Logbook) -> bool:
    tank = log.tank
    changed = any(e.drip_l_day for e in log.exchanges)
    return changed or tank.drip_l_day > 0 or tank.evaporation_l_day > 0


def report(log: Logbook, *, known: dt.date | None = None) -> ChangeReport:
    """Search a log for what may have changed.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    known : datetime.date, optional
        A day on which the keeper changed something, to be asked about by itself.

    Returns
    -------
    ChangeReport
        With ``refused`` set where the log cannot be searched.
    """
    usual = rhythm(log)
    marked = log
    if usual is not None and usual.missing:
        marked = with_exchanges(log, usual.missing, 0.0, usual.time)
    found = laid_out(marked)
    if isinstance(found, str):
        return ChangeReport((), None, None, None, None, None, (found,), (), found)
    profile = step_profile(found)
    findings, tried = found_in(log, found, profile)
    asked = None if known is None else known_change(found, known)
    smallest = None if profile is None else profile.smallest
    return ChangeReport(
        tuple(findings),
        asked,
        smallest,
        _shown(found, profile),
        cusum(found),
        shapes_of(found, tried, findings[0].kind) if findings else None,
        say.verdict(findings, found.ledger, smallest, known, asked),
        rivals(log, found, findings, tried),
    )


def _shown(found: Look, profile: StepProfile | None) -> Profile | None:
    if profile is None:
        return None
    return Profile(found.ledger.day0, profile.days, profile.gain, profile.limit)


def known_change(found: Look, day: dt.date) -> Known | None:
    """Test a change on a named day; None where readings on one side are wanting.

    Parameters
    ----------
    found : Look
        A log laid out.
    day : datetime.date
        First day of the change.

    Returns
    -------
    Known or None
        Of simulated tanks without a change fewer than 1 in 20 pass, but about 1 in 10
        of those whose rise stays high or low for weeks by 30 %: a few weeks cannot tell
        that from a change that lasts.
    """
    at = float((day - found.ledger.day0).days)
    days = found.ledger.days
    if (days < at).sum() < 2 or (days >= at).sum() < 2:
        return None
    n = found.line.readings
    column = found.line.rate_from(np.array([at]))[:n]
    tried = scan(found.base, column, found.usual_step)
    size, error = float(tried.size[0]), float(tried.error[0])
    half = float(student.ppf(0.975, max(n - found.base.width - 1, 3))) * error
    band = Estimate(size, size - half, size + half)
    return Known(day, band, luck.at_one(float(tried.gain[0])))
