"""Sentences about drips that clog, prefilters, and cleaning them more often."""

from __future__ import annotations

import math

from kit.plumbing._say import hourly
from kit.plumbing.prefilter import Cleaning, clog_rate, clogged_flow
from kit.rounding import Output, format_flow, plain, round_for_people

__all__ = ["cleaning_sentences", "clog_sentences", "cup_sentences"]


def cup_sentences(
    drip_l_day: float,
    earlier_l_day: float,
    days: float,
    output: Output = "metric",
) -> list[str]:
    """Say what a cup and a watch found, and where a clogging drip is heading.

    Parameters
    ----------
    drip_l_day, earlier_l_day : float
        Drip now and some days ago; 0 for the second where it is not known. [L/day]
    days : float
        Days between. [day]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The drip first.

    Examples
    --------
    >>> for sentence in cup_sentences(12.0, 22.0, 60.0):
    ...     print(sentence)
    The drip brings 12 L a day, 0.5 L an hour.
    It brought 22 L a day 60 days ago, so it has lost 45 %. Falling on like this it
    would bring 9.2 L a day in another 60 days. Clean or change the emitter, and
    measure again.
    """
    now = format_flow(round_for_people(drip_l_day), output)
    said = [f"The drip brings {now}, {hourly(drip_l_day / 24.0, output)}."]
    if drip_l_day <= 0.0 or earlier_l_day <= 0.0:
        return said
    before = format_flow(round_for_people(earlier_l_day), output)
    ago = plain(round_for_people(days))
    if earlier_l_day <= drip_l_day:
        return [*said, f"It brought {before} {ago} days ago, so it does not clog."]
    clog = clog_rate(earlier_l_day, drip_l_day, days)
    ahead = clogged_flow(earlier_l_day, clog, 2.0 * days)
    lost = 100.0 * (1.0 - drip_l_day / earlier_l_day)
    said.append(
        f"It brought {before} {ago} days ago, so it has lost {lost:.0f} %. Falling on "
        f"like this it would bring {format_flow(round_for_people(ahead), output)} in "
        f"another {ago} days. Clean or change the emitter, and measure again."
    )
    return said


def clog_sentences(clog_per_day: float, part: float, days: float) -> list[str]:
    """Say when a prefilter has slowed down too far.

    Parameters
    ----------
    clog_per_day : float
        How fast it clogs. [1/day]
    part : float
        Part of the clean flow to act at. [-]
    days : float
        When it is reached; ``math.inf`` where it never is. [day]

    Returns
    -------
    list of str
        One sentence.

    Examples
    --------
    >>> clog_sentences(0.2, 0.7, 5.2)
    ['Flow falls to 70 % of the clean flow on day 5.2.']
    """
    if clog_per_day <= 0.0 or not math.isfinite(days):
        return ["By these flows the prefilter does not slow down."]
    day = plain(round_for_people(days, 0.1 if days < 10 else 1.0))
    return [f"Flow falls to {100.0 * part:.0f} % of the clean flow on day {day}."]


def cleaning_sentences(
    tried: Cleaning, now_days: float, then_days: float, rate_mg_l_day: float
) -> list[str]:
    """Say what another cleaning cadence does to nitrate.

    Parameters
    ----------
    tried : Cleaning
        From `kit.plumbing.try_cleaning`.
    now_days, then_days : float
        Days between cleanings, at present and tried. [day]
    rate_mg_l_day : float
        Rise at the present cadence. [mg/L/day]

    Returns
    -------
    list of str
        Shares first, then the rise.

    Examples
    --------
    >>> from kit.plumbing import try_cleaning
    >>> tried = try_cleaning(2.0, now_days=14.0, then_days=2.0, trapped=0.15)
    >>> print(" ".join(cleaning_sentences(tried, 14.0, 2.0, 2.0)))
    Cleaned every 14 days, 58 % of what the filter traps has turned to nitrate before
    you take it out; every 2 days, 14 %. That keeps back 6.7 % of all the nitrogen in
    the waste: the rise would go from 2 to 1.86 mg/L a day, 7 % less.
    """
    kept = 100.0 * tried.of_all
    change = 100.0 * (1.0 - tried.rate_mg_l_day / rate_mg_l_day) if rate_mg_l_day else 0
    word = "keeps back" if kept >= 0.0 else "lets through another"
    less = "less" if change >= 0.0 else "more"
    then = plain(round_for_people(tried.rate_mg_l_day))
    return [
        f"Cleaned every {_days(now_days)}, {100.0 * tried.now_share:.0f} % of what the "
        "filter traps has turned to nitrate before you take it out; every "
        f"{_days(then_days)}, {100.0 * tried.then_share:.0f} %.",
        f"That {word} {abs(kept):.1f} % of all the nitrogen in the waste: the rise "
        f"would go from {plain(round_for_people(rate_mg_l_day))} to {then} mg/L a day, "
        f"{abs(change):.0f} % {less}.",
    ]


def _days(days: float) -> str:
    return "day" if days == 1.0 else f"{plain(round_for_people(days))} days"
