"""The weeks ahead: the level with its bands, and the tests to make in them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from kit import style
from kit.ahead import Candidate, Kit, Outlook, Trace, reading_words
from kit.plots import _parts as parts
from kit.plots._level import LevelPicture

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

__all__ = ["AheadPicture", "ahead_alt", "calendar_alt", "calendar_picture"]

_INNER = "#8fbccd"
"""The 80 % band, between the ink of the level and that of the wide band."""


class AheadPicture(LevelPicture):
    """The level of the weeks ahead with both bands, changed in place.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw.
    """

    def __init__(self, ax: Axes) -> None:
        super().__init__(ax)
        with style.drawing():
            self._wide = self._make_band(style.BAND, "95 in 100")
            self._inner = self._make_band(_INNER, "80 in 100")
            self._line = self._make_line("middle")
            (self._ticks,) = ax.plot(
                [],
                [],
                "|",
                transform=ax.get_xaxis_transform(),
                color=style.EXCHANGE,
                ms=10,
                mew=1.6,
                label="exchange",
            )
            self._make_head()
            parts.legend_below(ax)

    @property
    def moving(self) -> tuple[Artist, ...]:
        """Parts that change with the habit, lowest first."""
        bands = (self._wide, self._inner, self._ticks, self._ceiling, self._line)
        return (*bands, self._ceiling_said, self._title)

    def show(self, seen: Outlook, kit: Kit) -> None:
        """Show another outlook.

        Parameters
        ----------
        seen : Outlook
            From `kit.ahead.outlook`.
        kit : Kit
            The kit in hand.
        """
        t = seen.trace
        self._line.set_data(t.days, t.level)
        self._wide.set_data(t.days, t.low, t.high)
        if t.low_80 is not None and t.high_80 is not None:
            self._inner.set_data(t.days, t.low_80, t.high_80)
        jumps = _exchanges(t)
        self._ticks.set_data(jumps, np.full(len(jumps), 0.02))
        self._title.set_text(_title(seen, kit))
        self._show_ceiling(seen.ceiling_mg_l)


def _exchanges(trace: Trace) -> Any:
    """Days at which the level jumps."""
    return trace.days[1:][np.diff(trace.days) == 0.0]


def _title(seen: Outlook, kit: Kit) -> str:
    """Say the next reading in a few words."""
    if not seen.coming:
        return f"The next {seen.trace.days[-1]:.0f} days"
    words = reading_words(seen.coming[0].reading, kit)
    return f"Next test before the exchange: most likely {words}"


def ahead_alt(seen: Outlook, kit: Kit) -> str:
    """Say what `AheadPicture` shows.

    Parameters
    ----------
    seen : Outlook
        As drawn.
    kit : Kit
        The kit in hand.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    t = seen.trace
    said = [
        f"Line picture of nitrate in {parts.UNIT} as NO3 over the "
        f"{t.days[-1]:.0f} days from {parts.say_day(seen.start)}, with "
        f"{len(_exchanges(t))} exchanges.",
        f"The middle starts at {parts.short(float(t.level[0]))} and ends at "
        f"{parts.short(float(t.level[-1]))}, where the 95 % band reaches from "
        f"{parts.short(float(t.low[-1]))} to {parts.short(float(t.high[-1]))}.",
        f"{_title(seen, kit)}.",
    ]
    if seen.ceiling_mg_l is not None:
        said.append(f"A dashed line marks the ceiling at {seen.ceiling_mg_l:g}.")
    return " ".join(said)


def calendar_picture(
    seen: Outlook, kit: Kit, tests: tuple[Candidate, ...], *, ax: Axes | None = None
) -> Axes:
    """Draw the weeks ahead with the tests to make, and the edges of the kit's steps.

    Parameters
    ----------
    seen : Outlook
        The level ahead under the present habit.
    kit : Kit
        The kit in hand.
    tests : tuple of Candidate
        The calendar.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    t = seen.trace
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, "metric")
        ax.grid(visible=False)
        ax.fill_between(
            t.days, t.low, t.high, color=style.BAND, lw=0, label="95 in 100"
        )
        ax.plot(t.days, t.level, color=style.LEVEL, label="level ahead")
        top = 1.25 * float(np.max(t.high))
        _edges(ax, kit, top)
        _marks(ax, seen, tests)
        ax.set_ylim(0.0, top)
        ax.set_xlim(0.0, float(t.days[-1]))
        ax.set_xlabel(parts.days_from(seen.start))
        ax.set_title("When to test, in the order of the calendar")
        parts.legend_below(ax)
    return ax


def _edges(ax: Axes, kit: Kit, top: float) -> None:
    """Draw where one step of the card passes into the next."""
    name = "a step of the card ends"
    for edge in kit.low[1:].tolist() if kit.chart else ():
        if edge < top:
            ax.axhline(edge, color=style.SOFT, ls=":", lw=1.4, label=name)
            name = "_"


def _marks(ax: Axes, seen: Outlook, tests: tuple[Candidate, ...]) -> None:
    """Number the tests on the line, those of the same water side by side."""
    name = "test"
    for number, test in enumerate(tests, start=1):
        if test.what != "tank":
            continue
        x, y = _place(seen, test)
        ax.plot([x], [y], "o", color=style.READING, ms=9, label=name, zorder=5)
        name = "_"
        ax.annotate(
            str(number),
            (x, y),
            xytext=(0, 9),
            textcoords="offset points",
            ha="center",
            color=style.INK,
            fontweight="bold",
            zorder=6,
            bbox={**parts.paper(1), "alpha": 0.75},
        )


def _place(seen: Outlook, test: Candidate) -> tuple[float, float]:
    """Day and middle level of a test."""
    t = seen.trace
    day = float((test.day - seen.start).days)
    at = np.flatnonzero(np.floor(t.days + 1e-9) == day)
    if test.place == "between" or not len(at):
        return day, float(np.interp(day, t.days, t.level))
    return float(t.days[at[-1 if test.place == "after" else 0]]), float(
        t.level[at[-1 if test.place == "after" else 0]]
    )


def calendar_alt(seen: Outlook, tests: tuple[Candidate, ...]) -> str:
    """Say what `calendar_picture` shows.

    Parameters
    ----------
    seen : Outlook
        As drawn.
    tests : tuple of Candidate
        The calendar.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    spots = [
        f"{number} on {parts.say_day(test.day)} at {parts.short(_place(seen, test)[1])}"
        for number, test in enumerate(tests, start=1)
        if test.what == "tank"
    ]
    days = float(seen.trace.days[-1])
    said = f"; tests marked on it: {', '.join(spots)}." if spots else "."
    return (
        f"Line picture of nitrate in {parts.UNIT} as NO3 over {days:.0f} days from "
        f"{parts.say_day(seen.start)}, with dotted lines where a step of the card "
        f"ends{said}"
    )
