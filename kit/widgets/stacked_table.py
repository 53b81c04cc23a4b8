"""A table that turns into a list of labelled lines on a phone."""

from __future__ import annotations

from collections.abc import Sequence

from kit.markup import Markup, element

__all__ = ["stacked_table"]


def stacked_table(
    title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]
) -> Markup:
    """Make a table with its caption.

    Parameters
    ----------
    title : str
        Its caption.
    heads : sequence of str
        One for each column.
    rows : sequence of sequence of str
        Text of the cells.

    Returns
    -------
    Markup
        Safe whatever the cells hold; empty text without rows.
    """
    if not rows:
        return Markup("")
    head = element("tr", *(element("th", h, scope="col") for h in heads))
    body = [
        element("tr", *(_cell(h, text) for h, text in zip(heads, row, strict=True)))
        for row in rows
    ]
    table = element(
        "table",
        element("caption", title),
        element("thead", head),
        element("tbody", *body),
    )
    return element("div", table, class_="kit-rows kit-stacked", tabindex="0")


def _cell(head: str, text: str) -> Markup:
    return element("td", element("span", f"{head}: ", class_="kit-label"), text)
