"""One page that lists the reports of many tanks, and says why one is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kit.markup import Markup, element, page_link
from kit.report._html import column_label, page_around

__all__ = ["Listed", "to_index"]

_HEADS = ("Tank", "Tests", "Rise", "Peak of the logged habit", "Ceiling")


@dataclass(frozen=True, slots=True)
class Listed:
    """One tank of several.

    Parameters
    ----------
    name : str
        The tank's name.
    folder : str
        Folder of its report, as `kit.escape.slug` gives it; ``""`` when there is none.
    cells : tuple of str
        Tests used, net rate, peak and ceiling, with units.
    why : str
        Why there is no rate or no report; ``""`` when there is one.
    """

    name: str
    folder: str = ""
    cells: tuple[str, str, str, str] = ("", "", "", "")
    why: str = ""


def to_index(tanks: Sequence[Listed], title: str = "Reports") -> str:
    """Write the page that lists reports.

    Parameters
    ----------
    tanks : sequence of Listed
        In the order to show; no order of merit is made.
    title : str, optional
        Heading of the page.

    Returns
    -------
    str
        The whole page; its only links lead to the reports beside it.
    """
    good = [t for t in tanks if t.folder and not t.why]
    rest = [t for t in tanks if t not in good]
    made = sum(1 for t in tanks if t.folder)
    counts = f"{made} of {len(tanks)} logbooks have a report."
    if made:
        counts += " Nitrate is counted as NO3; ranges are 95 % bands."
    said = element("p", counts, class_="period")
    parts = [element("header", element("h1", title), said)]
    if good:
        parts.append(_part("tanks", "Tanks with a rise", _table(good)))
    if rest:
        items = element("ul", *map(_reason, rest))
        parts.append(_part("refused", "No rise, and why", items))
    return page_around(title, parts)


def _part(key: str, heading: str, body: Markup) -> Markup:
    name = f"h-{key}"
    return element(
        "section",
        element("h2", heading, id=name),
        body,
        class_="plan",
        aria_labelledby=name,
    )


def _named(tank: Listed) -> Markup | str:
    if not tank.folder:
        return tank.name
    return page_link(f"{tank.folder}/report.html", tank.name)


def _table(tanks: Sequence[Listed]) -> Markup:
    rows = [
        element(
            "tr",
            element("th", _named(t), scope="row", class_="text"),
            *(
                element("td", column_label(head), cell, class_="text")
                for head, cell in zip(_HEADS[1:], t.cells, strict=True)
            ),
        )
        for t in tanks
    ]
    heads = [element("th", head, scope="col", class_="text") for head in _HEADS]
    grid = element(
        "table",
        element("caption", "Side by side", id="list"),
        element("thead", element("tr", *heads)),
        element("tbody", *rows),
    )
    return element(
        "div", grid, class_="wide", role="region", tabindex="0", aria_labelledby="list"
    )


def _reason(tank: Listed) -> Markup:
    return element("li", element("strong", _named(tank)), ": " + tank.why)
