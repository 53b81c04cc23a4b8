"""Readings corrected by what checks on known solutions showed of the kit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kit.fit._bands import KitView
from kit.logbook import Standard, Test
from kit.testkit.standards import Bias, kit_bias

__all__ = ["corrected", "standards_said"]


def _biases(standards: Sequence[Standard], tests: Sequence[Test]) -> dict[str, Bias]:
    """Bias of each kit that stands beside the tests; ``""`` for an unnamed one."""
    named = {s.kit.strip().casefold() for s in standards}
    out = {}
    for name in dict.fromkeys(t.kit.strip() for t in tests):
        # Checks that name no kit, or a log that names none, speak of the one kit used.
        apart = name.casefold() in named
        out[name] = kit_bias(standards, kit=name if apart else None)
        if name and not apart and named != {""}:
            out[name] = Bias(0.0, 0.0, 0)
    return out


def corrected(
    kit: KitView, standards: Sequence[Standard], tests: Sequence[Test]
) -> KitView:
    """Take the bias that checks showed off every band.

    Parameters
    ----------
    kit : KitView
        Bands as read.
    standards : sequence of Standard
        Checks on known solutions.
    tests : sequence of Test
        The readings, in the order of the bands.

    Returns
    -------
    KitView
        Bands of the level itself, with how well each kit's bias is known; unchanged
        where there are too few checks to correct by.
    """
    biases = _biases(standards, tests) if standards else {}
    sound = {name: b for name, b in biases.items() if b.n > 0 and not b.too_few}
    if not sound:
        return kit
    factor = np.array(
        [
            math.exp(sound[name].estimate) if name in sound else 1.0
            for name in (t.kit.strip() for t in tests)
        ]
    )
    return replace(
        kit,
        low=kit.low / factor,
        high=kit.high / factor,
        written=kit.written / factor,
        tried={name: bias.sd for name, bias in sound.items()},
    )


def standards_said(
    standards: Sequence[Standard], tests: Sequence[Test]
) -> tuple[str, ...]:
    """Say what checks on known solutions did to the fit.

    Parameters
    ----------
    standards : sequence of Standard
        Checks on known solutions.
    tests : sequence of Test
        The readings.

    Returns
    -------
    tuple of str
        A sentence for each kit that was checked.
    """
    out = []
    for name, bias in (_biases(standards, tests) if standards else {}).items():
        which = f"Kit {name}" if name else "The kit"
        checks = "1 check" if bias.n == 1 else f"{bias.n} checks"
        if bias.n == 0:
            continue
        if bias.too_few:
            out.append(
                f"{which} was tried on a known solution ({checks}): too few to correct "
                "by."
            )
            continue
        low, high = bias.factor_band()
        out.append(
            f"{which} reads {bias.factor:.2f} times the true value ({low:.2f} to "
            f"{high:.2f}, {checks} on known solutions). Its readings are corrected by "
            "this, and the band takes in how well it is known."
        )
    return tuple(out)
