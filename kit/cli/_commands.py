"""The commands: check, fit, plan, backtest, report."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kit import structure
from kit.cli._arguments import number, parse, planned_drip, small_percent, today
from kit.cli._cases import case_of, plan_case
from kit.cli._loading import Unusable, fitted, load, stops
from kit.cli._lookback import run_backtest
from kit.cli._output import as_plain, print_json, print_problems, say_any_text
from kit.cli._report import write_reports
from kit.errors import KitError
from kit.files import logbook_as_dict
from kit.findings import has_errors

if TYPE_CHECKING:
    from kit.fit import FitResult
    from kit.outcome import Outcome
    from kit.rounding import Output

__all__ = ["main"]

DONE, FAILED, UNUSABLE = 0, 1, 2


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
    say_any_text()
    as_json = "--json" in (sys.argv[1:] if arguments is None else arguments)
    try:
        asked = parse(arguments)
        run = {
            "check": _check,
            "fit": _fit,
            "plan": _plan,
            "backtest": run_backtest,
            "report": write_reports,
        }
        return run[asked.command](asked)
    except Unusable as fault:
        return _unusable(fault, as_json)
    except KitError as fault:
        return _stop(str(fault), as_json, UNUSABLE)
    except BrokenPipeError:
        # Whoever read the words has had enough; there is nobody left to tell.
        sys.stdout = None
        return DONE
    except Exception as fault:  # a keeper never sees a traceback
        sentence = (
            f"The kit itself failed ({type(fault).__name__}: {fault}). Your files are "
            "as they were. Please report the command you ran."
        )
        return _stop(sentence, as_json, FAILED)


def _stop(sentence: str, as_json: bool, code: int) -> int:
    """Say why nothing was done."""
    if as_json:
        print_json({"refused": sentence, "problems": []})
    print(sentence, file=sys.stderr)
    return code


def _unusable(fault: Unusable, as_json: bool) -> int:
    """Print the problems and why nothing was done."""
    problems = fault.log.problems
    if as_json:
        print_json({"refused": str(fault), "problems": as_plain(problems)})
    print_problems(problems, sys.stderr)
    print(str(fault), file=sys.stderr)
    return UNUSABLE


def _check(asked: argparse.Namespace) -> int:
    """Read a logbook, or one file's structure, and list every problem."""
    if asked.structure:
        return _check_structure(asked)
    log = load(asked)
    code = UNUSABLE if stops(asked, log.problems) else DONE
    if asked.json:
        print_json({**logbook_as_dict(log), "problems": as_plain(log.problems)})
        return code
    print(
        f"{log.tank.name}: tests {len(log.tests)}, exchanges {len(log.exchanges)}, "
        f"feedings {len(log.feedings)}, upkeep {len(log.upkeep)}. Nothing in your "
        "files was changed."
    )
    for line in _dress(Path(asked.path), log.files):
        print(line)
    print_problems(log.problems)
    return code


def _dress(path: Path, names: Sequence[str]) -> list[str]:
    """Say of each file how it is written."""
    said = []
    marks = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
    for name in names:
        place = path / name if path.is_dir() else path
        if not place.is_file():
            continue
        sheet = structure.read_sheet(place)
        mark = marks.get(sheet.delimiter, "one column")
        said.append(f"  {name}: {sheet.encoding}, {mark}")
    return said


def _check_structure(asked: argparse.Namespace) -> int:
    """Read one file's rows."""
    sheet = structure.read_sheet(Path(asked.path))
    if asked.json:
        print_json(structure.sheet_as_dict(sheet))
    else:
        for table in sheet.tables:
            rows = f"{len(table.records)} rows, {len(table.header)} columns"
            print(f"{sheet.file}: {rows}, encoding {sheet.encoding}.")
        print_problems(sheet.problems)
    return UNUSABLE if has_errors(sheet.problems) else DONE


def _fit(asked: argparse.Namespace) -> int:
    """Fit and say."""
    log, result = fitted(asked)
    from kit import exports, words

    more = words.log_sentences(log)
    if asked.json:
        print_json(exports.fit_as_dict(result, more))
        return DONE
    # What was held back or left out can overturn the verdict: it goes first then.
    unread = any(p.level != "note" for p in log.problems)
    said = words.fit_sentences(result)
    for sentence in more + said if unread else said + more:
        print(sentence)
    if result.assumptions:
        print("Taken as given: " + " ".join(result.assumptions))
    return DONE


def _plan(asked: argparse.Namespace) -> int:
    """Plan and say."""
    small = small_percent(asked)
    if small and not asked.json:
        print(f"{small}\n")
    if case_of(asked) is not None:
        return _plan_case(asked)
    percent, every = number(asked, "percent"), number(asked, "every")
    drip = planned_drip(asked)
    log, result = fitted(asked)
    from kit import exports, outcome

    if None in (percent, every) and log.tank.ceiling_mg_l is None:
        message = (
            'For "auto" the plan needs your ceiling: add --ceiling and a number in '
            "mg/L, or write ceiling_mg_l under [plan] in tank.toml."
        )
        raise KitError(message)
    if percent is None and every is None:
        message = "Give the percent or the interval; the other one can be solved for."
        raise KitError(message)
    found = outcome.plan_for(
        log, result, percent=percent, every_days=every, drip_l_day=drip
    )
    if asked.json:
        print_json(exports.plan_as_dict(found))
        return DONE
    for sentence in _plan_said(found, result, log.tank.max_percent, asked.units):
        print(sentence)
    return DONE


def _plan_case(asked: argparse.Namespace) -> int:
    """Plan a catch-up, more food or a time away, and say."""
    drip = planned_drip(asked)
    said, values = plan_case(asked, fitted, drip, today(asked))
    if asked.json:
        print_json(values)
        return DONE
    for sentence in said:
        print(sentence)
    return DONE


def _plan_said(
    found: Outcome, result: FitResult, max_percent: float | None, units: Output
) -> list[str]:
    """Cautions first, then the plan; or why there is none."""
    from kit import cautions, words

    if found.plan is None:
        return [found.why]
    said = [*cautions.for_page(*cautions.EXCHANGE), ""]
    said += words.reserve_sentences(found.plan, result, max_percent)
    said += words.plan_sentences(
        found.plan,
        source_known=result.source_known,
        litres_known=found.litres_known,
        output=units,
    )
    if found.backwash_l_day > 0:
        said.append(words.backwash_sentence(found.backwash_l_day, units))
    if found.surer is not None:
        said.append(words.surer_sentence(found.surer, units))
    return said
