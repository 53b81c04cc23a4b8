"""Percent against days: which plans hold the ceiling, and how surely."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from kit import style
from kit.plots import _parts as parts
from kit.sawtooth import Habit
from kit.schedule.map import ScheduleMap
from kit.steps import Floats

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

__all__ = [
    "CHANCE_EDGES",
    "CHANCE_TONES",
    "MAP_SIZE_IN",
    "MapPicture",
    "map_alt",
    "map_picture",
]

CHANCE_EDGES: Final = (0.0, 0.1, 0.5, 0.9, 1.0)
"""Where the tones of the chance change. [-]"""
CHANCE_TONES: Final = ("#8fabba", "#b9ced9", "#dfe9ee", style.PAPER)
"""From seldom to nearly always under the ceiling: lighter is surer, also in grey."""
MAP_SIZE_IN: Final = (6.4, 5.4)
"""Width and height of a map's picture. [inch]"""
_TICKS: Final = (3, 7, 10, 14, 21, 28)
_NICE: Final = (5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 300, 400)
_SHARES: Final = (0.6, 1.5, 2.5)
_CLOSE = 0.12
_FINE: Final = (0, (1.6, 1.4))
# Where along a line of equal peak its number stands: the sum of both axes, as parts.
_LABEL_AT = 1.15


class MapPicture:
    """A map of plans, drawn once and then changed in place.

    Parameters
    ----------
    ax : matplotlib.axes.Axes
        Where to draw, in a figure of its own.
    """

    def __init__(self, ax: Axes) -> None:
        self.ax = ax
        self.figure: Any = ax.get_figure()
        self._framed: float | None = math.nan
        with style.drawing():
            self._make_ground()
            self._make_lines()
            self._make_marks()
            ax.set_xlabel("days between exchanges")
            ax.set_ylabel("exchanged each time, %")
            ax.grid(visible=False)
            ax.set_title("Which plans hold your ceiling?")
            ax.set_xticks(_TICKS)
            parts.legend_below(ax, 3, handle=1.6)

    def _make_ground(self) -> None:
        """Tones of the chance, with their scale under the picture."""
        from matplotlib.cm import ScalarMappable
        from matplotlib.colors import BoundaryNorm, ListedColormap
        from matplotlib.patches import PathPatch
        from matplotlib.path import Path

        self.ax.set_facecolor(CHANCE_TONES[0])
        nowhere = Path(np.zeros((1, 2)))
        self._ground: list[Any] = [
            self.ax.add_patch(PathPatch(nowhere, facecolor=tone, lw=0, zorder=0.5))
            for tone in CHANCE_TONES[1:]
        ]
        norm = BoundaryNorm(CHANCE_EDGES, len(CHANCE_TONES))
        scale = self.figure.colorbar(
            ScalarMappable(norm, ListedColormap(list(CHANCE_TONES))),
            ax=self.ax,
            orientation="horizontal",
            spacing="uniform",
            aspect=32,
            pad=0.02,
            ticks=CHANCE_EDGES[1:-1],
        )
        scale.ax.set_xticklabels(["1 in 10", "5 in 10", "9 in 10"])
        scale.set_label("chance that a single peak stays under the ceiling")
        scale.outline.set_edgecolor(style.SOFT)

    def _make_lines(self) -> None:
        """Lines of equal peak, the ceiling's line and its band, the keeper's limit."""
        none: list[float] = []
        boxed = {**parts.paper(1), "alpha": 0.75}
        self._equal_said = [
            self.ax.text(
                0, 0, "", color=style.INK, size=11, ha="center", va="center", bbox=boxed
            )
            for _ in _SHARES
        ]
        self._line = self.ax.plot(
            none,
            none,
            color=style.CEILING,
            ls=(0, (6, 3)),
            lw=2.4,
            label="usual peak at ceiling",
        )[0]
        self._band = [
            self.ax.plot(
                none, none, color=style.CEILING, lw=1.5, ls=_FINE, label=label
            )[0]
            for label in ("its 95 % band", None)
        ]
        self._equal = [
            self.ax.plot(none, none, color=style.SOFT, lw=1.0, label=label)[0]
            for label in ("other usual peaks", *[None] * (len(_SHARES) - 1))
        ]
        self._most = self.ax.axhline(0.0, color=style.INK, lw=1.2, ls=":")
        self._most_said = self.ax.annotate(
            "",
            (1.0, 0.0),
            xycoords=("axes fraction", "data"),
            xytext=(-4, 3),
            textcoords="offset points",
            ha="right",
            va="bottom",
            size=11,
            color=style.INK,
            bbox=boxed,
        )

    def _make_marks(self) -> None:
        """The present habit and the tried one, told apart by shape and filling."""
        look: Any = {"ls": "none", "ms": 10, "mec": style.INK, "mew": 1.6}
        self._now = self.ax.plot(
            [], [], marker="o", mfc=style.INK, label="habit now", **look
        )[0]
        self._tried = self.ax.plot(
            [], [], marker="D", mfc="none", label="sliders", **{**look, "ms": 15}
        )[0]

    @property
    def moving(self) -> tuple[Artist, ...]:
        """Parts that change, lowest first."""
        return (
            *self._ground,
            *self._equal,
            *self._equal_said,
            *self._band,
            self._line,
            self._most,
            self._most_said,
            self._now,
            self._tried,
        )

    def show(
        self,
        chart: ScheduleMap,
        *,
        now: Habit | None = None,
        tried: Habit | None = None,
    ) -> None:
        """Show a map.

        Parameters
        ----------
        chart : ScheduleMap
            The plans.
        now, tried : Habit, optional
            Habits to mark.
        """
        days, percent = chart.interval_days, chart.percent
        for patch, edge in zip(self._ground, CHANCE_EDGES[1:-1], strict=True):
            patch.set_path(_region(chart, edge))
        self.ax.set_xlim(float(days[0]), float(days[-1]))
        self.ax.set_ylim(float(percent[0]), float(percent[-1]))
        self._line.set_data(days, _shown(chart.needed))
        for line, limit in zip(
            self._band, (chart.needed_low, chart.needed_high), strict=True
        ):
            line.set_data(days, _shown(limit))
        self._show_equal(chart)
        self.mark(now=now, tried=tried)

    def mark(self, *, now: Habit | None = None, tried: Habit | None = None) -> None:
        """Move the marks alone."""
        for mark, habit in ((self._now, now), (self._tried, tried)):
            seen = habit is not None and habit.fraction > 0.0
            at = (
                ([habit.interval_days], [100.0 * habit.fraction]) if habit else ([], [])
            )
            mark.set_data(*at)
            mark.set_visible(seen)

    def _show_equal(self, chart: ScheduleMap) -> None:
        """Lines of equal usual peak, with the peak written on them."""
        levels = _levels(chart.trial.ceiling_mg_l)
        paths = _paths(chart, levels)
        for i, (line, said) in enumerate(
            zip(self._equal, self._equal_said, strict=True)
        ):
            path = paths[i] if i < len(paths) else None
            line.set_visible(path is not None)
            spot = None if path is None else _label_spot(path, chart)
            said.set_visible(spot is not None)
            if path is not None:
                line.set_data(path[:, 0], path[:, 1])
            if spot is not None:
                said.set_position(spot)
                said.set_text(f"{levels[i]:g} {parts.UNIT}")

    def frame(self, max_percent: float | None) -> bool:
        """Set what stays while the sliders move.

        Parameters
        ----------
        max_percent : float or None
            Largest exchange the keeper will do at once. [%]

        Returns
        -------
        bool
            Whether anything changed.
        """
        if max_percent == self._framed:
            return False
        self._framed = max_percent
        for part in (self._most, self._most_said):
            part.set_visible(max_percent is not None)
        if max_percent is not None:
            self._most.set_ydata([max_percent, max_percent])
            self._most_said.xy = (1.0, max_percent)
            self._most_said.set_text(f"your most at once: {max_percent:g} %")
        return True


def _shown(percent: Floats) -> Floats:
    """Leave out what no exchange can be."""
    return np.where(percent <= 100.0, percent, np.nan)


def _region(chart: ScheduleMap, edge: float) -> Any:
    """Plans whose chance is at least so much, as one path to fill."""
    from contourpy import FillType, contour_generator
    from matplotlib.path import Path

    made = contour_generator(
        chart.interval_days,
        chart.percent,
        chart.chance,
        fill_type=FillType.ChunkCombinedCode,
    )
    filled: Any = made.filled(edge, 2.0)
    points, codes = filled[0][0], filled[1][0]
    return Path(np.zeros((1, 2))) if points is None else Path(points, codes)


def _levels(ceiling_mg_l: float) -> list[float]:
    """Round peaks to draw lines for, apart from the ceiling's own."""
    near = [min(_NICE, key=lambda n: abs(n - s * ceiling_mg_l)) for s in _SHARES]
    apart = [n for n in near if abs(n - ceiling_mg_l) > _CLOSE * ceiling_mg_l]
    return [float(n) for n in dict.fromkeys(apart)]


def _paths(chart: ScheduleMap, levels: list[float]) -> list[Floats | None]:
    """Longest line of each equal peak, as points of days and percent."""
    from contourpy import contour_generator

    made = contour_generator(
        chart.interval_days, chart.percent, np.asarray(chart.peak_mg_l)
    )
    found: list[Floats | None] = []
    for level in levels:
        lines: Any = made.lines(level)
        found.append(max(lines, key=len) if lines else None)
    return found


def _label_spot(path: Floats, chart: ScheduleMap) -> tuple[float, float] | None:
    """Where on a line its number stands, away from the crowded corner."""
    days, percent = float(chart.interval_days[-1]), float(chart.percent[-1])
    across, up = path[:, 0] / days, path[:, 1] / percent
    inside = (across < 0.92) & (up < 0.95) & (across > 0.08) & (up > 0.05)
    if not inside.any():
        return None
    reach = np.where(inside, np.abs(across + up - _LABEL_AT), math.inf)
    at = int(np.argmin(reach))
    return float(path[at, 0]), float(path[at, 1])


def map_picture(
    chart: ScheduleMap,
    *,
    ax: Axes | None = None,
    now: Habit | None = None,
    tried: Habit | None = None,
    max_percent: float | None = None,
) -> Axes:
    """Draw a map of percent against days.

    Parameters
    ----------
    chart : ScheduleMap
        The plans.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    now, tried : Habit, optional
        Habits to mark.
    max_percent : float, optional
        Largest exchange the keeper will do at once. [%]

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    drawn = MapPicture(
        style.axes_in(style.blank_figure(MAP_SIZE_IN)) if ax is None else ax
    )
    drawn.frame(max_percent)
    drawn.show(chart, now=now, tried=tried)
    return drawn.ax


def map_alt(
    chart: ScheduleMap, *, now: Habit | None = None, tried: Habit | None = None
) -> str:
    """Say what `map_picture` shows.

    Parameters
    ----------
    chart : ScheduleMap
        As drawn.
    now, tried : Habit, optional
        As marked.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    ceiling = f"{chart.trial.ceiling_mg_l:g} {parts.UNIT}"
    said = [
        f"Map of exchanges from {chart.percent[0]:g} to {chart.percent[-1]:g} % of the "
        f"water every {chart.interval_days[0]:g} to {chart.interval_days[-1]:g} days; "
        f"the lighter, the surer a single peak stays under {ceiling}.",
        _line_said(chart),
    ]
    for name, habit in (("your habit now", now), ("the sliders' plan", tried)):
        if habit is None or habit.fraction == 0.0:
            continue
        days = f"{habit.interval_days:.3g} days"
        when = "every day" if habit.interval_days == 1.0 else f"every {days}"
        plan = f"{100 * habit.fraction:.3g} % {when}"
        if habit.interval_days > chart.interval_days[-1]:
            said.append(f"{name[0].upper()}{name[1:]}, {plan}, lies beyond its edge.")
        else:
            said.append(f"A mark stands for {name}: {plan}.")
    return " ".join(said)


def _line_said(chart: ScheduleMap) -> str:
    """Say where the ceiling's line runs."""
    points = []
    for days in (7.0, 14.0, 28.0):
        at = int(np.argmin(np.abs(chart.interval_days - days)))
        percent = float(chart.needed[at])
        if 0.0 < percent <= 100.0:
            points.append(f"{percent:.0f} % every {chart.interval_days[at]:g} days")
    if points:
        return (
            "A dashed line marks where the usual peak meets it: "
            + ", ".join(points)
            + "."
        )
    if (chart.needed == 0.0).all():
        return "It is held without any exchange."
    return "No exchange every week or less often holds it."
