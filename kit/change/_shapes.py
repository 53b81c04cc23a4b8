"""The misfit a finding explains, beside the shape another explanation would have."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from kit.balance import Floats
from kit.change._look import Look
from kit.change._result import Shapes
from kit.change._search import Candidate

__all__ = ["shapes_of"]

_OTHER: Final = {"step": "slip", "slip": "step", "missing": "step"}


def shapes_of(start: Look, tried: Sequence[Candidate], kind: str) -> Shapes | None:
    """Lay the readings' misfit beside the two shapes that tell a slip from a change.

    Parameters
    ----------
    start : Look
        The log laid out.
    tried : sequence of Candidate
        The best of each kind.
    kind : str
        Which of them was found.

    Returns
    -------
    Shapes or None
        None where it is neither a step nor an exchange.
    """
    main = next((c for c in tried if c.kind == kind), None)
    if main is None or kind not in _OTHER:
        return None
    other = next((c for c in tried if c.kind == _OTHER[main.kind]), None)
    n, p = start.line.readings, start.base.width
    r = start.base.chances.readings
    plain = start.columns[:n] @ main.at[:p] + start.known[:n]
    low = np.where(np.isfinite(r.low), r.low, 0.0) - plain
    return Shapes(
        tuple(t.date for t in start.ledger.tests),
        low,
        r.high - plain,
        main.kind == "step",
        _shape(start, main),
        None if other is None else _shape(start, other),
    )


def _shape(start: Look, c: Candidate) -> Floats:
    """What one addition does to each reading. [mg/L]."""
    n, p = start.line.readings, start.base.width
    return np.asarray(c.column[:n, 0] * c.at[p])
