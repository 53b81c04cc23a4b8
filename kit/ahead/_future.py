"""The draws of a fit as the days ahead take them."""

from __future__ import annotations

import math
from dataclasses import replace

from kit.draws import Draws
from kit.fit import FitResult

__all__ = ["future_draws"]


def future_draws(result: FitResult) -> Draws:
    """Give the draws of a fit with the noise of single days alone.

    Parameters
    ----------
    result : FitResult
        A fit.

    Returns
    -------
    Draws
        As the fit's, but for the tank noise.

    Notes
    -----
    The fit also supposes richer and poorer times that last for some days, and
    ``Draws.tank_noise`` counts both as one. The lasting part is in the band of the rate
    already, as no log can tell it from the rate; counted once more in the days ahead it
    made 80 % bands hold the truth 87 times in 100 (``tests/bench``). Without it they
    hold 79 to 80 times over all sorts of tanks, but only 53 to 60 where the rise strays
    by a third for ten days at a time.
    """
    days = result.params.get("log_tank_noise")
    if days is None or result.tank_noise is None or result.tank_noise.estimate <= 0.0:
        return result.draws
    part = min(math.exp(days) / result.tank_noise.estimate, 1.0)
    return replace(result.draws, tank_noise=part * result.draws.tank_noise)
