"""How large a file may be before it is refused."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LIMITS", "Limits"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Sizes above which a file, or a cell, is refused with a sentence.

    Parameters
    ----------
    file_bytes : int
        Size of the whole file [bytes].
    rows : int
        Lines that are not blank.
    columns : int
        Cells in a row.
    cell_chars : int
        Length of one cell [characters].
    span_lines : int
        Editor lines one quoted cell may run over.
    shown : int
        Problems listed one by one for each kind and column.
    """

    file_bytes: int = 20_000_000
    rows: int = 200_000
    columns: int = 500
    cell_chars: int = 32_000
    span_lines: int = 200
    shown: int = 20


LIMITS = Limits()
