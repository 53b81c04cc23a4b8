"""Single lines: a prefilter that clogs, waste that turns, a hose at work."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from kit import style
from kit.plots import _parts as parts
from kit.plumbing import Curve, say_minutes
from kit.rounding import Output, format_volume, plain, round_for_people

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "clog_alt",
    "clog_picture",
    "hose_alt",
    "hose_picture",
    "rot_alt",
    "rot_picture",
]


def _line(ax: Axes, curve: Curve, title: str, below: str, beside: str) -> None:
    """Draw one line in the kit's look, from nothing up."""
    with style.drawing():
        ax.plot(curve.x, curve.y, color=style.LEVEL)
        ax.set_xlim(0.0, 1.03 * curve.x[-1] or 1.0)
        ax.set_ylim(0.0, 1.08 * max(max(curve.y), 1e-9))
        ax.set_xlabel(below)
        ax.set_ylabel(beside)
        parts.grid_only(ax, "y")
        ax.set_title(title, loc="left")


def _point(ax: Axes, x: float, y: float, words: str, *, below: bool = False) -> None:
    """Mark one point of the line with its words, turned to the side with room."""
    with style.drawing():
        ax.plot([x], [y], "o", color=style.READING, ms=8)
        late = x > 0.5 * ax.get_xlim()[1]
        ax.annotate(
            words,
            (x, y),
            xytext=(-9 if late else 9, -9 if below else 9),
            textcoords="offset points",
            ha="right" if late else "left",
            va="top" if below else "bottom",
            color=style.INK,
            bbox=parts.paper(),
        )


def clog_picture(
    curve: Curve, part: float, day: float, *, ax: Axes | None = None
) -> Axes:
    """Draw how the flow of a prefilter falls after a cleaning.

    Parameters
    ----------
    curve : Curve
        From `kit.plumbing.clog_curve`.
    part : float
        Part of the clean flow to act at. [-]
    day : float
        When it is reached; ``math.inf`` for never. [day]
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ax = parts.new_axes() if ax is None else ax
    title = "Flow after a cleaning"
    _line(ax, curve, title, "days since the cleaning", "flow, % of that when clean")
    if day <= curve.x[-1]:
        at = plain(round_for_people(day, 0.1))
        _point(ax, day, 100.0 * part, f"{100.0 * part:.0f} % on day {at}")
    return ax


def clog_alt(curve: Curve, part: float, day: float) -> str:
    """Say what `clog_picture` shows.

    Parameters
    ----------
    curve : Curve
        As drawn.
    part : float
        Part of the clean flow to act at. [-]
    day : float
        When it is reached. [day]

    Returns
    -------
    str
        Sentences with the numbers.
    """
    said = (
        f"A falling line: flow of the prefilter over {curve.x[-1]:.0f} days, from "
        f"100 % when clean to {curve.y[-1]:.0f} %."
    )
    if math.isfinite(day):
        said += f" It is at {100.0 * part:.0f} % on day {plain(round(day, 1))}."
    return said


def rot_picture(
    curve: Curve,
    now: tuple[float, float],
    then: tuple[float, float],
    *,
    ax: Axes | None = None,
) -> Axes:
    """Draw the share of trapped waste that turns, by the days between cleanings.

    Parameters
    ----------
    curve : Curve
        From `kit.plumbing.rot_curve`.
    now, then : tuple of float
        Days between cleanings [day] and share [-], at present and tried.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ax = parts.new_axes() if ax is None else ax
    title = "Trapped waste that turns before it leaves"
    _line(ax, curve, title, "days between cleanings", "turned to nitrate, %")
    ax.set_ylim(0.0, 100.0)
    for (days, share), name in ((now, "now"), (then, "tried")):
        _point(ax, days, 100.0 * share, f"{name}: {100.0 * share:.0f} %", below=True)
    return ax


def rot_alt(curve: Curve, now: tuple[float, float], then: tuple[float, float]) -> str:
    """Say what `rot_picture` shows.

    Parameters
    ----------
    curve : Curve
        As drawn.
    now, then : tuple of float
        Days between cleanings [day] and share [-].

    Returns
    -------
    str
        Sentences with the numbers.
    """
    return (
        f"A rising line that bends over: share of trapped waste turned to nitrate, for "
        f"0 to {curve.x[-1]:.0f} days between cleanings. Now, {plain(now[0])} days: "
        f"{100.0 * now[1]:.0f} %. Tried, {plain(then[0])} days: "
        f"{100.0 * then[1]:.0f} %."
    )


def hose_picture(
    curve: Curve, litres: float, *, ax: Axes | None = None, output: Output = "metric"
) -> Axes:
    """Draw the water that a hose has moved, by time.

    Parameters
    ----------
    curve : Curve
        From `kit.plumbing.hose_curve`, with times that end.
    litres : float
        Water to move. [L]
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    output : {"metric", "us", "imperial"}, optional
        Whose units the words are in.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ax = parts.new_axes() if ax is None else ax
    _line(ax, curve, "Water moved by the hose", "minutes", "water moved, %")
    words = f"{format_volume(litres, output)} in {say_minutes(curve.x[-1])}"
    ax.set_ylim(0.0, 1.18 * curve.y[-1])
    _point(ax, curve.x[-1], curve.y[-1], words)
    return ax


def hose_alt(curve: Curve, litres: float, output: Output = "metric") -> str:
    """Say what `hose_picture` shows.

    Parameters
    ----------
    curve : Curve
        As drawn.
    litres : float
        Water to move. [L]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        A sentence with the numbers.
    """
    return (
        "A rising line that bends over slightly: water moved by the hose, all "
        f"{format_volume(litres, output)} after {say_minutes(curve.x[-1])}."
    )
