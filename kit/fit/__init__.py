"""How fast nitrate rises, from what, and what cannot be told."""

from kit.fit._alike import SIZES
from kit.fit._beforehand import Beforehand
from kit.fit._rate import rate
from kit.fit._result import Alike, Curve, Estimate, FitResult, FittedTest, Lag

__all__ = [
    "SIZES",
    "Alike",
    "Beforehand",
    "Curve",
    "Estimate",
    "FitResult",
    "FittedTest",
    "Lag",
    "rate",
]
