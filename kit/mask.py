"""A logbook without names: neutral words for tank, people, files and free text.

Days and numbers stay as they are, so the sums are the same. It is done on the records
before anything is fitted or drawn, so no later step can let a name through.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, Final

from kit.findings import Problem
from kit.logbook import Logbook, Tank

__all__ = ["masked"]

_OWN_FILES: Final = frozenset(
    f"{name}.csv"
    for name in ("tests", "feedings", "exchanges", "upkeep", "source", "standards")
) | {"tank.toml", "answers.json"}
_PLAIN_READING: Final = re.compile(r"[0-9.,<>≤≥~+?% -]{1,24}")
_CURRENCY: Final = re.compile(r"[A-Z]{3}")
_GIVEN_ON: Final = re.compile(r" on ([0-9]{4}-[0-9]{2}-[0-9]{2})$")

# What a masked problem still says: where, of what class, and what became of it.
_SAID: Final = {
    "error": ("a cell or row that can be read", "left out until it is mended"),
    "question": ("the keeper's answer", "held back until it is answered"),
    "note": ("none of these", "kept or repaired, as the check of the log says"),
}


def masked(log: Logbook, name: str = "Tank") -> Logbook:
    """Replace every name and free text of a logbook by neutral words.

    Parameters
    ----------
    log : Logbook
        A loaded log.
    name : str, optional
        What the tank is called from now on.

    Returns
    -------
    Logbook
        The same days and numbers; equal names stay equal.
    """
    file = _numbered("log", _file_names(log), keep=_OWN_FILES)
    checks: tuple[Any, ...] = (*log.tests, *log.standards)
    reader = _numbered("reader", (t.reader for t in checks))
    kit = _numbered("kit", (t.kit for t in checks))
    food = _numbered("food", (f.food for f in log.feedings))
    task = _numbered("task", (u.task for u in log.upkeep))

    def plainer(entry: Any, **changes: Any) -> Any:
        return replace(entry, file=file(entry.file), note=_free(entry.note), **changes)

    return replace(
        log,
        tank=_tank(log.tank, name),
        tests=tuple(
            plainer(t, reader=reader(t.reader), kit=kit(t.kit), raw=_raw(t))
            for t in log.tests
        ),
        exchanges=tuple(plainer(e) for e in log.exchanges),
        feedings=tuple(plainer(f, food=food(f.food)) for f in log.feedings),
        upkeep=tuple(plainer(u, task=task(u.task)) for u in log.upkeep),
        source=tuple(plainer(s, raw=_raw(s)) for s in log.source),
        standards=tuple(
            plainer(s, reader=reader(s.reader), kit=kit(s.kit), raw=_raw(s))
            for s in log.standards
        ),
        notes=tuple(
            replace(n, file=file(n.file), text=_free(n.text)) for n in log.notes
        ),
        problems=tuple(_problem(p, file) for p in log.problems),
        files=tuple(file(f) for f in log.files),
        answers=tuple(_answer(text) for text in log.answers),
        lost_exchanges=tuple(_place(p, log, file) for p in log.lost_exchanges),
    )


def _file_names(log: Logbook) -> list[str]:
    """List every file that is named anywhere, in the order of their names."""
    tables: tuple[Iterable[Any], ...] = (
        *(log.tests, log.exchanges, log.feedings, log.upkeep, log.source),
        *(log.standards, log.notes, log.problems),
    )
    return sorted({*log.files, *(entry.file for table in tables for entry in table)})


def _numbered(
    word: str, texts: Iterable[str], keep: frozenset[str] = frozenset()
) -> Callable[[str], str]:
    """Give a function that turns each different text into the word and a number."""
    different = [t for t in dict.fromkeys(texts) if t and t not in keep]
    known = {t: f"{word} {i}" for i, t in enumerate(different, 1)}
    return lambda text: known.get(text, text if text in keep else "")


def _free(text: str) -> str:
    """Say that there was a note, not what it said."""
    return "a note" if text.strip() else ""


def _tank(tank: Tank, name: str) -> Tank:
    known = _CURRENCY.fullmatch(tank.currency)
    return replace(tank, name=name, currency=tank.currency if known else "")


def _raw(test: Any) -> str:
    """Keep a reading written in signs; spell any other by what it allows."""
    if _PLAIN_READING.fullmatch(test.raw.strip()):
        return str(test.raw)
    value = test.value_mg_l
    if value is not None:
        return f"{value:.4g}"
    if test.high_mg_l is None:
        return f">{test.low_mg_l:.4g}"
    low = f"{test.low_mg_l:.4g}-" if test.low_mg_l > 0 else "<"
    return f"{low}{test.high_mg_l:.4g}"


def _problem(p: Problem, file: Callable[[str], str]) -> Problem:
    """Keep the place and the class of a problem, not what was read there."""
    expected, became = _SAID[p.level]
    return Problem(
        level=p.level,
        kind=p.kind,
        file=file(p.file),
        seen=f'what the check calls "{p.kind}"',
        expected=expected,
        mend=became,
        line=p.line,
        letter=p.letter,
        lines=p.lines,
    )


def _answer(text: str) -> str:
    found = _GIVEN_ON.search(text)
    return f"an answer of {found[1]}" if found else "an answer"


def _place(place: str, log: Logbook, file: Callable[[str], str]) -> str:
    """Take the file's name out of the place of a lost exchange."""
    for name in sorted(_file_names(log), key=len, reverse=True):
        if place.startswith(name):
            return file(name) + place[len(name) :]
    return "an exchange"
