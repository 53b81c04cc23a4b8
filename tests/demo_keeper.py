"""What a keeper does with a demo log, and what an answer of the kit is held to."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from kit import change, fit
from kit.answers import answers_path, keep
from kit.files import read_logbook
from kit.fit import Estimate, FitResult
from kit.logbook import Logbook
from kit.plan import Band, plan, solve_percent
from kit.sawtooth import Habit
from kit.subject import Subject, subject_of

DEMO = Path(__file__).resolve().parent.parent / "data_demo"
AFTER_SEASON = dt.date(2026, 10, 1)
FIRST_DAY = dt.date(2026, 3, 2)


@dataclass(frozen=True, slots=True)
class Row:
    """One answer: true, found with its band, and what the kit says.

    ``near`` and ``wide`` are how far the middle may be off and half the band may reach,
    as parts of ``scale``, or of the true value where no scale is given. Without a true
    value it is a thing said: ``asks`` must be found in ``said``.
    """

    what: str
    true: float | None = None
    found: Estimate | None = None
    near: float = 0.15
    wide: float = 0.35
    scale: float | None = None
    said: str = ""
    asks: str = ""
    never: float | None = None


def log_of(place: Path) -> Logbook:
    return read_logbook(place, today=AFTER_SEASON)


def demo(slug: str) -> Logbook:
    return log_of(DEMO / slug)


def mended(slug: str, root: Path, *changes: tuple[str, str, str]) -> Path:
    """Copy a tank's folder and change cells in it: file, text there, text instead."""
    folder = root / slug
    shutil.copytree(DEMO / slug, folder, dirs_exist_ok=True)
    for file, old, new in changes:
        text = (folder / file).read_text(encoding="utf-8")
        assert text.count(old) == 1, (file, old)
        (folder / file).write_text(text.replace(old, new), encoding="utf-8")
    return folder


def relined(file: Path, lines: Callable[[list[str]], Iterable[str]]) -> None:
    """Change the lines below the header of one file."""
    head, *rest = file.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join([head, *lines(rest)]) + "\n", encoding="utf-8")


def answered(folder: Path, **by_kind: str) -> Logbook:
    """Answer the open questions of a log by their kind, as its keeper would."""
    for question in log_of(folder).problems:
        answer = by_kind.get(question.kind.replace(" ", "_"))
        if question.level == "question" and answer is not None:
            keep(answers_path(folder), question, answer, day=AFTER_SEASON)
    return log_of(folder)


def part(
    log: Logbook, first: dt.date | None = None, end: dt.date | None = None
) -> Logbook:
    """Give the log from a day on, and up to the day before another."""

    def within(day: dt.date) -> bool:
        return (first is None or day >= first) and (end is None or day < end)

    return replace(
        log,
        tests=tuple(t for t in log.tests if within(t.date)),
        exchanges=tuple(e for e in log.exchanges if within(e.date)),
        feedings=tuple(f for f in log.feedings if within(f.date)),
    )


def fitted(log: Logbook) -> tuple[FitResult, Subject]:
    result = fit.rate(log)
    return result, subject_of(log, result)


def net(result: FitResult) -> Estimate:
    assert result.net_rate is not None, result.refused
    return result.net_rate


def est(band: Band) -> Estimate:
    return Estimate(band.estimate, band.low, band.high)


def each(rate: Estimate, of: Callable[[float], float]) -> Estimate:
    """Carry a rate and the ends of its band through a sum that rises with it."""
    return Estimate(of(rate.estimate), of(rate.low), of(rate.high))


def peak(habit: Habit, subject: Subject) -> Estimate:
    """Usual peak of a habit with the fit's band."""
    tried = plan(habit, subject.rate_mg_l_day, subject.draws.rate_mg_l_day)
    return est(tried.peak_mg_l)


def percent_for(habit: Habit, rate: Estimate, ceiling: float) -> Estimate:
    """Percent that holds a ceiling at the habit's interval."""
    return each(rate, lambda g: 100 * solve_percent(habit, g, ceiling).fraction)


def spoken(result: FitResult) -> str:
    return " ".join((*result.statements, *result.assumptions))


def step_of(found: change.ChangeReport) -> change.Finding:
    return next(f for f in found.findings if f.kind == "step")


def day_number(day: dt.date) -> float:
    return float((day - FIRST_DAY).days)


def day_of(step: change.Finding) -> Estimate:
    """The day of a step, counted from the first of the season."""
    return Estimate(*(day_number(d) for d in (step.date, step.first, step.last)))


def faults(row: Row) -> list[str]:
    """Say what a row falls short of; nothing where the answer is reached."""
    if row.true is None:
        told = re.search(row.asks, row.said, re.DOTALL)
        return [] if told else [f"not said: {row.asks}"]
    assert row.found is not None
    scale = abs(row.true) if row.scale is None else row.scale
    out = []
    low, high = row.found.low, row.found.high
    known = low == high
    if not known and not low <= row.true <= high:
        out.append("true value outside the band")
    if abs(row.found.estimate - row.true) > row.near * scale:
        out.append("middle too far off")
    if (high - low) / 2.0 > row.wide * scale:
        out.append("band too wide")
    if row.never is not None and low <= row.never <= high:
        out.append(f"band holds {row.never:g}")
    return out
