"""The weeks ahead: the level to come, how well that is told, and what to test next."""

from kit.ahead._forecast import Trace, forecast
from kit.ahead._paths import Course, course, follow

__all__ = ["Course", "Trace", "course", "follow", "forecast"]
