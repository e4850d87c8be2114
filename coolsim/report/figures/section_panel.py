"""One panel of the section: its limits and scales, what does not change with time, the front lines, and the key."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import Colormap, Normalize
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Polygon, Rectangle
from matplotlib.text import Text
from matplotlib.ticker import MaxNLocator

from coolsim.model.cell import BOX_AIR
from coolsim.report.figures.cut import HOLLOW, HOLLOW_HATCH, cavity_outlines, inner_radius, is_hollow, surface
from coolsim.report.figures.panels import draw_axis, radius_axis, setting_range, spaced
from coolsim.report.figures.section_parts import (
    Field,
    box_air,
    cells_of,
    finer,
    flaps,
    gap_air,
    held,
    node_temperature,
    outlines,
    softness,
    solved_parts,
)
from coolsim.report.figures.style import DASHED, HALO, SMALL, Runs, colours
from coolsim.report.wording import called, in_units, temperature_text
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result
from coolsim.units import System

_MARGIN, _BESIDE = 0.95, 0.3
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

    Panels go from -width to width and from low to top [-], with heights from the bottom of the wax; bench is the height
    of the bench, line that of small letters [-], and length how many of these units are in a metre [-].
    """

    width: float
    low: float
    top: float
    bench: float
    line: float
    length: float
    unit: str
    degrees: Normalize
    units: System


def scales_of(runs: Runs, times: Sequence[Sequence[float]], *, units: System, panel: float) -> Scales:
    """Choose limits and scales that hold all runs, each at its times [s], in panels of a width on paper [in]."""
    length, _, unit = in_units("length", units)
    scale, offset, _ = in_units("temperature", units)
    widths, lows, tops, lowest, highest = [], [], [], [], []
    for (_, result), shown in zip(runs, times, strict=True):
        # Beside what stands upright there is some room left for names; of a wide bench no more is drawn.
        widths.append((1.0 + _MARGIN) * upright(result))
        fields = [field for time in shown for field in fields_at(result, min(time, result.time[-1]))]
        lows.append(min(float(field.z[0]) for field in fields))
        tops.append(max(float(field.z[-1]) for field in fields))
        lowest.append(min(float(field.values.min()) for field in fields))
        highest.append(max(float(field.values.max()) for field in fields))
    low, high = scale * min(lowest) + offset, scale * max(highest) + offset
    ticks = MaxNLocator(10, steps=[1, 2, 5, 10]).tick_values(low, high)
    width, bench = length * max(widths) * 1.02, length * max(bench_top(result) for _, result in runs)
    line, low, top = _LINE * 2 * width / (panel - _BESIDE), length * min(lows), length * max(tops)
    return Scales(
        width=width,
        low=low,
        # However low the vessel, names and the temperature of the room must find place above the bench.
        top=max(top + 0.04 * (top - low), bench + _LEAST_LINES * line),
        bench=bench,
        line=line,
        length=length,
        unit=unit,
        degrees=Normalize(ticks[0], ticks[-1]),
        units=units,
    )


def upright(result: Result) -> float:
    """Outer radius of what stands on the bench [m]."""
    grid = result.grid
    stands = ((grid.block >= 0) & ~cells_of(result, "bench")).any(axis=0)
    return float(grid.r_edges[np.flatnonzero(stands)[-1] + 1])


def _bottom(result: Result) -> float:
    """Height in the section from which a reader counts: that of the bottom of the wax, if there is any [m]."""
    return result.wax.bottom if result.wax is not None else 0.0


def bench_top(result: Result) -> float:
    """Height of the bench, or of the bottom of the section without one [m]."""
    rows = np.flatnonzero(cells_of(result, "bench").any(axis=1))
    return float(result.grid.z_edges[rows[-1] + 1] if len(rows) else result.grid.z_edges[0]) - _bottom(result)


def fields_at(result: Result, time: float) -> Iterator[Field]:
    """Lay out all that has a temperature at a time [s], heights from the bottom of the wax.

    Water that is held, air that is filled in, what is solved, then closed flaps.
    """
    for field in (
        *held(result, (1.0 + _MARGIN) * upright(result)),
        *box_air(result, time),
        *gap_air(result, time),
        *solved_parts(result, time),
        *flaps(result, time),
    ):
        yield from_bottom(result, field)


def from_bottom(result: Result, field: Field) -> Field:
    """Count the heights of a field from the bottom of the wax."""
    return replace(field, z=field.z - _bottom(result))


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
    bottom = _bottom(result)
    stretches = [scales.length * np.column_stack([x, z - bottom]) for x, z in outlines(result, surface=False)]
    axes.add_collection(LineCollection(stretches, colors="black", linewidths=0.6, capstyle="round", gid="outlines"))
    axes.set_aspect("equal")
    axes.set_xlim(-scales.width, scales.width)
    axes.set_ylim(scales.low, scales.top)
    radius_axis(axes, scales.unit)
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))
    draw_axis(axes)
    if named:
        _names(axes, result, scales)


def draw_sunk_top(axes: Axes, result: Result, top: Shrinkage, time: float, scales: Scales) -> list[Artist]:
    """Draw the top as it is at a time [s] under the level that was poured to, and what is hollow under it."""
    air = node_temperature(result, BOX_AIR, time)
    scale, offset, _ = in_units("temperature", scales.units)
    above = "white" if air is None else colours()(scales.degrees(scale * air + offset))
    radius, pour = inner_radius(top), scales.length * top.pour_level
    x, z = (scales.length * one for one in surface(top.r, radius, top.level))
    inside, parts = scales.length * radius, dict[str, Any](zorder=2.2, linewidth=0.0)
    sunk = Polygon(
        np.column_stack([[*x, inside, -inside], [*z, pour, pour]]), facecolor=above, gid="sunk", **parts
    )  # fmt: skip
    lines = [
        Line2D([-inside, inside], [pour, pour], color="black", linewidth=0.6, linestyle=DASHED, zorder=2.3, gid="pour"),
        Line2D(x, z, color="black", linewidth=1.1, zorder=2.4, gid="top"),
    ]
    hollow = [
        Polygon(
            scales.length * outline, facecolor=HOLLOW, edgecolor="black", linewidth=0.8, hatch=HOLLOW_HATCH,
            zorder=2.2, gid="cavity",
        )
        for outline in (cavity_outlines(top) if is_hollow(top, result.answers) else ())
    ]  # fmt: skip
    for patch in (sunk, *hollow):
        axes.add_patch(patch)
    for line in lines:
        axes.add_line(line)
    return [sunk, *hollow, *lines]


def draw_solid_front(axes: Axes, result: Result, time: float, length: float) -> QuadContourSet | None:
    """Draw the solid front at a time [s], by so many units to the metre (length [1/m]); None where there is none."""
    return _front(axes, result, softness(result, time, result.sets_at), length, "front", "solid")


def draw_front_lines(axes: Axes, result: Result, time: float, scales: Scales) -> list[tuple[QuadContourSet, Pointed]]:
    """Draw solid front and stiff front at a time [s]; return each with its name and the place [m] to point at."""
    if result.wax is None:
        return []
    stiff = softness(result, time, result.stiff_at)
    fronts = (
        draw_solid_front(axes, result, time, scales.length),
        _front(axes, result, stiff, scales.length, "stiff", _STIFF),
    )
    return [(front, _pointed(front, result, scales)) for front in fronts if front is not None]


def _frame_round(axes: Axes, field: Field, scales: Scales, **how: Any) -> None:
    x, z = scales.length * field.x[[0, -1]], scales.length * field.z[[0, -1]]
    axes.add_patch(Rectangle((x[0], z[0]), x[1] - x[0], z[1] - z[0], fill=False, **how))


def _front(axes: Axes, result: Result, lines: Field, length: float, name: str, dashes: object) -> QuadContourSet | None:
    if not lines.values.min() < 0.0 < lines.values.max():
        return None
    lines = finer(from_bottom(result, lines))
    front = axes.contour(
        length * lines.x, length * lines.z, lines.values, levels=[0.0], colors="black", linewidths=1.3,
        linestyles=[dashes],
    )  # fmt: skip
    front.set_path_effects(list(HALO))
    front.set_gid(name)
    return front


def _pointed(front: QuadContourSet, result: Result, scales: Scales) -> Pointed:
    """Where a name of a front points at: among all that is about as far out, the point at mid-height."""
    points = np.concatenate(front.get_paths()[0].to_polygons(closed_only=False)) / scales.length
    # A front along the glass is no corner.
    near = 0.04 * float(result.required_wax().r_edges[-1])
    outermost = points[points[:, 0] > points[:, 0].max() - near]
    x, z = outermost[np.argsort(outermost[:, 1])[len(outermost) // 2]]
    return str(front.get_gid()), float(x), float(z)


def _names(axes: Axes, result: Result, scales: Scales) -> None:
    """Name the parts in the first panel of a row, with leaders from the free room on the left."""
    places: list[Pointed] = []
    outermost: dict[str, Field] = {}
    beside = held(result, (1.0 + _MARGIN) * upright(result))[:1]
    shown = (*beside, *solved_parts(result, 0.0), *gap_air(result, 0.0)[-1:], *flaps(result, 0.0))
    for field in (from_bottom(result, one) for one in shown):
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


def _mark_setting(scale: Axes, runs: Runs, scales: Scales) -> None:
    """Mark on the scale of temperature from where to where the wax sets, if it is the same in all runs."""
    factor, offset, _ = in_units("temperature", scales.units)
    ranges = {setting_range(result)[:2] for _, result in runs if result.wax is not None}
    if len(ranges) != 1:
        return
    starts, sets = (factor * celsius + offset for celsius in ranges.pop())
    low, high = scale.get_xlim()
    if sets > high or starts < low:
        return
    for end in (sets, starts):
        scale.axvline(end, color="black", linewidth=1.0, gid="sets", path_effects=list(HALO))
    scale.annotate(
        "here it sets", (0.5 * (sets + starts), 1.0), xycoords=("data", "axes fraction"), xytext=(0, 2),
        textcoords="offset points", ha="center", va="bottom", fontsize=SMALL, annotation_clip=False,
    )  # fmt: skip


def draw_key(
    part: SubFigure | Figure, runs: Runs, scales: Scales, *, map: Colormap | None = None, first: Sequence[Patch] = ()
) -> None:
    """Draw the scale of temperature and say what is what, some of it first."""
    scale, legend = part.subplots(1, 2, width_ratios=[1.0, 1.0])
    bar = part.colorbar(ScalarMappable(scales.degrees, map or colours()), cax=scale, orientation="horizontal")
    scale.set_box_aspect(0.04)
    scale.set_label("<colorbar>")
    bar.set_label(f"temperature [{in_units('temperature', scales.units)[2]}]")
    bar.outline.set_linewidth(0.6)
    _mark_setting(scale, runs, scales)
    legend.set_axis_off()
    handles: list[Line2D | Patch] = [*first]
    shares = sorted({result.sets_at for _, result in runs if result.wax is not None})
    if shares:
        told = " or ".join(f"{100 * share:.0f}" for share in shares)
        handles += [
            Line2D([], [], color="black", linewidth=1.3, label=f"solid front: {told} % liquid left, wax has set"),
            Line2D([], [], color="black", linewidth=1.3, linestyle=_STIFF, label="stiff front: no longer drawn down"),
        ]
    if any(gap_air(result, 0.0) or box_air(result, 0.0) for _, result in runs):
        handles.append(Patch(**_WHITE, hatch=_HATCH, label="air: not computed place by place"))
    if any(result.changes for _, result in runs):
        handles.append(Patch(**_WHITE, label="white: not there, or left behind"))
    if handles:
        legend.legend(handles=handles, loc="center left", ncols=1, borderaxespad=0.0, handlelength=3.2)
