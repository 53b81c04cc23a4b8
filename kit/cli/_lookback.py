"""The backtest command: what the kit would have said on earlier days."""

from __future__ import annotations

import argparse
from typing import Any

from kit.cli._loading import Unusable, load, stops
from kit.cli._output import print_json

__all__ = ["run_backtest"]


def run_backtest(asked: argparse.Namespace) -> int:
    """Look back through a log and say how the forecasts did.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.

    Returns
    -------
    int
        0 when done.

    Raises
    ------
    Unusable
        Errors stand in the way, or the log holds no test at all.
    """
    log = load(asked)
    if not log.tests or stops(asked, log.problems):
        why = (
            "Nothing was looked back on: the log holds no usable test."
            if not log.tests
            else "Nothing was looked back on. Mend the errors, or add "
            "--without-errors to go on without those cells and rows."
        )
        raise Unusable(log, why)
    from kit.ahead import backtest, backtest_as_dict, backtest_sentences

    found = backtest(log, most=asked.days)
    if asked.json:
        values: dict[str, Any] = backtest_as_dict(found)
        print_json(values)
        return 0
    for sentence in backtest_sentences(found):
        print(sentence)
    return 0
