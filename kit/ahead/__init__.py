"""The weeks ahead: the level to come, how well that is told, and what to test next."""

from kit.ahead._backtest import HORIZONS, Backtest, Foretold, Guess, backtest
from kit.ahead._forecast import Trace, forecast
from kit.ahead._kit import Chances, Kit, kit_of
from kit.ahead._outlook import (
    Coming,
    Outlook,
    Peaks,
    days_to_exchange,
    outlook,
    peaks_under,
    usual_peaks,
)
from kit.ahead._paths import Course, course, follow
from kit.ahead._say import backtest_sentences, outlook_sentences, reading_words
from kit.ahead._scores import interval_score, miss, share_held
from kit.ahead._verdict import Compared, Tally, compare, tally

__all__ = [
    "HORIZONS",
    "Backtest",
    "Chances",
    "Coming",
    "Compared",
    "Course",
    "Foretold",
    "Guess",
    "Kit",
    "Outlook",
    "Peaks",
    "Tally",
    "Trace",
    "backtest",
    "backtest_sentences",
    "compare",
    "course",
    "days_to_exchange",
    "follow",
    "forecast",
    "interval_score",
    "kit_of",
    "miss",
    "outlook",
    "outlook_sentences",
    "peaks_under",
    "reading_words",
    "share_held",
    "tally",
    "usual_peaks",
]
