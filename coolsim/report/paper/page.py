"""Pages of paper: their sizes, the head and the foot of each, and figures laid out on one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from matplotlib.figure import Figure

from coolsim.report.figures.style import LARGE, PAGE_WIDTH, SMALL, Drawing
from coolsim.report.paper.typeset import POINT, SPACING, Writer, broken, put, rule, text_width
from coolsim.units import System

Paper = Literal["a4", "letter"]

PAPERS: dict[Paper, tuple[float, float]] = {"a4": (297.0 / 25.4, 210.0 / 25.4), "letter": (11.0, 8.5)}
"""Width and height of a page that lies on its side [in]."""

_EDGE = 0.5
_HEAD, _FOOT = 0.42, 0.3
_WARNING = (
    "Hot wax burns and catches fire. Computed, not measured. Local codes and the suppliers' data sheets come first."
)


def usual_paper(units: System) -> Paper:
    """Tell the paper that goes with units."""
    return "letter" if units == "us" else "a4"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Paper of all pages of a handout, and what stands in the head of each."""

    paper: Paper
    title: str

    @property
    def left(self) -> float:
        """Left edge of what is printed [in]; all figures are as wide on every paper."""
        return 0.5 * (PAPERS[self.paper][0] - PAGE_WIDTH)

    @property
    def top(self) -> float:
        """Upper edge of the body, above the lower edge of the paper [in]."""
        return PAPERS[self.paper][1] - _EDGE - _HEAD

    @property
    def bottom(self) -> float:
        """Lower edge of the body [in]."""
        return _EDGE + _FOOT

    def page(self, heading: str, *, layout: bool = False) -> Figure:
        """Start a page with its head; the foot needs the number of pages. `layout` lets matplotlib place figures."""
        width, height = PAPERS[self.paper]
        page = Drawing(figsize=(width, height), layout="constrained" if layout else None)
        base = height - _EDGE - 0.2
        put(page, heading, self.left, base, size=LARGE + 3, weight="bold", va="baseline")
        room = PAGE_WIDTH - text_width(heading, LARGE + 3, "bold") - 0.3
        lines = broken(self.title, room, SMALL)
        title = lines[0] if len(lines) == 1 else f"{broken(self.title, room - 0.2, SMALL)[0]} …"
        put(page, title, self.left + PAGE_WIDTH, base, size=SMALL, ha="right", va="baseline")
        rule(page, self.left, self.left + PAGE_WIDTH, base - 0.1, linewidth=1.0)
        return page

    def writer(
        self,
        pages: list[Figure],
        start: str | Callable[[], Figure],
        *,
        left: float = 0.0,
        width: float = PAGE_WIDTH,
        top: float | None = None,
        bottom: float | None = None,
    ) -> Writer:
        """Begin to write on the last page, from the left edge of what is printed [in] and between heights [in].

        `start` starts another page, or is the heading that goes on there.
        """
        more = (lambda: self.page(f"{start} (continued)")) if isinstance(start, str) else start
        top, bottom = self.top if top is None else top, self.bottom if bottom is None else bottom
        return Writer(start=more, pages=pages, left=self.left + left, width=width, top=top, bottom=bottom)

    def number(self, pages: Sequence[Figure]) -> None:
        """Write the foot of all pages."""
        for index, page in enumerate(pages, start=1):
            self.foot(page, index, of=len(pages))

    def foot(self, page: Figure, index: int, *, of: int) -> None:
        """Write the foot of a page, with its number (index [-]) of all (of [-])."""
        rule(page, self.left, self.left + PAGE_WIDTH, _EDGE + 0.2, linewidth=0.5)
        put(page, _WARNING, self.left, _EDGE, size=SMALL, va="bottom")
        told = f"page {index} of {of}"
        put(page, told, self.left + PAGE_WIDTH, _EDGE, size=SMALL, ha="right", va="bottom")


def figure_page(
    frame: Frame,
    heading: str,
    drawings: Sequence[tuple[float, Callable[..., object]]],
    caption: str,
    *,
    units: System,
    across: bool = False,
) -> Figure:
    """Lay figures out on a page with a caption: each with its share [-] of the height, or of the width if `across`."""
    page = frame.page(heading, layout=True)
    width, height = PAPERS[frame.paper]
    lines = broken(caption, PAGE_WIDTH, SMALL + 0.5)
    below = len(lines) * SPACING * (SMALL + 0.5) * POINT * 1.1 + 0.08
    put(page, "\n".join(lines), frame.left, frame.bottom, size=SMALL + 0.5, va="bottom")
    room = frame.top - frame.bottom - below
    whole = sum(share for share, _ in drawings)
    shares = [share / whole for share, _ in drawings]
    rows, columns = ([1.0], shares) if across else (shares, [1.0])
    heights = [height - frame.top, *(room * share for share in rows), frame.bottom + below]
    widths = [frame.left, *(PAGE_WIDTH * share for share in columns), width - PAGE_WIDTH - frame.left]
    grid = page.add_gridspec(
        len(heights), len(widths), height_ratios=heights, width_ratios=widths, wspace=0.0, hspace=0.0
    )
    for index, (_, draw) in enumerate(drawings, start=1):
        draw(units=units, into=page.add_subfigure(grid[1, index] if across else grid[index, 1]))
    return page
