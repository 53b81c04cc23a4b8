"""The level ahead under a habit."""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING

import numpy as np

from kit import style
from kit.ahead import Trace
from kit.plan import Band, Plan
from kit.plots import _parts as parts
from kit.plots._level import LevelPicture
from kit.rounding import Output, plain
from kit.scenario import settling_day, settling_days

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

__all__ = ["PlanPicture", "plan_alt", "plan_picture", "plan_title"]


class PlanPicture(LevelPicture):
    """The level ahead under a habit, drawn once and then changed in place.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw.
    banded : bool, optional
        Whether the level comes with a band to show.
    """

    def __init__(
        self,
        ax: Axes,
        *,
        banded: bool = True,
    ) -> None:
        super().__init__(ax)
        with style.drawing():
            self._band = self._make_band(style.BAND, "95 % band" if banded else None)
            self._line = self._make_line("level ahead")
            self._mark = ax.axvline(0.0, color=style.MARK, ls=":", lw=2.4)
            self._said = ax.annotate(
                "",
                (0.0, 0.03),
                xycoords=("data", "axes fraction"),
                textcoords="offset points",
                xytext=(5, 0),
                color=style.INK,
                bbox=parts.paper(),
            )
            self._make_head()
            self._beyond = ax.text(
                0.02, 0.95, "", transform=ax.transAxes, va="top", color=style.INK
            )
            if banded:
                parts.legend_below(ax)

    @property
    def moving(self) -> tuple[Artist, ...]:
        """Parts that change with the habit, lowest first."""
        said = (self._ceiling_said, self._said, self._title, self._beyond)
        return (self._band, self._mark, self._ceiling, self._line, *said)

    def show(self, plan: Plan, trace: Trace) -> None:
        """Show another plan.

        Parameters
        ----------
        plan : Plan
            Where the habit leads.
        trace : Trace
            The level from now on.
        """
        self._line.set_data(trace.days, trace.level)
        self._band.set_data(trace.days, trace.low, trace.high)
        end = float(trace.days[-1])
        self._title.set_text(plan_title(plan))
        self._show_ceiling(plan.ceiling_mg_l)
        self._show_mark(plan, end)
        off = float(np.max(trace.level)) > self.top
        self._beyond.set_text("climbs off the picture" if off else "")

    def _show_mark(self, plan: Plan, end: float) -> None:
        days = settling_days(plan)
        shown = 0.0 < days <= end
        self._mark.set_visible(shown)
        self._said.set_visible(shown)
        if not shown:
            return
        day = None if self.start is None else settling_day(plan, self.start)
        words = f"day {math.ceil(days)}" if day is None else parts.say_day(day)
        late = days > 0.5 * end
        self._mark.set_xdata([days, days])
        self._said.set_text(f"95 % there: {words}")
        self._said.xy = (days, 0.03)
        self._said.set_horizontalalignment("right" if late else "left")
        self._said.set_position((-5 if late else 5, 0))


def plan_picture(
    plan: Plan,
    trace: Trace,
    *,
    ax: Axes | None = None,
    top_mg_l: float | None = None,
    start: dt.date | None = None,
    output: Output = "metric",
) -> Axes:
    """Draw the level ahead with its band, the ceiling and the 95 % mark.

    Parameters
    ----------
    plan : Plan
        Where the habit leads in the long run.
    trace : Trace
        The level from now on.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    top_mg_l : float, optional
        Top of the picture; what is shown sets it when left out. [mg/L]
    start : datetime.date, optional
        Day zero.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    if top_mg_l is None:
        tops = (float(np.max(trace.high)), plan.ceiling_mg_l or 0.0, 5.0)
        top_mg_l = 1.12 * max(tops)
    ax = parts.new_axes() if ax is None else ax
    drawn = PlanPicture(ax)
    drawn.frame(top_mg_l, float(trace.days[-1]), output=output, start=start)
    drawn.show(plan, trace)
    return ax


def _level(band: Band) -> str:
    """Write a level: whole numbers from 10 up, which is finer than any kit."""
    return plain(round(band.estimate, 0 if band.estimate >= 10 else 1))


def plan_title(plan: Plan) -> str:
    """Say where a habit leads in a few words, for the head of the picture.

    Parameters
    ----------
    plan : Plan
        A plan.

    Returns
    -------
    str
        Such as ``"In the long run 31 to 38 mg/L"``.
    """
    if math.isnan(plan.peak_mg_l.estimate):
        return "The level stays as it is"
    if math.isinf(plan.peak_mg_l.estimate):
        return "Nothing holds the level: it climbs on"
    low, high = _level(plan.trough_mg_l), _level(plan.peak_mg_l)
    if low == high:
        return f"In the long run {high} {parts.UNIT}"
    return f"In the long run {low} to {high} {parts.UNIT}"


def plan_alt(plan: Plan, trace: Trace, *, start: dt.date | None = None) -> str:
    """Say what `plan_picture` shows.

    Parameters
    ----------
    plan, trace : Plan, Trace
        As drawn.
    start : datetime.date, optional
        Day zero.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    habit = plan.habit
    said = [
        f"Line picture of nitrate in {parts.UNIT} as NO3 over {trace.days[-1]:.0f} "
        f"days, with {habit.fraction * 100:.3g} % exchanged every "
        f"{habit.interval_days:.3g} days.",
        f"It starts at {parts.short(float(trace.level[0]))} {parts.UNIT}.",
    ]
    if math.isnan(plan.peak_mg_l.estimate):
        said.append("Nothing comes in or leaves, and it stays there.")
    elif math.isinf(plan.peak_mg_l.estimate):
        said.append("Nothing holds the level, and it climbs on.")
    else:
        day = None if start is None else settling_day(plan, start)
        said.append(
            f"It settles into a sawtooth between {_level(plan.trough_mg_l)} and "
            f"{_level(plan.peak_mg_l)} {parts.UNIT}"
            + (f", 95 % of the way by {parts.say_day(day)}." if day else ".")
        )
    if plan.ceiling_mg_l is not None:
        said.append(
            f"A dashed line marks the ceiling at {plan.ceiling_mg_l:g} {parts.UNIT}."
        )
    return " ".join(said)
