"""The log as used, packed so that anybody can repeat the report from it."""

from __future__ import annotations

import io
import json
import textwrap
import zipfile
from typing import Any, Final

import kit
from kit import escape, exports
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.outcome import Outcome
from kit.report import Attachment
from kit.tidy import tidy

__all__ = ["logbook_zip"]

_NAME: Final = "logbook.zip"
_STAMP: Final = (1980, 1, 1, 0, 0, 0)  # the format's zero; the same in every zip
_MODE: Final = 0o644 << 16
_UNIX: Final = 3
_WIDTH: Final = 78


def logbook_zip(
    log: Logbook, result: FitResult, now: Outcome | None, sentences: tuple[str, ...]
) -> Attachment:
    """Pack the tidy logbook, the numbers and a page that says what is in it.

    Parameters
    ----------
    log : Logbook
        The log as used.
    result : FitResult
        Its fit.
    now : Outcome or None
        Where the log's own habit leads.
    sentences : tuple of str
        What the report says first, for the reader of the zip.

    Returns
    -------
    Attachment
        ``logbook.zip``; the same log always gives the same bytes.
    """
    folder = tidy(log)
    numbers = {
        "kit": kit.__version__,
        "fit": exports.fit_as_dict(result),
        "habit in the log": None if now is None else exports.plan_as_dict(now),
    }
    text = json.dumps(_finite(numbers), indent=1, ensure_ascii=False, sort_keys=True)
    files = {
        "README.txt": _readme(log, folder.differs, sentences).encode("utf-8"),
        **folder.files,
        "numbers.json": (text + "\n").encode("utf-8"),
    }
    if log.notes:
        files["notes.txt"] = _notes(log).encode("utf-8")
    return Attachment(_NAME, _packed(files))


def _packed(files: dict[str, bytes]) -> bytes:
    """Pack files in the order of their names, without a clock or an owner."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as box:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system, entry.external_attr = _UNIX, _MODE
            box.writestr(entry, files[name])
    return out.getvalue()


def _finite(value: Any) -> Any:
    """Replace what JSON cannot say, and drop the last figures, which may wander."""
    if isinstance(value, dict):
        return {key: _finite(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(v) for v in value]
    if isinstance(value, float):
        shown = f"{value:.8g}"
        return None if shown.strip("-+") in {"inf", "nan"} else float(shown)
    return value


def _notes(log: Logbook) -> str:
    """Give free notes that belong to no record."""
    lines = [f"{n.date.isoformat()}  {escape.paste(n.text)}" for n in log.notes]
    return "\n".join(lines) + "\n"


def _readme(log: Logbook, differs: tuple[str, ...], sentences: tuple[str, ...]) -> str:
    """Say what is in the zip and how to use it."""
    name = escape.paste(log.tank.name, 60)
    levels = [p.level for p in log.problems]
    parts = [
        f"The logbook of {name}, as the report used it.",
        " ".join(escape.paste(s) for s in sentences),
        f"To repeat the report (kit version {kit.__version__}): unpack this into a "
        "folder of its own, then run",
        "    python -m kit report FOLDER --out NEW_FOLDER",
        "tank.toml holds the settings. Each CSV has one row for each record, with the "
        "unit in its column name and days as year-month-day; readings are as the kit "
        "counts them, NO3 or NO3-N as the column says. numbers.json holds every number "
        "unrounded. A cell that a spreadsheet would calculate has an apostrophe in "
        "front.",
    ]
    if "error" in levels:
        count = levels.count("error")
        parts.append(
            f"Left out of these files, as it could not be read: {count} "
            f"{'cell or row' if count == 1 else 'cells or rows'} of the original."
        )
    if "question" in levels:
        parts.append(
            "Values under a question that was open when the report was made are left "
            "out too."
        )
    if log.lost_exchanges:
        parts.append("An exchange without a day is kept: add --without-errors above.")
    if log.answers:
        parts.append("Answers used: " + "; ".join(map(escape.paste, log.answers)) + ".")
    if differs:
        parts.append(
            "Read again, these come out otherwise than in the report: "
            + ", ".join(differs)
            + "."
        )
    return "\n\n".join(_folded(part) for part in parts) + "\n"


def _folded(text: str) -> str:
    return text if text.startswith("    ") else textwrap.fill(text, _WIDTH)
