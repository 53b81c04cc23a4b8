"""The contributor's guide names every module, and importing the kit stays light."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(
    p.stem if p.is_file() else f"{p.name}/"
    for p in (ROOT / "kit").iterdir()
    if (p.suffix == ".py" and not p.stem.startswith("__"))
    or (p / "__init__.py").is_file()
)


@pytest.mark.parametrize("module", MODULES)
def test_the_guide_names_the_module(module):
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = guide.partition("## Layers")[2].partition("## The model")[0]
    assert f"`{module}`" in table


HEAVY = {"numpy", "pandas", "scipy", "matplotlib", "seaborn", "statsmodels", "pint"}


@pytest.mark.parametrize(
    ("module", "absent"),
    [
        ("kit", HEAVY | {"ipywidgets"}),
        ("kit.structure", HEAVY),
        ("kit.files", HEAVY),
        ("kit.balance", {"pandas", "matplotlib", "statsmodels", "pint"}),
        ("kit.fit", {"matplotlib", "seaborn", "ipywidgets"}),
        ("kit.report", HEAVY),
    ],
)
def test_an_import_brings_only_what_it_needs(module, absent):
    code = f"import sys, {module}; print(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert not absent & set(done.stdout.split())
