"""The report as a folder: built whole in memory, then put in place file by file."""

from __future__ import annotations

import csv
import io
import secrets
from pathlib import Path

from kit import escape
from kit.errors import SaveError
from kit.report._html import to_html
from kit.report._page import Report, Table
from kit.report._post import chart_names, to_bbcode, to_markdown, to_text

__all__ = ["bundle", "write"]


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
        "post.md": to_markdown(report),
        "post.bbcode.txt": to_bbcode(report),
        "post.txt": to_text(report),
    }
    files = {name: text.encode("utf-8") for name, text in texts.items()}
    for name, figure in zip(chart_names(report), report.figures, strict=True):
        files[name] = figure.png
    taken: set[str] = set()
    for table in report.tables + report.data:
        stem = escape.slug(table.caption, taken)
        taken.add(stem)
        files[f"table-{stem}.csv"] = _csv(table)
    return files


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
        The folder cannot be written; no half file is left.
    """
    files = bundle(report)
    try:
        folder = escape.inside(out_dir, escape.slug(name)) if name else out_dir
        folder.mkdir(parents=True, exist_ok=True)
        targets = {escape.inside(folder, name): body for name, body in files.items()}
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


def _replace_all(targets: dict[Path, bytes]) -> None:
    """Write each file beside its place, then move all of them in."""
    mark = secrets.token_hex(4)
    drafts = {path: path.with_name(f".{path.name}.{mark}.part") for path in targets}
    try:
        for path, body in targets.items():
            with drafts[path].open("xb") as draft:
                draft.write(body)
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
