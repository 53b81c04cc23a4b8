"""Room for food and fish: food and habit above, before and after below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import ipywidgets as widgets

from kit import cautions, plots
from kit.draws import Draws
from kit.errors import PlanError
from kit.feed import YieldRange, believed_yield, usual_food
from kit.fit import FitResult
from kit.headroom import (
    BLEND_HEADS,
    AddedFish,
    FeedRoom,
    FeedTrial,
    blend_rows,
    blend_table,
    blended,
    feed_for_fish,
    feed_for_more_alike,
    feed_room,
    room_sentences,
    source_sentences,
    trial_sentences,
    try_feed,
    worth_blending,
)
from kit.logbook import Logbook
from kit.sawtooth import Habit
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.habit_dials import HabitDials
from kit.widgets.tank_panel import TankPanel, food_choice, number_box, wrapped

__all__ = ["HeadroomPanel"]

_USUAL_NOISE = 0.12
"""Spread of one eye's readings; common practice, from memory. [-]"""


class HeadroomPanel(TankPanel):
    """Food and fish tried on the picked tank, under the keeper's ceiling.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    room : FeedRoom or None
        The room shown.
    trial : FeedTrial or None
        The change shown.
    """

    topics = cautions.FEEDING
    mind = "Before you add food or fish"
    room: FeedRoom | None = None
    trial: FeedTrial | None = None

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the food, the habit, the water and the fish."""
        self.added = Dial("Food added (g a day)", 0.0, -2.0, 2.0, 0.05)
        self.ceiling = Dial("Your ceiling (mg/L)", 40.0, 1.0, 300.0, 1.0)
        self.pair = HabitDials()
        self.percent, self.interval = self.pair.percent, self.pair.interval
        self.pure = Dial("Pure water in the new water (%)", 0.0, 0.0, 100.0, 1.0)
        self.food = food_choice()
        self.fish_now = number_box("Fish now", 0.0, 10000.0, 1.0)
        self.fish_more = number_box("Fish to add", 0.0, 10000.0, 1.0)
        self.weight = number_box("Weight of one (g)", 0, 5000.0, 0.5)
        self.take = widgets.Button(
            description="Add their food", layout={"width": "auto"}
        )
        self.take.on_click(self.guarded(lambda _b: self._fish()))
        dials = (self.added, self.ceiling, self.percent, self.interval, self.pure)
        self.heed(*dials, self.food)
        fish = wrapped([self.fish_now, self.fish_more, self.weight, self.take])
        return [*(d.row for d in dials), self.food, fish]

    def begin(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Start at the log's habit, its ceiling and half of its food more."""
        feed = result.feed_g_day or 1.0
        most = float(max(round(2.0 * feed, 1), 0.5))
        self.added.rename(self.added.box.description, -feed, most, 0.05, 1.0)
        self.added.put(round(0.5 * feed, 1))
        self.ceiling.put(subject.ceiling_mg_l or 40.0)
        self.percent.put(round(100.0 * subject.habit.fraction, 1))
        self.interval.put(subject.habit.interval_days)
        self.pure.put(0.0)
        self.food.value = usual_food(log.feedings)

    def _fish(self) -> None:
        """Turn the fish to add into food and put it on its slider."""
        result = self.picker.fit()
        count = int(self.fish_more.value)
        if self.weight.value > 0.0:
            grams = feed_for_fish([AddedFish(count, self.weight.value)])
        elif result is None or result.feed_g_day is None:
            msg = "Your log holds no food, so give the weight of one of the added fish."
            raise PlanError(msg)
        else:
            now = int(self.fish_now.value)
            grams = feed_for_more_alike(result.feed_g_day, now, count)
        self.added.put(grams)

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Work the change out and show it."""
        self.room = self.trial = None
        as_it_is = self.pair.habit(subject.habit)
        habit, draws = blended(as_it_is, subject.draws, self.pure.value / 100.0)
        grams = believed_yield(result.feed_yield, self.food.value)
        said = self._room(habit, draws, grams, subject, result)
        noise = result.reading_noise
        trial = self.trial = try_feed(
            habit,
            subject.rate_mg_l_day,
            subject.level_mg_l,
            self.added.value,
            grams,
            tank=log.tank,
            reading_noise=_USUAL_NOISE if noise is None else noise.estimate,
            ceiling_mg_l=self.ceiling.value,
            draws=draws,
        )
        output: Any = self.units.value
        picture = plots.headroom_picture
        picture(trial, ax=self.fresh_axes(), start=subject.last, output=output)
        self.picture.draw(plots.headroom_alt(trial, start=subject.last))
        changed = trial_sentences(trial, start=subject.last)
        self.tell([*said, *changed, *self._water(as_it_is, subject)])

    def _room(
        self,
        habit: Habit,
        draws: Draws,
        grams: YieldRange,
        subject: Subject,
        result: FitResult,
    ) -> tuple[str, ...]:
        """Say the room, or why there is none to say."""
        try:
            self.room = feed_room(
                habit,
                subject.rate_mg_l_day,
                self.ceiling.value,
                grams,
                feed_g_day=result.feed_g_day,
                draws=draws,
            )
        except PlanError as why:
            return (str(why),)
        return room_sentences(self.room)

    def _water(self, habit: Habit, subject: Subject) -> tuple[str, ...]:
        """Say what part the new water has, and lay blends side by side."""
        rates = subject.draws.rate_mg_l_day
        blends = blend_table(habit, subject.rate_mg_l_day, rates)
        rows: tuple[tuple[str, ...], ...] = ()
        if worth_blending(blends):
            rows = blend_rows(blends, output=self.units.value)
        self.put_rows("The new water mixed with pure water", BLEND_HEADS, rows)
        return source_sentences(habit, subject.rate_mg_l_day, blends)
