"""Pictures of results, one function each; nothing is worked out here.

Each takes a result and an axes to draw on, and gives the axes back. Each has a twin
that says the same in words, for those who cannot see the picture.
"""

from kit.plots._fit import fit_alt, fit_picture, fit_title
from kit.plots._parts import say_day
from kit.plots._plan import PlanPicture, plan_alt, plan_picture, plan_title
from kit.plots._residual import residual_alt, residual_picture

__all__ = [
    "PlanPicture",
    "fit_alt",
    "fit_picture",
    "fit_title",
    "plan_alt",
    "plan_picture",
    "plan_title",
    "residual_alt",
    "residual_picture",
    "say_day",
]
