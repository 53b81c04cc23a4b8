"""Plans on the page: the habit in the log, and habits that hold the ceiling."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kit import words
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.outcome import Outcome, plan_for
from kit.page._facts import about
from kit.plan import Band, Plan
from kit.report import Table
from kit.rounding import Output, format_volume, plain, round_for_people, say_band
from kit.subject import seen_in

__all__ = ["Plans", "plans_of"]

_MENU_DAYS = (3.0, 7.0, 10.0, 14.0)


@dataclass(frozen=True, slots=True)
class Plans:
    """What the page says of plans.

    Parameters
    ----------
    now : Outcome or None
        Where the log's own habit leads; None where the log has none.
    high : bool
        Whether the level is above the ceiling and has to come down first.
    sentences : tuple of str
        In words.
    tables : tuple of Table
        Side by side.
    """

    now: Outcome | None = None
    high: bool = False
    sentences: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()


def plans_of(log: Logbook, result: FitResult, output: Output) -> Plans:
    """Plan the log's own habit and those for the keeper's ceiling.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}
        Whose units for volumes.

    Returns
    -------
    Plans
        Empty without a rate.
    """
    if result.net_rate is None:
        return Plans()
    now = _now(log, result)
    rows: list[tuple[str, ...]] = []
    sentences = _above(log, result)
    high = bool(sentences)
    if now is not None and now.plan is not None:
        sentences += _now_said(now, now.plan, result, output)
        rows.append(_row("in the log", now.plan, _unit(now, output)))
    if log.tank.ceiling_mg_l is not None:
        more, said = _for_ceiling(log, result, output)
        rows += more
        sentences += said
    if not rows:
        return Plans(now, high, tuple(sentences))
    table = Table("Plans side by side", tuple(_columns(output)), tuple(rows))
    return Plans(now, high, tuple(sentences), (table,))


def _above(log: Logbook, result: FitResult) -> list[str]:
    """Say that a level above the ceiling comes down in small steps, if it is."""
    ceiling, level = log.tank.ceiling_mg_l, result.level_now
    if ceiling is None or level is None or level.low <= ceiling:
        return []
    said = say_band(level.estimate, level.low, level.high, "mg/L")
    return [
        f"After the last record the tank stands at about {said}, above the ceiling of "
        f"{ceiling:g}. It has to come down in small steps first; what follows holds "
        "afterwards."
    ]


def _now(log: Logbook, result: FitResult) -> Outcome | None:
    """Plan the habit in the log."""
    seen = seen_in(log)
    if seen is None and log.tank.drip_l_day <= 0:
        return None
    percent = 0.0 if seen is None else 100 * seen.fraction[1]
    days = 7.0 if seen is None else seen.interval_days[1]
    return plan_for(log, result, percent=percent, every_days=days)


def _now_said(now: Outcome, plan: Plan, result: FitResult, output: Output) -> list[str]:
    """Say where the habit in the log leads."""
    first, *rest = words.plan_sentences(
        _rounded(plan),
        source_known=result.source_known,
        litres_known=now.litres_known,
        output=output,
    )
    if now.backwash_l_day > 0:
        rest.append(words.backwash_sentence(now.backwash_l_day, output))
    reserves = words.reserve_sentences(plan, result, None)
    return [*reserves, "The habit in the log: " + first, *rest]


def _rounded(plan: Plan) -> Plan:
    """Name a logged habit as a keeper would, not by its middle to a tenth."""
    fraction = round_for_people(
        plan.habit.fraction, max(0.05 * plan.habit.fraction, 1e-3)
    )
    return replace(plan, habit=replace(plan.habit, fraction=fraction))


def _for_ceiling(
    log: Logbook, result: FitResult, output: Output
) -> tuple[list[tuple[str, ...]], list[str]]:
    """Solve for the ceiling at a menu of intervals, in whole percents."""
    seen = seen_in(log)
    own = () if seen is None else (float(round(seen.interval_days[1])),)
    rows: list[tuple[str, ...]] = []
    surest: list[str] = []
    refused = ""
    for days in sorted({*_MENU_DAYS, *(d for d in own if d >= 1)}):
        found = plan_for(log, result, percent=None, every_days=days)
        every = "every day" if days == 1 else f"every {days:g} days"
        if found.plan is None:
            why = found.why[:1].lower() + found.why[1:]
            refused = refused or f"{every[0].upper()}{every[1:]}: {why}"
            continue
        names = ("for the ceiling", "nine times in ten")
        taken = 0
        if found.surer is not None:
            percent = math.ceil(100 * found.surer.habit.fraction - 1e-9)
            surest.append(f"{percent} % {every}")
        for name, solved in zip(names, (found.plan, found.surer), strict=True):
            fraction = 0.0 if solved is None else solved.habit.fraction
            percent = math.ceil(100 * fraction - 1e-9)
            # Two that no bucket can tell apart are one.
            if solved is None or percent == taken:
                continue
            whole = plan_for(log, result, percent=float(percent), every_days=days)
            if whole.plan is not None:
                rows.append(_row(name, whole.plan, _unit(whole, output)))
                taken = percent
    return rows, _ceiling_said(log.tank.ceiling_mg_l or 0.0, surest, refused)


def _ceiling_said(ceiling: float, surest: list[str], refused: str) -> list[str]:
    """Say which habits hold the ceiling, and from where on none does."""
    said = []
    if surest:
        said.append(
            f"What keeps the usual peak under {ceiling:g} mg/L nine times in ten: "
            f"{', or '.join(surest)}."
        )
    if refused:
        longer = " A longer interval takes more still." if surest else ""
        said.append(refused + longer)
    return said


def _columns(output: Output) -> list[str]:
    unit = {"metric": "L", "us": "US gal", "imperial": "imp gal"}[output]
    return [
        "Habit",
        "Exchange (%)",
        "Every (days)",
        "Peak (mg/L)",
        "Trough (mg/L)",
        f"Water a month ({unit})",
        "Chance under ceiling",
    ]


def _unit(found: Outcome, output: Output) -> Output | None:
    """Give the unit to write volumes in; None where the volume is not known."""
    return output if found.litres_known else None


def _row(name: str, p: Plan, output: Output | None) -> tuple[str, ...]:
    """Write one plan as a row of text."""
    chance = p.chance_under_ceiling
    water = ""
    if output is not None:
        litres = round_for_people(p.litres_month, 0.05 * max(p.litres_month, 1.0))
        water = format_volume(litres, output, band_l=0.05 * max(litres, 1.0))
    return (
        name,
        about(100 * p.habit.fraction, 0.5),
        about(p.habit.interval_days),
        _range(p.peak_mg_l),
        _range(p.trough_mg_l),
        water.partition(" ")[0],
        "" if chance is None else words.chance_words(chance).removeprefix("about "),
    )


def _range(b: Band) -> str:
    """Write a level with its band and no unit."""
    if math.isinf(b.estimate):
        return "no limit"
    if not all(map(math.isfinite, (b.estimate, b.low, b.high))):
        return f"{plain(round_for_people(b.estimate))} (no limit above)"
    return say_band(b.estimate, b.low, b.high, "").replace("  ", " ").strip()
