"""A second look at a tank with a drip, with the drip left free."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kit.balance import Floats, Flow, design, link
from kit.fit._bands import KitView
from kit.fit._ledger import Ledger
from kit.fit._outflow import Projected, project
from kit.fit._weave import laid
from kit.rounding import say_band

__all__ = ["drip_said", "free_drip"]

_MIN_TESTS = 10
_HIGHEST_PER_DAY = 2.0


def free_drip(ledger: Ledger, kit: KitView) -> Projected | None:
    """Fit the rate and the overflow of the drip together.

    Parameters
    ----------
    ledger : Ledger
        Events in order.
    kit : KitView
        Bands of its tests; their written numbers are used.

    Returns
    -------
    Projected or None
        Starts, rate [mg/L/day] and overflow per volume [1/day]; None where the log
        has too few tests.
    """
    if len(ledger.tests) < _MIN_TESTS:
        return None
    steps = laid(ledger).steps

    def layout(k: float) -> tuple[Floats, Floats]:
        changed = [
            replace(
                s,
                overflow_l_day=k * s.volume_l,
                inflow_l_day=s.inflow_l_day - s.overflow_l_day + k * s.volume_l,
            )
            if isinstance(s, Flow)
            else s
            for s in steps
        ]
        d = design(link(changed))
        return np.column_stack([d.start, d.base]), d.known

    return project(layout, kit.written, lowest=1e-4, highest=_HIGHEST_PER_DAY)


def drip_said(ledger: Ledger, kit: KitView) -> list[str]:
    """Say what the tests themselves make of the drip.

    Parameters
    ----------
    ledger, kit : Ledger, KitView
        As in `free_drip`.

    Returns
    -------
    list of str
        Empty for a tank without a drip or with too few tests.
    """
    tank = ledger.tank
    if tank.drip_l_day <= 0 or tank.volume_l is None:
        return []
    found = free_drip(ledger, kit)
    if found is None:
        return []
    k, error = found.params[-1], found.bse[-1]
    low, high = max(k - 2 * error, 0.0), k + 2 * error
    rate = len(found.params) - 2
    if found.bounded or found.alike(rate) or error > k:
        return [
            "Drip and rise cannot be told apart from these tests: a slower drip with a "
            "slower rise would read nearly the same. Measure the drip with a cup and a "
            "watch."
        ]
    stated = max(tank.drip_l_day - tank.evaporation_l_day, 0.0)
    said = say_band(k * tank.volume_l, low * tank.volume_l, high * tank.volume_l, "L")
    text = f"With the drip left free the tests put its overflow at {said} a day"
    if low * tank.volume_l <= stated <= high * tank.volume_l:
        return [f"{text}, which agrees with the {stated:g} L stated."]
    return [
        f"{text}, not the {stated:g} L stated: the drip may have slowed, or nitrate is "
        "lost in the tank. Measure the drip with a cup and a watch."
    ]
