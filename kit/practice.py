"""A copy of a logbook to practise on, so that the original is never touched."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from pathlib import Path

from kit.errors import SaveError

__all__ = ["practice_copy"]


def practice_copy(path: str | Path) -> Path:
    """Copy a logbook folder to a place that is cleared when the program ends.

    Parameters
    ----------
    path : str or pathlib.Path
        A logbook folder, such as one of the demo tanks.

    Returns
    -------
    pathlib.Path
        The copy, under the same name.

    Raises
    ------
    SaveError
        When there is no such folder.
    """
    source = Path(path)
    if not source.is_dir():
        raise SaveError(f"There is no folder {source.name} here; check the spelling.")
    home = Path(tempfile.mkdtemp(prefix="practice-"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    unwanted = shutil.ignore_patterns("backups", "*.lock", "*.saving")
    return Path(shutil.copytree(source, home / source.resolve().name, ignore=unwanted))
