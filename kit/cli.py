"""Commands for scripts and for people without Jupyter.

``python -m kit check|fit|plan|report PATH`` prints plain words; with ``--json`` one
JSON object stands on standard output and nothing else.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import math
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from kit import clock, structure
from kit.errors import KitError
from kit.files import logbook_as_dict, read_logbook
from kit.findings import Problem, has_errors, in_reading_order
from kit.logbook import Logbook
from kit.options import tank_from_options

if TYPE_CHECKING:
    from kit.fit import FitResult

__all__ = ["main"]

DONE, FAILED, UNUSABLE = 0, 1, 2


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one plain sentence."""

    def error(self, message: str) -> NoReturn:
        print(f"{message}. Try: python -m kit --help", file=sys.stderr)
        raise SystemExit(UNUSABLE)


def _parser() -> _Parser:
    """Describe the commands."""
    parser = _Parser(
        prog="python -m kit",
        description="From an aquarium logbook to a nitrate balance and a plan.",
    )
    commands = parser.add_subparsers(dest="command", required=True)
    shared = _shared_options()
    check = commands.add_parser(
        "check", parents=[shared], help="read a logbook and list every problem"
    )
    check.add_argument(
        "--structure",
        action="store_true",
        help="only rows and lines of one CSV file, without meaning",
    )
    commands.add_parser("fit", parents=[shared], help="how fast nitrate rises")
    plan = commands.add_parser(
        "plan", parents=[shared], help="where a habit leads, or which habit to take"
    )
    plan.add_argument("--percent", required=True, help='percent each time, or "auto"')
    plan.add_argument("--every", required=True, help='days between, or "auto"')
    plan.add_argument(
        "--log-drip",
        help="for one CSV: the drip during the log, when --drip is only to be tried",
    )
    report = commands.add_parser(
        "report", parents=[shared], help="a page to print or post"
    )
    report.add_argument("--out", required=True, type=Path, help="folder to write to")
    return parser


def _shared_options() -> _Parser:
    """Options that every command takes."""
    shared = _Parser(add_help=False)
    shared.add_argument("path", metavar="PATH", help="a logbook folder or one CSV")
    shared.add_argument("--json", action="store_true", help="print one JSON object")
    shared.add_argument("--today", help="the day to judge future dates by, ISO")
    shared.add_argument("--answers", type=Path, help="file with answers to questions")
    shared.add_argument(
        "--without-errors",
        action="store_true",
        help="go on without the cells and rows that are in error",
    )
    shared.add_argument("--volume", help="water volume in litres, or with its unit")
    shared.add_argument("--source-nitrate", help="nitrate of the new water, mg/L NO3")
    shared.add_argument("--kit-steps", help='"0,5,10,20" or the name of a chart')
    shared.add_argument("--kit-resolution", help="smallest difference a meter shows")
    shared.add_argument("--drip", help="fresh water running in, L a day")
    shared.add_argument("--same-day", help="test before or after that day's exchange")
    shared.add_argument("--ceiling", help="the keeper's own limit, mg/L NO3")
    return shared


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : sequence of str, optional
        As on the command line, without the program's name.

    Returns
    -------
    int
        0 when done, 2 when the input cannot be used, 1 when the kit itself failed.
    """
    _say_any_text()
    asked = _parser().parse_args(arguments)
    run = {"check": _check, "fit": _fit, "plan": _plan, "report": _report}
    try:
        return run[asked.command](asked)
    except KitError as fault:
        return _stop(asked, str(fault))
    except Exception as fault:  # a keeper never sees a traceback
        _stop(
            asked,
            f"The kit itself failed ({type(fault).__name__}: {fault}). Your files are "
            "as they were. Please report the command you ran.",
        )
        return FAILED


def _say_any_text() -> None:
    """Let the terminal take any text, whatever its code page."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")


def _print_json(content: dict[str, Any]) -> None:
    """Print one JSON object; numbers without an end become null."""
    print(json.dumps(_finite(content), ensure_ascii=False, allow_nan=False))


def _finite(value: Any) -> Any:
    """Replace what JSON cannot say."""
    if isinstance(value, dict):
        return {key: _finite(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _stop(asked: argparse.Namespace, sentence: str) -> int:
    """Say why nothing was done."""
    if asked.json:
        _print_json({"refused": sentence, "problems": []})
    print(sentence, file=sys.stderr)
    return UNUSABLE


def _today(asked: argparse.Namespace) -> dt.date:
    """Give the day to judge by."""
    if asked.today is None:
        return clock.today()
    try:
        return dt.date.fromisoformat(asked.today)
    except ValueError:
        message = f"--today {asked.today!r} is not a day such as 2026-03-02."
        raise KitError(message) from None


def _load(asked: argparse.Namespace) -> tuple[Logbook, tuple[Problem, ...]]:
    """Read the logbook with the options laid over its settings."""
    today = _today(asked)
    options = {
        "volume": asked.volume,
        "source_nitrate": asked.source_nitrate,
        "kit_steps": asked.kit_steps,
        "kit_resolution": asked.kit_resolution,
        "drip": _log_drip(asked),
        "same_day": asked.same_day,
        "ceiling": asked.ceiling,
    }
    given = any(value is not None for value in options.values())
    tank, wrong = tank_from_options(None, **options)
    if wrong:
        return Logbook(tank), wrong
    if not given:
        log = read_logbook(asked.path, today=today, answers=asked.answers)
        return log, log.problems
    log = read_logbook(
        asked.path,
        today=today,
        answers=asked.answers,
        options=lambda base: tank_from_options(base, **options)[0],
    )
    return log, log.problems


def _log_drip(asked: argparse.Namespace) -> str | None:
    """Give the drip of the log itself: a plan for a folder keeps the settings' own."""
    drip: str | None = asked.drip
    if asked.command != "plan":
        return drip
    own: str | None = asked.log_drip
    if own is not None:
        return own
    return None if Path(asked.path).is_dir() else drip


def _usable(asked: argparse.Namespace, problems: tuple[Problem, ...]) -> bool:
    """Whether to go on: no errors, or told to go on without what is in error."""
    return asked.without_errors or not has_errors(problems)


def _print_problems(problems: Sequence[Problem], stream: Any = None) -> None:
    """Print problems, worst first, under a count of each level."""
    stream = stream or sys.stdout
    levels = [p.level for p in problems]
    if not levels:
        print("No problems found.", file=stream)
        return
    counts = [
        f"{levels.count(level)} {level}{'s' if levels.count(level) != 1 else ''}"
        for level in ("error", "question", "note")
        if level in levels
    ]
    print(", ".join(counts) + ":", file=stream)
    for p in in_reading_order(problems):
        print(f"  {p.level}: {p.sentence()}", file=stream)
        for choice in p.choices:
            print(f"      answer {choice.answer!r}: {choice.means}", file=stream)


def _check(asked: argparse.Namespace) -> int:
    """Read a logbook, or one file's structure, and list every problem."""
    if asked.structure:
        return _check_structure(asked)
    log, problems = _load(asked)
    usable = _usable(asked, problems)
    if asked.json:
        content = logbook_as_dict(log)
        content["problems"] = [p.as_dict() for p in in_reading_order(problems)]
        _print_json(content)
        return DONE if usable else UNUSABLE
    print(
        f"{log.tank.name}: {len(log.tests)} tests, {len(log.exchanges)} exchanges, "
        f"{len(log.feedings)} feedings, {len(log.upkeep)} upkeep entries read from "
        f"{', '.join(log.files) or 'no file'}. Nothing in your files was changed."
    )
    _print_problems(problems)
    return DONE if usable else UNUSABLE


def _check_structure(asked: argparse.Namespace) -> int:
    """Read one file's rows."""
    sheet = structure.read_sheet(Path(asked.path))
    usable = not has_errors(sheet.problems)
    if asked.json:
        _print_json(structure.sheet_as_dict(sheet))
    else:
        for table in sheet.tables:
            rows = f"{len(table.records)} rows, {len(table.header)} columns"
            print(f"{sheet.file}: {rows}, encoding {sheet.encoding}.")
        _print_problems(sheet.problems)
    return DONE if usable else UNUSABLE


def _fitted(asked: argparse.Namespace) -> tuple[Logbook, FitResult | None]:
    """Load and fit; None, with the problems printed, where the input is unusable."""
    from kit import fit

    log, problems = _load(asked)
    if not _usable(asked, problems):
        if asked.json:
            _print_json(
                {
                    "refused": "The log has errors; mend them, or add "
                    "--without-errors to go on without those cells and rows.",
                    "problems": [p.as_dict() for p in in_reading_order(problems)],
                }
            )
        _print_problems(problems, sys.stderr)
        print(
            "Nothing was fitted. Mend the errors, or add --without-errors to go on "
            "without those cells and rows.",
            file=sys.stderr,
        )
        return log, None
    return log, fit.rate(log)


def _fit(asked: argparse.Namespace) -> int:
    """Fit and say."""
    log, result = _fitted(asked)
    if result is None:
        return UNUSABLE
    from kit import exports, words

    more = words.log_sentences(log)
    if asked.json:
        _print_json(exports.fit_as_dict(result, more))
        return DONE
    for sentence in words.fit_sentences(result) + more:
        print(sentence)
    if result.assumptions:
        print("Taken as given: " + " ".join(result.assumptions))
    return DONE


def _number(text: str, option: str) -> float | None:
    """Read a number, or None for "auto"."""
    if text.strip().casefold() == "auto":
        return None
    try:
        value = float(text.strip().rstrip("%"))
    except ValueError:
        value = float("nan")
    if not math.isfinite(value):
        message = f'{option} {text!r} is neither a number nor "auto".'
        raise KitError(message)
    return value


def _plan(asked: argparse.Namespace) -> int:
    """Plan and say."""
    percent = _number(asked.percent, "--percent")
    every = _number(asked.every, "--every")
    log, result = _fitted(asked)
    if result is None:
        return UNUSABLE
    from kit import cautions, exports, outcome, words

    found = outcome.plan_for(
        log, result, percent=percent, every_days=every, drip_l_day=_planned_drip(asked)
    )
    if asked.json:
        _print_json(exports.plan_as_dict(found))
        return DONE
    if found.plan is None:
        print(found.why)
        return DONE
    for sentence in cautions.for_page(*cautions.EXCHANGE):
        print(sentence)
    print()
    for sentence in words.plan_sentences(
        found.plan, source_known=result.source_known, litres_known=found.litres_known
    ):
        print(sentence)
    if found.backwash_l_day > 0:
        print(words.backwash_sentence(found.backwash_l_day))
    if found.surer is not None:
        print(words.surer_sentence(found.surer))
    return DONE


def _planned_drip(asked: argparse.Namespace) -> float | None:
    """Give the drip to plan with, where one was named."""
    if asked.drip is None:
        return None
    return tank_from_options(None, drip=asked.drip)[0].drip_l_day


def _report(asked: argparse.Namespace) -> int:
    """Write the page and say the verdict."""
    log, result = _fitted(asked)
    if result is None:
        return UNUSABLE
    from kit import report
    from kit.page import report_of

    page = report_of(log, result)
    written = report.write(page, asked.out)
    if asked.json:
        _print_json(
            {
                "verdict": list(page.verdict),
                "refused": result.refused,
                "files": [str(path) for path in written],
            }
        )
        return DONE
    for sentence in page.cautions:
        print(sentence)
    print()
    for sentence in page.verdict:
        print(sentence)
    print(f"\nThe page to open or post: {written[0]}")
    print("The notebook to open next: notebooks/00_start_here.ipynb")
    return DONE
