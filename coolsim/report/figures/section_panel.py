"""One panel of the section: its limits and scales, what does not change with time, the front lines, and the key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import Colormap, Normalize
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.text import Text
from matplotlib.ticker import MaxNLocator

from coolsim.report.figures.panels import draw_axis, radius_axis, spaced
from coolsim.report.figures.section_parts import (
    Field,
    box_air,
    cells_of,
    finer,
    flaps,
    gap_air,
    held,
    outlines,
    softness,
    solved_parts,
)
from coolsim.report.figures.style import HALO, SMALL, Runs, colours
from coolsim.report.wording import called, in_units, temperature_text
from coolsim.solve.result import Result
from coolsim.units import System

_MARGIN, _BESIDE = 0.8, 0.3
_HATCH, _STIFF = "....", (0, (3, 1.5))
_WHITE: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "linewidth": 0.4}
_LINE, _LEAST_LINES = 1.35 * SMALL / 72, 5.0
# Shares of the half width at which names begin on the left, clear of the axis there, and end on the right.
_LEFT, _RIGHT = 0.955, 0.985
_POINTED_AT = {"glass": 0.78, "gap": 0.5, "board": 0.25}

Pointed = tuple[str, float, float]
"""A name, and radius and height of what it points at [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """What all panels of a figure share, in the units of the workshop.

    Panels go from -width to width and from 0 to top [-]; bench is its height, line that of small letters [-], and
    length how many of these units are in a metre [-].
    """

    width: float
    top: float
    bench: float
    line: float
    length: float
    unit: str
    degrees: Normalize
    units: System


def scales_of(runs: Runs, times: Sequence[float], *, units: System, panel: float) -> Scales:
    """Choose limits and scales that hold all runs at all times [s] in panels of a width on paper [in]."""
    length, _, unit = in_units("length", units)
    scale, offset, _ = in_units("temperature", units)
    widths, tops, lowest, highest = [], [], [], []
    for _, result in runs:
        upright = _upright(result)
        # Beside what stands upright there is always some room left for names.
        widths.append(max(float(result.grid.r_edges[-1]), (1.0 + _MARGIN) * upright))
        fields = [field for time in times for field in fields_at(result, min(time, result.time[-1]))]
        tops.append(max(float(field.z[-1]) for field in fields))
        lowest.append(min(float(field.values.min()) for field in fields))
        highest.append(max(float(field.values.max()) for field in fields))
    low, high = scale * min(lowest) + offset, scale * max(highest) + offset
    ticks = MaxNLocator(10, steps=[1, 2, 5, 10]).tick_values(low, high)
    width, bench = length * max(widths) * 1.02, length * max(_bench_top(result) for _, result in runs)
    line = _LINE * 2 * width / (panel - _BESIDE)
    return Scales(
        width=width,
        # However low the vessel, names and the temperature of the room must find place above the bench.
        top=max(length * max(tops) * 1.04, bench + _LEAST_LINES * line),
        bench=bench,
        line=line,
        length=length,
        unit=unit,
        degrees=Normalize(ticks[0], ticks[-1]),
        units=units,
    )


def _upright(result: Result) -> float:
    """Outer radius of what stands on the bench [m]."""
    grid = result.grid
    stands = ((grid.block >= 0) & ~cells_of(result, "bench")).any(axis=0)
    return float(grid.r_edges[np.flatnonzero(stands)[-1] + 1])


def _bench_top(result: Result) -> float:
    """Height of the bench [m]; 0 without one."""
    rows = np.flatnonzero(cells_of(result, "bench").any(axis=1))
    return float(result.grid.z_edges[rows[-1] + 1]) if len(rows) else 0.0


def fields_at(result: Result, time: float) -> Iterator[Field]:
    """Lay out all that has a temperature at a time [s].

    Water that is held, air that is filled in, what is solved, then closed flaps.
    """
    yield from held(result, (1.0 + _MARGIN) * _upright(result))
    yield from box_air(result, time)
    yield from gap_air(result, time)
    yield from solved_parts(result, time)
    yield from flaps(result, time)


def draw_still(axes: Axes, result: Result, scales: Scales, *, named: bool) -> None:
    """Draw what does not change with time: limits, outlines, the hatch of the air, the axis, names of the parts."""
    standing = {one.name for one in result.held}
    for field in fields_at(result, 0.0):
        if field.what in standing:
            _frame_round(axes, field, scales, linewidth=0.6, gid="held")
        elif field.air:
            _frame_round(axes, field, scales, hatch=_HATCH, linewidth=0.0, gid="air")
        elif field.what == "flaps":
            _frame_round(axes, field, scales, linewidth=0.6, gid="outlines")
    stretches = [scales.length * np.column_stack(stretch) for stretch in outlines(result)]
    axes.add_collection(LineCollection(stretches, colors="black", linewidths=0.6, capstyle="round", gid="outlines"))
    axes.set_aspect("equal")
    axes.set_xlim(-scales.width, scales.width)
    axes.set_ylim(0.0, scales.top)
    radius_axis(axes, scales.unit)
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    draw_axis(axes)
    if named:
        _names(axes, result, scales)


def draw_front_lines(axes: Axes, result: Result, time: float, scales: Scales) -> list[tuple[QuadContourSet, Pointed]]:
    """Draw solid front and stiff front at a time [s]; return each with its name and the place [m] to point at."""
    if result.wax is None:
        return []
    ends = (
        _front(axes, softness(result, time, result.sets_at), scales, "front", "solid"),
        _front(axes, softness(result, time, result.stiff_at), scales, "stiff", _STIFF),
    )
    return [end for end in ends if end is not None]


def _frame_round(axes: Axes, field: Field, scales: Scales, **how: Any) -> None:
    x, z = scales.length * field.x[[0, -1]], scales.length * field.z[[0, -1]]
    axes.add_patch(Rectangle((x[0], z[0]), x[1] - x[0], z[1] - z[0], fill=False, **how))


def _front(
    axes: Axes, lines: Field, scales: Scales, name: str, dashes: object
) -> tuple[QuadContourSet, Pointed] | None:
    if not lines.values.min() < 0.0 < lines.values.max():
        return None
    lines = finer(lines)
    front = axes.contour(
        scales.length * lines.x, scales.length * lines.z, lines.values, levels=[0.0], colors="black", linewidths=1.3,
        linestyles=[dashes],
    )  # fmt: skip
    front.set_path_effects(list(HALO))
    front.set_gid(name)
    points = np.concatenate(front.get_paths()[0].to_polygons(closed_only=False)) / scales.length
    # Among all that is about as far out, the point at mid-height: a front along the glass is no corner.
    outermost = points[points[:, 0] > points[:, 0].max() - 0.02 * np.ptp(lines.x)]
    x, z = outermost[np.argsort(outermost[:, 1])[len(outermost) // 2]]
    return front, (name, float(x), float(z))


def _names(axes: Axes, result: Result, scales: Scales) -> None:
    """Name the parts in the first panel of a row, with leaders from the free room on the left."""
    places: list[Pointed] = []
    outermost: dict[str, Field] = {}
    beside = held(result, (1.0 + _MARGIN) * _upright(result))[:1]
    for field in (*beside, *solved_parts(result, 0.0), *gap_air(result, 0.0)[-1:], *flaps(result, 0.0)):
        if field.what not in outermost or np.abs(field.x).max() > np.abs(outermost[field.what].x).max():
            outermost[field.what] = field
    for field in outermost.values():
        bottom, top = float(field.z[0]), float(field.z[-1])
        if field.what in ("wax", "bench"):
            axes.text(
                0.0, scales.length * 0.5 * (bottom + top), field.what, ha="center", va="center", fontsize=SMALL,
                path_effects=list(HALO),
            )  # fmt: skip
            continue
        # Leaders rise from the outermost part to the innermost, so that they do not cross.
        share = _POINTED_AT.get(field.what, 0.5)
        places.append((called(result, field.what), -_middle(field), bottom + share * (top - bottom)))
    draw_leaders(axes, places, scales, side=-1.0)


def _middle(field: Field) -> float:
    """Radius in the middle of an upright part; near the edge of one that reaches over the axis [m]."""
    outer = float(np.abs(field.x).max())
    inner = float(np.abs(field.x).min())
    return 0.5 * (inner + outer) if field.x[0] * field.x[-1] > 0 else 0.93 * outer


def room_corner(axes: Axes) -> Text:
    """Put an empty text where the temperature of the room stands."""
    return axes.text(0.985, 0.985, "", transform=axes.transAxes, ha="right", va="top", fontsize=SMALL)


def room_text(result: Result, time: float, units: System) -> str:
    """Write the temperature of the room at a time [s] within the run."""
    return f"room\n{temperature_text(float(np.interp(time, result.time, result.history.room)), units)}"


def draw_leaders(axes: Axes, places: list[Pointed], scales: Scales, *, side: float) -> None:
    """Write names in a column on one side (-1 left, 1 right [-]), each with a line to its radius and height [m]."""
    places = sorted(places, key=lambda place: place[2])
    # On the right the temperature of the room stands on top.
    high = scales.top - (2.3 if side > 0 else 0.0) * scales.line
    heights = spaced([scales.length * z for _, _, z in places], line=scales.line, low=scales.bench, high=high)
    for (name, x, z), height in zip(places, heights, strict=True):
        axes.annotate(
            name,
            xy=(scales.length * x, scales.length * z),
            xytext=((-_LEFT if side < 0 else _RIGHT) * scales.width, height),
            fontsize=SMALL,
            ha="left" if side < 0 else "right",
            va="center",
            path_effects=list(HALO),
            # Inside the axes, so the layout need not measure it.
            in_layout=False,
            arrowprops={"arrowstyle": "-", "linewidth": 0.6, "shrinkA": 1, "shrinkB": 0, "path_effects": list(HALO)},
        )


def draw_key(part: SubFigure | Figure, runs: Runs, scales: Scales, *, map: Colormap | None = None) -> None:
    """Draw the scale of temperature and say what the lines are."""
    scale, legend = part.subplots(1, 2, width_ratios=[1.0, 1.0])
    bar = part.colorbar(ScalarMappable(scales.degrees, map or colours()), cax=scale, orientation="horizontal")
    scale.set_box_aspect(0.04)
    scale.set_label("<colorbar>")
    bar.set_label(f"temperature [{in_units('temperature', scales.units)[2]}]")
    bar.outline.set_linewidth(0.6)
    legend.set_axis_off()
    handles: list[Line2D | Patch] = []
    shares = sorted({result.sets_at for _, result in runs if result.wax is not None})
    if shares:
        told = " or ".join(f"{100 * share:.0f}" for share in shares)
        handles = [
            Line2D([], [], color="black", linewidth=1.3, label=f"solid front: {told} % liquid left, wax has set"),
            Line2D([], [], color="black", linewidth=1.3, linestyle=_STIFF, label="stiff front: no longer drawn down"),
        ]
    if any(gap_air(result, 0.0) or box_air(result, 0.0) for _, result in runs):
        handles.append(Patch(**_WHITE, hatch=_HATCH, label="air: not computed place by place"))
    if any(result.changes for _, result in runs):
        handles.append(Patch(**_WHITE, label="white: not there, or left behind"))
    if handles:
        legend.legend(handles=handles, loc="center left", ncols=1, borderaxespad=0.0, handlelength=3.2)
