"""The report as a PDF to print or attach: real text, headings, repeated table heads."""

from __future__ import annotations

import datetime as dt
import io
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from kit import escape
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

__all__ = ["to_pdf"]

_FONT: Final = "Body"
_SIZES: Final = {"title": 20.0, "heading": 12.5, "lead": 13.0, "text": 9.5, "cell": 8.0}
_LINE: Final = 1.38  # line height over letter size
_MM: Final = 25.4 / 72.0  # a point, in mm
_MARGIN: Final = 18.0
_SOFT: Final = 70  # grey of labels; 9 to 1 on white
_RULE: Final = 160
_ABSENT: Final = "□"  # stands for a letter that the typeface lacks
_NO_DAY: Final = dt.date(2000, 1, 1)
_CELL_LIMIT: Final = 200
_WHOLE: Final = 16  # rows of a table that is not parted


def to_pdf(report: Report) -> bytes:
    """Write a report as a PDF.

    Parameters
    ----------
    report : Report
        What to tell.

    Returns
    -------
    bytes
        The whole file: text that can be searched, copied and read aloud, bookmarks, the
        picture with its words, title and language. The same report always gives the
        same bytes; the only date in it is that of the log.
    """
    sheet = _Sheet(report)
    for section in outline(report):
        sheet.section(section)
    return sheet.bytes()


def _typeface() -> dict[str, Path]:
    """Find the letters that come with the pictures: they have most alphabets."""
    found = find_spec("matplotlib")
    places = (found.submodule_search_locations or []) if found else []
    folder = Path(next(iter(places), ".")) / "mpl-data" / "fonts" / "ttf"
    return {"": folder / "DejaVuSans.ttf", "B": folder / "DejaVuSans-Bold.ttf"}


class _Sheet:
    """The pages while they are written."""

    def __init__(self, report: Report) -> None:
        from fpdf import FPDF, ViewerPreferences

        make: Any = FPDF
        self.pdf: Any = make(format=report.paper, unit="mm")
        self.pdf.set_display_mode("default", "continuous")
        self.pdf.set_margins(_MARGIN, _MARGIN)
        self.pdf.set_auto_page_break(True, margin=_MARGIN + 4)
        for style, path in _typeface().items():
            self.pdf.add_font(_FONT, style, path)
        self._known = set(self.pdf.fonts[_FONT.lower()].cmap)
        day = report.day or _NO_DAY
        self.pdf.set_creation_date(
            dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC)
        )
        self.title = self._safe(report.title)
        self.pdf.set_title(self.title)
        self.pdf.set_subject(self._safe(" ".join(report.verdict[:1])))
        self.pdf.set_lang("en")
        self.pdf.viewer_preferences = ViewerPreferences(display_doc_title=True)
        self.pdf.alias_nb_pages("{pages}")
        self.pdf.footer = self._footer
        self.pdf.add_page()
        self._line(self.title, "title", bold=True)
        if report.period:
            self._line(self._safe(report.period), "text", grey=_SOFT)

    def bytes(self) -> bytes:
        """Give the finished file."""
        return bytes(self.pdf.output())

    def section(self, section: Section) -> None:
        """Write a heading and what stands under it."""
        # A heading needs some lines under it on its page.
        if self.pdf.will_page_break(32.0):
            self.pdf.add_page()
        else:
            self.pdf.ln(4.5)
        self.pdf.start_section(section.heading)
        self._line(section.heading, "heading", bold=True)
        self.pdf.ln(1.2)
        for block in section.blocks:
            self._block(block)

    def _block(self, block: Block) -> None:
        match block:
            case Facts(pairs):
                self._facts(pairs)
            case Sentences(texts, lead):
                for place, text in enumerate(texts):
                    first = lead and place == 0
                    self._line(
                        self._safe(text), "lead" if first else "text", bold=first
                    )
                    self.pdf.ln(1.2)
            case Bullets(texts):
                for text in texts:
                    self._bullet(text)
            case Figure():
                self._figure(block)
            case Table():
                self._table(block)

    def _safe(self, text: str) -> str:
        """Make one line of letters that the typeface has."""
        line = escape.plain(text)
        return "".join(c if ord(c) in self._known else _ABSENT for c in line)

    def _letters(self, size: str, *, bold: bool = False, grey: int = 0) -> float:
        """Choose the letters; give the height of their line. [mm]."""
        self.pdf.set_font(_FONT, "B" if bold else "", _SIZES[size])
        self.pdf.set_text_color(grey)
        return _SIZES[size] * _LINE * _MM

    def _line(self, text: str, size: str, *, bold: bool = False, grey: int = 0) -> None:
        height = self._letters(size, bold=bold, grey=grey)
        self.pdf.multi_cell(0, height, text, align="L", new_x="LMARGIN", new_y="NEXT")

    def _facts(self, pairs: tuple[tuple[str, str], ...]) -> None:
        height = self._letters("text")
        with self.pdf.table(
            borders_layout="NONE",
            first_row_as_headings=False,
            col_widths=(44, round(self.pdf.epw) - 44),
            text_align="LEFT",
            line_height=height,
            padding=(0.4, 0),
        ) as grid:
            for label, value in pairs:
                row = grid.row()
                row.cell(self._safe(label), style=self._face(_SOFT))
                row.cell(self._safe(value))

    def _face(self, grey: int) -> Any:
        from fpdf.fonts import FontFace

        return FontFace(color=grey)

    def _bullet(self, text: str) -> None:
        height = self._letters("text")
        if self.pdf.will_page_break(2 * height):
            self.pdf.add_page()
        self.pdf.cell(4.5, height, "–")
        self.pdf.multi_cell(
            0, height, self._safe(text), align="L", new_x="LMARGIN", new_y="NEXT"
        )
        self.pdf.ln(0.8)

    def _figure(self, figure: Figure) -> None:
        width, height = figure.size
        wide = min(self.pdf.epw, 150.0)
        high = wide * height / width
        if self.pdf.will_page_break(high + 6):
            self.pdf.add_page()
        self.pdf.image(
            io.BytesIO(figure.png), w=wide, h=high, alt_text=self._safe(figure.alt)
        )
        self.pdf.ln(1.5)
        if figure.caption:
            self._line(self._safe(figure.caption), "text", grey=_SOFT)

    def _table(self, table: Table) -> None:
        height = self._letters("text", bold=True)
        # A short table stays whole; a long one has its heading and some rows.
        rows = len(table.rows) if len(table.rows) <= _WHOLE else 4
        if self.pdf.will_page_break((rows + 5) * height):
            self.pdf.add_page()
        self.pdf.ln(1.5)
        self._line(self._safe(table.caption), "text", bold=True)
        self.pdf.ln(0.8)
        height = self._letters("cell")
        self.pdf.set_draw_color(_RULE)
        from fpdf.fonts import FontFace

        with self.pdf.table(
            borders_layout="HORIZONTAL_LINES",
            headings_style=FontFace(emphasis="BOLD"),
            col_widths=_widths(table),
            text_align=tuple("RIGHT" if n else "LEFT" for n in table.numeric),
            line_height=height,
            padding=(0.5, 1.2),
        ) as grid:
            for row in (table.columns, *table.rows):
                cells = grid.row()
                for text in row:
                    cells.cell(self._safe(escape.plain(text, _CELL_LIMIT)))
        self.pdf.ln(1.5)

    def _footer(self) -> None:
        self.pdf.set_y(-(_MARGIN - 4))
        height = self._letters("cell", grey=_SOFT)
        page = f"page {self.pdf.page_no()} of {{pages}}"
        self.pdf.cell(self.pdf.epw - 30, height, escape.plain(self.title, 80))
        self.pdf.cell(30, height, page, align="R")


def _widths(table: Table) -> tuple[int, ...]:
    """Share the width out: no word is broken that can be helped, then by length."""
    out = []
    for place, head in enumerate(table.columns):
        cells = [row[place] for row in table.rows]
        # Headings are bold, which is wider by about a sixth.
        words = [7 * len(w) for w in head.split()]
        words += [6 * len(w) for text in cells for w in text.split()]
        whole = max((6 * len(text) for text in cells), default=0)
        out.append(14 + max(min(max(words, default=0), 130), min(whole, 190)))
    return tuple(out)
