"""The parts of a fit that a second look at a log is built from.

`kit.fit.rate` gives the answer; whoever asks the same log another question (has the
rate stepped, which test would tell more) lays out the same design and likelihood.
"""

from kit.fit._banded import BandedModel
from kit.fit._bands import KitView, view
from kit.fit._beforehand import Beforehand
from kit.fit._columns import Columns, columns, lay_out, unsettled
from kit.fit._estimate import Fitted, Top, estimate, quantile_band, top_of
from kit.fit._food import Food
from kit.fit._gates import rate_gate
from kit.fit._ledger import Event, Ledger, Order, build, days_since
from kit.fit._loss import with_loss
from kit.fit._memory import Memory
from kit.fit._readings import Noise, Prior, Readings
from kit.fit._stray import astray
from kit.fit._sweep import log_likelihood, one_step_residuals
from kit.fit._weave import grid, laid, weave

__all__ = [
    "BandedModel",
    "Beforehand",
    "Columns",
    "Event",
    "Fitted",
    "Food",
    "KitView",
    "Ledger",
    "Memory",
    "Noise",
    "Order",
    "Prior",
    "Readings",
    "Top",
    "astray",
    "build",
    "columns",
    "days_since",
    "estimate",
    "grid",
    "laid",
    "lay_out",
    "log_likelihood",
    "one_step_residuals",
    "quantile_band",
    "rate_gate",
    "top_of",
    "unsettled",
    "view",
    "weave",
    "with_loss",
]
