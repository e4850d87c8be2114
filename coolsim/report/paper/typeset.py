"""Text on paper that is set line by line, so that nothing overlaps or is cut."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass, field

from matplotlib.artist import Artist
from matplotlib.backend_bases import RendererBase
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.lines import Line2D
from matplotlib.mathtext import MathTextParser
from matplotlib.text import Text

from coolsim.report.figures.style import NORMAL, SMALL

BODY = NORMAL + 0.5
"""Size of the type of running text [pt]."""

SPACING = 1.3
"""Distance between lines in sizes of the type [-]."""

POINT = 1 / 72.0
"""A point of the printer [in]."""

_ASCENT = 0.85
_HINTED = 1.04
_QUANTITY = re.compile(r"(\d) (%|°C|°F|K|mm|in|mL|fl oz|oz|g|h|min|am|pm)(?!\w)")
_INDEX = re.compile(r"(?<!\w)(\w)_(\w+)")
_FAMILY = "DejaVu Sans"


class _Line(Text):
    """A black line of text that begins at its place: it need not be measured to be drawn."""

    def draw(self, renderer: RendererBase) -> None:
        """Draw the line."""
        x, y = self.get_transform().transform(self.get_position())
        _, height = renderer.get_canvas_width_height()
        gc = renderer.new_gc()
        y = height - y if renderer.flipy() else y
        renderer.draw_text(gc, x, y, self.get_text(), self.get_fontproperties(), 0.0, mtext=self)
        gc.restore()
        self.stale = False


def put(
    page: Figure,
    text: str,
    x: float,
    y: float,
    *,
    size: float = BODY,
    weight: str = "normal",
    ha: str = "left",
    va: str = "top",
    math: bool = False,
) -> Artist:
    """Write a text of a size [pt] at a place from the lower left corner of the paper [in]; formulas with `math`."""
    kind = _Line if (ha, va, math) == ("left", "baseline", False) else Text
    return page.add_artist(
        kind(
            x, y, text, fontsize=size, fontweight=weight, ha=ha, va=va, linespacing=SPACING, parse_math=math,
            transform=page.dpi_scale_trans,
        )
    )  # fmt: skip


def rule(page: Figure, left: float, right: float, y: float, *, linewidth: float = 0.5) -> Artist:
    """Draw a level line [pt] from left to right at a height from the lower left corner of the paper [in]."""
    line = Line2D(
        [left, right], [y, y], color="black", linewidth=linewidth, transform=page.dpi_scale_trans, solid_capstyle="butt"
    )
    return page.add_artist(line)


@functools.lru_cache(maxsize=8192)
def _word_width(word: str, weight: str) -> float:
    """Width of a word [-], in sizes of the type."""
    font = get_font(findfont(FontProperties(family=_FAMILY, weight=weight)))
    # Large, so that hinting does not count.
    font.set_size(100.0, 72)
    font.set_text(word, 0.0)
    return float(font.get_width_height()[0]) / 64.0 / 100.0


def text_width(text: str, size: float, weight: str = "normal") -> float:
    """Measure a line of text of a size [pt] on paper [in]."""
    words = text.split(" ")
    # On a screen, letters are fitted to pixels, which makes lines a little longer.
    blank = _word_width("a a", weight) - _word_width("aa", weight)
    letters = sum(_word_width(word, weight) for word in words if word) + blank * (len(words) - 1)
    return letters * size * POINT * _HINTED


@functools.lru_cache(maxsize=1024)
def formula_size(formula: str, size: float) -> tuple[float, float, float]:
    """Measure a formula of a size [pt]: its width, and how far it stands above and hangs below its line [in]."""
    whole = MathTextParser("path").parse(f"${formula}$", dpi=72, prop=FontProperties(family=_FAMILY, size=size))
    return whole.width * POINT, (whole.height - whole.depth) * POINT, whole.depth * POINT


def broken(text: str, width: float, size: float, weight: str = "normal") -> list[str]:
    """Break a text of a size [pt] into lines of a width [in]: longer words are broken, a number stays with its unit."""
    lines: list[str] = []
    for paragraph in _QUANTITY.sub("\\1\N{NO-BREAK SPACE}\\2", text).split("\n"):
        lines.append("")
        for word in paragraph.split(" "):
            joined = f"{lines[-1]} {word}" if lines[-1] else word
            if text_width(joined, size, weight) <= width:
                lines[-1] = joined
                continue
            if lines[-1]:
                lines.append("")
            for letter in word:
                if lines[-1] and text_width(lines[-1] + letter, size, weight) > width:
                    lines.append("")
                lines[-1] += letter
    return lines


@dataclass(slots=True, kw_only=True)
class Writer:
    """Sets text and tables from the top down, and goes on to a new page where one is full.

    What it sets is `width` wide from `left`, and from top to bottom; y is where the next line goes, all from the lower
    left corner of the paper [in]. `start` starts another page; the last of the pages is written on.
    """

    start: Callable[[], Figure]
    pages: list[Figure]
    left: float
    width: float
    top: float
    bottom: float
    y: float = field(init=False)

    def __post_init__(self) -> None:
        """Begin at the top."""
        self.y = self.top

    def text(
        self,
        text: str,
        *,
        size: float = BODY,
        weight: str = "normal",
        after: float = 0.08,
        indent: float = 0.0,
        indices: bool = False,
    ) -> None:
        """Set a paragraph of a size [pt], with room below it and on its left [in].

        With `indices` T_s is a symbol and its index.
        """
        lines = "\n".join(broken(text, self.width - indent, size, weight))
        self._place([(lines, self.left + indent, False, weight)], size, after, indices=indices)

    def formula(self, formula: str, *, size: float = BODY, after: float = 0.05, indent: float = 0.0) -> None:
        """Set a formula of a size [pt] on a line of its own, with room below it and on its left [in]."""
        _, above, below = formula_size(formula, size)
        put(self.pages[-1], f"${formula}$", self.left + indent, self.y - above, size=size, va="baseline", math=True)
        self.y -= above + below + after

    def point(self, text: str, *, size: float = BODY, after: float = 0.06) -> None:
        """Set a paragraph of a size [pt] with a mark before it and room below it [in]."""
        indent = 0.16
        lines = "\n".join(broken(text, self.width - indent, size))
        self._place([("•", self.left, False, "normal"), (lines, self.left + indent, False, "normal")], size, after)

    def row(
        self,
        cells: Sequence[str],
        widths: Sequence[float],
        *,
        size: float = SMALL + 0.5,
        bold: Container[int] = (),
        right: Container[int] = (),
        after: float = 0.035,
        line: float = 0.0,
        between: float = 0.12,
    ) -> None:
        """Set a row of a table in a size [pt], each cell broken to its width [in]; below it a line [pt], none at 0."""
        placed, x = [], self.left
        for index, (cell, width) in enumerate(zip(cells, widths, strict=True)):
            weight, ends = "bold" if index in bold else "normal", index in right
            lines = "\n".join(broken(cell, width - between, size, weight))
            placed.append((lines, x + width - between if ends else x, ends, weight))
            x += width
        self._place(placed, size, after, line=(x - between, line))

    def notes(self, pitch: float, *, size: float, above: float = 0.0) -> None:
        """Leave lines to write on, a pitch apart, down to some height above the bottom [in], under a heading [pt]."""
        self.text("Notes", size=size, weight="bold", after=pitch)
        while self.y > self.bottom + above:
            rule(self.pages[-1], self.left, self.left + self.width, self.y, linewidth=0.3)
            self.gap(pitch)

    def gap(self, height: float) -> None:
        """Leave room [in]."""
        self.y -= height

    def _place(
        self,
        placed: Sequence[tuple[str, float, bool, str]],
        size: float,
        after: float,
        line: tuple[float, float] = (0.0, 0.0),
        *,
        indices: bool = False,
    ) -> None:
        pitch = SPACING * size * POINT
        height = pitch * max(text.count("\n") + 1 for text, *_ in placed)
        if self.y - height < self.bottom and self.y < self.top:
            self.pages.append(self.start())
            self.y = self.top
        for text, x, right, weight in placed:
            # Line by line: matplotlib spaces lines by what stands in them, and beside each other they must be level.
            for index, one in enumerate(text.split("\n")):
                base = self.y - _ASCENT * size * POINT - index * pitch
                if one.strip():
                    put(
                        self.pages[-1], _INDEX.sub(r"$\1_{\2}$", one) if indices else one, x, base, size=size,
                        weight=weight, ha="right" if right else "left", va="baseline", math=indices,
                    )  # fmt: skip
        self.y -= height + after
        if line[1]:
            rule(self.pages[-1], self.left, line[0], self.y + 0.3 * after, linewidth=line[1])
            self.y -= 0.5 * after
