"""Rows of exchange cells to records; whatever happened stays known as happened."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from kit.celltext import is_blank, words
from kit.findings import clip
from kit.intake.cells import RULES
from kit.intake.conflicts import Verdict, verdicts_of
from kit.intake.datecolumn import Moment
from kit.intake.desk import Desk, some
from kit.intake.drips import DRIP_UNKNOWN, drips_of, turns_of
from kit.intake.grid import Grid
from kit.intake.lost import may_hold_exchange, names_exchange
from kit.intake.parts import Parts, ask_size, parts_of
from kit.intake.sizes import Event, events_of, settle_sizes, share_of
from kit.intake.volumes import Volumes
from kit.logbook import Exchange, ExchangeKind

__all__ = ["Exchanges", "exchanges_of"]

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


@dataclass(frozen=True, slots=True)
class _Scene:
    """What every step of one table needs."""

    grid: Grid
    desk: Desk
    moments: Mapping[int, Moment]
    out: Exchanges

    def unsized(self, line: int) -> None:
        """Keep an exchange of unknown size by its day, or name it as lost."""
        moment = self.moments.get(line)
        if moment is None:
            self.desk.lose(self.grid.file, line)
        else:
            self.out.unknown.add(moment.day)


def exchanges_of(
    grid: Grid, desk: Desk, moments: Mapping[int, Moment], volumes: Volumes
) -> Exchanges:
    """Read all exchange columns of a table.

    Parameters
    ----------
    grid : Grid
        The table.
    desk : Desk
        Settings and problems; takes the places of exchanges without a day.
    moments : mapping of int to Moment
        Day and time by line; lines without one are checked and left out.
    volumes : Volumes
        Water volume by line.

    Returns
    -------
    Exchanges
        Records in the order of the lines.
    """
    scene = _Scene(grid, desk, moments, Exchanges())
    kinds, top_ups = _kinds(grid, desk)
    columns = [parts_of(grid, c, desk) for c in grid.having("exchange")]
    drips = drips_of(grid, desk)
    lines = [n for n in grid.rows if n not in top_ups]
    _without_size(scene, columns, kinds, lines)
    sized = {n for n in lines if any(p.speaks(n) for p in columns)}
    verdicts = verdicts_of(grid, desk, kinds, sized, drips)
    for line, verdict in verdicts.items():
        _without_verdict(scene, kinds, line, verdict, sized=line in sized)
    found = [
        event
        for line in lines
        if verdicts.get(line, "exchange") not in {"open", "drip"}
        for event in events_of(columns, line, _kind(kinds, verdicts, line))
    ]
    for event in settle_sizes(grid, desk, found, volumes):
        _keep(scene, event, volumes)
    _keep_drips(scene, drips, verdicts)
    scene.out.records.sort(key=lambda e: e.line)
    return scene.out


def _kind(
    kinds: Mapping[int, ExchangeKind], verdicts: Mapping[int, Verdict], line: int
) -> ExchangeKind:
    """Give the kind of the exchange on a line; a change of the drip is none."""
    kind = kinds.get(line, "batch")
    return "batch" if kind == "drip change" and line in verdicts else kind


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
            kinds[line] = "batch"
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


def _without_size(
    scene: _Scene,
    columns: Sequence[Parts],
    kinds: Mapping[int, ExchangeKind],
    lines: Sequence[int],
) -> None:
    """Find rows that say an exchange happened and give no size; ask for it."""
    grid = scene.grid
    held = [c for c in grid.columns if c.role == "held" and may_hold_exchange(c)]
    drip = [c for c in grid.columns if c.role in {"drip", "held"} and c not in held]
    silent: list[int] = []
    for line in lines:
        if any(p.speaks(line) for p in columns):
            continue
        if any(names_exchange(grid, c, line) for c in held):
            scene.unsized(line)
        elif (
            _is_exchange_row(grid, kinds, line)
            and not _filled(grid, line, [p.column for p in columns])
            and not _filled(grid, line, [c for c in drip if c.role == "drip"])
        ):
            silent.append(line)
    _drip_missing(scene, [n for n in silent if kinds.get(n) == "drip change"])
    silent = [n for n in silent if kinds.get(n) != "drip change"]
    if columns and silent:
        ask_size(grid, columns[0], scene.desk, silent)
    else:
        for line in silent:
            scene.unsized(line)


def _without_verdict(
    scene: _Scene,
    kinds: Mapping[int, ExchangeKind],
    line: int,
    verdict: Verdict,
    *,
    sized: bool,
) -> None:
    """Keep what is open, or has no size, of a row that speaks of two things."""
    drip_row = kinds.get(line) == "drip change"
    happened = sized or not drip_row
    if (verdict == "open" and happened) or (verdict == "exchange" and not sized):
        scene.unsized(line)
    if verdict == "open" and drip_row:
        scene.desk.lose(scene.grid.file, line, DRIP_UNKNOWN)


def _is_exchange_row(grid: Grid, kinds: Mapping[int, ExchangeKind], line: int) -> bool:
    if line in kinds:
        return True
    return grid.kind == "exchanges" and any(not is_blank(c) for c in grid.rows[line])


def _filled(grid: Grid, line: int, columns: Sequence[object]) -> bool:
    cells = (c for c in grid.columns if c in columns)
    return any(not is_blank(grid.text(c, line)) for c in cells)


def _drip_missing(scene: _Scene, lines: Collection[int]) -> None:
    """Name changes of the drip that do not say to what."""
    grid = scene.grid
    column = grid.only("drip") or grid.only("exchange kind")
    for line in lines:
        scene.desk.lose(grid.file, line, DRIP_UNKNOWN)
        scene.desk.tell(
            "error",
            "drip missing",
            grid.place(column, line),
            seen=f"{clip(grid.text(grid.only('exchange kind'), line))} without a drip",
            expected=RULES["drip"].expected,
            mend=RULES["drip"].mend,
        )


def _keep(scene: _Scene, event: Event, volumes: Volumes) -> None:
    """Make a record of an event, or keep its day alone while its size is open."""
    moment = scene.moments.get(event.line)
    if moment is None or not (event.sizes or event.sizeless):
        scene.unsized(event.line)
        return
    shares = (share_of(s, event.line, volumes) for s in event.sizes)
    by_volume = next((s for s in shares if s is not None), None)
    percent = event.percent if event.percent is not None else by_volume
    fraction = None if percent is None else min(percent / 100, 1.0)
    if fraction is None and event.litres is None and not event.sizeless:
        scene.unsized(event.line)
        return
    scene.out.records.append(
        Exchange(
            date=moment.day,
            time=moment.time,
            fraction=fraction,
            litres=event.litres,
            file=scene.grid.file,
            line=event.line,
            kind=event.kind,
            note=_note(scene.grid, event.line),
            rough=event.rough,
        )
    )


def _note(grid: Grid, line: int) -> str:
    return " · ".join(t for c in grid.having("note") if (t := grid.text(c, line)))


def _keep_drips(
    scene: _Scene, drips: Mapping[int, float | None], verdicts: Mapping[int, Verdict]
) -> None:
    """Make a record wherever the drip changes; one that is not known is lost."""
    used = {n: f for n, f in drips.items() if verdicts.get(n) != "exchange"}
    used |= {n: None for n in drips if verdicts.get(n) == "open"}
    for line, flow in turns_of(used).items():
        moment = scene.moments.get(line)
        if moment is None or flow is None:
            scene.desk.lose(scene.grid.file, line, DRIP_UNKNOWN)
            continue
        scene.out.records.append(
            Exchange(
                date=moment.day,
                time=moment.time,
                fraction=None,
                litres=None,
                file=scene.grid.file,
                line=line,
                kind="drip change",
                drip_l_day=flow,
                note=_note(scene.grid, line),
            )
        )
