"""Run the notebooks from a clean kernel and write them back with their outputs.

Run it after changing a notebook or anything it shows::

    python .ci/make_notebooks.py [NAME.ipynb ...]

No widget state is stored, as a page made from a notebook that holds some shows
nothing where the panels should be. What would change from run to run, such as the
names of widget models, is set to something that does not.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

FOLDER = Path(__file__).resolve().parent.parent / "notebooks"
VIEW = "application/vnd.jupyter.widget-view+json"


def settle(notebook: Any) -> None:
    """Take out what differs between two runs that show the same."""
    notebook.metadata.pop("widgets", None)
    notebook.metadata["language_info"] = {"name": "python"}
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
        for output in cell.get("outputs", ()):
            view = output.get("data", {}).get(VIEW)
            if view is not None:
                view["model_id"] = cell["id"]


def make(path: Path) -> None:
    """Run one notebook in its own folder and write it back."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=120,
        store_widget_state=False,
        resources={"metadata": {"path": str(path.parent)}},
    )
    client.execute()
    settle(notebook)
    text = nbformat.writes(notebook)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")
    sys.stdout.write(f"{path.name}: {len(text.encode()) / 1000:.0f} kB\n")


def main(names: list[str]) -> None:
    """Make the named notebooks, or all of them."""
    for path in sorted(FOLDER.glob("*.ipynb")):
        if not names or path.name in names:
            make(path)


if __name__ == "__main__":
    main(sys.argv[1:])
