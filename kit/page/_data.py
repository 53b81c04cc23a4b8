"""Tables of what was read, rounded to what the kit can tell."""

from __future__ import annotations

from kit.fit import FitResult, FittedTest
from kit.logbook import Logbook
from kit.page._facts import about
from kit.registry import registry_factor
from kit.report import Table
from kit.rounding import Output, plain, round_for_people

__all__ = ["data_of"]

_GALLON = {"us": ("gallon", "US gal"), "imperial": ("imperial_gallon", "imp gal")}


def data_of(log: Logbook, result: FitResult, output: Output) -> tuple[Table, ...]:
    """Make the tables of readings, exchanges and tests of the new water.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}
        Whose units for volumes.

    Returns
    -------
    tuple of Table
        Only those with rows.
    """
    tables = (_readings(log, result), _exchanges(log, output), _new_water(log))
    return tuple(table for table in tables if table.rows)


def _ends(low: float, high: float | None) -> tuple[str, str]:
    """Write the ends of a reading, no finer than the reading is wide."""
    if high is None:
        return about(low), ""
    half = (high - low) / 2
    return about(low, half), about(high, half)


def _readings(log: Logbook, result: FitResult) -> Table:
    """Readings beside the fitted level; without a fit, the readings alone."""
    if result.tests:
        rows = tuple(_fitted(t) for t in result.tests)
    else:
        rows = tuple(
            (
                t.date.isoformat(),
                "" if t.time is None else t.time.isoformat("minutes"),
                t.raw.strip(),
                *_ends(t.low_mg_l, t.high_mg_l),
                "",
                f"{t.file}, {t.line}",
            )
            for t in log.tests
        )
    columns = (
        "Date",
        "Time",
        "As written",
        "From (mg/L)",
        "To (mg/L)",
        "Fitted (mg/L)",
        "File, line",
    )
    return Table("Readings", columns, rows)


def _fitted(t: FittedTest) -> tuple[str, ...]:
    half = (t.fitted.high - t.fitted.low) / 2
    return (
        t.date.isoformat(),
        "" if t.time is None else t.time.isoformat("minutes"),
        t.raw.strip(),
        *_ends(t.low_mg_l, t.high_mg_l),
        about(t.fitted.estimate, half),
        f"{t.file}, {t.line}",
    )


def _exchanges(log: Logbook, output: Output) -> Table:
    """Exchanges as used; volumes where they were written."""
    unit, per = "L", 1.0
    if output != "metric":
        name, unit = _GALLON[output]
        per = registry_factor(name, "liter")
    rows: list[tuple[str, ...]] = [
        (
            e.date.isoformat(),
            e.kind,
            "" if e.fraction is None else about(100 * e.fraction),
            "" if e.litres is None else plain(round_for_people(e.litres / per)),
            f"{e.file}, {e.line}",
        )
        for e in log.exchanges
        if e.kind != "drip change"
    ]
    rows += [
        (d.isoformat(), "of unknown size", "", "", "") for d in log.unknown_exchanges
    ]
    rows.sort(key=lambda row: row[0])
    columns = ("Date", "Kind", "Part (%)", f"Volume ({unit})", "File, line")
    return Table("Exchanges", columns, tuple(rows))


def _new_water(log: Logbook) -> Table:
    """Tests of the new water."""
    rows = tuple(
        (
            s.date.isoformat(),
            s.raw.strip(),
            *_ends(s.low_mg_l, s.high_mg_l),
            f"{s.file}, {s.line}",
        )
        for s in log.source
    )
    columns = ("Date", "As written", "From (mg/L)", "To (mg/L)", "File, line")
    return Table("Tests of the new water", columns, rows)
