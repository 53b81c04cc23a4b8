"""How much nitrate a gram of food can become, from the protein on its label."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING, Final, Literal, Protocol

from kit.basis import NITRATE_PER_N

if TYPE_CHECKING:
    from kit.logbook import Feeding

__all__ = [
    "NITROGEN_IN_PROTEIN",
    "STATED_YIELDS",
    "TAN_SHARE_KEPT",
    "TAN_SHARE_REMOVED",
    "FeedYield",
    "Food",
    "YieldRange",
    "ammonia_nitrogen_g",
    "believed_yield",
    "feed_yield",
    "nitrate_per_gram",
    "says_more_than_feed_holds",
    "usual_food",
]

NITROGEN_IN_PROTEIN: Final = 1 / 6.25
"""Nitrogen in mixed protein; FAO Food and Nutrition Paper 77 (2003), ch. 2. [g/g]"""

TAN_SHARE_REMOVED: Final = 0.092
"""Ammonia nitrogen from protein where solids are taken out of the water, 0.16 x 0.80
x 0.80 x 0.90; Timmons and Ebeling, Recirculating Aquaculture. [g/g]"""

TAN_SHARE_KEPT: Final = 0.144
"""The same where solids stay, 0.16 x 0.90; after Ebeling, Timmons and Bisogni (2006),
figure from memory. [g/g]"""


@dataclass(frozen=True, slots=True)
class FeedYield:
    """What a gram of food can become, as NO3.

    Parameters
    ----------
    low_mg_g : float
        Where solids are taken out before they rot. [mg/g]
    high_mg_g : float
        Where solids stay in the tank. [mg/g]
    ceiling_mg_g : float
        All the nitrogen in the food; more is not possible. [mg/g]
    """

    low_mg_g: float
    high_mg_g: float
    ceiling_mg_g: float


Food = Literal["dry", "frozen"]


@dataclass(frozen=True, slots=True)
class YieldRange:
    """How much nitrate a gram of food makes, as far as it is known.

    Parameters
    ----------
    mg_g : float
        Middle, as NO3. [mg/g]
    sd_mg_g : float
        Its standard deviation. [mg/g]
    earned : bool
        True where the log itself told it, False where it is only the usual range.
    food : str
        Which food it is for, ``"food"`` where the log told it.
    """

    mg_g: float
    sd_mg_g: float
    earned: bool
    food: str

    @property
    def low_mg_g(self) -> float:
        """Lower end of the 95 % range, not below zero. [mg/g]."""
        return self.at(0.025)

    @property
    def high_mg_g(self) -> float:
        """Upper end of the 95 % range. [mg/g]."""
        return self.at(0.975)

    def at(self, share: float) -> float:
        """Yield that a share of what is possible lies below.

        Parameters
        ----------
        share : float
            Above 0 and below 1. [-]

        Returns
        -------
        float
            Never below a hundredth of the middle: food makes some nitrate. [mg/g]

        Examples
        --------
        >>> round(STATED_YIELDS["dry"].at(0.5), 6)
        210.0
        """
        if self.sd_mg_g <= 0.0:
            return self.mg_g
        value = NormalDist(self.mg_g, self.sd_mg_g).inv_cdf(share)
        return max(value, 0.01 * self.mg_g)


STATED_YIELDS: Final[dict[Food, YieldRange]] = {
    "dry": YieldRange(210.0, 40.0, earned=False, food="dry food"),
    "frozen": YieldRange(40.0, 12.0, earned=False, food="frozen food"),
}
"""Usual ranges, for want of better: dry food of 35 to 45 % protein and frozen food of 6
to 8 %, from where solids are taken out to where they stay (`TAN_SHARE_REMOVED`,
`TAN_SHARE_KEPT`). Rounded; the protein figures are common practice, no source. [mg/g]
"""


_WET: Final = ("frozen", "thawed", "wet", "fresh", "live", "paste", "gel")
"""Words in the name of a food that hold mostly water."""


def usual_food(feedings: Sequence[Feeding]) -> Food:
    """Tell by the names in a log which kind of food most of its grams are.

    Parameters
    ----------
    feedings : sequence of Feeding
        Food logged.

    Returns
    -------
    {"dry", "frozen"}
        Dry where nothing is named.
    """
    wet = sum(f.feed_g for f in feedings if any(w in f.food.lower() for w in _WET))
    return "frozen" if wet > sum(f.feed_g for f in feedings) / 2.0 else "dry"


class _Banded(Protocol):
    @property
    def estimate(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def believed_yield(earned: _Banded | None, food: Food = "dry") -> YieldRange:
    """Give the yield a log tells more closely than is usual, else the usual range.

    Parameters
    ----------
    earned : Estimate or None
        Yield of a fit with its 95 % band; None where the log does not tell it. A band
        wider than the usual range tells nothing new. [mg/g]
    food : {"dry", "frozen"}, optional
        What is fed, where the usual range has to do.

    Returns
    -------
    YieldRange
        Says itself whether it was earned.

    Examples
    --------
    >>> believed_yield(None).earned
    False
    """
    stated = STATED_YIELDS[food]
    if earned is None:
        return stated
    sd = (earned.high - earned.low) / (2.0 * NormalDist().inv_cdf(0.975))
    if sd > stated.sd_mg_g:
        return stated
    return YieldRange(earned.estimate, sd, earned=True, food="food")


def _share(percent: float, name: str) -> float:
    if not 0 <= percent <= 100:
        raise ValueError(f"{name} lies between 0 and 100, not {percent!r}")
    return percent / 100


def nitrate_per_gram(protein_percent: float, retained: float = 0.0) -> float:
    """Nitrate that a gram of food becomes when the fish keep part of its nitrogen.

    Parameters
    ----------
    protein_percent : float
        Protein on the label, in the food as fed. [%]
    retained : float, optional
        Part of the nitrogen that stays in the fish, 0 to 1. [-]

    Returns
    -------
    float
        Nitrate as NO3. [mg/g]

    Notes
    -----
    1000 x protein x 0.16 x (1 - retained) x 4.4268: every atom of nitrogen not kept
    is taken to reach nitrate, with none lost to plants or to the air.

    Examples
    --------
    >>> round(nitrate_per_gram(45), 1)
    318.7
    """
    if not 0 <= retained <= 1:
        raise ValueError(f"retained lies between 0 and 1, not {retained!r}")
    protein = _share(protein_percent, "protein_percent")
    return 1000 * protein * NITROGEN_IN_PROTEIN * (1 - retained) * NITRATE_PER_N


def ammonia_nitrogen_g(
    feed_g: float, protein_percent: float, share: float = TAN_SHARE_REMOVED
) -> float:
    """Ammonia nitrogen that food gives off.

    Parameters
    ----------
    feed_g : float
        Food. [g]
    protein_percent : float
        Protein on the label. [%]
    share : float, optional
        Ammonia nitrogen from a gram of protein, 0.092 to 0.144. [g/g]

    Returns
    -------
    float
        Total ammonia nitrogen. [g]

    Examples
    --------
    >>> round(ammonia_nitrogen_g(2000, 32), 2)
    58.88
    """
    return feed_g * _share(protein_percent, "protein_percent") * share


def feed_yield(protein_percent: float) -> FeedYield:
    """Band of nitrate from a gram of food, and its ceiling.

    Parameters
    ----------
    protein_percent : float
        Protein on the label. [%]

    Returns
    -------
    FeedYield
        Low, high and ceiling, as NO3. [mg/g]

    Examples
    --------
    >>> band = feed_yield(35)
    >>> round(band.low_mg_g, 1), round(band.high_mg_g, 1), round(band.ceiling_mg_g, 1)
    (142.5, 223.1, 247.9)
    """
    per_protein = 1000 * _share(protein_percent, "protein_percent") * NITRATE_PER_N
    return FeedYield(
        low_mg_g=per_protein * TAN_SHARE_REMOVED,
        high_mg_g=per_protein * TAN_SHARE_KEPT,
        ceiling_mg_g=per_protein * NITROGEN_IN_PROTEIN,
    )


def says_more_than_feed_holds(yield_mg_g: float, protein_percent: float) -> str | None:
    """Warn of a yield that the food's nitrogen cannot supply.

    Parameters
    ----------
    yield_mg_g : float
        Nitrate from a gram of food, as NO3. [mg/g]
    protein_percent : float
        Protein on the label. [%]

    Returns
    -------
    str or None
        A sentence with the likely reasons; None when the food can supply it. A yield
        far below the ceiling is no fault: plants, sand and growing fish take their
        part.

    Examples
    --------
    >>> says_more_than_feed_holds(200, 45) is None
    True
    """
    ceiling = nitrate_per_gram(protein_percent)
    if yield_mg_g <= ceiling:
        return None
    return (
        f"{yield_mg_g:.0f} mg of nitrate from a gram of food is more than food of "
        f"{protein_percent:g} % protein holds ({ceiling:.0f} mg). The volume or the "
        "kit's basis (NO3 or NO3-N) may be wrong, food may be missing from the log, "
        "or nitrate comes from the source water or the tank bed."
    )
