"""The whole log at once: its order in time, gaps, jumps and slips."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import median
from typing import Any, Final

from kit.basis import NITRATE_PER_N
from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.desk import LEAVE_OUT, Desk, Place, some
from kit.intake.rows import Records
from kit.logbook import Exchange, Test, Upkeep

__all__ = [
    "ask_same_day",
    "find_jump",
    "hold_slips",
    "in_time_order",
    "note_gaps",
    "note_hidden_exchanges",
    "note_unsorted",
]

_GAP_DAYS: Final = 60
_NEAR: Final = 0.15  # a jump counts within 15 % of 4.43
_WINDOW: Final = 5
_WATER_OUT: Final = re.compile(
    r"\b(?:backwash\w{0,3}|water change|exchange\w{0,1}|wc|drained|changed)\b"
)
_AMOUNT: Final = re.compile(
    r"[0-9]{1,4}(?:[.,][0-9]{1,2})? ?(?:l|litres?|liters?|gal|%)\b"
)


def in_time_order(entries: Sequence[Any]) -> tuple[Any, ...]:
    """Sort records by day, time, file and line.

    Parameters
    ----------
    entries : sequence
        Records.

    Returns
    -------
    tuple
        A record without a time stands before those of its day that have one.
    """
    return tuple(
        sorted(entries, key=lambda e: (e.date, e.time or dt.time.min, e.file, e.line))
    )


def note_unsorted(desk: Desk, days: Mapping[int, dt.date], place: Place) -> None:
    """Note once that a table is not in the order of time.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    days : mapping of int to datetime.date
        Line to day, in the order of the file.
    place : Place
        The date column.
    """
    order = list(days.values())
    if order == sorted(order):
        return
    lines = list(days)
    turns = [(a, b) for a, b in pairwise(lines) if days[b] < days[a]]
    late = [b for _, b in turns]
    # Either day of such a pair may be the wrong one.
    both = sorted({n for pair in turns for n in pair})
    newest_first = order == sorted(order, reverse=True)
    seen = (
        "newest first" if newest_first else f"a day before the one above: {some(late)}"
    )
    desk.tell(
        "note",
        "not in order of time",
        place.at(late[0]),
        seen=seen,
        expected="oldest first",
        mend="sorted for reading; the file is as it was",
        lines=both if not newest_first else (),
    )


def note_gaps(desk: Desk, tests: Sequence[Test], columns: Mapping[str, str]) -> None:
    """Note stretches without any test.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    tests : sequence of Test
        In order of time.
    columns : mapping of str to str
        File name to the header of its date column.
    """
    for one, other in pairwise(tests):
        days = (other.date - one.date).days
        if days > _GAP_DAYS:
            desk.tell(
                "note",
                "gap between tests",
                Place(other.file, other.line, columns.get(other.file)),
                seen=f"{days} days without a test before {other.date.isoformat()}",
                expected=f"a test at least every {_GAP_DAYS} days",
                mend="nothing is fitted across the gap; the fit starts anew after it",
            )


def ask_same_day(
    desk: Desk, tests: Sequence[Test], exchanges: Sequence[Exchange]
) -> None:
    """Ask once per log which came first on days with a test and an exchange.

    Parameters
    ----------
    desk : Desk
        Its tank takes the answer.
    tests, exchanges : sequence
        The records.
    """
    if desk.tank.same_day is not None:
        return
    swaps: dict[dt.date, list[Exchange]] = {}
    for swap in exchanges:
        if swap.kind != "drip change" and swap.fraction != 0:
            swaps.setdefault(swap.date, []).append(swap)
    open_ = [
        t
        for t in tests
        if t.order is None
        and any(t.time is None or s.time is None for s in swaps.get(t.date, []))
    ]
    if not open_:
        return
    file = open_[0].file
    lines = [t.line for t in open_ if t.file == file]
    answer = desk.ask(
        "same-day order",
        Place(file),
        seen=f"a test and an exchange on one day without times; {some(lines)}",
        expected="which came first, or the time of each",
        mend="answer once for the whole log; until then both orders are allowed for",
        choices=(
            Choice("before", "I test before that day's exchange"),
            Choice("after", "I test after that day's exchange"),
            Choice("differs", "it differs; both orders are allowed for"),
        ),
        touches=("same-day order",),
        lines=lines,
    )
    if answer == "before":
        desk.tank = replace(desk.tank, same_day="before")
    elif answer == "after":
        desk.tank = replace(desk.tank, same_day="after")


def _middle(test: Test) -> float | None:
    """Give one number for a reading, only to compare sizes."""
    if test.value_mg_l is not None:
        return test.value_mg_l or None
    if test.high_mg_l is None or test.low_mg_l == 0:
        return None
    return math.sqrt(test.low_mg_l * test.high_mg_l)


def find_jump(
    desk: Desk, tests: Sequence[Test], columns: Mapping[str, str]
) -> tuple[list[Test], tuple[dt.date, ...]]:
    """Ask about a lasting jump of 4.43 times: NO3-N on one side, NO3 on the other.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    tests : sequence of Test
        In order of time.
    columns : mapping of str to str
        File name to the header of its nitrate column.

    Returns
    -------
    list of Test
        The tests, with the answer applied.
    tuple of datetime.date
        Day of the first test after a jump that is still in question.
    """
    sized = [(t, m) for t in tests if (m := _middle(t)) is not None]
    values = [m for _, m in sized]
    at = _jump_at(values)
    if at is None:
        return list(tests), ()
    first = sized[at][0]
    rises = values[at] > values[at - 1]
    side = "before" if rises else "after"
    lines = [t.line for t, _ in sized[at:] if t.file == first.file]
    answer = desk.ask(
        "jump of 4.43 times",
        Place(first.file, first.line, columns.get(first.file)),
        seen=f"readings near {median(values[max(0, at - _WINDOW) : at]):.3g} mg/L, "
        f"from {first.date} on {median(values[at : at + _WINDOW]):.3g}",
        expected="one basis; 1 mg/L of nitrate nitrogen is 4.43 mg/L of nitrate",
        mend="answer whether the kit changed its basis; nothing is fitted across it",
        choices=(
            Choice("real", "the tank really changed; all values hold"),
            Choice(
                f"NO3-N {side}",
                f"the readings {side} count nitrogen and are multiplied by 4.4268",
            ),
        ),
        touches=[t.raw for t, _ in sized],
        lines=lines,
    )
    if answer is None:
        return list(tests), (first.date,)
    if answer == "real":
        return list(tests), ()
    turned = {id(t) for t in tests if (t.date < first.date) == rises}
    return [_times_n(t) if id(t) in turned else t for t in tests], ()


def _times_n(test: Test) -> Test:
    def scaled(x: float | None) -> float | None:
        return None if x is None else x * NITRATE_PER_N

    return replace(
        test,
        low_mg_l=test.low_mg_l * NITRATE_PER_N,
        high_mg_l=scaled(test.high_mg_l),
        value_mg_l=scaled(test.value_mg_l),
    )


def _jump_at(values: Sequence[float]) -> int | None:
    """Find the place where neighbouring medians differ by 4.43 times, if sharp."""
    best: tuple[float, int] | None = None
    for at in range(3, len(values) - 2):
        before = values[max(0, at - _WINDOW) : at]
        after = values[at : at + _WINDOW]
        low, high = sorted((before, after), key=median)
        ratio = median(high) / median(low)
        off = abs(ratio / NITRATE_PER_N - 1)
        step = max(values[at], values[at - 1]) / min(values[at], values[at - 1])
        sharp = step > 2.5 and max(low) < min(high)
        if sharp and off <= _NEAR and (best is None or off < best[0]):
            best = (off, at)
    return None if best is None else best[1]


def hold_slips(
    desk: Desk, tests: Sequence[Test], columns: Mapping[str, str]
) -> list[Test]:
    """Ask about one reading ten times its neighbours, or a tenth of them.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    tests : sequence of Test
        In order of time.
    columns : mapping of str to str
        File name to the header of its nitrate column.

    Returns
    -------
    list of Test
        Without the readings held back.
    """
    sized = [t for t in tests if t.value_mg_l]
    answers: dict[int, Test | None] = {}
    for at, test in enumerate(sized):
        near = [*sized[max(0, at - 3) : at], *sized[at + 1 : at + 4]]
        factor = _slip(at, len(sized), test.value_mg_l or 0.0, near)
        if factor is not None:
            answers[id(test)] = _ask_slip(desk, test, factor, columns)
        elif _far(test.value_mg_l or 0.0, near):
            _note_far(desk, test, near, columns)
    kept = [answers.get(id(t), t) for t in tests]
    return [t for t in kept if t is not None]


def _far(value: float, near: Sequence[Test]) -> bool:
    """Tell a reading five times its neighbours, or a fifth, when they agree."""
    others = [t.value_mg_l or 0.0 for t in near]
    if len(others) < 3 or max(others) > 2.5 * min(others):
        return False
    return not 0.2 < value / median(others) < 5


def _note_far(
    desk: Desk, test: Test, near: Sequence[Test], columns: Mapping[str, str]
) -> None:
    usual = median(t.value_mg_l or 0.0 for t in near)
    desk.tell(
        "note",
        "far from its neighbours",
        Place(test.file, test.line, columns.get(test.file)),
        seen=clip(test.raw),
        expected=f"a reading like those around it, near {usual:.3g}",
        mend="kept as written; check it, and the other cells of its row",
    )


def _slip(at: int, count: int, value: float, near: Sequence[Test]) -> float | None:
    """Give 10 or 0.1 when a reading is off by that and its neighbours agree."""
    others = [t.value_mg_l or 0.0 for t in near]
    if not 0 < at < count - 1 or len(others) < 3 or max(others) > 2.5 * min(others):
        return None
    ratio = value / median(others)
    if 8 < ratio < 12.5:
        return 10.0
    return 0.1 if 0.08 < ratio < 0.125 else None


def _ask_slip(
    desk: Desk, test: Test, factor: float, columns: Mapping[str, str]
) -> Test | None:
    value = test.value_mg_l or 0.0
    meant = value / factor
    answer = desk.ask(
        "ten times its neighbours" if factor > 1 else "a tenth of its neighbours",
        Place(test.file, test.line, columns.get(test.file)),
        seen=clip(test.raw),
        expected=f"a reading like those around it, such as {meant:g}",
        mend="answer whether it is a slip of the decimal sign, or correct it",
        choices=(
            Choice("as written", "the reading holds", f"{value:g} mg/L"),
            Choice("slip", "the decimal sign slipped", f"{meant:g} mg/L"),
            LEAVE_OUT,
        ),
        touches=[test.raw],
    )
    if answer == "as written":
        return test
    if answer != "slip":
        return None
    high = None if test.high_mg_l is None else test.high_mg_l / factor
    return replace(
        test,
        value_mg_l=meant,
        low_mg_l=test.low_mg_l / factor,
        high_mg_l=high,
        doubtful=True,
    )


def note_hidden_exchanges(
    desk: Desk, records: Records, columns: Mapping[str, str]
) -> None:
    """Note upkeep entries that speak of water let out but stand nowhere as exchange.

    Parameters
    ----------
    desk : Desk
        Where problems go.
    records : Records
        The whole log.
    columns : mapping of str to str
        File name to the header of its task column.
    """
    logged = {e.date for e in records.exchanges} | records.unknown
    hidden: dict[str, list[Upkeep]] = {}
    for entry in records.upkeep:
        text = words(f"{entry.task} {entry.note}")
        said = _WATER_OUT.search(text) and ("backwash" in text or _AMOUNT.search(text))
        if said and entry.date not in logged:
            hidden.setdefault(entry.file, []).append(entry)
    for file, entries in hidden.items():
        first = entries[0]
        lines = [e.line for e in entries]
        desk.tell(
            "note",
            "exchange only in upkeep",
            Place(file, first.line, columns.get(file)),
            seen=f"{clip(first.task)} on {some(lines)}",
            expected="water let out, logged as an exchange with its litres",
            mend="a backwash that lowers the level is an exchange; log its litres",
            lines=lines,
        )
