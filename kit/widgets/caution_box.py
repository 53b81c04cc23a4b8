"""The cautions that belong to a page, before its numbers."""

from __future__ import annotations

import ipywidgets as widgets

from kit import cautions
from kit.markup import Markup
from kit.panel import Panel, caution_markup

__all__ = ["CautionBox", "caution_rows"]


def caution_rows(
    topics: tuple[str, ...], title: str, *, cautioned: bool = False
) -> list[widgets.HTML]:
    """Give the first row of a panel: its cautions, unless the page shows them above.

    Parameters
    ----------
    topics : tuple of str
        As for `kit.cautions.for_page`.
    title : str
        Line above them.
    cautioned : bool, optional
        Whether they stand on the page already.

    Returns
    -------
    list of ipywidgets.HTML
        One, or none.
    """
    if cautioned:
        return []
    return [widgets.HTML(caution_markup(cautions.for_page(*topics), title))]


class CautionBox(Panel):
    """Cautions to read before acting.

    Parameters
    ----------
    *topics : str
        As for `kit.cautions.for_page`; those of an exchange when left out.
    title : str, optional
        Line above them.
    """

    def __init__(self, *topics: str, title: str = "Before you move water") -> None:
        super().__init__()
        said = cautions.for_page(*(topics or cautions.EXCHANGE))
        self.verdict = (title, *said)
        self.arrange(widgets.HTML(caution_markup(said, title)))

    def still(self) -> Markup:
        """Give the box itself."""
        title, *said = self.verdict
        return caution_markup(said, title)
