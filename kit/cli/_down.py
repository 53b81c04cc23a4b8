"""``plan --catch-up``: a way down from a high level, in steps."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from kit.cli._dates import old_log_said
from kit.cli._numbers import level_range, number_of
from kit.errors import KitError

if TYPE_CHECKING:
    from kit.catchup import Caps, CatchUp
    from kit.logbook import Logbook
    from kit.subject import Subject

__all__ = ["coming_down"]

_USUAL_PERCENT, _USUAL_DAYS = 20.0, 3.0
"""A cautious way down to begin with; common practice, no source. [%], [day]"""


def coming_down(
    asked: argparse.Namespace, log: Logbook, subject: Subject, today: dt.date
) -> tuple[Sequence[str], dict[str, Any]]:
    """Plan a way down from a high level.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.
    log : Logbook
        The log.
    subject : Subject
        Its tank as fitted.
    today : datetime.date
        The day it is.

    Returns
    -------
    sequence of str
        Cautions, then the plan in words.
    dict
        The same as plain values.

    Raises
    ------
    KitError
        No target, or a way that leads nowhere.
    """
    from kit import catchup, cautions, exports

    target = _target(asked, log)
    caps = _caps(asked, log)
    draws, level, now = subject.draws, subject.level_mg_l, subject.last
    if asked.level is not None:
        low, high = level_range(asked.level)
        draws, level = catchup.stated_start(draws, low, high), (low + high) / 2.0
        now = today
    found = catchup.catch_up(
        subject.habit,
        subject.rate_mg_l_day,
        level,
        target,
        caps,
        draws=draws,
        now=now,
        wait_days=_wait(asked, log, caps.interval_days, now),
    )
    said = [*cautions.for_page(*cautions.CATCH_UP), ""]
    if asked.level is None:
        then = "and plan again with --level, which counts from today"
        said += old_log_said(subject.last, today, then)
    said += _down_said(asked, found, log, subject)
    return said, exports.catch_up_as_dict(found)


def _caps(asked: argparse.Namespace, log: Logbook) -> Caps:
    """Lay the keeper's limits over a cautious beginning."""
    from kit.catchup import Caps

    own = number_of(asked, "percent") or number_of(asked, "max-percent")
    most = log.tank.max_percent
    whose = "your largest exchange"
    if own is None and (most is None or most > _USUAL_PERCENT):
        own, whose = _USUAL_PERCENT, "a cautious start; name your own with --percent"
    return Caps(
        own or most or _USUAL_PERCENT,
        number_of(asked, "every") or _USUAL_DAYS,
        nitrate_step_mg_l=number_of(asked, "nitrate-step"),
        percent_a_day=number_of(asked, "percent-a-day"),
        largest_is=whose,
    )


def _wait(
    asked: argparse.Namespace, log: Logbook, every: float, now: dt.date | None
) -> float:
    """Days to the first exchange: as named, else a full interval after the last one."""
    named = number_of(asked, "start-in")
    made = [e.date for e in log.exchanges if e.kind == "batch"]
    if named is not None or now is None or not made:
        return named or 0.0
    return max(every - (now - max(made)).days, 0.0)


def _down_said(
    asked: argparse.Namespace, found: CatchUp, log: Logbook, subject: Subject
) -> Sequence[str]:
    """Say a way down, with what else was tested and each exchange."""
    from kit import catchup

    known, units = subject.source_known, asked.units
    tested = catchup.TwoWaters(
        number_of(asked, "tank-ph"),
        number_of(asked, "new-ph"),
        number_of(asked, "ammonia"),
        tank_dkh=number_of(asked, "tank-dkh"),
        new_dkh=number_of(asked, "new-dkh"),
    )
    check = catchup.check_water(found, tested)
    said = catchup.catch_up_sentences(found, check, source_known=known, output=units)
    if not found.turns:
        return said
    rows = catchup.catch_up_rows(found, log.tank, output=units)
    lines = [_line(catchup.HEADS, row) for row in rows]
    return [*said, "", catchup.STOP_SIGNS, *lines]


def _target(asked: argparse.Namespace, log: Logbook) -> float:
    """Give where to come down to: as named, else the keeper's ceiling. [mg/L]."""
    target = number_of(asked, "target") or log.tank.ceiling_mg_l
    if target is None:
        msg = "Say where to come down to: add --target, or your --ceiling, in mg/L."
        raise KitError(msg)
    return target


def _line(heads: Sequence[str], row: Sequence[str]) -> str:
    """Write a row of a table as one line."""
    lower = [h[0].lower() + h[1:] for h in heads[1:]]
    named = [f"{h}: {c}" for h, c in zip(lower, row[1:], strict=True)]
    return "; ".join([row[0], *named])
