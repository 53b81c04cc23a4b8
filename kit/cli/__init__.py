"""Commands for scripts and for people without Jupyter.

``python -m kit check|fit|plan|backtest|report PATH`` prints plain words; with
``--json`` one JSON object stands on standard output and nothing else.
"""

from kit.cli._commands import main

__all__ = ["main"]
