"""How wide a colour is: any card, any eye, with a dilution to split it."""

from __future__ import annotations

import re
from typing import Any, Final

import ipywidgets as widgets

from kit import plots, style
from kit.charts import CHARTS
from kit.errors import SumError
from kit.panel import Panel, Picture
from kit.testkit import (
    best_dilution,
    colour_sentences,
    colours,
    dilution,
    dilution_sentences,
    joined_sentence,
    read_diluted,
)
from kit.widgets.dial import Dial

__all__ = ["CardBench", "steps_in"]

_OWN: Final = "own"
_NOT_YET: Final = -1.0  # no card prints it
_PARTS: Final = {
    "best": None,
    "2 + 1": (2, 1),
    "1 + 1": (1, 1),
    "3 + 1": (3, 1),
    "1 + 2": (1, 2),
    "1 + 3": (1, 3),
}


def steps_in(text: str) -> tuple[float, ...]:
    """Read the numbers of a card as typed.

    Parameters
    ----------
    text : str
        Numbers with spaces, commas or semicolons between them.

    Returns
    -------
    tuple of float
        As typed.

    Raises
    ------
    SumError
        Something else stands among them.

    Examples
    --------
    >>> steps_in("0, 5; 10 20.5")
    (0.0, 5.0, 10.0, 20.5)
    """
    words = [w for w in re.split(r"[\s,;]+", text.strip()) if w]
    if not all(re.fullmatch(r"[0-9]{1,5}(?:\.[0-9]{1,4})?", w) for w in words):
        raise SumError(
            "Write the card's numbers with a space between them, such as 0 5 10 20."
        )
    return tuple(float(w) for w in words)


class CardBench(Panel):
    """A card, one of its readings, and what that can mean.

    Attributes
    ----------
    card, reading, mix, diluted : ipywidgets.Dropdown
        Which card, which of its numbers was read, which dilution, and what the
        diluted sample read.
    steps : ipywidgets.Text
        Numbers printed on the card; they can be changed.
    eye : Dial
        Spread of one eye. [%]
    """

    picture: Picture

    def __init__(self) -> None:
        super().__init__()
        self._choices()
        self.eye = Dial("Spread of your eye (%)", 12.0, 0.0, 40.0, 1.0)
        self.picture = Picture(style.blank_figure())
        self._held = False
        rows = widgets.Box(
            [self.card, self.steps, self.reading, self.mix, self.diluted],
            layout={"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.4em"},
        )
        self.arrange(rows, self.eye.row, self.picture.widget, self.words)
        self.card.observe(self.guarded(self._card_chosen), names="value")
        self.steps.observe(self.guarded(self._steps_typed), names="value")
        again = self.guarded(self._moved)
        self.reading.observe(again, names="value")
        self.mix.observe(again, names="value")
        self.diluted.observe(again, names="value")
        self.eye.watch(again)
        again(None)

    def _choices(self) -> None:
        """Make the boxes to choose from."""
        look: Any = {
            "style": {"description_width": "initial"},
            "layout": {"width": "20em", "max_width": "100%"},
        }
        self.card = widgets.Dropdown(
            options=[*((c, c) for c in CHARTS), ("my own", _OWN)],
            value="doubling",
            description="Card",
            **look,
        )
        self.steps = widgets.Text(
            value=_spelled(CHARTS["doubling"]),
            description="Its numbers (mg/L)",
            continuous_update=False,
            style={"description_width": "initial"},
            layout={"width": "28em", "max_width": "100%"},
        )
        self.reading = widgets.Dropdown(
            options=_numbers(CHARTS["doubling"]),
            value=40.0,
            description="It reads",
            **look,
        )
        self.mix = widgets.Dropdown(
            options=[
                ("the best for this reading", "best"),
                *((f"{p} parts (tank + pure)", p) for p in _PARTS if p != "best"),
            ],
            value="best",
            description="Dilution",
            **look,
        )
        self.diluted = widgets.Dropdown(
            options=_diluted(CHARTS["doubling"]),
            value=_NOT_YET,
            description="Diluted, it reads",
            **look,
        )

    def _card_chosen(self, _change: Any) -> None:
        if not self._held and self.card.value != _OWN:
            self.steps.value = _spelled(CHARTS[self.card.value])

    def _steps_typed(self, _change: Any) -> None:
        steps = steps_in(self.steps.value)
        colours(steps, 0.0)  # refuses what is no card
        was = self.reading.value
        named = [c for c, s in CHARTS.items() if s == steps]
        self._held = True
        try:
            self.card.value = named[0] if named else _OWN
            self.reading.options = _numbers(steps)
            self.reading.value = was if was in steps else steps[len(steps) // 2]
            self.diluted.options = _diluted(steps)
            self.diluted.value = _NOT_YET
        finally:
            self._held = False
        self.refresh()

    def _moved(self, _change: Any) -> None:
        if not self._held:
            self.refresh()

    def refresh(self) -> None:
        """Show what the reading can mean."""
        steps, noise = steps_in(self.steps.value), self.eye.value / 100.0
        card = colours(steps, noise)
        chosen = steps.index(self.reading.value)
        present = (card[chosen].low_mg_l, card[chosen].high_mg_l)
        parts = _PARTS[self.mix.value]
        mixed = (
            best_dilution(*present, steps)
            if parts is None
            else dilution(*present, steps, parts)
        )
        edges = () if mixed is None else mixed.edges_mg_l
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        plots.card_picture(card, chosen, edges, ax=style.axes_in(figure))
        self.picture.draw(plots.card_alt(card, chosen, edges))
        said = colour_sentences(card[chosen], noise)
        said += dilution_sentences(present, mixed)
        if mixed is not None and self.diluted.value != _NOT_YET:
            pair = (mixed.tank_parts, mixed.pure_parts)
            both = read_diluted(present, self.diluted.value, steps, pair)
            said = (joined_sentence(both), *said)
        self.tell(said)


def _diluted(steps: tuple[float, ...]) -> list[tuple[str, float]]:
    return [("not read yet", _NOT_YET), *_numbers(steps)]


def _spelled(steps: tuple[float, ...]) -> str:
    return " ".join(f"{s:g}" for s in steps)


def _numbers(steps: tuple[float, ...]) -> list[tuple[str, float]]:
    return [(f"{s:g}", s) for s in steps]
