"""The tidy folder read back, with the answers that make it read as the log."""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final

from kit.answers import Answer
from kit.files import read_logbook
from kit.findings import Problem
from kit.logbook import Exchange, Logbook, Tank, Test
from kit.tidy._cells import reading, spelled
from kit.tidy._tables import by_litres, readings_table, standards_table, table_bytes

__all__ = ["answers_for", "differences"]

# Free text and places, which are no part of a sum, and numbers given by their ends.
_WORDS: Final = frozenset(
    {"file", "line", "note", "raw", "reader", "kit", "food", "task"}
)
_TRIES: Final = 40  # second readings at most, to find the answers of the keeper


def _read(
    log: Logbook, files: dict[str, bytes], answers: Sequence[Answer] = ()
) -> Logbook:
    """Read the folder as anybody would, on the day after its last record."""
    records = (log.tests, log.exchanges, log.feedings, log.upkeep, log.source)
    days = [entry.date for table in records for entry in table]
    today = max([*days, *log.unknown_exchanges], default=dt.date(2000, 1, 1))
    kept = json.dumps({"answers": [asdict(a) for a in answers]})
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, body in files.items():
            (folder / file).write_bytes(body)
        given = folder / "answers.json"
        given.write_text(kept, encoding="utf-8")
        return read_logbook(folder, today=today, answers=given)


def answers_for(
    log: Logbook, files: dict[str, bytes]
) -> tuple[tuple[Answer, ...], Logbook]:
    """Find the answers with which the folder reads as the log.

    What the keeper answered about a cell is in its record already. A few questions
    would come up again all the same, such as whether a jump is real; the answer that
    gives the keeper's own records is kept with the folder.
    """
    again = _read(log, files)
    if "tests" in differences(log, again):
        _spell_out(log, files, again)
        again = _read(log, files)
    if "standards" in differences(log, again):
        # A kit of its own, named in the row, may read a number otherwise.
        files["standards.csv"] = table_bytes(*standards_table(log, spelled))
        again = _read(log, files)
    answers: tuple[Answer, ...] = ()
    open_before = {p.kind for p in log.problems if p.level == "question"}
    for _ in range(_TRIES):
        wrong = differences(log, again)
        asked = [
            p
            for p in again.problems
            if p.level == "question" and p.kind not in open_before
        ]
        if not wrong or not asked:
            break
        answers, again, better = _one_answer(log, files, answers, asked, wrong)
        if not better:
            break
    return answers, again


def _one_answer(
    log: Logbook,
    files: dict[str, bytes],
    answers: tuple[Answer, ...],
    asked: Sequence[Problem],
    wrong: dict[str, int],
) -> tuple[tuple[Answer, ...], Logbook, bool]:
    """Try the choices of each question until one brings the folder nearer."""
    for question in asked:
        for choice in question.choices:
            tried = (*answers, _as_answer(question, choice.answer))
            again = _read(log, files, tried)
            if sum(differences(log, again).values()) < sum(wrong.values()):
                return tried, again, True
    return answers, _read(log, files, answers), False


def _as_answer(question: Problem, word: str) -> Answer:
    name = question.question_id or ""
    return Answer(
        name, question.file, question.kind, word, "", question.fingerprint
    )  # fmt: skip


def _spell_out(log: Logbook, files: dict[str, bytes], again: Logbook) -> None:
    """Write the ends of readings whose number this kit would read otherwise."""
    read = {(t.line - 2): t for t in again.tests}
    odd = {
        id(t)
        for place, t in enumerate(log.tests)
        if place not in read
        or _of(read[place], value_mg_l=None) != _of(t, value_mg_l=None)
    }

    def write(test: Test, factor: float) -> str:
        return (spelled if id(test) in odd else reading)(test, factor)

    files["tests.csv"] = table_bytes(*readings_table(log, write))


def _near(value: float | None) -> float | None:
    """Drop the last figures, where conversions leave their dust."""
    return None if value is None else float(f"{value:.8g}")


def _of(record: Any, **instead: Any) -> tuple[tuple[str, Any], ...]:
    """Give every field of a record that a sum may use, with some put in place."""
    values = {f.name: getattr(record, f.name) for f in fields(record)}
    values |= instead
    return tuple(
        (name, _near(value) if isinstance(value, float) else value)
        for name, value in values.items()
        if name not in _WORDS
    )


def _part(e: Exchange, tank: Tank) -> float | None:
    return _near(by_litres(e, tank) if e.fraction is None else e.fraction)


def _contents(log: Logbook) -> dict[str, list[tuple[Any, ...]]]:
    """Give what a sum may use, in a form that can be compared."""
    return {
        "tests": [_of(t, value_mg_l=None) for t in log.tests],
        "exchanges": [
            _of(e, fraction=_part(e, log.tank), litres=None) for e in log.exchanges
        ],
        "unknown exchanges": [(day,) for day in log.unknown_exchanges],
        "lost exchanges": [(bool(log.lost_exchanges),)],
        "feedings": [_of(f) for f in log.feedings],
        "upkeep": [_of(u) for u in log.upkeep],
        "new water": [_of(s, value_mg_l=None) for s in log.source],
        "standards": [_of(s, value_mg_l=None) for s in log.standards],
        "breaks": [(day,) for day in log.breaks],
        "settings": [
            (name, _near(value) if isinstance(value, float) else value)
            for name, value in _flat(log.tank)
        ],
    }


def _flat(tank: Tank) -> list[tuple[str, Any]]:
    """Give the settings that a sum uses."""
    values = {name: getattr(tank, name) for name in tank.__dataclass_fields__}
    for words in ("name", "volume_how"):
        values.pop(words)
    steps = values.pop("kit_steps_mg_l") or ()
    changes = values.pop("volume_changes")
    flat = list(values.items())
    flat += [("step", float(s)) for s in steps]
    return flat + [("change", f"{c.date} {c.volume_l:.8g} {c.how}") for c in changes]


def differences(one: Logbook, other: Logbook) -> dict[str, int]:
    """Count the records of each kind that are in one log only."""
    out = {}
    first, second = _contents(one), _contents(other)
    for kind, rows in first.items():
        apart = set(rows) ^ set(second[kind])
        count = len(apart) + abs(len(rows) - len(second[kind]))
        if count:
            out[kind] = count
    return out
