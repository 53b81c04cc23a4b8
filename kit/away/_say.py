"""A time away in sentences."""

from __future__ import annotations

import datetime as dt
import math
from typing import Final

from kit.away._trip import Homecoming
from kit.plan import Band
from kit.rounding import (
    Output,
    format_length,
    format_volume,
    plain,
    round_for_people,
    say_band,
    say_range,
)

__all__ = ["away_sentences", "until_sentences", "water_level_sentences"]

_LONG_DAYS: Final = 365.0
_FOOD: Final = {1.0: "all the usual food", 0.5: "half of it", 0.0: "none"}


def _level(b: Band) -> str:
    return say_band(b.estimate, b.low, b.high, "mg/L")


def away_sentences(
    found: Homecoming, *, start: dt.date | None = None, output: Output = "metric"
) -> tuple[str, ...]:
    """Say what the keeper comes back to, the verdict first.

    Parameters
    ----------
    found : Homecoming
        From `kit.away.come_home`.
    start : datetime.date, optional
        Day zero, the last record.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    out = [_verdict(found, start), _plan(found), _advice(found), _falls(found)]
    out += until_sentences(found)
    out += water_level_sentences(found, output)
    out.append(_spilled(found))
    if found.home_feed_g_day is None:
        out.append(
            "Your log holds no food, so the rise is taken to go on as it is; feed less "
            "while away and it will be lower."
        )
    elif not found.grams.earned and found.trip.feed_g_day != found.home_feed_g_day:
        grams = found.grams
        out.append(
            "Your log cannot tell closely what a gram of food makes; the usual range "
            f"of {grams.food} stands in for it, "
            f"{say_range(grams.low_mg_g, grams.high_mg_g)} mg of nitrate."
        )
    return tuple(s for s in out if s)


def _verdict(found: Homecoming, start: dt.date | None) -> str:
    trip = found.trip
    days = plain(round(trip.days, 1))
    when = ""
    if start is not None:
        leave = start + dt.timedelta(round(trip.leave_in_days))
        back = start + dt.timedelta(round(trip.leave_in_days + trip.days))
        when = f", {leave.isoformat()} to {back.isoformat()},"
    text = (
        f"After {days} days away{when} {_fed(found)} you come back to "
        f"{_level(found.home_mg_l)}, having left at {_level(found.leaving_mg_l)}"
    )
    if found.ceiling_mg_l is None:
        return text + "."
    side = "under" if found.home_mg_l.estimate <= found.ceiling_mg_l else "above"
    text += f". That is {side} your ceiling of {found.ceiling_mg_l:g} mg/L"
    if found.chance is not None:
        text += f"; the chance to be under it is {_chance(found.chance)}"
    return text + "."


def _fed(found: Homecoming) -> str:
    """Say what food there is meanwhile."""
    feed = found.trip.feed_g_day
    if feed <= 0.0:
        return "without food"
    return f"on {plain(round_for_people(feed, 0.05 * feed))} g of food a day"


def _chance(chance: float) -> str:
    """Write a chance that claims no more than a thousand draws can tell."""
    if chance > 0.99:
        return "more than 99 in 100"
    return "less than 1 in 100" if chance < 0.01 else f"about {100 * chance:.0f} in 100"


def _plan(found: Homecoming) -> str:
    """Compare the highest level with and without the two exchanges."""
    trip = found.trip
    if found.habit.fraction == 0.0:
        return ""
    usual = f"{_level(found.peak_as_usual_mg_l)}"
    if not trip.exchange_before and not trip.exchange_after:
        return (
            "With no exchange of its own for the trip, the highest level until things "
            f"are as usual again is {usual}."
        )
    done = {
        (True, True): "an exchange the day before leaving and one on coming back",
        (True, False): "an exchange the day before leaving",
        (False, True): "an exchange on coming back",
    }[trip.exchange_before, trip.exchange_after]
    return (
        f"With {done}, the highest level until things are as usual again is "
        f"{_level(found.peak_mg_l)}; with neither it would be {usual}."
    )


def _advice(found: Homecoming) -> str:
    """Say the plan, where there is an exchange to plan with."""
    if found.habit.fraction == 0.0:
        return ""
    percent = plain(round(100 * found.habit.fraction, 1))
    return (
        f"Change {percent} %, your usual size, the day before you leave, and the same "
        "on coming back. Do not make up for lost time with one large exchange: fish "
        "have got used to the old water."
    )


def _falls(found: Homecoming) -> str:
    """Warn of a level that falls by itself."""
    if found.rate_away_mg_l_day >= 0.0:
        return ""
    return (
        "By this sum nitrate falls by itself on so little food, as plants, a refuge or "
        "deep sand take up more than it makes. Do not count on it: less food and less "
        "light for them may change that too."
    )


def until_sentences(found: Homecoming) -> tuple[str, ...]:
    """Say how long until the ceiling with all, half and none of the food.

    Parameters
    ----------
    found : Homecoming
        From `kit.away.come_home`.

    Returns
    -------
    tuple of str
        Empty without a ceiling.
    """
    if not found.until or found.ceiling_mg_l is None:
        return ()
    said = [f"{_days(days)} with {_FOOD[part]}" for part, days in found.until]
    return (
        f"From leaving, the ceiling of {found.ceiling_mg_l:g} mg/L is met after "
        + "; ".join(said)
        + ".",
    )


def _days(b: Band) -> str:
    """Write a number of days with its band."""
    if b.high <= 0.0:
        return "0 days, as it is there on leaving,"
    if b.estimate > _LONG_DAYS:
        least = "" if b.low > _LONG_DAYS else f" (or {b.low:.0f} days at the least)"
        return "more than a year" + (
            least if b.low > 0.0 else ", unless it is there on leaving"
        )
    if b.low == b.high:
        return f"{b.estimate:.0f} days"
    high = f"{b.high:.0f}" if b.high <= _LONG_DAYS else "more than a year"
    return f"{b.estimate:.0f} days ({b.low:.0f} to {high})"


def water_level_sentences(
    found: Homecoming, output: Output = "metric"
) -> tuple[str, ...]:
    """Say how far the water falls and what salt does.

    Parameters
    ----------
    found : Homecoming
        From `kit.away.come_home`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of str
        Empty where the level holds and no salt is named.
    """
    out = []
    if found.lost_l > 0.0:
        lost = format_volume(round_for_people(found.lost_l), output)
        fall = ""
        if found.fall_cm is not None:
            cm = format_length(round_for_people(found.fall_cm, 0.2), output)
            fall = f", {cm} on the glass"
        out.append(
            f"The water falls by {lost} meanwhile{fall}. See that heater, pump and "
            "intake stay under water at that level. Topped up with new water it is "
            f"{_level(found.topped_mg_l)}."
        )
    elif found.trip.top_up == "none" and found.habit.evaporation_l_day == 0.0:
        out.append(
            "Your log states no evaporation, so the water level is taken to hold. Mark "
            "the level on the glass for a week before you leave to see."
        )
    before, after = found.trip.salt_g_kg, found.salt_g_kg
    if before is not None and after is not None:
        text = f"Salinity goes from {before:.1f} to {after:.1f} g/kg"
        if after > before:
            text += ". Top up with pure fresh water over some hours, never with salt"
        out.append(text + ".")
    return tuple(out)


def _spilled(found: Homecoming) -> str:
    """Say what a feeder that empties itself does."""
    if found.spilled_mg_l is None:
        return ""
    text = (
        f"If the feeder drops all its {found.trip.feeder_g:g} g at once, you come back "
        f"to {_level(found.spilled_mg_l)}"
    )
    if found.ammonia_mg_l is not None and math.isfinite(found.ammonia_mg_l):
        text += (
            f", and ammonia can reach {found.ammonia_mg_l:.1f} mg/L, as nitrogen, "
            "before the filter follows: that kills fish long before nitrate does"
        )
    else:
        text += "; the ammonia of so much food at once can kill fish long before that"
    return text + ". Fill it with no more than the days need, and try it for a week."
