"""What a report holds, and the order in which every writer tells it."""

from __future__ import annotations

import datetime as dt
import re
import struct
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Literal

__all__ = [
    "HEADINGS",
    "SECTIONS",
    "Attachment",
    "Bullets",
    "Facts",
    "Figure",
    "Report",
    "Section",
    "Sentences",
    "Table",
    "brief_outline",
    "outline",
]

HEADINGS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "tank": "The tank",
        "verdict": "What the log says",
        "picture": "The picture",
        "assumed": "What is assumed",
        "change": "What would change it",
        "cautions": "Before you act on this",
        "plan": "The plan",
        "limits": "What this cannot tell you",
        "next": "The test that would help most",
        "log": "What was mended or asked in the log",
        "check": "How to check it",
        "data": "The data",
    }
)
"""Heading of each section by its name, in the order every writer keeps."""

SECTIONS: Final = tuple(HEADINGS)
"""Names of the sections."""

_BRIEF: Final = frozenset(SECTIONS) - {"log", "data"}
_BRIEF_CHECKS: Final = 2
_BRIEF_ITEMS: Final = 4

_PNG = b"\x89PNG\r\n\x1a\n"
_QUANTITY = re.compile(
    r"[<>≤≥~]?\s?[-+−]?\d{1,12}(?:[.,]\d{1,12})?"
    r"(?:\s?(?:to|-|–)\s?[-+−]?\d{1,12}(?:[.,]\d{1,12})?)?\s?%?"
)


@dataclass(frozen=True, slots=True)
class Table:
    """A table of text.

    Parameters
    ----------
    caption : str
        What the table shows; also names its CSV file.
    columns : tuple of str
        Headers, each with its unit.
    rows : tuple of tuple of str
        Cells as they shall stand; the first names its row.

    Raises
    ------
    ValueError
        A row that does not have a cell for each column, or no columns.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        widths = {len(row) for row in self.rows}
        if not self.columns or widths - {len(self.columns)}:
            raise ValueError(
                f"table {self.caption!r}: {len(self.columns)} columns, but rows of "
                f"{sorted(widths)} cells"
            )

    @property
    def numeric(self) -> tuple[bool, ...]:
        """Whether each column holds numbers only, to set them flush right."""
        filled = [[row[i] for row in self.rows if row[i]] for i in self._places]
        return tuple(
            bool(cells) and all(_QUANTITY.fullmatch(c.strip()) for c in cells)
            for cells in filled
        )

    @property
    def _places(self) -> range:
        return range(len(self.columns))


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture with its alternative text.

    Parameters
    ----------
    png : bytes
        A whole PNG file.
    alt : str
        What it shows, for those who cannot see it; the finding included.
    caption : str, optional
        Line under the picture.

    Raises
    ------
    ValueError
        No alternative text, or a picture that was not drawn to its end.
    """

    png: bytes
    alt: str
    caption: str = ""

    def __post_init__(self) -> None:
        if not self.alt.strip():
            raise ValueError("a picture needs its alternative text")
        _check_png(self.png)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, in pixels."""
        width, height = struct.unpack(">II", self.png[16:24])
        return width, height


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that belongs to a report: its plain name and its bytes."""

    name: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Report:
    """Everything on the page, as plain unescaped text.

    Parts left empty are left out of the page.

    Parameters
    ----------
    title : str
        Usually the tank's name.
    verdict : tuple of str
        What the log says; the first sentence is the answer and stands large.
    period : str
        Days the log covers, shown under the title.
    tank_facts : tuple of (str, str)
        Label and value: volume and how it was found, test kit, basis of nitrate,
        source water.
    cautions : tuple of str
        From `kit.cautions.for_page`; stand before the plan.
    brief_caution : str
        The same in a sentence or two, for a post.
    figures : tuple of Figure
        The first becomes ``chart.png``.
    plan : tuple of str
        Where habits lead.
    tables : tuple of Table
        Results, such as plans side by side.
    assumptions, changes, cannot_tell : tuple of str
        What is assumed; what would change the result and by how much; what this log
        cannot tell.
    next_test : str
        The one test that would help most, and why.
    repairs, answers : tuple of str
        What was mended or left out in the log; what the keeper answered.
    checks : tuple of str
        How to check the result, what anybody can do first; a post has the first two.
    data : tuple of Table
        Raw readings and exchanges, as written in the log.
    sections : tuple of str
        Names out of `SECTIONS` to show; empty for all. Cautions stay as long as
        there is a plan.
    attachments : tuple of Attachment
        Further files for the report's folder.
    paper : {"A4", "Letter"}
        Size of the printed page.
    day : datetime.date or None
        Last day of the log, the only date a file of the report carries.

    Raises
    ------
    ValueError
        A section that is not there.
    """

    title: str
    verdict: tuple[str, ...]
    period: str = ""
    tank_facts: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    brief_caution: str = ""
    figures: tuple[Figure, ...] = ()
    plan: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    assumptions: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    cannot_tell: tuple[str, ...] = ()
    next_test: str = ""
    repairs: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    data: tuple[Table, ...] = ()
    sections: tuple[str, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    paper: Literal["A4", "Letter"] = "A4"
    day: dt.date | None = None

    def __post_init__(self) -> None:
        if not self.title.strip():
            object.__setattr__(self, "title", "Tank")
        unknown = [name for name in self.sections if name not in SECTIONS]
        if unknown:
            raise ValueError(f"no section {unknown}; there are {list(SECTIONS)}")


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels and values."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Sentences:
    """Paragraphs; with ``lead`` the first stands out."""

    texts: tuple[str, ...]
    lead: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of sentences; ``titled`` ones begin with a topic and a colon."""

    texts: tuple[str, ...]
    titled: bool = False


Block = Facts | Sentences | Bullets | Figure | Table


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it; ``key`` is its stable plain name."""

    key: str
    heading: str
    blocks: tuple[Block, ...]


def outline(report: Report) -> tuple[Section, ...]:
    """Put a report's parts into reading order, without the empty ones.

    Parameters
    ----------
    report : Report
        What to tell.

    Returns
    -------
    tuple of Section
        The order every writer keeps: cautions stand before the first number that
        suggests an action, and cannot be left out while one is there.
    """
    r = report
    *cautions, closing = r.cautions or ("",)
    before_acting = _blocks(Bullets(tuple(cautions), True), Sentences((closing,)))
    return _chosen(r, _parts(r, before_acting))


def brief_outline(report: Report) -> tuple[Section, ...]:
    """Put what fits a post into reading order: no data, and the cautions in short.

    Parameters
    ----------
    report : Report
        What to tell.

    Returns
    -------
    tuple of Section
        As `outline`, shorter.
    """
    *_, closing = report.cautions or ("",)
    short = " ".join(text for text in (report.brief_caution, closing) if text)
    fewer = replace(
        report,
        checks=report.checks[:_BRIEF_CHECKS],
        assumptions=_first(report.assumptions),
        changes=_first(report.changes),
        cannot_tell=_first(report.cannot_tell),
    )
    parts = _parts(fewer, _blocks(Sentences((short,))))
    return _chosen(report, [part for part in parts if part.key in _BRIEF])


def _first(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Keep the first few sentences and say how many more there are."""
    more = len(texts) - _BRIEF_ITEMS
    if more <= 1:
        return texts
    return (*texts[:_BRIEF_ITEMS], f"And {more} more on the whole page.")


def _parts(r: Report, before_acting: tuple[Block, ...]) -> list[Section]:
    """Give every section, the empty ones as well."""
    blocks: dict[str, tuple[Block, ...]] = {
        "tank": _blocks(Facts(r.tank_facts)),
        "verdict": _blocks(Sentences(r.verdict, True)),
        "picture": r.figures,
        "assumed": _blocks(Bullets(r.assumptions)),
        "change": _blocks(Bullets(r.changes)),
        "cautions": before_acting,
        "plan": (*_blocks(Sentences(r.plan)), *r.tables),
        "limits": _blocks(Bullets(r.cannot_tell)),
        "next": _blocks(Sentences((r.next_test,))),
        "log": _blocks(Bullets(r.repairs + r.answers)),
        "check": _blocks(Bullets(r.checks)),
        "data": r.data,
    }
    return [Section(key, heading, blocks[key]) for key, heading in HEADINGS.items()]


def _chosen(r: Report, parts: list[Section]) -> tuple[Section, ...]:
    """Keep the sections asked for that have something to say."""
    wanted = set(r.sections or SECTIONS)
    if "plan" in wanted:
        wanted.add("cautions")
    return tuple(part for part in parts if part.blocks and part.key in wanted)


def _blocks(*blocks: Facts | Sentences | Bullets) -> tuple[Block, ...]:
    """Keep the blocks that have something to say."""
    return tuple(b for b in blocks if any(b.pairs if isinstance(b, Facts) else b.texts))


def _check_png(png: bytes) -> None:
    """Walk a PNG's chunks to its end, so that half a picture is never published."""
    at, kinds = len(_PNG), list[bytes]()
    sound = png.startswith(_PNG)
    while sound and at + 12 <= len(png):
        length = int.from_bytes(png[at : at + 4], "big")
        body = png[at + 4 : at + 8 + length]
        sound = png[at + 8 + length : at + 12 + length] == zlib.crc32(body).to_bytes(
            4, "big"
        )
        kinds.append(body[:4])
        at += 12 + length
    whole = sound and at == len(png) and kinds[:1] == [b"IHDR"]
    if not whole or kinds[-1] != b"IEND" or b"IDAT" not in kinds:
        raise ValueError("the picture is no whole PNG file; it was not drawn")
