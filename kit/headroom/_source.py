"""The new water as the floor under every habit, and what blending does to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kit.balance import Floats
from kit.draws import Draws
from kit.errors import PlanError
from kit.headroom._room import rate_for
from kit.plan import Band, plan
from kit.sawtooth import Habit

__all__ = [
    "Blend",
    "blend_table",
    "blended",
    "pure_share_for",
    "source_for",
    "worth_blending",
]

_SMALL_SHARE = 0.2
"""Below this share of the peak the new water is called a small part. [-]"""


@dataclass(frozen=True, slots=True)
class Blend:
    """The habit with part of the new water replaced by pure water.

    Parameters
    ----------
    pure_share : float
        Part of pure water in the new water, 0 to 1. [-]
    source_mg_l : float
        Nitrate of the blend: the floor of every habit, as NO3. [mg/L]
    peak_mg_l : Band
        Usual peak with it, as NO3. [mg/L]
    pure_l : float
        Pure water for each exchange. [L]
    """

    pure_share: float
    source_mg_l: float
    peak_mg_l: Band
    pure_l: float


def pure_share_for(source_mg_l: float, wanted_mg_l: float) -> float:
    """Part of pure water that brings the new water down to a level.

    Parameters
    ----------
    source_mg_l, wanted_mg_l : float
        Nitrate of the new water as it is and as it shall be, as NO3. [mg/L]

    Returns
    -------
    float
        ``1 - wanted/source``; 0 where it is low enough already. [-]

    Raises
    ------
    PlanError
        A level below zero.

    Examples
    --------
    >>> round(pure_share_for(30.0, 10.0), 3)
    0.667
    """
    if wanted_mg_l < 0.0 or source_mg_l < 0.0:
        msg = "Nitrate cannot be below zero."
        raise PlanError(msg)
    if source_mg_l <= wanted_mg_l:
        return 0.0
    return 1.0 - wanted_mg_l / source_mg_l


def blended(habit: Habit, draws: Draws, pure_share: float) -> tuple[Habit, Draws]:
    """Replace part of the new water by pure water, in a habit and in its draws.

    Parameters
    ----------
    habit : Habit
        With the new water as it is.
    draws : Draws
        Equally likely tanks.
    pure_share : float
        Part of pure water, 0 to 1. [-]

    Returns
    -------
    Habit, Draws
        Both with the blend as their new water.

    Raises
    ------
    PlanError
        A part outside 0 to 1.
    """
    if not 0.0 <= pure_share <= 1.0:
        msg = "Pure water makes up between 0 and 100 percent of the new water."
        raise PlanError(msg)
    left = 1.0 - pure_share
    return (
        replace(habit, source_mg_l=left * habit.source_mg_l),
        replace(draws, source_mg_l=left * draws.source_mg_l),
    )


def source_for(habit: Habit, rate_mg_l_day: float, ceiling_mg_l: float) -> float:
    """Highest nitrate of the new water that lets a habit hold a ceiling.

    Parameters
    ----------
    habit : Habit
        Volume, exchanges and drip; its own source is not used.
    rate_mg_l_day, ceiling_mg_l : float
        Net rate [mg/L/day] and ceiling [mg/L], as NO3.

    Returns
    -------
    float
        Level as NO3; without drip or loss ``ceiling - g T / f``. [mg/L]

    Raises
    ------
    PlanError
        Not even pure water would do, or nothing carries nitrate away.

    Examples
    --------
    >>> source_for(Habit(200.0, 0.25, 7.0), 1.0, 40.0)
    12.0
    """
    # The rate allowed falls in a straight line with the source: two points give it.
    at_none = rate_for(replace(habit, source_mg_l=0.0), ceiling_mg_l)
    if at_none < rate_mg_l_day:
        msg = (
            f"Not even pure water would hold {ceiling_mg_l:g} mg/L with this habit: "
            "exchange more, or feed less."
        )
        raise PlanError(msg)
    half = ceiling_mg_l / 2.0
    slope = (rate_for(replace(habit, source_mg_l=half), ceiling_mg_l) - at_none) / half
    return (rate_mg_l_day - at_none) / slope


def blend_table(
    habit: Habit,
    rate_mg_l_day: float,
    rate_draws: Floats | None = None,
    *,
    shares: Sequence[float] = (0.0, 1.0 / 3.0, 0.5, 2.0 / 3.0, 1.0),
) -> tuple[Blend, ...]:
    """Lay several blends of tap and pure water side by side.

    Parameters
    ----------
    habit : Habit
        The habit, with the new water as it is.
    rate_mg_l_day : float
        Net rate, as NO3. [mg/L/day]
    rate_draws : ndarray, optional
        Equally likely rates. [mg/L/day]
    shares : sequence of float, optional
        Parts of pure water. [-]

    Returns
    -------
    tuple of Blend
        In the order given.

    Notes
    -----
    The net rate is taken to stay as it is. Plants that take more at a higher level
    would take less from purer water, and the true peak then lies a little higher.
    """
    mixes = (blended(habit, Draws.none(), share)[0] for share in shares)
    return tuple(
        _blend(mix, share, rate_mg_l_day, rate_draws)
        for mix, share in zip(mixes, shares, strict=True)
    )


def worth_blending(blends: Sequence[Blend]) -> bool:
    """Tell whether the new water makes up much of the usual peak.

    Parameters
    ----------
    blends : sequence of Blend
        From `blend_table`, as it is first.

    Returns
    -------
    bool
        True from a fifth of the peak on; False where nothing holds the peak.
    """
    first = blends[0]
    return first.source_mg_l > _SMALL_SHARE * first.peak_mg_l.estimate


def _blend(habit: Habit, share: float, rate: float, draws: Floats | None) -> Blend:
    return Blend(
        pure_share=share,
        source_mg_l=habit.source_mg_l,
        peak_mg_l=plan(habit, rate, draws).peak_mg_l,
        pure_l=share * habit.fraction * habit.volume_l,
    )
