"""HTML elements made so that somebody's text can never become a tag.

Every page and panel of the kit builds its HTML with `element` and `picture`.
"""

from __future__ import annotations

import base64
import re

from kit import escape

__all__ = ["Markup", "element", "page_link", "picture"]

_PAGE = {"html", "head", "meta", "title", "style", "body", "main", "header", "footer"}
_FLOW = {"section", "div", "h1", "h2", "h3", "p", "figure", "figcaption", "details"}
_WORDS = {"span", "strong", "em", "small", "br", "img", "summary"}
_LISTS = {"ul", "ol", "li", "dl", "dt", "dd"}
_CELLS = {"table", "caption", "thead", "tbody", "tr", "th", "td"}
TAGS = frozenset(_PAGE | _FLOW | _WORDS | _LISTS | _CELLS)
"""Elements the kit uses; none of them runs anything or leads anywhere."""

_META = {"lang", "charset", "name", "content", "http-equiv"}
_ACCESS = {"role", "tabindex", "aria-label", "aria-labelledby", "aria-live"}
_PICTURE = {"alt", "src", "width", "height", "decoding"}
ATTRIBUTES = frozenset(
    {"class", "id", "scope", "open", "aria-hidden"} | _META | _ACCESS | _PICTURE
)
"""Attributes the kit uses; ``src`` holds an embedded PNG only."""

_VOID = frozenset({"meta", "img", "br"})
_INLINE = frozenset({"span", "strong", "em", "small", "img", "br"})
_REPORT_PAGE = re.compile(r"[a-z0-9-]{1,60}/report\.html")
_EMBEDDED = re.compile(r"data:image/png;base64,[A-Za-z0-9+/]*={0,2}")


class Markup(str):
    """HTML that is safe already; any other text is escaped on its way in.

    Joining one with plain text gives plain text, which is escaped again: a
    forgotten step shows as ``&lt;`` on the page, never as somebody's tag.
    """

    __slots__ = ()


def element(tag: str, *parts: str, **attributes: str) -> Markup:
    """Make one HTML element; text among its parts is escaped.

    Parameters
    ----------
    tag : str
        One of `TAGS`.
    *parts : str
        Children in order: `Markup` as it is, any other text escaped.
    **attributes : str
        Values are escaped; ``class_`` and ``aria_label`` stand for ``class`` and
        ``aria-label``.

    Returns
    -------
    Markup
        Starts with ``<``, so that no front end takes it for a file's name.

    Raises
    ------
    ValueError
        A tag or attribute outside the list, or a picture from elsewhere.

    Examples
    --------
    >>> element("p", "a < b", class_="note").strip()
    '<p class="note">a &lt; b</p>'
    """
    if tag not in TAGS:
        raise ValueError(f"no element {tag!r} here; there are {sorted(TAGS)}")
    opening = "<" + tag + "".join(_attribute(k, v) for k, v in attributes.items()) + ">"
    end = "" if tag in _INLINE else "\n"
    if tag in _VOID:
        return Markup(opening + end)
    inner = "".join(p if isinstance(p, Markup) else _text(p) for p in parts)
    return Markup(opening + inner + "</" + tag + ">" + end)


def _text(text: str) -> str:
    """Escape a child; a space at its edge keeps it apart from its neighbours."""
    before = " " if text[:1].isspace() else ""
    after = " " if text[-1:].isspace() else ""
    return before + escape.html(text) + after


def _attribute(key: str, value: str) -> str:
    name = key.rstrip("_").replace("_", "-")
    if name not in ATTRIBUTES:
        raise ValueError(f"no attribute {name!r} here; there are {sorted(ATTRIBUTES)}")
    if name != "src":
        return f' {name}="{escape.html(value)}"'
    if not _EMBEDDED.fullmatch(value):
        raise ValueError("a picture must be embedded as PNG")
    return f' src="{value}"'  # nothing in base64 needs escaping


def picture(png: bytes, alt: str, **attributes: str) -> Markup:
    """Embed a PNG with its alternative text.

    Parameters
    ----------
    png : bytes
        The whole file.
    alt : str
        What the picture shows, for those who cannot see it.
    **attributes : str
        More attributes, as for `element`.

    Returns
    -------
    Markup
        An ``img`` element that asks nothing of any server.
    """
    code = base64.b64encode(png).decode("ascii")
    source = f"data:image/png;base64,{code}"
    return element("img", alt=alt, src=source, decoding="sync", **attributes)


def page_link(path: str, text: str) -> Markup:
    """Link to the report of one tank, from the page that lists several.

    Parameters
    ----------
    path : str
        ``FOLDER/report.html`` with a folder as `kit.escape.slug` gives it.
    text : str
        What stands for the link; escaped.

    Returns
    -------
    Markup
        The only link of the kit; `element` makes none.

    Raises
    ------
    ValueError
        A path that could lead anywhere else.
    """
    if not _REPORT_PAGE.fullmatch(path):
        raise ValueError("a link leads to a report in a folder beside the page only")
    return Markup(f'<a href="{path}">{escape.html(text)}</a>')
