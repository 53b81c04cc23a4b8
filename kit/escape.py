"""Text from strangers made safe for a page, a post, a spreadsheet and a path.

A name or a note comes out of somebody's file and may hold anything. Each function
here takes raw text and gives text for one kind of output; nothing else in the kit
escapes, and nothing is escaped before it reaches a writer.
"""

from __future__ import annotations

import hashlib
import html as _stdlib_html
import re
import unicodedata
from collections.abc import Collection
from pathlib import Path

from kit.errors import SaveError

__all__ = [
    "bbcode",
    "csv_text",
    "csv_text_back",
    "html",
    "inside",
    "markdown",
    "paste",
    "plain",
    "slug",
]

LIMIT = 2_000
"""Longest piece of text kept by default. [characters]"""

_MARKS_IN_A_ROW = 4  # living scripts need at most this many on one letter
_SLUG_LIMIT = 60
_NAME_LIMIT = 256

# What a forum would turn into a call or a link, met in someone's free text.
_MENTION = re.compile(r"@(?=\w)")
_BARE_LINK = re.compile(r"(?i)\bwww\.(?=\w)")
_TAG_OPEN = re.compile(r"<(?=[A-Za-z/!?])")

# What starts a list, a definition, a rule or an underlined heading in Markdown.
_BLOCK_START = re.compile(r"\d{1,9}[.)](?=\s|$)|[-+](?=\s|$)|-(?=-)|[=:]")
_MARKDOWN = str.maketrans(
    {c: "\\" + c for c in "\\`*_[]{}#"}
    | {"&": "&amp;", "<": "&lt;", ">": "&gt;"}
    | {c: f"&#{ord(c)};" for c in "|$~"}
)

_NUMBER = re.compile(r"[-+]?\d{1,15}(?:\.\d{1,15})?(?:[eE][-+]?\d{1,3})?")
_NOT_SLUG = re.compile(r"[^a-z0-9]+")
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul", "conin", "conout", "clock"]
    + [f"{port}{n}" for port in ("com", "lpt") for n in range(10)]
)


def plain(text: str, limit: int = LIMIT) -> str:
    r"""Make one line of visible characters.

    Control and format characters go (among them those that turn the reading
    direction round), any white space becomes a single space, and marks piled on one
    letter are thinned, as they would climb over the lines above.

    Parameters
    ----------
    text : str
        Raw text.
    limit : int, optional
        Longest result; what is cut shows as an ellipsis. [characters]

    Returns
    -------
    str
        No character of the Unicode classes Cc, Cf or Cs.

    Examples
    --------
    >>> plain("two\nlines\u202e")
    'two lines'
    """
    kept: list[str] = []
    marks = 0
    for char in text:
        kind = unicodedata.category(char)
        marks = marks + 1 if kind in ("Mn", "Me") else 0
        if char.isspace():
            kept.append(" ")
        elif kind == "Cs":
            kept.append("\ufffd")
        elif kind not in ("Cc", "Cf") and marks <= _MARKS_IN_A_ROW:
            kept.append(char)
    line = " ".join("".join(kept).split())
    return line if len(line) <= limit else line[: limit - 1].rstrip() + "…"


def html(text: str, limit: int = LIMIT) -> str:
    """Make text safe inside an element or a quoted attribute.

    Parameters
    ----------
    text : str
        Raw text.
    limit : int, optional
        Longest text kept. [characters]

    Returns
    -------
    str
        The same words with ``& < > " '`` as entities.

    Examples
    --------
    >>> html("<5 & falling")
    '&lt;5 &amp; falling'
    """
    return _stdlib_html.escape(plain(text, limit), quote=True)


def paste(text: str, limit: int = LIMIT) -> str:
    """Make text safe to paste where a forum looks for calls and links.

    Parameters
    ----------
    text : str
        Raw text.
    limit : int, optional
        Longest result. [characters]

    Returns
    -------
    str
        ``@name`` and addresses are still legible but wake nobody and link nowhere.

    Examples
    --------
    >>> paste("ask @everyone")
    'ask ＠everyone'
    """
    line = _MENTION.sub("＠", plain(text, limit)).replace("://", "：//")
    return _BARE_LINK.sub("www．", line)


def markdown(text: str, limit: int = LIMIT) -> str:
    r"""Make text safe in a Markdown paragraph, list or table cell.

    Parameters
    ----------
    text : str
        Raw text.
    limit : int, optional
        Longest text kept. [characters]

    Returns
    -------
    str
        Renders as `paste` of the same text.

    Notes
    -----
    Round brackets and exclamation marks stay bare: they have power only beside a
    square bracket, and those are escaped. Entities stand where engines differ on
    the backslash.

    Examples
    --------
    >>> markdown("[free](x) *now* 1|2")
    '\\[free\\](x) \\*now\\* 1&#124;2'
    """
    line = paste(text, limit)
    start = _BLOCK_START.match(line)
    if start is None:
        return line.translate(_MARKDOWN)
    at = start.end() - 1
    return line[:at] + "\\" + line[at] + line[at + 1 :].translate(_MARKDOWN)


def bbcode(text: str, limit: int = LIMIT) -> str:
    """Make text safe in a BBCode post, inside ``[code]`` as well.

    Parameters
    ----------
    text : str
        Raw text.
    limit : int, optional
        Longest text kept. [characters]

    Returns
    -------
    str
        Square brackets become their wide twins; so does a ``<`` that would open a
        tag on boards that take both. ``<5`` stays.

    Examples
    --------
    >>> bbcode("[b]<5[/b]")
    '［b］<5［/b］'
    """
    line = paste(text, limit).replace("[", "［").replace("]", "］")
    return _TAG_OPEN.sub("＜", line)


def csv_text(text: str) -> str:
    """Keep a spreadsheet from running a cell as a formula.

    Parameters
    ----------
    text : str
        Raw cell.

    Returns
    -------
    str
        With an apostrophe in front where a spreadsheet might calculate it; plain
        numbers such as -0.5 are left alone. `csv_text_back` takes it off again.

    Examples
    --------
    >>> csv_text("=1+1"), csv_text("-0.5"), csv_text("fed late")
    ("'=1+1", '-0.5', 'fed late')
    """
    return "'" + text if _is_formula(text.lstrip("'")) else text


def csv_text_back(text: str) -> str:
    """Undo `csv_text`, exactly.

    Parameters
    ----------
    text : str
        Cell as `csv_text` gave it.

    Returns
    -------
    str
        The raw cell.

    Examples
    --------
    >>> csv_text_back("'=1+1"), csv_text_back("'twas late")
    ('=1+1', "'twas late")
    """
    guarded = text.startswith("'") and _is_formula(text.lstrip("'"))
    return text[1:] if guarded else text


def _is_formula(text: str) -> bool:
    """Tell whether a spreadsheet might calculate this cell."""
    if text[:1] and unicodedata.category(text[0]) == "Cc":
        return True
    for at, char in enumerate(text):
        if char.isspace() or unicodedata.category(char) in ("Cc", "Cf"):
            continue  # spreadsheets skip these, so the guard looks behind them
        # Compatibility form: the full-width sign counts as the plain one.
        signs = unicodedata.normalize("NFKC", char)[0] in "=+-@"
        return signs and _NUMBER.fullmatch(text[at:].rstrip()) is None
    return False


def slug(name: str, taken: Collection[str] = ()) -> str:
    """Make a folder or file name from free text.

    Parameters
    ----------
    name : str
        Raw name of a tank or a table.
    taken : collection of str, optional
        Names in use; a number is added to keep apart from them.

    Returns
    -------
    str
        1 to 60 of ``a-z``, ``0-9`` and ``-``; never a device name of any system.

    Examples
    --------
    >>> slug("../../Top Pond!"), slug("CON"), slug("Quarry", taken={"quarry"})
    ('top-pond', 'tank-con', 'quarry-2')
    """
    spread = unicodedata.normalize("NFKD", name[:_NAME_LIMIT]).lower()
    stem = _NOT_SLUG.sub("-", spread.encode("ascii", "ignore").decode("ascii"))
    stem = stem.strip("-")[:_SLUG_LIMIT].strip("-")
    if not stem:
        digest = hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()
        stem = "tank-" + digest[:6]
    elif stem in _DEVICES:
        stem = "tank-" + stem
    result, number = stem, 1
    while result in taken:
        number += 1
        ending = f"-{number}"
        result = stem[: _SLUG_LIMIT - len(ending)].rstrip("-") + ending
    return result


def inside(out_dir: Path, name: str) -> Path:
    """Give the path of a file to write, sure to lie in a folder.

    Parameters
    ----------
    out_dir : pathlib.Path
        Folder that may be written to; itself a link is fine.
    name : str
        Name below it.

    Returns
    -------
    pathlib.Path
        Absolute path with every link followed.

    Raises
    ------
    SaveError
        The name leads out of the folder or is none.
    """
    refusal = f"{plain(name, 60)!r} does not lie in the output folder; nothing written"
    if "\0" in name:
        raise SaveError(refusal)
    root = out_dir.resolve()
    path = (root / name).resolve()
    if path == root or not path.is_relative_to(root):
        raise SaveError(refusal)
    return path
