"""The level ahead without and with a change of food."""

from __future__ import annotations

import datetime as dt
import math
from typing import TYPE_CHECKING

import numpy as np

from kit.headroom import FeedTrial
from kit.plots import _parts as parts
from kit.rounding import Output, plain, round_for_people

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["headroom_alt", "headroom_picture", "headroom_title"]


def _change(trial: FeedTrial) -> str:
    """Write the change of food."""
    amount = abs(trial.added_g_day)
    grams = plain(round_for_people(amount, max(0.05 * amount, 0.01)))
    return f"{grams} g {'more' if trial.added_g_day >= 0 else 'less'} a day"


def headroom_title(trial: FeedTrial) -> str:
    """Say what the change does to the usual peak, for the head of the picture.

    Parameters
    ----------
    trial : FeedTrial
        A change tried.

    Returns
    -------
    str
        Such as ``"0.5 g more a day: usual peak 35 to 52 mg/L"``.
    """
    peaks = (trial.now.peak_mg_l.estimate, trial.then.peak_mg_l.estimate)
    if not all(math.isfinite(p) for p in peaks):
        return f"{_change(trial)}: nothing holds the level"
    now, then = (parts.short(p) for p in peaks)
    if trial.added_g_day == 0.0:
        return f"No change of food: usual peak {now} {parts.UNIT}"
    return f"{_change(trial)}: usual peak {now} to {then} {parts.UNIT}"


def headroom_picture(
    trial: FeedTrial,
    *,
    ax: Axes | None = None,
    start: dt.date | None = None,
    output: Output = "metric",
) -> Axes:
    """Draw the level ahead as it is and with the change, and when it shows.

    Parameters
    ----------
    trial : FeedTrial
        The change tried.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    start : datetime.date, optional
        Day zero.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    before, after, ceiling = trial.before, trial.after, trial.then.ceiling_mg_l
    end = float(after.days[-1])
    with parts.drawing_on(ax) as ax:
        parts.level_axis(ax, output)
        parts.banded_line(ax, after, "with the change")
        parts.other_line(ax, before, "as it is")
        if ceiling is not None:
            parts.ceiling_line(ax, ceiling)
        highest = max(float(np.max(after.high)), float(np.max(before.high)))
        ax.set_ylim(0.0, 1.15 * max(highest, ceiling or 0.0))
        ax.set_xlim(0.0, end)
        if trial.tells_on is not None:
            parts.mark_day(ax, trial.tells_on, "a test can tell", end, row=1)
        if trial.days_to_95 <= end:
            parts.mark_day(ax, trial.days_to_95, "95 % there", end, row=0)
        ax.set_xlabel(parts.days_from(start))
        ax.set_title(headroom_title(trial))
        parts.legend_below(ax, columns=3)
    return ax


def headroom_alt(trial: FeedTrial, *, start: dt.date | None = None) -> str:
    """Say what `headroom_picture` shows.

    Parameters
    ----------
    trial : FeedTrial
        As drawn.
    start : datetime.date, optional
        Day zero.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    since = parts.from_day(start)
    side = "above" if trial.added_g_day >= 0 else "below"
    said = [
        f"Line picture of nitrate in mg/L as NO3 over {trial.after.days[-1]:.0f} days"
        f"{since}: a dashed sawtooth as it is, and a full one with "
        f"{_change(trial)}, which ends {side} "
        f"it. {headroom_title(trial)}."
    ]
    if math.isfinite(trial.days_to_95):
        said.append(f"95 % of the change is there on day {trial.days_to_95:.0f}.")
    if trial.tells_on is not None:
        said.append(f"One test can first tell it on day {trial.tells_on:.0f}.")
    if trial.then.ceiling_mg_l is not None:
        said.append(f"A dashed line marks {trial.then.ceiling_mg_l:g} mg/L.")
    return " ".join(said)
