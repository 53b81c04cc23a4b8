"""The running sum of forecast errors, as a picture of when they lean one way.

Notes
-----
Under one rate all through, forecast errors have mean zero. With the rate fitted to the
same log their sum begins and ends near zero; divided by its own spread it moves like a
Brownian bridge, which leaves plus or minus 1.358 in 1 log of 20 (Kolmogorov 1933;
for sums of residuals Ploberger and Kraemer 1992, Econometrica 60:271).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from kit.change._look import Look
from kit.change._result import Cusum
from kit.change._search import residuals

__all__ = ["BRIDGE", "cusum"]

BRIDGE: Final = 1.358
"""Level that a Brownian bridge leaves with probability 0.05 on either side. [-]"""


def cusum(found: Look) -> Cusum:
    """Sum up the forecast errors of a log fitted with one rate.

    Parameters
    ----------
    found : Look
        A log laid out.

    Returns
    -------
    Cusum
        One point a reading.
    """
    errors = residuals(found)
    spread = float(np.sqrt(np.mean(errors**2)))
    path = np.cumsum(errors) / (max(spread, 1e-9) * len(errors) ** 0.5)
    dates = tuple(test.date for test in found.ledger.tests)
    return Cusum(dates, path, BRIDGE)
