"""How far each reading lies from what the readings before it foretold."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from kit import style
from kit.fit import FitResult
from kit.plots import _parts as parts

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["residual_alt", "residual_picture"]

_USUAL: Final = 1.96
"""Standard errors that 19 in 20 readings stay within."""


def residual_picture(result: FitResult, *, ax: Axes | None = None) -> Axes:
    """Draw how far each reading lies from what the readings before it foretold.

    Parameters
    ----------
    result : FitResult
        A fit.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        when: Any = [parts.moment(t) for t in result.tests]
        far = [t.residual for t in result.tests]
        ax.axhspan(-_USUAL, _USUAL, color=style.BAND, lw=0, label="usual spread")
        ax.axhline(0.0, color=style.SOFT, lw=1.2)
        ax.vlines(when, 0.0, far, color=style.READING, lw=2.0)
        ax.plot(
            when, far, "o", color=style.READING, ms=6, mec=style.PAPER, label="reading"
        )
        ax.grid(visible=False)
        ax.set_ylim(-_farthest(result), _farthest(result))
        ax.set_ylabel("standard errors (0 = inside its bar)")
        ax.set_title("Distance of each reading from its forecast")
        parts.date_axis(ax)
        parts.legend_below(ax)
    return ax


def _farthest(result: FitResult) -> float:
    """Half the height of the picture."""
    return max([3.2, *(1.15 * abs(t.residual) for t in result.tests)])


def residual_alt(result: FitResult) -> str:
    """Say what `residual_picture` shows.

    Parameters
    ----------
    result : FitResult
        A fit.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    if not result.tests:
        return "An empty picture: there are no readings to show."
    outside = [t for t in result.tests if abs(t.residual) > _USUAL]
    said = (
        f"Distance of each of {len(result.tests)} readings from what the readings "
        f"before it foretold; {len(outside)} lie outside the usual spread"
    )
    if not outside:
        return said + "."
    worst = max(outside, key=lambda t: abs(t.residual))
    side = "above" if worst.residual > 0 else "below"
    return f"{said}, the farthest {side} it on {parts.say_day(worst.date)}."
