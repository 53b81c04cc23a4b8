"""When something changed: evidence by day, the running sum, the shape of misfits."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import numpy as np

from kit import style
from kit.change import ChangeReport, Cusum, Finding, Profile, Shapes
from kit.plots import _parts as parts

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "CHANGE_SIZE_IN",
    "change_alt",
    "change_picture",
    "shape_alt",
    "shape_picture",
]

CHANGE_SIZE_IN = (6.4, 6.0)


def change_picture(report: ChangeReport, *, axes: tuple[Axes, Axes]) -> None:
    """Draw how well a step on each day agrees, over the running sum of misfits.

    Parameters
    ----------
    report : ChangeReport
        From `kit.change.report`.
    axes : tuple of matplotlib.axes.Axes
        Upper and lower place.
    """
    above, below = axes
    with style.drawing():
        if report.profile is not None:
            _by_day(above, report.profile, _step_of(report))
        if report.cusum is not None:
            _sum(below, report.cusum)
        if report.profile is not None and report.cusum is not None:
            ends = report.cusum.dates[0], report.cusum.dates[-1]
            for ax in axes:
                ax.set_xlim(*_moments(ends))
                parts.date_axis(ax)


def _step_of(report: ChangeReport) -> Finding | None:
    """The step that was found, if one was."""
    return next((f for f in report.findings if f.kind == "step"), None)


def _moments(days: tuple[dt.date, ...]) -> Any:
    return np.array(days, dtype="datetime64[D]").astype("datetime64[s]")


def _by_day(ax: Axes, profile: Profile, step: Finding | None) -> None:
    """Gain of a step by day, the line it has to pass, and the band of the day."""
    when = np.datetime64(profile.day0, "D") + profile.days.astype("timedelta64[D]")
    x: Any = when.astype("datetime64[s]")
    if step is not None:
        first, last = _moments((step.first, step.last + dt.timedelta(days=1)))
        ax.axvspan(first, last, color=style.BAND, lw=0, label="95 % band of the day")
    ax.plot(x, profile.gain, color=style.LEVEL, label="step on this day")
    ax.axhline(profile.limit, label="luck seldom passes", **parts.LIMIT)
    # Room above for the legend, so that it hides neither line.
    ax.set_ylim(0.0, 1.7 * max(float(profile.gain.max()), profile.limit))
    ax.grid(visible=False, axis="x")
    ax.set_ylabel("evidence for a step")
    ax.set_title("When a lasting change would have begun")
    _legend(ax, 1)


def _sum(ax: Axes, cusum: Cusum) -> None:
    """Running sum of misfits within its usual range."""
    x = _moments(cusum.dates)
    limit = cusum.limit
    ax.axhspan(-limit, limit, color=style.BAND, lw=0, label="usual range")
    ax.axhline(0.0, color=style.SOFT, lw=1.2)
    ax.plot(x, cusum.path, "-o", color=style.READING, ms=4, label="readings so far")
    top = 1.15 * max(limit, float(np.abs(cusum.path).max()))
    ax.set_ylim(-top, top)
    ax.grid(visible=False)
    ax.set_ylabel("misfits added up")
    ax.set_title("Running sum of the misfits under one rise")
    _legend(ax, 2)


def _legend(ax: Axes, columns: int) -> None:
    """Put a legend on white, so that the colour of a band shows."""
    ax.legend(
        loc="upper left",
        fontsize=10.5,
        ncols=columns,
        handlelength=1.4,
        frameon=True,
        facecolor=style.PAPER,
        edgecolor="none",
        framealpha=0.9,
    )


def change_alt(report: ChangeReport) -> str:
    """Say what `change_picture` shows.

    Parameters
    ----------
    report : ChangeReport
        From `kit.change.report`.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    out = []
    profile, cusum = report.profile, report.cusum
    if profile is not None:
        best = int(np.argmax(profile.gain))
        day = profile.day0 + dt.timedelta(days=int(profile.days[best]))
        passed = "passes" if profile.gain[best] > profile.limit else "stays under"
        out.append(
            "Upper picture: evidence for a lasting change by day. It is highest on "
            f"{parts.say_day(day)}, at {parts.short(float(profile.gain[best]))}, and "
            f"{passed} the line of {parts.short(profile.limit)} that luck alone seldom "
            "passes."
        )
    if cusum is not None:
        far = float(np.abs(cusum.path).max())
        place = int(np.argmax(np.abs(cusum.path)))
        inside = "leaves" if far > cusum.limit else "stays inside"
        out.append(
            "Lower picture: the running sum of the misfits under one rise. It is "
            f"farthest from zero on {parts.say_day(cusum.dates[place])} and {inside} "
            "the usual range."
        )
    return " ".join(out) or "An empty picture: the log cannot be searched."


def shape_picture(shapes: Shapes, *, ax: Axes) -> Axes:
    """Draw how far readings lie off, with the shapes of a change and of a slip.

    Parameters
    ----------
    shapes : Shapes
        From `kit.change.report`.
    ax : matplotlib.axes.Axes
        Where to draw.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with style.drawing():
        x = _moments(shapes.dates)
        bottom, top = _reach(shapes)
        low = np.clip(shapes.low, bottom, top)
        high = np.clip(shapes.high, bottom, top)
        wide = high - low > 0.02 * (top - bottom)
        ax.axhline(0.0, color=style.SOFT, lw=1.2)
        ax.vlines(
            x[wide], low[wide], high[wide], color=style.READING, lw=1.3, label="reading"
        )
        if not wide.all():
            ax.plot(
                x[~wide],
                (low[~wide] + high[~wide]) / 2.0,
                "o",
                color=style.READING,
                ms=5,
                label="reading" if not wide.any() else None,
            )
        found, other = ("a lasting change", "a slip in the log")
        if not shapes.lasting:
            found, other = other, found
        ax.plot(x, shapes.found, color=style.LEVEL, label=f"found: {found}")
        if shapes.other is not None:
            name = f"for comparison: {other}"
            ax.plot(x, shapes.other, color=style.MARK, ls="--", lw=1.8, label=name)
        ax.set_ylim(bottom, top)
        ax.grid(visible=False, axis="x")
        ax.set_ylabel(f"off by, {parts.UNIT}")
        ax.set_title("What the log without the finding leaves over")
        parts.date_axis(ax)
        parts.legend_below(ax)
    return ax


def _reach(shapes: Shapes) -> tuple[float, float]:
    """Ends of the picture: the shapes in full, most of the readings."""
    drawn = [shapes.found] if shapes.other is None else [shapes.found, shapes.other]
    closed = shapes.high[np.isfinite(shapes.high)]
    ends = np.concatenate([*drawn, [-1.0, 1.0]])
    low = min(float(ends.min()), float(np.quantile(shapes.low, 0.1)))
    high = float(ends.max())
    if len(closed):
        high = max(high, float(np.quantile(closed, 0.9)))
    return 1.1 * low, 1.1 * high


def shape_alt(shapes: Shapes) -> str:
    """Say what `shape_picture` shows.

    Parameters
    ----------
    shapes : Shapes
        From `kit.change.report`.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    far = int(np.argmax(np.abs(shapes.found)))
    side = "above" if shapes.found[far] > 0 else "below"
    sort = "a lasting change" if shapes.lasting else "an exchange of another size"
    return (
        f"How far {len(shapes.dates)} readings lie from the level that the log gives "
        f"without the finding, as upright bars, with the shape of {sort}: farthest "
        f"{side} zero, by {parts.short(abs(float(shapes.found[far])))} {parts.UNIT}, "
        f"on {parts.say_day(shapes.dates[far])}. A slip dies away with each exchange; "
        "a lasting change grows until it levels off."
    )
