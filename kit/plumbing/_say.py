"""Sentences about drains, sumps and hoses.

A sum says what it finds with the inputs given; it never calls anything safe.
"""

from __future__ import annotations

import math
from typing import Final

from kit.plumbing.spill import Backflow, Case, Outlook
from kit.rounding import (
    Output,
    format_length,
    format_volume,
    plain,
)

__all__ = [
    "CASE_WORDS",
    "hose_sentences",
    "hourly",
    "outlook_sentences",
    "say_minutes",
    "say_times",
    "sump_sentences",
]

CASE_WORDS: Final = {
    "as set": "Drip as set",
    "stuck open": "Valve stuck open",
    "drain blocked": "Drain blocked, drip as set",
    "both": "Drain blocked and valve stuck open",
}
"""Each case in words."""

_HOUR, _DAY = 60.0, 1440.0


def hourly(flow_l_h: float, output: Output = "metric") -> str:
    """Write a flow as a volume an hour.

    Parameters
    ----------
    flow_l_h : float
        Flow. [L/h]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        Such as ``"284 L an hour"``.

    Examples
    --------
    >>> hourly(283.6), hourly(0.917)
    ('284 L an hour', '0.92 L an hour')
    """
    band = None if flow_l_h >= 1.0 else 0.01
    return format_volume(flow_l_h, output, band_l=band) + " an hour"


def say_minutes(minutes: float) -> str:
    """Write a time in the unit that suits it.

    Parameters
    ----------
    minutes : float
        Time. [min]

    Returns
    -------
    str
        Minutes, hours or days.

    Examples
    --------
    >>> say_minutes(3.803), say_minutes(135.0), say_minutes(4000.0)
    ('3.8 minutes', '2.3 hours', '2.8 days')
    """
    for unit, size, most in (
        ("minute", 1.0, 90.0),
        ("hour", _HOUR, 2.0 * _DAY),
        ("day", _DAY, math.inf),
    ):
        if minutes < most:
            return _counted(minutes / size, unit)
    return "no time that ends"


def _counted(value: float, unit: str) -> str:
    number = plain(round(value, 0 if value >= 10 else 1))
    return f"{number} {unit}" if number == "1" else f"{number} {unit}s"


def say_times(factor: float) -> str:
    """Write how many times one thing is another.

    Parameters
    ----------
    factor : float
        The one over the other. [-]

    Returns
    -------
    str
        Such as ``"1.9 times"``.

    Examples
    --------
    >>> say_times(1.004), say_times(3.0), say_times(580.3)
    ('1.0 times', '3 times', '580 times')
    """
    if factor >= 1000.0:
        return "over 1,000 times"
    whole = factor >= 20 or factor == round(factor)
    return f"{plain(round(factor, 0 if whole else 1), 0 if whole else 1)} times"


def outlook_sentences(seen: Outlook, output: Output = "metric") -> list[str]:
    """Say what each case comes to.

    Parameters
    ----------
    seen : Outlook
        From `kit.plumbing.outlook`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The valve stuck open first, as it is the case that counts.

    Examples
    --------
    >>> from kit.plumbing import Drain, outlook
    >>> seen = outlook(Drain(26.6), drip_l_h=0.92, wide_open_l_h=284.0, head_mm=10.0,
    ...                freeboard_mm=30.0, area_m2=0.6)
    >>> print(outlook_sentences(seen)[0])
    By this sum, with these inputs, the drain carries 532 L an hour, 1.9 times what
    the tube lets in when its valve sticks open (284 L an hour). You ask for 3 times:
    it falls short.
    """
    stuck, usual = seen.case("stuck open"), seen.case("as set")
    blocked, both = seen.case("drain blocked"), seen.case("both")
    verdict = "it holds" if stuck.spare >= seen.asked else "it falls short"
    said = [
        "By this sum, with these inputs, the drain carries "
        f"{hourly(stuck.capacity_l_h, output)}, {say_times(stuck.spare)} what the tube "
        f"lets in when its valve sticks open ({hourly(stuck.inflow_l_h, output)}). You "
        f"ask for {say_times(seen.asked)}: {verdict}.",
        f"Lose half of it to a snail or to slime, and it is "
        f"{say_times(stuck.spare / 2.0)}.",
        _stuck_said(stuck, seen, output),
    ]
    if usual.inflow_l_h > 0.0:
        said.append(
            f"The drip as set, {hourly(usual.inflow_l_h, output)}, is carried "
            f"{say_times(usual.spare)} over; almost any drain does that, so it proves "
            "little."
            if usual.spare > 1.0
            else f"Even the drip as set, {hourly(usual.inflow_l_h, output)}, is more "
            "than this drain carries."
        )
    said.append(_blocked_said(blocked, both))
    return said


def _height(height_mm: float, output: Output) -> str:
    """Write a height in mm, or in inches for those who use them."""
    if output == "us":
        return format_length(round(height_mm / 10.0, 2), output)
    return f"{plain(round(height_mm))} mm"


def _stuck_said(stuck: Case, seen: Outlook, output: Output) -> str:
    """Where the water goes when the valve sticks open."""
    if math.isfinite(stuck.minutes):
        return (
            "With the valve stuck open water would run over the rim after "
            f"{say_minutes(stuck.minutes)}."
        )
    high, rim = _height(stuck.standing_mm, output), _height(seen.freeboard_mm, output)
    beyond = (
        ", past the rise you allow" if stuck.standing_mm > seen.head_mm * 1.001 else ""
    )
    return (
        f"With the valve stuck open the water would stand {high} above the drain's "
        f"lip{beyond}; the rim is at {rim}."
    )


def _blocked_said(blocked: Case, both: Case) -> str:
    """How long a blocked drain leaves."""
    if both.inflow_l_h <= 0.0:
        return "Nothing runs in, so a blocked drain spills nothing."
    if blocked.inflow_l_h <= 0.0:
        return (
            "With the drain blocked and the valve stuck open, water runs over the rim "
            f"after {say_minutes(both.minutes)}."
        )
    return (
        f"With the drain blocked, water runs over the rim after "
        f"{say_minutes(blocked.minutes)} at the drip as set, and after "
        f"{say_minutes(both.minutes)} if the valve sticks open as well."
    )


def sump_sentences(seen: Backflow, output: Output = "metric") -> list[str]:
    """Say whether a sump holds what runs back.

    Parameters
    ----------
    seen : Backflow
        From `kit.plumbing.backflow`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The verdict first.

    Examples
    --------
    >>> print(sump_sentences(Backflow(18.0, 30.0, 90.0))[0])
    By this sum, with these inputs, 18 L run back when the return pump stops and the
    sump has room for 30 L, 1.7 times that.
    """
    back = format_volume(seen.back_l, output)
    room = format_volume(seen.room_l, output)
    rise = _height(seen.rise_mm, output)
    if seen.back_l <= 0.0:
        return ["With these inputs nothing runs back when the return pump stops."]
    if seen.spare >= 1.0:
        first = (
            f"By this sum, with these inputs, {back} run back when the return pump "
            f"stops and the sump has room for {room}, {say_times(seen.spare)} that."
        )
    else:
        over = format_volume(seen.back_l - seen.room_l, output)
        first = (
            f"By this sum, with these inputs, {back} run back when the return pump "
            f"stops, but the sump has room for {room} only: {over} end on the floor."
        )
    return [
        first,
        f"Its level climbs {rise}. Mark the highest level at which it may run, stop "
        "the pump once while you watch, and mind that a blocked siphon break lets far "
        "more run back.",
    ]


def hose_sentences(
    flow_l_h: float,
    litres: float,
    minutes: float,
    output: Output = "metric",
) -> list[str]:
    """Say how long a hose takes.

    Parameters
    ----------
    flow_l_h : float
        Flow at first. [L/h]
    litres : float
        Water to move. [L]
    minutes : float
        Time it takes as the level falls; ``math.inf`` where it cannot. [min]
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    list of str
        The time first.

    Examples
    --------
    >>> print(hose_sentences(1055.0, 75.0, 4.43)[0])
    By this sum, with these inputs, 75 L take 4.4 minutes.
    """
    moved = format_volume(litres, output)
    if not math.isfinite(minutes):
        return [
            f"The hose ends too high: the level would fall to its end before {moved} "
            "are out. Lower the end, or take less at a time."
        ]
    start = format_volume(flow_l_h / 60.0, output)
    return [
        f"By this sum, with these inputs, {moved} take {say_minutes(minutes)}.",
        f"It begins with {start} a minute and slows as the level falls. Kinks, bends, "
        "a strainer or a lift over a high rim make it slower.",
        "Set a timer and stay in the room.",
    ]
