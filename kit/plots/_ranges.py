"""Several answers to one question as ranges under each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from kit import style
from kit.classroom import Answer
from kit.fit import Estimate
from kit.plots import _parts as parts
from kit.rounding import Output, format_volume
from kit.units import registry_factor
from kit.volume import Mean

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = ["answers_alt", "answers_picture", "volume_alt", "volume_picture"]

_Z: Final = 1.959964
_WAYS: Final = (
    ("least squares on the numbers", "s", style.READING),
    ("each reading as a range", "o", style.LEVEL),
)


def volume_picture(
    result: Mean, *, ax: Axes | None = None, output: Output = "metric"
) -> Axes:
    """Draw each way to a volume with its range, and their mean as a band.

    Parameters
    ----------
    result : Mean
        From `kit.volume.mean`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    unit, per = _unit(output)
    with parts.drawing_on(ax) as ax:
        middle, half = result.litres / per, _Z * result.sd_l / per
        ax.axvspan(middle - half, middle + half, color=style.BAND, lw=0, label="mean")
        ax.axvline(middle, color=style.LEVEL, lw=2.4)
        for row, way in enumerate(result.ways):
            litres, sd = way.litres / per, way.sd_l / per
            ax.plot(
                [litres - _Z * sd, litres + _Z * sd],
                [row, row],
                color=style.READING,
                lw=3,
            )
            ax.plot([litres], [row], "o", color=style.READING, ms=9)
        _name_rows(ax, [w.how for w in result.ways])
        ax.set_xlabel(f"water in the tank, {unit} (19 times in 20)")
        shown = format_volume(result.litres, output, band_l=result.sd_l)
        ax.set_title(f"About {shown}")
    return ax


def _name_rows(ax: Axes, names: Sequence[str]) -> None:
    """Give each name a row, the first at the top."""
    ax.set_yticks(range(len(names)), names)
    ax.set_ylim(len(names) - 0.4, -0.6)
    parts.grid_only(ax, "x")


def _unit(output: Output) -> tuple[str, float]:
    if output == "metric":
        return "L", 1.0
    name, short = {
        "us": ("gallon", "US gal"),
        "imperial": ("imperial_gallon", "imp gal"),
    }[output]
    return short, registry_factor(name, "liter")


def volume_alt(result: Mean, output: Output = "metric") -> str:
    """Say what `volume_picture` shows.

    Parameters
    ----------
    result : Mean
        From `kit.volume.mean`.
    output : {"metric", "us", "imperial"}, optional
        Whose units.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    ways = "; ".join(f"{w.how} {_range(w.litres, w.sd_l, output)}" for w in result.ways)
    return (
        f"Ranges under each other, one for each way to the volume: {ways}. A pale band "
        f"shows their mean, {_range(result.litres, result.sd_l, output)}."
    )


def _range(litres: float, sd: float, output: Output) -> str:
    low, high = (format_volume(litres + z * sd, output, band_l=sd) for z in (-_Z, _Z))
    return f"{low} to {high}"


def answers_picture(answers: Sequence[Answer], *, ax: Axes | None = None) -> Axes:
    """Draw what each kit's log says of the rise, by two ways, beside the truth.

    Parameters
    ----------
    answers : sequence of Answer
        From `kit.classroom.three_answers`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    truth = answers[0].truth_mg_l_day
    with parts.drawing_on(ax) as ax:
        ax.axvline(truth, label="truth", **parts.LIMIT)
        for (name, mark, ink), shift in zip(_WAYS, (-0.17, 0.17), strict=True):
            for row, answer in enumerate(answers):
                found = answer.plain if ink == style.READING else answer.banded
                _estimate(ax, found, row + shift, mark, ink)
            ax.plot([], [], marker=mark, color=ink, lw=3, ms=8, label=name)
        _name_rows(ax, [a.kit for a in answers])
        ax.set_xlabel(f"rise, {parts.UNIT} NO3 a day")
        ax.set_title("Same tank, three kits, two ways")
        parts.legend_below(ax, 2)
    return ax


def _estimate(
    ax: Axes, found: Estimate | None, row: float, mark: str, ink: str
) -> None:
    if found is None:
        return
    ax.plot([found.low, found.high], [row, row], color=ink, lw=3)
    ax.plot([found.estimate], [row], mark, color=ink, ms=9)


def answers_alt(answers: Sequence[Answer]) -> str:
    """Say what `answers_picture` shows.

    Parameters
    ----------
    answers : sequence of Answer
        From `kit.classroom.three_answers`.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    said = [
        f"Ranges of the rise under each other, with a dashed line at the truth, "
        f"{answers[0].truth_mg_l_day:.2f} {parts.UNIT} a day."
    ]
    for answer in answers:
        plain, banded = (_words(e) for e in (answer.plain, answer.banded))
        said.append(
            f"{answer.kit}: least squares on the numbers {plain}; each reading as a "
            f"range {banded}."
        )
    return " ".join(said)


def _words(found: Estimate | None) -> str:
    if found is None:
        return "none"
    return f"{found.estimate:.2f} ({found.low:.2f} to {found.high:.2f})"
