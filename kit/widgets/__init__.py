"""Panels for notebooks and pages: one module each, put together here.

Panels read their sliders, ask the kit, and show the answer; they work nothing out.
"""

from kit.widgets.caution_box import CautionBox
from kit.widgets.check_panel import CheckPanel
from kit.widgets.first_hour import FirstHour
from kit.widgets.fit_panel import FitPanel
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.readings_table import ReadingsTable
from kit.widgets.tune_bench import TuneBench

__all__ = [
    "CautionBox",
    "CheckPanel",
    "FirstHour",
    "FitPanel",
    "FolderPicker",
    "ReadingsTable",
    "TuneBench",
]
