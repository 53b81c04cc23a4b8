"""One tank's season as the single spreadsheet many keepers have."""

from __future__ import annotations

import csv
import io

from club.season import Season

__all__ = ["one_sheet"]

_HEADER = [
    "date",
    "time",
    "nitrate (mg/L NO3)",
    "food (g)",
    "exchanged (%)",
    "exchanged (L)",
    "upkeep",
    "note",
]
#: Column of a page, and the column of the one sheet it goes to.
_PLACES = {
    "tests": {"nitrate (mg/L NO3)": "nitrate (mg/L NO3)", "note": "note"},
    "feedings": {"food (g)": "food (g)"},
    "exchanges": {
        "percent (%)": "exchanged (%)",
        "volume (L)": "exchanged (L)",
        "note": "note",
    },
    "upkeep": {"task": "upkeep", "note": "note"},
}


def one_sheet(season: Season) -> str:
    """Give the text of the wide file.

    Food and upkeep of a day share a line; tests and exchanges have their own, since
    they have a time.
    """
    lines: dict[tuple[int, int], dict[str, str]] = {}
    for page, columns in _PLACES.items():
        for row in season.sheet(page).ordered():
            line = lines.setdefault(row.when[:2], {})
            line["date"] = row.cells["date"]
            line["time"] = row.cells.get("time", "")
            for here, there in columns.items():
                if row.cells.get(here):
                    line[there] = _joined(line.get(there, ""), row.cells[here])
    out = io.StringIO()
    pen = csv.writer(out, lineterminator="\n")
    pen.writerow(_HEADER)
    for key in sorted(lines):
        pen.writerow([lines[key].get(column, "") for column in _HEADER])
    return out.getvalue()


def _joined(before: str, text: str) -> str:
    """Put a second thing of the same day behind the first."""
    return f"{before}; {text}" if before else text
