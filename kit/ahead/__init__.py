"""The weeks ahead: the level to come, how well that is told, and what to test next."""

from kit.ahead._advice import NextTests, next_tests
from kit.ahead._backtest import HORIZONS, Backtest, Foretold, Guess, backtest
from kit.ahead._candidates import KIT_BIAS, Candidate, candidates, many_tanks
from kit.ahead._forecast import Trace, forecast
from kit.ahead._future import future_draws
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
from kit.ahead._plain import backtest_as_dict
from kit.ahead._power import (
    WAYS,
    Power,
    Way,
    exchanges_a_test,
    power,
    power_for,
    way_of,
)
from kit.ahead._say import (
    backtest_rows,
    backtest_sentences,
    backtest_verdict,
    outlook_sentences,
    reading_words,
)
from kit.ahead._say_tests import (
    candidate_words,
    next_test_sentences,
    power_rows,
    power_sentences,
    width_words,
)
from kit.ahead._scores import interval_score, miss, share_held
from kit.ahead._verdict import Compared, Tally, compare, tally
from kit.ahead._worth import Advice, Worth, advise

__all__ = [
    "HORIZONS",
    "KIT_BIAS",
    "WAYS",
    "Advice",
    "Backtest",
    "Candidate",
    "Chances",
    "Coming",
    "Compared",
    "Course",
    "Foretold",
    "Guess",
    "Kit",
    "NextTests",
    "Outlook",
    "Peaks",
    "Power",
    "Tally",
    "Trace",
    "Way",
    "Worth",
    "advise",
    "backtest",
    "backtest_as_dict",
    "backtest_rows",
    "backtest_sentences",
    "backtest_verdict",
    "candidate_words",
    "candidates",
    "compare",
    "course",
    "days_to_exchange",
    "exchanges_a_test",
    "follow",
    "forecast",
    "future_draws",
    "interval_score",
    "kit_of",
    "many_tanks",
    "miss",
    "next_test_sentences",
    "next_tests",
    "outlook",
    "outlook_sentences",
    "peaks_under",
    "power",
    "power_for",
    "power_rows",
    "power_sentences",
    "reading_words",
    "share_held",
    "tally",
    "usual_peaks",
    "way_of",
    "width_words",
]
