"""What a search for changes gives."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from kit.balance import Floats
from kit.fit import Estimate

__all__ = [
    "ChangeReport",
    "Cusum",
    "Finding",
    "Kind",
    "Known",
    "OddReading",
    "Outliers",
    "Profile",
    "Shapes",
    "Unlogged",
]

Kind = Literal["step", "slip", "missing", "kit", "reading"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that happened, as far as the readings tell.

    Parameters
    ----------
    kind : {"step", "slip", "missing", "kit", "reading"}
        The net rate changed for good; an exchange was another size than logged; an
        exchange is missing from the log; readings jump as with another kit or reader;
        one reading is far off.
    date : datetime.date
        The likeliest day.
    first, last : datetime.date
        95 % band of the day; the same day for what the log dates itself.
    size : Estimate
        Change of the rate [mg/L/day], part of the water that was exchanged [-], part
        by which the kit reads higher [-], or distance of the reading [mg/L].
    before, after : float or None
        Net rate before and after a step. [mg/L/day]
    logged : float or None
        Part of the water the log gives for the exchange; 0 for a missing one. [-]
    chance : float
        Chance that the search finds as much in a log of a tank that did not change.
    gain : float
        Twice the rise of the log-likelihood.
    trace : tuple of float
        For a slip: how far the level lies off after it and after each exchange that
        follows. [mg/L]
    file, line : str, int
        Where the exchange or reading stands; ``""`` and 0 for none.
    """

    kind: Kind
    date: dt.date
    first: dt.date
    last: dt.date
    size: Estimate
    before: float | None
    after: float | None
    logged: float | None
    chance: float
    gain: float
    trace: tuple[float, ...] = ()
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Known:
    """A change asked for on a day the keeper names.

    Parameters
    ----------
    date : datetime.date
        The day.
    change : Estimate
        Change of the net rate from then on. [mg/L/day]
    chance : float
        Chance of as large a change by luck alone.
    """

    date: dt.date
    change: Estimate
    chance: float


@dataclass(frozen=True, slots=True)
class Profile:
    """How well a step of the rate on each day agrees with the readings.

    Parameters
    ----------
    day0 : datetime.date
        Day zero.
    days, gain : ndarray, shape (d,)
        Day [day] and twice the rise of the log-likelihood for a step on it.
    limit : float
        Gain above which fewer than 1 in 20 unchanged logs come.
    """

    day0: dt.date
    days: Floats
    gain: Floats
    limit: float


@dataclass(frozen=True, slots=True)
class Cusum:
    """Running sum of the forecast errors under one rate all through.

    Parameters
    ----------
    dates : tuple of datetime.date
        Day of each reading.
    path : ndarray, shape (n,)
        Sum so far, in units in which a log without change stays within ``limit``.
    limit : float
        The sum of 19 in 20 unchanged logs never leaves plus or minus this.
    """

    dates: tuple[dt.date, ...]
    path: Floats
    limit: float


@dataclass(frozen=True, slots=True)
class Shapes:
    """How far readings lie off without the finding, and what would explain it.

    Parameters
    ----------
    dates : tuple of datetime.date
        Day of each reading.
    low, high : ndarray, shape (n,)
        Ends of each reading less the level without the finding; infinite where open.
        [mg/L]
    lasting : bool
        Whether the finding is a step of the rate, which grows, or an exchange, which
        dies away.
    found : ndarray, shape (n,)
        The finding's own shape. [mg/L]
    other : ndarray, shape (n,), or None
        The shape of the best explanation of the other sort. [mg/L]
    """

    dates: tuple[dt.date, ...]
    low: Floats
    high: Floats
    lasting: bool
    found: Floats
    other: Floats | None


@dataclass(frozen=True, slots=True)
class ChangeReport:
    """Has something changed, and what.

    Parameters
    ----------
    findings : tuple of Finding
        The surest first; empty when nothing can be told.
    known : Known or None
        The change on a named day, when one was asked for.
    smallest_mg_l_day : float or None
        Change of the net rate, begun four weeks before the last test, that would have
        shown more often than not. [mg/L/day]
    profile : Profile or None
        Likelihood of a step by day.
    cusum : Cusum or None
        Running sum of forecast errors.
    shapes : Shapes or None
        The misfit of the readings, when a step or an exchange was found.
    statements : tuple of str
        The finding in plain sentences, the verdict first.
    rivals : tuple of str
        What else would explain it, and what would tell them apart.
    refused : str or None
        Why the log cannot be searched.
    """

    findings: tuple[Finding, ...]
    known: Known | None
    smallest_mg_l_day: float | None
    profile: Profile | None
    cusum: Cusum | None
    shapes: Shapes | None
    statements: tuple[str, ...]
    rivals: tuple[str, ...]
    refused: str | None = None


@dataclass(frozen=True, slots=True)
class Unlogged:
    """Days on which the usual exchange is not in the log, and what it would change.

    Parameters
    ----------
    days : tuple of datetime.date
        Days on which an exchange would be usual and none is written.
    interval_days, fraction : float
        The usual exchange. [day], [-]
    as_logged, with_usual, hull : Estimate or None
        Net rate as logged, with the usual exchange put in on those days, and the band
        that covers both; None where there is no rate. [mg/L/day]
    favour : float
        Twice the log-likelihood of the second less that of the first: above 4 the
        readings speak for the exchanges, below -4 against them.
    statements : tuple of str
        Plain sentences; empty when no day is suspected.
    """

    days: tuple[dt.date, ...]
    interval_days: float
    fraction: float
    as_logged: Estimate | None
    with_usual: Estimate | None
    hull: Estimate | None
    favour: float
    statements: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OddReading:
    """One reading far from what all the others foretell.

    Parameters
    ----------
    date : datetime.date
        Its day.
    raw : str
        As written.
    expected_mg_l : float
        Level the others give there. [mg/L]
    distance : float
        In standard errors; above zero when read higher.
    file, line : str, int
        Where it stands.
    """

    date: dt.date
    raw: str
    expected_mg_l: float
    distance: float
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class Outliers:
    """Odd readings, kept and marked, with the rate with and without them.

    Parameters
    ----------
    readings : tuple of OddReading
        In time order.
    with_all, without, hull : Estimate or None
        Net rate with every reading, without the marked ones, and the band that covers
        both; None where there is no rate. [mg/L/day]
    statements : tuple of str
        Plain sentences; empty when no reading is odd.
    """

    readings: tuple[OddReading, ...]
    with_all: Estimate | None
    without: Estimate | None
    hull: Estimate | None
    statements: tuple[str, ...]
