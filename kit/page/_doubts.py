"""What would change the rate, and by how much: sums another keeper can repeat.

The net rate is what the level gained plus what exchanges and drip carried off, over
the days. Each sentence changes one of the parts that were carried off and says what
becomes of the rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kit.fit import SIZES, FitResult
from kit.logbook import Exchange, Logbook
from kit.rounding import Output, decimals_for, format_volume, plain

__all__ = ["Export", "changes_of", "export_of"]

_TENTH = 0.1
_MORE_SOURCE_MG_L = 5.0


@dataclass(frozen=True, slots=True)
class Export:
    """What left the tank with its water, spread over the days between the tests.

    Parameters
    ----------
    batch_mg_l_day : float
        Carried off by exchanges, less what the new water brought. [mg/L/day]
    litre_share : float
        Part of it by exchanges whose size was written as litres. [-]
    share_day : float
        Part of the tank's water that was renewed. [1/day]
    drip_mg_l_day : float
        Carried off by the drip, less what it brought. [mg/L/day]
    """

    batch_mg_l_day: float
    litre_share: float
    share_day: float
    drip_mg_l_day: float


def export_of(log: Logbook, result: FitResult) -> Export | None:
    """Sum up what left the tank, from the fitted level.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.

    Returns
    -------
    Export or None
        None without a fitted level.
    """
    curve = result.curve
    if curve is None or len(result.tests) < 2:
        return None
    first, last = result.tests[0].date, result.tests[-1].date
    days = float((last - first).days)
    if days <= 0:
        return None
    swaps = [
        e
        for e in log.exchanges
        if e.kind != "drip change" and e.fraction and first <= e.date <= last
    ]
    drops = sum(
        float(before - after)
        for (one, before), (other, after) in pairwise(
            zip(curve.days, curve.level, strict=True)
        )
        if one == other and before == before and after == after
    )
    drip = _drip_share(log)
    spare = float(np.nanmean(curve.level)) - (result.source_mg_l or 0.0)
    return Export(
        drops / days,
        _litre_share(swaps),
        sum(e.fraction or 0.0 for e in swaps) / days + drip,
        drip * spare,
    )


def _drip_share(log: Logbook) -> float:
    """Part of the tank that overflows, less what only replaces evaporation. [1/day]."""
    tank = log.tank
    if not tank.volume_l:
        return 0.0
    return max(tank.drip_l_day - tank.evaporation_l_day, 0.0) / tank.volume_l


def _litre_share(swaps: list[Exchange]) -> float:
    total = sum(e.fraction or 0.0 for e in swaps)
    litres = sum(e.fraction or 0.0 for e in swaps if e.litres is not None)
    return litres / total if total else 0.0


def changes_of(
    log: Logbook, result: FitResult, output: Output = "metric"
) -> tuple[str, ...]:
    """Say what would change the rate.

    Parameters
    ----------
    log : Logbook
        The log.
    result : FitResult
        Its fit.
    output : {"metric", "us", "imperial"}, optional
        Whose units for volumes.

    Returns
    -------
    tuple of str
        Sentences, each with its own result; empty without a rate.
    """
    rate = result.net_rate
    moved = export_of(log, result)
    if rate is None or moved is None:
        return ()
    half = (rate.high - rate.low) / 2
    said = [
        "A kit that shows a tenth too much, for the new water as well: the rise is "
        + _instead(rate.estimate / (1 + _TENTH), rate.estimate, half)
    ]
    batch = moved.batch_mg_l_day
    # What the fit itself makes of smaller exchanges, where it says so; else what a
    # tenth of the exchanges carried off.
    fifth = next((a.effect for a in result.alike if a.what == SIZES), None)
    size = _TENTH * batch if fifth is None else abs(fifth) / 2.0
    if batch > 0:
        said.append(
            "Exchanges a tenth smaller than logged: "
            + _instead(rate.estimate - size, rate.estimate, half)
        )
        said.append(
            "One exchange in ten not logged: "
            + _instead(rate.estimate + size, rate.estimate, half)
        )
    said += _source_said(result, moved, half)
    said += _volume_said(log, moved, result, half, output)
    return tuple(said)


def _instead(changed: float, rate: float, half: float) -> str:
    """Write a changed rate beside the one above, rounded as its band allows."""
    decimals = decimals_for(half) if half > 0 else 2
    now, then = (plain(round(v, decimals), decimals) for v in (rate, changed))
    if now == then:
        return f"about the same, {now} mg/L a day; the band is wider than that."
    return f"about {then} mg/L a day in place of {now}."


def _source_said(result: FitResult, moved: Export, half: float) -> list[str]:
    rate = result.net_rate
    if rate is None or moved.share_day <= 0:
        return []
    lower = rate.estimate - moved.share_day * _MORE_SOURCE_MG_L
    held = f"{result.source_mg_l:.2g}" if result.source_known else "0"
    return [
        f"New water with {_MORE_SOURCE_MG_L:g} mg/L more nitrate than the {held} taken "
        "here: the tank itself makes " + _instead(lower, rate.estimate, half)
    ]


def _volume_said(
    log: Logbook, moved: Export, result: FitResult, half: float, output: Output
) -> list[str]:
    """Say what a wrong volume does; nothing to a rate per litre from percents alone."""
    rate, volume = result.net_rate, log.tank.volume_l
    if rate is None or volume is None:
        return []
    smaller = format_volume(volume * (1 - _TENTH), output)
    by_volume = moved.litre_share * moved.batch_mg_l_day + moved.drip_mg_l_day
    if by_volume <= 0:
        return [
            f"A tank of {smaller}, a tenth less than stated: the rise stays, as no "
            "exchange was written in litres; amounts of water fall by a tenth."
        ]
    higher = rate.estimate + by_volume * _TENTH / (1 - _TENTH)
    return [
        f"A tank of {smaller}, a tenth less than stated: "
        + _instead(higher, rate.estimate, half)
    ]
