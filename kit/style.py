"""How the kit's pictures look: ink, lines and letter sizes.

Colours are told apart by lightness and line style as well as hue, so a picture stays
legible on a grey printer and to colour-blind readers. Roles are named for what they
show, never for a verdict.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = [
    "BAND",
    "CEILING",
    "DPI_LIVE",
    "DPI_PRINT",
    "EXCHANGE",
    "INK",
    "LEVEL",
    "MARK",
    "PAPER",
    "READING",
    "SOFT",
    "axes_in",
    "blank_figure",
    "canvas_of",
    "drawing",
    "png_bytes",
    "png_of",
]

PAPER: Final = "#ffffff"
INK: Final = "#1d2733"
SOFT: Final = "#5a6570"
"""Axes, ticks and small words; 6 to 1 against the paper."""
LEVEL: Final = "#14556f"
"""The level in the tank: a full line."""
BAND: Final = "#bcd8e2"
"""Its band: a light filling under the line."""
READING: Final = "#b65a14"
"""What was read: upright bars and points."""
CEILING: Final = "#6b1532"
"""The keeper's ceiling: a dashed line."""
EXCHANGE: Final = "#5a6570"
"""Exchanges: short ticks at the foot of the picture."""
MARK: Final = "#8a7fb8"
"""A moment pointed out: a dotted upright line."""

DPI_LIVE: Final = 125
DPI_PRINT: Final = 150
_SIZE_IN: Final = (6.4, 4.2)

# Large enough at 640 pixels to be read on a phone, where the picture shrinks to
# little more than half.
_LOOK: Final[dict[str, Any]] = {
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.titlecolor": INK,
    "axes.titlelocation": "left",
    "axes.titleweight": "bold",
    "axes.titlepad": 10.0,
    "axes.facecolor": PAPER,
    "figure.facecolor": PAPER,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "grid.color": "#e3e7ea",
    "grid.linewidth": 0.8,
    "text.color": INK,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "legend.frameon": False,
    "font.family": ["sans-serif"],
}
_LETTERS: Final[dict[str, Any]] = {
    "font.size": 12.5,
    "axes.labelsize": 12.5,
    "axes.titlesize": 13.5,
    "xtick.labelsize": 12.0,
    "ytick.labelsize": 12.0,
    "legend.fontsize": 12.0,
    "lines.linewidth": 2.2,
}


@contextmanager
def drawing() -> Iterator[None]:
    """Give pictures made inside the ``with`` block the kit's look; leave no trace."""
    import matplotlib as mpl
    import seaborn as sns

    look: Any = {**_LOOK, **_LETTERS}

    with (
        sns.axes_style("whitegrid"),
        sns.plotting_context("notebook"),
        mpl.rc_context(look),
    ):
        yield


def blank_figure(
    size_in: tuple[float, float] = _SIZE_IN, dpi: int = DPI_LIVE
) -> Figure:
    """Make an empty figure of fixed size that no global state knows of.

    Parameters
    ----------
    size_in : tuple of float, optional
        Width and height. [inch]
    dpi : int, optional
        Pixels an inch.

    Returns
    -------
    matplotlib.figure.Figure
        With a layout that makes room for its labels.
    """
    from matplotlib.figure import Figure

    return Figure(figsize=size_in, dpi=dpi, layout="constrained", facecolor=PAPER)


def axes_in(figure: Figure) -> Axes:
    """Put axes of the kit's look into a figure.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        Where.

    Returns
    -------
    matplotlib.axes.Axes
        Empty axes.
    """
    with drawing():
        return figure.add_subplot()


def png_bytes(figure: Figure, dpi: float | None = None) -> bytes:
    """Draw a figure as a PNG file that names no program, so that equal is equal.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        What to draw.
    dpi : float, optional
        Pixels an inch; the figure's own when left out.

    Returns
    -------
    bytes
        The whole file.
    """
    from io import BytesIO

    out = BytesIO()
    figure.savefig(
        out,
        format="png",
        dpi=figure.dpi if dpi is None else dpi,
        metadata={"Software": None},
    )
    return out.getvalue()


def canvas_of(figure: Figure) -> Any:
    """Give the figure's canvas, one that draws into memory."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    canvas = figure.canvas
    return canvas if isinstance(canvas, FigureCanvasAgg) else FigureCanvasAgg(figure)


def png_of(canvas: Any) -> bytes:
    """Pack what a canvas shows for a page under sliders.

    Parameters
    ----------
    canvas : matplotlib.backends.backend_agg.FigureCanvasAgg
        Drawn already.

    Returns
    -------
    bytes
        A PNG file of at most 64 colours, which is all that few lines and letters
        need; a third of the bytes of a full one.
    """
    from io import BytesIO

    from PIL import Image

    size = canvas.get_width_height()
    drawn = Image.frombuffer("RGBA", size, canvas.buffer_rgba()).convert("RGB")
    few = drawn.quantize(64, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    # Paper stays white: a near-white ground would print as a grey box.
    palette = few.getpalette() or []
    few.putpalette(
        [
            255 if min(palette[i - i % 3 :][:3]) >= 248 else c
            for i, c in enumerate(palette)
        ]
    )
    out = BytesIO()
    few.save(out, "PNG", compress_level=4)
    return out.getvalue()
