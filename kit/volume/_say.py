"""A volume and the ways to it in plain words, and as lines for ``tank.toml``."""

from __future__ import annotations

from collections.abc import Iterable

from kit.rounding import Output, format_volume, plain, round_for_people
from kit.volume._found import Found
from kit.volume._mean import Mean

__all__ = ["found_lines", "label_sentence", "mean_sentences", "settings_lines"]


def percent(value: float) -> str:
    """Write an error in percent, in as many figures as it deserves."""
    return plain(round(value, 1 if value < 10 else 0))


def found_lines(found: Iterable[Found], output: Output = "metric") -> tuple[str, ...]:
    """Say what each way gave.

    Parameters
    ----------
    found : iterable of Found
        The ways.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of str
        One line each.

    Examples
    --------
    >>> found_lines([Found("counted fill", 342.4, 3.6)])
    ('counted fill: 342 L, give or take 1.1 %',)
    """
    return tuple(
        f"{f.how}: {format_volume(f.litres, output, band_l=f.sd_l)}, "
        f"give or take {percent(f.error_percent)} %"
        for f in found
    )


def mean_sentences(result: Mean, output: Output = "metric") -> tuple[str, ...]:
    """Say the mean, its range and whether the ways agree.

    Parameters
    ----------
    result : Mean
        From `kit.volume.mean`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    tuple of str
        The volume first.
    """
    half = 1.96 * result.sd_l
    ends = [
        format_volume(v, output, band_l=result.sd_l)
        for v in (result.litres - half, result.litres + half)
    ]
    said = [
        "The tank holds about "
        f"{format_volume(result.litres, output, band_l=result.sd_l)} "
        f"({ends[0]} to {ends[1]}, 19 times in 20); two times in three the error is "
        f"at most {percent(result.error_percent)} %."
    ]
    if len(result.ways) == 1:
        said.append("There is only one way so far; a second one would check it.")
    elif result.agree:
        said.append(
            f"The {len(result.ways)} ways agree within their errors; each counts by "
            "how sure it is."
        )
    else:
        said.append(
            f"The {len(result.ways)} ways do not agree: so far apart they would lie "
            "less than 1 time in 20. One of them is wrong, or its error is larger than "
            f"said, so the error of the mean is made {plain(round(result.widened, 1))} "
            "times wider. Look the numbers of the farthest one over."
        )
    return (*said, *dict.fromkeys(s for f in result.ways for s in f.said))


def label_sentence(
    result: Mean, label_l: float, output: Output = "metric", part: float = 0.4
) -> str:
    """Say what the label's volume does to the percent of an exchange.

    Parameters
    ----------
    result : Mean
        From `kit.volume.mean`.
    label_l : float
        Volume by the label. [L]
    output : {"metric", "us", "imperial"}, optional
        Whose units.
    part : float, optional
        Part of the label's volume to take as an example. [-]

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> from kit.volume._mean import mean
    >>> label_sentence(mean([Found("tracer", 342, 5)]), 400)
    'The label says 400 L. An exchange of 160 L is 47 % of the water, not 40 %.'
    """
    litres = part * label_l
    return (
        f"The label says {format_volume(label_l, output)}. An exchange of "
        f"{format_volume(litres, output)} is "
        f"{plain(round(100.0 * litres / result.litres))} % of the water, not "
        f"{plain(round(100.0 * part))} %."
    )


def settings_lines(found: Iterable[Found]) -> str:
    """Write the ways as they stand in ``tank.toml``.

    Parameters
    ----------
    found : iterable of Found
        The ways.

    Returns
    -------
    str
        One ``[[volume_found]]`` for each, without a blank line at the end.

    Examples
    --------
    >>> print(settings_lines([Found("counted fill", 342.4, 3.6)]))
    [[volume_found]]
    how = "counted fill"
    litres = 342
    error_percent = 1.1
    """
    return "\n\n".join(
        f'[[volume_found]]\nhow = "{f.how}"\n'
        f"litres = {round_for_people(f.litres, f.sd_l):g}\n"
        f"error_percent = {max(round(f.error_percent, 1), 0.1):g}"
        for f in found
    )
