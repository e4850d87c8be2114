"""The cut jar as it was poured, and as it has set: rings of equal set time, the sinking top, and the last liquid."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from matplotlib.patches import Polygon

from coolsim.model.section import Array
from coolsim.report.figures.cut import (
    draw_hollow,
    draw_pour_level,
    draw_vessel,
    draw_wax,
    draw_wick,
    inner_radius,
    is_hollow,
    surface,
    vessel_of,
)
from coolsim.report.figures.set_map import isochrone_levels, mark_last_liquid, set_field
from coolsim.report.figures.style import HALO, colours
from coolsim.solve.result import Result

Ring = tuple[float, Array]
"""When places set [s], and the points of the line that joins them: rows of radius and height [m]."""

_OVER_WICK = 9e-3
# What a line takes beyond the edge that it is drawn on.
_OUTLINE = 0.5e-3
_MARK = 9.0


def extent_of(result: Result) -> tuple[float, float, float, float]:
    """Tell how far the cut jar and its wick reach to the left, down, right and up of the wax bottom [m]."""
    pieces, wax = vessel_of(result).pieces, result.required_wax()
    right = max([float(wax.r_edges[-1]), *(piece[2] for piece in pieces)])
    low = min([0.0, *(piece[1] for piece in pieces)])
    high = max([float(wax.z_edges[-1]) + _OVER_WICK, *(piece[3] for piece in pieces)])
    return -right - _OUTLINE, low - _OUTLINE, right + _OUTLINE, high + _OUTLINE


def draw_poured_jar(axes: Axes, result: Result, *, length: float) -> None:
    """Draw the empty jar with its wick and the level that it is poured to, by so many units to the metre [1/m]."""
    wax = result.required_wax()
    radius, level = float(wax.r_edges[-1]), float(wax.z_edges[-1])
    draw_vessel(axes, vessel_of(result), length)
    draw_wick(axes, radius, level, length)
    draw_pour_level(axes, radius, level, length)


def ring_times(result: Result, most: int) -> Array:
    """Choose round times [s] for at most so many rings [-]."""
    set_time = result.set_time()
    return isochrone_levels(set_time, float(set_time[np.isfinite(set_time)].max(initial=0.0)), most)


def draw_set_jar(axes: Axes, result: Result, times: Array, *, length: float) -> list[Ring]:
    """Draw the jar with its top as it has sunk for good, by so many units to the metre [1/m]; return its rings.

    They join the places that set at some times [s]; what sets early is dark. Between the level of the pour and the top
    lie the surfaces at these times.
    """
    draw_poured_jar(axes, result, length=length)
    top = result.shrinkage
    if top is None:
        return []
    radius = inner_radius(top)
    draw_wax(axes, top.r, radius, top.level, length)
    for before in result.tops_at(list(times)) if len(times) else ():
        x, z = (length * one for one in surface(before.r, radius, before.level))
        axes.plot(x, z, color="0.4", linewidth=0.5, zorder=1.15, gid="sinking")
    if is_hollow(top, result.answers):
        draw_hollow(axes, top, length)
    if result.events is not None:
        mark_last_liquid(axes, result, length=length, size=_MARK)
    x, z = surface(top.r, radius, top.level)
    inside = np.column_stack([np.append(x, [radius, -radius]), np.append(z, [0.0, 0.0])])
    return _draw_rings(axes, result, times, length * inside, length=length)


def _draw_rings(axes: Axes, result: Result, times: Array, inside: Array, *, length: float) -> list[Ring]:
    """Draw rings and the shades between them, inside of an outline [units of the axes]."""
    set_time = result.set_time()
    finite = set_time[np.isfinite(set_time)]
    if not len(times):
        return []
    field = set_field(result, set_time)
    values = np.ma.masked_invalid(field.values)
    # Straight lines to the faces may lead a little beyond what the cells have.
    edges = np.concatenate([[values.min() - 1.0], times, [values.max() + 1.0]])
    norm = Normalize(0.0, float(finite.max()))
    x, z = length * field.x, length * field.z
    shades = axes.contourf(x, z, values, levels=edges, cmap=colours(), norm=norm, zorder=1.21)
    drawn = axes.contour(x, z, values, levels=times, colors="black", linewidths=1.0, zorder=1.3)
    outline = Polygon(inside, closed=True, transform=axes.transData)
    for one, gid in ((shades, "set time"), (drawn, "rings")):
        one.set_gid(gid)
        one.set_clip_path(outline)
    drawn.set_path_effects(list(HALO))
    paths = (np.asarray(path.vertices, dtype=float).reshape(-1, 2) / length for path in drawn.get_paths())
    return [(float(time), points) for time, points in zip(times, paths, strict=True)]
