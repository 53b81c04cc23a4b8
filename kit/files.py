"""A folder of CSV files, or one wide CSV, to a logbook; nothing on disk changes."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from kit import clock, escape, settings
from kit.answers import Answer, answers_path, read_answers
from kit.findings import Problem
from kit.intake.desk import Desk
from kit.intake.log import logbook_from
from kit.intake.vocabulary import file_kind
from kit.logbook import Logbook, SourceTest, Standard, Tank, Test
from kit.structure import Sheet, read_sheet

__all__ = ["logbook_as_dict", "read_logbook"]

Options = Callable[[Tank], Tank]
"""Lays command-line options over the settings of a file."""

_ORDER: Final = (
    "tests",
    "feedings",
    "exchanges",
    "upkeep",
    "source",
    "standards",
    "wide",
)
_FILE_LIMIT: Final = 200


def read_logbook(
    path: Path | str,
    *,
    today: dt.date | None = None,
    answers: Path | None = None,
    tank: Tank | None = None,
    options: Options | None = None,
) -> Logbook:
    """Read a logbook; whatever stands in the files, nothing is raised.

    Parameters
    ----------
    path : pathlib.Path or str
        A folder with ``tests.csv`` and the like, or one CSV with all of it.
    today : datetime.date, optional
        Day to judge future dates by; the clock's when left out.
    answers : pathlib.Path, optional
        File with answers to questions; by default the one kept beside the log.
    tank : Tank, optional
        Settings for a single CSV, or instead of ``tank.toml``.
    options : callable, optional
        Takes the settings and gives them back with options laid over.

    Returns
    -------
    Logbook
        Records, settings and every problem of every file, worst first.
    """
    place = Path(path)
    day = today or clock.today()
    kept, problems = _answers(place, answers)
    desk = Desk(tank or Tank(), day, {a.question: a for a in kept})
    folder = _is_folder(place)
    sheets = _sheets(place, folder)
    if tank is None:
        desk.tank, found = _settings(place, desk, folder)
        free = options is not None or _no_set_names(sheets)
        problems += [_optional(p) for p in found] if free else found
    if options is not None:
        desk.tank = options(desk.tank)
    problems += _absent(place, sheets) if folder else _alone(place)
    return logbook_from(
        sheets, desk.tank, today=day, problems=problems, desk=desk
    )  # fmt: skip


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def _answers(
    path: Path, given: Path | None
) -> tuple[tuple[Answer, ...], list[Problem]]:
    """Read the answers named, or those kept beside the log."""
    if given is not None:
        kept, problems = read_answers(Path(given))
        return kept, list(problems)
    try:
        beside = answers_path(path)
        if not beside.is_file():
            return (), []
    except (OSError, ValueError):
        return (), []
    kept, problems = read_answers(beside)
    return kept, list(problems)


def _settings(path: Path, desk: Desk, folder: bool) -> tuple[Tank, list[Problem]]:
    """Read the settings of a folder; a single file brings its name only."""
    if not folder:
        return Tank(name=path.stem or "tank"), []
    tank, problems = settings.read_tank(path, today=desk.today, answered=desk.answered)
    return tank, list(problems)


def _no_set_names(sheets: Iterable[Sheet]) -> bool:
    """Tell a folder of the keeper's own files from a logbook folder of the kit."""
    return all(file_kind(s.file) == "wide" for s in sheets)


def _optional(problem: Problem) -> Problem:
    """Make a missing settings file a note where settings are not due."""
    if problem.kind != "missing settings":
        return problem
    return replace(problem, level="note")


def _csv_files(folder: Path) -> list[Path]:
    """List the CSV files of a folder, the known names first."""
    try:
        found = [Path(entry.path) for entry in os.scandir(folder)]
    except OSError:
        return []
    files = [
        p
        for p in found
        if p.suffix.casefold() == ".csv"
        and not p.name.startswith(".")
        and not p.name.casefold().endswith(".pending.csv")
    ]
    files.sort(key=lambda p: (_ORDER.index(file_kind(p.name)), p.name))
    return files[:_FILE_LIMIT]


def _sheets(path: Path, folder: bool) -> list[Sheet]:
    files = _csv_files(path) if folder else [path]
    return [read_sheet(p) for p in files]


def _absent(folder: Path, sheets: Iterable[Sheet]) -> list[Problem]:
    """Name the tests when a folder holds no file that could have them."""
    kinds = {file_kind(s.file) for s in sheets}
    if kinds & {"tests", "wide"}:
        return []
    seen = ", ".join(s.file for s in sheets) or "no CSV file"
    mend = "add it; nothing can be said without tests"
    if inside := _folders_with_tests(folder):
        some = ", ".join(inside[:3]) + (" ..." if len(inside) > 3 else "")
        mend = f"name one of the folders inside that have tests: {some}"
    return [
        Problem(
            "error",
            "no tests",
            "tests.csv",
            f"a folder with {seen}",
            'a file tests.csv with the columns "date" and "nitrate (mg/L NO3)"',
            mend,
        )
    ]


def _alone(file: Path) -> list[Problem]:
    """Name the exchanges that lie beside a file of tests and would be left out."""
    if file_kind(file.name) != "tests" or not _is_folder(file.parent):
        return []
    beside = [
        p.name for p in _csv_files(file.parent) if file_kind(p.name) == "exchanges"
    ]
    if not beside or not file.exists():
        return []
    return [
        Problem(
            "error",
            "tests alone",
            file.name,
            f"the tests alone, while {beside[0]} lies beside them",
            "the whole log; without its exchanges a rise comes out far too low",
            f"name the folder: {file.resolve().parent.name}",
        )
    ]


def _folders_with_tests(folder: Path) -> list[str]:
    """Name the folders inside, at most 50 looked at, that hold a file of tests."""
    try:
        places = sorted(Path(e.path) for e in os.scandir(folder) if e.is_dir())
        return [
            escape.plain(p.name, 40) for p in places[:50] if (p / "tests.csv").is_file()
        ]
    except (OSError, ValueError):
        return []


def _number(value: float | None) -> float | None:
    """Round away the noise of a unit conversion, and nothing that was written."""
    if value is None:
        return None
    near = float(f"{value:.6g}")
    return near if abs(value - near) <= 1e-9 * abs(near) else float(value)


def _time(time: dt.time | None) -> str | None:
    return None if time is None else time.strftime("%H:%M")


def _reading(test: Test | SourceTest) -> dict[str, Any]:
    return {
        "date": test.date.isoformat(),
        "time": _time(test.time),
        "value_mg_l": _number(test.value_mg_l),
        "low_mg_l": _number(test.low_mg_l),
        "high_mg_l": _number(test.high_mg_l),
        "doubtful": getattr(test, "doubtful", False),
        "raw": test.raw,
        "line": test.line,
        "file": test.file,
    }


def _check(standard: Standard) -> dict[str, Any]:
    return {
        "date": standard.date.isoformat(),
        "kit": standard.kit,
        "reader": standard.reader,
        "known_mg_l": _number(standard.known_mg_l),
        "value_mg_l": _number(standard.value_mg_l),
        "low_mg_l": _number(standard.low_mg_l),
        "high_mg_l": _number(standard.high_mg_l),
        "raw": standard.raw,
        "line": standard.line,
        "file": standard.file,
    }


def logbook_as_dict(log: Logbook) -> dict[str, Any]:
    """Give a logbook as plain JSON values.

    Parameters
    ----------
    log : Logbook
        What `read_logbook` returned.

    Returns
    -------
    dict
        ``tests``, ``exchanges``, ``feedings``, ``notes``, ``problems``; also
        ``source``, ``standards``, ``answers`` used, ``unknown_exchanges`` and
        ``lost_exchanges``.
    """
    return {
        "tests": [_reading(t) for t in log.tests],
        "exchanges": [
            {
                "date": e.date.isoformat(),
                "time": _time(e.time),
                "fraction": _number(e.fraction),
                "litres": _number(e.litres),
                "kind": e.kind,
                "drip_l_day": _number(e.drip_l_day),
                "line": e.line,
                "file": e.file,
            }
            for e in log.exchanges
        ],
        "feedings": [
            {
                "date": f.date.isoformat(),
                "feed_g": _number(f.feed_g),
                "line": f.line,
                "file": f.file,
            }
            for f in log.feedings
        ],
        "notes": _notes(log),
        "problems": [p.as_dict() for p in log.problems],
        "source": [_reading(s) for s in log.source],
        "standards": [_check(s) for s in log.standards],
        "answers": list(log.answers),
        "unknown_exchanges": [d.isoformat() for d in log.unknown_exchanges],
        "lost_exchanges": list(log.lost_exchanges),
    }


def _notes(log: Logbook) -> list[dict[str, Any]]:
    """List free text of both kinds, in order of time."""
    found = [(n.date, n.file, n.line, n.text) for n in log.notes]
    found += [(u.date, u.file, u.line, u.task) for u in log.upkeep if u.task]
    return [
        {"date": day.isoformat(), "text": text, "line": line, "file": file}
        for day, file, line, text in sorted(found)
    ]
