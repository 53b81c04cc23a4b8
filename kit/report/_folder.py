"""The report as a folder: built whole in memory, then put in place file by file."""

from __future__ import annotations

import csv
import io
import os
import re
import secrets
from collections.abc import Iterable, Sequence
from pathlib import Path

from kit import escape
from kit.errors import SaveError
from kit.report._html import to_html
from kit.report._index import Listed, to_index
from kit.report._page import Report, Table, outline
from kit.report._pdf import to_pdf
from kit.report._post import chart_names, to_bbcode, to_markdown, to_text

__all__ = ["bundle", "write", "write_index"]

_LOG_FILES = ("tank.toml", "tests.csv")
_DRAFT = ".part"
_MARK = re.compile(r"[0-9a-f]{8}")


def bundle(report: Report) -> dict[str, bytes]:
    """Make every file of the report without writing any.

    Parameters
    ----------
    report : Report
        What to tell.

    Returns
    -------
    dict of str to bytes
        Content by file name; the same report always gives the same bytes.
    """
    texts = {
        "report.html": to_html(report),
        "report.md": to_markdown(report),
        "report.bbcode.txt": to_bbcode(report),
        "report.txt": to_text(report),
        "post.md": to_markdown(report, brief=True),
        "post.bbcode.txt": to_bbcode(report, brief=True),
        "post.txt": to_text(report, brief=True),
    }
    files = {name: text.encode("utf-8") for name, text in texts.items()}
    files["report.pdf"] = to_pdf(report)
    blocks = [block for section in outline(report) for block in section.blocks]
    for name, figure in zip(chart_names(report), report.figures, strict=True):
        if figure in blocks:
            files[name] = figure.png
    taken: set[str] = set()
    for table in blocks:
        if isinstance(table, Table):
            stem = escape.slug(table.caption, taken)
            taken.add(stem)
            files[f"table-{stem}.csv"] = _csv(table)
    return files | {a.name: a.body for a in report.attachments}


def write(report: Report, out_dir: Path, name: str = "") -> list[Path]:
    """Write the report's folder.

    Parameters
    ----------
    report : Report
        What to tell.
    out_dir : pathlib.Path
        Folder to write to; made if missing. Its other files stay as they are.
    name : str, optional
        Raw name of a folder of its own inside ``out_dir``, as for several tanks.

    Returns
    -------
    list of pathlib.Path
        The files written, the page first.

    Raises
    ------
    SaveError
        The folder cannot be written, or holds a logbook; no half file is left.
    """
    return _put(bundle(report), out_dir, escape.slug(name) if name else "")


def write_index(tanks: Sequence[Listed], out_dir: Path) -> Path:
    """Write the page that lists the reports of several tanks.

    Parameters
    ----------
    tanks : sequence of Listed
        In the order to show.
    out_dir : pathlib.Path
        Folder that holds the reports' folders.

    Returns
    -------
    pathlib.Path
        ``index.html``.

    Raises
    ------
    SaveError
        It cannot be written; no half file is left.
    """
    page = to_index(tanks).encode("utf-8")
    return _put({"index.html": page}, out_dir)[0]


def _put(files: dict[str, bytes], out_dir: Path, below: str = "") -> list[Path]:
    """Put files into a folder, or into one of its own below it."""
    _not_a_logbook(out_dir)
    try:
        folder = escape.inside(out_dir, below) if below else out_dir
        folder.mkdir(parents=True, exist_ok=True)
        targets = {escape.inside(folder, name): body for name, body in files.items()}
        _sweep(targets)
        _replace_all(targets)
    except SaveError:
        raise
    except OSError as fault:
        reason = fault.strerror or "the system refused"
        raise SaveError(
            f"The report could not be written to {escape.plain(out_dir.name, 60)!r}: "
            f"{reason}. Choose a folder you may write to."
        ) from fault
    return list(targets)


def _not_a_logbook(folder: Path) -> None:
    """Keep a report out of a logbook, where its tables would be read as records."""
    if any((folder / name).is_file() for name in _LOG_FILES):
        shown = escape.plain(folder.name, 60)
        raise SaveError(
            f"The folder {shown!r} holds a logbook, and what is written there would be "
            "read as part of it. Name another folder for the report."
        )


def _sweep(targets: Iterable[Path]) -> None:
    """Delete drafts that a killed run left, and nothing else."""
    for path in targets:
        for left in path.parent.glob(f".{path.name}.*{_DRAFT}"):
            if _MARK.fullmatch(left.name[len(path.name) + 2 : -len(_DRAFT)]):
                left.unlink(missing_ok=True)


def _replace_all(targets: dict[Path, bytes]) -> None:
    """Write each file beside its place, then move all of them in.

    A run that is killed leaves each file either as it was or whole.
    """
    mark = secrets.token_hex(4)
    drafts = {path: path.with_name(f".{path.name}.{mark}{_DRAFT}") for path in targets}
    try:
        for path, body in targets.items():
            with drafts[path].open("xb") as draft:
                draft.write(body)
                draft.flush()
                os.fsync(draft.fileno())
        for path, draft_path in drafts.items():
            draft_path.replace(path)
    finally:
        for draft_path in drafts.values():
            draft_path.unlink(missing_ok=True)


def _csv(table: Table) -> bytes:
    """Give a table as CSV that no spreadsheet runs as formulas."""
    out = io.StringIO(newline="")
    rows = csv.writer(out)
    for row in (table.columns, *table.rows):
        rows.writerow([escape.csv_text(cell) for cell in row])
    # The mark at the start lets spreadsheets see that this is UTF-8.
    return out.getvalue().encode("utf-8-sig", "replace")
