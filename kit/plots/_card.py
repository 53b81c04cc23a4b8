"""What a card's colours stand for, and how far kits read off: lying bars."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from kit import style
from kit.plots import _parts as parts
from kit.testkit import Bias, Colour, Standard, read_over_known

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "card_alt",
    "card_picture",
    "chances_alt",
    "chances_picture",
    "checks_alt",
    "checks_picture",
]

_THICK: Final = 0.56
_TICKS: Final = (0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_RATIOS: Final = (0.25, 0.5, 0.7, 1.0, 1.4, 2.0, 4.0)
_WIDEST: Final = (0.3, 3.3)


def _ratio_axis(ax: Axes, ticks: Sequence[float], low: float, high: float) -> None:
    """Set an axis on which equal ratios are equally long."""
    ax.set_xscale("log")
    ax.set_xlim(low, high)
    shown = [t for t in ticks if low <= t <= high]
    ax.set_xticks(shown, [f"{t:g}" for t in shown])
    ax.minorticks_off()
    parts.grid_only(ax, "x")


def _card_rows(ax: Axes, steps: Sequence[float]) -> None:
    """Give each number of the card a row, the lowest at the foot."""
    ax.set_yticks(range(len(steps)), [f"{s:g}" for s in steps])
    ax.set_ylim(-0.7, len(steps) - 0.3)
    ax.set_ylabel("the card reads")


def card_picture(
    card: Sequence[Colour],
    chosen: int,
    edges_mg_l: Sequence[float] = (),
    *,
    ax: Axes | None = None,
) -> Axes:
    """Draw what each colour of a card stands for, the chosen one dark.

    Parameters
    ----------
    card : sequence of Colour
        From `kit.testkit.colours`.
    chosen : int
        Place of the reading.
    edges_mg_l : sequence of float, optional
        Where a diluted sample changes its colour. [mg/L]
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        left = (card[0].high_mg_l or 1.0) / 3.0
        right = max(card[-1].low_mg_l * 3.0, *(e * 1.2 for e in (*edges_mg_l, 1.0)))
        for place, colour in enumerate(card):
            _colour(ax, colour, place, (left, right), dark=place == chosen)
        for edge in edges_mg_l:
            ax.plot([edge] * 2, [chosen - 0.5, chosen + 0.5], color=style.CEILING, lw=3)
        if edges_mg_l:
            ax.plot([], [], color=style.CEILING, lw=3, label="edge added by dilution")
            parts.legend_below(ax)
        _ratio_axis(ax, _TICKS, left, right)
        _card_rows(ax, [c.step_mg_l for c in card])
        ax.set_xlabel(f"nitrate that may be in the water, {parts.UNIT} NO3")
        ax.set_title(f"What a reading of {card[chosen].step_mg_l:g} can mean")
    return ax


def _colour(
    ax: Axes, colour: Colour, place: int, ends: tuple[float, float], *, dark: bool
) -> None:
    """Draw one colour: its band, and a thin line as far as the eye strays."""
    left, right = ends
    low, high = max(colour.low_mg_l, left), colour.high_mg_l or right
    ink = style.LEVEL if dark else style.BAND
    ax.barh(place, high - low, left=low, height=_THICK, color=ink, lw=0)
    wide = (max(colour.widest_low_mg_l, left), colour.widest_high_mg_l or right)
    for start, end in ((wide[0], low), (high, wide[1])):
        ax.plot([start, end], [place, place], color=ink if dark else style.SOFT, lw=2)


def _span(low: float, high: float | None) -> str:
    if high is None:
        return f"more than {parts.short(low)}"
    return f"{parts.short(low)} to {parts.short(high)}"


def card_alt(
    card: Sequence[Colour], chosen: int, edges_mg_l: Sequence[float] = ()
) -> str:
    """Say what `card_picture` shows.

    Parameters
    ----------
    card : sequence of Colour
        From `kit.testkit.colours`.
    chosen : int
        Place of the reading.
    edges_mg_l : sequence of float, optional
        Where a diluted sample changes its colour. [mg/L]

    Returns
    -------
    str
        Sentences with the numbers.
    """
    rows = "; ".join(
        f"{c.step_mg_l:g} is {_span(c.low_mg_l, c.high_mg_l)}" for c in card
    )
    one = card[chosen]
    wide = _span(one.widest_low_mg_l, one.widest_high_mg_l)
    said = (
        f"Horizontal bars, one for each colour of the card, in {parts.UNIT}: {rows}. "
        f"The bar of {one.step_mg_l:g} is dark; with the eye's spread it reaches "
        f"{wide}."
    )
    if edges_mg_l:
        cuts = " and ".join(parts.short(e) for e in edges_mg_l)
        said += f" Diluted, it is cut at {cuts}."
    return said


def chances_picture(
    level_mg_l: float,
    steps_mg_l: Sequence[float],
    chances: Sequence[float],
    mean_mg_l: float,
    *,
    ax: Axes | None = None,
) -> Axes:
    """Draw how often one water is read as each colour.

    Parameters
    ----------
    level_mg_l : float
        What is truly in the water. [mg/L]
    steps_mg_l : sequence of float
        Numbers printed on the card. [mg/L]
    chances : sequence of float
        From `kit.testkit.reading_chances`. [-]
    mean_mg_l : float
        What the mean of the printed numbers goes to. [mg/L]
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        for place, chance in enumerate(chances):
            ax.barh(place, 100 * chance, height=_THICK, color=style.READING, lw=0)
            if chance >= 0.005:
                ax.annotate(
                    f"{100 * chance:.0f} of 100 tests",
                    (100 * chance, place),
                    xytext=(5, 0),
                    textcoords="offset points",
                    va="center",
                )
        ax.set_xlim(0, 138)
        ax.set_xticks([0, 25, 50, 75, 100])
        _card_rows(ax, steps_mg_l)
        parts.grid_only(ax, "x")
        ax.set_xlabel("tests out of 100")
        ax.set_title(
            f"Water of {parts.short(level_mg_l)} {parts.UNIT}: the numbers' mean goes "
            f"to {parts.short(mean_mg_l)}"
        )
    return ax


def chances_alt(
    level_mg_l: float,
    steps_mg_l: Sequence[float],
    chances: Sequence[float],
    mean_mg_l: float,
) -> str:
    """Say what `chances_picture` shows.

    Parameters
    ----------
    level_mg_l, steps_mg_l, chances, mean_mg_l
        As there.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    seen = ", ".join(
        f"{s:g} in {100 * c:.0f}"
        for s, c in zip(steps_mg_l, chances, strict=True)
        if c >= 0.005
    )
    return (
        f"Horizontal bars: of 100 tests of water with {parts.short(level_mg_l)} "
        f"{parts.UNIT}, the card reads {seen}. The mean of the printed numbers goes to "
        f"{parts.short(mean_mg_l)}."
    )


def checks_picture(
    groups: Mapping[str, Sequence[Standard]],
    found: Mapping[str, Bias],
    *,
    ax: Axes | None = None,
) -> Axes:
    """Draw every check as the range of reading over known, and each kit's band.

    Parameters
    ----------
    groups : mapping of str to sequence of Standard
        Checks by kit, from `kit.testkit.by_kit`.
    found : mapping of str to Bias
        From `kit.testkit.kit_bias`, for the same kits.
    ax : matplotlib.axes.Axes, optional
        Where to draw; a new figure when left out.

    Returns
    -------
    matplotlib.axes.Axes
        The axes drawn on.
    """
    with parts.drawing_on(ax) as ax:
        row, names = 0.0, []
        for kit, checks in groups.items():
            ranges = [r for r in map(read_over_known, checks) if r is not None]
            bottom = row
            for low, high in ranges:
                _check(ax, low, high, row)
                row += 1.0
            row = max(row, bottom + 1.0)
            if not found[kit].too_few:
                left, right = found[kit].factor_band()
                ax.barh(
                    (bottom + row - 1.0) / 2.0,
                    right - left,
                    left=left,
                    height=row - bottom,
                    color=style.BAND,
                    lw=0,
                    zorder=0,
                )
            names.append(((bottom + row - 1.0) / 2.0, kit))
            row += 0.8
        ax.axvline(1.0, **parts.LIMIT)
        _ratio_axis(ax, _RATIOS, *_WIDEST)
        ax.set_yticks([y for y, _ in names], [k[:22] for _, k in names])
        ax.set_ylim(row - 0.4, -1.0)
        ax.set_xlabel("reading divided by known strength (1 = right)")
        ax.set_title("How far each kit reads off")
    return ax


def _check(ax: Axes, low: float, high: float | None, row: float) -> None:
    """Draw one check: a bar for a range, a point for one number."""
    left, right = max(low, _WIDEST[0]), _WIDEST[1] if high is None else high
    line: Any = {"color": style.READING, "lw": 5, "solid_capstyle": "butt"}
    if right > left * 1.01:
        ax.plot([left, right], [row, row], **line)
    else:
        ax.plot([left], [row], "o", color=style.READING, ms=8)


def checks_alt(
    groups: Mapping[str, Sequence[Standard]], found: Mapping[str, Bias]
) -> str:
    """Say what `checks_picture` shows.

    Parameters
    ----------
    groups, found
        As there.

    Returns
    -------
    str
        Sentences with the numbers.
    """
    said = [
        "Horizontal bars, one for each check: the range of reading over known that the "
        "card allows, with a dashed line at 1."
    ]
    for kit, checks in groups.items():
        bias = found[kit]
        line = f"{kit}: {len(checks)} {'check' if len(checks) == 1 else 'checks'}"
        if not bias.too_few:
            low, high = bias.factor_band()
            line += f", a pale band from {low:.2f} to {high:.2f}"
        said.append(line + ".")
    return " ".join(said)
