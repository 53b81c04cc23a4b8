"""What may stand on the command line, and its numbers, read strictly."""

from __future__ import annotations

import argparse
import datetime as dt
import difflib
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from kit import clock
from kit.cli._cases import add_case_options, case_of
from kit.cli._known import add_known_options
from kit.errors import KitError
from kit.findings import Problem
from kit.logbook import Tank
from kit.options import tank_from_options
from kit.report import SECTIONS

__all__ = [
    "log_options",
    "number",
    "overlay",
    "parse",
    "planned_drip",
    "small_percent",
    "today",
]

_LONGEST_DAYS = 3650.0
_MOST_DAYS_BACK = 200


class UsageError(KitError):
    """A command line that says nothing the kit knows."""


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one plain sentence."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message}. Try: python -m kit --help")


def _folder(text: str) -> Path:
    """Read the name of a folder to write to; an empty one is refused."""
    if not text.strip():
        raise argparse.ArgumentTypeError("name a folder to write to")
    return Path(text)


def _sections(text: str) -> tuple[str, ...]:
    """Read the names of sections; the order of the page stays its own."""
    names = tuple(part.strip().casefold() for part in text.split(",") if part.strip())
    unknown = [name for name in names if name not in SECTIONS]
    if unknown or not names:
        shown = ", ".join(SECTIONS)
        raise argparse.ArgumentTypeError(f"choose among {shown}")
    return names


def _shared() -> _Parser:
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
    shared.add_argument(
        "--units",
        choices=("metric", "us", "imperial"),
        default="metric",
        help="whose units to write volumes in",
    )
    shared.add_argument("--volume", help="water volume in litres, or with its unit")
    shared.add_argument("--source-nitrate", help="nitrate of the new water, mg/L NO3")
    shared.add_argument("--kit-steps", help='"0,5,10,20" or the name of a chart')
    shared.add_argument("--kit-resolution", help="smallest difference a meter shows")
    shared.add_argument("--drip", help="fresh water running in, L a day")
    shared.add_argument("--same-day", help="test before or after that day's exchange")
    shared.add_argument("--ceiling", help="the keeper's own limit, mg/L NO3")
    return shared


def _days(text: str) -> int:
    """Read how many days to go back to."""
    try:
        days = int(text)
    except ValueError:
        days = 0
    if not 1 <= days <= _MOST_DAYS_BACK:
        msg = f"{text!r} is not a number of days from 1 to {_MOST_DAYS_BACK}"
        raise argparse.ArgumentTypeError(msg)
    return days


def _add_backtest(commands: Any, shared: _Parser) -> None:
    """Describe the backtest."""
    back = commands.add_parser(
        "backtest", parents=[shared], help="what would have been foretold, and was read"
    )
    back.add_argument(
        "--days",
        type=_days,
        default=24,
        metavar="N",
        help="days of the log to go back to at most; each takes a fit (24)",
    )


def _add_report(commands: Any, shared: _Parser) -> None:
    """Describe the report."""
    report = commands.add_parser(
        "report", parents=[shared], help="a page to print or post"
    )
    add_known_options(report)
    report.add_argument("--out", required=True, type=_folder, help="folder to write to")
    report.add_argument(
        "--hide-names",
        action="store_true",
        help="neutral words for the tank, readers, files and notes",
    )
    report.add_argument(
        "--sections",
        type=_sections,
        default=(),
        metavar="NAMES",
        help=f"what to show, parted by commas: {', '.join(SECTIONS)}; all by default",
    )
    report.add_argument(
        "--each",
        action="store_true",
        help="PATH holds a logbook folder for each of several tanks",
    )


def _parser() -> _Parser:
    """Describe the commands."""
    parser = _Parser(
        prog="python -m kit",
        description="From an aquarium logbook to a nitrate balance and a plan.",
    )
    commands = parser.add_subparsers(dest="command", required=True)
    shared = _shared()
    check = commands.add_parser(
        "check", parents=[shared], help="read a logbook and list every problem"
    )
    check.add_argument(
        "--structure",
        action="store_true",
        help="only rows and lines of one CSV file, without meaning",
    )
    fitting = commands.add_parser(
        "fit", parents=[shared], help="how fast nitrate rises"
    )
    add_known_options(fitting)
    plan = commands.add_parser(
        "plan", parents=[shared], help="where a habit leads, or which habit to take"
    )
    plan.add_argument("--percent", help='percent each time, or "auto"')
    plan.add_argument("--every", help='days between, or "auto"')
    plan.add_argument(
        "--log-drip",
        help="for one CSV: the drip during the log, when --drip is only to be tried",
    )
    add_known_options(plan)
    add_case_options(plan)
    _add_backtest(commands, shared)
    _add_report(commands, shared)
    return parser


def parse(arguments: Sequence[str] | None) -> argparse.Namespace:
    """Read the command line.

    Parameters
    ----------
    arguments : sequence of str or None
        Without the program's name; None for the process's own.

    Returns
    -------
    argparse.Namespace
        What was asked.

    Raises
    ------
    UsageError
        Something unknown or missing, in one sentence.
    """
    asked, rest = _parser().parse_known_args(arguments)
    if rest:
        raise UsageError(_unknown(rest[0], asked))
    if asked.command == "plan" and case_of(asked) is None:
        missing = [f"--{o}" for o in ("percent", "every") if getattr(asked, o) is None]
        if missing:
            named = ", ".join(missing)
            raise UsageError(
                f"Missing: {named}. Example: --percent auto --every 7. Or ask for "
                "--shortlist, --catch-up, --add-feed or --away. "
                "Try: python -m kit plan --help"
            )
    return asked


def _unknown(word: str, asked: argparse.Namespace) -> str:
    """Say that a word on the command line means nothing, and what may be meant."""
    helped = f"Try: python -m kit {asked.command} --help"
    if not word.startswith("-"):
        return f"{word!r} is one word too many. {helped}"
    option = word.partition("=")[0]
    known = [f"--{name.replace('_', '-')}" for name in vars(asked)]
    near = difflib.get_close_matches(option, known, n=1)
    meant = f" Did you mean {near[0]}?" if near else ""
    return f"{asked.command} has no option {option}.{meant} {helped}"


def today(asked: argparse.Namespace) -> dt.date:
    """Give the day to judge by."""
    if asked.today is None:
        return clock.today()
    try:
        return dt.date.fromisoformat(asked.today)
    except ValueError:
        message = f"--today {asked.today!r} is not a day such as 2026-03-02."
        raise UsageError(message) from None


def number(asked: argparse.Namespace, option: str) -> float | None:
    """Read the percent or the interval of a plan, or None for "auto".

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.
    option : {"percent", "every"}
        Which.

    Returns
    -------
    float or None
        Percent [%] or days [day].

    Raises
    ------
    UsageError
        Not a number, or one that no plan can have.
    """
    text = str(getattr(asked, option)).strip()
    if text.casefold() == "auto":
        return None
    try:
        value = float(text.removesuffix("%"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        message = f'--{option} {text!r} is neither a number nor "auto".'
        raise UsageError(message)
    if option == "percent" and not 0.0 <= value <= 100.0:
        message = f"--percent {text} does not lie between 0 and 100 percent."
        raise UsageError(message)
    if option == "every" and not 0.0 < value <= _LONGEST_DAYS:
        message = f"--every {text} does not lie between 0 and {_LONGEST_DAYS:.0f} days."
        raise UsageError(message)
    return value


def small_percent(asked: argparse.Namespace) -> str:
    """Say how a percent below 1 is read, as a part of one may be meant.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line of a plan.

    Returns
    -------
    str
        Empty for any other percent [%], and for what is no number.
    """
    try:
        percent = float(str(asked.percent).strip().removesuffix("%"))
    except ValueError:
        return ""
    if not 0.0 < percent < 1.0:
        return ""
    part = f"{percent * 100.0:.3g}"
    return f"Read as {percent:g} %, less than 1 %. For {part} % write {part}."


def _log_drip(asked: argparse.Namespace) -> str | None:
    """Give the drip of the log itself: a plan for a folder keeps the settings' own."""
    drip: str | None = asked.drip
    if asked.command != "plan":
        return drip
    own: str | None = asked.log_drip
    if own is not None:
        return own
    return None if Path(asked.path).is_dir() else drip


def _settings(asked: argparse.Namespace) -> dict[str, str | None]:
    """Give the options that say what a settings file would."""
    return {
        "volume": asked.volume,
        "source_nitrate": asked.source_nitrate,
        "kit_steps": asked.kit_steps,
        "kit_resolution": asked.kit_resolution,
        "drip": _log_drip(asked),
        "same_day": asked.same_day,
        "ceiling": asked.ceiling,
    }


def overlay(asked: argparse.Namespace) -> bool:
    """Tell whether any option says what a settings file would."""
    return any(value is not None for value in _settings(asked).values())


def log_options(
    asked: argparse.Namespace, base: Tank | None = None
) -> tuple[Tank, tuple[Problem, ...]]:
    """Lay the options over a tank's settings; see `kit.options.tank_from_options`."""
    return tank_from_options(base, **_settings(asked))


def planned_drip(asked: argparse.Namespace) -> float | None:
    """Give the drip to plan with, where one was named. [L/day].

    Raises
    ------
    UsageError
        The drip is not an amount of water.
    """
    if asked.drip is None:
        return None
    tank, wrong = tank_from_options(None, drip=asked.drip)
    if wrong:
        raise UsageError(wrong[0].sentence())
    return tank.drip_l_day
