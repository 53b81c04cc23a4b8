"""The readings and the level fitted to them."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import numpy as np

from kit import style
from kit.fit import Curve, FitResult, FittedTest
from kit.plots import _parts as parts
from kit.rounding import Output, say_band

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["fit_alt", "fit_picture", "fit_title"]


def fit_picture(
    result: FitResult,
    *,
    ax: Axes | None = None,
    ceiling_mg_l: float | None = None,
    output: Output = "metric",
) -> Axes:
    """Draw the readings with the fitted level, its band and the exchanges.

    Parameters
    ----------
    result : FitResult
        A fit.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    ceiling_mg_l : float, optional
        The keeper's ceiling, as NO3. [mg/L]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, output)
        _level(ax, result)
        _readings(ax, result.tests)
        ax.set_ylim(0.0, _top(result, ceiling_mg_l))
        if ceiling_mg_l is not None:
            parts.ceiling_line(ax, ceiling_mg_l)
        ax.set_title(fit_title(result))
        parts.date_axis(ax)
        parts.legend_below(ax)
    return ax


def _level(ax: Axes, result: FitResult) -> None:
    """Draw the fitted level over its band, with ticks at the exchanges."""
    curve = result.curve
    if curve is None:
        return
    when = _dates(curve.day0, curve.days)
    ax.fill_between(
        when, curve.low, curve.high, color=style.BAND, lw=0, label="95 % band"
    )
    ax.plot(when, curve.level, color=style.LEVEL, label="fitted level")
    jumps = _dates(curve.day0, _jump_days(curve))
    if len(jumps):
        ax.plot(
            jumps,
            np.full(len(jumps), 0.02),
            "|",
            transform=ax.get_xaxis_transform(),
            color=style.EXCHANGE,
            ms=10,
            mew=1.6,
            label="exchange",
        )


def _readings(ax: Axes, tests: tuple[FittedTest, ...]) -> None:
    """Draw each reading as the range it allows: a bar, a point, or an open end."""
    ranges = [t for t in tests if t.high_mg_l is not None and t.high_mg_l > t.low_mg_l]
    points = [t for t in tests if t.high_mg_l == t.low_mg_l]
    opens = [t for t in tests if t.high_mg_l is None]
    if ranges:
        when: Any = [parts.moment(t) for t in ranges]
        low = np.array([t.low_mg_l for t in ranges])
        high = np.array([float(t.high_mg_l or 0.0) for t in ranges])
        middle = (low + high) / 2.0
        ax.errorbar(
            when,
            middle,
            yerr=high - middle,
            fmt="none",
            ecolor=style.READING,
            elinewidth=1.3,
            capsize=3.2,
            capthick=1.8,
            label="reading",
        )
    if points:
        when = [parts.moment(t) for t in points]
        ax.plot(
            when,
            [t.low_mg_l for t in points],
            "o",
            color=style.READING,
            ms=5.5,
            mec=style.PAPER,
            label="reading",
        )
    if opens:
        when = [parts.moment(t) for t in opens]
        bottom = [t.low_mg_l for t in opens]
        ax.plot(when, bottom, "^", color=style.READING, ms=7, label="this or more")


def _jump_days(curve: Curve) -> Any:
    """Days since the start at which the level jumps, each of them once.

    The first and last moment of a curve may stand twice without an exchange, and
    three times with one; only a pair whose level differs is a jump.
    """
    doubled = np.diff(curve.days) == 0.0
    moved = np.abs(np.diff(curve.level)) > 1e-9
    return np.unique(curve.days[1:][doubled & moved])


def _dates(day0: dt.date, days: Any) -> Any:
    """Moments of a curve, as the picture's axis wants them."""
    seconds = np.round(np.asarray(days) * 86400.0).astype("timedelta64[s]")
    return np.datetime64(day0, "s") + seconds


def _top(result: FitResult, ceiling_mg_l: float | None) -> float:
    """Top of the picture: everything that has an upper end, and some air."""
    tops = [ceiling_mg_l or 0.0, 10.0]
    tops += [t.low_mg_l if t.high_mg_l is None else t.high_mg_l for t in result.tests]
    if result.curve is not None:
        tops.append(float(np.nanmax(result.curve.level)))
    return 1.12 * max(tops)


def fit_title(result: FitResult) -> str:
    """Say the finding in a few words, for the head of the picture.

    Parameters
    ----------
    result : FitResult
        A fit.

    Returns
    -------
    str
        Such as ``"Nitrate rises 1.8 mg/L a day (1.6 to 2.1)"``.
    """
    rate = result.net_rate
    if rate is None:
        return "The readings, without a fit"
    said = say_band(rate.estimate, rate.low, rate.high, f"{parts.UNIT} a day")
    return f"No sure rise: {said}" if rate.low <= 0.0 else f"Nitrate rises {said}"


def fit_alt(result: FitResult, *, ceiling_mg_l: float | None = None) -> str:
    """Say what `fit_picture` shows.

    Parameters
    ----------
    result : FitResult
        A fit.
    ceiling_mg_l : float, optional
        As drawn, as NO3. [mg/L]

    Returns
    -------
    str
        Sentences with the numbers.
    """
    if not result.tests:
        return "An empty picture: there are no readings to show."
    days = [t.date for t in result.tests]
    n = len(days)
    said = [
        f"Line picture of nitrate in {parts.UNIT} as NO3, "
        f"{parts.say_day(min(days))} to {parts.say_day(max(days))}, with {n} "
        f"reading{'' if n == 1 else 's'} as upright bars."
    ]
    if result.curve is not None:
        level = result.curve.level
        low, high = float(np.nanmin(level)), float(np.nanmax(level))
        jumps = len(_jump_days(result.curve))
        said.append(
            f"The fitted level moves between {parts.short(low)} and "
            f"{parts.short(high)} {parts.UNIT}, with {jumps} "
            f"exchange{'' if jumps == 1 else 's'} marked."
        )
    if result.net_rate is not None:
        said.append(fit_title(result) + ".")
    if ceiling_mg_l is not None:
        said.append(
            f"A dashed line marks the ceiling at {ceiling_mg_l:g} {parts.UNIT}."
        )
    return " ".join(said)
