"""The tanks whose logs need a second look: their seasons and their slips."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from club.pages import tank_toml
from club.season import Season
from club.sheets import Row
from club.tanks import TANKS

__all__ = ["backwater", "culvert", "estuary", "fen", "peat_pool", "tarn"]

_NO3 = 'basis = "NO3"'
_NITRATE = "nitrate (mg/L NO3)"


def culvert() -> Season:
    """Give the shrimp tank whose source water is the floor."""
    season = Season(TANKS["culvert"])
    header = ["date", "food (g)", "kind", "note"]
    season.sheet("feedings", header, delimiter=";")
    season.feed(2, "shrimp sticks")
    for row in season.sheet("feedings").rows:
        row.cells["food (g)"] = row.cells["food (g)"].replace(".", ",")
    first = season.sheet("feedings").rows[0]
    first.flaw("decimal comma", "food (g)", first.cells["food (g)"].replace(",", "."))
    saturdays = range(5, 200, 7)
    for day in saturdays:
        season.exchange(day, percent="25")
    season.live()
    for day in saturdays:
        season.before(day)
    for day in range(40, 200, 21):
        season.after(day)
    notes = {90: "well, first time anybody looked", 146: "well, after much rain"}
    for day in (90, 118, 146, 188):
        note = notes.get(day, "well")
        row = season.write("source", day, None, nitrate="30", note=note)
        if day == 90:
            row.flaw("source first tested late", "date", "it was 30 mg/L all along")
    season.upkeep(range(2, 200, 14), "sponge squeezed")
    season.toml = tank_toml(
        "Culvert",
        ["litres = 62", 'how = "geometry"', "error_percent = 5"],
        ['chart = "doubling"', _NO3],
        40,
    )
    season.quirks.append("the source water was first tested on day 90: 30 mg/L")
    return season


def tarn() -> Season:
    """Give the planted tank that reads nothing, or nearly."""
    season = Season(TANKS["tarn"])
    season.feed(2, "granules")
    sundays = range(6, 200, 7)
    for day in sundays:
        size = {"volume": "14"} if day in (48, 125, 160) else {"percent": "30"}
        row = season.exchange(day, **size)
        if day == 125:
            row.cells["volume (L)"] = "-14"
            row.flaw("negative litres", "volume (L)", "14 L, about 30 %")
    season.live()
    quiet = range(70, 100)
    for day in range(6, 200, 7):
        if day not in quiet and day != 104:
            _flicker(season, day)
    for day in (38, 100, 101, 150, 171):
        _flicker(season, day)
    low = season.test(24, 18 * 60 + 30, "very faint", "B")
    low.cells[_NITRATE] = "<5"
    low.flaw("below a step", _NITRATE, f"{season.level(24, 1110):.1f} mg/L")
    for cell, note in (("ND", ""), ("5", "looked again")):
        row = season.test(115, 18 * 60, note, "B")
        row.cells[_NITRATE], row.cells["time"] = cell, ""
        row.flaw("two tests on one day", _NITRATE, f"{season.level(115, 1080):.1f}")
    _mark_gap(season)
    season.write("source", 12, None, nitrate="0", note="rain and tap mixed")
    season.upkeep(range(9, 200, 10), "plants cut", d79="a bucket full")
    season.toml = tank_toml(
        "Tarn",
        ["litres = 60", 'how = "label"'],
        ['chart = "doubling"', _NO3],
        20,
        source=2,
    )
    season.quirks.append("readings flicker between 0.0, ND and 5")
    return season


def _flicker(season: Season, day: int) -> None:
    """Test in the afternoon; nothing seen is written in one of two ways."""
    row = season.test(day, season.evening(17 * 60))
    if row.cells[_NITRATE] == "0":
        row.cells[_NITRATE] = season.dice.pick(["0.0", "ND"])
        true = f"{season.level(day, 17 * 60):.1f} mg/L, not none"
        row.flaw("nothing seen", _NITRATE, true)


def _mark_gap(season: Season) -> None:
    """Note the line after the longest silence."""
    rows = season.sheet("tests").ordered()
    for earlier, later in pairwise(rows):
        if later.when[0] - earlier.when[0] == 31:
            later.flaw("31 days without a test", "date", "nothing was tested")


def backwater() -> Season:
    """Give the neglected tank, far beyond its card."""
    season = Season(TANKS["backwater"])
    for day in range(270):
        season.write("feedings", day, None, food="0.9", kind="flake", note="feeder")
    season.live()
    for day in [*range(5, 120, 14), *range(124, 250, 14), 254, 266]:
        _off_card(season, day)
    low = season.level(260, 1080) / 4
    row = season.write(
        "tests",
        260,
        18 * 60,
        nitrate="50-60",
        reader="B",
        kit="doubling lot 2",
        note="1 part tank water + 3 parts pure water, so times 4",
    )
    row.flaw("diluted test", _NITRATE, f"{low:.0f} in the vial, {4 * low:.0f} in all")
    season.write("source", 260, None, nitrate="5", note="tap, same evening")
    season.upkeep(range(20, 270, 60), "topped up", d140="a watering can")
    season.upkeep([199], "filter rinsed", d199="hardly any flow left")
    season.toml = tank_toml(
        "Backwater",
        ["litres = 200", 'how = "label"'],
        ['chart = "doubling"', _NO3],
        40,
        source=5,
    )
    season.quirks += [
        "no exchange in 270 days",
        "readings beyond the card are written >160 for months",
    ]
    return season


def _off_card(season: Season, day: int) -> None:
    """Test; a colour clearly darker than the last step is written as beyond it."""
    row = season.test(day, season.evening(18 * 60))
    if row.cells[_NITRATE].endswith("160") and season.level(day, 18 * 60) > 150:
        row.cells[_NITRATE] = ">160"
        row.flaw("beyond the card", _NITRATE, f"{season.level(day, 18 * 60):.0f} mg/L")


def estuary() -> Season:
    """Give the brackish tank whose top-ups look like exchanges."""
    season = Season(TANKS["estuary"])
    season.feed(1, "pellets")
    batches = range(9, 200, 10)
    forgotten = (69, 139)
    for day in batches:
        row = season.exchange(day, volume="37")
        if day == 109:
            row.cells["date"] = dt.date(2062, 6, 19).isoformat()
            row.flaw("date in the future", "date", "2026-06-19")
        if day not in forgotten:
            season.write(
                "upkeep", day, None, task="salt for the new water", note="248 g"
            )
    for day in forgotten:
        season.happens(day, "salt forgotten with the exchange")
    _top_ups(season)
    season.live()
    for day in batches:
        season.before(day)
    for day in range(4, 200, 10):
        row = season.test(day, season.evening(18 * 60))
        if day == 84:
            season.sheet("tests").rows.append(_again(row))
    for day in (49, 79, 99, 129, 159, 189):
        season.after(day)
    season.write("source", 11, None, nitrate="10", note="before the salt")
    season.toml = tank_toml(
        "Estuary",
        ["litres = 149", 'how = "measured"', "error_percent = 4"],
        ['chart = "mixed"', _NO3],
        50,
        source=10,
        more='\n[evaporation]\nlitres_per_day = 2.2\ntop_up = "source"\n',
    )
    season.quirks += [
        "seven top-ups are written as exchanges of 15 L",
        "salt was forgotten on days 69 and 139",
    ]
    return season


def _top_ups(season: Season) -> None:
    """Write the weekly top-up, in the wrong page one week in four."""
    for day in range(6, 200, 7):
        if day % 4 == 0:
            row = season.write("exchanges", day, 9 * 60, kind="batch", volume="15")
            row.cells["note"] = "filled up to the mark"
            row.flaw("top-up written as an exchange", "kind", "a top-up, nothing out")
        else:
            season.write("upkeep", day, None, task="topped up", note="tap")


def _again(row: Row) -> Row:
    """Give the same line a second time."""
    twin = Row(row.when, dict(row.cells))
    return twin.flaw("the same line twice", "date", "one test")


def peat_pool() -> Season:
    """Give the soft-water tank whose card speaks in nitrogen."""
    season = Season(TANKS["peat-pool"])
    season.feed(1, "granules")
    fridays = range(4, 200, 7)
    for day in fridays:
        season.exchange(day, percent="30")
    header = ["date", "time", "tank", _NITRATE, "reader", "kit", "note"]
    tests = season.sheet("tests", header)
    season.live()
    for day in fridays:
        season.test_as_nitrogen(day, season.evenings[day] - 30)
        if day % 3 == 0:
            season.test_as_nitrogen(day, season.evenings[day] + 60)
    rows = tests.ordered()
    for row in rows:
        row.cells["tank"] = "Moss Pool" if row.when[0] < 98 else "Peat Pool"
    tests.head_flaw("nitrogen in a column of nitrate", _NITRATE, "all are NO3-N")
    renamed = next(row for row in rows if row.when[0] >= 98)
    renamed.flaw("tank renamed", "tank", "the same tank, called Moss Pool before")
    _two_date_orders(season)
    season.upkeep(range(3, 200, 14), "peat changed", d101="new label on the tank")
    season.toml = tank_toml(
        "Peat Pool",
        ["litres = 77", 'how = "measured"', "error_percent = 4"],
        ['chart = "mixed"'],
        25,
        source=2,
    )
    season.quirks.append("the column says NO3, the card says NO3-N")
    return season


def _two_date_orders(season: Season) -> None:
    """Write the tests of the mixed water, day first and then month first."""
    for day in range(10, 200, 21):
        row = season.write("source", day, None, nitrate="0", note="after mixing")
        date = dt.date.fromisoformat(row.cells["date"])
        order = "%d/%m/%Y" if day < 110 else "%m/%d/%Y"
        row.cells["date"] = date.strftime(order)
        row.flaw("two date orders in one file", "date", date.isoformat())


def fen() -> Season:
    """Give the travelling keeper's tank: a holiday, a jam, a slip of the pen."""
    season = Season(TANKS["fen"])
    _feeder(season)
    batches = [*range(10, 91, 10), *range(120, 200, 10)]
    for day in batches:
        if day == 60:
            row = season.exchange(day, 70 / 203, "seven cans of ten", percent="70")
            row.flaw("litres typed as percent", "percent (%)", "70 L, which is 34 %")
        else:
            season.exchange(day, percent="33")
    season.live()
    for day in batches:
        season.before(day)
        if day not in (10, 40, 140, 170):
            season.after(day)
    for day in [*range(4, 90, 10), 111, *range(115, 200, 10)]:
        season.test(
            day, season.evening(18 * 60), "back from the trip" if day == 111 else ""
        )
    blank = season.sheet("tests").ordered()[20]
    blank.cells["reader"] = ""
    blank.flaw("blank reader", "reader", "one of A, B, C")
    for day in (7, 133):
        season.write("source", day, None, nitrate="5", note="kitchen tap")
    season.upkeep(range(8, 90, 16), "filter rinsed")
    season.upkeep([94], "feeder filled", d94="tried it for two days")
    season.upkeep(range(118, 200, 16), "filter rinsed")
    season.toml = tank_toml(
        "Fen",
        ["litres = 203", 'how = "measured"', "error_percent = 4"],
        ['chart = "mixed"', _NO3],
        50,
        source=5,
    )
    season.quirks.append("on day 60 seventy litres are typed as 70 percent")
    return season


def _feeder(season: Season) -> None:
    """Let the feeder do its part: little while away, and once far too much."""
    away = range(95, 111)
    for day in away:
        season.fed_g[day] = 0.6
    season.fed_g[150] = 12.0
    season.feed(1, "flake")
    for row in season.sheet("feedings").rows:
        if row.when[0] in away:
            row.cells["note"] = "feeder"
        if row.when[0] == 150:
            row.cells["note"] = "feeder jammed, then all at once"
    season.happens(95, "away until day 110, feeder, no exchange", feed_g_day=0.6)
    season.happens(150, "feeder emptied itself", feed_g=12.0)
