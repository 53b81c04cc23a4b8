"""The way down from a high level."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np

from kit import style
from kit.catchup import CatchUp
from kit.plots import _parts as parts
from kit.rounding import Output

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["catchup_alt", "catchup_picture", "catchup_title"]


def catchup_title(found: CatchUp) -> str:
    """Say how long the way is, for the head of the picture.

    Parameters
    ----------
    found : CatchUp
        A way down.

    Returns
    -------
    str
        Such as ``"10 exchanges, 27 days"``.
    """
    count = len(found.turns)
    if count == 0:
        return "Nothing to catch up"
    if count == 1:
        return "One exchange"
    return f"{count} exchanges, {found.days:.0f} days"


def catchup_picture(
    found: CatchUp, *, ax: Axes | None = None, output: Output = "metric"
) -> Axes:
    """Draw the level down the exchanges, with its band and the target.

    Parameters
    ----------
    found : CatchUp
        The way down.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    trace = found.trace
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, output)
        parts.banded_line(ax, trace, "level expected")
        target = found.target_mg_l
        parts.goal_line(ax, target, f"your target {target:g} mg/L", below=True)
        days = [turn.day for turn in found.turns]
        ax.plot(
            days,
            np.zeros(len(days)),
            marker="|",
            ls="",
            ms=16,
            mew=2.2,
            color=style.EXCHANGE,
            label="exchange",
            clip_on=False,
        )
        top = max(float(np.max(trace.high)), found.target_mg_l)
        ax.set_ylim(0.0, 1.08 * top)
        end = float(trace.days[-1]) or 1.0
        ax.set_xlim(-0.01 * end, end)
        first = found.turns[0].date if found.turns else None
        since = "the first exchange" if first is None else parts.say_day(first)
        ax.set_xlabel(f"days from {since}")
        ax.set_title(catchup_title(found))
        parts.legend_below(ax)
    return ax


def catchup_alt(found: CatchUp) -> str:
    """Say what `catchup_picture` shows.

    Parameters
    ----------
    found : CatchUp
        As drawn.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    start = parts.short(found.start_mg_l.estimate)
    if not found.turns:
        return (
            f"Line picture of nitrate: it stands at {start} mg/L, at or under the "
            f"target of {found.target_mg_l:g} mg/L, and no exchange is drawn."
        )
    last = found.turns[-1]
    first: dt.date | None = found.turns[0].date
    since = parts.from_day(first)
    return (
        f"Staircase picture of nitrate in mg/L as NO3{since}: {len(found.turns)} "
        f"exchanges, {found.caps.interval_days:g} days apart, lead from {start} down "
        f"to {parts.short(last.after.estimate)} mg/L, with a small rise between each. "
        f"A dashed line marks the target at {found.target_mg_l:g} mg/L."
    )
