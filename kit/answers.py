"""The keeper's answers to questions, kept in a small file beside the log.

A question is asked once. Its answer is kept with the day and with a fingerprint of
the raw cells it speaks of; when those cells change, the answer is no longer used.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import tempfile
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final

from kit.errors import SaveError
from kit.findings import Problem

__all__ = ["Answer", "answers_path", "keep", "read_answers"]

_SIZE_LIMIT: Final = 1_000_000
_COUNT_LIMIT: Final = 5_000
_TEXT_LIMIT: Final = 400
_KEYS: Final = ("question", "file", "kind", "answer", "date", "fingerprint")


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer, dated.

    Parameters
    ----------
    question : str
        Name of the question, `kit.findings.Problem.question_id`.
    file, kind : str
        Where it was asked and about what.
    answer : str
        The word chosen.
    date : str
        ISO day on which it was given.
    fingerprint : str
        Digest of the raw cells the question held back.
    """

    question: str
    file: str
    kind: str
    answer: str
    date: str
    fingerprint: str


def answers_path(path: Path) -> Path:
    """Give the place of the answers for a logbook.

    Parameters
    ----------
    path : pathlib.Path
        A logbook folder or a single CSV.

    Returns
    -------
    pathlib.Path
        ``answers.json`` in the folder, or ``NAME.answers.json`` beside the file.
    """
    if path.is_dir():
        return path / "answers.json"
    return path.with_name(f"{path.stem}.answers.json")


def _fault(name: str, seen: str) -> Problem:
    return Problem(
        level="error",
        kind="answers file",
        file=name,
        seen=seen,
        expected='a file such as {"answers": [{"question": "...", "answer": "..."}]}',
        mend="delete the file and answer again, or put it back as it was saved",
    )


def _checked(entry: Any) -> Answer | None:
    """Check one entry by hand; None when any part is not a short text."""
    if not isinstance(entry, dict):
        return None
    parts = [entry.get(k, "") for k in _KEYS]
    if not all(isinstance(p, str) and len(p) <= _TEXT_LIMIT for p in parts):
        return None
    if not parts[0] or not parts[3]:
        return None
    return Answer(*parts)


def _text(path: Path) -> str | Problem:
    """Read a regular, small file."""
    try:
        if not path.is_file():
            return _fault(path.name, "no such file")
        if path.stat().st_size > _SIZE_LIMIT:
            return _fault(path.name, "a file of more than a million bytes")
        return path.read_text(encoding="utf-8-sig")
    except (OSError, ValueError):
        return _fault(path.name, "a file that cannot be read")


def read_answers(path: Path) -> tuple[tuple[Answer, ...], tuple[Problem, ...]]:
    """Read an answers file.

    Parameters
    ----------
    path : pathlib.Path
        The file.

    Returns
    -------
    tuple of Answer
        What could be read.
    tuple of Problem
        What could not; nothing is raised.
    """
    text = _text(path)
    if isinstance(text, Problem):
        return (), (text,)
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return (), (_fault(path.name, "text that is no JSON"),)
    entries = document.get("answers") if isinstance(document, dict) else None
    if not isinstance(entries, list) or len(entries) > _COUNT_LIMIT:
        return (), (_fault(path.name, 'no list named "answers"'),)
    checked = [_checked(e) for e in entries]
    bad = [i for i, a in enumerate(checked, 1) if a is None]
    problems = tuple(_fault(path.name, f"entry {i} is not an answer") for i in bad)
    return tuple(a for a in checked if a is not None), problems


def keep(
    path: Path, question: Problem, answer: str, *, day: dt.date
) -> tuple[Answer, ...]:
    """Keep the answer to one question; the keeper's own files stay untouched.

    Parameters
    ----------
    path : pathlib.Path
        The answers file, see `answers_path`.
    question : Problem
        The question as it was asked.
    answer : str
        One of its choices.
    day : datetime.date
        Day on which it was given.

    Returns
    -------
    tuple of Answer
        All answers now in the file.

    Raises
    ------
    SaveError
        When the file cannot be written, or holds something else.
    """
    known: tuple[Answer, ...] = ()
    if path.exists():
        known, faults = read_answers(path)
        if faults:
            raise SaveError(faults[0].sentence())
    name = question.question_id or ""
    new = Answer(
        name, question.file, question.kind, answer, day.isoformat(),
        question.fingerprint,
    )  # fmt: skip
    answers = (*(a for a in known if a.question != name), new)
    _replace(path, answers)
    return answers


def _replace(path: Path, answers: Iterable[Answer]) -> None:
    """Write beside the file, then put it in its place in one step."""
    text = json.dumps({"answers": [asdict(a) for a in answers]}, indent=1)
    target = path.resolve()
    handle, name = -1, ""
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, suffix=".tmp")
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text + "\n")
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(target)
    except OSError as fault:
        if name:
            with contextlib.suppress(OSError):
                Path(name).unlink()
        reason = fault.strerror or "not possible"
        message = f"{path.name}: the answer was not kept ({reason})"
        raise SaveError(message) from fault
