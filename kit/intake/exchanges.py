"""Rows of exchange cells to records: share, litres and volume must agree."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from kit.celltext import words
from kit.findings import Choice, clip
from kit.intake.amounts import Amount, read_amount
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.datecolumn import Moment, some
from kit.intake.desk import LEAVE_OUT, Desk
from kit.intake.grid import Grid
from kit.intake.parts import Parts, parts_of
from kit.intake.volumes import Volumes
from kit.logbook import Exchange, ExchangeKind

__all__ = ["Exchanges", "exchanges_of"]

_AGREE_POINTS: Final = 2.0
_KINDS: Final[Mapping[str, ExchangeKind]] = {
    "batch": "batch",
    "exchange": "batch",
    "water change": "batch",
    "wc": "batch",
    "backwash": "backwash",
    "filter backwash": "backwash",
    "back wash": "backwash",
    "drip change": "drip change",
    "drip": "drip change",
    "drip setting": "drip change",
}
_TOP_UP: Final = re.compile(r"top[ -]?(?:up|off).{0,30}|topp?ed.{0,30}|evaporation")


@dataclass(slots=True)
class Exchanges:
    """Exchanges of one table, and days on which the size is not known."""

    records: list[Exchange] = field(default_factory=list)
    unknown: set[dt.date] = field(default_factory=set)


@dataclass(slots=True)
class _Event:
    """One exchange on one line, before it becomes a record."""

    line: int
    kind: ExchangeKind
    percent: float | None = None
    litres: float | None = None
    gallons: float | None = None
    columns: list[Column] = field(default_factory=list)
    sizeless: bool = False


def exchanges_of(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment], volumes: Volumes
) -> Exchanges:
    """Read all exchange columns of a table.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Settings and problems.
    moments : mapping of int to Moment
        Day and time by line; lines without one are checked and left out.
    volumes : Volumes
        Water volume by line.

    Returns
    -------
    Exchanges
        Records in the order of the lines.
    """
    kinds, top_ups = _kinds(grid, desk)
    out = Exchanges()
    columns = [parts_of(grid, c, desk) for c in grid.having("exchange")]
    unsized: list[int] = []
    for line in grid.rows:
        if line in top_ups:
            continue
        moment = moments.get(line)
        for event in _events(columns, line, kinds.get(line, "batch")):
            record = _record(grid, desk, event, moment, volumes)
            if moment is None:
                continue
            if record is None:
                out.unknown.add(moment.day)
            else:
                out.records.append(record)
                unsized += [line] if record.fraction is None else []
    out.records += _drips(grid, desk, moments)
    _note_no_volume(grid, desk, columns, unsized)
    out.records.sort(key=lambda e: e.line)
    return out


def _kinds(grid: Grid, desk: Desk) -> tuple[dict[int, ExchangeKind], set[int]]:
    """Read the kind of each exchange; a top-up is none."""
    column = grid.only("exchange kind")
    kinds: dict[int, ExchangeKind] = {}
    top_ups: list[int] = []
    other: list[int] = []
    for line, raw in grid.cells(column):
        text = words(raw)
        if _TOP_UP.fullmatch(text):
            top_ups.append(line)
        elif text in _KINDS:
            kinds[line] = _KINDS[text]
        else:
            other.append(line)
    for lines, kind, mend in (
        (top_ups, "top-up is no exchange", "left out of the exchanges"),
        (other, "kind of exchange not known", "taken as a batch exchange"),
    ):
        if lines:
            raw = dict(grid.cells(column))[lines[0]]
            desk.tell(
                "note",
                kind,
                grid.place(column, lines[0]),
                seen=clip(raw),
                expected=RULES["exchange kind"].expected,
                mend=f"{mend}: {some(lines)}",
                lines=lines,
            )
    return kinds, set(top_ups)


def _events(columns: Iterable[Parts], line: int, kind: ExchangeKind) -> list[_Event]:
    """Gather what the columns say of one line: a share and a volume are one event."""
    events: list[_Event] = []
    for parts in columns:
        if not parts.speaks(line):
            continue
        meant: ExchangeKind = "backwash" if parts.column.kind == "backwash" else kind
        percent = parts.percent.get(line)
        litres, gallons = parts.litres.get(line), parts.gallons.get(line)
        known = [e for e in events if e.kind == meant]
        for event in known:
            has_volume = event.litres is not None or event.gallons is not None
            if percent is not None and event.percent is not None:
                continue
            if (litres or gallons) and has_volume:
                continue
            break
        else:
            event = _Event(line, meant)
            events.append(event)
        event.percent = percent if percent is not None else event.percent
        event.litres = litres if litres is not None else event.litres
        event.gallons = gallons if gallons is not None else event.gallons
        event.columns.append(parts.column)
        event.sizeless = event.sizeless or line in parts.sizeless
    return events


def _record(
    grid: Grid,
    desk: Desk,
    event: _Event,
    moment: Moment | None,
    volumes: Volumes,
) -> Exchange | None:
    """Make a record of an event; None when its size is open."""
    by_volume = _share_by_volume(grid, desk, event, volumes)
    if event.percent is not None and by_volume is not None:
        _agree(grid, desk, event, by_volume, volumes)
        by_volume = by_volume if event.percent is None else None
    fraction = event.percent / 100 if event.percent is not None else by_volume
    if event.litres is None and event.gallons is None and event.percent is None:
        fraction = None
    known = fraction is not None or event.litres is not None or event.sizeless
    if not known or moment is None:
        return None
    return Exchange(
        date=moment.day,
        time=moment.time,
        fraction=fraction,
        litres=event.litres,
        file=grid.file,
        line=event.line,
        kind=event.kind,
        note=_note(grid, event.line),
    )


def _note(grid: Grid, line: int) -> str:
    return " · ".join(t for c in grid.having("note") if (t := grid.text(c, line)))


def _share_by_volume(
    grid: Grid, desk: Desk, event: _Event, volumes: Volumes
) -> float | None:
    """Divide the volume exchanged by the tank's, in litres or in the same gallons."""
    pairs = (
        (event.litres, volumes.litres.get(event.line), "L"),
        (event.gallons, volumes.gallons.get(event.line), "gallons"),
    )
    for out, tank, unit in pairs:
        if out is None or tank is None:
            continue
        if out <= tank * (1 + 1e-9):
            return min(out / tank, 1.0)
        column = next(
            (c for c in event.columns if c.measure == "volume"), event.columns[-1]
        )
        raw = dict(grid.cells(column)).get(event.line, "")
        desk.tell(
            "error",
            "more than the whole tank",
            grid.place(column, event.line),
            seen=clip(raw),
            expected=f"{RULES['volume'].expected}; here at most {tank:.4g} {unit}",
            mend="correct the volume exchanged, its unit, or the tank's volume",
        )
        event.litres = event.gallons = None
    return None


def _agree(
    grid: Grid, desk: Desk, event: _Event, by_volume: float, volumes: Volumes
) -> None:
    """Ask when percent and volume differ by more than two points."""
    percent = event.percent or 0.0
    if abs(percent - 100 * by_volume) <= _AGREE_POINTS:
        return
    column = event.columns[0]
    raws = [dict(grid.cells(c)).get(event.line, "") for c in event.columns]
    tank = volumes.litres.get(event.line)
    whole = f" of {tank:.4g} L" if tank and event.litres is not None else ""
    answer = desk.ask(
        "share and volume disagree",
        grid.place(column, event.line),
        seen=f"{' and '.join(clip(r) for r in raws)}; the volume{whole} is "
        f"{100 * by_volume:.3g} %",
        expected="a share and a volume within 2 points of each other",
        mend="answer which holds, or correct the row or the tank's volume",
        choices=(
            Choice("share", "the percent holds", f"{percent:g} %"),
            Choice("volume", "the volume holds", f"{100 * by_volume:.3g} %"),
            LEAVE_OUT,
        ),
        touches=[*raws, f"{by_volume:.4f}"],
    )
    if answer == "share":
        event.litres = event.gallons = None
        return
    event.percent = None
    if answer != "volume":
        event.litres = event.gallons = None


def _drips(grid: Grid, desk: Desk, moments: Mapping[int, Moment]) -> list[Exchange]:
    """Read the drip column: a record wherever the drip changes."""
    column = grid.only("drip")
    out: list[Exchange] = []
    last: float | None = None
    for line, raw in grid.cells(column):
        flow = _flow(grid, column, desk, line, raw)
        moment = moments.get(line)
        if flow is None or moment is None or flow == last:
            continue
        last = flow
        out.append(
            Exchange(
                date=moment.day,
                time=moment.time,
                fraction=None,
                litres=None,
                file=grid.file,
                line=line,
                kind="drip change",
                drip_l_day=flow,
                note=_note(grid, line),
            )
        )
    return out


def _flow(
    grid: Grid, column: Column | None, desk: Desk, line: int, raw: str
) -> float | None:
    """Read one drip cell in L/day."""
    read = read_amount(raw, grid.style)
    if read is None or column is None:
        return None
    if isinstance(read, Amount):
        unit = read.unit or column.unit
        factor = unit.factor if unit and unit.measure == "flow" else None
        if isinstance(factor, float):
            return read.number * factor
    kind = getattr(read, "kind", "unknown unit")
    desk.tell(
        "error",
        str(kind),
        grid.place(column, line),
        seen=clip(raw),
        expected=RULES["drip"].expected,
        mend=RULES["drip"].mend,
    )
    return None


def _note_no_volume(
    grid: Grid, desk: Desk, columns: Iterable[Parts], lines: list[int]
) -> None:
    """Tell once that litres give no share without the tank's volume."""
    column = next((p.column for p in columns if p.litres), None)
    if lines and column is not None:
        desk.tell(
            "note",
            "volume not known",
            grid.place(column, lines[0]),
            seen=f"a volume exchanged, but no water volume of the tank; {some(lines)}",
            expected="the tank's water volume, to give the share exchanged",
            mend="write the volume into tank.toml, or give it with --volume",
            lines=lines,
        )
