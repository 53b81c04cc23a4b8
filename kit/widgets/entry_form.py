"""The form: one new entry, shown as the line it will be, then saved."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import ipywidgets as widgets

from kit import clock, entry_file, escape, store
from kit.entry import Amount, Entry, Kind, faults_of
from kit.errors import SaveError
from kit.intake.datetext import read_time
from kit.logbook import Tank
from kit.markup import Markup, element
from kit.panel import Panel
from kit.settings import read_tank
from kit.store import Saved

__all__ = ["EntryForm"]

_KINDS: Final = (
    ("nitrate test", "test"),
    ("water exchange", "exchange"),
    ("feeding", "feeding"),
    ("upkeep task", "upkeep"),
    ("nitrate test of the new water", "source test"),
)
_NAMES: Final = {kind: name for name, kind in _KINDS}
_ROLES: Final = {"test": "nitrate", "source test": "source nitrate", "feeding": "feed"}
_AS_COLUMN: Final = (
    ("as the column says", ""),
    ("mg/L NO3", "mg/L NO3"),
    ("mg/L NO3-N", "mg/L NO3-N"),
)
_SHARE_OR_VOLUME: Final = (
    ("% of the tank", "%"),
    ("L", "L"),
    ("US gal", "US gal"),
    ("imp gal", "imp gal"),
)
_UNITS: Final = {
    "test": _AS_COLUMN,
    "source test": _AS_COLUMN,
    "batch": _SHARE_OR_VOLUME,
    "backwash": _SHARE_OR_VOLUME,
    "drip change": ("L/day", "mL/min", "US gal/day"),
    "feeding": ("g", "pinches", "mg"),
}
_LABELS: Final = {
    "test": "Reading, such as 20 or <5 or 5-10",
    "source test": "Reading, such as 5 or <5",
    "exchange": "How much",
    "feeding": "How much food",
}
# Which of the further boxes each kind of entry shows.
_WORDS: Final = {
    "test": ("reader", "kit"),
    "exchange": (),
    "feeding": ("food kind",),
    "upkeep": ("task",),
    "source test": (),
}
_WIDE: Final = {"width": "30em", "max_width": "98%"}
_ROWS: Final = 5
_STYLE: Final = {"description_width": "initial"}


def _text(label: str) -> Any:
    return widgets.Text(description=label, style=_STYLE, layout=_WIDE)


class EntryForm(Panel):
    """Add a test, an exchange, a feeding or an upkeep task to a log.

    Parameters
    ----------
    path : str or pathlib.Path
        A logbook folder, or one CSV file.
    today : datetime.date, optional
        Day to begin with; the computer's own when left out.

    Attributes
    ----------
    goal : kit.entry_file.Target or None
        The file that takes the entry, as it was when it was loaded.
    """

    def __init__(self, path: str | Path, today: dt.date | None = None) -> None:
        super().__init__()
        self._today, self._quiet = today, False
        self.goal: entry_file.Target | None = None
        self.tank = Tank()
        self.folder = _text("Folder or CSV file")
        self.folder.continuous_update = False
        self.folder.value = str(path)
        self.kind = widgets.Dropdown(
            options=_KINDS, description="What to add", style=_STYLE, layout=_WIDE
        )
        self.day = widgets.DatePicker(
            description="Day", value=self._day(), style=_STYLE, layout=_WIDE
        )
        self.time = _text("Time, if known, such as 18:30")
        self.exchange_kind = widgets.Dropdown(
            options=["batch", "backwash", "drip change"],
            description="Kind of exchange",
            style=_STYLE,
            layout=_WIDE,
        )
        self.amount = _text(_LABELS["test"])
        self.unit = widgets.Dropdown(
            options=_UNITS["test"], description="Unit", style=_STYLE, layout=_WIDE
        )
        self.said = {
            "reader": _text("Who read it"),
            "kit": _text("Kit or lot"),
            "food kind": _text("Which food"),
            "task": _text("What was done"),
            "note": _text("Note"),
        }
        self.save = widgets.Button(description="Save this entry", disabled=True)
        self.again = widgets.Button(
            description="Load the file again", layout={"width": "auto"}
        )
        self.rows = widgets.HTML()
        self._wire()
        self.guarded(self.load)()

    def _wire(self) -> None:
        """Put the boxes in order and let each of them change the preview."""
        buttons = widgets.HBox([self.save, self.again])
        self.arrange(
            self.folder,
            self.kind,
            self.day,
            self.time,
            self.exchange_kind,
            self.amount,
            self.unit,
            *self.said.values(),
            self.words,
            buttons,
            self.rows,
        )
        self.folder.observe(self.guarded(self._reload), names="value")
        self.kind.observe(self.guarded(self._other_kind), names="value")
        self.exchange_kind.observe(self.guarded(self._other_units), names="value")
        typed = (self.day, self.time, self.amount, self.unit, *self.said.values())
        for box in typed:
            box.observe(self.guarded(self._typed), names="value")
        self.save.on_click(self.guarded(self._save))
        self.again.on_click(self.guarded(self._reload))

    def _day(self) -> dt.date:
        return self._today or clock.today()

    @property
    def path(self) -> Path:
        """Path in the box, without the quotes a file manager may have added."""
        return Path(self.folder.value.strip().strip("\"'").strip()).expanduser()

    @contextmanager
    def _silent(self) -> Iterator[None]:
        """Change boxes without a preview for each of them."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False

    def load(self) -> None:
        """Load the file that takes this kind of entry, and show its last rows."""
        kind: Kind = self.kind.value
        self.goal = None
        self.rows.value = ""
        self.save.disabled = True
        with self._silent():
            self._show_boxes(kind)
        settings = self.path / "tank.toml"
        self.tank = read_tank(settings)[0] if settings.is_file() else Tank()
        self.goal = entry_file.target(self.path, kind)
        self.rows.value = _rows(self.goal)
        self.preview()

    def _show_boxes(self, kind: Kind) -> None:
        """Show the boxes this kind of entry needs, and hide the others."""
        shown = {*_WORDS[kind], "note"}
        for role, box in self.said.items():
            box.layout.display = None if role in shown else "none"
            box.value = box.value if role in shown else ""
        self.exchange_kind.layout.display = None if kind == "exchange" else "none"
        for box in (self.amount, self.unit):
            box.layout.display = "none" if kind == "upkeep" else None
        if kind == "upkeep":
            self.amount.value = ""
            return
        self.amount.description = _LABELS[kind]
        units = _UNITS[self.exchange_kind.value if kind == "exchange" else kind]
        if self.unit.options != tuple(units):
            self.unit.options = units

    def entry(self) -> Entry:
        """Give what the boxes hold as one entry."""
        kind: Kind = self.kind.value
        words = {role: box.value for role, box in self.said.items()}
        amount = None
        if kind != "upkeep":
            amount = Amount(self._role(kind), self.amount.value, self.unit.value)
        if kind == "exchange":
            words["exchange kind"] = self._kind_word()
        return Entry(kind, self.day.value, read_time(self.time.value), amount, words)

    def _role(self, kind: Kind) -> str:
        if kind != "exchange":
            return _ROLES[kind]
        return "drip" if self.exchange_kind.value == "drip change" else "exchange"

    def _kind_word(self) -> str:
        """Give the kind of exchange; a sheet without a column for it means batches."""
        roles = {c.role for c in self.goal.columns} if self.goal is not None else set()
        word = str(self.exchange_kind.value)
        return "" if word == "batch" and "exchange kind" not in roles else word

    def faults(self) -> tuple[str, ...]:
        """Say what keeps the entry from being saved."""
        faults = list(faults_of(self.entry(), self.tank, self._day()))
        if self.time.value.strip() and read_time(self.time.value) is None:
            faults.append("Time: write hours and minutes, such as 18:30, or nothing.")
        return tuple(faults)

    def preview(self) -> None:
        """Show the line to be written, or what is still missing."""
        if self.goal is None:
            return
        self.save.disabled = True
        name = self.goal.path.name
        if not (self.amount.value.strip() or self.said["task"].value.strip()):
            self.tell([f"Nothing to save yet. The entry will go into {name}."])
            return
        faults = self.faults()
        if faults:
            self.tell(["Not ready to be saved."], faults)
            return
        entry = self.entry()
        line = escape.plain(entry_file.line_of(entry, self.goal), 300)
        made = f" {name} is made new." if self.goal.is_new else ""
        self.tell([f"Ready: {_spoken(entry)}.", f"Line for {name}: {line}{made}"])
        self.save.disabled = False

    def _typed(self, _change: Any) -> None:
        if not self._quiet:
            self.preview()

    def _reload(self, _change: Any) -> None:
        self.load()

    def _other_kind(self, _change: Any) -> None:
        # A reading of 25 must not turn into 25 g of food.
        with self._silent():
            self.amount.value = ""
        self.load()

    def _other_units(self, _change: Any) -> None:
        with self._silent():
            self._show_boxes(self.kind.value)
        self.preview()

    def _save(self, _button: Any) -> None:
        if self.goal is None or self.faults():
            raise SaveError("Nothing was saved: the entry is not complete.")
        entry = self.entry()
        saved = entry_file.save(entry, self.goal, self._day())
        with self._silent():
            for box in (self.amount, self.time, *self.said.values()):
                box.value = ""
        self.load()
        said = [
            f"Saved as line {saved.line} of {saved.file}: {_spoken(entry)}.",
            f"The line reads: {escape.plain(saved.text, 300)}",
        ]
        if saved.backup is not None:
            said.append(f"The file as it was before today is kept in {_shown(saved)}.")
        self.tell(said)

    def fail(self, sentence: str) -> None:
        """Show a fault; nothing can be saved until it is gone."""
        self.save.disabled = True
        super().fail(sentence)


def _shown(saved: Saved) -> str:
    backup = saved.backup
    return "" if backup is None else f"{backup.parent.name}/{backup.name}"


def _spoken(entry: Entry) -> str:
    """Say an entry in words, with its ISO day and the day of the week."""
    day = entry.day or dt.date.min
    when = f"{day:%A} {day.isoformat()}"
    if entry.time is not None:
        when += f" at {entry.time:%H:%M}"
    what = _NAMES[entry.kind]
    if entry.amount is None:
        return f"{what} on {when}, {escape.plain(entry.words.get('task', ''), 60)}"
    unit = f" {entry.amount.unit}" if entry.amount.unit else ""
    return f"{what} on {when}, {escape.plain(entry.amount.text, 40)}{unit}"


def _rows(goal: entry_file.Target) -> Markup:
    """Show the last rows of the file, and say what is kept apart from it."""
    kept = store.pending_count(goal.path)
    if not kept:
        return _table(goal)
    what = "1 entry" if kept == 1 else f"{kept} entries"
    name = store.pending_path(goal.path).name
    said = f"{name} holds {what} not yet in {goal.path.name}; save them again here."
    return element("div", element("p", said, class_="kit-warn"), _table(goal))


def _table(goal: entry_file.Target) -> Markup:
    """Show the last rows of the file, all of it text."""
    header, rows = entry_file.last_rows(goal, _ROWS)
    name = goal.path.name
    if not rows:
        return element("p", f"{name} has no rows yet.")
    head = element("tr", *(element("th", text, scope="col") for text in header))
    body = [element("tr", *(element("td", cell) for cell in row)) for row in rows]
    table = element(
        "table",
        element("caption", f"Last rows of {name}"),
        element("thead", head),
        element("tbody", *body),
    )
    return element("div", table, class_="kit-rows")
