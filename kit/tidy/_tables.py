"""Tables of a tidy logbook, in the kit's own columns."""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Callable, Iterable

from kit.logbook import Exchange, Logbook, Standard, Tank, Test
from kit.tidy._cells import basis_of, number, reading, time_of_day, words

__all__ = [
    "by_litres",
    "other_tables",
    "readings_table",
    "standards_table",
    "table_bytes",
]

Row = tuple[str, ...]


def table_bytes(header: Row, rows: Iterable[Row]) -> bytes:
    """Give a table as CSV; empty columns at its end are kept, as the header names them.

    The mark at the start lets spreadsheets see that this is UTF-8.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue().encode("utf-8-sig")


def readings_table(
    log: Logbook, write: Callable[[Test, float], str] = reading
) -> tuple[Row, list[Row]]:
    """Give the readings, as the kit counts them."""
    basis, factor = basis_of(log.tank)
    ordered = any(t.order for t in log.tests)
    header = ("date", "time", f"nitrate (mg/L {basis})", "reader", "kit", "note")
    rows = [
        (
            t.date.isoformat(),
            time_of_day(t.time),
            write(t, factor),
            words(t.reader),
            words(t.kit),
            words(t.note),
            *((t.order or "",) if ordered else ()),
        )
        for t in log.tests
    ]
    return (*header, *(("order",) if ordered else ())), rows


def other_tables(log: Logbook) -> dict[str, tuple[Row, list[Row]]]:
    """Give every other table; the new water is counted as NO3 whatever the kit."""
    return {
        "exchanges.csv": _exchanges(log),
        "feedings.csv": _feedings(log),
        "upkeep.csv": _upkeep(log),
        "source.csv": _source(log),
        "standards.csv": standards_table(log),
    }


def _feedings(log: Logbook) -> tuple[Row, list[Row]]:
    rows: list[Row] = [
        (*_when(f.date, f.time), number(f.feed_g), words(f.food), words(f.note))
        for f in log.feedings
    ]
    return ("date", "time", "food (g)", "kind", "note"), rows


def _upkeep(log: Logbook) -> tuple[Row, list[Row]]:
    rows: list[Row] = [
        (*_when(u.date, u.time), words(u.task), words(u.note)) for u in log.upkeep
    ]
    return ("date", "time", "task", "note"), rows


def _source(log: Logbook) -> tuple[Row, list[Row]]:
    rows: list[Row] = [
        (*_when(s.date, s.time), reading(s, 1.0), words(s.note)) for s in log.source
    ]
    return ("date", "time", "nitrate (mg/L NO3)", "note"), rows


def standards_table(
    log: Logbook, write: Callable[[Standard, float], str] = reading
) -> tuple[Row, list[Row]]:
    """Give the checks of the kit on known solutions."""
    basis, factor = basis_of(log.tank)
    header = ("kit", "reader", f"known (mg/L {basis})", f"read (mg/L {basis})", "note")
    rows: list[Row] = [
        (
            *_when(s.date, s.time),
            words(s.kit),
            words(s.reader),
            number(s.known_mg_l / factor),
            write(s, factor),
            words(s.note),
        )
        for s in log.standards
    ]
    return ("date", "time", *header), rows


def _when(date: dt.date, time: dt.time | None) -> tuple[str, str]:
    return date.isoformat(), time_of_day(time)


def _exchanges(log: Logbook) -> tuple[Row, list[Row]]:
    """Give exchanges of known and unknown size, and those without a day."""
    header = ("date", "time", "kind", "percent (%)", "volume (L)", "drip (L/day)")
    rows: list[Row] = [
        (
            e.date.isoformat(),
            time_of_day(e.time),
            str(e.kind),
            *_size(e, log.tank),
            words(e.note),
        )
        for e in log.exchanges
    ]
    unknown = ("", "batch", "", "", "", "size not known")
    rows += [(day.isoformat(), *unknown) for day in log.unknown_exchanges]
    rows.sort(key=lambda row: row[:2])
    rows += [("not known", *unknown[:-1], words(p)) for p in log.lost_exchanges]
    return (*header, "note"), rows


def _size(e: Exchange, tank: Tank) -> tuple[str, str, str]:
    """Give percent, litres and drip of an exchange, none of them twice."""
    percent = None if e.fraction is None else 100.0 * e.fraction
    share = by_litres(e, tank)
    if e.fraction is not None and share is not None:
        same = math.isclose(share, e.fraction, rel_tol=1e-9)
        percent = None if same else percent
    return _sized(percent, e), _sized(e.litres, e), number(e.drip_l_day)


def _sized(value: float | None, e: Exchange) -> str:
    """Write a size; one by eye keeps its mark of doubt."""
    mark = "~" if e.rough and value is not None else ""
    return mark + number(value)


def by_litres(e: Exchange, tank: Tank) -> float | None:
    """Give the part of the tank that the litres of an exchange make."""
    volume = tank.volume_l
    for change in tank.volume_changes:
        if change.date <= e.date:
            volume = change.volume_l
    return e.litres / volume if e.litres is not None and volume else None
