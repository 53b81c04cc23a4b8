"""Where problems are gathered and questions meet the keeper's answers."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from kit.answers import Answer
from kit.findings import Choice, Level, Problem, every_line
from kit.logbook import Tank

__all__ = ["LEAVE_OUT", "Desk", "Place", "some"]

LEAVE_OUT = Choice("leave out", "these values are not used")
_FREE_LIMIT = 60
_LISTED = 20  # problems of one class and column that are listed one by one


def some(lines: Sequence[int], limit: int = 8) -> str:
    """List line numbers for a sentence.

    Parameters
    ----------
    lines : sequence of int
        Editor lines.
    limit : int
        How many are spelled out.

    Returns
    -------
    str
        Such as ``"lines 3, 4 and 12 more"``.

    Examples
    --------
    >>> some([3]), some([3, 4])
    ('line 3', 'lines 3 and 4')
    """
    shown = [str(n) for n in lines[:limit]]
    rest = len(lines) - len(shown)
    if rest:
        return f"lines {', '.join(shown)} and {rest} more"
    if len(shown) == 1:
        return f"line {shown[0]}"
    return f"lines {', '.join(shown[:-1])} and {shown[-1]}"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a problem stands: file, editor line, header and letter of the column."""

    file: str
    line: int | None = None
    column: str | None = None
    letter: str | None = None

    def at(self, line: int | None) -> Place:
        """Give the same column on another line."""
        return replace(self, line=line)


_Group = tuple[Level, str, str, str | None]


@dataclass(slots=True)
class Desk:
    """Settings, clock and answers going in; problems coming out.

    Parameters
    ----------
    tank : Tank
        What the settings say; answers may add to it.
    today : datetime.date
        The day the log is read.
    answers : dict
        The keeper's answers by the name of the question.
    problems : list of Problem
        Everything found so far.
    used : list of str
        One sentence for each answer that was used.
    said : set of (str, str)
        Kind and file of notes that are given once for a file.
    counts, rest : dict
        How many problems of one class a column has, and the places not listed.
    lost : list of str
        Places of exchanges whose day is not known.
    """

    tank: Tank
    today: dt.date
    answers: dict[str, Answer] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    used: list[str] = field(default_factory=list)
    said: set[tuple[str, str]] = field(default_factory=set)
    counts: dict[_Group, int] = field(default_factory=dict)
    rest: dict[_Group, list[Place]] = field(default_factory=dict)
    lost: list[str] = field(default_factory=list)

    def lose(self, file: str, line: int | None = None, what: str = "") -> None:
        """Name a place of an exchange whose day cannot be told.

        Parameters
        ----------
        file : str
            File name.
        line : int, optional
            Editor line; the whole file when left out.
        what : str
            What is not known, when it is not the day.
        """
        place = file if line is None else f"{file}, line {line}"
        place += f" ({what})" if what else ""
        if place not in self.lost:
            self.lost.append(place)

    def first_time(self, kind: str, file: str) -> bool:
        """Tell whether a class of note has not been given for a file yet."""
        new = (kind, file) not in self.said
        self.said.add((kind, file))
        return new

    def tell(
        self,
        level: Level,
        kind: str,
        place: Place,
        *,
        seen: str,
        expected: str,
        mend: str,
        lines: Iterable[int] = (),
    ) -> None:
        """Record an error or a note.

        Parameters
        ----------
        level : {"error", "note"}
            How bad it is.
        kind : str
            Class of the problem.
        place : Place
            Where it is.
        seen, expected, mend : str
            What was read, what is accepted, how to mend it.
        lines : iterable of int
            All lines concerned.
        """
        group = (level, kind, place.file, place.column)
        self.counts[group] = self.counts.get(group, 0) + 1
        if self.counts[group] > _LISTED:
            self.rest.setdefault(group, []).append(place)
            return
        self.problems.append(
            Problem(
                level,
                kind,
                place.file,
                seen,
                expected,
                mend,
                line=place.line,
                column=place.column,
                letter=place.letter,
                lines=tuple(lines),
            )
        )

    def finished(self) -> list[Problem]:
        """Give all problems; the overflow of a class stands in one, with its lines.

        Returns
        -------
        list of Problem
            As found.
        """
        out = list(self.problems)
        for (level, kind, file, column), places in self.rest.items():
            like = next(
                p
                for p in self.problems
                if (p.level, p.kind, p.file, p.column) == (level, kind, file, column)
            )
            lines = tuple(p.line for p in places if p.line is not None)
            word = "problem" if len(places) == 1 else "problems"
            where = f" on {every_line(lines)}" if lines else ""
            seen = f"{len(places)} more {word} of this kind{where}"
            line = lines[0] if lines else None
            out.append(replace(like, seen=seen, line=line, lines=lines))
        return out

    def ask(
        self,
        kind: str,
        place: Place,
        *,
        seen: str,
        expected: str,
        mend: str,
        choices: Iterable[Choice],
        touches: Iterable[str],
        lines: Iterable[int] = (),
        free: str = "",
    ) -> str | None:
        """Ask the keeper, unless the answer is known.

        Parameters
        ----------
        kind, place, seen, expected, mend, lines
            As in `tell`.
        choices : iterable of Choice
            The answers on offer.
        touches : iterable of str
            Raw texts held back.
        free : str
            Bounded pattern of further answers that are understood.

        Returns
        -------
        str or None
            The answer; None while it is open, and the question is then recorded.
        """
        question = Problem(
            "question",
            kind,
            place.file,
            seen,
            expected,
            mend,
            line=place.line,
            column=place.column,
            letter=place.letter,
            lines=tuple(lines),
            choices=tuple(choices),
            touches=tuple(touches),
        )
        answer = self.answered(question, free=free)
        if answer is None:
            self.problems.append(question)
        return answer

    def answered(self, question: Problem, *, free: str = "") -> str | None:
        """Look up an answer and note one that no longer fits.

        Parameters
        ----------
        question : Problem
            The question.
        free : str
            Bounded pattern of further answers that are understood.

        Returns
        -------
        str or None
            The answer, if it is understood and the cells are still the same.
        """
        kept = self.answers.get(question.question_id or "")
        if kept is None:
            return None
        if kept.fingerprint != question.fingerprint:
            self._unused(question, kept, "the cells it speaks of have changed since")
            return None
        word = kept.answer.strip()
        offered = {c.answer for c in question.choices}
        pattern = free and re.fullmatch(free, word[:_FREE_LIMIT])
        if word not in offered and not pattern:
            self._unused(question, kept, "it is none of the answers on offer")
            return None
        self.used.append(
            f"{question.file}: {question.kind}: answered "
            f'"{word}"' + (f" on {kept.date}" if kept.date else "")
        )
        return word

    def _unused(self, question: Problem, kept: Answer, why: str) -> None:
        self.problems.append(
            Problem(
                "note",
                "answer not used",
                question.file,
                f'the answer "{kept.answer[:40]}" about: {question.kind}; {why}',
                "an answer to the file as it is now",
                "answer the question again",
                line=question.line,
                column=question.column,
                letter=question.letter,
            )
        )
