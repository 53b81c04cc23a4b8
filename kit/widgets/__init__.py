"""Panels for notebooks and pages: one module each, put together here.

Panels read their sliders, ask the kit, and show the answer; they work nothing out.
"""

from kit.widgets.ammonia_panel import AmmoniaPanel
from kit.widgets.answers_panel import AnswersPanel
from kit.widgets.away_panel import AwayPanel
from kit.widgets.backwash_panel import BackwashPanel
from kit.widgets.card_bench import CardBench
from kit.widgets.catchup_panel import CatchUpPanel
from kit.widgets.caution_box import CautionBox
from kit.widgets.change_panel import ChangePanel, DoubtPanel
from kit.widgets.check_panel import CheckPanel
from kit.widgets.chlorine_panel import ChlorinePanel
from kit.widgets.cold_panel import ColdPanel
from kit.widgets.colour_bench import ColourBench
from kit.widgets.cup_panel import CupPanel
from kit.widgets.drain_panel import DrainPanel
from kit.widgets.drip_panel import DripPanel
from kit.widgets.first_hour import FirstHour
from kit.widgets.fit_panel import FitPanel
from kit.widgets.folder_picker import FolderPicker
from kit.widgets.habits_panel import HabitsPanel
from kit.widgets.headroom_panel import HeadroomPanel
from kit.widgets.heat_year_panel import HeatYearPanel
from kit.widgets.hose_panel import HosePanel
from kit.widgets.lookback_panel import LookbackPanel
from kit.widgets.map_panel import MapPanel
from kit.widgets.meter_panel import LimitPanel, LinePanel
from kit.widgets.next_tests_panel import NextTestsPanel
from kit.widgets.order_panel import OrderPanel
from kit.widgets.prefilter_panel import CleaningPanel, ClogPanel
from kit.widgets.readings_table import ReadingsTable
from kit.widgets.report_panel import ReportPanel
from kit.widgets.salt_panel import SaltPanel
from kit.widgets.shortlist_panel import ShortlistPanel
from kit.widgets.soon_panel import SoonPanel
from kit.widgets.standards_panel import StandardsPanel
from kit.widgets.sump_panel import SumpPanel
from kit.widgets.tune_bench import TuneBench
from kit.widgets.volume_panel import VolumePanel
from kit.widgets.weeks_ahead_panel import WeeksAheadPanel
from kit.widgets.zero_panel import ZeroPanel

__all__ = [
    "AmmoniaPanel",
    "AnswersPanel",
    "AwayPanel",
    "BackwashPanel",
    "CardBench",
    "CatchUpPanel",
    "CautionBox",
    "ChangePanel",
    "CheckPanel",
    "ChlorinePanel",
    "CleaningPanel",
    "ClogPanel",
    "ColdPanel",
    "ColourBench",
    "CupPanel",
    "DoubtPanel",
    "DrainPanel",
    "DripPanel",
    "FirstHour",
    "FitPanel",
    "FolderPicker",
    "HabitsPanel",
    "HeadroomPanel",
    "HeatYearPanel",
    "HosePanel",
    "LimitPanel",
    "LinePanel",
    "LookbackPanel",
    "MapPanel",
    "NextTestsPanel",
    "OrderPanel",
    "ReadingsTable",
    "ReportPanel",
    "SaltPanel",
    "ShortlistPanel",
    "SoonPanel",
    "StandardsPanel",
    "SumpPanel",
    "TuneBench",
    "VolumePanel",
    "WeeksAheadPanel",
    "ZeroPanel",
]
