"""What several pictures share: axes, the ceiling line, days in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final, Literal

from kit import style
from kit.ahead import Trace
from kit.fit import FittedTest
from kit.rounding import Output, plain, round_for_people

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "LIMIT",
    "UNIT",
    "banded_line",
    "ceiling_line",
    "ceiling_words",
    "date_axis",
    "days_from",
    "drawing_on",
    "from_day",
    "goal_line",
    "grid_only",
    "legend_below",
    "level_axis",
    "mark_day",
    "moment",
    "new_axes",
    "other_line",
    "paper",
    "say_day",
    "short",
]

UNIT: Final = "mg/L"
LIMIT: Final[dict[str, Any]] = {"color": style.CEILING, "ls": (0, (6, 3)), "lw": 1.8}
"""Look of a line that a limit, a goal or the truth is drawn as."""

_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)


def say_day(day: dt.date) -> str:
    """Write a day in words, whatever language the computer speaks.

    Parameters
    ----------
    day : datetime.date
        Any day.

    Returns
    -------
    str
        Day, month and year.

    Examples
    --------
    >>> say_day(dt.date(2026, 3, 4))
    '4 March 2026'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def short(value: float) -> str:
    """Write a level in about two figures, as no kit tells more apart."""
    return plain(round_for_people(value, max(abs(value) * 0.05, 0.05)))


def new_axes() -> Axes:
    """Make axes in a figure of their own."""
    return style.axes_in(style.blank_figure())


@contextmanager
def drawing_on(ax: Axes | None) -> Iterator[Axes]:
    """Give the axes, or new ones, to be drawn on in the kit's look."""
    with style.drawing():
        yield new_axes() if ax is None else ax


def grid_only(ax: Axes, axis: Literal["x", "y"]) -> None:
    """Draw the lines of the grid for one axis alone."""
    for each in ("x", "y"):
        ax.grid(visible=each == axis, axis=each)


def paper(pad: float = 1.5) -> dict[str, Any]:
    """Make the ground behind words, so that no line runs through them."""
    return {"facecolor": style.PAPER, "edgecolor": "none", "pad": pad}


def days_from(start: dt.date | None) -> str:
    """Name the axis of the days ahead."""
    return f"days from {'now' if start is None else say_day(start)}"


def from_day(start: dt.date | None) -> str:
    """Write since when, to be set behind a word; nothing without a day."""
    return "" if start is None else f" from {say_day(start)}"


def level_axis(ax: Axes, output: Output) -> None:
    """Name the upright axis; US kits write ppm for the same number."""
    same = " (= ppm)" if output == "us" else ""
    ax.set_ylabel(f"nitrate, {UNIT} NO3{same}")
    grid_only(ax, "y")


def legend_below(
    ax: Axes, columns: int | None = None, *, handle: float = 1.4, gap: float = 1.2
) -> None:
    """Put the legend under the picture, where no line can cross it.

    Lengths of a handle and of the gap between columns count in letters' heights.
    """
    figure: Any = ax.get_figure()
    handles, labels = ax.get_legend_handles_labels()
    figure.legend(
        handles,
        labels,
        loc="outside lower left",
        ncols=columns or (4 if len(labels) <= 4 else 3),
        handlelength=handle,
        columnspacing=gap,
    )


def banded_line(ax: Axes, trace: Trace, name: str) -> None:
    """Draw a level through time as a full line over its band."""
    banded = bool((trace.high > trace.low).any())
    ax.fill_between(
        trace.days,
        trace.low,
        trace.high,
        color=style.BAND,
        lw=0,
        label="95 % band" if banded else None,
    )
    ax.plot(trace.days, trace.level, color=style.LEVEL, label=name)


def other_line(ax: Axes, trace: Trace, name: str) -> None:
    """Draw a level to compare with, broken and without a band."""
    look: Any = {"color": style.READING, "ls": (0, (4, 2)), "lw": 1.8}
    ax.plot(trace.days, trace.level, label=name, **look)


def ceiling_words(ceiling_mg_l: float) -> str:
    """Name the ceiling line."""
    return f"your ceiling {ceiling_mg_l:g} {UNIT}"


def ceiling_line(ax: Axes, ceiling_mg_l: float) -> tuple[Any, Any]:
    """Draw the keeper's ceiling with its name on it; give line and words."""
    return goal_line(ax, ceiling_mg_l, ceiling_words(ceiling_mg_l))


def goal_line(
    ax: Axes, level_mg_l: float, name: str, *, below: bool = False
) -> tuple[Any, Any]:
    """Draw a level the keeper set, with its name; give line and words.

    The name stands above it at the right end, or below it at the left.
    """
    line = ax.axhline(level_mg_l, **LIMIT)
    words = ax.annotate(
        name,
        (0.02 if below else 1.0, level_mg_l),
        xycoords=("axes fraction", "data"),
        xytext=(0, -4 if below else 4),
        textcoords="offset points",
        ha="left" if below else "right",
        va="top" if below else "bottom",
        color=style.CEILING,
        bbox={**paper(1), "alpha": 0.8},
    )
    return line, words


def mark_day(ax: Axes, day: float, name: str, end: float, *, row: int = 0) -> None:
    """Point out a day with a dotted upright line and its name at the foot."""
    late = day > 0.5 * end
    ax.axvline(day, color=style.MARK, ls=":", lw=2.4)
    ax.annotate(
        name,
        (day, 0.03 + 0.08 * row),
        xycoords=("data", "axes fraction"),
        xytext=(-5 if late else 5, 0),
        textcoords="offset points",
        ha="right" if late else "left",
        color=style.INK,
        bbox=paper(),
    )


def moment(test: FittedTest) -> dt.datetime:
    """When a test was made; noon where no time was written."""
    return dt.datetime.combine(test.date, test.time or dt.time(12))


def date_axis(ax: Axes) -> None:
    """Put few, short dates under the picture."""
    from matplotlib.dates import AutoDateLocator, ConciseDateFormatter

    make: Any = AutoDateLocator
    locator = make(minticks=3, maxticks=7)
    write: Any = ConciseDateFormatter
    ax.xaxis.set_major_locator(locator)
    ax.xaxis.set_major_formatter(write(locator))
