"""One page another keeper can check, as HTML and as text to paste.

A `Report` holds plain, unescaped text; the writers escape it. `write` makes the
whole folder.
"""

from __future__ import annotations

from kit.report._folder import bundle, write
from kit.report._html import to_html
from kit.report._page import Figure, Report, Table
from kit.report._post import to_bbcode, to_markdown, to_text

__all__ = [
    "Figure",
    "Report",
    "Table",
    "bundle",
    "to_bbcode",
    "to_html",
    "to_markdown",
    "to_text",
    "write",
]
