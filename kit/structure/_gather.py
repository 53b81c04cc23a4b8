"""One list of problems for one file, capped so that it stays readable."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from kit.findings import Choice, Level, Problem, every_line, in_reading_order

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


class Gather:
    """Collects the problems of one file, at most ``shown`` of a kind and column.

    Parameters
    ----------
    file : str
        File name without its folder.
    shown : int
        Problems kept one by one for each kind and column.
    """

    def __init__(self, file: str, shown: int) -> None:
        self.file = file
        self._shown = shown
        self._groups: dict[tuple[str, str | None], _Group] = {}

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
        column = None if at is None else _printable(at[0])
        group = self._groups.setdefault((kind, column), _Group())
        group.lines.append((level, line))
        if group.levels[level] >= self._shown:
            return
        group.levels[level] += 1
        group.kept.append(
            Problem(
                level=level,
                kind=kind,
                file=self.file,
                seen=seen,
                expected=expected,
                mend=mend,
                line=line,
                column=column,
                letter=None if at is None else letter_of(at[1]),
                lines=tuple(lines),
                choices=choices,
                touches=touches,
            )
        )

    def problems(self) -> tuple[Problem, ...]:
        """List all problems, worst first; what is over the cap is one entry."""
        kept: list[Problem] = []
        for group in self._groups.values():
            first = in_reading_order(group.kept)[: self._shown]
            kept.extend(first)
            if len(group.lines) > self._shown:
                kept.append(_rest(first, group.lines))
        return in_reading_order(kept)


def _printable(name: str) -> str:
    """Keep a name as written, unless it holds signs that would break a message."""
    if name.isprintable():
        return name
    return "".join(sign if sign.isprintable() else " " for sign in name)


@dataclass(slots=True)
class _Group:
    kept: list[Problem] = field(default_factory=list)
    levels: Counter[Level] = field(default_factory=Counter)
    lines: list[tuple[Level, int | None]] = field(default_factory=list)


def _rest(
    shown: Sequence[Problem], found: Sequence[tuple[Level, int | None]]
) -> Problem:
    """Put what is over the cap into one problem that names every line."""
    left = Counter(found) - Counter((problem.level, problem.line) for problem in shown)
    lines = sorted(line for _, line in left.elements() if line is not None)
    levels = {level for level, _ in left}
    word = "problem" if left.total() == 1 else "problems"
    worst: Level = next(
        level for level in ("error", "question", "note") if level in levels
    )
    return replace(
        shown[0],
        level=worst,
        seen=f"{left.total()} more {word} of this kind"
        + (f" on {every_line(lines)}" if lines else ""),
        line=lines[0] if lines else None,
        lines=tuple(lines),
        choices=(),
        touches=(),
    )
