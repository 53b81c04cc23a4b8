"""What a test kit can tell: bands, dilution, standards, limits, calibration."""

from __future__ import annotations

from kit.testkit.standards import Bias, Standard, kit_bias

__all__ = ["Bias", "Standard", "kit_bias"]
