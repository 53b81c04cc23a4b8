"""The detection limit of a meter, from readings of one weak sample over and over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from kit.errors import SumError

__all__ = ["FEWEST_READINGS", "Limit", "detection_limit"]

FEWEST_READINGS: Final = 7
"""Fewest readings the procedure of 40 CFR 136 takes."""

_SURE: Final = 0.99


@dataclass(frozen=True, slots=True)
class Limit:
    """A detection limit.

    Parameters
    ----------
    limit_mg_l : float
        Least level that is told from none 99 times in 100. [mg/L]
    low_mg_l, high_mg_l : float
        95 % limits of the part that comes from the weak sample. [mg/L]
    sd_mg_l : float
        Standard deviation of the readings, pooled. [mg/L]
    freedom : int
        Degrees of freedom it rests on.
    student : float
        Student's t at 99 % for them. [-]
    sample_mg_l : float
        Limit from the weak sample alone. [mg/L]
    blank_mg_l : float or None
        Limit from the blanks alone; None without blanks that show a number. [mg/L]
    """

    limit_mg_l: float
    low_mg_l: float
    high_mg_l: float
    sd_mg_l: float
    freedom: int
    student: float
    sample_mg_l: float
    blank_mg_l: float | None


def detection_limit(
    groups: Sequence[Sequence[float]],
    blanks: Sequence[float] = (),
    *,
    card: bool = False,
) -> Limit:
    """Find the detection limit of a meter by 40 CFR 136, Appendix B.

    Use this with seven or more readings of one weak sample, each of a fresh portion.

    Parameters
    ----------
    groups : sequence of sequence of float
        Readings, each group of one sample on one occasion; their spreads are pooled.
        [mg/L]
    blanks : sequence of float, optional
        Readings of pure water that show a number. [mg/L]
    card : bool, optional
        The readings come from a colour card, which is refused.

    Returns
    -------
    Limit
        The larger of the limits from sample and blanks.

    Raises
    ------
    SumError
        A card; too few readings; readings that are all the same.

    Notes
    -----
    ``MDL_s = t(df, 0.99) s`` with ``s`` pooled over groups and ``df = sum(n - 1)``, its
    95 % limits ``MDL_s sqrt(df / chi2)`` at 0.975 and 0.025; ``MDL_b = mean + t s`` of
    the blanks, a negative mean taken as 0, and the largest blank with fewer than
    seven. The procedure also wants the readings spread over several days.

    Examples
    --------
    >>> seven = [1.9, 2.1, 2.0, 2.2, 1.8, 2.0, 2.0]
    >>> round(detection_limit([seven]).limit_mg_l, 2)
    0.41
    """
    if card:
        raise SumError(
            "A colour card has no detection limit of this kind: read again and again "
            "it shows the same colour, which says nothing of its error. The width of "
            "its lowest band is the limit."
        )
    count = sum(len(g) for g in groups)
    used = [g for g in groups if len(g) > 1]
    if not used or count < FEWEST_READINGS:
        raise SumError(
            f"The procedure needs at least {FEWEST_READINGS} readings of a weak "
            f"sample; there {'is' if count == 1 else 'are'} {count or 'none'}."
        )
    sd, freedom = _pooled(used)
    if not sd > 0:
        raise SumError(
            "All readings are the same, so they show no spread. That is no limit of "
            "0: the step the meter shows is too coarse for this. Take the step as the "
            "limit, or use a sample at which the readings differ."
        )
    student = _student(freedom)
    sample = student * sd
    blank = _blank_limit(blanks)
    low, high = (sample * math.sqrt(freedom / q) for q in _chi_square(freedom))
    return Limit(
        limit_mg_l=max(sample, blank or 0.0),
        low_mg_l=low,
        high_mg_l=high,
        sd_mg_l=sd,
        freedom=freedom,
        student=student,
        sample_mg_l=sample,
        blank_mg_l=blank,
    )


def _pooled(groups: Sequence[Sequence[float]]) -> tuple[float, int]:
    """Pool the spread of readings over groups."""
    square, freedom = 0.0, 0
    for group in groups:
        middle = math.fsum(group) / len(group)
        square += math.fsum((x - middle) ** 2 for x in group)
        freedom += len(group) - 1
    spread = math.sqrt(square / freedom)
    largest = max(abs(x) for g in groups for x in g)
    return (spread if spread > 1e-9 * largest else 0.0), freedom


def _blank_limit(blanks: Sequence[float]) -> float | None:
    if not blanks:
        return None
    if len(blanks) < FEWEST_READINGS:
        return max(max(blanks), 0.0)
    sd, freedom = _pooled([blanks])
    return max(math.fsum(blanks) / len(blanks), 0.0) + _student(freedom) * sd


def _student(freedom: int) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, _SURE))


def _chi_square(freedom: int) -> tuple[float, float]:
    """Give the chi-square values that only 1 in 40 lies above, and below."""
    from scipy.special import chdtri

    return float(chdtri(freedom, 0.025)), float(chdtri(freedom, 0.975))
