"""The jar cut through its axis as an illustration, to scale: vessel, wax, top, wick, hidden cavity, and dimensions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT, MarkerStyle
from matplotlib.patches import Patch, Polygon, Rectangle
from matplotlib.ticker import MultipleLocator
from matplotlib.transforms import ScaledTranslation, Transform

from coolsim.model.problem import Thresholds
from coolsim.model.section import Array
from coolsim.report.figures.section_parts import solved_parts
from coolsim.report.figures.style import HALO, SMALL
from coolsim.report.wording import length_text, volume_text
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result
from coolsim.solve.smooth import smooth
from coolsim.units import System

WAX, GLASS, HOLLOW = "#e8e1cf", "#c9d1d6", "#ffffff"
GLASS_HATCH, HOLLOW_HATCH = "////", "xxxx"
_WICK, _WICK_HATCH = "#8a7b66", "||||"
_OUTLINE, _EDGE = 1.6, "0.35"
_WICK_RADIUS, _WICK_OVER, _TAB_RADIUS, _TAB_HEIGHT = 1.2e-3, 8e-3, 8e-3, 1e-3
_CALLED_AT = 3e-3
_THINNEST = 1e-4
_ROUND = 80
# On paper, from the right edge of the vessel [pt]: where the lines have fanned out, arrows and names.
_FANNED, _ARROW, _NAME, _STEP = 14.0, 20.0, 26.0, 14.0
POURED = "poured to here"
DIMENSIONS_WIDTH = (_NAME + 72.0) / 72.0
"""What the dimensions take beside a vessel [in]."""

_RULES = {"metric": (10.0, 5.0, 1.0), "us": (0.5, 0.25, 0.0625)}
_CAPTION, _PAD = -34.0, 0.1
_LEAST_APART, _NUMBERS_APART = 1.8, 18.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """The rectangles that the cut vessel is made of: left, lower, right and upper edge [m]."""

    pieces: tuple[tuple[float, float, float, float], ...]


def vessel_of(result: Result, *parts: str) -> Vessel:
    """Cut the vessel of a run, or other parts of its section by name, heights from the bottom of the wax."""
    bottom = result.required_wax().bottom
    return Vessel(
        pieces=tuple(
            (float(part.x[0]), float(part.z[0]) - bottom, float(part.x[-1]), float(part.z[-1]) - bottom)
            for part in solved_parts(result, 0.0)
            if part.what in (parts or ("glass",))
        )
    )


def surface(r: Array, radius: float, level: Array) -> tuple[Array, Array]:
    """Profile from the left wall to the right [m], drawn on to the axis straight in r², in which it is smooth there."""
    middle = level[0]
    if len(r) > 1:
        middle -= (level[1] - level[0]) * r[0] ** 2 / (r[1] ** 2 - r[0] ** 2)
    x = np.concatenate([[0.0], r, [radius]])
    z = np.concatenate([[middle], level, level[-1:]])
    return np.concatenate([-x[::-1], x]), np.concatenate([z[::-1], z])


def inner_radius(top: Shrinkage) -> float:
    """Radius of the wax [m]."""
    return float(np.sqrt(top.area.sum() / np.pi))


def is_hollow(top: Shrinkage, thresholds: Thresholds) -> bool:
    """Whether there is a cavity to speak of."""
    return top.cavity_volume >= thresholds.cavity_from


def cavity_outlines(top: Shrinkage) -> list[Array]:
    """Outline the hidden cavity, smooth and closed, as rows of radius and height above the bottom of the wax [m].

    Each has the volume that was found. Its roof comes as near to the surface as that of its columns, and the middle of
    its height follows theirs.
    """
    # Thinner than a line is drawn, it would look like more than it is.
    there = np.concatenate([[False], top.hollow > _THINNEST, [False]])
    starts, ends = np.flatnonzero(~there[:-1] & there[1:]), np.flatnonzero(there[:-1] & ~there[1:])
    found = []
    for start, end in zip(starts, ends, strict=True):
        right = _outline(top, slice(start, end))
        found += [right] if start == 0 else [right, right * [-1.0, 1.0]]
    return found


def _outline(top: Shrinkage, columns: slice) -> Array:
    edges = np.sqrt(np.concatenate([[0.0], np.cumsum(top.area)]) / np.pi)
    r, high, roof = top.r[columns], top.hollow[columns], top.roof[columns]
    middle = top.level[columns] - roof - 0.5 * high
    inner, outer = edges[columns.start], edges[columns.stop]
    if inner == 0.0:
        inner = -outer
        r, high, middle = (
            np.concatenate([sign * one[::-1], one]) for sign, one in ((-1.0, r), (1.0, high), (1.0, middle))
        )
    x = 0.5 * (inner + outer) - 0.5 * (outer - inner) * np.cos(np.linspace(0.0, np.pi, _ROUND))
    # Squares of the height run to nothing straight, so that the ends are round.
    square = smooth(np.array([inner, *r, outer]), np.array([0.0, *high**2, 0.0]), x)
    thick = np.sqrt(np.maximum(square, 0.0))
    whole = float(top.hollow[columns] @ top.area[columns])
    across = np.abs(x) * thick
    ring = 0.5 * np.pi * (np.diff(x) @ (across[1:] + across[:-1])) * (1.0 if inner < 0.0 else 2.0)
    thick *= whole / ring
    z = np.polyval(np.polyfit(r, middle, min(2, len(r) - 1), w=high), x)
    level = np.interp(x, *surface(top.r, inner_radius(top), top.level))
    z += (level - z - 0.5 * thick).min() - float(roof.min())
    around = np.concatenate([np.column_stack([x, z + 0.5 * thick]), np.column_stack([x, z - 0.5 * thick])[-2::-1]])
    return np.asarray(around)


def draw_vessel(axes: Axes, vessel: Vessel, length: float) -> None:
    """Draw the cut vessel, by so many units to the metre (length [1/m]).

    Of touching pieces only the outline of the whole stays, since faces lie over lines.
    """
    for line, order in ((_OUTLINE, 1.0), (0.0, 1.1)):
        for left, low, right, high in vessel.pieces:
            axes.add_patch(
                Rectangle(
                    (length * left, length * low), length * (right - left), length * (high - low), facecolor=GLASS,
                    edgecolor="black" if line else _EDGE, linewidth=line, zorder=order, gid="glass",
                    hatch=None if line else GLASS_HATCH,
                )
            )  # fmt: skip


def draw_wax(axes: Axes, r: Array, radius: float, level: Array, length: float) -> None:
    """Draw the wax under its top, of a radius and with levels [m], by so many units to the metre (length [1/m])."""
    x, z = (length * one for one in surface(r, radius, level))
    axes.fill_between(x, 0.0, z, facecolor=WAX, edgecolor="none", zorder=1.2)
    axes.plot(x, z, color="black", linewidth=1.4, zorder=3, gid="top", solid_joinstyle="round")


def draw_pour_level(axes: Axes, radius: float, level: float, length: float) -> None:
    """Draw the level that was poured to, across a radius [m], by so many units to the metre (length [1/m])."""
    ends, height = [-length * radius, length * radius], length * level
    axes.plot(ends, [height] * 2, color="black", linewidth=0.7, linestyle=(0, (4, 3)), gid="pour level")


def draw_wick(axes: Axes, radius: float, level: float, length: float) -> None:
    """Draw a wick on its tab, up to a little above a level [m]: for the eye, as no run knows of it."""
    tab = min(_TAB_RADIUS, 0.4 * radius)
    for reach, low, high in ((tab, 0.0, _TAB_HEIGHT), (_WICK_RADIUS, _TAB_HEIGHT, level + _WICK_OVER)):
        axes.add_patch(
            Rectangle(
                (-length * reach, length * low), 2.0 * length * reach, length * (high - low), facecolor="white",
                edgecolor=_WICK, linewidth=0.7, hatch=_WICK_HATCH, zorder=3.2, gid="wick",
            )
        )  # fmt: skip


def draw_hollow(axes: Axes, top: Shrinkage, length: float) -> list[Array]:
    """Draw the hidden cavity by itself, by so many units to the metre (length [1/m]), and return its outlines [m]."""
    outlines = cavity_outlines(top)
    for outline in outlines:
        axes.add_patch(
            Polygon(
                length * outline, closed=True, facecolor=HOLLOW, edgecolor="black", linewidth=1.0, hatch=HOLLOW_HATCH,
                zorder=2.5, gid="cavity",
            )
        )  # fmt: skip
    return outlines


def draw_cavity(axes: Axes, top: Shrinkage, length: float, units: System, *, low: float = 0.0) -> None:
    """Draw the hidden cavity, how deep its roof lies under the top, and, above a height [m], what it holds."""
    outlines = draw_hollow(axes, top, length)
    if not outlines or top.cavity_roof is None:
        return
    x, roof, level = _thinnest(top, outlines)
    how = {"arrowstyle": "<|-|>", "mutation_scale": 5, "linewidth": 0.7, "color": "black", "shrinkA": 0, "shrinkB": 0}
    axes.annotate(
        "", (length * x, length * roof), (length * x, length * level), arrowprops=how, zorder=4, gid="roof"
    )  # fmt: skip
    volume, deep = volume_text(top.cavity_volume, units), length_text(top.cavity_roof, units)
    told = f"cavity {volume},\n{deep} under\nthe top"
    lower = min(outlines, key=lambda one: float(one[:, 1].min()))[_ROUND:]
    floor = lower[np.argmin(np.abs(lower[:, 0] - 0.5 * lower[:, 0].max()))]
    axes.annotate(
        told, tuple(length * floor), (length * _CALLED_AT, length * (0.6 * low + 0.4 * floor[1])), ha="left",
        va="center", fontsize=SMALL, zorder=5, linespacing=1.15, path_effects=list(HALO),
        arrowprops={"arrowstyle": "-", "linewidth": 0.6, "shrinkA": 1, "shrinkB": 0, "relpos": (0.1, 1.0)},
    )  # fmt: skip


def _thinnest(top: Shrinkage, outlines: Sequence[Array]) -> tuple[float, float, float]:
    """Where beside the wick the wax over the cavity is thinnest: radius, roof and surface [m]."""
    best = (np.inf, 0.0, 0.0, 0.0)
    for outline in outlines:
        upper = outline[:_ROUND]
        over = np.interp(upper[:, 0], *surface(top.r, inner_radius(top), top.level))
        for (x, z), level in zip(upper, over, strict=True):
            if x > min(2.0 * _WICK_RADIUS, 0.5 * upper[:, 0].max()):
                best = min(best, (level - z, x, z, level))
    return best[1:]


def draw_dimensions(
    axes: Axes, right: float, levels: Sequence[tuple[float, float]], names: Sequence[str], length: float
) -> None:
    """Draw levels (radius and height [m]) out to the right of a vessel, where they fan out, with arrows between them.

    Levels lie a millimetre apart, so their lines are led apart. The first name is that of the first level, each other
    one that of the arrow to the next.
    """
    anchor = (length * right, 0.5 * length * (levels[0][1] + levels[-1][1]))
    apart = 0.5 * (len(levels) - 1)
    heights = [(apart - number) * _STEP for number in range(len(levels))]

    def beside(x: float, y: float) -> Transform:
        return axes.transData + ScaledTranslation(x / 72.0, y / 72.0, axes.figure.dpi_scale_trans)

    def line(start: float, low: float, end: float, high: float, *, style: str = "-", colour: str = _EDGE) -> None:
        how = {"arrowstyle": style, "mutation_scale": 5, "color": colour, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 0}
        axes.annotate(
            "", anchor, anchor, xycoords=beside(start, low), textcoords=beside(end, high), arrowprops=how,
            annotation_clip=False,
        )  # fmt: skip

    for (r, z), height in zip(levels, heights, strict=True):
        level = (anchor[0], length * z)
        axes.plot([length * r, level[0]], [level[1]] * 2, color=_EDGE, linewidth=0.5, zorder=3.4, gid="level")
        how = {"arrowstyle": "-", "color": _EDGE, "linewidth": 0.5, "shrinkA": 0, "shrinkB": 0}
        axes.annotate(
            "", level, anchor, textcoords=beside(_FANNED, height), arrowprops=how, annotation_clip=False
        )  # fmt: skip
        line(_FANNED, height, _NAME - 2.0, height)
    for high, low in pairwise(heights):
        line(_ARROW, low, _ARROW, high, style="<|-|>", colour="black")
    for name, height in zip(names, [heights[0] + _STEP, *heights], strict=False):
        axes.annotate(
            name, anchor, anchor, textcoords=beside(_NAME, height - 0.5 * _STEP), ha="left", va="center",
            fontsize=SMALL, annotation_clip=False,
        )  # fmt: skip


def leave_room(figure: Figure | SubFigure) -> None:
    """Keep names at the edge of a page clear of it: letters are a little wider at another resolution."""
    engine = figure.get_layout_engine()
    if isinstance(engine, ConstrainedLayoutEngine):
        engine.set(w_pad=_PAD)


def top_dimensions(
    pour: float, radius: float, dips: tuple[float, float, float], units: System
) -> tuple[list[tuple[float, float]], list[str]]:
    """Levels of a top as dimensions: where it was poured to, and rim, half the radius and middle so far below [m]."""
    rim, half, centre = dips
    levels = [(radius, pour), (radius, pour - rim), (0.5 * radius, pour - half), (0.0, pour - centre)]
    depths = (("rim dip", rim), ("dish", half - rim), ("hole", centre - half))
    return levels, [POURED, *(f"{name} {length_text(depth, units)}" for name, depth in depths)]


def ruled(axes: Axes, units: System, *, inches: float) -> None:
    """Make both axes rulers of the workshop's units, as finely cut as their scale on paper allows [in per unit].

    Their limits are set. The fine marks are one line for each axis: as ticks they took longer than all else.
    """
    large, middle, small = _RULES[units]
    fine = small if 72.0 * small * inches >= _LEAST_APART else middle
    for axis, name, sign, place in (
        (axes.xaxis, "bottom", TICKDOWN, axes.get_xaxis_transform()),
        (axes.yaxis, "left", TICKLEFT, axes.get_yaxis_transform()),
    ):
        coarse = 2.0 * large if 72.0 * large * inches < _NUMBERS_APART else large
        axis.set_major_locator(MultipleLocator(coarse))
        axis.set_tick_params(which="major", length=6.0)
        low, high = axis.get_view_interval()
        marks = fine * np.arange(np.ceil(low / fine), np.floor(high / fine) + 1.0)
        ends = (marks, np.zeros(len(marks)))
        x, y = ends if axis is axes.xaxis else ends[::-1]
        axes.add_artist(
            Line2D(
                x, y, linestyle="none", marker=MarkerStyle(sign), markersize=2.5, markeredgewidth=0.4, color="black",
                clip_on=False, transform=place, gid="ruler", in_layout=False,
            )
        )  # fmt: skip
        axes.spines[name].set_linewidth(0.8)


def caption(axes: Axes, told: str) -> None:
    """Write under a cut and the name of its axis what the top is and, after a comma, how deep its middle."""
    if ", " in told:
        word, _, depth = told.partition(", ")
        told = f"{word}\nmiddle below the rim: {depth}"
    axes.annotate(
        told, (0.5, 0.0), (0.0, _CAPTION), xycoords="axes fraction", textcoords="offset points", ha="center", va="top",
        annotation_clip=False,
    )  # fmt: skip


def keys(*, vessel: str, hollow: bool) -> list[Patch]:
    """Give the handles of the legend of a cut."""
    return [
        Patch(facecolor=WAX, edgecolor="black", label="wax"),
        *([Patch(facecolor=HOLLOW, edgecolor="black", hatch=HOLLOW_HATCH, label="hidden cavity")] if hollow else []),
        *([Patch(facecolor=GLASS, edgecolor=_EDGE, hatch=GLASS_HATCH, label=vessel)] if vessel else []),
        Patch(facecolor="white", edgecolor=_WICK, hatch=_WICK_HATCH, label="wick (not computed)"),
    ]
