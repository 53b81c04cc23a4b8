"""The page of one tank, put together from its log, its fit and its plans."""

from __future__ import annotations

import math

from kit import cautions, plots, words
from kit.fit import FitResult
from kit.logbook import Logbook, Tank
from kit.outcome import Outcome, plan_for
from kit.plan import Band, Plan
from kit.report import Figure, Report, Table
from kit.rounding import (
    Output,
    format_flow,
    format_volume,
    plain,
    round_for_people,
    say_band,
)
from kit.sources import cite
from kit.style import axes_in, blank_figure, drawing, png_bytes
from kit.subject import seen_in

__all__ = ["report_of"]

_MENU_DAYS = (3.0, 7.0, 10.0, 14.0)
_LIST_MOST = 60

_CHECKS = (
    "Nitrate is counted as NO3 in mg/L; NO3-N times 4.4268 is NO3. Source: "
    + cite("ciaaw"),
    "Between exchanges the level rises by the net rate each day; an exchange of a "
    "part f leaves (1 - f) of the level and adds f of the new water's.",
    "In the long run the peak is the new water's level plus rate times interval over "
    "the part exchanged, as long as nothing drips. It is the series of repeated doses: "
    + cite("bourne_ch14"),
    "Protein is taken as 6.25 times its nitrogen, which sets the most nitrate a gram "
    "of food can make. Source: " + cite("fao_77"),
)


def report_of(log: Logbook, result: FitResult, output: Output = "metric") -> Report:
    """Build the page of one tank.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    Report
        Plain text, tables and the picture; nothing escaped yet.
    """
    tables, sentences = _plans(log, result, output)
    said = list(result.statements)
    next_test = said.pop() if result.refused is None else ""
    return Report(
        title=log.tank.name,
        verdict=(said[0], *sentences),
        period=_period(log),
        tank_facts=_facts(log, result, output),
        cautions=cautions.for_page(*cautions.EXCHANGE),
        figures=_figures(log, result),
        tables=tables,
        assumptions=result.assumptions,
        cannot_tell=(*said[1:], *words.log_sentences(log)),
        next_test=next_test,
        repairs=_problems(log),
        answers=log.answers,
        checks=_CHECKS,
        data=(_readings(result), _exchanges(log)),
    )


def _figures(log: Logbook, result: FitResult) -> tuple[Figure, ...]:
    """Draw the fit; none where there is none."""
    if result.net_rate is None:
        return ()
    ceiling = log.tank.ceiling_mg_l
    figure = blank_figure()
    with drawing():
        plots.fit_picture(result, ax=axes_in(figure), ceiling_mg_l=ceiling)
    return (
        Figure(png_bytes(figure, dpi=150), plots.fit_alt(result, ceiling_mg_l=ceiling)),
    )


def _problems(log: Logbook) -> tuple[str, ...]:
    """List what was mended or asked, worst first."""
    told = [p.sentence() for p in log.problems]
    if len(told) > _LIST_MOST:
        rest = len(told) - _LIST_MOST
        told = [*told[:_LIST_MOST], f"and {rest} more, listed by the check"]
    return tuple(told)


def _period(log: Logbook) -> str:
    """Days the tests cover."""
    if not log.tests:
        return ""
    return f"{log.tests[0].date.isoformat()} to {log.tests[-1].date.isoformat()}"


def _facts(
    log: Logbook, result: FitResult, output: Output
) -> tuple[tuple[str, str], ...]:
    """Facts of the tank, each with its unit."""
    tank = log.tank
    volume = "not stated"
    if tank.volume_l is not None:
        how = f" ({tank.volume_how})" if tank.volume_how else ""
        volume = format_volume(tank.volume_l, output) + how
    source = "not known, taken as 0"
    if result.source_known and result.source_mg_l is not None:
        source = f"{result.source_mg_l:.3g} mg/L NO3"
    facts = [
        ("Volume", volume),
        ("Test kit", _kit(tank)),
        ("Nitrate counted as", f"NO3 (the kit shows {tank.kit_basis or 'unsaid'})"),
        ("New water", source),
        ("Tests used", str(len(result.tests))),
    ]
    if tank.drip_l_day > 0:
        facts.append(("Drip", format_flow(tank.drip_l_day, output)))
    if tank.ceiling_mg_l is not None:
        facts.append(("Keeper's ceiling", f"{tank.ceiling_mg_l:g} mg/L NO3"))
    return tuple(facts)


def _kit(tank: Tank) -> str:
    """Name the kind of test kit."""
    if tank.kit_steps_mg_l:
        steps = ", ".join(f"{s:.3g}" for s in tank.kit_steps_mg_l)
        return f"colour chart with steps {steps} mg/L NO3"
    if tank.kit_resolution_mg_l:
        return f"meter read to {tank.kit_resolution_mg_l:.3g} mg/L NO3"
    return "not stated"


def _plans(
    log: Logbook, result: FitResult, output: Output
) -> tuple[tuple[Table, ...], tuple[str, ...]]:
    """Tables and sentences of the log's own habit and of those for the ceiling."""
    seen = seen_in(log)
    rows: list[tuple[str, ...]] = []
    sentences: tuple[str, ...] = ()
    if seen is not None or log.tank.drip_l_day > 0:
        percent = 0.0 if seen is None else 100 * seen.fraction[1]
        days = 7.0 if seen is None else seen.interval_days[1]
        now = plan_for(log, result, percent=percent, every_days=days)
        if now.plan is not None:
            first, *rest = words.plan_sentences(
                now.plan,
                source_known=result.source_known,
                litres_known=now.litres_known,
                output=output,
            )
            if now.backwash_l_day > 0:
                rest.append(words.backwash_sentence(now.backwash_l_day, output))
            reserves = words.reserve_sentences(now.plan, result, None)
            sentences = (*reserves, "The habit in the log: " + first, *rest)
            rows.append(_row("as in the log", now.plan, _unit(now, output)))
    notes: list[str] = []
    if log.tank.ceiling_mg_l is not None and result.net_rate is not None:
        rows_for, notes = _for_ceiling(log, result, output)
        rows += rows_for
    if not rows:
        return (), sentences
    table = Table("Plans side by side", _PLAN_COLUMNS, tuple(rows))
    return (table,), (*sentences, *notes)


def _for_ceiling(
    log: Logbook, result: FitResult, output: Output
) -> tuple[list[tuple[str, ...]], list[str]]:
    """Solve for the ceiling at a menu of intervals."""
    seen = seen_in(log)
    own = () if seen is None else (round(seen.interval_days[1], 1),)
    rows, notes = [], []
    for days in sorted({*_MENU_DAYS, *own}):
        found = plan_for(log, result, percent=None, every_days=days)
        if found.plan is None:
            notes.append(f"Every {days:g} days: {found.why}")
            continue
        unit = _unit(found, output)
        rows.append(_row(f"for the ceiling, every {days:g} days", found.plan, unit))
        if found.surer is not None:
            rows.append(_row("the same, nine times in ten", found.surer, unit))
    return rows, notes


_PLAN_COLUMNS = (
    "Habit",
    "Exchange (%)",
    "Every (days)",
    "Peak (mg/L)",
    "Trough (mg/L)",
    "New water a month",
    "Chance under ceiling (%)",
)


def _unit(found: Outcome, output: Output) -> Output | None:
    """Give the unit to write volumes in; None where the volume is not known."""
    return output if found.litres_known else None


def _row(name: str, p: Plan, output: Output | None) -> tuple[str, ...]:
    """Write one plan as a row of text."""
    chance = p.chance_under_ceiling
    return (
        name,
        plain(round(100 * p.habit.fraction, 1)),
        plain(round(p.habit.interval_days, 1)),
        _range(p.peak_mg_l),
        _range(p.trough_mg_l),
        ""
        if output is None
        else format_volume(round_for_people(p.litres_month), output),
        "" if chance is None else f"{100 * chance:.0f}",
    )


def _range(b: Band) -> str:
    """Write a level with its band and no unit."""
    if math.isinf(b.estimate):
        return "no limit"
    return say_band(b.estimate, b.low, b.high, "").replace("  ", " ").strip()


def _readings(result: FitResult) -> Table:
    """Raw readings beside the fitted level."""
    rows = tuple(
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
    columns = (
        "Date",
        "Time",
        "As written",
        "From (mg/L)",
        "To (mg/L)",
        "Fitted (mg/L)",
        "File, line",
    )
    return Table("Readings", columns, rows)


def _exchanges(log: Logbook) -> Table:
    """Exchanges as used."""
    rows = tuple(
        (
            e.date.isoformat(),
            e.kind,
            "" if e.fraction is None else f"{100 * e.fraction:.3g}",
            "" if e.litres is None else f"{e.litres:.4g}",
            f"{e.file}, {e.line}",
        )
        for e in log.exchanges
    )
    columns = ("Date", "Kind", "Part (%)", "Litres", "File, line")
    return Table("Exchanges", columns, rows)
