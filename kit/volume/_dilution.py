"""Volume by how far a known amount of salt, or of fresh water, is spread."""

from __future__ import annotations

import math
from typing import Final

from kit.errors import SumError
from kit.volume._found import Found, found_by, positive

__all__ = ["CONDUCTIVITY_PER_G_L", "apart", "salinity", "tracer"]

CONDUCTIVITY_PER_G_L: Final = 2000.0
"""Rise of conductivity for each gram of table salt in a litre of tap water at 25 C:
2,090 in very soft water, 2,000 at 500 uS/cm, 1,930 at 1,000, by Onsager's limiting law
(constants from memory). Make your own in a jug to be surer than 4 %. [uS/cm]"""

_SURE: Final = 2.0  # a difference smaller than this many of its errors says nothing


def apart(difference: float, sd: float, what: str) -> None:
    """Refuse a difference of two readings that could as well be none.

    Parameters
    ----------
    difference : float
        What the readings differ by; more than zero.
    sd : float
        Standard error of one reading, in the same unit.
    what : str
        Name of what was read.

    Raises
    ------
    SumError
        The difference is smaller than twice its own error.
    """
    if not difference > 0:
        raise SumError(f"The {what} did not change the right way; look it over.")
    if difference < _SURE * math.sqrt(2) * sd:
        raise SumError(
            f"The two readings of {what} differ by less than twice their own error, so "
            "they give no volume. A larger change, or a finer meter, is needed."
        )


def tracer(
    grams: float,
    before: float,
    after: float,
    *,
    per_g_l: float = 1.0,
    per_g_l_part: float = 0.0,
    reading_sd: float = 0.0,
    grams_part: float = 0.01,
) -> Found:
    """Find the volume from a weighed dose and how far it raises a reading.

    Use this where a little salt is harmless, with the water well mixed.

    Parameters
    ----------
    grams : float
        Dose, weighed dry. [g]
    before, after : float
        Readings, in grams a litre or any unit `per_g_l` turns it into.
    per_g_l : float, optional
        Rise of the reading for a gram in a litre; `CONDUCTIVITY_PER_G_L` for table
        salt and a conductivity meter. [unit of the reading, per g/L]
    per_g_l_part : float, optional
        Its standard error, as a part. [-]
    reading_sd : float, optional
        Standard error of one reading. [unit of the reading]
    grams_part : float, optional
        Standard error of the dose, as a part. [-]

    Returns
    -------
    Found
        Litres and standard error.

    Raises
    ------
    SumError
        A number is not above zero, or the rise could as well be none.

    Notes
    -----
    ``V = m k / (after - before)``.

    Examples
    --------
    >>> round(tracer(34.2, 400, 600, per_g_l=2000, reading_sd=2).litres)
    342
    """
    positive(dose=grams, rise_for_a_gram_in_a_litre=per_g_l)
    apart(after - before, reading_sd, "salt or conductivity")
    return found_by(
        "tracer",
        lambda m, k, first, last: m * k / (last - first),
        (
            (grams, grams_part * grams),
            (per_g_l, per_g_l_part * per_g_l),
            (before, reading_sd),
            (after, reading_sd),
        ),
    )


def salinity(
    top_up_l: float,
    before: float,
    after: float,
    *,
    reading_sd: float = 0.0,
    top_up_part: float = 0.02,
    filled: bool = False,
) -> Found:
    """Find the volume from a known fresh top-up and the salinity on both sides of it.

    Use this in salt water, when a good deal has evaporated.

    Parameters
    ----------
    top_up_l : float
        Fresh water added. [L]
    before, after : float
        Salinity before and after it, in any unit that counts from zero. [g/kg]
    reading_sd : float, optional
        Standard error of one reading. [g/kg]
    top_up_part : float, optional
        Standard error of the litres, as a part. [-]
    filled : bool, optional
        Give the volume with the top-up in, not before it.

    Returns
    -------
    Found
        Litres and standard error.

    Raises
    ------
    SumError
        A number is not above zero, or the fall could as well be none.

    Notes
    -----
    All salt stays: ``S_b V = S_a (V + W)``, so ``V = W S_a / (S_b - S_a)``.

    Examples
    --------
    >>> round(salinity(10, 36.8, 35.0).litres, 1)
    194.4
    """
    positive(top_up=top_up_l, salinity_after=after)
    apart(before - after, reading_sd, "salinity")
    if reading_sd > 0 and before - after < 5 * math.sqrt(2) * reading_sd:
        said: tuple[str, ...] = (
            "The salinity fell by little more than the meter's own error; a larger "
            "top-up gives a better volume.",
        )
    else:
        said = ()
    return found_by(
        "salinity",
        lambda w, high, low: w * low / (high - low) + (w if filled else 0.0),
        (
            (top_up_l, top_up_part * top_up_l),
            (before, reading_sd),
            (after, reading_sd),
        ),
        said=said,
    )
