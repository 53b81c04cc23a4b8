"""Several ways to one volume: their mean, and whether they agree."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from kit.errors import SumError
from kit.volume._found import Found

__all__ = ["Mean", "mean"]

_ODD: Final = 0.05


@dataclass(frozen=True, slots=True)
class Mean:
    """The mean of several ways, each weighed by how sure it is.

    Parameters
    ----------
    litres, sd_l : float
        Volume and its standard error, widened where the ways disagree. [L]
    ways : tuple of Found
        What went in.
    shares : tuple of float
        Weight of each, adding up to 1. [-]
    chi_square : float
        Sum of squared distances from the mean, each over its error. [-]
    chance : float
        How often ways with these errors would lie at least so far apart. [-]
    widened : float
        Factor the error was widened by; 1 where the ways agree. [-]
    """

    litres: float
    sd_l: float
    ways: tuple[Found, ...]
    shares: tuple[float, ...]
    chi_square: float
    chance: float
    widened: float

    @property
    def agree(self) -> bool:
        """Whether the ways lie no farther apart than their errors allow."""
        return self.chance >= _ODD

    @property
    def error_percent(self) -> float:
        """Standard error as a part of the volume. [%]."""
        return 100.0 * self.sd_l / self.litres

    @property
    def how(self) -> str:
        """Name of the way, or how many there were."""
        if len(self.ways) == 1:
            return self.ways[0].how
        return f"mean of {len(self.ways)} ways"


def mean(found: Sequence[Found]) -> Mean:
    """Weigh several volumes of one tank into one.

    Parameters
    ----------
    found : sequence of Found
        At least one, of ways that share no measurement.

    Returns
    -------
    Mean
        Volume, error, and whether the ways agree.

    Raises
    ------
    SumError
        None was given, or one without an error.

    Notes
    -----
    Weights ``w = 1 / sd^2``; ``V = sum(w V_i) / sum(w)``, ``sd = 1 / sqrt(sum w)``;
    ``chi2 = sum(w (V_i - V)^2)`` on ``n - 1`` degrees of freedom. Where so large a
    chi-square comes less than 1 time in 20, the error is multiplied by
    ``sqrt(chi2 / (n - 1))``.

    Examples
    --------
    >>> both = mean([Found("geometry", 100, 4), Found("counted fill", 106, 2)])
    >>> round(both.litres, 1), round(both.sd_l, 2), both.agree
    (104.8, 1.79, True)
    """
    if not found:
        raise SumError("No volume was given.")
    if not all(f.sd_l > 0 and f.litres > 0 for f in found):
        raise SumError("Each volume needs an error above 0 to be weighed.")
    weights = [1.0 / f.sd_l**2 for f in found]
    whole = math.fsum(weights)
    litres = (
        math.fsum(w * f.litres for w, f in zip(weights, found, strict=True)) / whole
    )
    chi = math.fsum(
        w * (f.litres - litres) ** 2 for w, f in zip(weights, found, strict=True)
    )
    free = len(found) - 1
    chance = _chance(chi, free)
    widened = math.sqrt(chi / free) if free and chance < _ODD else 1.0
    return Mean(
        litres=litres,
        sd_l=widened / math.sqrt(whole),
        ways=tuple(found),
        shares=tuple(w / whole for w in weights),
        chi_square=chi,
        chance=chance,
        widened=max(widened, 1.0),
    )


def _chance(chi_square: float, free: int) -> float:
    """Give the upper tail of the chi-square distribution."""
    if free == 0:
        return 1.0
    from scipy.special import chdtrc

    return float(chdtrc(free, chi_square))
