"""Plain sentences on readers and kits that differ."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kit.fit._result import Estimate
from kit.logbook import Test
from kit.rounding import say_band, say_range

__all__ = ["readers_said"]


def readers_said(
    offsets: Sequence[tuple[str, Estimate]], tests: Sequence[Test], rate: Estimate
) -> list[str]:
    """Say which readers and kits differ, and what follows if the other one is right."""
    out = []
    for name, off in offsets:
        named = re.fullmatch(r"(reader|kit) (.*) against (.*)", name)
        if named is None or off.low <= 0.0 <= off.high:
            continue
        kind, one, other = named.groups()
        low, high = sorted((100.0 * abs(off.low), 100.0 * abs(off.high)))
        size = say_band(100.0 * abs(off.estimate), low, high, "%")
        side = "higher" if off.estimate > 0.0 else "lower"
        text = (
            f"The {kind} {one} shows {size} {side} than {other}, which tested most and "
            f"is taken as right. If {one} is, the rise is that much {side}: until both "
            "are tried on a known solution, count on anything from "
            f"{_from_both(rate, off)} mg/L a day."
        )
        if _apart(tests, kind, one, other):
            text += (
                " The two were never in use together, so a change in the tank at that "
                "time looks the same."
            )
        out.append(text)
    return out


def _from_both(rate: Estimate, off: Estimate) -> str:
    """Range of the rise whoever is right; all levels go with the reader's."""
    other = 1.0 + off.estimate
    ends = (rate.low, rate.high, rate.low * other, rate.high * other)
    return say_range(min(ends), max(ends))


def _apart(tests: Sequence[Test], kind: str, one: str, other: str) -> bool:
    """Whether one reader or kit came only after the other had gone, or before."""
    names = [(t.reader if kind == "reader" else t.kit).strip() for t in tests]
    names = [name or "unnamed" for name in names]
    ours = [i for i, name in enumerate(names) if name == one]
    theirs = [i for i, name in enumerate(names) if name == other]
    if not ours or not theirs:
        return False
    return min(ours) > max(theirs) or max(ours) < min(theirs)
