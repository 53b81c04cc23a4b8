"""Bytes to a table of text: encoding, delimiter, records with true editor lines.

Column meaning is not decided here; see `kit.intake`.
"""

from __future__ import annotations

from kit.structure._limits import LIMITS, Limits
from kit.structure._parse import parse_sheet
from kit.structure._sheet import Record, Sheet, Table, sheet_as_dict
from kit.structure._source import read_sheet

__all__ = [
    "LIMITS",
    "Limits",
    "Record",
    "Sheet",
    "Table",
    "parse_sheet",
    "read_sheet",
    "sheet_as_dict",
]
