"""Chlorine, ammonia and top-up of new water."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from kit import style
from kit.ahead import Trace
from kit.makeup import about
from kit.makeup.ammonia import NH3_HARM_MG_L, RescueStep, ph_curve
from kit.makeup.chlorine import Criteria
from kit.makeup.topup import TopUp
from kit.plots import _parts as parts
from kit.rounding import Output, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from kit.steps import Floats

__all__ = [
    "ammonia_alt",
    "ammonia_picture",
    "chlorine_alt",
    "chlorine_picture",
    "top_up_alt",
    "top_up_picture",
]


_LEAST = 1e-6  # a logarithmic axis has no zero


def _plain_log(axis: object) -> None:
    """Write a logarithmic axis with plain numbers."""
    from matplotlib.ticker import FuncFormatter, NullFormatter

    axis.set_major_formatter(FuncFormatter(lambda v, _: plain(float(f"{v:.6g}"))))  # type: ignore[attr-defined]
    axis.set_minor_formatter(NullFormatter())  # type: ignore[attr-defined]


def _named_line(
    ax: Axes, level: float, words: str, *, above: bool = True, left: bool = False
) -> None:
    """Draw a published limit with its name on it."""
    ax.axhline(level, color=style.CEILING, ls=(0, (6, 3)), lw=1.6)
    ax.annotate(
        words,
        (0.01 if left else 1.0, level),
        xycoords=("axes fraction", "data"),
        xytext=(0, 3 if above else -4),
        textcoords="offset points",
        ha="left" if left else "right",
        va="bottom" if above else "top",
        color=style.CEILING,
    )


def chlorine_picture(
    curve: tuple[Floats, Floats], criteria: Criteria, *, ax: Axes
) -> Axes:
    """Draw what an untreated drip keeps, for slow to fast decay.

    Parameters
    ----------
    curve : tuple of ndarray
        From `kit.makeup.chlorine.decay_curve`.
    criteria : Criteria
        To set it against.
    ax : matplotlib.axes.Axes
        Where to draw.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    k, level = curve
    with style.drawing():
        ax.set_xscale("log")
        ax.set_yscale("log")
        ax.plot(k, np.maximum(1000 * level, 1e-3), color=style.LEVEL)
        _named_line(
            ax,
            1000 * criteria.acute_mg_l,
            f"{1000 * criteria.acute_mg_l:g} for an hour",
            left=True,
        )
        _named_line(
            ax,
            1000 * criteria.chronic_mg_l,
            f"{1000 * criteria.chronic_mg_l:g} for four days",
            above=False,
            left=True,
        )
        ax.set_xlim(k[0], k[-1])
        ax.set_ylim(0.1, 1000.0)
        ax.set_xticks([1.0, 5.0, 20.0])
        ax.set_xlabel("how fast the tank uses it up, parts a day (slow to fast)")
        ax.set_ylabel("chlorine in the tank, µg/L")
        _plain_log(ax.xaxis)
        _plain_log(ax.yaxis)
        ax.set_title("Chlorine of an untreated drip")
    return ax


def chlorine_alt(curve: tuple[Floats, Floats], criteria: Criteria) -> str:
    """Say what `chlorine_picture` shows.

    Parameters
    ----------
    curve : tuple of ndarray
        As drawn.
    criteria : Criteria
        As drawn.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    k, level = curve
    ends = [f"{about(1000 * v)} µg/L" for v in np.interp([1.0, 5.0, 20.0], k, level)]
    return (
        "Falling line: chlorine an untreated drip keeps in the tank, "
        f"{ends[0]} where the tank uses up one part a day, {ends[1]} at five and "
        f"{ends[2]} at twenty. Dashed lines mark {1000 * criteria.acute_mg_l:g} µg/L "
        f"for an hour and {1000 * criteria.chronic_mg_l:g} for four days."
    )


def ammonia_picture(
    step: RescueStep, tank_ph: float, tank_c: float, *, ax: Axes, salinity: float = 0.0
) -> Axes:
    """Draw the harmful part of ammonia over pH, before and after an exchange.

    Parameters
    ----------
    step : RescueStep
        The exchange.
    tank_ph, tank_c : float
        Acidity [-] and temperature of the tank before. [°C]
    ax : matplotlib.axes.Axes
        Where to draw.
    salinity : float, optional
        Salinity. [g/kg]

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    ph, level = ph_curve(step.tan_mg_l, tank_c, salinity)
    with style.drawing():
        ax.set_yscale("log")
        ax.plot(
            ph,
            np.maximum(level, _LEAST),
            color=style.LEVEL,
            label="after it, at any pH",
        )
        _ammonia_points(ax, step, tank_ph)
        _named_line(ax, NH3_HARM_MG_L, f"harm above {NH3_HARM_MG_L:g}", left=True)
        ax.set_xlim(ph[0], ph[-1])
        ax.set_ylim(1e-4, 10.0)
        ax.set_xlabel("pH")
        ax.set_ylabel("un-ionised ammonia, mg/L as N")
        _plain_log(ax.yaxis)
        ax.set_title("The same ammonia harms more at a higher pH")
        parts.legend_below(ax)
    return ax


def _ammonia_points(ax: Axes, step: RescueStep, tank_ph: float) -> None:
    """Mark the tank before, just after, and at most, each with a shape of its own."""
    before = max(step.nh3_before_mg_l, _LEAST)
    ax.plot(tank_ph, before, "s", color=style.SOFT, ms=9, label="before")
    if step.nh3_after_mg_l is not None and step.ph.estimate is not None:
        after = max(step.nh3_after_mg_l, _LEAST)
        look: dict[str, Any] = {
            "color": style.PAPER,
            "mec": style.READING,
            "mew": 2.2,
            "ms": 9.0,
        }
        ax.plot(step.ph.estimate, after, "o", label="just after", **look)
    most = max(step.nh3_most_mg_l, _LEAST)
    ax.plot(step.ph.high, most, "o", color=style.READING, ms=9, label="at most")


def ammonia_alt(step: RescueStep, tank_ph: float) -> str:
    """Say what `ammonia_picture` shows.

    Parameters
    ----------
    step : RescueStep
        As drawn.
    tank_ph : float
        Acidity before. [-]

    Returns
    -------
    str
        Sentences with the numbers.
    """
    said = (
        "Rising line of un-ionised ammonia over pH for the total after the exchange. "
        f"Before it: {about(step.nh3_before_mg_l)} mg/L at pH {tank_ph:g}. "
    )
    if step.nh3_after_mg_l is not None and step.ph.estimate is not None:
        said += (
            f"Just after: {about(step.nh3_after_mg_l)} mg/L at pH "
            f"{step.ph.estimate:.1f}. "
        )
    return said + (
        f"At most: {about(step.nh3_most_mg_l)} mg/L at pH {step.ph.high:g}. A dashed "
        f"line marks {NH3_HARM_MG_L:g} mg/L, above which fish take harm."
    )


def top_up_picture(
    tap: Trace, pure: Trace, *, ax: Axes, output: Output = "metric"
) -> Axes:
    """Draw the level ahead with tap water and with pure water for top-up.

    Parameters
    ----------
    tap, pure : Trace
        The two levels ahead.
    ax : matplotlib.axes.Axes
        Where to draw.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with style.drawing():
        ax.plot(
            tap.days,
            tap.level,
            color=style.READING,
            ls=(0, (5, 2)),
            label="top-up from the tap",
        )
        ax.plot(pure.days, pure.level, color=style.LEVEL, label="pure top-up")
        parts.level_axis(ax, output)
        top = max(float(np.max(tap.level)), float(np.max(pure.level)))
        ax.set_xlim(0.0, float(tap.days[-1]))
        ax.set_ylim(0.0, 1.2 * top or 1.0)
        ax.set_xlabel("days from now")
        ax.set_title("What evaporates is replaced: tap or pure water")
        parts.legend_below(ax)
    return ax


def top_up_alt(found: TopUp) -> str:
    """Say what `top_up_picture` shows.

    Parameters
    ----------
    found : TopUp
        As drawn.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    return (
        "Two sawtooth lines of nitrate in mg/L as NO3 from the same start. With "
        f"top-up from the tap the peaks settle at {about(found.tap_peak_mg_l)}, with "
        f"pure water at {about(found.pure_peak_mg_l)}."
    )
