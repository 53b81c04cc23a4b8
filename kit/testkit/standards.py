"""How far a kit reads off, from tries on water of known nitrate."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from kit.logbook import Standard

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "FEWEST",
    "PRIOR_SD",
    "READER_NOISE",
    "Bias",
    "Standard",
    "by_kit",
    "kit_bias",
    "read_over_known",
]

PRIOR_SD: Final = 0.15
"""Spread of the bias of a kit nobody has tried; an assumption. [log units]"""

READER_NOISE: Final = 0.12
"""Spread of one eye on one sample before rounding; an assumption. [log units]"""

FEWEST: Final = 3
"""Fewer checks than this correct nothing."""

_REACH: Final = 12.0  # the bias is looked for this many prior spreads either way
_POINTS: Final = 4801


@dataclass(frozen=True, slots=True)
class Bias:
    """How far a kit reads off, as the logarithm of reading over known.

    Parameters
    ----------
    estimate : float
        Log of reading over known, for a fit to correct by; 0 with too few checks.
        [log units]
    sd : float
        Its standard error. [log units]
    n : int
        Checks used.
    seen, seen_sd : float
        What the checks alone point to, drawn towards 0 by what was assumed before
        them, and its standard error; the same as the first two with enough checks.
        [log units]
    """

    estimate: float
    sd: float
    n: int
    seen: float = 0.0
    seen_sd: float = PRIOR_SD

    @property
    def too_few(self) -> bool:
        """Whether there are too few checks to correct by."""
        return self.n < FEWEST

    @property
    def factor(self) -> float:
        """What the checks point to for reading over known. [-]."""
        return math.exp(self.seen)

    def factor_band(self, z: float = 1.959964) -> tuple[float, float]:
        """Give the band of reading over known.

        Parameters
        ----------
        z : float, optional
            Standard errors either way; 19 times in 20 by default. [-]

        Returns
        -------
        tuple of float
            Lower and upper end. [-]
        """
        half = z * self.seen_sd
        return math.exp(self.seen - half), math.exp(self.seen + half)


def kit_bias(
    standards: Iterable[Standard],
    kit: str | None = None,
    reader: str | None = None,
    *,
    noise: float = READER_NOISE,
    prior_sd: float = PRIOR_SD,
) -> Bias:
    """Estimate how far a kit reads off from its standard checks.

    Parameters
    ----------
    standards : iterable of Standard
        Checks; those of pure water say nothing of a ratio and are left out.
    kit, reader : str, optional
        Use only checks of this kit, or by this reader; all when left out.
    noise : float, optional
        Spread of a single reading before rounding. [log units]
    prior_sd : float, optional
        Spread of the bias before any check. [log units]

    Returns
    -------
    Bias
        With fewer than `FEWEST` checks the estimate is 0 and its error is no smaller
        than before them, and larger where they point far away.

    Notes
    -----
    ``ln reading = ln known + b + e``, ``e ~ N(0, noise^2)``, ``b ~ N(0, prior^2)``. A
    reading of a chart counts as its band: the probability between the edges, never
    the printed number. The strength of the solution is taken as exact.

    Examples
    --------
    >>> kit_bias([])
    Bias(estimate=0.0, sd=0.15, n=0, seen=0.0, seen_sd=0.15)
    """
    chosen = [s for s in standards if _fits(s, kit, reader) and _speaks(s)]
    if not chosen:
        return Bias(0.0, prior_sd, 0, 0.0, prior_sd)
    seen, seen_sd = _posterior(chosen, noise, prior_sd)
    if len(chosen) < FEWEST:
        return Bias(
            0.0, max(prior_sd, math.hypot(seen, seen_sd)), len(chosen), seen, seen_sd
        )
    return Bias(seen, seen_sd, len(chosen), seen, seen_sd)


def by_kit(standards: Iterable[Standard]) -> dict[str, tuple[Standard, ...]]:
    """Sort checks by the kit they tried, in the order the kits first appear.

    Parameters
    ----------
    standards : iterable of Standard
        Checks.

    Returns
    -------
    dict of str to tuple of Standard
        Kit as first written to its checks; ``"kit not named"`` for a blank one.
    """
    names: dict[str, str] = {}
    out: dict[str, list[Standard]] = {}
    for standard in standards:
        written = standard.kit.strip() or "kit not named"
        name = names.setdefault(written.casefold(), written)
        out.setdefault(name, []).append(standard)
    return {name: tuple(found) for name, found in out.items()}


def read_over_known(standard: Standard) -> tuple[float, float | None] | None:
    """Give the range of reading over known that one check allows.

    Parameters
    ----------
    standard : Standard
        A check.

    Returns
    -------
    tuple of (float, float or None), or None
        Lower and upper end, None open above; None for pure water. [-]
    """
    if standard.known_mg_l <= 0:
        return None
    high = standard.high_mg_l
    return (
        standard.low_mg_l / standard.known_mg_l,
        None if high is None else high / standard.known_mg_l,
    )


def _fits(standard: Standard, kit: str | None, reader: str | None) -> bool:
    wanted = ((kit, standard.kit), (reader, standard.reader))
    return all(
        want is None or want.strip().casefold() == has.strip().casefold()
        for want, has in wanted
    )


def _speaks(standard: Standard) -> bool:
    """Tell whether a check says anything of reading over known."""
    open_both = standard.low_mg_l <= 0 and standard.high_mg_l is None
    shows = standard.high_mg_l is None or standard.high_mg_l > 0
    return standard.known_mg_l > 0 and shows and not open_both


def _posterior(
    checks: Sequence[Standard], noise: float, prior_sd: float
) -> tuple[float, float]:
    """Give mean and spread of the bias by sums over a fine grid."""
    import numpy as np

    bias = np.linspace(-_REACH * prior_sd, _REACH * prior_sd, _POINTS)
    log_weight = -0.5 * (bias / prior_sd) ** 2
    for check in checks:
        log_weight = log_weight + _log_chance(check, bias, noise)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float(weight @ bias)
    return mean, math.sqrt(float(weight @ (bias - mean) ** 2))


def _log_chance(check: Standard, bias: Floats, noise: float) -> Floats:
    """Give the log of the chance of a reading for each bias."""
    low = _log_ratio(check.low_mg_l, check.known_mg_l)
    high = math.inf
    if check.high_mg_l is not None:
        high = _log_ratio(check.high_mg_l, check.known_mg_l)
    if low == high:
        return -0.5 * ((low - bias) / noise) ** 2
    return _log_between((low - bias) / noise, (high - bias) / noise)


def _log_ratio(value: float, known: float) -> float:
    return math.log(value / known) if value > 0 else -math.inf


def _log_between(low: Any, high: Any) -> Floats:
    """Give the log of the normal chance between two ends, far out as well."""
    import numpy as np
    from scipy.special import log_ndtr

    flip = low > 0
    bottom = log_ndtr(np.where(flip, -high, low))
    top = log_ndtr(np.where(flip, -low, high))
    found: Floats = top + np.log1p(-np.exp(np.minimum(bottom - top, -1e-15)))
    return found
