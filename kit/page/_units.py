"""Volumes of finished sentences in the reader's units."""

from __future__ import annotations

import re
from typing import Final

from kit.rounding import Output, format_volume

__all__ = ["both_volumes", "in_units"]

# "342 L", but not the litre of "mg/L" or "18 mg/L a day".
_LITRES: Final = re.compile(
    r"(?<![\w./,])([0-9][0-9,]{0,11}(?:\.[0-9]{1,9})?) L\b(?!/)"
)


def in_units(text: str, output: Output) -> str:
    """Write the volumes of a sentence in the reader's units.

    Parameters
    ----------
    text : str
        A finished sentence that names litres.
    output : {"metric", "us", "imperial"}
        Whose units.

    Returns
    -------
    str
        The same sentence.

    Examples
    --------
    >>> in_units("The drip ran as stated (22 L a day).", "us")
    'The drip ran as stated (5.81 US gal a day).'
    >>> in_units("It peaks at 37 mg/L.", "us")
    'It peaks at 37 mg/L.'
    """
    if output == "metric":
        return text

    def turned(match: re.Match[str]) -> str:
        return format_volume(float(match[1].replace(",", "")), output)

    return _LITRES.sub(turned, text)


def both_volumes(volume_l: float, output: Output) -> str:
    """Write a volume in the reader's unit and in litres, as others may read it."""
    shown = format_volume(volume_l, output)
    return shown if output == "metric" else f"{shown} ({format_volume(volume_l)})"
