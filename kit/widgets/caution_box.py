"""The cautions that belong to a page, before its numbers."""

from __future__ import annotations

import ipywidgets as widgets

from kit import cautions
from kit.markup import Markup
from kit.panel import Panel, caution_markup

__all__ = ["CautionBox"]


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
