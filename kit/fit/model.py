"""The parts of a fit that a second look at a log is built from.

`kit.fit.rate` gives the answer; whoever asks the same log another question (has the
rate stepped, which test would tell more) lays out the same design and likelihood.
"""

from kit.fit._banded import (
    BandedModel,
    Noise,
    Prior,
    Readings,
    log_likelihood,
    one_step_residuals,
)
from kit.fit._bands import KitView, view
from kit.fit._estimate import Columns, Fitted, columns, estimate, quantile_band
from kit.fit._gates import rate_gate
from kit.fit._ledger import Event, Ledger, Order, build, days_since, grid, weave

__all__ = [
    "BandedModel",
    "Columns",
    "Event",
    "Fitted",
    "KitView",
    "Ledger",
    "Noise",
    "Order",
    "Prior",
    "Readings",
    "build",
    "columns",
    "days_since",
    "estimate",
    "grid",
    "log_likelihood",
    "one_step_residuals",
    "quantile_band",
    "rate_gate",
    "view",
    "weave",
]
