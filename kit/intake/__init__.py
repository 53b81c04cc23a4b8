"""From a table of text to records: columns, cells, dates, questions."""

from __future__ import annotations

from kit.intake.cells import RULES, Rule, rules_page
from kit.intake.columns import Column, columns_of
from kit.intake.desk import Desk, Place
from kit.intake.log import logbook_from
from kit.intake.vocabulary import file_kind

__all__ = [
    "RULES",
    "Column",
    "Desk",
    "Place",
    "Rule",
    "columns_of",
    "file_kind",
    "logbook_from",
    "rules_page",
]
