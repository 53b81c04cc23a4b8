"""Everyday plans in the cells of a table, and the words that name a plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from kit import escape
from kit.plan import Band
from kit.rounding import (
    Output,
    format_temperature_difference,
    format_volume,
    plain,
    round_for_people,
    say_band,
)
from kit.sawtooth import Habit
from kit.schedule.line import Line, Terms
from kit.schedule.shortlist import Offer

__all__ = [
    "HEADS",
    "UNIT",
    "band_words",
    "chance_words",
    "days_words",
    "offer_cells",
    "offer_text",
    "plan_words",
]

HEADS: Final = (
    "Plan",
    "Usual peak",
    "Just after",
    "Swing",
    "Chance a peak stays under",
    "New water a month",
    "Money a month",
    "Time a month",
    "Colder by",
)
"""Heads of the columns that `offer_cells` fills."""
UNIT: Final = "mg/L"
_FEW_MINUTES: Final = 5.0


def _percent(fraction: float) -> str:
    return plain(round(100.0 * fraction, 1))


def days_words(days: float) -> str:
    written = plain(round(days, 1))
    return "every day" if written == "1" else f"every {written} days"


def band_words(b: Band) -> str:
    """Write a level with its band."""
    if math.isnan(b.estimate):
        return "stays as it is"
    if math.isinf(b.estimate):
        return "no limit"
    return say_band(b.estimate, b.low, b.high, UNIT)


def chance_words(chance: float) -> str:
    """Write a chance that claims no more than a thousand draws can tell."""
    if chance > 0.99:
        return "more than 99 in 100"
    if chance < 0.01:
        return "less than 1 in 100"
    return f"{100.0 * chance:.0f} in 100"


def plan_words(habit: Habit, output: Output) -> str:
    """Name a plan."""
    parts = []
    if habit.fraction > 0.0:
        litres = habit.fraction * habit.volume_l
        water = format_volume(litres, output, band_l=0.02 * litres)
        parts.append(
            f"{_percent(habit.fraction)} % ({water}) {days_words(habit.interval_days)}"
        )
    if habit.drip_l_day > 0.0:
        flow = format_volume(round_for_people(habit.drip_l_day), output)
        parts.append(f"a drip of {flow} a day")
    words = " and ".join(parts) if parts else "no exchange"
    return words[0].upper() + words[1:]


def _colder(drop_c: float | None, output: Output) -> str:
    if drop_c is None:
        return "not stated"
    if drop_c < -0.05:
        return f"{format_temperature_difference(-drop_c, output)} warmer"
    return format_temperature_difference(drop_c + 0.0, output)


def _money(line: Line, terms: Terms) -> str:
    spent = line.month.money
    if spent is None:
        return "not stated"
    return f"{spent:.2f} {escape.plain(terms.tariff.currency, 20)}".strip()


def _time(line: Line) -> str:
    if line.minutes_month is None:
        return "not stated"
    return f"{plain(_FEW_MINUTES * round(line.minutes_month / _FEW_MINUTES))} min"


def _cells(line: Line, terms: Terms, output: Output) -> tuple[str, ...]:
    """One plan, cell by cell."""
    swing = round(line.swing_mg_l, 0 if line.swing_mg_l >= 10.0 else 1)
    return (
        plan_words(line.habit, output),
        band_words(line.peak_mg_l),
        band_words(line.trough_mg_l),
        f"{plain(swing)} {UNIT}",
        chance_words(line.chance),
        format_volume(round_for_people(line.month.litres), output),
        _money(line, terms),
        _time(line),
        _colder(line.drop_c, output),
    )


def offer_cells(
    offers: Sequence[Offer], terms: Terms, output: Output = "metric"
) -> tuple[tuple[str, ...], ...]:
    """Give the plans that hold as rows of a table.

    Parameters
    ----------
    offers : sequence of Offer
        From `shortlist` or `equal_water`.
    terms : Terms
        As they were worked out with.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes and warmth.

    Returns
    -------
    tuple of tuple of str
        A cell for each of `HEADS`; offers without a plan have no row.
    """
    return tuple(_cells(o.line, terms, output) for o in offers if o.line is not None)


def offer_text(
    offers: Sequence[Offer], terms: Terms, output: Output = "metric"
) -> tuple[str, ...]:
    """Give the plans that hold as lines of plain text, short enough for a terminal.

    Parameters
    ----------
    offers : sequence of Offer
        From `shortlist` or `equal_water`.
    terms : Terms
        As they were worked out with.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes and warmth.

    Returns
    -------
    tuple of str
        Three lines a plan, the second and third indented.
    """
    said = []
    for plan, peak, after, swing, chance, water, money, time, colder in offer_cells(
        offers, terms, output
    ):
        said.append(plan)
        said.append(f"  usual peak {peak}, just after {after}, swing {swing}")
        month = [w for w in (water, money, time) if w != "not stated"]
        cold = "" if colder == "not stated" else f"; colder by {colder}"
        said.append(f"  chance {chance}; a month: {', '.join(month)}{cold}")
    return tuple(said)
