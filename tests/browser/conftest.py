"""One copy of the notebooks and one browser for the tests of this folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import served


@pytest.fixture(scope="session")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return served.copy_of_notebooks(tmp_path_factory.mktemp("pages") / "copy")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    if served.chromium() is None:
        pytest.skip("no Chromium on this computer (Debian: apt-get install chromium)")
    with served.browser() as started:
        yield started
