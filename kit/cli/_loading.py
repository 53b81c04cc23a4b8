"""Reading and fitting what the command line names, or why that cannot be done."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from kit.cli._arguments import log_options, overlay, today
from kit.cli._known import known_of
from kit.errors import KitError
from kit.files import read_logbook
from kit.findings import Problem, has_errors
from kit.logbook import Logbook
from kit.mask import masked

if TYPE_CHECKING:
    from kit.fit import FitResult

__all__ = ["Unusable", "fitted", "load", "stops"]


class Unusable(KitError):
    """A log that cannot be used, with its problems."""

    def __init__(self, log: Logbook, why: str) -> None:
        super().__init__(why)
        self.log = log


def load(asked: argparse.Namespace) -> Logbook:
    """Read the logbook with the options laid over its settings."""
    tank, wrong = log_options(asked)
    if wrong:
        why = "Nothing was read: mend the options and run it again."
        raise Unusable(Logbook(tank, problems=wrong), why)
    log = read_logbook(
        asked.path,
        today=today(asked),
        answers=asked.answers,
        options=(lambda base: log_options(asked, base)[0]) if overlay(asked) else None,
    )
    # What is said on the command line goes before the tests of the new water.
    return log if asked.source_nitrate is None else replace(log, source=())


def stops(asked: argparse.Namespace, problems: Sequence[Problem]) -> bool:
    """Whether errors stand in the way."""
    return has_errors(problems) and not asked.without_errors


def fitted(asked: argparse.Namespace, called: str = "") -> tuple[Logbook, FitResult]:
    """Load and fit; under a name given, with every other name taken out first.

    Raises
    ------
    Unusable
        Errors stand in the way, or the log holds no test at all.
    """
    from kit import fit

    log = load(asked)
    if not log.tests:
        raise Unusable(log, "Nothing was fitted: the log holds no usable test.")
    if stops(asked, log.problems):
        why = (
            "Nothing was fitted. Mend the errors, or add --without-errors to go on "
            "without those cells and rows."
        )
        raise Unusable(log, why)
    if called:
        log = masked(log, called)
    return log, fit.rate(log, known=known_of(asked))
