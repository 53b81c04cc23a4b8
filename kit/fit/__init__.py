"""How fast nitrate rises, from what, and what cannot be told."""

from kit.fit._rate import rate
from kit.fit._result import Curve, Estimate, FitResult, FittedTest

__all__ = ["Curve", "Estimate", "FitResult", "FittedTest", "rate"]
