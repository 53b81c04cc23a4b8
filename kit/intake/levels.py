"""What one nitrate reading allows with the kit it was read with."""

from __future__ import annotations

from dataclasses import dataclass

from kit.bands import band, bands
from kit.logbook import Tank
from kit.reading import Reading

__all__ = ["Level", "kit_known", "level_of"]


@dataclass(frozen=True, slots=True)
class Level:
    """One reading as NO3, ready for a record.

    Parameters
    ----------
    low_mg_l, high_mg_l, value_mg_l : float or None
        As in `kit.logbook.Test`. [mg/L]
    raw : str
        Cell as written.
    doubtful : bool
        Marked by the keeper.
    """

    low_mg_l: float
    high_mg_l: float | None
    value_mg_l: float | None
    raw: str
    doubtful: bool


def kit_known(tank: Tank) -> bool:
    """Tell whether the settings name the kit's steps or its resolution."""
    return bool(tank.kit_steps_mg_l or tank.kit_resolution_mg_l)


def level_of(reading: Reading, tank: Tank, lowest: float | None) -> Level:
    """Turn a reading into the interval it allows with a kit.

    Parameters
    ----------
    reading : Reading
        As mg/L of NO3.
    tank : Tank
        Settings with the kit.
    lowest : float or None
        Below what a kit that is not known shows nothing. [mg/L]

    Returns
    -------
    Level
        The interval, with what was written.
    """
    low, high = reading.low, reading.high
    if reading.needs_kit:
        low, high = _bottom(reading, tank, lowest)
    elif reading.kind == "number":
        value = reading.value or 0.0
        low, high = band(value, tank.kit_steps_mg_l, tank.kit_resolution_mg_l)
    return Level(low, high, reading.value, reading.raw, reading.doubtful)


def _bottom(
    reading: Reading, tank: Tank, lowest: float | None
) -> tuple[float, float | None]:
    """Give the interval of a reading that shows nothing, or only a trace."""
    steps, resolution = tank.kit_steps_mg_l, tank.kit_resolution_mg_l
    if steps:
        first = next((s for s in steps if s > 0), None)
        if reading.kind == "trace" or steps[0] > 0:
            return 0.0, first
        return bands(steps)[0]
    if resolution:
        return 0.0, resolution / 2 if reading.kind == "zero" else resolution
    return 0.0, lowest
