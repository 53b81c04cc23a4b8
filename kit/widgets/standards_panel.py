"""Kits tried on known solutions: each check, and how far each kit reads off."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from kit import escape, plots, style
from kit.logbook import Standard
from kit.markup import Markup, element
from kit.panel import Panel, Picture
from kit.testkit import Bias, bias_sentences, by_kit, kit_bias

__all__ = ["StandardsPanel"]

_HEADS = ("Kit", "Checks", "What they say")


class StandardsPanel(Panel):
    """The checks of a file ``standards.csv``, or of a logbook folder that holds one.

    Parameters
    ----------
    path : str, optional
        File or folder to begin with.

    Attributes
    ----------
    standards : tuple of Standard
        What was read.
    """

    picture: Picture

    def __init__(self, path: str = "../data_demo/standards.csv") -> None:
        super().__init__()
        self.standards: tuple[Standard, ...] = ()
        self.entry = widgets.Text(
            value=path,
            description="File of checks, or folder",
            continuous_update=False,
            style={"description_width": "initial"},
            layout={"width": "32em", "max_width": "100%"},
        )
        self.kit = widgets.Dropdown(
            options=[("all kits", "")],
            description="Kit",
            style={"description_width": "initial"},
            layout={"width": "20em", "max_width": "100%"},
        )
        self.table = widgets.HTML()
        self.picture = Picture(style.blank_figure())
        row = widgets.Box(
            [self.entry, self.kit],
            layout={"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.4em"},
        )
        self.arrange(row, self.words, self.picture.widget, self.table)
        self._held = False
        self.entry.observe(self.guarded(self._typed), names="value")
        self.kit.observe(self.guarded(self._chosen), names="value")
        self.guarded(self._typed)(None)

    def fail(self, sentence: str) -> None:
        """Show a fault, and no rows of a file that is not read."""
        self.table.value = ""
        super().fail(sentence)

    def _typed(self, _change: Any) -> None:
        from kit import files

        text = self.entry.value.strip().strip("\"'").strip()
        path = Path(text).expanduser()
        self.standards = ()
        if not text or not path.exists():
            self.fail(
                f"There is no file or folder {escape.plain(text, 200)} here; check the "
                "spelling."
            )
            return
        log = files.read_logbook(path)
        self.standards = log.standards
        names = list(by_kit(log.standards))
        self._held = True
        try:
            self.kit.options = [
                ("all kits", ""),
                *((escape.plain(n, 60), n) for n in names),
            ]
        finally:
            self._held = False
        self._problems = tuple(
            p.sentence()
            for p in log.problems
            if p.level != "note" and p.file == "standards.csv"
        )
        self.refresh()

    def _chosen(self, _change: Any) -> None:
        if not self._held:
            self.refresh()

    def refresh(self) -> None:
        """Show the checks of the chosen kit, or of all."""
        groups = by_kit(self.standards)
        if self.kit.value:
            groups = {self.kit.value: groups[self.kit.value]}
        if not groups:
            self.fail(
                "No check was found. A file standards.csv has a line for each: date, "
                "kit, reader, known (mg/L NO3), read (mg/L NO3)."
            )
            return
        found = {name: kit_bias(checks) for name, checks in groups.items()}
        figure = self.picture.figure
        figure.clear()
        self.picture.restart()
        plots.checks_picture(groups, found, ax=style.axes_in(figure))
        self.picture.draw(plots.checks_alt(groups, found))
        self.table.value = _table(found)
        self.tell(_lead(found), self._problems[:3])

    def text(self) -> str:
        """Verdict and a line for each kit."""
        found = {n: kit_bias(c) for n, c in by_kit(self.standards).items()}
        rows = [bias_sentences(b, escape.plain(n, 60))[0] for n, b in found.items()]
        return "\n".join([*self.verdict, *rows])


def _lead(found: dict[str, Bias]) -> tuple[str, ...]:
    """Say the verdict of one kit, or how many can be judged."""
    if len(found) == 1:
        ((name, bias),) = found.items()
        return bias_sentences(bias, escape.plain(name, 60))
    judged = [b for b in found.values() if not b.too_few]
    return (
        f"{len(found)} kits were tried; {len(judged)} of them often enough to judge.",
        "Each bar is one check: as wide as the card leaves it. The pale band is where "
        "the kit reads, 19 times in 20.",
    )


def _table(found: dict[str, Bias]) -> Markup:
    rows = [
        element(
            "tr",
            element("td", escape.plain(name, 60)),
            element("td", str(bias.n)),
            element("td", bias_sentences(bias, "It")[0]),
        )
        for name, bias in found.items()
    ]
    table = element(
        "table",
        element(
            "thead", element("tr", *(element("th", h, scope="col") for h in _HEADS))
        ),
        element("tbody", *rows),
    )
    return element("div", table, class_="kit-rows", tabindex="0")
