"""Notebooks as they are kept: run, small, readable, and ending as promised.

Their outputs are compared with a fresh run by nbval, in the same test run. A notebook
without outputs or counts would pass there unseen, so that is checked here.
"""

from __future__ import annotations

import ast
import base64
import json
import re
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).resolve().parents[1] / "notebooks"
NAMES = sorted(p.name for p in FOLDER.glob("*.ipynb"))
VIEW = "application/vnd.jupyter.widget-view+json"


def load(name: str) -> Any:
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


def code_cells(name: str) -> list[Any]:
    return [c for c in load(name)["cells"] if c["cell_type"] == "code"]


def prose(name: str) -> str:
    cells = load(name)["cells"]
    return "\n\n".join("".join(c["source"]) for c in cells if c["cell_type"] != "code")


every = pytest.mark.parametrize("name", NAMES)


def test_the_first_set_is_there():
    first = {
        "00_start_here.ipynb",
        "01_check_my_logbook.ipynb",
        "02_fit_my_tank.ipynb",
        "03_tune_percent_and_interval.ipynb",
        "04_add_an_entry.ipynb",
    }
    assert first <= set(NAMES)


@every
def test_run_in_order_from_a_clean_kernel(name):
    counts = [c["execution_count"] for c in code_cells(name)]
    assert counts == list(range(1, len(counts) + 1))


@every
def test_outputs_are_kept_and_none_is_an_error(name):
    shown = [c["outputs"] for c in code_cells(name)]
    assert any(shown)
    for output in (o for outputs in shown for o in outputs):
        assert output["output_type"] in {"execute_result", "display_data"}
        if VIEW in output["data"]:
            assert "".join(output["data"]["text/plain"]).strip(), "words are missing"


@every
def test_a_still_picture_is_a_picture(name):
    for cell in code_cells(name):
        for output in cell["outputs"]:
            if "image/png" in output["data"]:
                png = base64.b64decode("".join(output["data"]["image/png"]))
                assert png.startswith(b"\x89PNG")
                assert len(output["metadata"]["image/png"]["alt"]) > 40


@every
def test_no_widget_state_and_no_machine_are_stored(name):
    notebook = load(name)
    assert set(notebook["metadata"]) == {"kernelspec", "language_info"}
    assert notebook["metadata"]["kernelspec"]["name"] == "python3"
    text = (FOLDER / name).read_text(encoding="utf-8")
    assert not re.search(r"/(home|root|Users|tmp|work)/", text)
    assert len(text.encode("utf-8")) <= 150_000


@every
def test_code_is_short_folded_and_begins_in_words(name):
    for cell in code_cells(name):
        source = "".join(cell["source"])
        assert len(source.splitlines()) <= 12
        assert source.startswith("# ")
        assert cell["metadata"]["jupyter"]["source_hidden"] is True
        assert "hide-input" in cell["metadata"]["tags"]
        # A closing semicolon hides nothing from the comparison run.
        assert not source.rstrip().endswith(";")
        kinds = (ast.FunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.While)
        assert not [n for n in ast.walk(ast.parse(source)) if isinstance(n, kinds)]


@every
def test_one_question_stands_at_the_head(name):
    heads = re.findall(r"^# (.+)$", prose(name), re.MULTILINE)
    assert len(heads) == 1
    assert heads[0].endswith("?")


@every
def test_need_get_limits_and_next_are_said(name):
    text = prose(name)
    for part in ("**You need:**", "**You get:**", "## What this cannot tell you"):
        assert text.count(part) == 1, part
    assert text.index("**You need:**") < text.index("## ")


@every
def test_the_next_notebook_exists(name):
    (named,) = re.findall(r"\*\*Next:\*\*.*?`(\w+\.ipynb)`", prose(name), re.DOTALL)
    assert (FOLDER / named).is_file()
    assert named != name


@every
def test_plain_words(name):
    text = prose(name)
    for heavy in ("dataframe", "regression", "kernel", "widget", "parameter", "!"):
        assert heavy not in text.lower(), heavy


@every
def test_logs_are_named_from_the_notebooks_folder(name):
    for cell in code_cells(name):
        for path in re.findall(r'"(\.\./[^"]+)"', "".join(cell["source"])):
            assert (FOLDER / path / "tank.toml").is_file()
