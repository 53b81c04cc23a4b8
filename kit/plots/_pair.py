"""Two habits on one axis: a full line and a broken one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kit import style
from kit.plots import _parts as parts
from kit.rounding import Output, plain
from kit.schedule.ways import Cycle

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["Side", "pair_alt", "pair_picture"]


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two habits.

    Parameters
    ----------
    name : str
        A few words for the legend.
    cycle : Cycle or None
        Where it leads; None where nothing holds the level.
    """

    name: str
    cycle: Cycle | None


def pair_picture(
    first: Side,
    second: Side,
    days: float,
    *,
    source_mg_l: float = 0.0,
    ax: Axes | None = None,
    output: Output = "metric",
) -> Axes:
    """Draw the long run of two habits over the same days.

    Parameters
    ----------
    first, second : Side
        Drawn as a full and as a broken line.
    days : float
        How many days to show. [day]
    source_mg_l : float, optional
        Nitrate of the new water, drawn as a thin line. [mg/L]
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    looks = (("-", style.LEVEL), ((0, (4, 2)), style.READING))
    top = max(source_mg_l, 5.0)
    with parts.drawing_on(ax) as ax:
        for side, (dash, colour) in zip((first, second), looks, strict=True):
            if side.cycle is None:
                ax.plot([], [], ls=dash, color=colour, label=f"{side.name}: climbs on")
                continue
            when, level = side.cycle.stretch(days)
            ax.plot(when, level, ls=dash, color=colour, label=side.name)
            top = max(top, side.cycle.peak_mg_l)
        parts.level_axis(ax, output)
        ax.set_xlim(0.0, days)
        ax.set_ylim(0.0, 1.12 * top)
        ax.set_xlabel("days, in the long run")
        if source_mg_l > 0.0:
            ax.axhline(source_mg_l, color=style.SOFT, ls=":", lw=1.6, label="new water")
        ax.set_title(_title(first, second), loc="left")
        ax.legend(
            loc="upper left",
            bbox_to_anchor=(0.0, -0.2),
            ncols=1,
            handlelength=2.2,
            borderaxespad=0.0,
        )
    return ax


def _span(side: Side) -> str:
    """Write the levels between which a side moves."""
    if side.cycle is None:
        return "without end"
    low, high = _short(side.cycle.trough_mg_l), _short(side.cycle.peak_mg_l)
    return high if low == high else f"{low} to {high}"


def _short(level_mg_l: float) -> str:
    return plain(round(level_mg_l, 0 if level_mg_l >= 10 else 1))


def _title(first: Side, second: Side) -> str:
    return f"{_span(first)} against {_span(second)} {parts.UNIT}"


def pair_alt(first: Side, second: Side, days: float) -> str:
    """Say what `pair_picture` shows.

    Parameters
    ----------
    first, second : Side
        As drawn.
    days : float
        How many days are shown. [day]

    Returns
    -------
    str
        A sentence with the numbers.
    """
    said = [
        f"{side.name}, {_span(side)}" + (f" {parts.UNIT}" if side.cycle else "")
        for side in (first, second)
    ]
    return (
        f"Two lines of nitrate over {days:.0f} days in the long run. Full line: "
        f"{said[0]}. Broken line: {said[1]}."
    )
