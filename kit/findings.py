"""What the kit tells a keeper about a file: problems, with their level and cure."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

__all__ = [
    "Choice",
    "Problem",
    "clip",
    "every_line",
    "has_errors",
    "in_reading_order",
]

Level = Literal["error", "question", "note"]
_RANK: dict[str, int] = {"error": 0, "question": 1, "note": 2}
_SEEN_LIMIT = 60
_SHORT_RUN = 5  # neighbouring lines that are still listed one by one


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to answer a question.

    Parameters
    ----------
    answer : str
        The word written into the answers file, such as ``"day-first"``.
    means : str
        What that answer makes of the values, in plain words.
    example : str
        One held-back value read that way.
    """

    answer: str
    means: str
    example: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to tell the keeper about a file.

    Parameters
    ----------
    level : {"error", "question", "note"}
        An error leaves its cell or row out; a question holds values back until it is
        answered; a note records a repair or an assumption.
    kind : str
        Stable plain-word name of the class of problem, such as ``"future date"``.
    file : str
        File name without its folder.
    seen, expected, mend : str
        What was read, what is accepted (with an example), and how to mend it.
    line : int or None
        Line number as an editor shows it, counted from 1, header included.
    column : str or None
        Header as written.
    letter : str or None
        Spreadsheet letter of the column.
    lines : tuple of int
        All lines concerned when the problem speaks of more than one.
    choices : tuple of Choice
        For a question: the answers on offer.
    touches : tuple of str
        For a question: the raw texts it holds back; an answer holds only while
        these stay the same.
    """

    level: Level
    kind: str
    file: str
    seen: str
    expected: str
    mend: str
    line: int | None = None
    column: str | None = None
    letter: str | None = None
    lines: tuple[int, ...] = ()
    choices: tuple[Choice, ...] = ()
    touches: tuple[str, ...] = field(default=(), repr=False)

    @property
    def question_id(self) -> str | None:
        """Name under which the answer is kept; None unless this is a question."""
        if self.level != "question":
            return None
        where = (self.kind, self.file, self.column, self.letter, self.line)
        place = "|".join("" if part is None else str(part) for part in where)
        return hashlib.sha256(place.encode("utf-8")).hexdigest()[:12]

    @property
    def fingerprint(self) -> str:
        """Digest of the raw texts held back, to notice that they changed."""
        text = "\x1f".join(self.touches)
        return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()

    def sentence(self) -> str:
        """Give the whole problem as one plain line.

        Returns
        -------
        str
            Place, what was read, what is needed, what to do; of a note what was
            done, since nothing has to be mended.
        """
        place = self.file
        if self.line is not None:
            place += f", line {self.line}"
        if self.column is not None:
            letter = f" ({self.letter})" if self.letter else ""
            place += f', column "{self.column}"{letter}'
        if self.level == "note":
            done = self.mend[:1].upper() + self.mend[1:]
            return f"{place}: read {self.seen}. {done}. In a tidy file: {self.expected}"
        return (
            f"{place}: read {self.seen}. Expected: {self.expected}. To mend: "
            f"{self.mend}"
        )

    def as_dict(self) -> dict[str, Any]:
        """Give the problem as plain JSON values."""
        out: dict[str, Any] = {
            "level": self.level,
            "file": self.file,
            "line": self.line,
            "column": self.column,
            "letter": self.letter,
            "seen": self.seen,
            "expected": self.expected,
            "mend": self.mend,
            "kind": self.kind,
            "lines": list(self.lines),
        }
        if self.level == "question":
            out["question"] = self.question_id
            out["fingerprint"] = self.fingerprint
            out["choices"] = [
                {"answer": c.answer, "means": c.means, "example": c.example}
                for c in self.choices
            ]
        return out


def clip(text: str) -> str:
    """Quote a cell's text for a message: cut, with control characters shown.

    Parameters
    ----------
    text : str
        Raw text of any length.

    Returns
    -------
    str
        At most 60 characters of it between quotation marks.

    Examples
    --------
    >>> clip("4o")
    "'4o'"
    """
    shown = text if len(text) <= _SEEN_LIMIT else text[: _SEEN_LIMIT - 1] + "…"
    return repr(shown)


def every_line(lines: Iterable[int]) -> str:
    """List all lines for a sentence, long runs of neighbours by their ends.

    Parameters
    ----------
    lines : iterable of int
        Editor lines, at least one.

    Returns
    -------
    str
        Such as ``"lines 3 and 4"`` or ``"lines 22 to 71 and 73"``.

    Examples
    --------
    >>> every_line([7]), every_line([4, 3]), every_line([*range(22, 72), 73])
    ('line 7', 'lines 3 and 4', 'lines 22 to 71 and 73')
    """
    runs: list[list[int]] = []
    for line in sorted(set(lines)):
        if runs and line == runs[-1][1] + 1:
            runs[-1][1] = line
        else:
            runs.append([line, line])
    shown: list[str] = []
    for first, last in runs:
        if last - first < _SHORT_RUN:
            shown += [str(n) for n in range(first, last + 1)]
        else:
            shown.append(f"{first} to {last}")
    if len(shown) == 1:
        return f"{'lines' if ' ' in shown[0] else 'line'} {shown[0]}"
    return f"lines {', '.join(shown[:-1])} and {shown[-1]}"


def has_errors(problems: Iterable[Problem]) -> bool:
    """Tell whether any problem is an error."""
    return any(p.level == "error" for p in problems)


def in_reading_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sort problems worst first, then by file and line."""
    return tuple(
        sorted(problems, key=lambda p: (_RANK[p.level], p.file, p.line or 0, p.kind))
    )
