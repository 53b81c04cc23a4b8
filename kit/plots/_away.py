"""The level before, during and after a time away."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np

from kit import style
from kit.away import Homecoming
from kit.plots import _parts as parts
from kit.rounding import Output

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["away_alt", "away_picture", "away_title"]

_AWAY = "#eef1f3"


def away_title(found: Homecoming) -> str:
    """Say what the keeper comes back to, for the head of the picture.

    Parameters
    ----------
    found : Homecoming
        A time away.

    Returns
    -------
    str
        Such as ``"16 days away: back to 39 mg/L"``.
    """
    level = parts.short(found.home_mg_l.estimate)
    return f"{found.trip.days:g} days away: back to {level} {parts.UNIT}"


def away_picture(
    found: Homecoming,
    *,
    ax: Axes | None = None,
    start: dt.date | None = None,
    output: Output = "metric",
) -> Axes:
    """Draw the level as arranged, without the exchanges, and with a spilled feeder.

    Parameters
    ----------
    found : Homecoming
        The time away.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    start : datetime.date, optional
        Day zero.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    trip, trace = found.trip, found.trace
    leave, back = trip.leave_in_days, trip.leave_in_days + trip.days
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, output)
        ax.axvspan(leave, back, color=_AWAY, lw=0, zorder=0)
        parts.banded_line(ax, trace, "as arranged")
        tops = [float(np.max(trace.high)), *_others(ax, found)]
        if found.ceiling_mg_l is not None:
            parts.ceiling_line(ax, found.ceiling_mg_l)
            tops.append(found.ceiling_mg_l)
        ax.set_ylim(0.0, 1.18 * max(tops))
        ax.set_xlim(0.0, float(trace.days[-1]))
        ax.annotate(
            "away",
            ((leave + back) / 2.0, 0.02),
            xycoords=("data", "axes fraction"),
            ha="center",
            va="bottom",
            color=style.INK,
        )
        ax.set_xlabel(parts.days_from(start))
        ax.set_title(away_title(found))
        parts.legend_below(ax, 2)
    return ax


def _others(ax: Axes, found: Homecoming) -> list[float]:
    """Draw what it would be otherwise; give the height of each line."""
    trip, tops = found.trip, []
    if trip.exchange_before or trip.exchange_after:
        usual = found.as_usual
        parts.other_line(ax, usual, _without(found))
        tops.append(float(np.max(usual.level)))
    if found.spilled is not None:
        ax.plot(
            found.spilled.days,
            found.spilled.level,
            color=style.INK,
            ls=(0, (1, 1.5)),
            lw=1.8,
            label="feeder spills",
        )
        tops.append(float(np.max(found.spilled.level)))
    return tops


def _without(found: Homecoming) -> str:
    """Name the line that leaves the trip's own exchanges out."""
    both = found.trip.exchange_before and found.trip.exchange_after
    return "without the two exchanges" if both else "without that exchange"


def away_alt(found: Homecoming, *, start: dt.date | None = None) -> str:
    """Say what `away_picture` shows.

    Parameters
    ----------
    found : Homecoming
        As drawn.
    start : datetime.date, optional
        Day zero.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    since = parts.from_day(start)
    trip = found.trip
    said = [
        f"Line picture of nitrate in mg/L as NO3{since}, with the days away shaded, "
        f"day {trip.leave_in_days:.0f} to day {trip.leave_in_days + trip.days:.0f}. It "
        f"leaves at {parts.short(found.leaving_mg_l.estimate)} and comes back to "
        f"{parts.short(found.home_mg_l.estimate)} mg/L; the highest of all is "
        f"{parts.short(found.peak_mg_l.estimate)}."
    ]
    if trip.exchange_before or trip.exchange_after:
        usual = parts.short(found.as_usual.level.max())
        said.append(f"A dashed line {_without(found)} climbs as high as {usual}.")
    if found.spilled_mg_l is not None:
        spilled = parts.short(found.spilled_mg_l.estimate)
        said.append(f"A dotted line with a spilled feeder comes back to {spilled}.")
    if found.ceiling_mg_l is not None:
        said.append(f"A dashed line marks the ceiling at {found.ceiling_mg_l:g} mg/L.")
    return " ".join(said)
