"""Sentences of the weeks ahead and of the backtest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from kit.ahead._backtest import Backtest, Horizon
from kit.ahead._kit import Chances, Kit
from kit.ahead._outlook import Coming, Outlook
from kit.ahead._verdict import FEWEST, Compared, Tally, tally
from kit.rounding import plain, round_for_people, say_band

__all__ = [
    "backtest_rows",
    "backtest_sentences",
    "backtest_verdict",
    "in_100",
    "outlook_sentences",
    "reading_words",
]

_SHORT: Final = (
    "The log is too short to look back: it takes at least six tests, one more after "
    "them, and a rise."
)
_UNTOLD: Final = (
    "Something in the tank is not in the log, such as a drip that runs less than "
    "stated, so do not trust these bands."
)
_ROWS: Final[dict[Horizon, str]] = {
    "next": "Next test day",
    "2 weeks": "Two weeks ahead",
    "4 weeks": "Four weeks ahead",
}
_LAST: Final = "repeating the last reading"
_PLACE: Final = "repeating the last reading at the same place of the cycle"
_AHEAD: Final[dict[Horizon, str]] = {
    "next": "On the next test day",
    "2 weeks": "About two weeks ahead",
    "4 weeks": "About four weeks ahead",
}


def in_100(chance: float) -> str:
    """Write a chance without claiming more than the draws can tell.

    Parameters
    ----------
    chance : float
        0 to 1. [-]

    Returns
    -------
    str
        Such as ``"about 70 in 100"``.
    """
    if chance > 0.99:
        return "more than 99 in 100"
    if chance < 0.01:
        return "less than 1 in 100"
    return f"about {100 * chance:.0f} in 100"


def reading_words(chances: Chances, kit: Kit) -> str:
    """Say what a coming reading will most likely show.

    Parameters
    ----------
    chances : Chances
        From `Kit.chances`.
    kit : Kit
        The kit in hand.

    Returns
    -------
    str
        Such as ``"20 or 40"`` or ``"31 to 38"``.
    """
    likely = [plain(round_for_people(s)) for s in chances.likely]
    if not kit.chart:
        step = kit.resolution_mg_l / kit.basis_factor
        ends = [plain(round(round(s / step) * step, 6)) for s in chances.likely]
        return ends[0] if ends[0] == ends[-1] else f"{ends[0]} to {ends[-1]}"
    if len(likely) == 1:
        return likely[0]
    return ", ".join(likely[:-1]) + " or " + likely[-1]


def outlook_sentences(seen: Outlook, kit: Kit) -> tuple[str, ...]:
    """Say what the weeks ahead will bring, the verdict first.

    Parameters
    ----------
    seen : Outlook
        From `kit.ahead.outlook`.
    kit : Kit
        The kit in hand.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    trace = seen.trace
    days = float(trace.days[-1])
    if not seen.coming:
        level = say_band(trace.level[-1], trace.low[-1], trace.high[-1], "mg/L")
        return (f"In {days:.0f} days the level will be {level}.",)
    first = seen.coming[0]
    out = [
        f"Before the exchange of {first.day.isoformat()} you will most likely read "
        f"{reading_words(first.reading, kit)} ({in_100(first.reading.held)}).",
        _levels(first),
    ]
    last = [c for c in seen.coming if c.place == "before"][-1]
    if last is not first:
        out.append(
            f"On {last.day.isoformat()} the level before the exchange will be "
            f"{say_band(last.level, last.low, last.high, 'mg/L')} with 95 in 100 "
            "certainty."
        )
    return (*out, *_peak_sentences(seen))


def _levels(coming: Coming) -> str:
    """Say the true level with both bands."""
    wide = say_band(coming.level, coming.low, coming.high, "mg/L")
    low, high = (
        plain(round_for_people(x, (coming.high - coming.low) / 2.0))
        for x in (coming.low_80, coming.high_80)
    )
    return (
        f"The true level then: {wide} with 95 in 100 certainty, {low} to {high} with "
        "80 in 100. Both take in what the log leaves open and the tank's own good and "
        "bad days."
    )


def _peak_sentences(seen: Outlook) -> list[str]:
    """Tell the usual peak from a single one."""
    if seen.peaks is None or seen.ceiling_mg_l is None:
        return []
    p, ceiling = seen.peaks, f"{seen.ceiling_mg_l:g} mg/L"
    out = [
        f"In the long run the usual peak, the middle of many, stays under your ceiling "
        f"of {ceiling} with a chance of {in_100(p.usual)}; any one peak with "
        f"{in_100(p.single)}, because no two weeks are alike."
    ]
    if p.all_ahead is not None:
        out.append(
            f"That every peak of the days shown stays under it: {in_100(p.all_ahead)}."
        )
    return out


def backtest_verdict(found: Backtest) -> tuple[str, ...]:
    """Say in short who foretold better, and where the bands cannot be trusted.

    Parameters
    ----------
    found : Backtest
        From `kit.ahead.backtest`.

    Returns
    -------
    tuple of str
        Whole sentences, the verdict first.
    """
    tallies = tally(found)
    if not tallies:
        return (_nothing(found),)
    out = [_lead(tallies[0], found)]
    for t in tallies:
        if _honest(t):
            out.append(f"{_AHEAD[t.horizon]} too few readings lay in the bands.")
    if any(_honest(t) for t in tallies):
        out.append(_UNTOLD)
    return tuple(out + _thin(found))


def backtest_rows(
    found: Backtest,
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Give the sums of a backtest as a table of words.

    Parameters
    ----------
    found : Backtest
        From `kit.ahead.backtest`.

    Returns
    -------
    tuple of str
        Heads of the columns.
    tuple of tuple of str
        One line for each horizon.
    """
    heads = (
        "Foretold",
        "In the 80 and 95 % bands",
        "Off by, mg/L: kit, last reading, same place",
        "Width of the bands with misses charged, smaller is better",
        "Who is better",
    )
    lines = []
    for t in tally(found):
        off = (t.miss_last.ours, t.miss_last.theirs, t.miss_place.theirs)
        score = (t.score_last.ours, t.score_last.theirs, t.score_place.theirs)
        lines.append(
            (
                f"{_ROWS[t.horizon]}, {t.readings} readings",
                f"{100 * t.held_80:.0f} and {100 * t.held_95:.0f} %",
                ", ".join(plain(round(x, 1)) for x in off),
                ", ".join("none" if math.isnan(x) else f"{x:.0f}" for x in score),
                f"Number: {_winner(t.miss_last, t.miss_place)} "
                f"Band: {_winner(t.score_last, t.score_place)}",
            )
        )
    return heads, tuple(lines)


def backtest_sentences(found: Backtest) -> tuple[str, ...]:
    """Say how the kit's forecasts did on this log, the verdict first.

    Parameters
    ----------
    found : Backtest
        From `kit.ahead.backtest`.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    tallies = tally(found)
    if not tallies:
        return (_nothing(found),)
    out = [_lead(tallies[0], found)]
    for t in tallies:
        out += _horizon(t)
    return tuple(out + _thin(found))


def _nothing(found: Backtest) -> str:
    """Say why nothing was foretold."""
    if found.why:
        return f"There is nothing to look back on. {found.why}"
    return _SHORT


def _thin(found: Backtest) -> list[str]:
    """Say on how many days there was no rate yet."""
    if not found.refused:
        return []
    days = "day" if found.refused == 1 else "days"
    return [f"On {found.refused} {days} the log gave no rate."]


def _lead(t: Tally, found: Backtest) -> str:
    """Say who foretold better, in one sentence."""
    looked = f"Looking back to {found.origins} days of this log"
    if t.days < FEWEST:
        return (
            f"{looked}: too few to say whether the kit foretells this tank better than "
            f"the last reading does; it takes {FEWEST}."
        )
    wins = [c.winner for c in (t.miss_last, t.miss_place, t.score_last, t.score_place)]
    if "kit" in wins and "plain" not in wins:
        return f"{looked}, the kit foretold the next test better than {_beaten(wins)}."
    if "plain" in wins and "kit" not in wins:
        return (
            f"{looked}, a plain guess from the last readings did better than the kit "
            "at foretelling the next test."
        )
    if "plain" in wins:
        return f"{looked}, the kit won on some counts and a plain guess on others."
    return (
        f"{looked}, no difference between the kit and the plain guesses can be told on "
        "the next test day."
    )


def _beaten(wins: Sequence[str]) -> str:
    """Name the plain guesses that the kit is better than."""
    last, place = "kit" in wins[0::2], "kit" in wins[1::2]
    if last and place:
        return (
            "repeating the last reading, and better than the last one at the same "
            "place of the cycle"
        )
    one, two = _LAST, _PLACE
    if place:
        one, two = two, one
    return f"{one}; against {two} no difference can be told"


def _horizon(t: Tally) -> list[str]:
    """Say how one horizon went."""
    held = [f"{100 * share:.0f}" for share in (t.held_80, t.held_95)]
    out = [
        f"{_AHEAD[t.horizon]}, {t.readings} readings foretold: of 100 readings "
        f"{held[0]} lay in the kit's 80 % band and {held[1]} in its 95 % band."
        + _honest(t),
        "Beyond what each reading allows, the kit's number was off by "
        f"{_off(t.miss_last.ours)} on average, the last "
        f"reading by {_off(t.miss_last.theirs)}, the last at the same place of the "
        f"cycle by {_off(t.miss_place.theirs)}. {_winner(t.miss_last, t.miss_place)}",
    ]
    if not math.isnan(t.score_place.ours):
        out.append(
            "Width of the bands with misses charged, smaller is better: "
            f"{t.score_last.ours:.0f} for the kit, {t.score_last.theirs:.0f} for the "
            f"last reading, {t.score_place.theirs:.0f} for the same place. "
            f"{_winner(t.score_last, t.score_place)}"
        )
    return out


def _honest(t: Tally) -> str:
    """Warn where the bands held far too little."""
    error = math.sqrt(0.8 * 0.2 / max(t.days, 1))
    if t.days >= FEWEST and t.held_80 < 0.8 - 2.0 * error:
        return f" That is too few: {_UNTOLD[0].lower()}{_UNTOLD[1:]}"
    return ""


def _off(value: float) -> str:
    return f"{plain(round(value, 1))} mg/L"


def _winner(last: Compared, place: Compared) -> str:
    """Say who is better against both plain guesses."""
    words: Sequence[str] = {
        ("kit", "kit"): ("The kit is better than both.",),
        ("plain", "plain"): ("Both plain guesses are better.",),
        ("open", "open"): ("No difference can be told.",),
        ("short", "short"): ("Too short a log to say who is better.",),
    }.get((last.winner, place.winner), ())
    if words:
        return words[0]
    said = {
        "kit": "the kit is better than {}",
        "plain": "{} is better than the kit",
        "open": "no difference from {} can be told",
        "short": "the log is too short to judge {}",
    }
    one = said[last.winner].format("the last reading")
    two = said[place.winner].format("the same place")
    text = f"{one}; {two}."
    return text[0].upper() + text[1:]
