"""One list of problems for one file, capped so that it stays readable."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from kit.findings import Choice, Level, Problem, in_reading_order

__all__ = ["Gather", "letter_of", "some_lines"]


def letter_of(index: int) -> str:
    """Name a column the way a spreadsheet does.

    Parameters
    ----------
    index : int
        Position counted from 0.

    Returns
    -------
    str
        ``A`` to ``Z``, then ``AA`` and on.

    Examples
    --------
    >>> letter_of(0), letter_of(26)
    ('A', 'AA')
    """
    letters = ""
    index += 1
    while index > 0:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def some_lines(lines: Sequence[int]) -> str:
    """Say which lines are meant, the first few by number.

    Examples
    --------
    >>> some_lines([3]), some_lines([1, 2, 5])
    ('line 3', 'lines 1, 2 and 5')
    >>> some_lines(list(range(1, 9)))
    'lines 1, 2, 3, 4, 5 and 3 more'
    """
    if len(lines) == 1:
        return f"line {lines[0]}"
    if len(lines) <= 5:
        head = ", ".join(str(line) for line in lines[:-1])
        return f"lines {head} and {lines[-1]}"
    head = ", ".join(str(line) for line in lines[:5])
    return f"lines {head} and {len(lines) - 5} more"


@dataclass(frozen=True, slots=True)
class _Place:
    column: str | None
    letter: str | None


class Gather:
    """Collects the problems of one file.

    Parameters
    ----------
    file : str
        File name without its folder.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self._problems: list[Problem] = []

    def add(
        self,
        level: Level,
        kind: str,
        seen: str,
        expected: str,
        mend: str,
        *,
        line: int | None = None,
        at: tuple[str, int] | None = None,
        lines: Iterable[int] = (),
        choices: tuple[Choice, ...] = (),
        touches: tuple[str, ...] = (),
    ) -> None:
        """Note one problem; ``at`` is the header text and the column position."""
        place = _Place(None, None) if at is None else _Place(at[0], letter_of(at[1]))
        self._problems.append(
            Problem(
                level=level,
                kind=kind,
                file=self.file,
                seen=seen,
                expected=expected,
                mend=mend,
                line=line,
                column=place.column,
                letter=place.letter,
                lines=tuple(lines),
                choices=choices,
                touches=touches,
            )
        )

    def problems(self, shown: int) -> tuple[Problem, ...]:
        """List all problems worst first, at most ``shown`` of a kind and column."""
        groups: dict[tuple[str, str | None], list[Problem]] = {}
        for problem in in_reading_order(self._problems):
            key = (problem.kind, problem.column)
            groups.setdefault(key, []).append(problem)
        kept: list[Problem] = []
        for group in groups.values():
            kept.extend(group[:shown])
            if len(group) > shown:
                kept.append(_rest(group[shown:]))
        return in_reading_order(kept)


def _rest(group: Sequence[Problem]) -> Problem:
    lines = tuple(p.line for p in group if p.line is not None)
    return replace(
        group[0],
        seen=f"and {len(group)} more of the same kind ({some_lines(lines)})"
        if lines
        else f"and {len(group)} more of the same kind",
        lines=lines,
        choices=(),
        touches=(),
    )
