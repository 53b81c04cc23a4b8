"""How the commands print: problems worst first, or one JSON object."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from typing import Any, TextIO

from kit.findings import Problem, in_reading_order

__all__ = ["as_plain", "print_json", "print_problems", "say_any_text"]


def say_any_text() -> None:
    """Let the terminal take any text, whatever its code page."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")


def print_json(content: dict[str, Any]) -> None:
    """Print one JSON object; numbers without an end become null."""
    print(json.dumps(_finite(content), ensure_ascii=False, allow_nan=False))


def _finite(value: Any) -> Any:
    """Replace what JSON cannot say."""
    if isinstance(value, dict):
        return {key: _finite(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def as_plain(problems: Sequence[Problem]) -> list[dict[str, Any]]:
    """Give problems as plain values, worst first."""
    return [p.as_dict() for p in in_reading_order(problems)]


def print_problems(problems: Sequence[Problem], stream: TextIO | None = None) -> None:
    """Print problems, worst first, under a count of each level."""
    stream = stream or sys.stdout
    levels = [p.level for p in problems]
    if not levels:
        print("No problems found.", file=stream)
        return
    counts = [
        f"{levels.count(level)} {level}{'s' if levels.count(level) != 1 else ''}"
        for level in ("error", "question", "note")
        if level in levels
    ]
    print(", ".join(counts) + ":", file=stream)
    for p in in_reading_order(problems):
        print(f"  {p.level}: {p.sentence()}", file=stream)
        for choice in p.choices:
            print(f"      answer {choice.answer!r}: {choice.means}", file=stream)
