"""Feed and fish headroom in sentences."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from kit.feed import YieldRange
from kit.headroom._room import FeedRoom, FeedTrial
from kit.headroom._source import Blend, worth_blending
from kit.plan import Band
from kit.rounding import Output, format_volume, plain, round_for_people, say_band
from kit.sawtooth import Habit, long_run

__all__ = [
    "AMMONIA_WORDS",
    "BLEND_HEADS",
    "blend_rows",
    "grams_sentence",
    "room_sentences",
    "source_sentences",
    "trial_sentences",
]

AMMONIA_WORDS: Final = (
    "Nitrate is only the end of it. More food or fish makes more ammonia the same day, "
    "and the filter needs weeks to follow. Add a few fish at a time, test ammonia and "
    "nitrite every other day for two weeks after each, and add no more while either "
    "shows."
)
"""What no nitrate log can tell of added fish; common practice, no source."""

BLEND_HEADS: Final = ("Pure water in the mix", "Mix holds, mg/L", "Usual peak, mg/L")
"""Heads of `blend_rows`."""


def _gram(value: float, band: Band | None = None) -> str:
    """Write an amount of food a day, with its band."""
    if band is None:
        return f"{plain(round_for_people(value, max(abs(value) * 0.05, 0.01)))} g"
    return say_band(band.estimate, band.low, band.high, "g")


def _level(b: Band) -> str:
    if math.isinf(b.estimate):
        return "no limit"
    return say_band(b.estimate, b.low, b.high, "mg/L")


def _percent(value: float) -> str:
    """Write a share of the water; an exchange is not measured closer than this."""
    return f"{plain(round(value, 1 if value < 10 else 0))} %"


def _habit(habit: Habit) -> str:
    """Name exchanges and drip."""
    parts = []
    if habit.fraction > 0.0:
        days = plain(round(habit.interval_days, 1))
        word = "day" if days == "1" else "days"
        parts.append(f"{_percent(100.0 * habit.fraction)} every {days} {word}")
    if habit.drip_l_day > 0.0:
        parts.append("the drip")
    return " and ".join(parts)


def grams_sentence(grams: YieldRange) -> str:
    """Say what a gram is taken to make, and where that comes from.

    Parameters
    ----------
    grams : YieldRange
        From `kit.feed.believed_yield`.

    Returns
    -------
    str
        One sentence or two.
    """
    amount = say_band(grams.mg_g, grams.low_mg_g, grams.high_mg_g, "mg of nitrate")
    if grams.earned:
        return f"Each gram is taken to make {amount}, as your log tells."
    return (
        "Your log cannot tell closely how much nitrate a gram of food makes, so the "
        f"usual range of {grams.food} stands in for it: {amount}. It is not your "
        "tank's own."
    )


def room_sentences(room: FeedRoom) -> tuple[str, ...]:
    """Say how much more food a habit carries, the verdict first.

    Parameters
    ----------
    room : FeedRoom
        From `kit.headroom.feed_room`.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    ceiling = f"{room.ceiling_mg_l:g} mg/L"
    band, feed = room.room_g_day, room.feed_g_day
    now = "" if feed is None else f" on top of the {_gram(feed)} of now"
    if band.estimate >= 0.0:
        first = (
            f"{_habit(room.habit)} leaves room for {_gram(0.0, band)} more food a "
            f"day{now} under your ceiling of {ceiling}"
        )
        if feed:
            first += f": {100 * band.estimate / feed:.0f} % more"
    else:
        over = Band(-band.estimate, -band.high, -band.low)
        first = (
            f"{_habit(room.habit)} leaves no room that this log can show: today's food "
            f"is {_gram(0.0, over)} a day more than it carries under your ceiling of "
            f"{ceiling}"
            if band.high > 0.0
            else f"{_habit(room.habit)} leaves no room: today's food is "
            f"{_gram(0.0, over)} a day more than it carries under your ceiling of "
            f"{ceiling}"
        )
    out = [first[0].upper() + first[1:] + ".", _peak_now(room)]
    if band.low < 0.0 < band.high:
        out.append(
            "The range reaches from too much food now to some room for more: this log "
            "cannot settle it. Treat the room as none until it can."
        )
    out += [_per_gram(room), grams_sentence(room.grams)]
    return tuple(out)


def _peak_now(room: FeedRoom) -> str:
    text = f"The usual peak now is {_level(room.peak_mg_l)}"
    if room.chance is not None:
        text += (
            "; the chance that it stays under the ceiling with today's food is "
            f"{_chance(room.chance)}, as far as this log can tell"
        )
    return text + "."


def _chance(chance: float) -> str:
    """Write a chance that claims no more than a thousand draws can tell."""
    if chance > 0.99:
        return "more than 99 in 100"
    return "less than 1 in 100" if chance < 0.01 else f"about {100 * chance:.0f} in 100"


def _per_gram(room: FeedRoom) -> str:
    """Say what a step of food costs, in a step that suits the tank."""
    step = 1.0 if (room.feed_g_day or 1.0) >= 1.0 else 0.1
    lift = plain(
        round_for_people(step * room.peak_a_gram, step * room.peak_a_gram / 10)
    )
    text = f"Each {step:g} g more a day lifts the usual peak by about {lift} mg/L"
    if room.percent_a_gram is not None:
        now = 100.0 * room.habit.fraction
        text += (
            f", or asks for {_percent(now + step * room.percent_a_gram)} at every "
            f"exchange in place of {_percent(now)}"
        )
    return text + "."


def trial_sentences(
    trial: FeedTrial, *, start: dt.date | None = None
) -> tuple[str, ...]:
    """Say what a change of food leads to, and when that shows.

    Parameters
    ----------
    trial : FeedTrial
        From `kit.headroom.try_feed`.
    start : datetime.date, optional
        Day zero.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    if trial.added_g_day == 0.0:
        return ("No change of food: the usual peak stays as it is.",)
    sign = "more" if trial.added_g_day > 0 else "less"
    if not math.isfinite(trial.now.peak_mg_l.estimate):
        return (
            "Without an exchange or a drip nothing holds the level: it climbs on with "
            f"or without {_gram(abs(trial.added_g_day))} {sign} food a day.",
            AMMONIA_WORDS,
        )
    then = trial.then.peak_mg_l
    first = (
        f"{_gram(abs(trial.added_g_day))} {sign} food a day: the usual peak goes from "
        f"{_level(trial.now.peak_mg_l)} to {_level(then)}"
    )
    ceiling = trial.then.ceiling_mg_l
    if ceiling is not None:
        side = "under" if then.estimate <= ceiling else "above"
        first += f", {side} your ceiling of {ceiling:g} mg/L"
    return (first + ".", _shows(trial, start), _tells(trial, start), AMMONIA_WORDS)


def _day(days: float, start: dt.date | None) -> str:
    if start is None:
        return f"day {days:.0f}"
    return (start + dt.timedelta(math.ceil(days - 1e-9))).isoformat()


def _shows(trial: FeedTrial, start: dt.date | None) -> str:
    by = f"by {_day(trial.days_to_95, start)}"
    begun = "" if start is None else f"Begun on {start.isoformat()}, "
    begun += "95 % of the change shows only " + by
    habit = trial.then.habit
    if habit.fraction > 0.0:
        count = max(round(trial.days_to_95 / habit.interval_days), 1)
        word = "exchange" if count == 1 else "exchanges"
        return f"{begun}, after {count} {word} or {trial.days_to_95:.0f} days."
    return f"{begun}, after {trial.days_to_95:.0f} days."


def _tells(trial: FeedTrial, start: dt.date | None) -> str:
    if trial.tells_on is None:
        return (
            "No single test in that time can tell it from before: one reading errs by "
            "more, or both levels show the same colour. A run of tests, before and "
            "after each exchange, can."
        )
    place = "just after" if trial.tells_after else "just before"
    where = f"{place} the exchange on" if trial.then.habit.fraction > 0.0 else "on"
    return (
        f"The first single test that could tell it is one {where} "
        f"{_day(trial.tells_on, start)}; one before that proves nothing."
    )


def source_sentences(
    habit: Habit, rate_mg_l_day: float, blends: Sequence[Blend]
) -> tuple[str, ...]:
    """Say what part of the peak is the new water's own.

    Parameters
    ----------
    habit : Habit
        The habit, with the new water as it is.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    blends : sequence of Blend
        From `kit.headroom.blend_table`, as it is first.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    source, peak = habit.source_mg_l, blends[0].peak_mg_l
    if source <= 0.0:
        return ("The new water holds no nitrate, so nothing is gained by blending.",)
    out = [
        f"The new water holds {source:.2g} mg/L, and no exchange brings the tank below "
        f"that. Of the usual peak of {_level(peak)} only what lies above it is the "
        "tank's own."
    ]
    if not worth_blending(blends):
        return (*out, "Purer water would change little here; food and percent do.")
    if 0.0 < habit.fraction <= 0.5:
        twice = replace(habit, fraction=2.0 * habit.fraction)
        goes = long_run(twice, rate_mg_l_day).peak_mg_l
        out.append(
            f"Twice the water, {200 * habit.fraction:.3g} % each time, would bring the "
            f"usual peak to {goes:.0f} mg/L."
        )
    best = min(blends, key=lambda b: abs(b.pure_share - 2.0 / 3.0))
    parts = "2 parts pure water to 1 part of it" if best.pure_share > 0.6 else "a blend"
    out.append(
        f"With {parts} the floor is {best.source_mg_l:.0f} mg/L and the usual peak "
        f"{_level(best.peak_mg_l)}. Plants that take up less at a lower level leave it "
        "a little higher."
    )
    return tuple(out)


def blend_rows(
    blends: Sequence[Blend], *, output: Output = "metric"
) -> tuple[tuple[str, ...], ...]:
    """Give blends as rows of text under `BLEND_HEADS`.

    Parameters
    ----------
    blends : sequence of Blend
        From `kit.headroom.blend_table`.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of tuple of str
        One row for each blend.
    """
    return tuple(
        (
            f"{100 * b.pure_share:.0f} % "
            f"({format_volume(round_for_people(b.pure_l), output)} each time)",
            plain(round(b.source_mg_l, 1)),
            say_band(b.peak_mg_l.estimate, b.peak_mg_l.low, b.peak_mg_l.high, "")
            .replace("  ", " ")
            .strip(),
        )
        for b in blends
    )
