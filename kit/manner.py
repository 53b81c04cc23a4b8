"""The manner in which a keeper's CSV file is written, so that a new line fits in."""

from __future__ import annotations

import codecs
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kit import escape
from kit.errors import SaveError
from kit.numerals import number_style
from kit.structure import Sheet, Table

__all__ = ["Manner", "manner_of"]

_DECIMAL_POINT: Final = re.compile(r"(?<=\d)\.(?=\d)")
_WIDE: Final = (
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_SAID: Final = {"cp1252": "the western European code page (cp1252)"}


@dataclass(frozen=True, slots=True)
class Manner:
    """How a file's lines are written.

    Parameters
    ----------
    codec : str
        Codec for new text; it writes no mark.
    delimiter, quote, newline : str
        Between cells, around a cell, at the end of a line.
    comma : bool
        Whether the file writes decimal commas.
    """

    codec: str = "utf-8"
    delimiter: str = ","
    quote: str = '"'
    newline: str = "\n"
    comma: bool = False

    def number(self, value: float) -> str:
        """Write a number with the file's decimal sign."""
        text = f"{value:.6f}".rstrip("0").rstrip(".")
        return self.decimals("0" if text == "-0" else text)

    def decimals(self, text: str) -> str:
        """Put the file's decimal sign into a text that holds numbers."""
        return _DECIMAL_POINT.sub(",", text) if self.comma else text

    def line(self, cells: Sequence[str]) -> str:
        """Join cells to a line without its end.

        Parameters
        ----------
        cells : sequence of str
            One text for each column.

        Returns
        -------
        str
            The line, quoted where needed.
        """
        return self.delimiter.join(self._quoted(cell) for cell in cells)

    def _quoted(self, cell: str) -> str:
        risky = (self.delimiter, self.quote, '"', "'", "\n", "\r")
        plain = cell == cell.strip() and not any(mark in cell for mark in risky)
        if plain:
            return cell
        return self.quote + cell.replace(self.quote, self.quote * 2) + self.quote

    def cells(
        self,
        header: Sequence[str],
        values: Mapping[str, str | float],
        numeric: Collection[str] = (),
    ) -> tuple[str, ...]:
        """Lay values out in the file's own order of columns.

        Parameters
        ----------
        header : sequence of str
            The file's header.
        values : Mapping
            What to write, by column name; case and spaces do not matter.
        numeric : collection of str
            Columns whose text holds numbers, such as ``"<0.5"``.

        Returns
        -------
        tuple of str
            One cell for each column; empty where nothing was given.

        Raises
        ------
        SaveError
            When a column is missing or stands twice.
        """
        names = [_folded(name) for name in header]
        numbers = {_folded(name) for name in numeric}
        row = [""] * len(names)
        for name, value in values.items():
            key = _folded(name)
            if names.count(key) != 1:
                how = "twice" if key in names else "not"
                raise SaveError(
                    f'The column "{name}" stands {how} in this file; nothing was '
                    "changed. Mend its first row, or choose another file."
                )
            row[names.index(key)] = self._cell(value, key in numbers)
        return tuple(row)

    def _cell(self, value: str | float, numeric: bool) -> str:
        if not isinstance(value, str):
            return self.number(value)
        text = escape.plain(value)
        if numeric:
            text = self.decimals(text)
        return escape.csv_text(text)

    def encode(self, text: str) -> bytes:
        """Encode new text as the file is encoded.

        Raises
        ------
        SaveError
            When the file's code page lacks a character.
        """
        try:
            return text.encode(self.codec)
        except UnicodeEncodeError as fault:
            bad = text[fault.start : fault.start + 1]
            said = _SAID.get(self.codec, self.codec)
            raise SaveError(
                f"This file is written in {said}, which has no {bad!r}; nothing was "
                "changed. Leave that letter out, or save the file as CSV (UTF-8)."
            ) from fault


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()


def manner_of(raw: bytes, sheet: Sheet, table: Table) -> Manner:
    """Tell how a file is written from its bytes and its structure.

    Parameters
    ----------
    raw : bytes
        The file.
    sheet : Sheet
        Its structure.
    table : Table
        The table that gets the new line.

    Returns
    -------
    Manner
        What a new line has to look like.
    """
    delimiter = sheet.delimiter or ","
    comma = False
    if delimiter != ",":
        cells = (cell.strip() for row in table.records[-500:] for cell in row.cells)
        style = number_style(
            [c for c in cells if re.fullmatch(r"[<>]?[\d.,]{1,20}", c)]
        )
        comma = style.comma and not style.clashes
    return Manner(
        codec=_codec(raw, sheet.encoding),
        delimiter=delimiter,
        quote=sheet.quote or '"',
        newline=sheet.newline or "\n",
        comma=comma,
    )


def _codec(raw: bytes, label: str) -> str:
    for mark, codec in _WIDE:
        if label.startswith(codec[:6]) and raw.startswith(mark):
            return codec
    if label.startswith("utf-16"):
        # No mark: in plain text the zero bytes stand second for the one order.
        return "utf-16-le" if raw[1::2].count(0) >= raw[0::2].count(0) else "utf-16-be"
    return "cp1252" if label == "cp1252" else "utf-8"
