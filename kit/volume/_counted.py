"""Volume by counting what goes in."""

from __future__ import annotations

import math

from kit.errors import SumError
from kit.volume._found import Found, found_by, positive

__all__ = ["counted_fill"]


def counted_fill(
    buckets: float,
    bucket_l: float,
    *,
    mark_part: float = 0.01,
    each_part: float = 0.03,
) -> Found:
    """Find the volume by counting full buckets, or by a meter on the hose.

    Use this when the tank is filled from dry; a metered hose is one bucket.

    Parameters
    ----------
    buckets : float
        How many, the last one in parts. [-]
    bucket_l : float
        Litres to the mark, weighed once: a kilogram is a litre. [L]
    mark_part : float, optional
        Standard error of the mark, the same in every bucket, as a part. [-]
    each_part : float, optional
        Standard error of filling one bucket to its mark, as a part. [-]

    Returns
    -------
    Found
        Litres and standard error.

    Raises
    ------
    SumError
        A number is not above zero.

    Notes
    -----
    ``V = n b``; the mark's error grows with ``n``, that of filling with ``sqrt(n)``.

    Examples
    --------
    >>> found = counted_fill(34.2, 10)
    >>> round(found.litres), round(found.error_percent, 1)
    (342, 1.1)
    """
    positive(number_of_buckets=buckets, litres_of_a_bucket=bucket_l)
    if not (mark_part >= 0 and each_part >= 0):
        raise SumError("An error cannot be less than nothing.")
    per_bucket = bucket_l * math.hypot(mark_part, each_part / math.sqrt(buckets))
    return found_by(
        "counted fill",
        lambda count, litres: count * litres,
        ((buckets, 0.0), (bucket_l, per_bucket)),
    )
