"""What several columns say of one exchange: they must agree, or it is asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Final

from kit.findings import Choice, clip
from kit.intake.cells import RULES
from kit.intake.columns import Column
from kit.intake.desk import LEAVE_OUT, Desk, some
from kit.intake.gallons import litres_factor
from kit.intake.grid import Grid
from kit.intake.parts import Parts
from kit.intake.volumes import Volumes
from kit.logbook import ExchangeKind

__all__ = ["Event", "Size", "events_of", "settle_sizes", "share_of"]

_AGREE_POINTS: Final = 2.0
_AGREE_RATIO: Final = 1.05  # two volumes of a tank whose own volume is not known
_EACH: Final = Choice("each", "each is an exchange of its own")


@dataclass(slots=True)
class Size:
    """What one column says of the size of an exchange.

    Parameters
    ----------
    column : Column
        Where it stands.
    raw : str
        Cell as written.
    percent, litres, gallons : float or None
        Share [%], volume [L], volume in gallons whose country is open [gallon].
    """

    column: Column
    raw: str
    percent: float | None = None
    litres: float | None = None
    gallons: float | None = None

    @property
    def is_volume(self) -> bool:
        """Whether it is a volume and not a share."""
        return self.litres is not None or self.gallons is not None


@dataclass(slots=True)
class Event:
    """One exchange on one line, before it becomes a record.

    Parameters
    ----------
    line : int
        Editor line.
    kind : {"batch", "drip change", "backwash"}
        What the row says it was.
    sizes : list of Size
        What the columns say; empty when none of them gives a size.
    sizeless : bool
        The keeper answered that the size is not known.
    rough : bool
        A size is marked as approximate.
    """

    line: int
    kind: ExchangeKind
    sizes: list[Size] = field(default_factory=list)
    sizeless: bool = False
    rough: bool = False

    @property
    def percent(self) -> float | None:
        """The share said first, in %."""
        return next((s.percent for s in self.sizes if s.percent is not None), None)

    @property
    def litres(self) -> float | None:
        """The volume said first, in L."""
        return next((s.litres for s in self.sizes if s.litres is not None), None)

    @property
    def gallons(self) -> float | None:
        """The volume said first in gallons whose country is open."""
        return next((s.gallons for s in self.sizes if s.gallons is not None), None)


def events_of(columns: Iterable[Parts], line: int, kind: ExchangeKind) -> list[Event]:
    """Gather what the columns say of one line: one event for each kind.

    Parameters
    ----------
    columns : iterable of Parts
        Exchange columns.
    line : int
        Editor line.
    kind : {"batch", "drip change", "backwash"}
        What the row says; a column of backwashes says so itself.

    Returns
    -------
    list of Event
        Empty when no column speaks of an exchange.
    """
    events: dict[ExchangeKind, Event] = {}
    for parts in columns:
        if not parts.speaks(line):
            continue
        meant: ExchangeKind = "backwash" if parts.column.kind == "backwash" else kind
        event = events.setdefault(meant, Event(line, meant))
        size = Size(
            parts.column,
            parts.raws.get(line, ""),
            parts.percent.get(line),
            parts.litres.get(line),
            parts.gallons.get(line),
        )
        if size.percent is not None or size.is_volume:
            event.sizes.append(size)
        event.sizeless = event.sizeless or line in parts.sizeless
        event.rough = event.rough or line in parts.rough
    return list(events.values())


def settle_sizes(
    grid: Grid, desk: Desk, events: Iterable[Event], volumes: Volumes
) -> list[Event]:
    """Make sure that all sizes of an event agree.

    Parameters
    ----------
    grid, desk
        Where the events stand, and where problems go.
    events : iterable of Event
        All events of a table.
    volumes : Volumes
        Water volume by line.

    Returns
    -------
    list of Event
        An event whose size is open has no sizes left.
    """
    out: list[Event] = []
    clashes: dict[tuple[Column, ...], list[Event]] = {}
    doubled: dict[tuple[Column, ...], list[Event]] = {}
    for event in events:
        event.sizes = [s for s in event.sizes if _fits(grid, desk, event, s, volumes)]
        columns = tuple(s.column for s in event.sizes)
        alike = all(
            _agree(a, b, event.line, volumes) for a, b in combinations(event.sizes, 2)
        )
        pair = len(event.sizes) == 2 and len({s.is_volume for s in event.sizes}) == 2
        if alike:
            out.append(event)
            if len(event.sizes) > 1 and not pair:
                doubled.setdefault(columns, []).append(event)
        elif pair:
            out.append(_share_or_volume(grid, desk, event, volumes))
        else:
            clashes.setdefault(columns, []).append(event)
    for group in doubled.values():
        _note_doubled(grid, desk, group)
    for group in clashes.values():
        out += _which_column(grid, desk, group)
    return sorted(out, key=lambda e: e.line)


def _fits(grid: Grid, desk: Desk, event: Event, size: Size, volumes: Volumes) -> bool:
    """Leave out a volume larger than the tank's, and name it."""
    for out, tank, unit in (
        (size.litres, volumes.litres.get(event.line), "L"),
        (size.gallons, volumes.gallons.get(event.line), "gallons"),
    ):
        if out is None or tank is None or out <= tank * (1 + 1e-9):
            continue
        desk.tell(
            "error",
            "more than the whole tank",
            grid.place(size.column, event.line),
            seen=clip(size.raw),
            expected=f"{RULES['volume'].expected}; here at most {tank:.4g} {unit}",
            mend="correct the volume exchanged, its unit, or the tank's volume",
        )
        return False
    return True


def share_of(size: Size, line: int, volumes: Volumes) -> float | None:
    """Give the share that one size makes of the tank, where that is known.

    Parameters
    ----------
    size : Size
        A share or a volume.
    line : int
        Editor line.
    volumes : Volumes
        Water volume by line.

    Returns
    -------
    float or None
        Share. [%]
    """
    if size.percent is not None:
        return size.percent
    pairs = (
        (size.litres, volumes.litres.get(line)),
        (size.gallons, volumes.gallons.get(line)),
    )
    return next((100 * a / b for a, b in pairs if a is not None and b), None)


def _agree(one: Size, other: Size, line: int, volumes: Volumes) -> bool:
    """Tell whether two sizes are the same but for rounding.

    Within 2 points, and for small shares also within a factor of two.
    """
    first, second = share_of(one, line, volumes), share_of(other, line, volumes)
    if first is not None and second is not None:
        near = abs(first - second) <= _AGREE_POINTS
        return near and max(first, second) <= 2 * min(first, second)
    if one.is_volume and other.is_volume:
        return any(
            1 / _AGREE_RATIO <= a / b <= _AGREE_RATIO
            for a in _litres_possible(one)
            for b in _litres_possible(other)
        )
    return True


def _litres_possible(size: Size) -> list[float]:
    """Give the litres of a volume; both where the country of the gallon is open."""
    if size.litres is not None:
        return [size.litres]
    gallons = size.gallons or 0.0
    return [
        gallons * (litres_factor(f"{country} gallon") or 0.0)
        for country in ("US", "imperial")
    ]


def _share_or_volume(grid: Grid, desk: Desk, event: Event, volumes: Volumes) -> Event:
    """Ask when percent and volume differ by more than two points."""
    percent = event.percent or 0.0
    volume = next(s for s in event.sizes if s.is_volume)
    by_volume = share_of(volume, event.line, volumes) or 0.0
    tank = volumes.litres.get(event.line)
    whole = f" of {tank:.4g} L" if tank and event.litres is not None else ""
    raws = [s.raw for s in event.sizes]
    answer = desk.ask(
        "share and volume disagree",
        grid.place(event.sizes[0].column, event.line),
        seen=f"{' and '.join(clip(r) for r in raws)}; the volume{whole} is "
        f"{by_volume:.3g} %",
        expected="a share and a volume within 2 points of each other",
        mend="answer which holds, or correct the row or the tank's volume",
        choices=(
            Choice("share", "the percent holds", f"{percent:g} %"),
            Choice("volume", "the volume holds", f"{by_volume:.3g} %"),
            LEAVE_OUT,
        ),
        touches=[*raws, f"{by_volume / 100:.4f}"],
    )
    kept = {
        "share": [s for s in event.sizes if not s.is_volume],
        "volume": [volume],
    }
    return replace(event, sizes=kept.get(answer or "", []))


def _note_doubled(grid: Grid, desk: Desk, events: Sequence[Event]) -> None:
    first = events[0]
    lines = [e.line for e in events]
    desk.tell(
        "note",
        "one exchange in two columns",
        grid.place(first.sizes[1].column, first.line),
        seen=" beside ".join(clip(s.raw) for s in first.sizes),
        expected="each exchange once",
        mend=f"the same but for rounding, used once: {some(lines)}",
        lines=lines,
    )


def _which_column(grid: Grid, desk: Desk, events: Sequence[Event]) -> list[Event]:
    """Ask once which of several columns holds where they disagree."""
    first = events[0]
    lines = [e.line for e in events]
    answer = desk.ask(
        "sizes of one exchange disagree",
        grid.place(first.sizes[0].column, first.line),
        seen=f"{' and '.join(clip(s.raw) for s in first.sizes)} on {some(lines)}",
        expected="one size for each exchange, or sizes that agree",
        mend="answer which column holds, or correct the rows",
        choices=(
            *(
                Choice(f"column {s.column.letter}", f"use {s.column.header}", s.raw)
                for s in first.sizes
            ),
            _EACH,
            LEAVE_OUT,
        ),
        touches=[s.raw for e in events for s in e.sizes],
        lines=lines,
    )
    if answer == _EACH.answer:
        return [replace(e, sizes=[s]) for e in events for s in e.sizes]
    return [
        replace(e, sizes=[s for s in e.sizes if answer == f"column {s.column.letter}"])
        for e in events
    ]
