"""How much water is in a tank: several ways, each with its error, and their mean.

An error is one standard deviation: two times in three the truth lies nearer than that.
"""

from __future__ import annotations

from kit.volume._counted import counted_fill
from kit.volume._dilution import CONDUCTIVITY_PER_G_L, salinity, tracer
from kit.volume._found import WAYS, Found
from kit.volume._mean import Mean, mean
from kit.volume._nitrate import nitrate_exchange
from kit.volume._say import (
    found_lines,
    label_sentence,
    mean_sentences,
    settings_lines,
)
from kit.volume._tape import geometry, level_fall

__all__ = [
    "CONDUCTIVITY_PER_G_L",
    "WAYS",
    "Found",
    "Mean",
    "counted_fill",
    "found_lines",
    "geometry",
    "label_sentence",
    "level_fall",
    "mean",
    "mean_sentences",
    "nitrate_exchange",
    "salinity",
    "settings_lines",
    "tracer",
]
