"""The text of ``tank.toml``: its values, the line of each, and what is odd."""

from __future__ import annotations

import datetime as dt
import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from kit.findings import Choice, Level, Problem, clip

__all__ = ["Settings", "read_settings"]

_SIZE_LIMIT: Final = 200_000  # bytes; a settings file is a page of text
_HEADER: Final = re.compile(r"[ \t]{0,20}\[{1,2}[ \t]{0,9}([^\]\n]{1,99})\]")
_KEY: Final = re.compile(r"[ \t]{0,20}[\"']?([\w .\"'-]{1,99}?)[\"']?[ \t]{0,9}=")
_AT_LINE: Final = re.compile(r"at line (\d{1,9})")


@dataclass(slots=True)
class Settings:
    """Values of a settings file, with a list that gathers every problem.

    Parameters
    ----------
    file : str
        File name without its folder.
    text : str
        The file as read.
    values : dict
        The parsed document.
    problems : list of Problem
        Everything found so far.
    """

    file: str
    text: str = ""
    values: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def line_of(self, section: str, key: str = "", nth: int = 0) -> int | None:
        """Find the editor line of a setting.

        Parameters
        ----------
        section : str
            Table name; empty for the top of the file.
        key : str
            Setting; empty for the table's own line.
        nth : int
            Which of several tables of that name, from 0.

        Returns
        -------
        int or None
            Line from 1; None when it is written in a way not found here.
        """
        here, seen, started = "", -1, None
        dotted = f"{section}.{key}" if section else key
        for number, line in enumerate(self.text.splitlines(), 1):
            if header := _HEADER.match(line):
                here = header[1].strip(" \t\"'")
                seen += here == section
                if here == section and seen == nth:
                    started = number
                continue
            match = _KEY.match(line)
            if match is None:
                continue
            name = match[1].replace(" ", "").replace('"', "").replace("'", "")
            inside = here == section and (seen == nth or not section)
            if (inside and name == key) or (not here and name == dotted):
                return number
            if not here and name == section:
                started = number
        return started

    def tell(
        self,
        level: Level,
        kind: str,
        place: tuple[str, str, int],
        *,
        seen: str,
        expected: str,
        mend: str,
        choices: tuple[Choice, ...] = (),
    ) -> Problem:
        """Add a problem about one setting, with its line.

        Parameters
        ----------
        level, kind, seen, expected, mend, choices
            As in `Problem`.
        place : tuple of str, str, int
            Table, setting, and which table of that name.

        Returns
        -------
        Problem
            What was added.
        """
        problem = Problem(
            level=level,
            kind=kind,
            file=self.file,
            seen=seen,
            expected=expected,
            mend=mend,
            line=self.line_of(*place),
            choices=choices,
            touches=(seen,) if level == "question" else (),
        )
        self.problems.append(problem)
        return problem

    def section(self, name: str) -> dict[str, Any]:
        """Give one table of settings; empty when absent or not a table."""
        found = self.values.get(name, {})
        if isinstance(found, dict):
            return found
        self.tell(
            "error",
            "wrong type",
            (name, "", 0),
            seen=f"{name} = {_show(found)}",
            expected=f"a line [{name}] with its settings on the lines below",
            mend=f"write [{name}] on a line of its own",
        )
        return {}

    def sections(self, name: str) -> list[dict[str, Any]]:
        """Give every table written as ``[[name]]``."""
        found = self.values.get(name, [])
        if isinstance(found, dict):
            return [found]
        if isinstance(found, list) and all(isinstance(f, dict) for f in found):
            return found
        self.tell(
            "error",
            "wrong type",
            (name, "", 0),
            seen=f"{name} = {_show(found)}",
            expected=f"a line [[{name}]] for each",
            mend=f"write [[{name}]] on a line of its own",
        )
        return []

    def number(
        self,
        section: Mapping[str, Any],
        place: tuple[str, str, int],
        limits: tuple[float, float],
        example: str,
        *,
        zero: bool = True,
    ) -> float | None:
        """Read a number and hold it to its limits.

        Parameters
        ----------
        section : Mapping
            The table the setting stands in.
        place : tuple of str, str, int
            Table, setting, and which table of that name.
        limits : tuple of float
            Least and greatest value taken.
        example : str
            A value that would be taken, for the message.
        zero : bool
            Whether the least value itself is taken.

        Returns
        -------
        float or None
            The number; None when absent or not usable, which is then told.
        """
        key = place[1]
        if key not in section:
            return None
        value = section[key]
        low, high = limits
        above = "from" if zero else "more than"
        expected = f"a number {above} {low:g} up to {high:,.10g}, such as {example}"
        if isinstance(value, bool) or not isinstance(value, int | float):
            mend = "write the number alone, without quotation marks or a unit"
            self._bad("wrong type", place, value, expected, mend)
            return None
        if not (low <= value <= high) or (value == low and not zero):
            mend = f"write {key} = {example}, with your own number, or delete the line"
            self._bad("out of range", place, value, expected, mend)
            return None
        return float(value)

    def word(
        self,
        section: Mapping[str, Any],
        place: tuple[str, str, int],
        allowed: Iterable[str],
    ) -> str | None:
        """Read one word of a list, in any case of letters.

        Parameters
        ----------
        section : Mapping
            The table the setting stands in.
        place : tuple of str, str, int
            Table, setting, and which table of that name.
        allowed : iterable of str
            Words taken.

        Returns
        -------
        str or None
            The word as listed; None when absent or not usable, which is then told.
        """
        key = place[1]
        if key not in section:
            return None
        value, words = section[key], list(allowed)
        folded = str(value).strip().casefold() if isinstance(value, str) else ""
        for word in words:
            if folded == word.casefold():
                return word
        near = get_close_matches(folded, words, n=1, cutoff=0.6)
        mend = f'did you mean "{near[0]}"?' if near else f'write {key} = "{words[0]}"'
        listed = ", ".join(f'"{w}"' for w in words)
        self._bad("unknown word", place, value, f"one of {listed}", mend)
        return None

    def text_of(
        self, section: Mapping[str, Any], place: tuple[str, str, int], limit: int
    ) -> str | None:
        """Read free text of a bounded length."""
        key = place[1]
        if key not in section:
            return None
        value = section[key]
        if isinstance(value, str) and value.strip() and len(value) <= limit:
            return value.strip()
        expected = f"text of 1 to {limit} characters between quotation marks"
        self._bad("wrong type", place, value, expected, f'write {key} = "..."')
        return None

    def day(
        self, section: Mapping[str, Any], place: tuple[str, str, int]
    ) -> dt.date | None:
        """Read an ISO day, with or without quotation marks."""
        value = section.get(place[1])
        if isinstance(value, dt.datetime):
            return value.date()
        if isinstance(value, dt.date):
            return value
        if isinstance(value, str):
            try:
                return dt.date.fromisoformat(value.strip())
            except ValueError:
                pass
        expected = "a day as year-month-day, such as 2026-02-01"
        self._bad(
            "wrong date", place, value, expected, f"write {place[1]} = 2026-02-01"
        )
        return None

    def unknown_keys(
        self, section: Mapping[str, Any], name: str, known: Iterable[str], nth: int = 0
    ) -> None:
        """Note every setting that nothing reads, with the nearest known one."""
        names = list(known)
        for key in section:
            if key in names:
                continue
            near = get_close_matches(key, names, n=1, cutoff=0.5)
            where = f"in [{name}]" if name else "at the top of the file"
            mend = f"did you mean {near[0]}?" if near else "delete it, or leave it"
            whole = not name and isinstance(section[key], dict | list)
            self.tell(
                "note",
                "unknown setting",
                (key, "", 0) if whole else (name, key, nth),
                seen=clip(key),
                expected=f"{where} one of {', '.join(names)}",
                mend=f"{mend} It is not used",
            )

    def _bad(
        self,
        kind: str,
        place: tuple[str, str, int],
        value: Any,
        expected: str,
        mend: str,
    ) -> None:
        seen = "nothing" if value is None else f"{place[1]} = {_show(value)}"
        self.tell("error", kind, place, seen=seen, expected=expected, mend=mend)


def _show(value: Any) -> str:
    """Show a parsed value shortly, as it would stand in the file."""
    if isinstance(value, str):
        return clip(value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, int) and abs(value) > 10**15:
        return "a number of more than 15 digits"
    return clip(str(value))[1:-1]


def read_settings(path: Path) -> Settings:
    """Read and parse a settings file; never raises for what is in it.

    Parameters
    ----------
    path : pathlib.Path
        The ``tank.toml`` to read.

    Returns
    -------
    Settings
        Values and problems; values are empty when the file cannot be used.
    """
    found = Settings(file=path.name)
    text = _text_of(path, found)
    if text is None:
        return found
    found.text = text
    try:
        found.values = tomllib.loads(text.replace("\r\n", "\n"))
    except (ValueError, RecursionError) as fault:
        _tell_syntax(found, str(fault))
    return found


def _text_of(path: Path, found: Settings) -> str | None:
    """Read the file's text, or tell why not."""
    mend = 'write one with [volume] and litres = ..., or give "--volume"'
    try:
        if not path.is_file():
            _tell_file(found, "missing settings", "no such file", mend)
            return None
        with path.open("rb") as stream:
            raw = stream.read(_SIZE_LIMIT + 1)
        if len(raw) > _SIZE_LIMIT:
            _tell_file(found, "too large", f"more than {_SIZE_LIMIT:,} bytes", mend)
            return None
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        mend = "save the file again as UTF-8"
        _tell_file(found, "encoding", "bytes that are not UTF-8 text", mend, line)
    except OSError as fault:
        reason = (fault.strerror or "the file cannot be read").lower()
        _tell_file(found, "not readable", reason, "check the file's permissions")
    return None


def _tell_file(
    found: Settings, kind: str, seen: str, mend: str, line: int | None = None
) -> None:
    expected = "a text file of settings with the tank's volume"
    found.problems.append(
        Problem("error", kind, found.file, seen, expected, mend, line=line)
    )


def _tell_syntax(found: Settings, fault: str) -> None:
    """Say where the text stops being settings, with the line and a likely cure."""
    match = _AT_LINE.search(fault)
    lines = found.text.splitlines() or [""]
    number = min(int(match[1]), len(lines)) if match else len(lines)
    line = lines[number - 1].strip()
    mend = "mend this line; the settings are not used until then"
    if re.search(r"=\s{0,9}\d{1,12},\d", line):
        mend = "write a point, not a comma, in the number"
    elif "overwrite" in fault.lower() or "twice" in fault.lower():
        mend = "the same setting stands twice; delete one"
    elif re.search(r"=\s{0,9}[^\W\d]", line):
        mend = "put words between quotation marks"
    found.problems.append(
        Problem(
            level="error",
            kind="settings not readable",
            file=found.file,
            seen=clip(line),
            expected='settings such as litres = 342 or how = "measured"',
            mend=mend,
            line=number,
        )
    )
