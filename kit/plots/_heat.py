"""Cold and cost of new water."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from kit import style
from kit.makeup import MONTHS, money_words
from kit.makeup.cold import ColdExchange, drop_curve
from kit.makeup.year import Year
from kit.plots import _parts as parts
from kit.rounding import Output, format_temperature_difference, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["cold_alt", "cold_picture", "year_alt", "year_picture"]

_F_PER_C = 1.8


def cold_picture(cold: ColdExchange, *, ax: Axes, output: Output = "metric") -> Axes:
    """Draw how far exchanges of all sizes cool the tank, with the limit.

    Parameters
    ----------
    cold : ColdExchange
        The exchange to mark.
    ax : matplotlib.axes.Axes
        Where to draw.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    scale, unit = (_F_PER_C, "°F") if output == "us" else (1.0, "°C")
    share, drop = drop_curve(cold.tank_c, cold.new_c)
    with style.drawing():
        ax.plot(100 * share, scale * np.abs(drop), color=style.LEVEL)
        limit = scale * cold.allowed_c
        ax.axhline(limit, **parts.LIMIT)
        ax.annotate(
            f"your limit {format_temperature_difference(cold.allowed_c, output)}",
            (1.0, limit),
            xycoords=("axes fraction", "data"),
            xytext=(0, 4),
            textcoords="offset points",
            ha="right",
            color=style.CEILING,
        )
        point = (100 * cold.fraction, scale * abs(cold.drop_c))
        ax.plot(*point, "o", color=style.READING, ms=9, mec=style.PAPER)
        ax.set_xlim(0.0, 60.0)
        ax.set_ylim(0.0, scale * max(12.0, 1.1 * float(np.abs(drop).max())))
        ax.set_xlabel("exchange, % of the water")
        way = "fall" if cold.drop_c >= 0 else "rise"
        ax.set_ylabel(f"{way} of temperature at once, {unit}")
        ax.grid(visible=False, axis="x")
        by = format_temperature_difference(abs(cold.drop_c), output)
        ax.set_title(f"{plain(round(100 * cold.fraction, 1))} %: a {way} of {by}")
    return ax


def cold_alt(cold: ColdExchange, output: Output = "metric") -> str:
    """Say what `cold_picture` shows.

    Parameters
    ----------
    cold : ColdExchange
        As drawn.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    way = "fall" if cold.drop_c >= 0 else "rise"
    by = format_temperature_difference(abs(cold.drop_c), output)
    limit = format_temperature_difference(cold.allowed_c, output)
    return (
        f"Line picture: the {way} of temperature grows in step with the exchange. A "
        f"point marks {plain(round(100 * cold.fraction, 1))} % with {by}; a dashed "
        f"line marks the limit of {limit}, crossed at "
        f"{plain(round(100 * cold.most, 1))} %."
    )


def year_picture(year: Year, *, ax: Axes, currency: str = "") -> Axes:
    """Draw heat for new water and for evaporation, month by month.

    Parameters
    ----------
    year : Year
        From `kit.makeup.year.year_of`.
    ax : matplotlib.axes.Axes
        Where to draw.
    currency : str, optional
        What to write behind an amount.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with style.drawing():
        at = np.arange(12)
        ax.bar(
            at,
            year.heating_kwh,
            color=style.LEVEL,
            width=0.7,
            label="new water, warmed",
        )
        ax.bar(
            at,
            year.evaporation_kwh,
            bottom=year.heating_kwh,
            color=style.BAND,
            edgecolor=style.LEVEL,
            hatch="//",
            width=0.7,
            label="evaporation",
        )
        ax.set_xticks(at, [name[:1] for name in MONTHS])
        ax.set_ylim(
            0.0, 1.25 * float((year.heating_kwh + year.evaporation_kwh).max()) or 1
        )
        ax.set_ylabel("heat, kWh a month")
        ax.set_xlabel("January to December")
        ax.grid(visible=False, axis="x")
        ax.set_title(_year_title(year, currency))
        parts.legend_below(ax)
    return ax


def _year_title(year: Year, currency: str) -> str:
    if year.energy_cost is None:
        total = float((year.heating_kwh + year.evaporation_kwh).sum())
        return f"Heat in a year: {plain(round(total))} kWh"
    return f"Heat in a year: {money_words(float(year.energy_cost.sum()), currency)}"


def year_alt(year: Year, currency: str = "") -> str:
    """Say what `year_picture` shows.

    Parameters
    ----------
    year : Year
        As drawn.
    currency : str, optional
        What to write behind an amount.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    both = year.heating_kwh + year.evaporation_kwh
    most, least = int(both.argmax()), int(both.argmin())
    return (
        f"Bars for twelve months, each of two parts. {_year_title(year, currency)}. "
        f"The highest bar is {MONTHS[most]} with {both[most]:.0f} kWh, of which "
        f"{year.heating_kwh[most]:.0f} warm new water and "
        f"{year.evaporation_kwh[most]:.0f} go with evaporation; the lowest is "
        f"{MONTHS[least]} with {both[least]:.0f} kWh."
    )
