"""The picker: which logbook the panels below speak of."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from kit import escape
from kit.fit import FitResult
from kit.logbook import Logbook
from kit.markup import Markup
from kit.panel import Panel, say

__all__ = ["FolderPicker", "demo_folders"]

_SHOWN_ERRORS = 3


def demo_folders(start: Path) -> dict[str, str]:
    """Find the demo logbooks near a folder.

    Parameters
    ----------
    start : pathlib.Path
        Where to begin; its parents are looked at too.

    Returns
    -------
    dict of str to str
        Name shown to path, as seen from `start`; empty when there are none.
    """
    start = start.resolve()
    for place in (start, *list(start.parents)[:3]):
        found = sorted(place.glob("data_demo/*/tank.toml"))
        if found:
            return {
                f.parent.name.replace("-", " ").capitalize(): Path(
                    os.path.relpath(f.parent, start)
                ).as_posix()
                for f in found
            }
    return {}


class FolderPicker(Panel):
    """A box for a folder or file, and the list of demo logbooks.

    Parameters
    ----------
    path : str, optional
        Logbook to begin with: a folder, or one CSV file.

    Attributes
    ----------
    log : Logbook or None
        What was read; None when nothing could be.
    """

    def __init__(self, path: str = "../data_demo/quarry") -> None:
        super().__init__()
        self.log: Logbook | None = None
        self._fit: FitResult | None = None
        self._listeners: list[Callable[[], None]] = []
        self.entry = widgets.Text(
            value=str(path),
            description="Folder or CSV file",
            continuous_update=False,
            style={"description_width": "initial"},
            layout={"width": "30em", "max_width": "100%"},
        )
        demos = demo_folders(Path.cwd())
        self.demos = widgets.Dropdown(
            options=[("choose one", ""), *demos.items()],
            value=str(path) if str(path) in demos.values() else "",
            description="or a demo logbook",
            style={"description_width": "initial"},
            layout={"width": "20em", "max_width": "100%"},
        )
        self.again = widgets.Button(description="Read it again")
        self.entry.observe(self.guarded(self._typed), names="value")
        self.demos.observe(self.guarded(self._chosen), names="value")
        self.again.on_click(self.guarded(self._typed))
        row = widgets.Box(
            [self.entry, self.demos, self.again],
            layout={"display": "flex", "flex_flow": "row wrap", "grid_gap": "0.4em"},
        )
        self.arrange(row, self.words)
        self.guarded(self.read)()

    @property
    def path(self) -> Path:
        """Path in the box, without the quotes a file manager may have added."""
        text = self.entry.value.strip().strip("\"'").strip()
        return Path(text).expanduser()

    def listen(self, action: Callable[[], None]) -> None:
        """Call `action` whenever another logbook was read, or none could be."""
        self._listeners.append(action)

    def _typed(self, _change: Any) -> None:
        self.read()

    def _chosen(self, _change: Any) -> None:
        if self.demos.value:
            self.entry.value = self.demos.value

    def read(self) -> None:
        """Read what the box names and tell the panels below."""
        self.log, self._fit = None, None
        try:
            self._read()
        finally:
            for action in self._listeners:
                action()

    def _read(self) -> None:
        from kit import files

        if not self.entry.value.strip():
            self.tell(["Type the folder of your logbook, or choose a demo logbook."])
            return
        if not self.path.exists():
            name = escape.plain(self.entry.value, 200)
            self.tell(
                [
                    f"There is no folder or file {name} here. Check the spelling; a "
                    "path such as C:/Users/me/tank or ../data_demo/quarry works."
                ]
            )
            return
        log = files.read_logbook(self.path)
        self.log = log
        self.tell(_summary(log), _worst(log))

    def still(self) -> Markup:
        """Give the sentences."""
        return say(self.verdict, self.warnings)

    def fit(self) -> FitResult | None:
        """Fit the logbook once and keep the result; None without a logbook."""
        if self._fit is None and self.log is not None:
            from kit import fit

            self._fit = fit.rate(self.log)
        return self._fit


def _count(n: int, one: str, many: str | None = None) -> str:
    return f"{n} {one if n == 1 else many or one + 's'}"


def _summary(log: Logbook) -> list[str]:
    """Say what was read."""
    tests, batches = len(log.tests), len(log.exchanges)
    lead = (
        f"{escape.plain(log.tank.name, 60)}: {_count(tests, 'test')}, "
        f"{_count(batches, 'exchange')}, {_count(len(log.feedings), 'feeding')} read."
    )
    levels = [p.level for p in log.problems]
    if not levels:
        return [lead, "Every entry was read as it stands."]
    parts = [
        _count(levels.count("error"), "entry left out", "entries left out"),
        _count(levels.count("question"), "question to you", "questions to you"),
        _count(levels.count("note"), "remark"),
    ]
    return [lead, f"{parts[0]}, {parts[1]}, {parts[2]}."]


def _worst(log: Logbook) -> list[str]:
    """First errors in full; the check notebook has them all."""
    errors = [p for p in log.problems if p.level == "error"]
    said = [p.sentence() for p in errors[:_SHOWN_ERRORS]]
    if len(errors) > _SHOWN_ERRORS:
        said.append(f"And {len(errors) - _SHOWN_ERRORS} more: see the check notebook.")
    return said
