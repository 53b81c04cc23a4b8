"""How a file marks its lines, cells and quotes, decided from the file alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

__all__ = [
    "CANDIDATES",
    "DELIMITER_NAMES",
    "Dialect",
    "Lines",
    "find_dialect",
    "split_lines",
    "width_of",
]

# On a tie the earlier wins: tabs and semicolons seldom stand inside a cell.
CANDIDATES = ("\t", ";", "|", ",")
DELIMITER_NAMES = {
    "\t": "tab",
    ";": "semicolon",
    "|": "bar",
    ",": "comma",
    " ": "space",
    "": "nothing",
}
_NEWLINE = re.compile(r"(\r\n|\n|\r)")
_HINT = re.compile(r'"?sep=(.)"?[;,\t|]{0,256}', re.IGNORECASE)
_SAMPLE = 400
_LONGEST = 1_000_000
_SAMPLE_CHARS = 20_000


@dataclass(frozen=True, slots=True)
class Lines:
    """Editor lines, and what ends each of them (one text when all agree)."""

    texts: list[str]
    ends: str | list[str]
    newline: str

    def end(self, index: int) -> str:
        """Give what ends line ``index`` (counted from 0)."""
        return self.ends if isinstance(self.ends, str) else self.ends[index]


@dataclass(frozen=True, slots=True)
class Dialect:
    """Marks of a file: delimiter, quote, whether a backslash protects a quote.

    ``width`` is the usual number of cells in a line, ``hint_lines`` how many first
    lines only name the delimiter.
    """

    delimiter: str
    quote: str = '"'
    backslash: bool = False
    width: int = 1
    hint_lines: int = 0


def split_lines(text: str) -> Lines:
    r"""Cut text at its line ends, as an editor counts them.

    Examples
    --------
    >>> split_lines("a\r\nb").texts
    ['a', 'b']
    """
    if "\r" not in text:
        return Lines(text.split("\n"), "\n", "\n")
    pairs, returns, feeds = text.count("\r\n"), text.count("\r"), text.count("\n")
    if pairs == returns == feeds:
        return Lines(text.split("\r\n"), "\r\n", "\r\n")
    if feeds == 0:
        return Lines(text.split("\r"), "\r", "\r")
    parts = _NEWLINE.split(text)
    ends = parts[1::2]
    return Lines(parts[0::2], ends, Counter(ends).most_common(1)[0][0])


def find_dialect(lines: Sequence[str]) -> Dialect:
    """Decide delimiter and quote mark from the first lines.

    Parameters
    ----------
    lines : sequence of str
        Editor lines without their ends.

    Returns
    -------
    Dialect
        ``delimiter`` is empty when no candidate cuts the lines.
    """
    hint = _HINT.fullmatch(lines[0][:300].strip()) if lines else None
    rest = lines[1:] if hint else lines
    sample = [line[:_SAMPLE_CHARS] for line in rest[: 4 * _SAMPLE] if line.strip()]
    sample = sample[:_SAMPLE]
    if hint and hint.group(1) in CANDIDATES:
        return replace(_judge(sample, (hint.group(1),)), hint_lines=1)
    return _judge(sample, CANDIDATES)


def _judge(sample: Sequence[str], candidates: Iterable[str]) -> Dialect:
    best = Dialect("")
    best_share = 0.0
    for delimiter in candidates:
        quote = _quote_of(sample, delimiter)
        width, share = _usual_width(sample, delimiter, quote)
        if width > 1 and share > best_share:
            best, best_share = Dialect(delimiter, quote, width=width), share
    return best


def _usual_width(
    sample: Sequence[str], delimiter: str, quote: str
) -> tuple[int, float]:
    widths = Counter(width_of(line, delimiter, quote) for line in sample)
    widths.pop(1, None)
    if not widths:
        return 1, 0.0
    width, count = max(widths.items(), key=lambda item: (item[1], item[0]))
    return width, count / len(sample)


def width_of(line: str, delimiter: str, quote: str) -> int:
    """Count the cells of one line by itself, leaving out what stands in quotes."""
    line = line[:_LONGEST]
    if quote in line:
        line = "".join(line.split(quote)[0::2])
    return line.count(delimiter) + 1


def _whole(mark: str) -> str:
    """Match a cell in quotes, with quotes inside it written twice."""
    return f"{mark}[^{mark}]*+(?:{mark}{mark}[^{mark}]*+)*+{mark}"


def _quote_of(sample: Sequence[str], delimiter: str) -> str:
    """Tell whether apostrophes stand where quotation marks do."""
    if not any("'" in line for line in sample):
        return '"'
    edge = re.escape(delimiter)
    whole = {
        mark: re.compile(f"(?:^|{edge})[ ]?{_whole(mark)}(?:{edge}|$)")
        for mark in ("'", '"')
    }
    single = sum(1 for line in sample if whole["'"].search(line))
    double = sum(1 for line in sample if whole['"'].search(line))
    return "'" if single >= 2 and double == 0 else '"'
