"""A path to bytes: plain local files only, size looked at before a byte is read."""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path

from kit.structure._gather import Gather
from kit.structure._limits import LIMITS, Limits
from kit.structure._parse import parse_sheet, refused
from kit.structure._sheet import Sheet

__all__ = ["read_sheet"]

_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.\-]{1,40}:/{1,3}[^/]")
_PACKED = frozenset({".gz", ".zip", ".bz2", ".xz", ".7z", ".zst", ".rar", ".tar"})
_NO_TABLES = frozenset(
    {".md", ".rst", ".htm", ".html", ".toml", ".json", ".ipynb", ".xml", ".yaml", ".py"}
)
"""Text that no spreadsheet writes; read as a table it would give an error a line."""
_BOOKS = frozenset({".xls", ".xlsx", ".xlsm", ".xlsb", ".ods", ".numbers"})


def read_sheet(path: str | Path, limits: Limits = LIMITS) -> Sheet:
    """Read the structure of a file.

    Parameters
    ----------
    path : str or Path
        A plain file on this computer.
    limits : Limits
        Sizes above which the file is refused.

    Returns
    -------
    Sheet
        Problems are on the sheet; nothing is raised for any path or content. The
        file is only read.
    """
    text = str(path)
    file = re.split(r"[/\\]", text)[-1] or text or "file"
    gather = Gather(file, limits.shown)
    try:
        data = _bytes(text, gather, limits)
    except (OSError, ValueError):
        gather.add(
            "error",
            "cannot be read",
            "a file that this computer does not let us read",
            "a file you may open",
            "check the name, and that you are allowed to open it",
        )
        data = None
    if data is None:
        return refused(gather, b"")
    return parse_sheet(data, file, limits)


def _bytes(text: str, gather: Gather, limits: Limits) -> bytes | None:
    """Read a plain local file; None when it is something else, with the reason."""
    if "://" in text or _ADDRESS.match(text):
        _refuse(gather, "address", "a web address", "download the file first")
        return None
    path = Path(text)
    suffix = path.suffix.casefold()
    if _is_wrong_kind(suffix, gather):
        return None
    try:
        about = path.stat()
    except FileNotFoundError:
        mend = "check the name, and in which folder it lies"
        where = "a logbook folder or a plain text file (CSV) on this computer"
        seen = "no file or folder of that name"
        _refuse(gather, "no such file", seen, mend, expected=where)
        return None
    if stat.S_ISDIR(about.st_mode):
        _refuse(gather, "folder", "a folder", "choose a file inside it")
        return None
    if not stat.S_ISREG(about.st_mode):
        _refuse(gather, "not a file", "a device or a pipe", "choose a plain file")
        return None
    if about.st_size > limits.file_bytes:
        _refuse(
            gather,
            "file too large",
            f"{about.st_size:,} bytes",
            "split it by year, or leave out columns the log does not need",
            expected=f"at most {limits.file_bytes:,} bytes",
        )
        return None
    return _read(path, suffix, gather, limits)


def _is_wrong_kind(suffix: str, gather: Gather) -> bool:
    """Tell by its name whether a file holds no table of text, and say so."""
    if suffix in _PACKED:
        _refuse(gather, "compressed", f"a packed file ({suffix})", "unpack it first")
        return True
    if suffix in _NO_TABLES:
        mend = "name the log's CSV file, or the folder that holds it"
        _refuse(gather, "no table", f"a file that holds no table ({suffix})", mend)
        return True
    return False


def _read(path: Path, suffix: str, gather: Gather, limits: Limits) -> bytes | None:
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    with os.fdopen(os.open(path, flags), "rb") as stream:
        data = stream.read(limits.file_bytes + 1)
    if suffix in _BOOKS and data[:2] not in (b"PK", b"\xd0\xcf") and b"\0" in data:
        _refuse(gather, "workbook", f"a workbook ({suffix})", "save it as CSV (UTF-8)")
        return None
    return data


def _refuse(
    gather: Gather,
    kind: str,
    seen: str,
    mend: str,
    *,
    expected: str = "a plain text file (CSV) on this computer",
) -> None:
    gather.add("error", kind, seen, expected, mend)
