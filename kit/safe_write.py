"""Bytes put in place of a file's so that no fault can leave half a file.

A new file is written beside the old one, forced onto the disk, and renamed over it;
until the rename the old file is untouched. A lock beside the file keeps two programs
from doing so at once.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import hashlib
import os
import secrets
import stat
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from filelock import FileLock, Timeout

from kit.errors import SaveError

__all__ = [
    "BACKUPS_KEPT",
    "LOCK_SECONDS",
    "HeldOpen",
    "back_up",
    "create",
    "digest",
    "locked",
    "replace",
    "sweep",
    "writable_target",
]

LOCK_SECONDS: Final = 8.0
"""How long a save waits for another program to finish. [s]"""

BACKUPS_KEPT: Final = 5
"""Days of backups kept for each file."""

_BACKUPS: Final = "backups"
_SUFFIX: Final = ".saving"
_TRIES, _PAUSE_S = 10, 0.05  # a spreadsheet on Windows holds its file open
_FULL: Final = frozenset(
    {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
)


class HeldOpen(SaveError):
    """Another program holds the file open and will not let it be replaced."""


def digest(data: bytes) -> str:
    """Give the SHA-256 of a file's bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def writable_target(path: Path) -> Path:
    """Follow links to the file itself and make sure that it may be written.

    Parameters
    ----------
    path : pathlib.Path
        A file, or a link to one.

    Returns
    -------
    pathlib.Path
        The regular file that a save has to replace.

    Raises
    ------
    SaveError
        When it is missing, not a plain file, or read-only.
    """
    try:
        real = path.resolve(strict=True)
    except (OSError, RuntimeError) as fault:
        raise SaveError(f"{path.name} is not there; nothing was saved.") from fault
    if not real.is_file():
        raise SaveError(f"{path.name} is not a file; nothing was saved.")
    # Replacing needs no right on the file itself, so a read-only mark must be asked
    # for, or it would be overwritten.
    if not os.access(real, os.W_OK):
        raise SaveError(
            f"{path.name} is read-only; nothing was changed. Take the mark away, or "
            "choose another folder."
        )
    return real


@contextlib.contextmanager
def locked(path: Path, seconds: float | None = None) -> Iterator[None]:
    """Hold the lock of a file while inside, and clear what killed saves left.

    Parameters
    ----------
    path : pathlib.Path
        The file to be saved, with links already followed.
    seconds : float, optional
        How long to wait; `LOCK_SECONDS` when left out. [s]

    Yields
    ------
    None
        While the lock is held.

    Raises
    ------
    SaveError
        When the lock is not free in time or cannot be made.
    """
    lock = path.with_name(path.name + ".lock")
    wait = LOCK_SECONDS if seconds is None else seconds
    guard = FileLock(lock, timeout=wait, mode=0o666)
    try:
        guard.acquire()
    except Timeout as fault:
        raise SaveError(
            f"Another program is saving {path.name}; nothing was changed. Try again, "
            f"and if no other program is at work, delete {lock.name}."
        ) from fault
    except (OSError, NotImplementedError) as fault:
        raise SaveError(_reason(path, fault)) from fault
    try:
        sweep(path)
        yield
    finally:
        guard.release()


def sweep(path: Path) -> int:
    """Delete what killed saves of a file left behind.

    Only the holder of the lock writes such files, so call this with the lock held.

    Parameters
    ----------
    path : pathlib.Path
        The file whose leftovers are meant.

    Returns
    -------
    int
        How many were deleted.
    """
    count = 0
    for folder in (path.parent, path.parent / _BACKUPS):
        with contextlib.suppress(OSError):
            for found in folder.iterdir():
                name = found.name
                if name.startswith(f".{path.name}.") and name.endswith(_SUFFIX):
                    with contextlib.suppress(OSError):
                        found.unlink()
                        count += 1
    return count


def back_up(path: Path, today: dt.date) -> Path | None:
    """Keep the file as it stood before the day's first save.

    Parameters
    ----------
    path : pathlib.Path
        The file, with links already followed.
    today : datetime.date
        Day that names the backup.

    Returns
    -------
    pathlib.Path or None
        The day's backup; None when it was there before.
    """
    folder = path.parent / _BACKUPS
    kept = folder / f"{path.stem}.{today.isoformat()}{path.suffix}"
    if kept.exists():
        return None
    try:
        folder.mkdir(exist_ok=True)
        _put(path.read_bytes(), path, folder, kept)
    except OSError as fault:
        raise SaveError(_reason(path, fault)) from fault
    _thin_out(path, folder)
    return kept


def _thin_out(path: Path, folder: Path) -> None:
    """Delete all but the newest backups of one file."""
    days: list[tuple[str, Path]] = []
    for found in folder.glob("*" + path.suffix):
        day = found.stem.removeprefix(path.stem + ".")
        with contextlib.suppress(ValueError):
            if found.stem != day and dt.date.fromisoformat(day).isoformat() == day:
                days.append((day, found))
    for _, old in sorted(days)[:-BACKUPS_KEPT]:
        with contextlib.suppress(OSError):
            old.unlink()


def replace(path: Path, data: bytes) -> None:
    """Put new bytes in place of a file's, wholly or not at all.

    Call it with the lock held and links followed.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    data : bytes
        Its new content.

    Raises
    ------
    HeldOpen
        When another program holds the file open (Windows).
    SaveError
        For any other fault; the file is as it was.
    """
    try:
        _put(data, path, path.parent, path)
    except SaveError:
        raise
    except OSError as fault:
        raise SaveError(_reason(path, fault)) from fault


def create(path: Path, data: bytes) -> None:
    """Write a new file, wholly or not at all, and never over another.

    Parameters
    ----------
    path : pathlib.Path
        A file that is not there yet, in a folder that is.
    data : bytes
        Its content.

    Raises
    ------
    SaveError
        When it is there already, or cannot be written.
    """
    if not path.parent.is_dir():
        raise SaveError(f"The folder {path.parent.name} is not there; make it first.")
    with locked(path):
        if os.path.lexists(path):
            raise SaveError(f"{path.name} is there already; nothing was changed.")
        try:
            _put(data, None, path.parent, path)
        except OSError as fault:
            raise SaveError(_reason(path, fault)) from fault


def _put(data: bytes, like: Path | None, folder: Path, goal: Path) -> None:
    """Write beside the goal, force it onto the disk, then rename over the goal."""
    owner = goal.name if like is None else like.name
    temp = folder / f".{owner}.{os.getpid()}-{secrets.token_hex(4)}{_SUFFIX}"
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    mode = 0o666 if like is None else stat.S_IMODE(like.stat().st_mode)
    try:
        handle = os.open(temp, flags, 0o666 if like is None else 0o600)
        try:
            _write(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
        if like is not None:
            _dress(temp, like, mode)
        _rename(temp, goal)
    except BaseException:
        with contextlib.suppress(OSError):
            temp.unlink(missing_ok=True)
        raise
    _force_folder(folder)


def _write(handle: int, data: bytes) -> None:
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]


def _dress(temp: Path, like: Path, mode: int) -> None:
    """Give the new file the old one's owner, where allowed, and its mode."""
    old = like.stat()
    if hasattr(os, "chown") and (old.st_uid, old.st_gid) != (
        temp.stat().st_uid,
        temp.stat().st_gid,
    ):
        with contextlib.suppress(OSError):
            os.chown(temp, old.st_uid, old.st_gid)
    temp.chmod(mode)


def _rename(temp: Path, goal: Path) -> None:
    """Rename over the goal, waiting a little for a program that holds it open."""
    for left in reversed(range(_TRIES)):
        try:
            temp.replace(goal)
        except PermissionError as fault:
            if not left:
                raise HeldOpen(f"{goal.name} is open in another program.") from fault
            time.sleep(_PAUSE_S)
        else:
            return


def _force_folder(folder: Path) -> None:
    """Force the rename itself onto the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(path: Path, fault: BaseException) -> str:
    """Say in plain words why nothing was saved; no path of this machine."""
    number = fault.errno if isinstance(fault, OSError) else None
    if number in _FULL:
        return "Disk full: nothing was changed. Free some space and save again."
    if number in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return f"The folder of {path.name} is read-only; nothing was changed."
    why = (fault.strerror if isinstance(fault, OSError) else None) or "it cannot lock"
    return f"{path.name} could not be saved ({why.lower()}); nothing was changed."
