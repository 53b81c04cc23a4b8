"""The report as one HTML page that asks nothing of any server."""

from __future__ import annotations

from collections.abc import Iterable

from kit.markup import Markup, element, picture
from kit.report._looks import CSS
from kit.report._page import (
    Block,
    Bullets,
    Facts,
    Figure,
    Report,
    Section,
    Sentences,
    Table,
    outline,
)

__all__ = ["column_label", "page_around", "to_html"]

_POLICY = (
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; "
    "base-uri 'none'; form-action 'none'"
)
_BRIEF = 12  # an ISO date never breaks, even on a phone
_SHORT = 24


def to_html(report: Report) -> str:
    """Write a report as one self-contained page.

    Parameters
    ----------
    report : Report
        What to tell.

    Returns
    -------
    str
        The whole page, pictures embedded; no script, no link, no outside request.
        It reads on a phone and a projector and prints in grey on A4 and Letter.
    """
    top = [element("h1", report.title)]
    if report.period:
        top.append(element("p", report.period, class_="period"))
    parts = [element("header", *top), *map(_section, outline(report))]
    return page_around(report.title, parts)


def page_around(title: str, parts: Iterable[Markup]) -> str:
    """Put a head and the style sheet around the parts of a page.

    Parameters
    ----------
    title : str
        Raw title.
    parts : iterable of Markup
        Header and sections.

    Returns
    -------
    str
        The whole page, which may load nothing from anywhere.
    """
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light"),
        element("title", title),
        element("style", Markup(CSS)),
    )
    body = element("body", element("main", *parts))
    return "<!doctype html>\n" + element("html", head, body, lang="en")


def _section(section: Section) -> Markup:
    name = f"h-{section.key}"
    # Tables get a name of their own, so that a region that scrolls can be announced.
    blocks = [_block(b, f"{section.key}-{i}") for i, b in enumerate(section.blocks)]
    return element(
        "section",
        element("h2", section.heading, id=name),
        *blocks,
        class_=section.key,
        aria_labelledby=name,
    )


def _block(block: Block, name: str) -> Markup:
    match block:
        case Facts(pairs):
            return element("dl", *(_fact(label, value) for label, value in pairs))
        case Sentences(texts, lead):
            first = element("p", texts[0], class_="lead" if lead else "line")
            return Markup("".join([first, *(element("p", t) for t in texts[1:])]))
        case Bullets(texts, titled):
            return element("ul", *(_item(text, titled) for text in texts))
        case Figure():
            return _figure(block)
        case Table():
            return _table(block, name)


def _fact(label: str, value: str) -> Markup:
    return element("div", element("dt", label), element("dd", value))


def _item(text: str, titled: bool) -> Markup:
    topic, colon, rest = text.partition(": ")
    if titled and colon:
        return element("li", element("strong", topic + ":"), " " + rest)
    return element("li", text)


def _figure(figure: Figure) -> Markup:
    width, height = figure.size
    drawn = picture(figure.png, figure.alt, width=str(width), height=str(height))
    parts = [element("figcaption", figure.caption)] if figure.caption else []
    return element("figure", drawn, *parts)


def _table(table: Table, name: str) -> Markup:
    kinds = _kinds(table)
    heads = [
        element("th", text, scope="col", class_=kind)
        for text, kind in zip(table.columns, kinds, strict=True)
    ]
    rows = [
        element(
            "tr",
            element("th", row[0], scope="row", class_=kinds[0]),
            *(
                element("td", column_label(head), text, class_=kind)
                for head, text, kind in zip(
                    table.columns[1:], row[1:], kinds[1:], strict=True
                )
            ),
        )
        for row in table.rows
    ]
    grid = element(
        "table",
        element("caption", table.caption, id=name),
        element("thead", element("tr", *heads)),
        element("tbody", *rows),
    )
    # Focusable, so that a wide table can be moved by keyboard on a narrow screen.
    return element(
        "div", grid, class_="wide", role="region", tabindex="0", aria_labelledby=name
    )


def column_label(head: str) -> Markup:
    """Carry a column's name along, for narrow screens where rows are stacked.

    Parameters
    ----------
    head : str
        Raw name of the column.

    Returns
    -------
    Markup
        Seen on narrow screens only.
    """
    return element("span", head, class_="label") if head else Markup("")


def _kinds(table: Table) -> list[str]:
    """Tell how each column is set: flush right, and whether its cells may wrap."""
    kinds = []
    for place, number in enumerate(table.numeric):
        longest = max((len(row[place]) for row in table.rows), default=0)
        kind = "text brief" if longest <= _BRIEF else "text short"
        kinds.append("number" if number else kind if longest <= _SHORT else "text")
    return kinds
