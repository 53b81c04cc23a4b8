"""One page another keeper can check, as HTML, PDF and text to paste.

A `Report` holds plain, unescaped text; the writers escape it. `write` makes the
whole folder.
"""

from __future__ import annotations

from kit.report._folder import bundle, write, write_index
from kit.report._html import to_html
from kit.report._index import Listed, to_index
from kit.report._page import (
    HEADINGS,
    SECTIONS,
    Attachment,
    Figure,
    Report,
    Table,
)
from kit.report._pdf import to_pdf
from kit.report._post import to_bbcode, to_markdown, to_text

__all__ = [
    "HEADINGS",
    "SECTIONS",
    "Attachment",
    "Figure",
    "Listed",
    "Report",
    "Table",
    "bundle",
    "to_bbcode",
    "to_html",
    "to_index",
    "to_markdown",
    "to_pdf",
    "to_text",
    "write",
    "write_index",
]
