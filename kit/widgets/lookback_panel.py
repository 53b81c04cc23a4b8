"""How the kit's forecasts would have done on the picked log."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from kit import plots
from kit.ahead import Backtest, backtest, backtest_rows, backtest_verdict, tally
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.subject import Subject
from kit.widgets.tank_panel import TankPanel, choice

__all__ = ["LookbackPanel"]


class LookbackPanel(TankPanel):
    """Earlier days, what was foretold on them and what was read later.

    Parameters are those of `BenchFrame`.

    Attributes
    ----------
    found : Backtest or None
        What is shown.
    """

    united = False
    found: Backtest | None = None

    def controls(self) -> Sequence[widgets.Widget]:
        """Make the choice of how far ahead, and of how many days."""
        self.ahead = choice(
            "Foretold",
            [
                ("the next test day", "next"),
                ("about two weeks ahead", "2 weeks"),
                ("about four weeks ahead", "4 weeks"),
            ],
        )
        self.most = choice(
            "Days to go back to",
            [("10, in some seconds", 10), ("24, in a minute or less", 24)],
        )
        self.ahead.observe(self.guarded(lambda _c: self._draw()), names="value")
        self.heed(self.most)
        return [self.ahead, self.most]

    def show(self, subject: Subject, log: Logbook, result: FitResult) -> None:
        """Go back through the log and show it."""
        self.found = backtest(log, most=self.most.value)
        self.tell(backtest_verdict(self.found))
        self.put_rows("How it went", *backtest_rows(self.found))
        self._draw()

    def _draw(self) -> None:
        """Draw the horizon chosen."""
        if self.found is None:
            return
        rows = self.found.at(self.ahead.value)
        lines = {t.horizon: t for t in tally(self.found)}
        if not rows:
            self.picture.clear()
            return
        plots.lookback_picture(rows, ax=self.fresh_axes())
        self.picture.draw(plots.lookback_alt(rows, lines[self.ahead.value]))
