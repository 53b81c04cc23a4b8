"""A panel: sliders above, a sentence and a picture below, all changed in place.

A picture under sliders is one figure that lives as long as the panel. Its layout is
fixed after the first drawing, and each change sends one PNG into an ``img`` element
with its alternative text. This keeps a key press under a tenth of a second and the
page from jumping.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from kit import escape, style
from kit.errors import KitError
from kit.markup import Markup, element, picture

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

__all__ = ["Panel", "Picture", "caution_markup", "say"]

# Style rules of all panels; letters take the page's own colour.
_INKS = (
    f":root {{ --kit-ceiling: {style.CEILING}; --kit-reading: {style.READING}; "
    f"--kit-soft: {style.SOFT}; }}"
)
LOOK = (
    _INKS
    + """
.jp-RenderedMarkdown > * { max-width: 50em; }
.jp-RenderedMarkdown details { margin-bottom: 1.2em; }
#rendered_cells > div { max-width: 64em; margin: 0 auto; }
.kit-said { margin: 0.4em 0; }
.kit-said p { margin: 0 0 0.45em; max-width: 44em; line-height: 1.5; }
.kit-said .lead { font-size: 1.15em; font-weight: 600; line-height: 1.4; }
.kit-mind, .kit-box { border-left: 4px solid var(--kit-ceiling);
  padding: 0.5em 0 0.2em 0.9em; margin: 0.4em 0 0.8em; max-width: 58em;
  line-height: 1.45; }
.kit-mind summary { font-weight: 600; cursor: pointer; margin-bottom: 0.4em; }
.kit-mind li { margin-bottom: 0.4em; break-inside: avoid; }
.kit-mind ul { padding: 0; margin: 0; list-style: none; columns: 2 20em;
  column-gap: 2em; }
.kit-warn { border-left: 4px solid var(--kit-reading); padding-left: 0.8em; }
.widget-radio .widget-radio-box label { white-space: normal; height: auto;
  line-height: 1.4; padding: 0.25em 0 0.25em 1.6em; position: relative; }
.widget-radio .widget-radio-box input { position: absolute; left: 0; top: 0.35em;
  margin: 0; }
.widget-radio, .widget-radio .widget-radio-box { height: auto; max-width: 100%; }
.kit-dial .widget-label { text-align: left; }
.kit-picture { max-width: 640px; width: 100%; height: auto; display: block;
  margin-top: 0.8em; }
.kit-rows { overflow-x: auto; max-width: 100%; }
.kit-rows table { border-collapse: collapse; line-height: 1.4; }
.kit-rows caption { text-align: left; font-weight: 600; padding: 0.8em 0 0.3em; }
.kit-rows th, .kit-rows td { text-align: left; vertical-align: top;
  padding: 0.4em 0.9em 0.4em 0; border-bottom: 1px solid #c9d0d6;
  white-space: normal; min-width: 5.5em; }
.kit-label { display: none; color: var(--kit-soft); }
@media (max-width: 600px) {
  .kit-stacked thead { display: none; }
  .kit-stacked tr { display: block; border-bottom: 1px solid #c9d0d6;
    padding: 0.6em 0; }
  .kit-stacked td { display: block; border: 0; padding: 0 0 0.2em; }
  .kit-label { display: inline; }
}
"""
)


def say(sentences: Iterable[str], warnings: Iterable[str] = ()) -> Markup:
    """Make a live region that screen readers speak when it changes.

    Parameters
    ----------
    sentences : iterable of str
        The verdict first.
    warnings : iterable of str, optional
        Sentences to set apart.

    Returns
    -------
    Markup
        Safe whatever the sentences hold.
    """
    parts = [
        element("p", text, class_="lead" if i == 0 else "more")
        for i, text in enumerate(sentences)
    ]
    parts += [element("p", text, class_="kit-warn") for text in warnings]
    return element("div", *parts, class_="kit-said", role="status", aria_live="polite")


def caution_markup(cautions: Iterable[str], title: str) -> Markup:
    """Make the box of cautions, open, with the first words of each set strong.

    Parameters
    ----------
    cautions : iterable of str
        From `kit.cautions.for_page`.
    title : str
        Line above them.

    Returns
    -------
    Markup
        A part of a page that can be folded away once read.
    """
    rows = []
    for text in cautions:
        head, colon, rest = text.partition(":")
        if colon and len(head) < 40:
            rows.append(element("li", element("strong", head + colon), rest))
        else:
            rows.append(element("li", text))
    return element(
        "details",
        element("summary", title),
        element("ul", *rows),
        class_="kit-mind",
        open="open",
    )


class Picture:
    """A figure shown in a widget and drawn anew in place.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        With its artists made already.
    moving : iterable of matplotlib.artist.Artist, optional
        Parts that change from one drawing to the next, lowest first. Everything
        else is drawn once and kept until `restart`; without any, all is drawn
        each time.
    """

    def __init__(self, figure: Figure, moving: Iterable[Artist] = ()) -> None:
        self.figure = figure
        self.moving = tuple(moving)
        self.png = b""
        self.alt = ""
        self.widget = widgets.HTML()
        self.widget.layout.width = "auto"
        self._still: Any = None
        self._frozen = False

    def restart(self) -> None:
        """Draw the still parts anew next time, as one of them changed."""
        self._still, self._frozen = None, False
        self.figure.set_layout_engine("constrained")

    def draw(self, alt: str) -> None:
        """Draw the figure as it stands and send it to the page.

        Parameters
        ----------
        alt : str
            What the picture shows, in words.
        """
        canvas = style.canvas_of(self.figure)
        if not self._frozen:
            self.figure.draw_without_rendering()
            self.figure.set_layout_engine("none")
            self._frozen = True
        if self._still is None or not self.moving:
            for part in self.moving:
                part.set_animated(True)
            canvas.draw()
            self._still = canvas.copy_from_bbox(self.figure.bbox)
        canvas.restore_region(self._still)
        for part in self.moving:
            part.draw(canvas.get_renderer())
        self._send(style.png_of(canvas), alt)

    def _send(self, png: bytes, alt: str) -> None:
        self.png, self.alt = png, alt
        self.widget.value = picture(png, alt, class_="kit-picture")

    def clear(self) -> None:
        """Show no picture, so that none outlives what it was drawn from."""
        self.png, self.alt = b"", ""
        self.widget.value = ""


class Panel:
    """What every panel has: a place for words, maybe a picture, and a guard.

    Attributes
    ----------
    verdict : tuple of str
        The sentences shown, which are also the plain-text twin of the panel.
    """

    picture: Picture | None = None

    def __init__(self) -> None:
        self.verdict: tuple[str, ...] = ()
        self.warnings: tuple[str, ...] = ()
        self._busy = False
        self.words = widgets.HTML()
        self.box = widgets.VBox([widgets.HTML(f"<style>{LOOK}</style>"), self.words])
        self.box.layout.width = "100%"

    def arrange(self, *rows: widgets.Widget) -> None:
        """Put the parts of the panel in order, style rules first."""
        self.box.children = (self.box.children[0], *rows)

    def tell(self, sentences: Iterable[str], warnings: Iterable[str] = ()) -> None:
        """Show sentences, the verdict first."""
        self.verdict = tuple(s for s in sentences if s)
        self.warnings = tuple(w for w in warnings if w)
        self.words.value = say(self.verdict, self.warnings)

    def guarded(self, action: Callable[..., None]) -> Callable[..., None]:
        """Wrap what a widget calls, so that a fault shows as a sentence.

        A fault inside a widget's own call is seen by nobody otherwise: neither
        JupyterLab nor a Voila page shows it.
        """

        def run(*args: Any) -> None:
            try:
                action(*args)
            except KitError as fault:
                self.fail(str(fault))
            except Exception as fault:  # the last line of defence; it must not be bare
                self.fail(
                    "The kit could not do this and changed nothing. What it says of "
                    f"itself: {type(fault).__name__}, {escape.plain(str(fault), 200)}"
                )

        return run

    @contextmanager
    def held(self) -> Iterator[None]:
        """Move controls without answering to each."""
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def fail(self, sentence: str) -> None:
        """Show a fault in place of numbers that no longer hold."""
        if self.picture is not None:
            self.picture.clear()
        self.tell([sentence])

    def text(self) -> str:
        """Plain-text twin of the panel."""
        return "\n".join([*self.verdict, *self.warnings])

    def still(self) -> Markup | None:
        """Give what a page without a kernel shows; None for the plain words alone."""
        return None

    def _repr_mimebundle_(
        self, include: Any = None, exclude: Any = None
    ) -> tuple[dict[str, Any], dict[str, Any]]:
        """Give the live panel, a still picture for pages without one, and the words."""
        data: dict[str, Any] = dict(self.box._repr_mimebundle_())
        data["text/plain"] = self.text()
        meta: dict[str, Any] = {}
        if self.picture is not None and self.picture.png:
            data["image/png"] = base64.b64encode(self.picture.png).decode("ascii")
            meta["image/png"] = {"alt": self.picture.alt}
        elif self.picture is None and (page := self.still()) is not None:
            data["text/html"] = str(page)
        return data, meta
