"""The twelve tanks as they truly are. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass, replace

from club.water import STEPS_PER_DAY, Inputs, LongRun, run, summary

__all__ = ["TANKS", "Facts", "long_run", "made_mg_day", "settled", "steady_inputs"]


@dataclass(frozen=True, slots=True)
class Facts:
    """One tank's true values.

    Parameters
    ----------
    slug, name : str
        Folder and name.
    seed : int
        Seed of this tank's chance.
    label_l, volume_l : float
        What the maker's label says, and what is truly in it. [L]
    feed_g_day, yield_mg_g : float
        Food on a feeding day, and nitrate it makes. [g/day], [mg/g]
    base_mg_l_day : float
        Nitrate made from all else. [mg/L/day]
    source_mg_l : float
        Nitrate of the new water. [mg/L]
    fraction, interval_days : float, int
        Share exchanged, and every how many days; 0 for never.
    kit : str
        Name of the card, or ``"meter"``.
    reading_sd : float
        Spread of one eye's readings, as a share.
    start_mg_l : float
        Nitrate when the log begins. [mg/L]
    days : int
        Length of the log. [day]
    uptake_max_mg_l_day, uptake_half_mg_l : float
        Uptake by plants and algae. [mg/L/day], [mg/L]
    loss_per_day : float
        First-order loss. [1/day]
    drip_l_day, evaporation_l_day : float
        Running in, and lost to the air. [L/day]
    top_up : {"source", "pure"}
        What replaces evaporated water.
    backwash_l, backwash_days : float, int
        Water lost with each backwash, and every how many days. [L], [day]
    fasting_weekday : int or None
        Weekday without food, Monday being 0.
    """

    slug: str
    name: str
    seed: int
    label_l: float
    volume_l: float
    feed_g_day: float
    yield_mg_g: float
    base_mg_l_day: float
    source_mg_l: float
    fraction: float
    interval_days: int
    kit: str
    reading_sd: float
    start_mg_l: float
    days: int = 200
    uptake_max_mg_l_day: float = 0.0
    uptake_half_mg_l: float = 1.0
    loss_per_day: float = 0.0
    drip_l_day: float = 0.0
    evaporation_l_day: float = 0.0
    top_up: str = "source"
    backwash_l: float = 0.0
    backwash_days: int = 0
    fasting_weekday: int | None = None

    @property
    def top_up_mg_l(self) -> float:
        """Nitrate of the top-up water. [mg/L]."""
        return self.source_mg_l if self.top_up == "source" else 0.0


def _tank(slug: str, seed: int, litres: tuple[float, float], **values: object) -> Facts:
    name = slug.replace("-", " ").title()
    return Facts(slug, name, seed, litres[0], litres[1], **values)  # type: ignore[arg-type]


def _made(feed: float, each: float, base: float, source: float) -> dict[str, float]:
    return {
        "feed_g_day": feed,
        "yield_mg_g": each,
        "base_mg_l_day": base,
        "source_mg_l": source,
    }


def _habit(
    share: float, days: int, kit: str, sd: float, start: float
) -> dict[str, object]:
    return {
        "fraction": share,
        "interval_days": days,
        "kit": kit,
        "reading_sd": sd,
        "start_mg_l": start,
    }


def _uptake(most: float, half: float) -> dict[str, float]:
    return {"uptake_max_mg_l_day": most, "uptake_half_mg_l": half}


_ALL = (
    _tank(
        "quarry",
        1101,
        (400, 342),
        **_made(3.0, 215, 0.15, 5),
        **_habit(0.40, 7, "doubling", 0.12, 13.0),
        fasting_weekday=6,
    ),
    _tank(
        "culvert",
        1102,
        (75, 61),
        **_made(0.25, 190, 0.05, 30),
        **_habit(0.25, 7, "doubling", 0.12, 33.0),
        **_uptake(0.40, 3),
    ),
    _tank(
        "tarn",
        1103,
        (60, 48),
        **_made(0.20, 200, 0.05, 2),
        **_habit(0.30, 7, "doubling", 0.15, 2.4),
        **_uptake(1.6, 2),
    ),
    _tank(
        "backwater",
        1104,
        (200, 168),
        **_made(0.9, 210, 0.20, 5),
        **_habit(0.0, 0, "doubling", 0.15, 30.0),
        loss_per_day=0.004,
        days=270,
    ),
    _tank(
        "estuary",
        1105,
        (180, 149),
        **_made(0.7, 200, 0.10, 10),
        **_habit(0.25, 10, "mixed", 0.12, 26.0),
        **_uptake(0.10, 3),
        evaporation_l_day=2.2,
    ),
    _tank(
        "lagoon",
        1106,
        (250, 214),
        **_made(1.0, 318, 0.0, 0.2),
        **_habit(0.10, 7, "low range", 0.10, 17.0),
        **_uptake(1.5, 5),
        evaporation_l_day=3.5,
        top_up="pure",
    ),
    _tank(
        "billabong",
        1107,
        (1100, 1020),
        **_made(14, 200, 0.30, 8),
        **_habit(0.25, 10, "strip", 0.20, 40.0),
        **_uptake(0.50, 3),
        backwash_l=60,
        backwash_days=3,
    ),
    _tank(
        "millrace",
        1108,
        (300, 262),
        **_made(3.2, 215, 0.10, 12),
        **_habit(0.30, 42, "meter", 0.08, 47.0),
        drip_l_day=22,
        evaporation_l_day=3,
    ),
    _tank(
        "shingle",
        1109,
        (120, 104),
        **_made(2.5, 170, 0.0, 5),
        **_habit(0.20, 1, "mixed", 0.12, 11.0),
    ),
    _tank(
        "peat-pool",
        1110,
        (90, 77),
        **_made(0.5, 205, 0.05, 2),
        **_habit(0.30, 7, "mixed", 0.10, 9.0),
        **_uptake(0.45, 2),
    ),
    _tank(
        "spring-run",
        1111,
        (160, 141),
        **_made(0.8, 210, 0.10, 5),
        **_habit(0.30, 7, "doubling", 0.12, 14.0),
    ),
    _tank(
        "fen",
        1112,
        (240, 203),
        **_made(1.5, 205, 0.10, 5),
        **_habit(0.33, 10, "mixed", 0.12, 22.0),
        **_uptake(0.32, 2),
    ),
)

#: The tanks by folder.
TANKS: dict[str, Facts] = {tank.slug: tank for tank in _ALL}


def made_mg_day(tank: Facts, feed_g: float) -> float:
    """Give the nitrate made in the whole tank on a day with this food. [mg/day]."""
    return feed_g * tank.yield_mg_g + tank.base_mg_l_day * tank.volume_l


def steady_inputs(tank: Facts, days: int, start_mg_l: float | None = None) -> Inputs:
    """Give a noise-free run with the tank's habits kept for ever.

    Exchanges and backwashes stand at the end of their day.
    """
    exchanges: dict[int, float] = {}
    for day in range(1, days + 1):
        kept = 1.0
        if tank.interval_days and day % tank.interval_days == 0:
            kept *= 1 - tank.fraction
        if tank.backwash_days and day % tank.backwash_days == 0:
            kept *= 1 - tank.backwash_l / tank.volume_l
        if kept < 1.0:
            exchanges[day * STEPS_PER_DAY] = 1 - kept
    fed = [
        0.0 if day % 7 == tank.fasting_weekday else tank.feed_g_day
        for day in range(days)
    ]
    return Inputs(
        volume_l=tank.volume_l,
        start_mg_l=tank.start_mg_l if start_mg_l is None else start_mg_l,
        made_mg_day=[made_mg_day(tank, g) for g in fed],
        uptake_max_mg_l_day=[tank.uptake_max_mg_l_day] * days,
        uptake_half_mg_l=tank.uptake_half_mg_l,
        loss_per_day=tank.loss_per_day,
        source_mg_l=tank.source_mg_l,
        drip_l_day=[tank.drip_l_day] * days,
        evaporation_l_day=tank.evaporation_l_day,
        top_up_mg_l=tank.top_up_mg_l,
        exchanges=exchanges,
    )


def settled(inputs: Inputs, cycle_days: int) -> LongRun:
    """Sum up the last cycle of a run."""
    return summary(inputs, run(inputs), cycle_days)


def long_run(tank: Facts, **changes: float) -> LongRun:
    """Give where a tank settles, without noise.

    Parameters
    ----------
    tank : Facts
        The tank as it is.
    **changes : float
        Fields to have otherwise, such as ``fraction=0.5``.

    Returns
    -------
    LongRun
        Peak, trough and mean. [mg/L]
    """
    tank = replace(tank, **changes)  # type: ignore[arg-type]
    cycle = max(tank.interval_days, 1) * max(tank.backwash_days, 1)
    days = cycle * max(1, 840 // cycle)
    return settled(steady_inputs(tank, days), cycle)
