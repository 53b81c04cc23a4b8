"""From a log and its fit to the page, and to plain values for scripts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any


from kit import cautions, plots, words
from kit.errors import PlanError
from kit.fit import Estimate, FitResult
from kit.logbook import Logbook, Tank
from kit.plan import Band, Plan, plan, solve_interval, solve_percent
from kit.report import Figure, Report, Table
from kit.rounding import plain, round_for_people, say_band
from kit.sawtooth import Habit
from kit.scenario import seen_in
from kit.style import png_bytes

__all__ = [
    "Outcome",
    "fit_as_dict",
    "habit_of",
    "log_sentences",
    "plan_as_dict",
    "plan_for",
    "report_of",
]

_MENU_DAYS = (3.0, 7.0, 10.0, 14.0)
_USUAL = (0.25, 7.0)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A plan, or why there is none.

    Parameters
    ----------
    plan : Plan or None
        The plan.
    why : str
        Why there is none; ``""`` when there is one.
    refused : bool
        True when the log carries no rate at all, False when the ceiling cannot be
        held.
    """

    plan: Plan | None
    why: str = ""
    refused: bool = False


def _estimate_dict(e: Estimate | Band | None) -> dict[str, float] | None:
    """Give an estimate as plain values."""
    if e is None:
        return None
    return {"estimate": e.estimate, "low": e.low, "high": e.high}


def fit_as_dict(log: Logbook, result: FitResult) -> dict[str, Any]:
    """Give a fit as plain values for a script.

    Parameters
    ----------
    log : Logbook
        The log fitted.
    result : FitResult
        From `kit.fit.rate`.

    Returns
    -------
    dict
        Rates as NO3 [mg/L/day], yield [mg/g], levels [mg/L], volume [L].
    """
    return {
        "net_rate_mg_l_day": _estimate_dict(result.net_rate),
        "feed_yield_mg_g": _estimate_dict(result.feed_yield),
        "volume_l": result.volume_l,
        "method": result.method,
        "tests_used": len(result.tests),
        "statements": list(result.statements + log_sentences(log)),
        "assumptions": list(result.assumptions),
        "fitted": [
            {
                "date": t.date.isoformat(),
                "time": None if t.time is None else t.time.isoformat("minutes"),
                "low": t.low_mg_l,
                "high": t.high_mg_l,
                "fitted": t.fitted.estimate,
                "band": [t.fitted.low, t.fitted.high],
                "file": t.file,
                "line": t.line,
            }
            for t in result.tests
        ],
        "level_now_mg_l": _estimate_dict(result.level_now),
        "reading_noise": _estimate_dict(result.reading_noise),
        "tank_noise_mg_l_root_day": _estimate_dict(result.tank_noise),
        "plain_least_squares_mg_l_day": _estimate_dict(result.simple_rate),
        "chart_alone_allows_mg_l_day": (
            None if result.band_range is None else list(result.band_range)
        ),
        "upper_bound_mg_l_day": result.upper_bound,
        "source_mg_l": result.source_mg_l,
        "refused": result.refused,
    }


def log_sentences(log: Logbook) -> tuple[str, ...]:
    """Say what of the log was not used.

    Parameters
    ----------
    log : Logbook
        A loaded log.

    Returns
    -------
    tuple of str
        Empty when everything was used as written.
    """
    levels = [p.level for p in log.problems]
    out = []
    if "error" in levels:
        out.append(
            f"{levels.count('error')} cells or rows are in error and were left out."
        )
    if "question" in levels:
        held = levels.count("question")
        out.append(
            f"{held} {'question is' if held == 1 else 'questions are'} open; what they "
            "concern is held back until answered."
        )
    if log.answers:
        out.append("Answers given earlier were applied: " + "; ".join(log.answers))
    return tuple(out)


def habit_of(log: Logbook, result: FitResult) -> Habit:
    """Give the habit the log shows: its middle exchange, interval and drip.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    result : FitResult
        Its fit, for volume and source.

    Returns
    -------
    Habit
        A quarter every week where the log shows no exchanges and no drip.
    """
    seen = seen_in(log)
    fraction, days = _USUAL
    drip = _drip_now(log)
    if seen is not None:
        fraction, days = seen.fraction[1], seen.interval_days[1]
    elif drip > 0:
        fraction = 0.0
    return Habit(
        volume_l=_volume_now(log.tank) or 100.0,
        fraction=fraction,
        interval_days=days,
        source_mg_l=result.source_mg_l or 0.0,
        drip_l_day=drip,
        evaporation_l_day=log.tank.evaporation_l_day,
        top_up=log.tank.top_up,
    )


def _volume_now(tank: Tank) -> float | None:
    """Volume after the last change. [L]."""
    return tank.volume_changes[-1].volume_l if tank.volume_changes else tank.volume_l


def _drip_now(log: Logbook) -> float:
    """Drip after the last change. [L/day]."""
    drip = log.tank.drip_l_day
    for e in log.exchanges:
        if e.kind == "drip change" and e.drip_l_day is not None:
            drip = e.drip_l_day
    return drip


def plan_for(
    log: Logbook,
    result: FitResult,
    *,
    percent: float | None,
    every_days: float | None,
) -> Outcome:
    """Plan a habit, or solve for its percent or interval against the ceiling.

    Parameters
    ----------
    log : Logbook
        The log, for volume, drip and ceiling.
    result : FitResult
        Its fit.
    percent : float or None
        Percent exchanged each time; None to solve for it. [%]
    every_days : float or None
        Days between exchanges; None to solve for it. [day]

    Returns
    -------
    Outcome
        The plan, or why there is none.
    """
    if result.net_rate is None:
        return Outcome(None, result.refused or "", refused=True)
    rate, draws = result.net_rate.estimate, result.draws[:, 0]
    ceiling = log.tank.ceiling_mg_l
    try:
        habit = replace(
            habit_of(log, result),
            fraction=0.0 if percent is None else percent / 100.0,
            interval_days=_USUAL[1] if every_days is None else every_days,
        )
        if percent is None or every_days is None:
            habit = _solved(habit, rate, ceiling, percent, every_days, log.tank)
    except PlanError as why:
        return Outcome(None, str(why))
    return Outcome(plan(habit, rate, draws, ceiling_mg_l=ceiling))


def _solved(
    habit: Habit,
    rate: float,
    ceiling: float | None,
    percent: float | None,
    every_days: float | None,
    tank: Tank,
) -> Habit:
    """Solve for what was left open."""
    if ceiling is None:
        msg = "To solve for it the plan needs your ceiling: add --ceiling, in mg/L."
        raise PlanError(msg)
    if percent is None and every_days is None:
        msg = "Give either the percent or the interval; one of them can be solved for."
        raise PlanError(msg)
    if percent is None:
        return solve_percent(habit, rate, ceiling, max_percent=tank.max_percent)
    return solve_interval(habit, rate, ceiling)


def plan_as_dict(outcome: Outcome) -> dict[str, Any]:
    """Give a plan as plain values for a script.

    Parameters
    ----------
    outcome : Outcome
        From `plan_for`.

    Returns
    -------
    dict
        Levels as NO3 [mg/L], water [L/month], chance [-]; nulls where there is none.
    """
    p = outcome.plan
    return {
        "percent": None if p is None else 100.0 * p.habit.fraction,
        "every_days": None if p is None else p.habit.interval_days,
        "drip_l_day": None if p is None else p.habit.drip_l_day,
        "peak_mg_l": None if p is None else _estimate_dict(p.peak_mg_l),
        "trough_mg_l": None if p is None else _estimate_dict(p.trough_mg_l),
        "mean_mg_l": None if p is None else _estimate_dict(p.mean_mg_l),
        "cycles_to_95": None if p is None else p.cycles_to_95,
        "litres_month": None if p is None else p.litres_month,
        "ceiling_mg_l": None if p is None else p.ceiling_mg_l,
        "chance_under_ceiling": None if p is None else p.chance_under_ceiling,
        "infeasible": outcome.why if p is None and not outcome.refused else None,
        "refused": outcome.why if outcome.refused else None,
    }


def report_of(log: Logbook, result: FitResult) -> Report:
    """Build the page of one tank.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.

    Returns
    -------
    Report
        Plain text, tables and the picture; nothing escaped yet.
    """
    habit = habit_of(log, result)
    tables, sentences = _plan_part(log, result, habit)
    figures: tuple[Figure, ...] = ()
    if result.net_rate is not None:
        axes = plots.fit_picture(result, ceiling_mg_l=log.tank.ceiling_mg_l)
        figures = (
            Figure(
                png_bytes(axes.figure, dpi=150),
                plots.fit_alt(result, ceiling_mg_l=log.tank.ceiling_mg_l),
            ),
        )
    said = list(result.statements)
    next_test = said.pop() if result.refused is None else ""
    return Report(
        title=log.tank.name,
        verdict=(said[0], *sentences),
        period=_period(log),
        tank_facts=_facts(log, result),
        cautions=cautions.for_page(*cautions.EXCHANGE),
        figures=figures,
        tables=tables,
        assumptions=result.assumptions,
        cannot_tell=tuple(said[1:]) + log_sentences(log),
        next_test=next_test,
        repairs=tuple(p.sentence() for p in log.problems)[:60],
        answers=log.answers,
        checks=_CHECKS,
        data=_data(log, result),
    )


_CHECKS = (
    "Nitrate is counted as NO3 in mg/L; NO3-N times 4.4268 is NO3.",
    "Between exchanges the level rises by the net rate each day; an exchange of a "
    "part f leaves (1 - f) of the level and adds f of the new water's.",
    "In the long run the peak is the new water's level plus rate times interval over "
    "the part exchanged, as long as nothing drips.",
)


def _period(log: Logbook) -> str:
    """Days the tests cover."""
    if not log.tests:
        return ""
    return f"{log.tests[0].date.isoformat()} to {log.tests[-1].date.isoformat()}"


def _facts(log: Logbook, result: FitResult) -> tuple[tuple[str, str], ...]:
    """Facts of the tank, each with its unit."""
    tank = log.tank
    volume = "not stated"
    if tank.volume_l is not None:
        how = f" ({tank.volume_how})" if tank.volume_how else ""
        volume = f"{plain(round_for_people(tank.volume_l))} L{how}"
    kit = "not stated"
    if tank.kit_steps_mg_l:
        steps = ", ".join(f"{s:g}" for s in tank.kit_steps_mg_l)
        kit = f"colour chart with steps {steps} mg/L NO3"
    elif tank.kit_resolution_mg_l:
        kit = f"meter read to {tank.kit_resolution_mg_l:g} mg/L NO3"
    source = "not known, taken as 0"
    if result.source_known and result.source_mg_l is not None:
        source = f"{result.source_mg_l:.3g} mg/L NO3"
    facts = [
        ("Volume", volume),
        ("Test kit", kit),
        ("Nitrate counted as", f"NO3 (kit shows {tank.kit_basis or 'unsaid'})"),
        ("New water", source),
        ("Tests used", str(len(result.tests))),
    ]
    if tank.drip_l_day > 0:
        facts.append(("Drip", f"{tank.drip_l_day:g} L a day"))
    if tank.ceiling_mg_l is not None:
        facts.append(("Keeper's ceiling", f"{tank.ceiling_mg_l:g} mg/L NO3"))
    return tuple(facts)


def _plan_part(
    log: Logbook, result: FitResult, habit: Habit
) -> tuple[tuple[Table, ...], tuple[str, ...]]:
    """Tables and sentences of the present habit and its alternatives."""
    if result.net_rate is None:
        return (), ()
    rate, draws = result.net_rate.estimate, result.draws[:, 0]
    ceiling = log.tank.ceiling_mg_l
    now = plan(habit, rate, draws, ceiling_mg_l=ceiling)
    sentences = words.plan_sentences(now, source_known=result.source_known)
    sentences = ("The habit in the log: " + sentences[0], *sentences[1:])
    rows = [_plan_row("as in the log", now)]
    notes = []
    if ceiling is not None:
        for days in _menu(habit):
            trial = replace(habit, interval_days=days)
            try:
                solved = solve_percent(trial, rate, ceiling)
            except PlanError as why:
                notes.append(f"Every {days:g} days: {why}")
                continue
            rows.append(
                _plan_row(
                    f"for the ceiling, every {days:g} days",
                    plan(solved, rate, draws, ceiling_mg_l=ceiling),
                )
            )
    columns = (
        "Habit",
        "Exchange (%)",
        "Every (days)",
        "Peak (mg/L)",
        "Trough (mg/L)",
        "Water (L a month)",
        "Chance under ceiling (%)",
    )
    table = Table("Plans side by side", columns, tuple(rows))
    return (table,), tuple(sentences) + tuple(notes)


def _menu(habit: Habit) -> Sequence[float]:
    """Intervals to try: the log's own among the usual ones."""
    return sorted({*_MENU_DAYS, round(habit.interval_days, 1)})


def _plan_row(name: str, p: Plan) -> tuple[str, ...]:
    """Write one plan as a row of text."""
    chance = p.chance_under_ceiling
    return (
        name,
        plain(round(100 * p.habit.fraction, 1)),
        plain(round(p.habit.interval_days, 1)),
        _range(p.peak_mg_l),
        _range(p.trough_mg_l),
        plain(round_for_people(p.litres_month)),
        "" if chance is None else f"{100 * chance:.0f}",
    )


def _range(b: Band) -> str:
    """Write a level with its band and no unit."""
    if math.isinf(b.estimate):
        return "no limit"
    return say_band(b.estimate, b.low, b.high, "").replace("  ", " ")


def _data(log: Logbook, result: FitResult) -> tuple[Table, ...]:
    """Raw readings and exchanges as written."""
    readings = tuple(
        (
            t.date.isoformat(),
            "" if t.time is None else t.time.isoformat("minutes"),
            t.raw.strip(),
            f"{t.low_mg_l:.3g}",
            "" if t.high_mg_l is None else f"{t.high_mg_l:.3g}",
            f"{t.fitted.estimate:.3g}",
            f"{t.file}, {t.line}",
        )
        for t in result.tests
    )
    exchanges = tuple(
        (
            e.date.isoformat(),
            e.kind,
            "" if e.fraction is None else f"{100 * e.fraction:.3g}",
            "" if e.litres is None else f"{e.litres:.4g}",
            f"{e.file}, {e.line}",
        )
        for e in log.exchanges
    )
    return (
        Table(
            "Readings",
            (
                "Date",
                "Time",
                "As written",
                "From (mg/L)",
                "To (mg/L)",
                "Fitted (mg/L)",
                "File, line",
            ),
            readings,
        ),
        Table(
            "Exchanges",
            ("Date", "Kind", "Part (%)", "Litres", "File, line"),
            exchanges,
        ),
    )
