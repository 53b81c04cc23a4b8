"""The way down in sentences, and as rows to print."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Final

from kit.catchup._card import card_shows
from kit.catchup._schedule import CatchUp, Turn
from kit.catchup._water import WaterCheck
from kit.logbook import Tank
from kit.makeup.alkalinity import KhReserve
from kit.makeup.ammonia import NH3_HARM_MG_L, RescueStep
from kit.plan import Band
from kit.rounding import Output, format_volume, plain, round_for_people, say_band

__all__ = [
    "HEADS",
    "STOP_SIGNS",
    "catch_up_rows",
    "catch_up_sentences",
    "water_sentences",
]

HEADS: Final = (
    "Exchange",
    "Nitrate before, mg/L",
    "Nitrate after, mg/L",
    "Your kit shows after",
    "Stop if",
)
"""Heads of `catch_up_rows`."""

_WIDE: Final = 1.5
"""A start whose ends lie further apart than this factor is called poorly known."""

STOP_SIGNS: Final = (
    "Stop at once, whatever the table says, if fish gasp at the surface, lean over, "
    "clamp their fins or dart about. Add air, test ammonia, nitrite, pH and warmth, "
    "and ask a vet or an experienced keeper before you go on."
)


def catch_up_sentences(
    found: CatchUp,
    check: WaterCheck | None = None,
    *,
    source_known: bool = True,
    output: Output = "metric",
) -> tuple[str, ...]:
    """Say what the way down is, the verdict first.

    Parameters
    ----------
    found : CatchUp
        From `kit.catchup.catch_up`.
    check : WaterCheck, optional
        From `kit.catchup.check_water`; said first where it forbids to begin.
    source_known : bool, optional
        Whether the new water's nitrate was tested or stated.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    target = f"{found.target_mg_l:g} mg/L"
    if not found.turns:
        return (
            f"At {_level(found.start_mg_l)} the tank is at or under {target} already: "
            "no catch-up is needed.",
        )
    out = [_verdict(found, target), _unsure(found), _one_go(found)]
    out.append(_doubt(found, target))
    litres = format_volume(round_for_people(found.litres), output)
    out.append(f"It uses {litres} of new water in all.")
    if found.hold_fraction is not None and found.hold_fraction > 0:
        percent = math.ceil(100 * found.hold_fraction - 1e-9)
        out.append(
            f"Afterwards {percent} % once a week keeps the usual peak at {target}, if "
            "food and fish stay as they are."
        )
    if not source_known:
        out.append(
            "The new water was never tested and is taken as 0. Test it first: with "
            "nitrate in it the way is longer."
        )
    if check is not None:
        water = water_sentences(check)
        forbids = check.ammonia is not None and check.ammonia.harms
        out = [*water, *out] if forbids else [*out, *water]
    return tuple(s for s in out if s)


def _level(b: Band) -> str:
    return say_band(b.estimate, b.low, b.high, "mg/L")


def _percent(fraction: float) -> str:
    """Write a percent rounded down, so that the limit behind it still holds."""
    return plain(math.floor(1000.0 * fraction + 1e-6) / 10.0)


def _percents(turns: Sequence[Turn]) -> str:
    """Write the range of percents of a plan."""
    low = _percent(min(t.fraction for t in turns))
    high = _percent(max(t.fraction for t in turns))
    return f"{low} %" if low == high else f"{low} to {high} %"


def _verdict(found: CatchUp, target: str) -> str:
    turns = found.turns
    start = _level(found.start_mg_l)
    if len(turns) == 1:
        return f"One exchange of {_percents(turns)} brings {start} to {target} or less."
    every = plain(round(found.caps.interval_days, 1))
    word = "day" if every == "1" else "days"
    text = (
        f"Coming down from {start} to {target} takes {len(turns)} exchanges of "
        f"{_percents(turns)}, one every {every} {word}: {found.days:.0f} days from the "
        "first to the last"
    )
    first, last = turns[0].date, turns[-1].date
    if first is not None and last is not None:
        text += f", {first.isoformat()} to {last.isoformat()}"
    return text + "."


def _unsure(found: CatchUp) -> str:
    """Ask for a better start where the log hardly knows the level."""
    start = found.start_mg_l
    if start.high <= _WIDE * max(start.low, 1.0):
        return ""
    return (
        "The level to start from is poorly known. Test it again before you begin, and "
        "plan again from there; off the card, mix 1 part tank water with 3 parts pure "
        "water, read that, and multiply by 4."
    )


def _one_go(found: CatchUp) -> str:
    """Say why the kit does not plan it in one exchange."""
    if len(found.turns) == 1:
        return ""
    percent = f"{100 * found.one_go:.0f} %"
    if 100.0 * found.one_go <= found.caps.max_percent:
        return (
            f"One exchange of {percent} would do it, but {found.turns[0].why} asks for "
            "smaller ones."
        )
    if 100.0 * found.one_go <= 1.5 * found.caps.max_percent:
        return (
            f"In one go it would take {percent} of the water, more than your limit of "
            f"{found.caps.max_percent:g} % at once."
        )
    return (
        f"In one go it would take {percent} of the water, which this kit does not "
        "plan: acidity, hardness, dissolved solids and warmth would all jump by "
        f"{percent} of what lies between the two waters within the hour, and fish that "
        f"got used to the old water may not bear that. The first exchange here is "
        f"{_percent(found.turns[0].fraction)} %, set by {found.turns[0].why}."
    )


def _doubt(found: CatchUp, target: str) -> str:
    """Say how many exchanges it may really take."""
    if found.chance is None:
        return ""
    few, many = found.needed.low, found.needed.high
    if few == many:
        return ""
    most = f"{many:.0f}" if math.isfinite(many) else "many more"
    return (
        f"The level and the rise are not known exactly, so it may take {few:.0f} to "
        f"{most} exchanges. Test before each one, go by the reading, and stop when it "
        f"is at {target}."
    )


def water_sentences(check: WaterCheck) -> tuple[str, ...]:
    """Say what the other tests mean for the way down.

    Parameters
    ----------
    check : WaterCheck
        From `kit.catchup.check_water`.

    Returns
    -------
    tuple of str
        Whole sentences; what to test first where a test is missing.
    """
    out = []
    if check.ammonia is None:
        out.append(
            "Test total ammonia and the pH of both waters before the first exchange: "
            "new water that lifts the pH turns ammonia into its harmful form within "
            "the hour. Without those tests this cannot be judged."
        )
    else:
        out.append(_ammonia(check.ammonia))
    if check.reserve is not None:
        out.append(_reserve(check.reserve, check.tested.new_dkh or 0.0))
    return tuple(out)


def _mg(value: float) -> str:
    """Write ammonia to three decimals, as its limits are written."""
    return f"{value:.3f} mg/L"


def _ammonia(step: RescueStep) -> str:
    ends = f"{_mg(step.nh3_before_mg_l)} now"
    text = (
        f"Harmful ammonia, as nitrogen: {ends}, as much as "
        f"{_mg(step.nh3_most_mg_l)} after the first exchange at pH "
        f"{step.ph.high:.1f}"
    )
    if step.nh3_after_mg_l is not None and step.ph.estimate is not None:
        text += (
            f" ({_mg(step.nh3_after_mg_l)} at pH {step.ph.estimate:.1f}, the mix of "
            "both hardnesses, before the air has its say)"
        )
    harm = f"{NH3_HARM_MG_L:g} mg/L"
    if step.harms:
        return (
            text + f". That can pass {harm}, above which fish take harm (University of "
            "Florida IFAS, FA-16), or the criterion of the US EPA (2013). Do not "
            "begin: bring the ammonia down first, with a vet or an experienced keeper."
        )
    if step.rises:
        return (
            text
            + f". It stays under {harm} (University of Florida IFAS, FA-16), but it "
            "rises: test again an hour after the exchange."
        )
    return text + ". It does not rise with the pH here."


def _reserve(reserve: KhReserve, new_dkh: float) -> str:
    used = f"{reserve.used_dkh:.1f} dKH"
    text = (
        f"Making this much nitrate from food used up about {used} of carbonate "
        f"hardness, and the new water brings {new_dkh:g}"
    )
    if reserve.spent:
        return (
            text
            + ": nothing is left to hold the pH, which may have sunk far. Test the "
            "tank's own hardness and pH first; the sum leaves out rock, sand and "
            "plants."
        )
    return (
        text + f", so about {reserve.left_dkh:.1f} may be left. A test of the tank's "
        "own hardness counts for more."
    )


def catch_up_rows(
    found: CatchUp, tank: Tank, *, output: Output = "metric"
) -> tuple[tuple[str, ...], ...]:
    """Give the exchanges as rows of text under `HEADS`.

    Parameters
    ----------
    found : CatchUp
        The plan.
    tank : Tank
        For the kit its keeper reads.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of tuple of str
        One row for each exchange.
    """
    return tuple(_row(turn, found, tank, output) for turn in found.turns)


def _row(turn: Turn, found: CatchUp, tank: Tank, output: Output) -> tuple[str, ...]:
    when = _when(turn.date, turn.day)
    litres = format_volume(
        round_for_people(turn.fraction * found.habit.volume_l), output
    )
    exchange = f"{turn.number}. {when}: {_percent(turn.fraction)} % ({litres})"
    return (
        exchange,
        _bare(turn.before),
        _bare(turn.after) + _pulled(turn, found),
        card_shows(turn.after.low, turn.after.high, tank) or "no kit stated",
        _stop_if(turn, found, tank),
    )


def _when(date: dt.date | None, day: float) -> str:
    return f"day {day:g}" if date is None else date.isoformat()


def _bare(b: Band) -> str:
    """Write a level with its band and no unit."""
    return say_band(b.estimate, b.low, b.high, "").replace("  ", " ").strip()


def _pulled(turn: Turn, found: CatchUp) -> str:
    """Say where the other values end, after the level."""
    said = [
        f"{p.name} {plain(round_for_people(after))} {p.unit}"
        for p, (_, after) in zip(found.caps.pulled, turn.pulled, strict=True)
    ]
    return "; " + ", ".join(said) if said else ""


def _stop_if(turn: Turn, found: CatchUp, tank: Tank) -> str:
    """Name what must not happen at this exchange."""
    signs = ["fish gasp, lean or clamp"]
    high = turn.after.high
    if high > turn.after.estimate:
        # A card shows steps: one that is expected may stand for more than the band.
        signs.append(
            f"the reading means more than {plain(round(high))} mg/L"
            if tank.kit_steps_mg_l is None
            else "the card shows a higher step than expected"
        )
    for p in found.caps.pulled:
        if p.most is not None:
            signs.append(f"{p.name} moves more than {p.most:g} {p.unit}")
    return "; ".join(signs)
