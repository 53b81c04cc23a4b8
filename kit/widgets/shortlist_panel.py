"""Everyday plans side by side, for what the map's sliders ask."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import Any

import ipywidgets as widgets

from kit import schedule
from kit.markup import Markup, element
from kit.panel import Panel, say
from kit.rounding import Output
from kit.schedule.line import Terms, terms_of
from kit.schedule.shortlist import Offer, equal_water, shortlist
from kit.schedule.trial import Trial, seen_l_month
from kit.subject import Subject
from kit.widgets.dial import Dial
from kit.widgets.map_panel import MapPanel
from kit.widgets.stacked_table import stacked_table

__all__ = ["ShortlistPanel"]

_TITLE = "Everyday plans side by side, levels in mg/L NO3"
_REST_S = 0.15
"""How long the map's sliders are to rest before the table follows. [s]"""
_KELVIN_PER_F = 5.0 / 9.0
_COLDER_C, _COLDER_F = "New water colder by (°C)", "New water colder by (°F)"
_RANGE_C, _RANGE_F = (-10.0, 25.0), (-18.0, 45.0)


class ShortlistPanel(Panel):
    """A table of plans that hold the ceiling, with what each takes.

    Parameters
    ----------
    bench : MapPanel
        Whose ceiling, drip, source and food hold here too.

    Attributes
    ----------
    sure : ipywidgets.Dropdown
        Chance wanted that a single peak stays under the ceiling.
    colder, minutes, bucket : Dial
        The keeper's own inputs for the columns of warmth, money and time.
    offers : tuple of Offer
        The plans shown, and those left out.
    """

    def __init__(self, bench: MapPanel) -> None:
        super().__init__()
        self.bench = bench
        self.offers: tuple[Offer, ...] = ()
        self._terms = Terms()
        self._rows: tuple[tuple[str, ...], ...] = ()
        self._lines: tuple[str, ...] = ()
        self._more: tuple[str, ...] = ()
        self._read: Any = None
        self._later: asyncio.TimerHandle | None = None
        self.sure = widgets.Dropdown(
            options=[("5 in 10", 0.5), ("9 in 10", 0.9), ("19 in 20", 0.95)],
            value=0.9,
            description="Single peaks stay under at least",
            style={"description_width": "initial"},
            layout={"width": "32em", "max_width": "100%"},
        )
        self.colder = Dial(_COLDER_C, 0.0, *_RANGE_C, 0.5)
        self.minutes = Dial("Minutes for each exchange", 0.0, 0.0, 120.0, 1.0)
        self.bucket = Dial("Minutes for each bucket of it", 0.0, 0.0, 20.0, 0.5)
        self.table = widgets.HTML()
        self.rest = widgets.HTML()
        self.arrange(
            self.sure,
            self.words,
            self.table,
            self.rest,
            *(dial.row for dial in (self.colder, self.minutes, self.bucket)),
        )
        self._connect()
        self.guarded(self.refresh)()

    def _connect(self) -> None:
        again = self.guarded(lambda *_change: self.refresh())
        self.sure.observe(again, names="value")
        for dial in (self.colder, self.minutes, self.bucket):
            dial.watch(again)
        self.bench.listen(self._soon)

    def _soon(self) -> None:
        """Answer to the map's sliders once they rest, so that the map is not held up.

        Without a running page, such as in a script, the answer comes at once.
        """
        if self._later is not None:
            self._later.cancel()
            self._later = None
        again = self.guarded(self.refresh)
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            again()
            return
        self._later = loop.call_later(_REST_S, again)

    def fail(self, sentence: str) -> None:
        """Show a sentence in place of plans that no longer hold."""
        self.offers = ()
        self.table.value = self.rest.value = ""
        super().fail(sentence)

    def refresh(self) -> None:
        """Work the plans out anew and show them."""
        if self._busy:
            return
        trial, tank, log = self.bench.trial, self.bench.subject, self.bench.picker.log
        if trial is None or tank is None or log is None:
            self.fail("Nothing to set side by side: the map above shows no plans.")
            return
        if self._read is not log:
            self._read = log
            self._take_over(terms_of(log.tank))
        self._scale()
        terms, like, most = self._asked(), self.bench.like, tank.max_percent
        if like is None:
            chance: float | None = self.sure.value
            self.offers = shortlist(
                trial, terms, chance=self.sure.value, max_percent=most
            )
        else:
            chance = None
            self.offers = equal_water(trial, like, terms, max_percent=most)
        self._show(trial, tank, terms, chance)

    def _take_over(self, terms: Terms) -> None:
        """Begin with what the tank's settings state."""
        self._terms = terms
        with self.held():
            if terms.tank_c is not None and terms.new_c is not None:
                self.colder.put(terms.tank_c - terms.new_c)
            else:
                self.colder.put(0.0)
            self.minutes.put(terms.minutes_exchange or 0.0)
            self.bucket.put(terms.minutes_bucket or 0.0)

    def _scale(self) -> None:
        """Show the difference in the degrees that go with the units chosen."""
        us = self.bench.units.value == "us"
        factor = _KELVIN_PER_F if us else 1.0
        if self.colder.factor == factor:
            return
        with self.held():
            label, ends = (_COLDER_F, _RANGE_F) if us else (_COLDER_C, _RANGE_C)
            self.colder.rename(label, *ends, 0.5, factor)

    def _asked(self) -> Terms:
        """Lay the dials over what the settings state; 0 leaves unsaid unsaid."""
        terms = self._terms
        if self.colder.value != 0.0 or terms.warmth_known:
            tank_c = 25.0 if terms.tank_c is None else terms.tank_c
            terms = replace(terms, tank_c=tank_c, new_c=tank_c - self.colder.value)
        if self.minutes.value or self.bucket.value or terms.time_known:
            terms = replace(
                terms,
                minutes_exchange=self.minutes.value,
                minutes_bucket=self.bucket.value,
            )
        return terms

    def _show(
        self, trial: Trial, tank: Subject, terms: Terms, chance: float | None
    ) -> None:
        output: Output = self.bench.units.value
        said = schedule.shortlist_sentences(
            trial,
            self.offers,
            terms,
            chance=chance,
            max_percent=tank.max_percent,
            seen_l_month=seen_l_month(tank),
            output=output,
        )
        self._rows = schedule.offer_cells(self.offers, terms, output)
        self._lines = schedule.offer_text(self.offers, terms, output)
        self._more = said[1:]
        self.table.value = stacked_table(_TITLE, schedule.HEADS, self._rows)
        self.rest.value = element(
            "div", *(element("p", text) for text in self._more), class_="kit-said"
        )
        self.tell(said[:1])

    def still(self) -> Markup:
        """Give finding, table and what was left out."""
        if not self.offers:
            return say(self.verdict)
        table = stacked_table(_TITLE, schedule.HEADS, self._rows)
        more = element(
            "div", *(element("p", text) for text in self._more), class_="kit-said"
        )
        return element("div", say(self.verdict), table, more)

    def text(self) -> str:
        """Finding, each plan in three lines, and what was left out."""
        if not self.offers:
            return super().text()
        return "\n".join([*self.verdict, *self._lines, *self._more])
