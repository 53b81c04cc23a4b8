"""The report as text to paste: Markdown, BBCode, and plain."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Callable

from kit import escape
from kit.report._page import (
    Block,
    Bullets,
    Facts,
    Figure,
    Report,
    Sentences,
    Table,
    brief_outline,
    outline,
)

__all__ = ["chart_names", "to_bbcode", "to_markdown", "to_text"]

_WIDTH = 72
_CELL_LIMIT = 200


def chart_names(report: Report) -> tuple[str, ...]:
    """Name the pictures' files: ``chart.png``, ``chart-2.png`` and so on."""
    count = len(report.figures)
    return tuple("chart.png" if i == 1 else f"chart-{i}.png" for i in _from_1(count))


def to_markdown(report: Report, *, brief: bool = False) -> str:
    """Write a report as Markdown with pipe tables.

    Parameters
    ----------
    report : Report
        What to tell.
    brief : bool, optional
        Only what fits a post.

    Returns
    -------
    str
        Ends with a newline; pictures stand as links to files beside it.
    """
    names = dict(zip(report.figures, chart_names(report), strict=True))

    def block(part: Block) -> str:
        match part:
            case Facts(pairs):
                return "\n".join(f"- **{_md(k)}:** {_md(v)}" for k, v in pairs)
            case Sentences(texts, lead):
                lines = [_md(t) for t in texts]
                if lead:
                    lines[0] = f"**{lines[0]}**"
                return "\n\n".join(lines)
            case Bullets(texts):
                return "\n".join(f"- {_md(t)}" for t in texts)
            case Figure():
                caption = f"\n\n{_md(part.caption)}" if part.caption else ""
                return f"![{_md(part.alt)}]({names[part]}){caption}"
            case Table():
                return _markdown_table(part)

    title = f"# {_md(report.title)}"
    return _join(report, title, _md, lambda h: f"## {h}", block, brief=brief)


def to_bbcode(report: Report, *, brief: bool = False) -> str:
    """Write a report as BBCode, tables in a fixed-width block.

    Parameters
    ----------
    report : Report
        What to tell.
    brief : bool, optional
        Only what fits a post.

    Returns
    -------
    str
        Ends with a newline. A forum takes pictures as attachments, so a line stands
        where each belongs and says what it shows.
    """
    names = dict(zip(report.figures, chart_names(report), strict=True))

    def block(part: Block) -> str:
        match part:
            case Facts(pairs):
                return "\n".join(f"[b]{_bb(k)}:[/b] {_bb(v)}" for k, v in pairs)
            case Sentences(texts, lead):
                lines = [_bb(t) for t in texts]
                if lead:
                    lines[0] = f"[b]{lines[0]}[/b]"
                return "\n\n".join(lines)
            case Bullets(texts):
                items = "\n".join(f"[*]{_bb(t)}" for t in texts)
                return f"[list]\n{items}\n[/list]"
            case Figure():
                return f"[i]{_picture_line(part, names[part], _bb, brief=brief)}[/i]"
            case Table():
                grid = "\n".join(_grid(part, _bb))
                return f"[b]{_bb(part.caption)}[/b]\n[code]\n{grid}\n[/code]"

    title = f"[b]{_bb(report.title)}[/b]"
    return _join(report, title, _bb, lambda h: f"[b]{h}[/b]", block, brief=brief)


def to_text(report: Report, *, brief: bool = False) -> str:
    """Write a report as plain text that stands without the picture.

    Parameters
    ----------
    report : Report
        What to tell.
    brief : bool, optional
        Only what fits a post.

    Returns
    -------
    str
        Ends with a newline; sentences wrapped at 72 characters.
    """
    names = dict(zip(report.figures, chart_names(report), strict=True))

    def block(part: Block) -> str:
        match part:
            case Facts(pairs):
                return "\n".join(
                    _wrap(f"{_pt(k)}: {_pt(v)}", then="  ") for k, v in pairs
                )
            case Sentences(texts):
                return "\n\n".join(_wrap(_pt(t)) for t in texts)
            case Bullets(texts):
                return "\n".join(_wrap(_pt(t), first="- ", then="  ") for t in texts)
            case Figure():
                return _wrap(_picture_line(part, names[part], _pt, brief=brief))
            case Table() if brief:
                return ""  # letters of unequal width tear a table apart
            case Table():
                return "\n".join([_wrap(_pt(part.caption)), "", *_grid(part, _pt)])

    title = _pt(report.title)
    return _join(
        report,
        f"{title}\n{'=' * min(_columns(title), _WIDTH)}",
        _pt,
        lambda h: f"{h}\n{'-' * len(h)}",
        block,
        brief=brief,
    )


def _join(
    report: Report,
    title: str,
    safe: Callable[[str], str],
    heading: Callable[[str], str],
    block: Callable[[Block], str],
    *,
    brief: bool,
) -> str:
    """Put title, headings and blocks together with a blank line between them."""
    parts = [title, safe(report.period)]
    for section in (brief_outline if brief else outline)(report):
        parts.append(heading(section.heading))
        parts.extend(block(part) for part in section.blocks)
    return "\n\n".join(part for part in parts if part) + "\n"


def _md(text: str) -> str:
    return escape.markdown(text)


def _bb(text: str) -> str:
    return escape.bbcode(text)


def _pt(text: str) -> str:
    return escape.paste(text)


def _from_1(count: int) -> range:
    return range(1, count + 1)


def _picture_line(
    figure: Figure, name: str, safe: Callable[[str], str], *, brief: bool
) -> str:
    if brief:
        return f"Picture: attach {name} here."
    return f"Picture, attach {name} here: {safe(figure.alt)}"


def _wrap(text: str, *, first: str = "", then: str = "") -> str:
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=then,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _markdown_table(table: Table) -> str:
    rules = ["---:" if number else "---" for number in table.numeric]
    lines = [
        [escape.markdown(cell, _CELL_LIMIT) for cell in row]
        for row in (table.columns, *table.rows)
    ]
    lines.insert(1, rules)
    grid = "\n".join("| " + " | ".join(line) + " |" for line in lines)
    return f"**{_md(table.caption)}**\n\n{grid}"


def _grid(table: Table, safe: Callable[[str], str]) -> list[str]:
    """Lay a table out in columns of a fixed-width letter."""
    cells = [
        [safe(escape.plain(cell, _CELL_LIMIT)) for cell in row]
        for row in (table.columns, *table.rows)
    ]
    widths = [max(map(_columns, column)) for column in zip(*cells, strict=True)]
    cells.insert(1, ["-" * width for width in widths])
    return [
        "  ".join(
            " " * (width - _columns(cell)) + cell
            if number
            else cell + " " * (width - _columns(cell))
            for cell, width, number in zip(row, widths, table.numeric, strict=True)
        ).rstrip()
        for row in cells
    ]


def _columns(text: str) -> int:
    """Count the columns a text takes in a fixed-width letter."""
    wide = sum(unicodedata.east_asian_width(char) in "WF" for char in text)
    marks = sum(unicodedata.combining(char) != 0 for char in text)
    return len(text) + wide - marks
