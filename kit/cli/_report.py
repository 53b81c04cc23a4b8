"""The command that writes reports: of one tank, or of each of several."""

from __future__ import annotations

import argparse
from copy import copy
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kit import escape
from kit.cli._loading import Unusable, fitted
from kit.cli._output import print_json
from kit.errors import KitError

if TYPE_CHECKING:
    from kit.report import Listed, Report

__all__ = ["write_reports"]

_DONE, _UNUSABLE = 0, 2


def write_reports(asked: argparse.Namespace) -> int:
    """Write the report or reports asked for and say what they found.

    Parameters
    ----------
    asked : argparse.Namespace
        The command line.

    Returns
    -------
    int
        0 when at least one report was written, else 2.
    """
    return _each(asked) if asked.each else _one(asked)


def _page(asked: argparse.Namespace, called: str) -> tuple[Report, Listed]:
    """Make one page, and its line for the page that lists several."""
    log, result = fitted(asked, called)
    from kit.page import listed, report_of

    page = report_of(log, result, asked.units, sections=asked.sections)
    return page, listed(log, result, "")


def _one(asked: argparse.Namespace) -> int:
    """Write one report."""
    from kit import report

    page, line = _page(asked, "Tank" if asked.hide_names else "")
    written = report.write(page, asked.out)
    if asked.json:
        print_json(
            {
                "verdict": list(page.verdict),
                "plan": list(page.plan),
                "refused": line.why or None,
                "files": [str(path) for path in written],
            }
        )
        return _DONE
    for block in (page.verdict, page.cautions, page.plan):
        if block:
            print("\n".join(block) + "\n")
    print(f"The page to open: {written[0]}")
    print(f"The text to paste into a forum: {asked.out / 'post.txt'}")
    print("The notebook to open next: notebooks/00_start_here.ipynb")
    return _DONE


def _each(asked: argparse.Namespace) -> int:
    """Write a report for each logbook folder, and the page that lists them."""
    from kit import report

    folders = _logbooks(Path(asked.path))
    if asked.answers is not None:
        raise KitError(
            "--answers belongs to one logbook; with --each keep an answers.json in "
            "each logbook folder."
        )
    tanks: list[Listed] = []
    taken: set[str] = set()
    for place, folder in enumerate(folders, 1):
        called = f"Tank {place}" if asked.hide_names else ""
        line = _try(asked, folder, called, taken)
        tanks.append(line)
        if not asked.json:
            print(_said(line))
    index = report.write_index(tanks, asked.out)
    if asked.json:
        print_json({"tanks": [_plain(t) for t in tanks], "index": str(index)})
    else:
        print(f"\nThe page that lists them: {index}")
    return _DONE if any(t.folder for t in tanks) else _UNUSABLE


def _logbooks(place: Path) -> list[Path]:
    """List the folders that may each be a tank's logbook.

    Raises
    ------
    KitError
        There is none.
    """
    if not place.is_dir():
        raise KitError(f"{escape.plain(place.name, 60)!r} is not a folder of logbooks.")
    found = sorted(p for p in place.iterdir() if p.is_dir() and _has_log(p))
    if not found:
        raise KitError(
            f"{escape.plain(place.name, 60)!r} holds no folder with a logbook; each "
            "tank needs a folder of its own with tank.toml and tests.csv."
        )
    return found


def _has_log(folder: Path) -> bool:
    """Tell whether a folder holds settings or any CSV file."""
    return (folder / "tank.toml").is_file() or any(folder.glob("*.csv"))


def _try(
    asked: argparse.Namespace, folder: Path, called: str, taken: set[str]
) -> Listed:
    """Write the report of one folder, or say why there is none."""
    from kit import report

    name = called or folder.name
    if not (folder / "tank.toml").is_file():
        return report.Listed(
            name, why="passed over: it has no tank.toml, so its volume is not known."
        )
    slug = escape.slug(name, taken)
    one = copy(asked)
    one.path = str(folder)
    try:
        page, line = _page(one, called)
        report.write(page, asked.out, slug)
    except Unusable as fault:
        name = called or fault.log.tank.name
        return report.Listed(name, why=_why(fault, hide=bool(called)))
    except KitError as fault:
        return report.Listed(name, why=str(fault))
    taken.add(slug)
    return replace(line, folder=slug)


def _why(fault: Unusable, *, hide: bool) -> str:
    """Say why a log was not fitted, with its first error."""
    errors = [p for p in fault.log.problems if p.level == "error"]
    if not errors:
        return str(fault)
    count = f"{len(errors)} error{'s' if len(errors) != 1 else ''}"
    first = "" if hide else f" The first: {errors[0].sentence()}."
    return f"not fitted, for {count} in its files.{first} {fault}"


def _said(line: Listed) -> str:
    """Say of one tank what became of it."""
    if line.why:
        return f"{line.name}: {line.why}"
    return f"{line.name}: {line.cells[1]}, in {line.folder}"


def _plain(line: Listed) -> dict[str, Any]:
    """Give one line as plain values."""
    return {
        "tank": line.name,
        "folder": line.folder or None,
        "net_rate": line.cells[1] or None,
        "peak": line.cells[2] or None,
        "refused": line.why or None,
    }
