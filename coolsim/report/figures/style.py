"""The look of all figures: sizes, colours, dashes, layout, and texts that fit.

Figures are plain matplotlib `Figure` objects, never of pyplot, so they need no screen and leave no state behind.
"""

from __future__ import annotations

import contextlib
import functools
import textwrap
from collections.abc import Callable, Iterator, Sequence
from typing import Any, ParamSpec

import matplotlib
import numpy as np
from matplotlib import style
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure, SubFigure
from matplotlib.patheffects import withStroke

from coolsim.solve.result import Result

COLOURS = "viridis"
"""Perceptually uniform, fit for colour-blind readers, and rising in lightness, so it survives black-and-white print."""

SMALL, NORMAL, LARGE = 7.5, 8.5, 10.0
"""Sizes of the type on paper [pt]."""

PAGE_WIDTH = 10.0
"""Width of a figure: a landscape A4 or letter page with its margins [in]."""

PICTURE_DPI = 160
"""Dots per inch of pictures, and of what stands as a picture in an SVG or PDF. Figures are laid out at it, so that what
was measured for the layout need not be measured again."""

HALO = (withStroke(linewidth=2.2, foreground="white"),)
"""White edge that keeps dark lines and letters readable on any colour."""

INKS = ("#000000", "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9")
"""Colours of lines that stay apart for colour-blind readers (Okabe and Ito's set)."""

DASHES: tuple[Any, ...] = ("-", (0, (5, 1.5)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)), (0, (9, 2)), (0, (3, 3)))
"""Dash patterns that tell the same lines apart without colour."""

MARKERS = ("o", "s", "^", "D", "v", "P")
"""Signs that do so along a line."""

DASHED, DOTTED, AXIS = (0, (4, 2)), (0, (1, 1.5)), (12, 3, 2, 3)
"""Dashes of lines that are not curves; those of the axis of the jar."""

HOUR = 3600.0
"""Axes of time are drawn against hours [s]."""

Runs = Sequence[tuple[str, Result]]
"""Titles and results of what is drawn."""

_STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": NORMAL,
    "axes.titlesize": NORMAL,
    # Where it is put: else each drawing looks for what it might lie on.
    "axes.titley": 1.0,
    "axes.labelsize": NORMAL,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "legend.fontsize": SMALL,
    "legend.frameon": False,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "lines.linewidth": 1.4,
    "hatch.linewidth": 0.4,
    "pdf.fonttype": 42,
    # Letters stay letters, so that a figure can be translated and searched.
    "svg.fonttype": "none",
    "svg.hashsalt": "coolsim",
}
_DIGITS = 9

_Given = ParamSpec("_Given")


def in_style() -> contextlib.AbstractContextManager[None]:
    """Draw in the style of this project while it lasts, whatever the user's own settings are."""
    return style.context(["default", _STYLE])


def styled(draw: Callable[_Given, Figure | SubFigure]) -> Callable[_Given, Figure]:
    """Let a function draw in the style of this project, whatever the user's own settings are.

    What is drawn into a part of a page is laid out with the page, so it is left as it is.
    """

    @functools.wraps(draw)
    def drawn(*args: _Given.args, **kwargs: _Given.kwargs) -> Figure:
        with in_style():
            figure = draw(*args, **kwargs)
            if isinstance(figure, SubFigure):
                return figure.figure
            # Laid out once and frozen: a figure that is saved twice, or in two formats, stays the same.
            for axes in _all_axes(figure):
                # Ticks are made when they are needed, then perhaps in another style.
                axes.tick_params(labelsize=SMALL)
            engine = figure.get_layout_engine()
            if engine is not None:
                with as_picture(figure):
                    engine.execute(figure)
            figure.set_layout_engine("none")
            _settle(figure)
            return figure

    return drawn


@contextlib.contextmanager
def as_picture(figure: Figure) -> Iterator[FigureCanvasAgg]:
    """Give a figure the canvas and the resolution of pictures for a while; the canvas keeps what it has measured."""
    canvas = figure.canvas if isinstance(figure.canvas, FigureCanvasAgg) else FigureCanvasAgg(figure)
    before, figure.dpi = figure.dpi, PICTURE_DPI
    try:
        yield canvas
    finally:
        figure.dpi = before
        figure.set_canvas(canvas)


def _parts(figure: Figure | SubFigure) -> Iterator[SubFigure]:
    """Go through the parts of a page, and the parts of these."""
    for part in figure.subfigs:
        yield part
        yield from _parts(part)


def _all_axes(figure: Figure) -> list[Axes]:
    """List all axes of a figure, those within others too. To go through all artists makes ticks that nobody needs."""
    return [one for axes in figure.axes for one in (axes, *axes.child_axes) if isinstance(one, Axes)]


def _settle(figure: Figure) -> None:
    """Round places off: the layout's solver leaves their last digits to chance, and pages would differ by them."""
    for part in _parts(figure):
        box = part.bbox_relative
        box.p0, box.p1 = np.round(box.p0, _DIGITS), np.round(box.p1, _DIGITS)
    for axes in _all_axes(figure):
        for which in ("original", "active"):
            place = axes.get_position(original=which == "original")
            axes.set_position(np.round(place.bounds, _DIGITS), which=which)


class Drawing(Figure):
    """A figure that a notebook shows as a picture, though pyplot does not know it."""

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        # What prints pictures stands above.
        from coolsim.report.figures.saving import printed

        return printed(self, "png"), {"width": round(96.0 * self.get_figwidth())}


def blank(*, width: float = PAGE_WIDTH, height: float, into: SubFigure | None = None) -> Figure | SubFigure:
    """Make an empty figure of a size [in] whose parts keep clear of each other, or take a part of a page instead."""
    return Drawing(figsize=(width, height), layout="constrained") if into is None else into


def room_in(part: SubFigure) -> tuple[float, float]:
    """Tell width and height on paper [in] of a part of a page before it is laid out."""
    return part.bbox.width / part.dpi, part.bbox.height / part.dpi


def colours() -> matplotlib.colors.Colormap:
    """Return the colour map of all figures."""
    return matplotlib.colormaps[COLOURS]


def titles_fit(title: str, letters: int, *, lines: int = 2) -> str:
    """Break a title into lines of so many letters [-], and shorten it if it needs more than so many lines [-]."""
    return plain_text("\n".join(textwrap.wrap(title, max(letters, 8), max_lines=lines, placeholder=" …")))


def plain_text(text: str) -> str:
    """Keep matplotlib from reading a formula into the dollar signs of a user's text."""
    return text.replace("$", r"\$")
