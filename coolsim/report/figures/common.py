"""What all figures share: style, paper size, grids of panels, axes, and saving the same bytes for the same content.

Figures are plain matplotlib `Figure` objects, never of pyplot, so they need no screen and leave no state behind.
"""

from __future__ import annotations

import contextlib
import functools
import io
import textwrap
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, ParamSpec

import matplotlib
import numpy as np
from matplotlib import style
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure, SubFigure
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MultipleLocator
from numpy.typing import NDArray

from coolsim.errors import OutputError
from coolsim.report.whole_file import write_bytes
from coolsim.report.wording import called, hours_minutes
from coolsim.solve.result import Result

COLOURS = "viridis"
"""Perceptually uniform, fit for colour-blind readers, and rising in lightness, so it survives black-and-white print."""

SMALL, NORMAL, LARGE = 7.5, 8.5, 10.0
"""Sizes of the type on paper [pt]."""

PAGE_WIDTH = 10.0
"""Width of a figure: a landscape A4 or letter page with its margins [in]."""

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
    "savefig.dpi": 160,
    "pdf.fonttype": 42,
    "svg.hashsalt": "coolsim",
}
# No date, no version of the program that drew it: equal figures are equal files.
_METADATA: dict[str, dict[str, Any]] = {
    "png": {"Software": "coolsim"},
    "svg": {"Date": None, "Creator": "coolsim"},
    "pdf": {"CreationDate": None, "Creator": "coolsim", "Producer": None},
}
_TICK_STEPS = (1 / 60, 1 / 12, 1 / 6, 0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0)
_MOST_TICKS = 9
_LAYOUT_PASSES = 2
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
            # Each pass of the layout starts from the one before. Once settled it is frozen: a figure that is saved
            # twice, or in two formats, stays the same.
            for axes in figure.findobj(Axes):
                # Ticks are made when they are needed, then perhaps in another style.
                axes.tick_params(labelsize=SMALL)
            engine = figure.get_layout_engine()
            if engine is not None:
                for _ in range(_LAYOUT_PASSES):
                    engine.execute(figure)
            figure.set_layout_engine("none")
            _settle(figure)
            return figure

    return drawn


def _settle(figure: Figure) -> None:
    """Round places off: the layout's solver leaves their last digits to chance, and pages would differ by them."""
    for part in figure.findobj(SubFigure):
        box = part.bbox_relative
        box.p0, box.p1 = np.round(box.p0, _DIGITS), np.round(box.p1, _DIGITS)
    for axes in figure.findobj(Axes):
        for which in ("original", "active"):
            place = axes.get_position(original=which == "original")
            axes.set_position(np.round(place.bounds, _DIGITS), which=which)


def blank(*, width: float = PAGE_WIDTH, height: float, into: SubFigure | None = None) -> Figure | SubFigure:
    """Make an empty figure of a size [in] whose parts keep clear of each other, or take a part of a page instead."""
    return Figure(figsize=(width, height), layout="constrained") if into is None else into


def room_in(part: SubFigure) -> tuple[float, float]:
    """Tell width and height on paper [in] of a part of a page before it is laid out."""
    return part.bbox.width / part.dpi, part.bbox.height / part.dpi


def save_figure(figure: Figure, path: Path | str) -> Path:
    """Write a figure as PNG, SVG or PDF, after the end of its name.

    Parameters
    ----------
    figure : Figure
        What to write.
    path : Path or str
        Where to; an existing file is replaced.

    Returns
    -------
    Path
        The file. Its bytes are the same for the same figure.

    Raises
    ------
    OutputError
        If the name has another end, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from coolsim import save_figure
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_figure(Figure(), f"{folder}/blank.png").name
    'blank.png'
    """
    kind = Path(path).suffix.lower().removeprefix(".")
    if kind not in _METADATA:
        raise OutputError(
            f"{path}: cannot be written: figures are PNG, SVG or PDF. End the name in .png, .svg or .pdf."
        )
    content = io.BytesIO()
    with in_style():
        figure.savefig(content, format=kind, metadata=_METADATA[kind])
    return write_bytes(path, content.getvalue())


def save_pages(pages: Sequence[Figure], path: Path | str, *, title: str, author: str) -> Path:
    """Write pages as one PDF that says title and author unless they are empty; equal pages give equal bytes."""
    if Path(path).suffix.lower() != ".pdf":
        raise OutputError(f"{path}: cannot be written: a handout is a PDF. End the name in .pdf.")
    content = io.BytesIO()
    about = {**_METADATA["pdf"], "Title": title or None, "Author": author or None}
    with in_style(), PdfPages(content, metadata=about) as file:
        for page in pages:
            file.savefig(page)
    return write_bytes(path, content.getvalue())


def colours() -> matplotlib.colors.Colormap:
    """Return the colour map of all figures."""
    return matplotlib.colormaps[COLOURS]


def time_axis(axes: Axes, longest: float) -> None:
    """Make the x axis, drawn against hours, one of hours and minutes since the pour up to the longest time [s]."""
    hours = longest / HOUR
    axes.set_xlim(0.0, hours)
    axes.xaxis.set_major_locator(MultipleLocator(round_step(hours, _TICK_STEPS, _MOST_TICKS)))
    axes.xaxis.set_major_formatter(clock)
    # Panels below each other share their axis, but each has its figures beside its name.
    axes.tick_params(labelbottom=True)
    axes.set_xlabel("time since the pour [h:mm]")


def clock(hours: float, _: float | None = None) -> str:
    """Write hours [h] as hours and minutes, beside the ticks of an axis too."""
    return hours_minutes(hours * HOUR)


def round_step(span: float, steps: Sequence[float], most: int) -> float:
    """Take the smallest of ascending steps [-] that a span holds at most so many times [-]."""
    return next((step for step in steps if span / step <= most), steps[-1])


def radius_axis(axes: Axes, unit: str) -> None:
    """Make the x axis one of radii, which count from the axis of the jar to both sides."""
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    axes.set_xlabel(f"radius [{unit}]")


def draw_axis(axes: Axes) -> None:
    """Draw the axis of the jar."""
    axes.axvline(0.0, color="black", linewidth=0.4, dashes=AXIS, zorder=1.5)


def panel_grid(part: Figure | SubFigure, count: int, columns: int) -> tuple[list[Axes], NDArray[Any]]:
    """Cut a page into so many panels [-] in so many columns [-] with shared heights; return them, and all in rows."""
    grid = part.subplots(-(-count // columns), columns, squeeze=False, sharey=True)
    for empty in grid.ravel()[count:]:
        empty.set_axis_off()
    return list(grid.ravel()[:count]), grid


def square_columns(count: int) -> int:
    """Columns [-] in which so many panels [-] fill a page best."""
    return {1: 1, 2: 2, 4: 2}.get(count, 3)


def heading(figure: Figure | SubFigure, what: str, title: str, *, letters: int = 80, size: float = LARGE + 2) -> None:
    """Write over a figure what it shows and of what, in letters of a size [pt], at most so many [-] of the title."""
    figure.suptitle(f"{what}: {titles_fit(title, letters, lines=1)}", fontsize=size, fontweight="bold")


def vessels(results: Iterable[Result]) -> str:
    """Name what the vessels are made of for the reader, "glass or metal"; empty without any."""
    return " or ".join(dict.fromkeys(called(result, "glass") for result in results if "glass" in result.parts))


def titles_fit(title: str, letters: int, *, lines: int = 2) -> str:
    """Break a title into lines of so many letters [-], and shorten it if it needs more than so many lines [-]."""
    return plain_text("\n".join(textwrap.wrap(title, max(letters, 8), max_lines=lines, placeholder=" …")))


def plain_text(text: str) -> str:
    """Keep matplotlib from reading a formula into the dollar signs of a user's text."""
    return text.replace("$", r"\$")
