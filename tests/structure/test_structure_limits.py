"""Sizes, paths and patterns: hostile files are refused, not struggled with."""

from __future__ import annotations

import hashlib
import os
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

import kit.structure
from kit.structure import LIMITS, Limits, parse_sheet, read_sheet
from kit.structure import _dialect as dialect_module
from kit.structure import _frame as frame_module
from kit.structure import _kinds as kinds_module
from kit.structure import _parse as parse_module
from kit.structure import _source as source_module
from kit.structure import _tokens as tokens_module

SMALL = Limits(file_bytes=2_000, rows=50, columns=10, cell_chars=40)


def told(path: Path | str, limits: Limits = LIMITS) -> list[tuple[str, str]]:
    return [(p.level, p.kind) for p in read_sheet(path, limits).problems]


def test_limits_are_those_promised() -> None:
    assert (LIMITS.file_bytes, LIMITS.rows) == (20_000_000, 200_000)
    assert (LIMITS.columns, LIMITS.cell_chars) == (500, 32_000)


def test_rows_at_the_limit_and_one_more() -> None:
    lines = ["date,nitrate", *["2024-01-01,10"] * 49]
    sheet = parse_sheet("\n".join(lines).encode(), "a.csv", SMALL)
    assert (sheet.problems, len(sheet.tables[0].records)) == ((), 49)
    sheet = parse_sheet("\n".join([*lines, "x,y"]).encode(), "a.csv", SMALL)
    assert [p.kind for p in sheet.problems] == ["too many rows"]
    assert "50" in sheet.problems[0].expected
    assert sheet.tables == ()


def test_columns_at_the_limit_and_one_more() -> None:
    for count, kinds in ((10, []), (11, ["too many columns"])):
        names = ",".join(f"name{index}" for index in range(count))
        cells = ",".join("x" * count)
        sheet = parse_sheet(f"{names}\n{cells}\n".encode(), "a.csv", SMALL)
        assert [p.kind for p in sheet.problems] == kinds


def test_cell_at_the_limit_and_one_more() -> None:
    for count, kinds in ((40, []), (41, ["cell too long"])):
        text = f"date,note\n2024-01-01,{'x' * count}\n2024-01-02,y\n"
        sheet = parse_sheet(text.encode(), "a.csv", SMALL)
        assert [p.kind for p in sheet.problems] == kinds
        assert len(sheet.tables[0].records) == 2
        assert sheet.tables[0].unsure == ({2} if kinds else frozenset())


def test_bytes_at_the_limit_and_one_more(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    limits = Limits(file_bytes=2_000)
    row = b"2024-01-01,x\n"
    start = b"date,note\n" + row * 150
    path.write_bytes(start + b"2024-01-02," + b"x" * (2_000 - len(start) - 11))
    assert path.stat().st_size == 2_000
    assert told(path, limits) == []
    with path.open("ab") as stream:
        stream.write(b"x")
    assert told(path, limits) == [("error", "file too large")]


def test_a_real_file_over_the_limit_is_not_opened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "large.csv"
    with path.open("wb") as stream:
        stream.truncate(LIMITS.file_bytes + 1)

    def refuse(*_: object) -> int:
        raise AssertionError("opened")

    monkeypatch.setattr(os, "open", refuse)
    assert told(path) == [("error", "file too large")]


@pytest.mark.skipif(sys.platform == "win32", reason="needs resource limits")
def test_bombs_are_refused_in_a_child_with_little_memory_and_time() -> None:
    code = """
import resource
resource.setrlimit(resource.RLIMIT_CPU, (10, 10))
resource.setrlimit(resource.RLIMIT_DATA, (300_000_000, 300_000_000))
from kit.structure import parse_sheet
for data in (
    b"a,b\\n" * 5_000_001,
    b"a,b\\n" + b"\\n" * 19_000_000,
    b"a,b\\n" + b"1,2\\n" * 200_001,
    b"," * 19_000_000,
    b"\\0" * 19_000_000,
):
    kinds = [(p.level, p.kind) for p in parse_sheet(data, "a.csv").problems]
    print(kinds)
"""
    root = Path(kit.structure.__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=root,
        timeout=60,
        check=False,
    )
    assert done.stderr == ""
    assert done.stdout.split("\n")[:5] == [
        "[('error', 'file too large')]",
        "[('error', 'too many rows')]",
        "[('error', 'too many rows')]",
        "[('error', 'too many columns')]",
        "[('error', 'not text')]",
    ]


@pytest.mark.parametrize(
    "path",
    [
        "http://example.org/log.csv",
        "https:/example.org/log.csv",
        "ftp://example.org/log.csv",
        "file:///etc/hosts",
        "s3://bucket/log.csv",
    ],
)
def test_an_address_is_never_opened(path: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("network")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(os, "open", refuse)
    assert told(path) == [("error", "address")]
    assert told(Path(path)) == [("error", "address")]


def test_folders_packed_files_and_missing_files(tmp_path: Path) -> None:
    assert told(tmp_path) == [("error", "folder")]
    assert told(tmp_path / "none.csv") == [("error", "no such file")]
    for name in ("log.csv.gz", "log.zip", "log.tar"):
        path = tmp_path / name
        path.write_bytes(b"date,no3\n2024-01-01,10\n")
        assert told(path) == [("error", "compressed")]
    book = tmp_path / "log.xlsx"
    book.write_bytes(b"PK\x03\x04rest")
    assert told(book) == [("error", "workbook")]


def test_odd_paths_give_a_problem() -> None:
    for path in ("", "\0", "a" * 5_000, "no/such\0file"):
        kinds = told(path)
        assert len(kinds) == 1
        assert kinds[0][0] == "error"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_and_a_device_are_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    assert told(pipe) == [("error", "not a file")]
    assert told("/dev/zero") == [("error", "not a file")]


def test_reading_changes_nothing_and_names_the_file_only(tmp_path: Path) -> None:
    path = tmp_path / "my log.csv"
    data = b"date,nitrate\n2024-01-01,10,5\n"
    path.write_bytes(data)
    before = path.stat()
    sheet = read_sheet(path)
    after = path.stat()
    assert path.read_bytes() == data
    assert (before.st_mtime_ns, before.st_mode) == (after.st_mtime_ns, after.st_mode)
    assert sheet.sha256 == hashlib.sha256(data).hexdigest()
    assert sheet.file == "my log.csv"
    assert str(tmp_path) not in "".join(p.sentence() for p in sheet.problems)


def patterns() -> list[re.Pattern[str]]:
    """Give every pattern over text that the package compiles."""
    modules = (
        dialect_module,
        frame_module,
        kinds_module,
        parse_module,
        source_module,
        kit.structure._header,  # type: ignore[attr-defined]
    )
    found = [
        value
        for module in modules
        for value in vars(module).values()
        if isinstance(value, re.Pattern) and isinstance(value.pattern, str)
    ]
    found += [
        tokens_module._inside(quote, backslash=backslash)
        for quote in ("'", '"')
        for backslash in (False, True)
    ]
    return found


def effort(pattern: re.Pattern[str], text: str) -> float:
    """Give the least time of three tries to match and to search [s]."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        pattern.fullmatch(text)
        pattern.match(text)
        pattern.search(text)
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.parametrize("unit", ["1", " ", "<", '"', '""x', "a1 ", "1.", "\\", "-"])
def test_patterns_take_effort_in_step_with_length(unit: str) -> None:
    """Ten times the text may cost at most some ten times the effort, not a hundred."""
    compiled = patterns()
    assert len(compiled) >= 12
    for pattern in compiled:
        short = effort(pattern, unit * 5_000 + "x")
        long = effort(pattern, unit * 50_000 + "x")
        # below 50 µs the clock's own noise would decide
        assert long < 40 * max(short, 5e-5), pattern.pattern


def log_of(count: int) -> bytes:
    rows = [
        f"2024-{1 + i % 12:02d}-{1 + i % 28:02d},{i % 24:02d}:15,{i % 80},0.{i % 9},"
        f'{25 if i % 7 == 0 else ""},,6.{i % 9},24.5,{i % 8},batch,,"cloudy, a bit"'
        for i in range(count)
    ]
    names = "date,time,nitrate,food,exchanged,volume,ph,temp,kh,kind,task,note"
    return "\n".join([names, *rows]).encode()


def test_ten_times_the_rows_take_about_ten_times_as_long() -> None:
    """The ratio of one run; 10 is ideal, memory management takes some more."""
    small, large = log_of(5_000), log_of(50_000)
    ratios = []
    for _ in range(3):
        start = time.perf_counter()
        assert parse_sheet(small, "a.csv").problems == ()
        middle = time.perf_counter()
        assert parse_sheet(large, "a.csv").problems == ()
        ratios.append((time.perf_counter() - middle) / (middle - start))
    assert min(ratios) < 15
