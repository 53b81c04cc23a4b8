"""How wide a table is, and whether its names and its rows agree on it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kit.structure._dialect import Dialect, Lines
from kit.structure._gather import Gather, some_lines
from kit.structure._header import sample_kinds
from kit.structure._kinds import TYPED, Kind, plain_role, role_of
from kit.structure._layout import Block
from kit.structure._limits import Limits
from kit.structure._words import Role

__all__ = ["Frame", "Workshop", "decimal_comma", "settle_frame"]

_MANY = 2  # rows that must agree before the header, not a row, is called wrong
_WHOLE = re.compile(r"[-+]?\d{1,4}")
_DECIMALS = re.compile(r"\d{1,3}(?:\D.{0,60})?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Workshop:
    """What building a table needs besides its rows."""

    gather: Gather
    lines: Lines
    dialect: Dialect
    limits: Limits
    unsure: frozenset[int] = frozenset()


@dataclass(slots=True)
class Frame:
    """Widths of a table: ``expected`` cells a row, ``width`` kept, names, kinds."""

    names: list[str]
    expected: int
    width: int
    kinds: tuple[Kind, ...]
    all_unsure: bool = False
    used: int = 0


def settle_frame(block: Block, shop: Workshop) -> Frame:
    """Settle how wide a table is, and whether header and rows agree on it.

    Parameters
    ----------
    block : Block
        Header and rows.
    shop : Workshop
        Where problems go.

    Returns
    -------
    Frame
        Columns at the end that are blank from header to last row are left out.
    """
    lengths = Counter(len(row.cells) for row in block.rows)
    usual, count = lengths.most_common(1)[0] if lengths else (0, 0)
    kinds = sample_kinds(block.rows, 0)
    if block.header is None:
        return Frame([""] * usual, usual, usual, kinds, used=usual)
    names = list(block.header.cells)
    used = _last_used(names)
    frame = Frame(names, len(names), len(names), kinds, used=used)
    agreed = count > 0 and 5 * count >= 4 * len(block.rows)
    if agreed and usual == used:  # only the header carries blank cells at its end
        frame.width = frame.expected = usual
        frame.names = names[:usual]
    elif agreed and count >= _MANY and usual != len(names):
        _mismatch(block.header.line, block, frame, usual, shop)
    if not frame.all_unsure:
        _trim(block, frame)
    return frame


def _mismatch(
    line: int, block: Block, frame: Frame, usual: int, shop: Workshop
) -> None:
    """Say that header and rows differ in width, and whether that is harmless."""
    names = frame.names
    rows = [row.line for row in block.rows if len(row.cells) == usual]
    wide = usual > len(names)
    safe = _fits(names, frame.kinds) and (
        all(kind in ("text", "blank") for kind in frame.kinds[len(names) :])
        if wide
        else all(role_of(name) == "note" for name in names[usual:])
    )
    comma = wide and shop.dialect.delimiter == "," and _commas_explain(block, frame)
    if safe:
        fit = (
            "the names fit the cells under them"
            if wide
            else "the last names have no cells"
        )
        mend = f"nothing to do: {fit}"
    else:
        frame.all_unsure = True
        mend = "mend the names or the rows; until then no cell has a sure name"
    shop.gather.add(
        "note" if safe else "error",
        "header width",
        f"{_count(len(names), 'name')} over rows of {_count(usual, 'cell')} "
        f"({some_lines(rows)})",
        "as many names as cells" + ("" if safe else f"; perhaps {_why(wide, comma)}"),
        mend,
        line=line,
        lines=[line, *rows],
    )
    if safe or not comma:  # rows widened by decimal commas are named one by one
        _widen(frame, usual)


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _why(wide: bool, comma: bool) -> str:
    if comma:
        return "each row holds a number with a decimal comma and no quotes round it"
    if wide:
        return "a separator is missing in the names, or each row holds one too many"
    return "the names hold a separator too many, or each row lacks one"


def _widen(frame: Frame, usual: int) -> None:
    """Take rows of ``usual`` cells as due, with room for every name and cell."""
    frame.width, frame.expected = max(len(frame.names), usual), usual
    frame.names = [*frame.names, *[""] * (frame.width - len(frame.names))]


def _commas_explain(block: Block, frame: Frame) -> bool:
    """Tell whether numbers such as 12,5 make the rows wider than the names."""
    wider = [row.cells for row in block.rows if len(row.cells) > len(frame.names)]
    explained = sum(
        1 for cells in wider if decimal_comma(cells, len(cells) - len(frame.names))
    )
    return 5 * explained >= 4 * len(wider)


def _fits(names: Sequence[str], kinds: Sequence[Kind]) -> bool:
    """Tell whether every name is a known word and the cells under it look like it."""
    roles = [plain_role(name) for name in names]
    pairs = zip(roles, kinds, strict=False)
    return len(names) > 1 and all(_suits(role, kind) for role, kind in pairs)


def _suits(role: Role | None, kind: Kind) -> bool:
    if role is None:
        return False
    return kind in (role, "blank") if role in TYPED else kind in ("text", "blank")


def _trim(block: Block, frame: Frame) -> None:
    """Leave out columns at the end that are blank from header to last row."""
    if frame.used >= frame.width:
        return
    used = frame.used
    for row in block.rows:
        if len(row.cells) <= frame.expected:
            used = max(used, _last_used(row.cells))
    frame.width = frame.used = max(used, 1)
    frame.names = frame.names[: frame.width]


def _last_used(cells: Sequence[str]) -> int:
    """Give how many cells there are up to the last that is not blank."""
    used = len(cells)
    while used and not cells[used - 1].strip():
        used -= 1
    return used


def decimal_comma(cells: Sequence[str], surplus: int) -> str:
    """Give the first pair that may be one number, if pairs explain the surplus.

    Examples
    --------
    >>> decimal_comma(("2024-01-01", "12", "5 mg/L"), 1)
    '12,5 mg/L'
    """
    pairs: list[str] = []
    index = 0
    while index + 1 < len(cells):
        whole, rest = cells[index].strip(), cells[index + 1].strip()
        if _WHOLE.fullmatch(whole[:8]) and _DECIMALS.fullmatch(rest[:60]):
            pairs.append(f"{whole},{rest[:60]}")
            index += 1
        index += 1
    return pairs[0] if len(pairs) >= surplus else ""
