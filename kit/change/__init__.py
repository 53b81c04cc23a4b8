"""Has something changed: steps of the rate, slips of the log, odd readings."""

from kit.change._doubts import doubts, suspicions
from kit.change._outliers import outliers
from kit.change._report import report
from kit.change._result import (
    ChangeReport,
    Cusum,
    Finding,
    Kind,
    Known,
    OddReading,
    Outliers,
    Profile,
    Shapes,
    Unlogged,
)
from kit.change._unlogged import unlogged

__all__ = [
    "ChangeReport",
    "Cusum",
    "Finding",
    "Kind",
    "Known",
    "OddReading",
    "Outliers",
    "Profile",
    "Shapes",
    "Unlogged",
    "doubts",
    "outliers",
    "report",
    "suspicions",
    "unlogged",
]
