"""What a fit gives: numbers with bands, readings beside the line, statements."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from kit.balance import Floats
from kit.draws import Draws

__all__ = ["Alike", "Curve", "Estimate", "FitResult", "FittedTest", "Lag"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with its 95 % band.

    Parameters
    ----------
    estimate, low, high : float
        Middle of what is left possible, and the ends of the 95 % band.
    """

    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Lag:
    """How long after the food its nitrate comes.

    Parameters
    ----------
    days : float
        Likeliest mean time. [day]
    low, high : float
        Times nearly as likely, of those tried. [day]
    open_above : bool
        The longest time tried is among them, so it may be longer.
    """

    days: float
    low: float
    high: float
    open_above: bool


@dataclass(frozen=True, slots=True)
class Alike:
    """Something the tests cannot tell from the rate, or hardly.

    Parameters
    ----------
    what : str
        Plain name, such as ``"the new water's nitrate"``.
    correlation : float
        Of its estimate with that of the rate, with both left free. [-]
    effect : float
        Change of the rate for the change named in ``per``. [mg/L/day]
    per : str
        The change, such as ``"10 mg/L more in the new water"``.
    """

    what: str
    correlation: float
    effect: float
    per: str


@dataclass(frozen=True, slots=True)
class FittedTest:
    """One used reading beside the fitted level.

    Parameters
    ----------
    date, time : datetime.date, datetime.time or None
        When, as written.
    low_mg_l, high_mg_l : float, float or None
        What the reading allows, as NO3; None open above. [mg/L]
    fitted : Estimate
        Fitted level with its band, as NO3. [mg/L]
    residual : float
        Standardised distance from what the readings before foretell; 0 when the
        reading's band holds the forecast. [-]
    file, line : str, int
        Where it was written.
    raw : str
        As written.
    """

    date: dt.date
    time: dt.time | None
    low_mg_l: float
    high_mg_l: float | None
    fitted: Estimate
    residual: float
    file: str
    line: int
    raw: str


@dataclass(frozen=True, slots=True)
class Curve:
    """The fitted level through the log, before and after each exchange.

    Parameters
    ----------
    days : ndarray, shape (m,)
        Days since ``day0``; a day stands twice where an exchange makes a jump. [day]
    level, low, high : ndarray, shape (m,)
        Fitted level and its 95 % band, as NO3; not a number in a stretch of which too
        little is written. [mg/L]
    """

    day0: dt.date
    days: Floats
    level: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class FitResult:
    """How fast nitrate accumulates in one tank, and from what.

    Parameters
    ----------
    method : str
        How it was estimated, in a sentence.
    net_rate : Estimate or None
        Rise without exchanges and drip, as NO3: what it was by a day, on the mean from
        the first used test to the last; None when refused. [mg/L/day]
    usual_rate : Estimate or None
        What the rise strays about from week to week, and what plans count with: a short
        log tells it less well than its own mean. Where a loss is found, the rise before
        the loss. [mg/L/day]
    feed_yield : Estimate or None
        Nitrate per gram of food; None when the log does not earn it. [mg/g]
    level_now : Estimate or None
        Level after the last record, as NO3. [mg/L]
    reading_noise : Estimate or None
        Spread of a reading as a part of the level. [-]
    tank_noise : Estimate or None
        Day-to-day noise of the tank. [mg/L per root day]
    draws : Draws
        Equally weighted draws of rate, present level, tank noise and source; none
        when refused.
    params, bse : dict of str to float
        Middle and standard deviation of each parameter.
    conf_int : dict of str to tuple of float
        95 % bands.
    llf : float
        Log-likelihood at its maximum (with the prior on the noise).
    nobs, df_resid : int
        Used readings, and readings less parameters.
    tests : tuple of FittedTest
        The used readings.
    curve : Curve or None
        The fitted level through time.
    simple_rate : Estimate or None
        Plain least squares on what was written, for comparison. [mg/L/day]
    band_range : tuple of float or None
        Rates for which every reading can sit inside its band with no reading error at
        all; None when there is none. [mg/L/day]
    volume_l, source_mg_l : float or None
        As used. [L], [mg/L]
    source_known : bool
        False when the rate is net of whatever the new water brings.
    feed_g_day : float or None
        Mean food logged. [g/day]
    statements, assumptions : tuple of str
        Plain sentences: what was found and cannot be told; what was taken as given.
    refused : str or None
        Why there is no rate, with what would help.
    upper_bound : float or None
        When refused for want of a measurable level: the rate is below this. [mg/L/day]
    rate_if_biased : Estimate or None
        The rate if, beyond all counted in ``net_rate``, the kit reads steadily off as
        kits do (15 % either way, common practice, no source); None where standards
        settled it. [mg/L/day]
    yields : tuple of (str, Estimate)
        Yield of each food that earned one by name; ``""`` for all food. [mg/g]
    lag : Lag or None
        How long after the food its nitrate comes, where the log shows it.
    alike : tuple of Alike
        What the tests cannot tell from the rate.
    loss_per_day : Estimate or None
        Part of the nitrate that is lost in the tank each day, where the log clearly
        shows one. [1/day]
    offsets : tuple of (str, Estimate)
        What was found of things the log may be wrong about: the new water [mg/L], the
        overflow, litres and readers as parts [-].
    """

    method: str
    net_rate: Estimate | None
    usual_rate: Estimate | None
    feed_yield: Estimate | None
    level_now: Estimate | None
    reading_noise: Estimate | None
    tank_noise: Estimate | None
    draws: Draws
    params: dict[str, float]
    bse: dict[str, float]
    conf_int: dict[str, tuple[float, float]]
    llf: float
    nobs: int
    df_resid: int
    tests: tuple[FittedTest, ...]
    curve: Curve | None
    simple_rate: Estimate | None
    band_range: tuple[float, float] | None
    volume_l: float | None
    source_mg_l: float | None
    source_known: bool
    feed_g_day: float | None
    statements: tuple[str, ...]
    assumptions: tuple[str, ...]
    refused: str | None = None
    upper_bound: float | None = None
    rate_if_biased: Estimate | None = None
    yields: tuple[tuple[str, Estimate], ...] = ()
    lag: Lag | None = None
    alike: tuple[Alike, ...] = ()
    loss_per_day: Estimate | None = None
    offsets: tuple[tuple[str, Estimate], ...] = ()
