"""A file handed over by the browser: checked first, kept only when asked."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any, Final

import ipywidgets as widgets

from kit import escape, store
from kit.errors import SaveError
from kit.logbook import Logbook
from kit.panel import Panel
from kit.widgets.entry_form import EntryForm

__all__ = ["UploadBox"]

_SHOWN: Final = 5
_APART: Final = "other files"
"""Folder for copies; the loader reads no folder inside a logbook."""


class UploadBox(Panel):
    """Check a CSV file without keeping it, then keep a copy on a press of a button.

    Parameters
    ----------
    form : EntryForm
        A folder inside its own gets the copy, so that two tanks never mix.
    """

    def __init__(self, form: EntryForm) -> None:
        super().__init__()
        self.form = form
        self.name, self.data = "", b""
        self.chooser = widgets.FileUpload(
            accept=".csv,.txt,.tsv",
            multiple=False,
            description="Choose a CSV file to check",
            icon="",
            layout={"width": "auto"},
        )
        self.keep = widgets.Button(
            description=f"Save a copy, apart, in {_APART}",
            disabled=True,
            layout={"width": "auto"},
        )
        self.arrange(widgets.HBox([self.chooser, self.keep]), self.words)
        self.chooser.observe(self.guarded(self._chosen), names="value")
        self.keep.on_click(self.guarded(self._keep))
        self.tell(["No file chosen. It is checked here and changed in no way."])

    def _chosen(self, _change: Any) -> None:
        self.keep.disabled = True
        self.data = b""
        if not self.chooser.value:
            return
        chosen = self.chooser.value[0]
        self.check(str(chosen["name"]), bytes(chosen["content"]))

    def check(self, name: str, data: bytes) -> None:
        """Read a file as a logbook and say what was found.

        Parameters
        ----------
        name : str
            As the browser gave it; shown as text only.
        data : bytes
            The file.
        """
        from kit import files

        with tempfile.TemporaryDirectory(prefix="check-") as home:
            copy = store.save_copy(Path(home), name, data)
            log = files.read_logbook(copy)
        self.name, self.data = name, data
        said, warnings = _found(escape.plain(name, 80), log)
        self.tell(said, warnings)
        self.keep.disabled = False

    def _keep(self, _button: Any) -> None:
        if not self.data:
            raise SaveError("Choose a file first; nothing was saved.")
        place = self.form.path
        folder = place if place.is_dir() else place.parent
        if not folder.is_dir():
            raise SaveError("The folder of the form is not there; nothing was saved.")
        apart = folder / _APART
        try:
            apart.mkdir(exist_ok=True)
        except OSError as fault:
            raise SaveError(f"The folder {_APART} cannot be made here.") from fault
        kept = store.save_copy(apart, self.name, self.data)
        self.keep.disabled = True
        self.form.load()
        self.tell(
            [
                f"Saved as {kept.name} in the folder {_APART} inside {folder.name}, "
                "unchanged. It stays apart: it is not read as part of this logbook."
            ]
        )

    def fail(self, sentence: str) -> None:
        """Show a fault; nothing can be kept until another file is chosen."""
        self.keep.disabled = True
        super().fail(sentence)


def _found(name: str, log: Logbook) -> tuple[list[str], list[str]]:
    """Say how many records the file gives, and its worst problems."""
    counts = (
        f"nitrate tests {len(log.tests)}, exchanges {len(log.exchanges)}, "
        f"feedings {len(log.feedings)}, upkeep tasks {len(log.upkeep)}"
    )
    worst = [p for p in log.problems if p.level != "note"]
    said = [f"{name} gives: {counts}. Nothing is saved yet."]
    warnings = [p.sentence() for p in worst[:_SHOWN]]
    if len(worst) > _SHOWN:
        warnings.append(f"And {len(worst) - _SHOWN} more.")
    return said, warnings
