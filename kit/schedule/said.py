"""Sentences about orders, equivalents, top-up and all ways of exchange together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from kit.errors import PlanError
from kit.rounding import (
    Output,
    format_flow,
    format_nitrate,
    format_volume,
    plain,
    round_for_people,
)
from kit.sawtooth import Habit, Sawtooth, long_run
from kit.schedule.equivalent import batch_for_drip, drip_for_batch, drip_to_replace
from kit.schedule.mixing import mixed_habit
from kit.schedule.order import Outcome
from kit.schedule.topup import compare_topups, floor_mg_l, salts_factor
from kit.schedule.ways import Cycle, Ways, part_per_interval, ways_water_l_day

__all__ = [
    "drip_sentences",
    "order_sentences",
    "say_habit",
    "ways_sentences",
]

_MONTH_DAYS = 365.25 / 12.0


def _percent(part: float) -> str:
    return f"{plain(round(100.0 * part, 1))} %"


def _level(level_mg_l: float) -> str:
    band = 0.5 if level_mg_l >= 10 else 0.05
    return format_nitrate(level_mg_l, band_mg_l=band, basis=False)


def _every(days: float) -> str:
    return "every day" if days == 1.0 else f"every {plain(round(days, 1))} days"


def _range(low: float, high: float) -> str:
    """Write the run from trough to peak, or one level where they read the same."""
    bottom, top = _level(low), _level(high)
    if bottom == top:
        return top
    return f"{bottom.rpartition(' ')[0]} to {top}"


def say_habit(habit: Habit, output: Output = "metric") -> str:
    """Name a habit in a few words.

    Parameters
    ----------
    habit : Habit
        Exchanges and drip.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        Such as ``"20 % every 7 days"`` or ``"a drip of 22 L a day"``.

    Examples
    --------
    >>> say_habit(Habit(100.0, 0.2, 7.0)), say_habit(Habit(100.0, 0.0, 7.0))
    ('20 % every 7 days', 'nothing')
    """
    parts = []
    if habit.fraction > 0.0:
        parts.append(f"{_percent(habit.fraction)} {_every(habit.interval_days)}")
    if habit.drip_l_day > 0.0:
        flow = format_flow(round_for_people(habit.drip_l_day), output)
        parts.append(f"a drip of {flow}")
    return " and ".join(parts) or "nothing"


# Buckets and drip ---------------------------------------------------------------------


def drip_sentences(
    buckets: Habit,
    other: Habit,
    rate_mg_l_day: float,
    output: Output = "metric",
    *,
    mixed: float = 1.0,
) -> list[str]:
    """Set a habit of buckets beside one with a drip.

    Parameters
    ----------
    buckets : Habit
        Batch exchanges alone.
    other : Habit
        Fewer batches, or none, with a drip, as the keeper sets it.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    output : {"metric", "us", "imperial"}, optional
        Whose units.
    mixed : float, optional
        Part of the overflow that is tank water; the rest is drip that ran straight
        out. [-]

    Returns
    -------
    list of str
        Where both lead, the drip that would do as well, litres, evaporation.

    Examples
    --------
    >>> weekly, monthly = Habit(100.0, 0.2, 7.0), Habit(100.0, 0.2, 30.0)
    >>> print(drip_sentences(weekly, monthly, 1.0)[2])
    For the same peak as the buckets, a drip of 2.39 L a day would have to join 20 %
    every 30 days, and 2.43 L a day for the same average.
    """
    felt = mixed_habit(other, mixed=mixed)
    said = [
        f"Buckets, {say_habit(buckets, output)}: "
        f"{_ends(long_run(buckets, rate_mg_l_day))}.",
        f"Drip side, {say_habit(other, output)}: "
        f"{_ends(long_run(felt, rate_mg_l_day))}.",
        _short_said(other, felt, output),
        _replacing_said(buckets, other, rate_mg_l_day, output),
        _meanings_said(buckets, output),
        _as_batch_said(buckets, felt),
        f"New water in a month: {_monthly(buckets, output)} by buckets, "
        f"{_monthly(other, output)} on the drip side.",
    ]
    said += _evaporation_said(felt, rate_mg_l_day, output)
    return [sentence for sentence in said if sentence]


def _short_said(other: Habit, felt: Habit, output: Output) -> str:
    """Say how much of the drip counts where some runs straight out."""
    if other.drip_l_day - felt.drip_l_day < 1e-9:
        return ""
    counted = format_flow(round_for_people(felt.drip_l_day), output)
    return (
        f"Of the drip {counted} counts, as the rest runs straight to the overflow. The "
        "drips below are for water that mixes."
    )


def _as_batch_said(buckets: Habit, felt: Habit) -> str:
    """Put the drip as the bucket it stands for, at the buckets' interval."""
    if felt.overflow_l_day <= 0.0:
        return ""
    try:
        twice = batch_for_drip(replace(felt, interval_days=buckets.interval_days))
    except PlanError:
        return ""
    return (
        f"The drip carries as much water out as {_percent(twice.litres)} "
        f"{_every(buckets.interval_days)}, and brings a high tank down like "
        f"{_percent(twice.decay)}."
    )


def _monthly(habit: Habit, output: Output) -> str:
    return format_volume(habit.water_l_day * _MONTH_DAYS, output)


def _ends(run: Sawtooth) -> str:
    """Say where a habit leads."""
    if math.isnan(run.peak_mg_l):
        return "the level stays as it is"
    if math.isinf(run.peak_mg_l):
        return "nothing holds the level, it climbs on"
    flat = run.peak_mg_l - run.trough_mg_l < 0.05
    if flat:
        return f"in the long run {_level(run.peak_mg_l)} all the time"
    mean = _level(run.mean_mg_l)
    span = _range(run.trough_mg_l, run.peak_mg_l)
    return f"in the long run {span}, {mean} on average"


def _replacing_said(
    buckets: Habit, other: Habit, rate_mg_l_day: float, output: Output
) -> str:
    """Give the drip that ends where the buckets end."""
    try:
        peak = drip_to_replace(buckets, other, rate_mg_l_day)
        mean = drip_to_replace(buckets, other, rate_mg_l_day, by="mean")
    except PlanError:
        return ""
    joined = _joined(other)
    if peak == 0.0:
        return f"The same peak as the buckets is held without any drip{joined}."
    by_mean = "none" if mean == 0.0 else format_flow(round_for_people(mean), output)
    return (
        "For the same peak as the buckets, a drip of "
        f"{format_flow(round_for_people(peak), output)} would "
        f"{'have to join ' + joined if joined else 'do'}, and {by_mean} for the same "
        "average."
    )


def _joined(other: Habit) -> str:
    """Name the batches that a drip would join; nothing without any."""
    if other.fraction == 0.0:
        return ""
    return f"{_percent(other.fraction)} {_every(other.interval_days)}"


def _meanings_said(buckets: Habit, output: Output) -> str:
    """Say both meanings of the same."""
    if buckets.fraction == 0.0:
        return ""
    twice = drip_for_batch(buckets)
    litres = format_flow(round_for_people(twice.litres), output)
    if not math.isfinite(twice.decay):
        return f"The buckets carry as much water as a drip of {litres}."
    decay = format_flow(round_for_people(twice.decay), output)
    return (
        f"The buckets carry as much water as a drip of {litres}, which would hold the "
        "same peak where nothing evaporates; to bring a high tank down as fast, a drip "
        f"would need {decay}, as some of what it brings leaves again."
    )


def _evaporation_said(other: Habit, rate_mg_l_day: float, output: Output) -> list[str]:
    """What evaporation takes off the drip, and what it piles up."""
    drip, lost = other.drip_l_day, other.evaporation_l_day
    if lost == 0.0:
        return []
    said = []
    if drip > lost:
        times = plain(round(salts_factor(drip, lost), 2))
        out = format_flow(round_for_people(drip - lost), output)
        said.append(
            f"Of the drip {out} carries something out, the rest replaces what "
            f"evaporates. By the drip alone, salts would build up to {times} times "
            "those of the new water."
        )
    elif drip > 0.0:
        said.append(
            "All of the drip replaces what evaporates: it carries nothing out, and "
            "salts build up until something else exchanges water."
        )
    seen = compare_topups(other, rate_mg_l_day)
    if seen.rise_mg_l_day > 0.0 and math.isfinite(seen.source.peak_mg_l):
        rise = plain(round_for_people(seen.rise_mg_l_day))
        said.append(
            f"Topping up with the new water adds {rise} mg/L a day: a peak of "
            f"{_level(seen.source.peak_mg_l)}, and with pure water "
            f"{_level(seen.pure.peak_mg_l)}."
        )
    floor = floor_mg_l(other)
    if math.isfinite(floor) and floor > 0.0:
        said.append(
            f"Without any food the drip side would still settle at "
            f"{_level(floor)}: that is the floor this water gives."
        )
    return said


# All ways together --------------------------------------------------------------------


def ways_sentences(
    ways: Ways, with_them: Cycle, without: Cycle | None, output: Output = "metric"
) -> list[str]:
    """Say what backwashes do beside batch exchanges.

    Parameters
    ----------
    ways : Ways
        Every way.
    with_them : Cycle
        Where they lead.
    without : Cycle or None
        Where the same leads without backwashes; None where nothing holds the level.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The backwash first.

    Examples
    --------
    >>> from kit.schedule.ways import steady_cycle
    >>> vat = Ways(Habit(1020.0, 0.25, 10.0, source_mg_l=8.0), 60.0, 3.0)
    >>> print(ways_sentences(vat, steady_cycle(vat, 2.57), None)[0])
    Your backwashes are another 5.9 % every 3 days: 20 L a day on top of the 25.5 L a
    day of the exchanges.
    """
    habit = ways.habit
    washed = format_flow(round_for_people(ways.backwash_l / ways.backwash_days), output)
    rest = format_flow(round_for_people(habit.water_l_day), output)
    total = format_volume(ways_water_l_day(ways) * _MONTH_DAYS, output)
    span = _range(with_them.trough_mg_l, with_them.peak_mg_l)
    together = _percent(part_per_interval(ways))
    said = [
        f"Your backwashes are another {_percent(ways.backwash_fraction)} "
        f"{_every(ways.backwash_days)}: {washed} on top of the {rest} of the "
        "exchanges.",
        f"Counted, the tank settles at {span}, {_level(with_them.mean_mg_l)} "
        "on average.",
    ]
    if without is None:
        said.append("Without them nothing would hold the level: it would climb on.")
    else:
        apart = _range(without.trough_mg_l, without.peak_mg_l)
        said.append(
            f"Without them the same exchanges would let it settle at {apart}. A log "
            "that leaves them out makes a fit put the rise too low, by what they carry "
            "off."
        )
    if habit.fraction > 0.0:
        said.append(
            f"Over {plain(round(habit.interval_days, 1))} days all ways together take "
            f"out {together} of a high level."
        )
    said.append(f"Together they use {total} of new water a month.")
    return said


# Orders -----------------------------------------------------------------------------


def order_sentences(
    seen: Sequence[Outcome],
    level_mg_l: float,
    at_once_mg_l: float,
    output: Output = "metric",
) -> list[str]:
    """Set the orders side by side in words.

    Parameters
    ----------
    seen : sequence of Outcome
        From `kit.schedule.order.compare_orders`.
    level_mg_l : float
        Level before, as NO3. [mg/L]
    at_once_mg_l : float
        What a test shows right after draining first, from
        `kit.schedule.order.level_at_once`. [mg/L]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The largest and the smallest first.

    Examples
    --------
    >>> from kit.schedule.order import compare_orders
    >>> seen = compare_orders(40.0, 0.0, drained_l=75.0, volume_l=300.0)
    >>> print(order_sentences(seen, 40.0, 30.0)[0])
    The same 75 L of new water exchange 25 % if you drain first, 22.1 % if you fill
    while draining and 20 % if you fill first.
    """
    by = {way.order: way for way in seen}
    drain, mixed, full = (
        by["drain first"],
        by["fill while draining"],
        by["fill first"],
    )
    said = [
        f"The same {format_volume(drain.new_l, output)} of new water exchange "
        f"{_percent(drain.part)} if you drain first, {_percent(mixed.part)} if you "
        f"fill while draining and {_percent(full.part)} if you fill first."
    ]
    topped = by["top up first"]
    if drain.part - topped.part > 0.0005:
        said.append(
            f"Topping up what evaporated before you drain makes it "
            f"{_percent(topped.part)}: the water is weaker, so less leaves with it."
        )
    said.append(
        f"From {_level(level_mg_l)} that leads to "
        f"{_level(drain.level_mg_l)}, {_level(mixed.level_mg_l)} and "
        f"{_level(full.level_mg_l)}."
    )
    if drain.level_mg_l - at_once_mg_l > 0.05:
        said.append(
            f"A test right after would show {_level(at_once_mg_l)} and promise too "
            "much: water held in sand and corners has not mixed in yet. Test half an "
            "hour to an hour after the pumps run again; sand takes hours."
        )
    return said
