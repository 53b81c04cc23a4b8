"""Flows and shares as lying bars, each with its name and number on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from kit import style
from kit.plots import _parts as parts
from kit.plumbing import CASE_WORDS, Outlook, hourly, say_times
from kit.rounding import Output, plain
from kit.schedule.order import ORDER_WORDS, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "drain_alt",
    "drain_picture",
    "order_alt",
    "order_picture",
]

_THICK = 0.42


def _bars(ax: Axes, rows: Sequence[tuple[str, float, str, str]], most: float) -> None:
    """Draw rows of name, size, words and colour, the first at the top."""
    with style.drawing():
        for place, (name, size, words, colour) in enumerate(rows):
            ax.barh(-place, size, height=_THICK, color=colour, lw=0)
            ax.annotate(
                f"{name}: {words}",
                (0.0, -place + _THICK / 2.0),
                xytext=(1, 3),
                textcoords="offset points",
                va="bottom",
                color=style.INK,
                bbox=parts.paper(0.5),
            )
        ax.set_xlim(0.0, most)
        ax.set_ylim(-len(rows) + 0.55, 0.75)
        ax.set_yticks([])
        parts.grid_only(ax, "x")
        ax.spines["left"].set_visible(False)


def drain_picture(
    seen: Outlook, *, ax: Axes | None = None, output: Output = "metric"
) -> Axes:
    """Draw what the drain carries beside what may run in.

    Parameters
    ----------
    seen : Outlook
        From `kit.plumbing.outlook`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    output : {"metric", "us", "imperial"}, optional
        Whose units the words are in; bars are lengths and need none.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ax = parts.new_axes() if ax is None else ax
    stuck, usual = seen.case("stuck open"), seen.case("as set")
    asked = seen.asked * stuck.inflow_l_h
    flows = [
        ("The drain carries", stuck.capacity_l_h, style.LEVEL),
        (CASE_WORDS["stuck open"], stuck.inflow_l_h, style.READING),
        (CASE_WORDS["as set"], usual.inflow_l_h, style.READING),
    ]
    most = 1.15 * max(asked, stuck.capacity_l_h, 1.0)
    _bars(ax, [(n, v, hourly(v, output), c) for n, v, c in flows], most)
    with style.drawing():
        ax.axvline(asked, **parts.LIMIT)
        ax.annotate(
            f"{say_times(seen.asked)} the open valve",
            (asked, 0.02),
            xycoords=("data", "axes fraction"),
            xytext=(-5, 0),
            textcoords="offset points",
            ha="right",
            color=style.CEILING,
            bbox=parts.paper(),
        )
        ax.grid(visible=False)
        ax.set_xticks([])
        ax.set_xlabel("flow: the longer the bar, the more")
    _title(ax, drain_title(seen))
    return ax


def _title(ax: Axes, words: str) -> None:
    with style.drawing():
        ax.set_title(words, loc="left")


def drain_title(seen: Outlook) -> str:
    """Say in a few words what the drain does with the valve stuck open."""
    spare = seen.case("stuck open").spare
    return f"The drain carries {say_times(spare)} the open valve"


def drain_alt(seen: Outlook, output: Output = "metric") -> str:
    """Say what `drain_picture` shows.

    Parameters
    ----------
    seen : Outlook
        As drawn.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    stuck, usual = seen.case("stuck open"), seen.case("as set")
    return (
        f"Three bars: the drain carries {hourly(stuck.capacity_l_h, output)}, the "
        f"valve stuck open lets in {hourly(stuck.inflow_l_h, output)}, the drip as set "
        f"{hourly(usual.inflow_l_h, output)}. A dashed line marks "
        f"{say_times(seen.asked)} the open valve, "
        f"{hourly(seen.asked * stuck.inflow_l_h, output)}."
    )


def order_picture(seen: Sequence[Outcome], *, ax: Axes | None = None) -> Axes:
    """Draw what each order of draining and filling exchanges.

    Parameters
    ----------
    seen : sequence of Outcome
        From `kit.schedule.order.compare_orders`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ax = parts.new_axes() if ax is None else ax
    rows = [
        (ORDER_WORDS[way.order], 100.0 * way.part, _percent(way), style.LEVEL)
        for way in seen
    ]
    _bars(ax, rows, 1.1 * max(size for _, size, _, _ in rows) or 1.0)
    with style.drawing():
        ax.set_xlabel("part of the old water's nitrate that leaves, %")
    _title(ax, "The same litres, in four orders")
    return ax


def _percent(way: Outcome) -> str:
    return f"{plain(round(100.0 * way.part, 1))} %"


def order_alt(seen: Sequence[Outcome]) -> str:
    """Say what `order_picture` shows.

    Parameters
    ----------
    seen : sequence of Outcome
        As drawn.

    Returns
    -------
    str
        A sentence with the numbers.
    """
    said = ", ".join(f"{ORDER_WORDS[way.order]} {_percent(way)}" for way in seen)
    return f"Four bars, the part of the old water's nitrate that leaves: {said}."
