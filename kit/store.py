"""Adding a line to a keeper's file, and making new ones, without ever tearing one."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kit import escape, safe_write
from kit.errors import SaveError
from kit.manner import Manner, manner_of
from kit.structure import Table, parse_sheet

__all__ = [
    "ChangedOnDisk",
    "HeldOpen",
    "Saved",
    "append_entry",
    "create_log",
    "pending_count",
    "pending_path",
    "preview_entry",
    "preview_new",
    "save_copy",
]

HeldOpen = safe_write.HeldOpen
_SIZE_LIMIT: Final = 20_000_000  # bytes; the same as for reading


class ChangedOnDisk(SaveError):
    """The file is not what was loaded; somebody else wrote to it."""


@dataclass(frozen=True, slots=True)
class Saved:
    """What was written.

    Parameters
    ----------
    file : str
        File name without its folder.
    line : int
        Editor line of the new entry.
    text : str
        The line as it stands in the file.
    sha256 : str
        Digest of the file as it is now; give it with the next entry.
    backup : pathlib.Path or None
        Where the file as it stood before today's first save is kept; None when
        that was done by an earlier save.
    """

    file: str
    line: int
    text: str
    sha256: str
    backup: Path | None = None


@dataclass(frozen=True, slots=True)
class _Draft:
    """A file's bytes with one line more."""

    data: bytes
    line: int
    text: str
    manner: Manner
    header: tuple[str, ...]


def append_entry(
    path: Path,
    values: Mapping[str, str | float],
    *,
    expected_sha256: str | None,
    today: dt.date,
    numeric: Collection[str] = (),
    lock_seconds: float | None = None,
) -> Saved:
    """Add one line at the end of a keeper's file, in the file's own manner.

    Parameters
    ----------
    path : pathlib.Path
        A CSV file, or a link to one.
    values : Mapping
        Column name as in the file, and what to write. A float is written with the
        file's decimal sign; a text is written as it is, made harmless where a
        spreadsheet would calculate it.
    expected_sha256 : str or None
        Digest of the file as it was loaded; None to add to whatever is there.
    today : datetime.date
        Day that names the backup.
    numeric : collection of str
        Columns whose text holds numbers, such as ``"<0.5"``, and so follows the
        file's decimal sign.
    lock_seconds : float, optional
        How long to wait for another program; `kit.safe_write.LOCK_SECONDS` when
        left out. [s]

    Returns
    -------
    Saved
        Where the line stands now, and the file's new digest.

    Raises
    ------
    ChangedOnDisk
        When the file is not what was loaded.
    HeldOpen
        When another program holds it open; the line is kept in `pending_path`.
    SaveError
        For any other reason, in plain words. The file is then as it was.
    """
    real = safe_write.writable_target(Path(path))
    with safe_write.locked(real, lock_seconds):
        raw = _bytes_of(real)
        if expected_sha256 is not None and safe_write.digest(raw) != expected_sha256:
            raise ChangedOnDisk(
                f"{real.name} was changed by another program since it was loaded; "
                "nothing was saved. Load it again, then save your entry."
            )
        draft = _draft(raw, real.name, values, numeric)
        backup = safe_write.back_up(real, today)
        try:
            safe_write.replace(real, draft.data)
        except HeldOpen as fault:
            kept = _keep_pending(real, draft)
            raise HeldOpen(
                f"{real.name} is open in another program. Close it in the spreadsheet "
                f"and save again; your entry is kept in {kept.name}."
            ) from fault
        _settle_pending(real, draft)
    digest = safe_write.digest(draft.data)
    return Saved(real.name, draft.line, draft.text, digest, backup)


def preview_entry(
    path: Path, values: Mapping[str, str | float], *, numeric: Collection[str] = ()
) -> str:
    """Give the line that `append_entry` would write, without writing.

    Parameters
    ----------
    path, values, numeric
        As for `append_entry`.

    Returns
    -------
    str
        The line without its end.

    Raises
    ------
    SaveError
        When the line could not be added.
    """
    try:
        real = Path(path).resolve(strict=True)
    except (OSError, RuntimeError) as fault:
        raise SaveError(f"{Path(path).name} is not there.") from fault
    return _draft(_bytes_of(real), real.name, values, numeric).text


def preview_new(header: Sequence[str], values: Mapping[str, str | float]) -> str:
    """Give the first line of a file that `create_log` would make.

    Parameters
    ----------
    header : sequence of str
        Names of the columns.
    values : Mapping
        As for `append_entry`.

    Returns
    -------
    str
        The line without its end.
    """
    manner = Manner()
    return manner.line(manner.cells(header, values))


def create_log(path: Path, header: Sequence[str]) -> str:
    """Make a new log with its header; never over a file that is there.

    Parameters
    ----------
    path : pathlib.Path
        A new file in a folder that is there.
    header : sequence of str
        Names of the columns, with their units.

    Returns
    -------
    str
        Digest of the new file, for the first `append_entry`.

    Raises
    ------
    SaveError
        When the file is there already or cannot be written.
    """
    # The mark lets a spreadsheet on Windows read accents and µ as they are meant.
    text = Manner().line([escape.csv_text(escape.plain(name)) for name in header])
    data = f"{text}\n".encode("utf-8-sig")
    safe_write.create(Path(path), data)
    return safe_write.digest(data)


def save_copy(folder: Path, name: str, data: bytes) -> Path:
    """Keep a file handed over by a browser in a folder, under a safe name.

    Parameters
    ----------
    folder : pathlib.Path
        A folder that is there.
    name : str
        The name the file came with; only its letters and digits are kept.
    data : bytes
        The file.

    Returns
    -------
    pathlib.Path
        Where it is now. A file of that name is never written over.

    Raises
    ------
    SaveError
        When it cannot be written.
    """
    if len(data) > _SIZE_LIMIT:
        raise SaveError(
            f"The file is larger than {_SIZE_LIMIT // 10**6} MB; not saved."
        )
    folder = Path(folder)
    if not folder.is_dir():
        raise SaveError(f"The folder {folder.name} is not there; make it first.")
    stem = Path(name.replace("\\", "/").rsplit("/", 1)[-1]).stem
    taken = {found.stem for found in folder.iterdir()}
    path = escape.inside(folder, escape.slug(stem, taken=taken) + ".csv")
    safe_write.create(path, data)
    return path


def pending_path(path: Path) -> Path:
    """Name the file that keeps entries which could not be saved.

    Parameters
    ----------
    path : pathlib.Path
        The log.

    Returns
    -------
    pathlib.Path
        ``NAME.pending.csv`` beside it; the kit never reads it as a log.
    """
    return path.with_name(f"{path.stem}.pending.csv")


def _bytes_of(path: Path) -> bytes:
    try:
        if path.stat().st_size > _SIZE_LIMIT:
            raise SaveError(f"{path.name} is too large to add to; nothing was changed.")
        return path.read_bytes()
    except SaveError:
        raise
    except OSError as fault:
        raise SaveError(f"{path.name} cannot be read; nothing was changed.") from fault


def _draft(
    raw: bytes,
    name: str,
    values: Mapping[str, str | float],
    numeric: Collection[str],
) -> _Draft:
    """Compose the new file and read it back before anything is written."""
    sheet = parse_sheet(raw, name)
    table = sheet.tables[-1] if sheet.tables else None
    if table is None or table.header_line is None:
        raise SaveError(
            f"{name} has no row with the names of its columns; nothing was changed."
        )
    open_quote = any(p.kind == "unclosed quote" for p in sheet.problems)
    manner = manner_of(raw, sheet, table)
    cells = manner.cells(table.header, values, numeric)
    text = manner.line(cells)
    end = manner.encode(manner.newline)
    data = raw
    if not data.endswith((end, *(manner.encode(mark) for mark in "\r\n"))):
        data += end
    line = _line_count(data, manner) + 1
    data += manner.encode(text) + end
    again = parse_sheet(data, name)
    added = _only_added(table, again.tables[-1] if again.tables else None, cells, line)
    # The kit reads on past an open quotation mark; a spreadsheet would not.
    if open_quote or not added:
        raise SaveError(
            f"{name} is shaped so that a line cannot be added safely (several tables, "
            "a quotation mark left open, or the like); nothing was changed. Check the "
            "file first."
        )
    return _Draft(data, line, text, manner, table.header)


def _line_count(data: bytes, manner: Manner) -> int:
    text = data.decode(manner.codec, "replace")
    return text.count("\n") + text.count("\r") - text.count("\r\n")


def _only_added(old: Table, new: Table | None, cells: Sequence[str], line: int) -> bool:
    """Tell whether the new file reads as the old one and the new line."""
    if new is None or new.header != old.header or not new.records:
        return False
    if new.unsure != old.unsure:
        return False
    last = new.records[-1]
    same = [c.strip() for c in last.cells] == [c.strip() for c in cells]
    return same and last.line == line and new.records[:-1] == old.records


def _keep_pending(path: Path, draft: _Draft) -> Path:
    """Keep the line beside a file that is held open elsewhere."""
    kept = pending_path(path)
    head, lines = draft.manner.line(draft.header), _pending_lines(kept, draft.manner)
    if draft.text not in lines:
        lines.append(draft.text)
    _put_pending(kept, draft.manner, [head, *lines])
    return kept


def _settle_pending(path: Path, draft: _Draft) -> None:
    """Take a line that is in the log now out of the entries kept apart."""
    kept = pending_path(path)
    lines = _pending_lines(kept, draft.manner)
    if draft.text not in lines:
        return
    lines.remove(draft.text)
    with contextlib.suppress(OSError):
        if lines:
            head = draft.manner.line(draft.header)
            _put_pending(kept, draft.manner, [head, *lines])
        else:
            kept.unlink()


def _pending_lines(kept: Path, manner: Manner) -> list[str]:
    if not kept.is_file():
        return []
    text = _bytes_of(kept).decode(manner.codec, "replace").removeprefix("\ufeff")
    return [line for line in text.split(manner.newline)[1:] if line]


def _put_pending(kept: Path, manner: Manner, lines: Sequence[str]) -> None:
    # Text in two bytes a letter needs its mark to be read again.
    mark = (
        "\ufeff" if manner.codec.startswith("utf-") and "8" not in manner.codec else ""
    )
    data = manner.encode(mark + "".join(line + manner.newline for line in lines))
    if kept.exists():
        safe_write.replace(kept, data)
    else:
        safe_write.create(kept, data)


def pending_count(path: Path) -> int:
    """Count the entries that could not be saved and are kept beside a log.

    Parameters
    ----------
    path : pathlib.Path
        The log.

    Returns
    -------
    int
        How many; 0 when there is no such file.
    """
    kept = pending_path(path)
    if not kept.is_file():
        return 0
    sheet = parse_sheet(_bytes_of(kept), kept.name)
    return sum(len(table.records) for table in sheet.tables)
