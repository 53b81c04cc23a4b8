"""What a test kit can tell: bands, dilution, standards, limits, calibration."""

from __future__ import annotations

from kit.testkit._say import (
    bias_sentences,
    colour_sentences,
    dilution_sentences,
    joined_sentence,
    limit_sentences,
    line_sentences,
    repeat_sentences,
    zero_sentences,
)
from kit.testkit.calibration import Line, ReadBack, calibration_line
from kit.testkit.card import (
    Colour,
    colour_of,
    colours,
    mean_reading,
    reading_chances,
)
from kit.testkit.dilute import (
    Dilution,
    best_dilution,
    dilution,
    read_diluted,
)
from kit.testkit.limit import Limit, detection_limit
from kit.testkit.standards import (
    READER_NOISE,
    Bias,
    Standard,
    by_kit,
    kit_bias,
    read_over_known,
)
from kit.testkit.zero import Zero, zero_reading

__all__ = [
    "READER_NOISE",
    "Bias",
    "Colour",
    "Dilution",
    "Limit",
    "Line",
    "ReadBack",
    "Standard",
    "Zero",
    "best_dilution",
    "bias_sentences",
    "by_kit",
    "calibration_line",
    "colour_of",
    "colour_sentences",
    "colours",
    "detection_limit",
    "dilution",
    "dilution_sentences",
    "joined_sentence",
    "kit_bias",
    "limit_sentences",
    "line_sentences",
    "mean_reading",
    "read_diluted",
    "read_over_known",
    "reading_chances",
    "repeat_sentences",
    "zero_reading",
    "zero_sentences",
]
