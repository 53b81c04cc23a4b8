"""The records of one tank, as frozen values with the line each came from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Literal

from kit.findings import Problem

if TYPE_CHECKING:
    import pandas as pd
    from _typeshed import DataclassInstance

__all__ = [
    "Exchange",
    "Feeding",
    "Logbook",
    "Note",
    "SourceTest",
    "Standard",
    "Tank",
    "Test",
    "Upkeep",
    "VolumeChange",
]

SameDay = Literal["before", "after"]
ExchangeKind = Literal["batch", "drip change", "backwash"]
TopUp = Literal["source", "pure", "none"]


@dataclass(frozen=True, slots=True)
class VolumeChange:
    """A lasting change of the water volume.

    Parameters
    ----------
    date : datetime.date
        Day on which the volume changed.
    volume_l : float
        Water volume from then on. [L]
    how : {"filled", "drained", "evaporated"}
        Filled with source water, drained, or lost to the air.
    """

    date: dt.date
    volume_l: float
    how: Literal["filled", "drained", "evaporated"]


@dataclass(frozen=True, slots=True)
class Tank:
    """What ``tank.toml`` says of a tank.

    Parameters
    ----------
    name : str
        Free text; never trusted in a path or in markup.
    volume_l : float or None
        Water volume, not the label's. [L]
    volume_how : str
        How the volume was found: ``"measured"``, ``"geometry"``, ``"tracer"``,
        ``"label"``, ``"mean of 3 ways"`` and the like, or ``""`` when unsaid.
    volume_error_percent : float or None
        Its standard error: the keeper's own guess, or that of the mean of several
        ways. [%]
    source_nitrate_mg_l : float or None
        Nitrate of the new water as NO3; None when never tested. [mg/L]
    kit_steps_mg_l : tuple of float or None
        Steps printed on the colour chart, as NO3. [mg/L]
    kit_resolution_mg_l : float or None
        Smallest difference a meter shows, as NO3. [mg/L]
    kit_basis : {"NO3", "NO3-N"} or None
        What the kit's numbers mean; None when unsaid.
    drip_l_day, evaporation_l_day : float
        Fresh water running in; water lost to the air. [L/day]
    top_up : {"source", "pure", "none"}
        What replaces evaporated water.
    ceiling_mg_l : float or None
        The keeper's own limit. [mg/L]
    max_percent : float or None
        Largest exchange the keeper will do at once. [%]
    same_day : {"before", "after"} or None
        Whether a test without a time was made before or after that day's exchange.
    feed_protein_percent : float or None
        Protein on the feed's label. [%]
    pinch_g : float or None
        What one pinch of the keeper's food weighs. [g]
    volume_changes : tuple of VolumeChange
        Lasting changes, oldest first; ``volume_l`` holds before the first.
    currency : str
        Name of the currency for costs.
    water_per_m3, energy_per_kwh, salt_per_kg : float or None
        Tariffs. [currency]
    minutes_per_exchange, minutes_per_bucket : float or None
        Time an exchange takes whatever its size, and each bucket of it. [min]
    bucket_l : float or None
        Water in a bucket. [L]
    tank_c, new_water_c : float or None
        Usual temperature of the tank and of the new water. [°C]
    """

    name: str = "tank"
    volume_l: float | None = None
    volume_how: str = ""
    volume_error_percent: float | None = None
    source_nitrate_mg_l: float | None = None
    kit_steps_mg_l: tuple[float, ...] | None = None
    kit_resolution_mg_l: float | None = None
    kit_basis: Literal["NO3", "NO3-N"] | None = None
    drip_l_day: float = 0.0
    evaporation_l_day: float = 0.0
    top_up: TopUp = "source"
    ceiling_mg_l: float | None = None
    max_percent: float | None = None
    same_day: SameDay | None = None
    feed_protein_percent: float | None = None
    pinch_g: float | None = None
    volume_changes: tuple[VolumeChange, ...] = ()
    currency: str = ""
    water_per_m3: float | None = None
    energy_per_kwh: float | None = None
    salt_per_kg: float | None = None
    minutes_per_exchange: float | None = None
    minutes_per_bucket: float | None = None
    bucket_l: float | None = None
    tank_c: float | None = None
    new_water_c: float | None = None


@dataclass(frozen=True, slots=True)
class Test:
    """One nitrate reading as an interval with its raw text.

    Parameters
    ----------
    date : datetime.date
        Wall-clock day as written.
    time : datetime.time or None
        Wall-clock time as written.
    low_mg_l : float
        Lower end of what the reading allows, as NO3. [mg/L]
    high_mg_l : float or None
        Upper end; None is open above. [mg/L]
    value_mg_l : float or None
        The number written, as NO3; None where a bound or range was written. [mg/L]
    raw : str
        The cell as written.
    doubtful : bool
        The keeper marked it as doubtful.
    file : str
        File name.
    line : int
        Editor line.
    reader, kit, note : str
        Who read it, with which kit or lot, and free text.
    order : {"before", "after"} or None
        Said by the file itself to be before or after that day's exchange.
    """

    __test__ = False  # not a pytest class

    date: dt.date
    time: dt.time | None
    low_mg_l: float
    high_mg_l: float | None
    value_mg_l: float | None
    raw: str
    file: str
    line: int
    doubtful: bool = False
    reader: str = ""
    kit: str = ""
    note: str = ""
    order: SameDay | None = None


@dataclass(frozen=True, slots=True)
class Exchange:
    """Old water out, new water in, or a change of the drip.

    Parameters
    ----------
    date, time : datetime.date, datetime.time or None
        Wall clock as written.
    fraction : float or None
        Part of the volume exchanged, 0 to 1; None when not known. [-]
    litres : float or None
        Water exchanged, when litres were written. [L]
    kind : {"batch", "drip change", "backwash"}
        A backwash that lowers the level is an exchange too.
    drip_l_day : float or None
        For a drip change: the drip from then on. [L/day]
    file, line, note : str, int, str
        Where it was written, and free text.
    rough : bool
        Marked as approximate, or a share in words such as "about a third".
    """

    date: dt.date
    time: dt.time | None
    fraction: float | None
    litres: float | None
    file: str
    line: int
    kind: ExchangeKind = "batch"
    drip_l_day: float | None = None
    note: str = ""
    rough: bool = False


@dataclass(frozen=True, slots=True)
class Feeding:
    """Food given on a day. ``feed_g`` in [g]."""

    date: dt.date
    time: dt.time | None
    feed_g: float
    file: str
    line: int
    food: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A task done on a day, in the keeper's own words."""

    date: dt.date
    time: dt.time | None
    task: str
    file: str
    line: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """Free text of a day, as written; never trusted in markup."""

    date: dt.date
    time: dt.time | None
    text: str
    file: str
    line: int


@dataclass(frozen=True, slots=True)
class SourceTest:
    """A nitrate reading of the new water, as an interval like `Test`."""

    date: dt.date
    time: dt.time | None
    low_mg_l: float
    high_mg_l: float | None
    value_mg_l: float | None
    raw: str
    file: str
    line: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class Standard:
    """A kit tried on water of known nitrate.

    Parameters
    ----------
    date : datetime.date
        Day of the check.
    kit, reader : str
        Which kit or lot, and who read it; free text.
    known_mg_l : float
        Nitrate of the solution as NO3; 0 for pure water. [mg/L]
    low_mg_l : float
        Lower end of what the reading allows, as NO3. [mg/L]
    high_mg_l : float or None
        Upper end; None is open above. [mg/L]
    file : str
        File name.
    line : int
        Editor line.
    value_mg_l : float or None
        The number read, as NO3; None where a bound or range was written. [mg/L]
    raw, note : str
        The reading as written, and free text.
    time : datetime.time or None
        Wall-clock time as written.
    """

    date: dt.date
    kit: str
    reader: str
    known_mg_l: float
    low_mg_l: float
    high_mg_l: float | None
    file: str
    line: int
    value_mg_l: float | None = None
    raw: str = ""
    note: str = ""
    time: dt.time | None = None


@dataclass(frozen=True, slots=True)
class Logbook:
    """Everything read from one tank's files, with every problem found.

    Records are in time order; a record held back by an open question or left out
    by an error is not among them. ``unknown_exchanges`` are days on which an exchange
    happened whose size is not known: the fit starts afresh there. ``breaks`` are days
    of the first test after a jump that may be a change of unit: nothing may be
    fitted across one. ``lost_exchanges`` are places (such as ``"exchanges.csv, line
    4"``) of exchanges whose day is not known, so that nothing says where to start
    afresh: no rate can be fitted until they are mended or answered. ``standards`` are
    checks of the kit against known solutions.
    """

    tank: Tank
    tests: tuple[Test, ...] = ()
    exchanges: tuple[Exchange, ...] = ()
    feedings: tuple[Feeding, ...] = ()
    upkeep: tuple[Upkeep, ...] = ()
    source: tuple[SourceTest, ...] = ()
    problems: tuple[Problem, ...] = ()
    files: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    unknown_exchanges: tuple[dt.date, ...] = ()
    breaks: tuple[dt.date, ...] = ()
    lost_exchanges: tuple[str, ...] = ()
    standards: tuple[Standard, ...] = ()

    def frame(
        self,
        table: Literal[
            "tests", "exchanges", "feedings", "upkeep", "source", "standards"
        ],
    ) -> pd.DataFrame:
        """Give one table as a data frame, a row per record.

        Parameters
        ----------
        table : {"tests", "exchanges", "feedings", "upkeep", "source", "standards"}
            Which records.

        Returns
        -------
        pandas.DataFrame
            Columns are the record's fields; empty when there are no records.
        """
        import pandas as pd

        rows = getattr(self, table)
        kinds: dict[str, type[DataclassInstance]] = {
            "tests": Test,
            "exchanges": Exchange,
            "feedings": Feeding,
            "upkeep": Upkeep,
            "source": SourceTest,
            "standards": Standard,
        }
        names = [field.name for field in fields(kinds[table])]
        return pd.DataFrame(
            [[getattr(r, n) for n in names] for r in rows], columns=names
        )
