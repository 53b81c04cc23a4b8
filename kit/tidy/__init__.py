"""A logbook written as a tidy folder: the kit's own columns, ISO dates, NO3.

Reading that folder gives the same records, so whoever has it can repeat every sum. It
is read back before it is handed out, and what would come out otherwise is named.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from kit.logbook import Logbook
from kit.tidy._proof import answers_for, differences
from kit.tidy._settings import settings_text
from kit.tidy._tables import other_tables, readings_table, table_bytes

__all__ = ["Tidy", "tidy"]


@dataclass(frozen=True, slots=True)
class Tidy:
    """Files of a tidy logbook folder.

    Parameters
    ----------
    files : dict of str to bytes
        Content by file name: ``tank.toml``, CSV files, ``answers.json`` where the
        keeper answered something that would be asked again.
    differs : tuple of str
        Kinds of record that a second reading gives otherwise; empty when none.
    """

    files: dict[str, bytes]
    differs: tuple[str, ...] = ()


def tidy(log: Logbook) -> Tidy:
    """Write a logbook as a tidy folder and read it back.

    Parameters
    ----------
    log : Logbook
        The records and settings as used.

    Returns
    -------
    Tidy
        The same log always gives the same bytes.
    """
    files = {
        "tank.toml": settings_text(log.tank).encode("utf-8"),
        "tests.csv": table_bytes(*readings_table(log)),
    }
    for name, table in other_tables(log).items():
        if table[1]:
            files[name] = table_bytes(*table)
    answers, again = answers_for(log, files)
    if answers:
        text = json.dumps({"answers": [asdict(a) for a in answers]}, indent=1)
        files["answers.json"] = (text + "\n").encode("utf-8")
    return Tidy(files, tuple(sorted(differences(log, again))))
