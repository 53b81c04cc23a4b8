"""Maps and everyday plans in sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from kit.rounding import Output, format_volume, plain, round_for_people
from kit.schedule._cells import UNIT, band_words, chance_words, days_words, plan_words
from kit.schedule.line import Line, Terms
from kit.schedule.map import ScheduleMap
from kit.schedule.shortlist import Offer
from kit.schedule.trial import Trial

__all__ = [
    "food_sentences",
    "line_sentences",
    "reach_sentences",
    "reserve_sentences",
    "shortlist_sentences",
]

_BEYOND = 2.0
"""Water a month beyond this factor from the log's is called untried. [-]"""
_NEEDLESS = {
    "every": "no exchange is needed for it, the drip or the tank itself holds it",
    "drip": "no drip is needed for it, the tank itself holds it",
    "both": "that exchange holds it without a drip",
}


def _way(offer: Offer) -> str:
    """Name an everyday way without its size."""
    if offer.way == "drip":
        return "A drip alone"
    days = days_words(offer.interval_days)
    return f"E{days[1:]} with a drip" if offer.way == "both" else f"E{days[1:]}"


def _why(offer: Offer, max_percent: float | None) -> str:
    """Say why an everyday way does not do."""
    if offer.lacks == "limit":
        most = 100.0 if max_percent is None else max_percent
        limit = (
            "all the water there is" if most == 100.0 else f"your most of {most:g} %"
        )
        return f"it would take {plain(round(offer.needs))} % at once, more than {limit}"
    if offer.lacks == "source":
        return "the new water itself is too high in nitrate"
    if offer.lacks == "nothing to do":
        return _NEEDLESS[offer.way]
    all_of_it = "a tankful a day" if offer.way != "every" else "all the water each time"
    if math.isfinite(offer.reaches_mg_l):
        return (
            f"not surely enough even with {all_of_it}, which peaks at "
            f"{plain(round(offer.reaches_mg_l))} {UNIT}"
        )
    return f"not even with {all_of_it}"


def shortlist_sentences(
    trial: Trial,
    offers: Sequence[Offer],
    terms: Terms,
    *,
    chance: float | None,
    max_percent: float | None = None,
    seen_l_month: float | None = None,
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say how many everyday plans hold the ceiling, and which do not and why.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    offers : sequence of Offer
        From `shortlist`, or from `equal_water` with no chance.
    terms : Terms
        As they were worked out with.
    chance : float or None
        Chance asked for; None for plans of equal water. [-]
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]
    seen_l_month : float, optional
        New water that the log's own habit uses. [L/month]
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        The finding first.
    """
    count = sum(o.line is not None for o in offers)
    out = [_count_said(trial, count, chance)]
    left = [o for o in offers if o.line is None]
    if left and {o.lacks for o in left} == {"source"}:
        source = plain(round_for_people(trial.habit.source_mg_l))
        return (
            out[0],
            f"The new water already holds {source} {UNIT}, so no exchange brings the "
            "tank under it. Blend with purer water or choose a higher ceiling.",
        )
    out += [f"{_way(o)}: {_why(o, max_percent)}." for o in left]
    if count:
        out.append(
            "The rows stand by their days; which of them suits you is yours to say."
        )
        out += _what_counts(offers, terms)
    if seen_l_month is not None:
        out += _untried(offers, seen_l_month, output)
    return tuple(out)


def _untried(offers: Sequence[Offer], seen_l_month: float, output: Output) -> list[str]:
    """Say when plans leave what the tank has shown."""
    litres = [o.line.month.litres for o in offers if o.line is not None]
    low, high = seen_l_month / _BEYOND, seen_l_month * _BEYOND
    if all(low <= each <= high for each in litres):
        return []
    usual = format_volume(round_for_people(seen_l_month), output)
    return [
        f"Your log's habit uses {usual} a month. Plans of less than half or more than "
        "twice that are untried in this tank, where the sum may miss what they change."
    ]


def _count_said(trial: Trial, count: int, chance: float | None) -> str:
    """Say what the rows have in common."""
    if chance is None:
        return "Every row uses as much new water a month as the plan of the sliders."
    ceiling = f"{trial.ceiling_mg_l:g} {UNIT}"
    often = _often(chance)
    if count == 0:
        return f"None of the everyday plans keeps single peaks under {ceiling} {often}."
    if count == 1:
        return f"1 everyday plan keeps single peaks under {ceiling} {often}."
    return f"{count} everyday plans keep single peaks under {ceiling} {often}."


def _often(chance: float) -> str:
    """Write a wanted chance as so many times in so many."""
    for whole in (10, 20, 100):
        times = chance * whole
        if abs(times - round(times)) < 1e-9:
            return f"at least {round(times)} times in {whole}"
    return f"at least {100.0 * chance:.3g} times in 100"


def _what_counts(offers: Sequence[Offer], terms: Terms) -> list[str]:
    """Say what the columns of money and time leave out."""
    out = []
    unpriced = {u for o in offers if o.line is not None for u in o.line.month.unpriced}
    if terms.tariff.water_per_m3 is None and terms.tariff.energy_per_kwh is None:
        out.append("Money is not counted, as no price is stated.")
    else:
        heat = "warming it" if terms.warmth_known else ""
        counted = " and ".join(p for p in ("new water", heat) if p)
        text = f"Money counts {counted}"
        if not terms.warmth_known:
            text += ", not the heat, as the temperatures are not stated"
        elif unpriced:
            text += f", but no price is stated for {' and '.join(sorted(unpriced))}"
        out.append(text + "; what glass and lid lose is the same for all.")
    if not terms.time_known:
        out.append("Time is not counted, as no minutes are stated.")
    elif any(o.line is not None and o.line.habit.drip_l_day > 0.0 for o in offers):
        out.append("The time to look after a drip is not counted.")
    return out


def line_sentences(
    line: Line, trial: Trial, output: Output = "metric"
) -> tuple[str, ...]:
    """Say where one plan leads.

    Parameters
    ----------
    line : Line
        The plan worked out.
    trial : Trial
        The tank and its ceiling.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        One sentence.
    """
    ceiling = f"{trial.ceiling_mg_l:g} {UNIT}"
    plan = plan_words(line.habit, output)
    if math.isnan(line.peak_mg_l.estimate):
        return (f"{plan}: nothing comes in or leaves, so the level stays as it is.",)
    if math.isinf(line.peak_mg_l.estimate):
        return (f"{plan}: nothing holds the level and it climbs without end.",)
    return (
        f"{plan}: usual peak {band_words(line.peak_mg_l)}. A single peak stays "
        f"under your ceiling of {ceiling} {_times(line.chance)}, as far as this log "
        "can tell.",
    )


def _times(chance: float) -> str:
    """Write a chance as times in a hundred."""
    if chance < 0.01:
        return "less than once in 100"
    return chance_words(chance).replace(" in ", " times in ")


def reach_sentences(
    chart: ScheduleMap,
    interval_days: float,
    *,
    max_percent: float | None = None,
    food_share: float | None = None,
) -> tuple[str, ...]:
    """Say what it takes at one interval for the usual peak to meet the ceiling.

    Parameters
    ----------
    chart : ScheduleMap
        Worked out at that interval alone, or a map that holds it.
    interval_days : float
        Days between exchanges. [day]
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]
    food_share : float, optional
        Part of the present food that would do with the largest exchange, where it is
        known. [-]

    Returns
    -------
    tuple of str
        One sentence, or two where an exchange alone does not do.
    """
    at = int(abs(chart.interval_days - interval_days).argmin())
    needed, low, high = (
        float(v[at]) for v in (chart.needed, chart.needed_low, chart.needed_high)
    )
    ceiling = f"{chart.trial.ceiling_mg_l:g} {UNIT}"
    when = days_words(interval_days)
    if chart.trial.habit.source_mg_l >= chart.trial.ceiling_mg_l:
        return (f"No exchange reaches {ceiling}: the new water holds more than that.",)
    if needed == 0.0:
        return (f"For the usual peak to stay at {ceiling} no exchange is needed.",)
    most = 100.0 if max_percent is None else max_percent
    if needed > 100.0:
        said = f"Not by exchange alone: all the water {when} would not reach {ceiling}."
    else:
        top = f"{high:.0f} %" if high <= 100.0 else "more than all of it"
        said = (
            f"For the usual peak to meet {ceiling} it takes {needed:.0f} % {when} "
            f"({low:.0f} % to {top})."
        )
    # As written: 50.3 % reads as 50 % and is no more than a most of 50 %.
    if round(needed) <= most:
        return (said,)
    if needed <= 100.0:
        said += f" That is more than your most of {most:g} %: not by exchange alone."
    return (said, _not_alone(most, when, food_share))


def _not_alone(most: float, when: str, food_share: float | None) -> str:
    """Say what else there is where the exchange is too large."""
    largest = f"{most:g} % {when}" if most < 100.0 else f"all the water {when}"
    if food_share is not None and 0.0 < food_share < 1.0:
        return (
            f"With {largest} about {100 * food_share:.0f} % of the food would do, if "
            "all of the rise follows the food; or exchange more often, or run a drip."
        )
    return f"With {largest} exchange more often besides, feed less, or run a drip."


def food_sentences(food_times: float, earned: bool) -> tuple[str, ...]:
    """Say what is taken for granted of a change in food.

    Parameters
    ----------
    food_times : float
        Food against that of the log. [-]
    earned : bool
        Whether the log tells food from the rest of the rise.

    Returns
    -------
    tuple of str
        Empty with the food as it is.
    """
    if food_times == 1.0:
        return ()
    share = f"Food at {100 * food_times:.0f} % of the log's"
    if earned:
        return (
            f"{share}: the part of the rise that follows the food is scaled, the rest "
            "stays.",
        )
    return (
        f"{share}: the log cannot tell food from the rest, so the whole rise is scaled "
        "with it. Where plants take up nitrate or old waste gives it off, less food "
        "changes less or more than that.",
    )


def reserve_sentences(trial: Trial, *, source_known: bool = True) -> tuple[str, ...]:
    """Say what stands against any plan of a tank.

    Parameters
    ----------
    trial : Trial
        The tank and its ceiling.
    source_known : bool, optional
        Whether the new water's nitrate was tested or stated.

    Returns
    -------
    tuple of str
        Empty when nothing does.
    """
    out = []
    if float(np.quantile(trial.draws.rate_mg_l_day, 0.025)) <= 0.0:
        out.append(
            "The readings cannot tell whether nitrate rises at all, so what follows is "
            "a possibility and no forecast."
        )
    if not source_known:
        out.append(
            "The new water was never tested, and the log's own is counted as 0: with "
            "nitrate in it the levels lie higher when more water is exchanged than "
            "before. Test it before you count on a plan."
        )
    return tuple(out)
