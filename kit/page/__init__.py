"""The page of one tank, put together from its log, its fit and its plans.

For a page without names give it a log from `kit.mask.masked` and the fit of that.
"""

from __future__ import annotations

import kit
from kit import cautions, plots, words
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.page._checks import checks_of
from kit.page._data import data_of
from kit.page._doubts import changes_of
from kit.page._facts import about, facts_of
from kit.page._plans import Plans, plans_of
from kit.page._units import in_units
from kit.page._zip import logbook_zip
from kit.report import Figure, Listed, Report
from kit.rounding import Output, say_band
from kit.style import axes_in, blank_figure, canvas_of, drawing, png_of

__all__ = ["listed", "report_of"]

_LIST_MOST = 60
_FORUM_DPI = 188  # 1,200 pixels wide: sharp in a forum, small enough to attach
_HELPS = "would help most"


def report_of(
    log: Logbook,
    result: FitResult,
    output: Output = "metric",
    *,
    sections: tuple[str, ...] = (),
) -> Report:
    """Build the page of one tank.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.
    sections : tuple of str, optional
        Names out of `kit.report.SECTIONS`; all when left out.

    Returns
    -------
    Report
        Plain text, tables, the picture and the zip; nothing escaped yet.
    """
    plans = plans_of(log, result, output)
    rate, rest, next_test = _parted(result)
    # Words of a fit name litres; a reader of gallons gets gallons.
    assumed, rest, helps = (
        tuple(in_units(text, output) for text in texts)
        for texts in (result.assumptions, rest, (next_test,))
    )
    last = max((t.date for t in log.tests), default=None)
    return Report(
        title=log.tank.name,
        verdict=(rate,),
        period=_period(log),
        tank_facts=facts_of(log, result, output),
        cautions=cautions.for_page(*_topics(plans)) if plans.sentences else (),
        brief_caution=cautions.BRIEF if plans.sentences else "",
        figures=_figures(log, result, output),
        plan=plans.sentences,
        tables=plans.tables,
        assumptions=assumed,
        changes=changes_of(log, result, output),
        cannot_tell=(*rest, *words.log_sentences(log)),
        next_test=helps[0],
        repairs=_problems(log),
        answers=log.answers,
        checks=checks_of(result, plans.now, kit.__version__),
        data=data_of(log, result, output),
        sections=sections,
        attachments=(
            logbook_zip(log, result, plans.now, (rate, *plans.sentences[:2])),
        ),
        paper="Letter" if output == "us" else "A4",
        day=last,
    )


def listed(log: Logbook, result: FitResult, folder: str) -> Listed:
    """Give a tank's line on the page that lists several.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    folder : str
        Folder of its report.

    Returns
    -------
    Listed
        Its numbers, or why it has none.
    """
    if result.net_rate is None:
        return Listed(log.tank.name, folder, why=result.refused or "")
    rate, now = result.net_rate, plans_of(log, result, "metric").now
    peak = "no exchange that repeats"
    if now is not None and now.plan is not None:
        band = now.plan.peak_mg_l
        peak = say_band(band.estimate, band.low, band.high, "mg/L")
    ceiling = log.tank.ceiling_mg_l
    cells = (
        str(len(result.tests)),
        say_band(rate.estimate, rate.low, rate.high, "mg/L a day"),
        peak,
        "" if ceiling is None else f"{about(ceiling)} mg/L",
    )
    return Listed(log.tank.name, folder, cells)


def _parted(result: FitResult) -> tuple[str, tuple[str, ...], str]:
    """Part the statements of a fit: the answer, what cannot be told, the best test."""
    if result.refused is not None or not result.statements:
        first = result.statements[:1] or (result.refused or "There is no rise.",)
        return first[0], result.statements[1:], ""
    first_said, *rest = result.statements
    helps = [text for text in rest if _HELPS in text]
    others = tuple(text for text in rest if _HELPS not in text)
    return first_said, others, helps[-1] if helps else ""


def _topics(plans: Plans) -> tuple[str, ...]:
    """Choose the cautions that belong to the plans."""
    return ("coming down", *cautions.EXCHANGE) if plans.high else cautions.EXCHANGE


def _figures(log: Logbook, result: FitResult, output: Output) -> tuple[Figure, ...]:
    """Draw the fit, sized for a forum; none where there is none."""
    if result.net_rate is None:
        return ()
    ceiling = log.tank.ceiling_mg_l
    figure = blank_figure(dpi=_FORUM_DPI)
    with drawing():
        plots.fit_picture(
            result, ax=axes_in(figure), ceiling_mg_l=ceiling, output=output
        )
    canvas = canvas_of(figure)
    canvas.draw()
    return (Figure(png_of(canvas), plots.fit_alt(result, ceiling_mg_l=ceiling)),)


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
