"""Twelve checks of the club's kits against solutions of known strength."""

from __future__ import annotations

import csv
import datetime as dt
import io

from club.card import LOTS, READERS
from club.chance import Dice

__all__ = ["checks"]

_SEED = 1113
_SD = 0.08
_EVENING = dt.date(2026, 7, 24)
#: Kit, lot, reader and known strength of each check. [mg/L as NO3]
_PLAN = (
    ("doubling", 1, "B", 10),
    ("doubling", 1, "A", 50),
    ("doubling", 2, "B", 25),
    ("mixed", 1, "B", 10),
    ("mixed", 1, "B", 25),
    ("mixed", 1, "C", 50),
    ("mixed", 2, "B", 10),
    ("mixed", 2, "B", 25),
    ("mixed", 2, "A", 50),
    ("mixed", 2, "B", 50),
    ("strip", 1, "B", 50),
    ("meter", 1, "B", 25),
)


def checks() -> str:
    """Give the text of the standards file.

    Readers were asked for their best guess between the steps, to a whole number.
    """
    dice = Dice(_SEED)
    out = io.StringIO()
    pen = csv.writer(out, lineterminator="\n")
    pen.writerow(
        ["date", "kit", "reader", "known (mg/L NO3)", "read (mg/L NO3)", "note"]
    )
    for count, (kit, lot, reader, known) in enumerate(_PLAN):
        read = known * READERS[reader] * LOTS[kit][lot - 1] * dice.factor(_SD)
        name = kit if kit == "meter" else f"{kit} lot {lot}"
        date = _EVENING + dt.timedelta(days=7 * (count // 6))
        note = "best guess between the steps" if count == 0 else ""
        pen.writerow([date.isoformat(), name, reader, known, f"{read:.0f}", note])
    return out.getvalue()
