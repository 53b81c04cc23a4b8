"""One tank's season: what truly happens, and what its keeper writes down."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from club.card import CHARTS, LOTS, READERS, as_nitrogen, nearest_step, splits
from club.chance import Dice
from club.sheets import Planted, Row, Sheet
from club.tanks import Facts, long_run, made_mg_day
from club.water import MINUTES, STEPS_PER_DAY, Inputs, run

__all__ = ["FIRST_MONDAY", "Season"]

#: The club's season begins here; it is the day 0 of every log but one.
FIRST_MONDAY = dt.date(2026, 3, 2)
_LAST_DAY = FIRST_MONDAY + dt.timedelta(days=199)
_FEED_SD = 0.15
_EXCHANGE_SD = 0.04
_TANK_SD = 0.20
_BETWEEN = 0.05

_HEADERS = {
    "tests": ["date", "time", "nitrate (mg/L NO3)", "reader", "kit", "note"],
    "feedings": ["date", "food (g)", "kind", "note"],
    "exchanges": [
        "date",
        "time",
        "kind",
        "percent (%)",
        "volume (L)",
        "drip (L/day)",
        "note",
    ],
    "upkeep": ["date", "task", "note"],
    "source": ["date", "nitrate (mg/L NO3)", "note"],
}


@dataclass(slots=True)
class Season:
    """A tank, its chance, and the pages of its log."""

    facts: Facts
    dice: Dice = field(init=False)
    start: dt.date = field(init=False)
    sheets: dict[str, Sheet] = field(default_factory=dict)
    fed_g: list[float] = field(init=False)
    drip: list[float] = field(init=False)
    uptake: list[float] = field(init=False)
    shares: dict[int, float] = field(default_factory=dict)
    trace: list[float] = field(default_factory=list)
    changes: list[dict[str, Any]] = field(default_factory=list)
    quirks: list[str] = field(default_factory=list)
    made: list[float] = field(default_factory=list)
    evenings: dict[int, int] = field(default_factory=dict)
    toml: str = ""

    def __post_init__(self) -> None:
        """Set the quiet course of things, with food that varies day by day."""
        facts = self.facts
        self.dice = Dice(facts.seed)
        self.start = _LAST_DAY - dt.timedelta(days=facts.days - 1)
        self.fed_g = [
            0.0
            if day % 7 == facts.fasting_weekday
            else facts.feed_g_day * self.dice.factor(_FEED_SD)
            for day in range(facts.days)
        ]
        self.drip = [facts.drip_l_day] * facts.days
        self.uptake = [facts.uptake_max_mg_l_day] * facts.days

    # -- pages ---------------------------------------------------------------

    def sheet(
        self, name: str, header: list[str] | None = None, delimiter: str = ","
    ) -> Sheet:
        """Give a page, begun when first asked for."""
        if name not in self.sheets:
            columns = _HEADERS[name] if header is None else header
            self.sheets[name] = Sheet(f"{name}.csv", columns, delimiter)
        return self.sheets[name]

    def write(
        self, page: str, day: int, minute: int | None = None, **cells: str
    ) -> Row:
        """Add a line to a page."""
        return self.sheet(page).add(self.start, day, minute, **cells)

    def upkeep(self, days: range | list[int], task: str, **notes: str) -> None:
        """Write a task on several days, with a note on some: ``d14="..."``."""
        for day in days:
            note = notes.get(f"d{day}", "")
            self.write("upkeep", day, None, task=task, note=note)

    def feed(
        self, places: int, kind: str, notes: Mapping[int, str] | None = None
    ) -> None:
        """Write each day's food as weighed; what was weighed is what was given."""
        said = notes or {}
        for day, grams in enumerate(self.fed_g):
            weighed = round(grams, places)
            self.fed_g[day] = weighed
            if weighed > 0:
                text = f"{weighed:.{places}f}"
                note = said.get(day, "")
                self.write("feedings", day, None, food=text, kind=kind, note=note)

    # -- events --------------------------------------------------------------

    def evening(self, first: int = 19 * 60, quarters: int = 5) -> int:
        """Draw a minute of the evening, on a quarter of an hour."""
        return first + MINUTES * int(self.dice.uniform() * quarters)

    def change_water(self, day: int, minute: int, share: float) -> float:
        """Exchange water for true; gives the share it came to."""
        step = day * STEPS_PER_DAY + minute // MINUTES
        actual = share * (1 + self.dice.normal(_EXCHANGE_SD))
        self.shares[step] = actual
        return actual

    def exchange(
        self, day: int, share: float | None = None, note: str = "", **size: str
    ) -> Row:
        """Exchange water in the evening and write it down as a batch.

        ``size`` is what the keeper writes: ``percent="40"`` or ``volume="137"``.
        """
        minute = self.evening()
        self.evenings[day] = minute
        self.change_water(day, minute, self.facts.fraction if share is None else share)
        return self.write("exchanges", day, minute, kind="batch", note=note, **size)

    def happens(self, day: int, what: str, **values: Any) -> None:
        """Record a true change of the tank for the sealed file."""
        date = (self.start + dt.timedelta(days=day)).isoformat()
        self.changes.append({"day": day, "date": date, "what": what, **values})

    def becomes(self, day: int, what: str, **fields: float) -> None:
        """Record a lasting change, with where the tank settles before and after."""
        after = replace(self.facts, **fields)  # type: ignore[arg-type]
        self.happens(
            day,
            what,
            **fields,
            net_rate_before=_net_rate(self.facts),
            net_rate_after=_net_rate(after),
            long_run_before=_levels(self.facts),
            long_run_after=_levels(after),
        )

    def inputs(self) -> Inputs:
        """Put the season together for the water."""
        facts = self.facts
        gross = (
            facts.feed_g_day * facts.yield_mg_g / facts.volume_l + facts.base_mg_l_day
        )
        self.made = [
            made_mg_day(facts, grams)
            + facts.volume_l * self.dice.normal(_TANK_SD * gross)
            for grams in self.fed_g
        ]
        return Inputs(
            volume_l=facts.volume_l,
            start_mg_l=facts.start_mg_l,
            made_mg_day=self.made,
            uptake_max_mg_l_day=self.uptake,
            uptake_half_mg_l=facts.uptake_half_mg_l,
            loss_per_day=facts.loss_per_day,
            source_mg_l=facts.source_mg_l,
            drip_l_day=self.drip,
            evaporation_l_day=facts.evaporation_l_day,
            top_up_mg_l=facts.top_up_mg_l,
            exchanges=self.shares,
        )

    def live(self) -> None:
        """Let the water run its season."""
        self.trace = run(self.inputs())

    # -- readings ------------------------------------------------------------

    def level(self, day: int, minute: int) -> float:
        """Give the true nitrate at a moment. [mg/L]."""
        return self.trace[day * STEPS_PER_DAY + minute // MINUTES]

    def seen(self, true_mg_l: float, reader: str, lot: int) -> float:
        """Give what one eye makes of the water with one kit. [mg/L]."""
        bias = READERS[reader] * LOTS[self.facts.kit][lot - 1]
        return true_mg_l * bias * self.dice.factor(self.facts.reading_sd)

    def say(self, seen_mg_l: float) -> str:
        """Put what was seen into the words of the kit."""
        if self.facts.kit == "meter":
            return f"{seen_mg_l:.0f}"
        steps = CHARTS[self.facts.kit]
        for below, split, above in zip(
            steps[1:], splits(steps)[1:], steps[2:], strict=False
        ):
            if abs(seen_mg_l / split - 1) < _BETWEEN:
                return f"{below:g}-{above:g}"
        return f"{nearest_step(steps, seen_mg_l):g}"

    def lot(self, day: int) -> int:
        """Tell which lot is in use: the second one from day 140 of the season."""
        return 2 if day - (self.facts.days - 200) >= 140 else 1

    def reader(self) -> str:
        """Tell who reads: mostly B, at times A, seldom C."""
        draw = self.dice.uniform()
        return "B" if draw < 0.70 else "A" if draw < 0.90 else "C"

    def test(
        self, day: int, minute: int, note: str = "", reader: str | None = None
    ) -> Row:
        """Read the water and write it down."""
        who = self.reader() if reader is None else reader
        lot = self.lot(day)
        text = self.say(self.seen(self.level(day, minute), who, lot))
        kit = "meter" if self.facts.kit == "meter" else f"{self.facts.kit} lot {lot}"
        return self.write(
            "tests", day, minute, nitrate=text, reader=who, kit=kit, note=note
        )

    def before(self, day: int, note: str = "", reader: str | None = None) -> Row:
        """Test half an hour before that evening's exchange."""
        return self.test(day, self.evenings[day] - 30, note, reader)

    def after(self, day: int, note: str = "", reader: str | None = None) -> Row:
        """Test an hour after that evening's exchange."""
        return self.test(day, self.evenings[day] + 60, note, reader)

    def test_as_nitrogen(self, day: int, minute: int, note: str = "") -> Row:
        """Read a card that is printed in nitrogen, without saying so."""
        who, lot = self.reader(), self.lot(day)
        seen = as_nitrogen(self.seen(self.level(day, minute), who, lot))
        kit = f"{self.facts.kit} lot {lot}"
        return self.write(
            "tests", day, minute, nitrate=self.say(seen), reader=who, kit=kit, note=note
        )

    # -- sealed --------------------------------------------------------------

    def planted(self) -> list[Planted]:
        """List the flaws of all pages."""
        slug = self.facts.slug
        return [flaw for sheet in self.sheets.values() for flaw in sheet.planted(slug)]

    def truth(self) -> dict[str, Any]:
        """Give everything a guesser must not see."""
        facts, days = self.facts, self.facts.days
        half = facts.uptake_half_mg_l
        uptake = [
            self.uptake[step // STEPS_PER_DAY] * c / (half + c)
            for step, c in enumerate(self.trace[:-1])
        ]
        taken = sum(uptake) / len(uptake)
        made = sum(self.made) / days / facts.volume_l
        told = asdict(facts)
        told["top_up_adds_mg_l_day"] = _top_up_adds(facts)
        told["net_rate_mg_l_day"] = _net_rate(facts)
        told["net_rate_of_this_season_mg_l_day"] = round(made - taken, 4)
        told["long_run"] = _levels(facts)
        told["changes"] = self.changes
        told["quirks"] = self.quirks
        told["first_day"] = self.start.isoformat()
        told["exchanges_as_they_were"] = [self._event(*e) for e in self.shares.items()]
        told["last_level_mg_l"] = round(self.trace[-1], 2)
        return told

    def _event(self, step: int, share: float) -> dict[str, Any]:
        day, rest = divmod(step, STEPS_PER_DAY)
        date = self.start + dt.timedelta(days=day)
        minute = rest * MINUTES
        return {
            "date": date.isoformat(),
            "time": f"{minute // 60:02d}:{minute % 60:02d}",
            "fraction": round(share, 4),
        }


def _top_up_adds(facts: Facts) -> float:
    if facts.drip_l_day:
        return 0.0
    return round(facts.evaporation_l_day * facts.top_up_mg_l / facts.volume_l, 4)


def _net_rate(facts: Facts) -> float:
    """Give food plus base less uptake at the long-run mean level. [mg/L/day]."""
    share = 6 / 7 if facts.fasting_weekday is not None else 1.0
    gross = made_mg_day(facts, facts.feed_g_day * share) / facts.volume_l
    mean = long_run(facts).mean_mg_l
    taken = facts.uptake_max_mg_l_day * mean / (facts.uptake_half_mg_l + mean)
    return round(gross - taken, 4)


def _levels(facts: Facts) -> dict[str, float]:
    levels = long_run(facts)
    return {
        "peak_mg_l": round(levels.peak_mg_l, 2),
        "trough_mg_l": round(levels.trough_mg_l, 2),
        "mean_mg_l": round(levels.mean_mg_l, 2),
    }
