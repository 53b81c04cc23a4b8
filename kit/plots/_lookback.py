"""What was foretold on earlier days, beside what was read; how soon a change shows."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from kit import style
from kit.ahead import Foretold, Power, Tally
from kit.plots import _parts as parts
from kit.rounding import plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["lookback_alt", "lookback_picture", "soon_alt", "soon_picture"]

_LINES: Final = (
    (style.LEVEL, "-", "o"),
    (style.READING, "--", "s"),
    (style.CEILING, ":", "^"),
)


def lookback_picture(rows: Sequence[Foretold], *, ax: Axes | None = None) -> Axes:
    """Draw each reading with the band foretold for it and the last reading's number.

    Parameters
    ----------
    rows : sequence of Foretold
        Of one horizon.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, "metric")
        when: Any = _spread_days(rows)
        top = _top(rows)
        bands = [r.kit.band_95 for r in rows]
        _bars(ax, when, bands, style.BAND, 7.0, "foretold, 95 in 100")
        _read(ax, when, rows, top)
        _numbers(ax, when, rows)
        ax.set_ylim(0.0, top)
        ax.set_title("What was foretold, and what was read")
        parts.date_axis(ax)
        parts.legend_below(ax, 2, handle=2.0, gap=2.0)
    return ax


def _read(ax: Axes, when: Any, rows: Sequence[Foretold], top: float) -> None:
    """Draw what was read, as the range it allows."""
    high = [min(r.high_mg_l, top) for r in rows]
    middle = [(r.low_mg_l + b) / 2 for r, b in zip(rows, high, strict=True)]
    ax.errorbar(
        when,
        middle,
        yerr=[b - m for b, m in zip(high, middle, strict=True)],
        fmt="none",
        ecolor=style.READING,
        elinewidth=1.6,
        capsize=3.2,
        capthick=1.8,
        label="read",
    )


def _numbers(ax: Axes, when: Any, rows: Sequence[Foretold]) -> None:
    """Draw the middles foretold, and the last reading's number."""
    kit, last = ([getattr(r, who).number_mg_l for r in rows] for who in ("kit", "last"))
    ax.plot(when, kit, "_", color=style.LEVEL, ms=13, mew=2.6, label="its middle")
    ax.plot(when, last, "x", color=style.INK, ms=6, mew=1.5, label="last reading")


def _bars(
    ax: Axes, when: Any, bands: Sequence[Any], color: str, width: float, name: str
) -> None:
    """Draw upright bars."""
    for x, band in zip(when, bands, strict=True):
        if band is not None:
            ax.plot(
                [x, x],
                list(band),
                color=color,
                lw=width,
                solid_capstyle="butt",
                label=name,
                zorder=1,
            )
            name = "_"


def _spread_days(rows: Sequence[Foretold]) -> list[dt.datetime]:
    """Moments of the readings; a second one of a day a little to the right."""
    seen: dict[dt.date, int] = {}
    out = []
    for row in rows:
        turn = seen.get(row.day, 0)
        seen[row.day] = turn + 1
        noon = dt.datetime.combine(row.day, dt.time(12))
        out.append(noon + dt.timedelta(days=3 * turn))
    return out


def _top(rows: Sequence[Foretold]) -> float:
    """Top of the picture: bands foretold and closed readings, and some air."""
    tops = [10.0]
    tops += [r.kit.band_95[1] for r in rows if r.kit.band_95 is not None]
    tops += [r.high_mg_l for r in rows if r.high_mg_l < float("inf")]
    return 1.06 * max(tops)


def lookback_alt(rows: Sequence[Foretold], tally: Tally) -> str:
    """Say what `lookback_picture` shows.

    Parameters
    ----------
    rows : sequence of Foretold
        As drawn.
    tally : Tally
        Of the same horizon.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    first, last = parts.say_day(rows[0].day), parts.say_day(rows[-1].day)
    ours, theirs = (
        plain(round(value, 1))
        for value in (tally.miss_last.ours, tally.miss_last.theirs)
    )
    return (
        f"Picture of {len(rows)} readings in {parts.UNIT} as NO3, {first} to {last}, "
        "each beside the band foretold for it. "
        f"{100 * tally.held_95:.0f} % lay in the 95 % bands; the middles missed "
        f"by {ours}, the last reading by {theirs} on average."
    )


def soon_picture(lines: Sequence[Sequence[Power]], *, ax: Axes | None = None) -> Axes:
    """Draw the chance of seeing a change against the weeks after it.

    Parameters
    ----------
    lines : sequence of sequence of Power
        One for each way of testing.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        for line, (color, dash, mark) in zip(lines, _LINES, strict=False):
            ax.plot(
                [p.weeks for p in line],
                [100.0 * p.chance for p in line],
                color=color,
                ls=dash,
                marker=mark,
                ms=7,
                clip_on=False,
                label=line[0].way.name,
            )
        ax.set_ylim(0.0, 100.0)
        ax.set_xlabel("weeks after the change")
        ax.set_ylabel("chance of seeing it, in 100")
        parts.grid_only(ax, "y")
        ax.set_title("How soon the change would be seen")
        parts.legend_below(ax, 1, handle=2.0, gap=2.0)
    return ax


def soon_alt(lines: Sequence[Sequence[Power]]) -> str:
    """Say what `soon_picture` shows.

    Parameters
    ----------
    lines : sequence of sequence of Power
        As drawn.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    said = [
        f"{line[0].way.name}: "
        + ", ".join(f"{100 * p.chance:.0f} at {plain(p.weeks)} weeks" for p in line)
        for line in lines
    ]
    return (
        "Line picture of the chance of seeing a change, in 100. "
        + "; ".join(said)
        + "."
    )
