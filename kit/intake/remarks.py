"""Remarks beside a reading or an exchange that say it is not what its cells say."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from statistics import median
from typing import Final

from kit.celltext import words
from kit.findings import clip
from kit.intake.desk import Desk, Place, some
from kit.logbook import Exchange, Test

__all__ = ["note_dilutions", "note_top_ups"]

_DILUTED: Final = re.compile(
    r"\bdilut\w{0,3}\b"
    r"|\b[0-9]{1,2} parts? .{1,40}\b[0-9]{1,2} parts?\b"
    r"|\btimes [0-9]{1,2}\b"
)
_TOPPED: Final = re.compile(
    r"\b(?:topp?(?:ed|ing)?[ -](?:up|off)|filled (?:up|to the mark)|evaporat\w{1,4})\b"
)
_SMALL: Final = 0.7
"""Part of the usual exchange below which a remark on topping up is taken up. [-]"""


def note_dilutions(
    desk: Desk, tests: Sequence[Test], columns: Mapping[str, str]
) -> None:
    """Note readings whose remark speaks of a diluted sample; they count as written.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    tests : sequence of Test
        The tests kept.
    columns : mapping of str to str
        File name to the header of its nitrate column.
    """
    for test in tests:
        if _DILUTED.search(words(test.note)):
            desk.tell(
                "note",
                "diluted sample",
                Place(test.file, test.line, columns.get(test.file)),
                seen=f"{clip(test.raw)} with the remark {clip(test.note)}",
                expected="the nitrate of the tank",
                mend="it counts as written; if it was read in the mixed sample, write "
                "it times the dilution",
                lines=[test.line],
            )


def note_top_ups(
    desk: Desk, exchanges: Sequence[Exchange], columns: Mapping[str, str]
) -> None:
    """Note small exchanges whose remark speaks of filling up only.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    exchanges : sequence of Exchange
        The exchanges kept.
    columns : mapping of str to str
        File name to the header of its note column.
    """
    sized = [e for e in exchanges if e.kind == "batch" and e.fraction is not None]
    said = [e for e in sized if _TOPPED.search(words(e.note))]
    others = [e.fraction or 0.0 for e in sized if e not in said]
    usual = median(others) if others else float("inf")
    small = [e for e in said if (e.fraction or 0.0) < _SMALL * usual]
    for file in sorted({e.file for e in small}):
        lines = [e.line for e in small if e.file == file]
        first = next(e for e in small if e.file == file)
        desk.tell(
            "note",
            "exchange may be a top-up",
            Place(file, first.line, columns.get(file)),
            seen=f"{clip(first.note)} beside an exchange, on {some(lines)}",
            expected="water let out and replaced",
            mend="these count as exchanges; if no water was let out, write top-up as "
            "their kind or take the lines out",
            lines=lines,
        )
