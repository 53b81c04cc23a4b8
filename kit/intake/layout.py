"""Answers to questions about the layout of a file, applied before it is read."""

from __future__ import annotations

from dataclasses import replace

from kit.celltext import words
from kit.intake.columns import letter_of, role_of
from kit.intake.desk import Desk
from kit.structure import Sheet, Table

__all__ = ["layout_answers"]


def layout_answers(
    sheet: Sheet, kind: str, desk: Desk
) -> tuple[Sheet, dict[str, str | None]]:
    """Apply the answers to questions about the layout.

    Parameters
    ----------
    sheet : Sheet
        A file as tables of text.
    kind : str
        What it holds by its name.
    desk : Desk
        Holds the answers.

    Returns
    -------
    Sheet
        With the answers applied; open questions stay on it.
    dict of str to (str or None)
        For each doubled header the letter of the column to use; None while open.
    """
    problems, twins, tables = [], {}, list(sheet.tables)
    for problem in sheet.problems:
        doubled = problem.kind == "duplicate column"
        if doubled and role_of(problem.column or "", kind) == "date":
            continue  # tables side by side are asked about as such
        answer = desk.answered(problem) if problem.level == "question" else None
        if answer is None:
            problems.append(problem)
        if doubled and problem.column is not None:
            letter = problem.letter if answer == "second" else answer
            twins[words(problem.column)] = letter
        elif problem.kind == "no header" and answer == "names":
            tables = [_named(t) for t in tables]
        elif problem.kind == "no header" and answer == "entry":
            tables = [_lettered(t) for t in tables]
    return replace(sheet, problems=tuple(problems), tables=tuple(tables)), twins


def _named(table: Table) -> Table:
    """Take the first record of a table without header as its header."""
    if table.header or not table.records:
        return table
    first, *rest = table.records
    return replace(
        table, header=first.cells, header_line=first.line, records=tuple(rest)
    )


def _lettered(table: Table) -> Table:
    """Name the columns of a table without header by their letters, to ask of each."""
    if table.header or not table.records:
        return table
    width = max(len(r.cells) for r in table.records)
    return replace(table, header=tuple(f"column {letter_of(i)}" for i in range(width)))
