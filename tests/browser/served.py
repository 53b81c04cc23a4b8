"""Servers and a browser for tests: each on a free port of this machine alone.

The notebooks are copied first, so that nothing a page saves reaches the originals.
"""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
TUNING = "03_tune_percent_and_interval.ipynb"
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """Path of the system's Chromium, if there is one."""
    names = ("chromium", "chromium-browser", "google-chrome", "chrome")
    return next((found for n in names if (found := shutil.which(n))), None)


def free_port() -> int:
    """Port nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def copy_of_notebooks(place: Path) -> Path:
    """Copy notebooks and demo logs; give the folder that holds both."""
    for name in ("notebooks", "data_demo"):
        shutil.copytree(
            ROOT / name,
            place / name,
            ignore=shutil.ignore_patterns(".ipynb_checkpoints", "sealed"),
        )
    return place


def _environment(place: Path) -> dict[str, str]:
    """Environment with settings of its own; the news question is answered."""
    settings = place / "config"
    override = settings / "labconfig" / "default_setting_overrides.json"
    override.parent.mkdir(parents=True, exist_ok=True)
    quiet = {"fetchNews": "false", "checkForUpdates": False}
    override.write_text(
        json.dumps({"@jupyterlab/apputils-extension:notification": quiet}),
        encoding="utf-8",
    )
    path = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")]))
    return {
        **os.environ,
        "JUPYTER_CONFIG_DIR": str(settings),
        "JUPYTER_RUNTIME_DIR": str(place / "runtime"),
        "PYTHONPATH": path,
    }


@contextmanager
def _running(command: list[str], place: Path, ready: str) -> Iterator[None]:
    """Run a server until the block ends; it and its kernels are stopped then."""
    log = (place / "server.log").open("w", encoding="utf-8")
    server = subprocess.Popen(
        command,
        cwd=place,
        env=_environment(place),
        stdout=log,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        _wait_for(ready, server, place)
        yield
    finally:
        if hasattr(os, "killpg"):
            os.killpg(server.pid, signal.SIGTERM)
        else:
            server.terminate()
        try:
            server.wait(timeout=10)
        except subprocess.TimeoutExpired:
            server.kill()
        log.close()


def _wait_for(url: str, server: subprocess.Popen[bytes], place: Path) -> None:
    """Wait until a page answers, or say what the server wrote."""
    for _ in range(300):
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(url, timeout=30):
                return
        except urllib.error.HTTPError:
            return  # it answers, even if not with that page
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    written = (place / "server.log").read_text(encoding="utf-8", errors="replace")
    raise RuntimeError("the server did not come up:\n" + written[-2000:])


@contextmanager
def lab(place: Path, name: str = TUNING) -> Iterator[str]:
    """Run JupyterLab on a copy of the notebooks; give a notebook's address."""
    port, token = free_port(), secrets.token_hex(16)
    base = f"http://127.0.0.1:{port}"
    command = [
        *(sys.executable, "-m", "jupyterlab", "--no-browser", "--allow-root"),
        *("--ServerApp.ip=127.0.0.1", f"--ServerApp.port={port}"),
        *(f"--IdentityProvider.token={token}", f"--ServerApp.root_dir={place}"),
    ]
    with _running(command, place, f"{base}/api?token={token}"):
        yield f"{base}/lab/tree/notebooks/{name}?token={token}&reset"


@contextmanager
def voila(place: Path, name: str = TUNING) -> Iterator[str]:
    """Run one notebook as a plain page; give its address."""
    port = free_port()
    command = [
        *(sys.executable, "-m", "voila", f"notebooks/{name}", "--no-browser"),
        *(f"--port={port}", "--Voila.ip=127.0.0.1"),
    ]
    # Asking for the page itself would start a kernel that nobody looks at.
    base = f"http://127.0.0.1:{port}"
    with _running(command, place, f"{base}/voila/static/none"):
        yield base


@contextmanager
def browser() -> Iterator[Any]:
    """Run the system's Chromium without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(
            executable_path=chromium(), headless=True, args=CHROMIUM_FLAGS
        )
        try:
            yield started
        finally:
            started.close()


def run_all_cells(page: Any) -> None:
    """Choose Run, Run All Cells in JupyterLab once the kernel is there."""
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
    # The toolbar says idle too early; the line at the foot waits for the kernel.
    page.wait_for_selector("text=/ipykernel.* \\| Idle/", timeout=60_000)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()


def panel_ready(page: Any) -> None:
    """Wait for a live picture and a verdict."""
    page.wait_for_selector("img.kit-picture", timeout=60_000)
    page.wait_for_selector("[role=status] p.lead", timeout=60_000)


def handle(page: Any, label: str) -> Any:
    """Find the slider handle that stands beside a named number box."""
    named = page.get_by_label(label, exact=True)
    row = page.locator(".widget-box").filter(has=named).last
    return row.locator(".noUi-handle")
