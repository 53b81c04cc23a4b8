"""The folder: whole or not there, never outside, the same bytes every time."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from test_report import SAMPLE

from kit import report
from kit.errors import SaveError
from kit.report import _folder

ROOT = Path(__file__).resolve().parents[2]

NAMES = ("report.html", "report.pdf", "post.txt", "chart.png", "logbook.zip")
WHOLE = [
    {name: f"{name} {turn} ".encode() * 20_000 for name in NAMES} for turn in (1, 2)
]
WRITES_FOREVER = """
import sys
sys.path.insert(0, sys.argv[2])
from pathlib import Path
from kit.report import Report, _folder, write
page, out = Report("Tank", ("x",)), Path(sys.argv[1])
names = sys.argv[3].split()
whole = [{n: f"{n} {t} ".encode() * 20_000 for n in names} for t in (1, 2)]
print("ready", flush=True)
while True:
    for files in whole:
        _folder.bundle = lambda page: files
        write(page, out)
"""


@pytest.mark.slow
def test_a_killed_run_leaves_no_half_page(tmp_path, monkeypatch):
    """Twenty runs are killed in the middle of writing, each at another moment."""
    out = tmp_path / "out"
    out.mkdir()
    mine = {"mine.txt": "keep", ".report.html.notes.part": "mine too"}
    for name, text in mine.items():
        (out / name).write_text(text, encoding="utf-8")
    drafts = 0
    for run in range(20):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITES_FOREVER, out, ROOT, " ".join(NAMES)],
            stdout=subprocess.PIPE,
        )
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(0.003 + 0.0037 * run)
        child.kill()
        child.wait()
        child.stdout.close()
        for path in out.iterdir():
            if path.name in NAMES:
                assert path.read_bytes() in [w[path.name] for w in WHOLE], run
        drafts += sum(p.name.endswith(".part") for p in out.iterdir()) - 1
    assert drafts, "no run was caught in the middle; nothing was shown"
    monkeypatch.setattr(_folder, "bundle", lambda page: WHOLE[0])
    report.write(SAMPLE, out)
    assert {p.name for p in out.iterdir()} == {*NAMES, *mine}
    for name, text in mine.items():
        assert (out / name).read_text(encoding="utf-8") == text


def test_a_link_in_the_folder_never_leads_a_page_out(tmp_path):
    outside = tmp_path / "outside.html"
    outside.write_text("theirs", encoding="utf-8")
    out = tmp_path / "out"
    out.mkdir()
    try:
        (out / "report.html").symlink_to(outside)
    except OSError:
        pytest.skip("this system gives no links to this user")
    with pytest.raises(SaveError, match="does not lie in the output folder"):
        report.write(SAMPLE, out)
    assert outside.read_text(encoding="utf-8") == "theirs"
    assert [p.name for p in out.iterdir()] == ["report.html"]


def test_a_linked_folder_is_followed_and_stays_a_link(tmp_path):
    real, link = tmp_path / "real", tmp_path / "link"
    real.mkdir()
    try:
        link.symlink_to(real, target_is_directory=True)
    except OSError:
        pytest.skip("this system gives no links to this user")
    written = report.write(SAMPLE, link)
    assert link.is_symlink()
    assert {p.parent for p in written} == {real.resolve()}


def contents(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file()
    }


def test_two_computers_write_the_same_bytes(tmp_path):
    """Another process, hash seed, time zone, language and day: not a byte differs."""
    found = []
    for seed, zone, day in (("1", "UTC", "2026-11-25"), ("77", "Asia/Tokyo", None)):
        out = tmp_path / f"out-{seed}"
        setting = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C"}
        command = [sys.executable, "-m", "kit", "report", "data_demo/culvert"]
        command += ["--out", str(out), *(("--today", day) if day else ())]
        subprocess.run(command, cwd=ROOT, env=setting, check=True, capture_output=True)
        found.append(contents(out))
    assert {"report.pdf", "chart.png", "logbook.zip"} <= set(found[0])
    assert found[0] == found[1]
