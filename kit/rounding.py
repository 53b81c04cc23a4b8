"""Numbers as people read them: rounded to what can be told apart, with a unit."""

from __future__ import annotations

import math
from typing import Final, Literal

from kit.registry import registry_factor

__all__ = [
    "Output",
    "decimals_for",
    "format_flow",
    "format_length",
    "format_mass",
    "format_nitrate",
    "format_temperature",
    "format_temperature_difference",
    "format_volume",
    "plain",
    "round_for_people",
    "say_band",
    "say_range",
]

Output = Literal["metric", "us", "imperial"]

_GALLONS: Final = {
    "us": ("gallon", "US gal"),
    "imperial": ("imperial_gallon", "imp gal"),
}
_FIGURES: Final = 3


def decimals_for(band: float) -> int:
    """Count the decimals that a band leaves meaning in; negative means tens.

    Parameters
    ----------
    band : float
        Half the width of the band, in the value's unit.

    Returns
    -------
    int
        Decimals for one figure of the band; a band of tens that starts with 1 or 2
        keeps two, since a step of ten would swallow it.

    Examples
    --------
    >>> decimals_for(0.4), decimals_for(13), decimals_for(70)
    (1, 0, -1)
    """
    # The hair of slack keeps 0.3 (stored as 0.299999...) from getting a figure more.
    place = math.floor(math.log10(band) + 1e-9)
    leading = band / 10.0**place
    return -place + (1 if band >= 10 and leading < 3 - 1e-9 else 0)


def round_for_people(value: float, band: float | None = None) -> float:
    """Round a number to what its band can tell apart.

    Parameters
    ----------
    value : float
        Any number.
    band : float, optional
        Half the width of its band, in the same unit; without one, three figures
        are kept.

    Returns
    -------
    float
        The rounded number.

    Examples
    --------
    >>> round_for_people(47.31, 13)
    47.0
    >>> round_for_people(1.2345)
    1.23
    """
    if not math.isfinite(value):
        return value
    if band is not None and math.isfinite(band) and band > 0:
        return round(float(value), decimals_for(band)) + 0.0
    if value == 0:
        return 0.0
    place = math.floor(math.log10(abs(value)))
    return round(float(value), _FIGURES - 1 - place)


def plain(value: float, decimals: int | None = None) -> str:
    """Write a number without an exponent, thousands parted by commas.

    Parameters
    ----------
    value : float
        A number, usually rounded already.
    decimals : int, optional
        Decimals to show; without it, as many as the number has.

    Returns
    -------
    str
        Such as ``"1,300"`` or ``"0.05"``.

    Examples
    --------
    >>> plain(1300.0), plain(0.05), plain(2.0, 1)
    ('1,300', '0.05', '2.0')
    """
    if not math.isfinite(value):
        return "without limit" if value > 0 else "unknown"
    if decimals is not None:
        text = f"{value:,.{max(decimals, 0)}f}"
    else:
        text = f"{value:,.10f}".rstrip("0").rstrip(".")
    return text[1:] if text.startswith("-") and not text.strip("-0.,") else text


def say_band(value: float, low: float, high: float | None, unit: str) -> str:
    """Write an estimate with its unit and band, rounded to what they can tell apart.

    Parameters
    ----------
    value, low : float
        Estimate and lower end of its band, in `unit`.
    high : float or None
        Upper end; None or infinite is open above.
    unit : str
        What stands behind the number, such as ``"mg/L a day"``.

    Returns
    -------
    str
        Such as ``"1.2 mg/L a day (0.9 to 1.5)"``.

    Examples
    --------
    >>> say_band(1.2345, 0.93, 1.52, "mg/L a day")
    '1.2 mg/L a day (0.9 to 1.5)'
    """
    open_above = high is None or not math.isfinite(high)
    half = (value - low) if open_above or high is None else (high - low) / 2
    if half <= 0 or not math.isfinite(half):
        more = " or more" if open_above and math.isfinite(value) else ""
        return f"{plain(round_for_people(value))} {unit}{more}"
    decimals = decimals_for(half)
    shown = [plain(round(v, decimals), decimals) for v in (value, low)]
    if open_above or high is None:
        return f"{shown[0]} {unit} ({shown[1]} or more)"
    top = plain(round(high, decimals), decimals)
    return f"{shown[0]} {unit} ({shown[1]} to {top})"


def say_range(low: float, high: float) -> str:
    """Write a range, rounded to what its width can tell apart.

    Parameters
    ----------
    low, high : float
        Its ends.

    Returns
    -------
    str
        Such as ``"0.9 to 1.5"``.

    Examples
    --------
    >>> say_range(0.93, 1.52)
    '0.9 to 1.5'
    """
    half = (high - low) / 2
    decimals = decimals_for(half) if half > 0 else None
    ends = [v if decimals is None else round(v, decimals) for v in (low, high)]
    return " to ".join(plain(v, decimals) for v in ends)


def _with_unit(value: float, band: float | None, unit: str) -> str:
    return f"{plain(round_for_people(value, band))} {unit}"


def format_volume(
    volume_l: float, output: Output = "metric", *, band_l: float | None = None
) -> str:
    """Write a volume in the reader's unit.

    Parameters
    ----------
    volume_l : float
        Volume. [L]
    output : {"metric", "us", "imperial"}
        Whose units.
    band_l : float, optional
        Half the width of its band. [L]

    Returns
    -------
    str
        Such as ``"342 L"`` or ``"90.3 US gal"``.

    Examples
    --------
    >>> format_volume(341.8, "us")
    '90.3 US gal'
    """
    if output == "metric":
        return _with_unit(volume_l, band_l, "L")
    unit, shown = _GALLONS[output]
    per = registry_factor(unit, "liter")
    return _with_unit(volume_l / per, None if band_l is None else band_l / per, shown)


def format_flow(
    flow_l_day: float, output: Output = "metric", *, band_l_day: float | None = None
) -> str:
    """Write a flow as a volume a day in the reader's unit.

    Parameters
    ----------
    flow_l_day : float
        Flow. [L/day]
    output : {"metric", "us", "imperial"}
        Whose units.
    band_l_day : float, optional
        Half the width of its band. [L/day]

    Returns
    -------
    str
        Such as ``"20 L a day"``.
    """
    return format_volume(flow_l_day, output, band_l=band_l_day) + " a day"


def format_nitrate(
    nitrate_mg_l: float,
    output: Output = "metric",
    *,
    band_mg_l: float | None = None,
    basis: bool = True,
) -> str:
    """Write a nitrate level, with what it counts.

    Parameters
    ----------
    nitrate_mg_l : float
        Level as NO3. [mg/L]
    output : {"metric", "us", "imperial"}
        "us" writes ppm, which is mg/L within less than a kit can show.
    band_mg_l : float, optional
        Half the width of its band. [mg/L]
    basis : bool
        Whether to add "NO3".

    Returns
    -------
    str
        Such as ``"20 mg/L NO3"``.

    Examples
    --------
    >>> format_nitrate(23.4, band_mg_l=4)
    '23 mg/L NO3'
    """
    unit = "ppm" if output == "us" else "mg/L"
    return _with_unit(nitrate_mg_l, band_mg_l, f"{unit} NO3" if basis else unit)


def format_mass(mass_g: float, output: Output = "metric") -> str:
    """Write a mass: grams or kilograms, ounces or pounds.

    Parameters
    ----------
    mass_g : float
        Mass. [g]
    output : {"metric", "us", "imperial"}
        Whose units.

    Returns
    -------
    str
        Such as ``"2.5 g"`` or ``"4.4 lb"``.
    """
    if output == "metric":
        big = abs(mass_g) >= 1000
        return _with_unit(mass_g / 1000 if big else mass_g, None, "kg" if big else "g")
    pound = registry_factor("pound", "gram")
    if abs(mass_g) >= pound:
        return _with_unit(mass_g / pound, None, "lb")
    return _with_unit(mass_g / registry_factor("ounce", "gram"), None, "oz")


def format_length(length_cm: float, output: Output = "metric") -> str:
    """Write a length in cm or inches.

    Parameters
    ----------
    length_cm : float
        Length. [cm]
    output : {"metric", "us", "imperial"}
        Whose units.

    Returns
    -------
    str
        Such as ``"30 cm"`` or ``"11.8 in"``.
    """
    if output == "metric":
        return _with_unit(length_cm, None, "cm")
    return _with_unit(length_cm / registry_factor("inch", "centimeter"), None, "in")


def format_temperature(temperature_c: float, output: Output = "metric") -> str:
    """Write a temperature to a tenth of a degree.

    Parameters
    ----------
    temperature_c : float
        Temperature. [°C]
    output : {"metric", "us", "imperial"}
        "us" writes °F, the others °C.

    Returns
    -------
    str
        Such as ``"25 °C"`` or ``"77 °F"``.
    """
    if output == "us":
        return f"{plain(round(temperature_c * 9 / 5 + 32, 1))} °F"
    return f"{plain(round(temperature_c, 1))} °C"


def format_temperature_difference(
    difference_c: float, output: Output = "metric"
) -> str:
    """Write a difference of temperatures to a tenth of a degree.

    Parameters
    ----------
    difference_c : float
        Difference. [°C]
    output : {"metric", "us", "imperial"}
        "us" writes °F, the others °C.

    Returns
    -------
    str
        Such as ``"5 °C"`` or ``"9 °F"``.
    """
    if output == "us":
        return f"{plain(round(difference_c * 9 / 5, 1))} °F"
    return f"{plain(round(difference_c, 1))} °C"
