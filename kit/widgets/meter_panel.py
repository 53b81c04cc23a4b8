"""What a meter can tell: its detection limit and its calibration line."""

from __future__ import annotations

import re
from typing import Any

import ipywidgets as widgets

from kit.errors import SumError
from kit.markup import Markup
from kit.panel import Panel, say
from kit.testkit import (
    calibration_line,
    detection_limit,
    limit_sentences,
    line_sentences,
)

__all__ = ["LimitPanel", "LinePanel", "numbers_in"]

_NUMBER = re.compile(r"-?[0-9]{1,7}(?:\.[0-9]{1,7})?")
_WEAK = "1.9 2.2 2.0 2.1\n1.8 2.0 2.3\n2.1 1.9 2.2"
_BLANKS = "0.1 0.0 0.2 0.1 0.0 0.1 0.2"
_KNOWN = "0 5 10 20 40"
_SHOWN = "0.4 5.1 10.6 20.3 41.2"


def numbers_in(text: str) -> tuple[float, ...]:
    """Read the numbers of a line as pasted.

    Parameters
    ----------
    text : str
        Numbers with spaces, tabs or semicolons between them; a comma between two
        numbers parts them only with a space after it, as it may be a decimal sign.

    Returns
    -------
    tuple of float
        As written.

    Raises
    ------
    SumError
        Something else stands among them.

    Examples
    --------
    >>> numbers_in("1.9 2,1; 2.0, 3")
    (1.9, 2.1, 2.0, 3.0)
    """
    words = re.split(r"[\s;]+", re.sub(r",\s", " ", text.strip() + " "))
    parts = [w.rstrip(",").replace(",", ".") for w in words if w.rstrip(",")]
    wrong = [p for p in parts if not _NUMBER.fullmatch(p)]
    if wrong:
        raise SumError(
            f'"{wrong[0][:20]}" is no number. Write numbers with spaces between them, '
            "such as 1.9 2.1 2.0."
        )
    return tuple(float(p) for p in parts)


def _area(value: str, label: str, rows: int) -> Any:
    area = widgets.Textarea(
        value=value,
        description=label,
        rows=rows,
        continuous_update=False,
        style={"description_width": "14em"},
        layout={"width": "36em", "max_width": "calc(100% - 0.6em)"},
    )
    area.add_class("kit-dial")  # its name stands at the left, as that of a dial
    return area


class LimitPanel(Panel):
    """Readings of one weak sample over and over, and the limit they give.

    Attributes
    ----------
    readings, blanks : ipywidgets.Textarea
        One line for each day; pure water.
    card : ipywidgets.Checkbox
        Whether they were read off a colour card.
    """

    def __init__(self) -> None:
        super().__init__()
        self.readings = _area(_WEAK, "Weak sample, a line a day", 4)
        self.blanks = _area(_BLANKS, "Pure water", 2)
        self.card = widgets.Checkbox(
            value=False,
            description="These were read off a colour card",
            indent=False,
        )
        self.arrange(self.readings, self.blanks, self.card, self.words)
        again = self.guarded(self.refresh)
        for part in (self.readings, self.blanks, self.card):
            part.observe(again, names="value")
        again()

    def refresh(self, _change: Any = None) -> None:
        """Work the limit out and say it."""
        lines = [numbers_in(t) for t in self.readings.value.splitlines()]
        groups = [g for g in lines if g]
        limit = detection_limit(
            groups, numbers_in(self.blanks.value), card=self.card.value
        )
        self.tell(limit_sentences(limit))

    def still(self) -> Markup:
        """Give the sentences."""
        return say(self.verdict, self.warnings)


class LinePanel(Panel):
    """Known solutions, what the meter showed of them, and a sample read back.

    Attributes
    ----------
    known, shown, sample : ipywidgets.Textarea
        Known levels, readings in the same order, readings of the sample.
    """

    def __init__(self) -> None:
        super().__init__()
        self.known = _area(_KNOWN, "Known (mg/L NO3)", 2)
        self.shown = _area(_SHOWN, "The meter showed", 2)
        self.sample = _area("25.3 24.8", "It shows of my water", 1)
        self.arrange(self.known, self.shown, self.sample, self.words)
        again = self.guarded(self.refresh)
        for part in (self.known, self.shown, self.sample):
            part.observe(again, names="value")
        again()

    def refresh(self, _change: Any = None) -> None:
        """Fit the line, read the sample back and say it."""
        line = calibration_line(
            numbers_in(self.known.value), numbers_in(self.shown.value)
        )
        sample = numbers_in(self.sample.value)
        found = None
        if sample:
            found = line.read_sample(sample)
        self.tell(line_sentences(line, found))

    def still(self) -> Markup:
        """Give the sentences."""
        return say(self.verdict, self.warnings)
