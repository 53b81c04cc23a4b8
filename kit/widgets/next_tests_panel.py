"""Which tests would narrow the picked tank's answer, in a calendar."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from kit import plots
from kit.ahead import (
    KIT_BIAS,
    NextTests,
    Outlook,
    candidate_words,
    days_to_exchange,
    future_draws,
    next_test_sentences,
    next_tests,
    outlook,
    width_words,
)
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.tank_panel import TankPanel, choice

__all__ = ["NextTestsPanel"]

_DAYS_BETWEEN = 7


class NextTestsPanel(TankPanel):
    """A calendar of tests for a budget, and what each would leave.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    found : NextTests or None
        What is shown.
    """

    topics = ("animals", "skin")
    mind = "Before you test"
    united = False
    found: NextTests | None = None

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the budget, the span, and what is to be narrowed."""
        self.budget = Dial("Tests you will make", 4.0, 1.0, 8.0, 1.0)
        self.weeks = choice("Within", [(f"{n} weeks", n) for n in (2, 4, 6)])
        self.weeks.value = 4
        self.goal = choice(
            "To narrow", [("the daily rise", False), ("the usual peak", True)]
        )
        self.kit_off = choice(
            "The kit",
            [("is taken as right", 0.0), ("may be 15 % off", KIT_BIAS)],
        )
        self.heed(self.budget, self.weeks, self.goal, self.kit_off)
        return [self.budget.row, self.weeks, self.goal, self.kit_off]

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Rank the tests and show the calendar."""
        days = _DAYS_BETWEEN * self.weeks.value
        self.found = found = next_tests(
            log,
            result,
            subject.habit,
            days=days,
            budget=int(self.budget.value),
            by_peak=self.goal.value,
            kit_bias=self.kit_off.value,
        )
        self.tell(next_test_sentences(found))
        seen = _ahead(subject, log, (result, found), days)
        tests = found.advice.calendar[-1].tests
        if seen is not None:
            ax = self.fresh_axes()
            plots.calendar_picture(seen, found.kit, tests, ax=ax)
            self.picture.draw(plots.calendar_alt(seen, tests))
        unit = "mg/L" if found.by_peak else "mg/L a day"
        heads = ("Order", "Test", f"Band left, {unit} wide")
        self.put_rows("The calendar, most telling test first", heads, _rows(found))


def _ahead(
    subject: Subject, log: Logbook, known: tuple[FitResult, NextTests], days: int
) -> Outlook | None:
    """Level of the weeks ahead, for the picture."""
    if subject.last is None:
        return None
    return outlook(
        subject.habit,
        future_draws(known[0]),
        known[1].kit,
        start=subject.last,
        days=float(days),
        level_mg_l=subject.level_mg_l,
        rate_mg_l_day=subject.rate_mg_l_day,
        first_days=days_to_exchange(log, subject.habit.interval_days),
    )


def _rows(found: NextTests) -> tuple[tuple[str, ...], ...]:
    """Give the calendar as words."""
    return tuple(
        (
            str(number),
            candidate_words(worth.tests[-1]),
            width_words(worth.peak_width if found.by_peak else worth.rate_width),
        )
        for number, worth in enumerate(found.advice.calendar, start=1)
    )
