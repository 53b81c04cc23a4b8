"""Write the demo club's logbooks again, the same to the byte.

Run ``python data_demo/make_logs.py`` to write them beside this file, or add
``--out FOLDER`` to write them elsewhere. All tanks are invented.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from club import messy, standards, tidy, wide
from club.card import LOTS, READERS
from club.season import Season
from club.sheets import write_text

__all__ = ["SEASONS", "main", "seasons", "write_all"]

SEASONS = (
    tidy.quarry,
    messy.culvert,
    messy.tarn,
    messy.backwater,
    messy.estuary,
    tidy.lagoon,
    tidy.billabong,
    tidy.millrace,
    tidy.shingle,
    messy.peat_pool,
    tidy.spring_run,
    messy.fen,
)


def seasons() -> list[Season]:
    """Let all twelve tanks live their season."""
    return [make() for make in SEASONS]


def sealed(all_seasons: list[Season]) -> dict[str, Any]:
    """Give the true values and the planted flaws."""
    return {
        "about": "True values of the invented demo tanks. Guess first, then look.",
        "units": "litres, grams, days, mg/L as NO3, mg NO3 per g of food",
        "readers": READERS,
        "kit_lots": LOTS,
        "tanks": {season.facts.slug: season.truth() for season in all_seasons},
        "planted": [asdict(f) for season in all_seasons for f in season.planted()],
    }


def write_all(out: Path) -> None:
    """Write every demo file under a folder.

    Parameters
    ----------
    out : pathlib.Path
        Folder to write into; files of the same name are replaced.
    """
    all_seasons = seasons()
    for season in all_seasons:
        folder = out / season.facts.slug
        write_text(folder / "tank.toml", season.toml)
        for sheet in season.sheets.values():
            write_text(folder / sheet.name, sheet.text())
    write_text(out / "one-sheet" / "quarry.csv", wide.one_sheet(all_seasons[0]))
    write_text(out / "standards.csv", standards.checks())
    truth = json.dumps(sealed(all_seasons), indent=1, ensure_ascii=False)
    write_text(out / "sealed" / "truth.json", truth + "\n")


def main() -> None:
    """Read the command line and write the files."""
    parser = argparse.ArgumentParser(description="Write the invented demo logbooks.")
    here = Path(__file__).resolve().parent
    parser.add_argument("--out", type=Path, default=here, help="folder to write into")
    write_all(parser.parse_args().out)


if __name__ == "__main__":
    main()
