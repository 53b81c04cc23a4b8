"""The tanks whose logs load as they stand: their seasons and their notes."""

from __future__ import annotations

from club.pages import tank_toml
from club.season import Season
from club.tanks import TANKS

__all__ = ["billabong", "lagoon", "millrace", "quarry", "shingle", "spring_run"]

_NO3 = 'basis = "NO3"'
_GALLONS = ("US gallons", "volume (US gal)", "1 US gallon is 3.785 L")


def quarry() -> Season:
    """Give the main demo: a textbook sawtooth, tidily kept."""
    season = Season(TANKS["quarry"])
    meals = {24: "ate slowly", 80: "and some greens", 148: "hot day, a little less"}
    season.feed(1, "pellets", meals)
    sundays = range(6, 200, 7)
    notes = {
        27: "glass wiped as well",
        90: "hose slipped, wet floor",
        153: "rock moved",
    }
    for count, day in enumerate(sundays):
        size = {"volume": "137"} if count % 3 == 2 else {"percent": "40"}
        row = season.exchange(day, note=notes.get(day, ""), **size)
        if "volume" in size:
            row.flaw(
                "litres where other rows give percent",
                "volume (L)",
                "137 L of the true 342 L is 40 %; of the label's 400 L it looks 34 %",
            )
    season.live()
    said = {20: "read by the window", 62: "lamp light", 132: "new lamp over the table"}
    for day in sundays:
        season.before(day, said.get(day, ""))
        if 27 <= day <= 153:
            season.after(day)
    for day in (2, 37, 72, 107, 142, 177):
        season.test(day, season.evening(18 * 60), "midweek")
    for day in (3, 66, 129, 185):
        season.write("source", day, None, nitrate="5", note="cold tap, run 2 min")
    season.upkeep(range(1, 200, 9), "prefilter changed", d55="very full")
    season.upkeep(range(4, 200, 14), "lids wiped")
    season.upkeep([96, 180], "filter rinsed", d96="in tank water")
    season.toml = tank_toml(
        "Quarry",
        ["litres = 342", 'how = "measured"', "error_percent = 5"],
        ['chart = "doubling"', _NO3],
        40,
        source=5,
        more="\n[feed]\nprotein_percent = 45\n",
        head="The maker's label says 400 litres; 342 came out of the counted fill.",
    )
    season.quirks.append("one exchange in three is written in litres, 137 L")
    return season


def lagoon() -> Season:
    """Give the marine tank whose algae carry it until their lamp fades."""
    season = Season(TANKS["lagoon"])
    season.uptake = [1.5 if day < 120 else 0.9 for day in range(200)]
    season.becomes(120, "lamp over the algae weaker", uptake_max_mg_l_day=0.9)
    for day, amount in enumerate(season.fed_g):
        frozen, dry = round(6 * amount, 1), round(0.3 * amount, 2)
        season.fed_g[day] = (frozen * 42 + dry * 220) / 318
        season.write("feedings", day, None, food=f"{frozen:.1f}", kind="frozen")
        season.write("feedings", day, None, food=f"{dry:.2f}", kind="dry")
    header = ["date", "time", "kind", "percent (%)", "volume (US gal)", "note"]
    season.sheet("exchanges", header).head_flaw(*_GALLONS)
    sundays = range(6, 200, 7)
    for day in sundays:
        season.exchange(day, volume="5.6")
    season.live()
    for day in sundays:
        season.before(day)
    for day in (20, 62, 97, 125, 139, 153, 181):
        season.test(day - 3, season.evening(18 * 60))
    for day in (10, 101):
        season.write("source", day, None, nitrate="0", note="pure water, salt mixed in")
    season.upkeep(range(8, 200, 21), "algae thinned", d134="less of it than before")
    season.upkeep(range(3, 200, 14), "glass wiped", d157="lamp over the algae dim?")
    season.toml = tank_toml(
        "Lagoon",
        ["us_gallons = 56.5", 'how = "tracer"', "error_percent = 4"],
        ['chart = "low range"', _NO3],
        25,
        source=0.2,
        more='\n[evaporation]\nlitres_per_day = 3.5\ntop_up = "pure"\n',
    )
    season.quirks += [
        "volumes in US gallons",
        "food is 6 g frozen at 42 mg/g and 0.3 g dry at 220 mg/g a day; the yield of "
        "318 mg/g holds for 1 g of both together",
        "the fading lamp over the algae is mentioned once, five weeks late",
    ]
    return season


def billabong() -> Season:
    """Give the goldfish vat whose backwashes are exchanges."""
    season = Season(TANKS["billabong"])
    facts = season.facts
    season.feed(1, "sinking pellets")
    batches = range(9, 200, 10)
    for day in range(2, 200, 3):
        season.change_water(day, 8 * 60, facts.backwash_l / facts.volume_l)
        if day < 70:
            note = "about 60 L out" if day == 2 else ""
            row = season.write("upkeep", day, None, task="bead filter backwash")
            row.cells["note"] = note
            row.flaw("backwash in the upkeep page alone", "task", "60 L exchanged")
        else:
            season.write("exchanges", day, 8 * 60, kind="backwash", volume="60")
    for day in batches:
        season.exchange(day, percent="25")
    season.live()
    for day in batches:
        season.before(day)
    for day in range(4, 200, 10):
        season.test(day, season.evening(18 * 60))
    for day in (59, 99, 119, 149, 179):
        season.after(day)
    for day in (1, 88, 161):
        season.write("source", day, None, nitrate="10", note="garden tap")
    season.upkeep(range(6, 200, 28), "pump basket emptied")
    season.toml = tank_toml(
        "Billabong",
        ["litres = 1020", 'how = "measured"', "error_percent = 3"],
        ['chart = "strip"', _NO3],
        80,
        source=8,
        tank_c=None,
    )
    season.quirks.append(
        "until day 70 backwashes of 60 L stand in the upkeep page alone"
    )
    return season


def millrace() -> Season:
    """Give the drip tank whose emitter clogs."""
    season = Season(TANKS["millrace"])
    season.drip = [22 - 10 * min(max(day - 100, 0) / 60, 1.0) for day in range(200)]
    season.happens(100, "emitter begins to clog", drip_l_day=22.0)
    season.happens(160, "emitter has stopped falling", drip_l_day=12.0)
    season.feed(1, "flake and granules")
    for day in range(0, 200, 30):
        row = season.write("exchanges", day, 8 * 60, kind="drip change", drip="22")
        row.cells["note"] = "cup and watch" if day < 60 else "looks the same"
        if day > 100:
            row.flaw(
                "drip written as before",
                "drip (L/day)",
                f"truly {season.drip[day]:.1f} L/day",
            )
    for day in (41, 83, 125, 167):
        season.exchange(day, percent="30")
    season.live()
    for day in range(6, 200, 7):
        if day in season.evenings:
            season.before(day)
            season.after(day)
        else:
            season.test(day, 17 * 60 + 30)
    for day in (2, 65, 128, 191):
        season.write("source", day, None, nitrate="12", note="at the drip")
    season.upkeep(range(3, 200, 14), "prefilter changed")
    season.upkeep(range(10, 200, 14), "lids wiped")
    season.upkeep([194], "drip looked at", d194="lime in it, for next week")
    season.toml = tank_toml(
        "Millrace",
        ["litres = 262", 'how = "geometry"', "error_percent = 5"],
        ["resolution_mg_l = 1", _NO3],
        60,
        source=12,
        more="\n[drip]\nlitres_per_day = 22\n"
        '\n[evaporation]\nlitres_per_day = 3\ntop_up = "source"\n',
    )
    season.quirks.append("the drip is written as 22 L/day to the end")
    return season


def shingle() -> Season:
    """Give the fry tank with its small daily exchanges."""
    season = Season(TANKS["shingle"])
    season.feed(1, "fry powder")
    for day in range(200):
        if day >= 100 and day % 7 == 6:
            row = season.write("exchanges", day, 19 * 60, kind="batch", percent="20")
            row.flaw("exchange written but not done", "percent (%)", "no exchange")
        else:
            season.exchange(day, percent="20")
    season.happens(100, "no exchange on Sundays any more")
    season.live()
    for day in range(0, 200, 7):
        season.before(day)
    for day in range(3, 200, 14):
        season.after(day)
    for day in (5, 95, 180):
        season.write("source", day, None, nitrate="5", note="")
    season.upkeep(range(2, 200, 4), "bottom cleaned", d86="many fry moved out")
    season.toml = tank_toml(
        "Shingle",
        ["litres = 104", 'how = "counted fill"', "error_percent = 2"],
        ['chart = "mixed"', _NO3],
        40,
        source=5,
    )
    season.quirks.append(
        "from day 100 the Sunday exchange is left out and yet written down"
    )
    return season


def spring_run() -> Season:
    """Give the hillstream tank that gets more fish half way."""
    season = Season(TANKS["spring-run"])
    season.fed_g = [
        grams * (1.3 / 0.8 if day >= 112 else 1.0)
        for day, grams in enumerate(season.fed_g)
    ]
    season.becomes(112, "more fish and more food", feed_g_day=1.3)
    _pinches(season)
    header = ["date", "time", "kind", "percent (%)", "volume (US gal)", "note"]
    season.sheet("exchanges", header).head_flaw(*_GALLONS)
    saturdays = range(5, 200, 7)
    for day in saturdays:
        season.exchange(day, volume="11.2")
    season.live()
    first = season.test(0, 18 * 60, "first test of this log", "B")
    first.cells["nitrate (mg/L NO3)"] = "10-20"
    first.flaw("a range", "nitrate (mg/L NO3)", f"{season.level(0, 1080):.1f} mg/L")
    for day in saturdays:
        season.before(day)
        if day >= 82:
            season.after(day)
    for day in (8, 120):
        season.write("source", day, None, nitrate="5", note="")
    season.upkeep([112], "fish added", d112="six more, from the club table")
    season.upkeep(range(4, 200, 10), "prefilter changed")
    season.toml = tank_toml(
        "Spring Run",
        ["us_gallons = 37.2", 'how = "geometry"', "error_percent = 5"],
        ['chart = "doubling"', _NO3],
        40,
        source=5,
        more="\n[feed]\nprotein_percent = 45\npinch_g = 0.25\n",
        tank_c=21.0,
    )
    season.quirks += [
        "volumes in US gallons",
        "three pinches a day are written to the end, while a pinch grows",
    ]
    return season


def _pinches(season: Season) -> None:
    """Write three pinches a day, whatever a pinch may be."""
    season.sheet("feedings", ["date", "time", "food (g)", "kind", "note"])
    for day in range(200):
        for hour in (8, 13, 19):
            row = season.write("feedings", day, hour * 60, food="1 pinch", kind="flake")
            if (day, hour) in ((0, 8), (112, 8)):
                grams = "0.27" if day == 0 else "0.43"
                row.flaw("food as a pinch", "food (g)", f"about {grams} g a pinch")
