"""Isochrones: when each place of the wax set, and where the last liquid was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colorbar import Colorbar
from matplotlib.colors import Normalize
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator, MultipleLocator
from numpy.typing import NDArray

from coolsim.model.section import Array
from coolsim.report.figures.field_map import FieldMap
from coolsim.report.figures.panels import (
    clock,
    columns_for,
    draw_axis,
    height_label,
    panel_grid,
    radius_axis,
    round_step,
    vessels,
)
from coolsim.report.figures.section_parts import Field, finer, on_wax, outlines
from coolsim.report.figures.style import (
    HALO,
    HOUR,
    PAGE_WIDTH,
    SMALL,
    Runs,
    blank,
    colours,
    room_in,
    styled,
    titles_fit,
)
from coolsim.report.wording import hours_minutes, in_units
from coolsim.solve.result import Result
from coolsim.units import System

_STEPS = tuple(60.0 * minutes for minutes in (1, 2, 5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720))
_MOST_LINES = _MOST_TICKS = 10
_WIDEST_PANEL = 4.4
_SCALE = 0.9
_LETTERS_PER_INCH = 10
_BESIDE = 0.7
_LABEL = (0.34, 0.16)
_LAST_LABEL = (0.95, 0.34)
_MARK = (0.2, 0.2)
_KEY_WIDTH = 3.0


@styled
def draw_set_map(runs: Runs, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw when each place of the wax set for good.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one panel for each.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        The wax cut through its axis, with one scale of colour for all panels. Lines join places that set at the same
        time; a cross marks the place that set last. Hatched: still soft when the run ended.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_set_map, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_set_map([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'radius [mm]'
    """
    if not runs:
        raise ValueError("a map needs at least one run")
    times = [result.set_time() for _, result in runs]
    bodies = [result.required_wax() for _, result in runs]
    latest = max((float(one[np.isfinite(one)].max(initial=0.0)) for one in times), default=0.0) or HOUR
    hours = Normalize(0.0, latest / HOUR)
    length, _, unit = in_units("length", units)
    columns = columns_for(len(runs))
    rows = -(-len(runs) // columns)
    width = min(_WIDEST_PANEL, (PAGE_WIDTH - _SCALE) / columns)
    radius = length * max(float(wax.r_edges[-1]) for wax in bodies) * 1.14
    depth = length * max(float(wax.z_edges[-1]) for wax in bodies)
    scale = (width - _BESIDE) / (2 * radius)
    titles = [titles_fit(title, int(width * _LETTERS_PER_INCH)) for title, _ in runs]
    soft = any(np.isnan(one).any() for one in times)
    around = 0.95 + 0.2 * any("\n" in title for title in titles)
    keys = _key(runs, soft=soft)
    in_a_line = max(int(width * columns / _KEY_WIDTH), 1)
    below = 0.25 + 0.2 * -(-len(keys) // in_a_line)
    figure = blank(width=width * columns + _SCALE, height=rows * (1.14 * depth * scale + around) + below, into=into)
    if into is not None:
        scale = min(scale, ((room_in(into)[1] - below) / rows - around) / (1.14 * depth))
    panels, grid = panel_grid(figure, len(runs), columns)
    for axes, title, (_, result), set_time in zip(panels, titles, runs, times, strict=True):
        axes.set_xlim(-radius, radius)
        axes.set_ylim(-0.07 * depth, 1.07 * depth)
        _panel(axes, result, set_time, hours, length=length, scale=scale)
        axes.set_title(title, fontweight="bold")
        radius_axis(axes, unit)
    for axes in grid[:, 0]:
        axes.set_ylabel(height_label(unit))
    bar = _bar(figure, grid, hours)
    bar.set_label("set at [h:mm since the pour]")
    bar.ax.yaxis.set_major_locator(MultipleLocator(round_step(latest, _STEPS, _MOST_TICKS) / HOUR))
    bar.ax.yaxis.set_major_formatter(clock)
    figure.legend(handles=keys, loc="outside lower center", ncols=in_a_line, handlelength=3.2)
    return figure


def _bar(figure: Figure | SubFigure, grid: NDArray[Any], hours: Normalize) -> Colorbar:
    """Draw the scale of times: beside one row of panels as high as they are, else beside all of them."""
    scale = ScalarMappable(hours, colours())
    if len(grid) > 1:
        return figure.colorbar(scale, ax=list(grid.ravel()), pad=0.02, aspect=30)
    beside = grid[0, -1].inset_axes([1.05, 0.0, 0.04, 1.0])
    beside.set_label("<colorbar>")
    return figure.colorbar(scale, cax=beside)


def _key(runs: Runs, *, soft: bool) -> list[Line2D | Patch]:
    """Say what lines and hatching are."""
    keys: list[Line2D | Patch] = [
        Line2D([], [], color="black", linewidth=0.9, label="sets at the time on the line [h:mm]")
    ]
    if named := vessels(result for _, result in runs):
        keys.append(Line2D([], [], color="black", linewidth=0.5, label=f"outline of wax and {named}"))
    if soft:
        keys.append(Patch(facecolor="white", edgecolor="black", hatch="////", label="still soft when the run ended"))
    return keys


def _panel(axes: Axes, result: Result, set_time: Array, hours: Normalize, *, length: float, scale: float) -> None:
    """Draw one run; `scale` is inches of paper per unit of length, to keep labels apart."""
    wax = result.required_wax()
    soft = np.isnan(set_time)
    if soft.any():
        # Cell by cell: no colour can be drawn on into what has not set.
        edges = length * np.concatenate([-wax.r_edges[:0:-1], wax.r_edges])
        values = np.ma.masked_invalid(np.hstack([set_time[:, ::-1], set_time]) / HOUR)
        drawn: Artist = axes.pcolormesh(
            edges, length * wax.z_edges, values, cmap=colours(), norm=hours, rasterized=True
        )
        field = on_wax(wax, soft.astype(float))
        axes.contourf(
            length * field.x, length * (field.z - wax.bottom), field.values, levels=[0.5, 2.0], colors="none",
            hatches=["////"],
        ).set_gid("still soft")  # fmt: skip
    else:
        field = on_wax(wax, set_time / HOUR)
        drawn = FieldMap([replace(field, z=field.z - wax.bottom)], hours, length=length)
        axes.add_artist(drawn)
    drawn.set_gid("set time")
    stretches = [length * np.column_stack([x, z - wax.bottom]) for x, z in outlines(result)]
    axes.add_collection(LineCollection(stretches, colors="black", linewidths=0.7, gid="outlines"))
    draw_axis(axes)
    lines = _isochrones(axes, result, set_time, hours, length=length, scale=scale)
    taken = _last_liquid(axes, result, lines, length=length, scale=scale)
    _name_isochrones(axes, result, lines, taken, length=length, scale=scale)
    axes.set_aspect("equal")
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))


def isochrone_levels(set_time: Array, latest: float, most: int) -> Array:
    """Choose round times [s] at which places set, at most so many [-] up to the latest [s]."""
    finite = set_time[np.isfinite(set_time)]
    if not len(finite):
        return np.array([])
    step = round_step(latest, _STEPS, most)
    levels: Array = step * np.arange(np.floor(finite.min() / step) + 1, np.ceil(finite.max() / step))
    return levels


def set_field(result: Result, set_time: Array) -> Field:
    """Lay out when each place set [s] on both sides of the axis, heights from the bottom of the wax."""
    wax = result.required_wax()
    field = on_wax(wax, set_time)
    if np.isfinite(set_time).all():
        field = finer(field)
    return replace(field, z=field.z - wax.bottom)


_Box = tuple[float, float, float, float]


def _isochrones(
    axes: Axes, result: Result, set_time: Array, hours: Normalize, *, length: float, scale: float
) -> list[tuple[float, Array]]:
    """Draw lines of equal time; return each time [s] and the points of its line, in inches."""
    levels = isochrone_levels(set_time, float(hours.vmax or 1.0) * HOUR, _MOST_LINES)
    if not len(levels):
        return []
    field = set_field(result, set_time)
    drawn = axes.contour(
        length * field.x, length * field.z, np.ma.masked_invalid(field.values), levels=levels, colors="black",
        linewidths=0.9,
    )  # fmt: skip
    drawn.set_path_effects(list(HALO))
    drawn.set_gid("isochrones")
    paths = (scale * np.asarray(path.vertices, dtype=float).reshape(-1, 2) for path in drawn.get_paths())
    return [(float(level), points) for level, points in zip(levels, paths, strict=True)]


def _last_liquid(
    axes: Axes, result: Result, lines: list[tuple[float, Array]], *, length: float, scale: float
) -> list[_Box]:
    """Mark and name the place that sets last; return the boxes that this takes up, in inches."""
    wax, events = result.required_wax(), result.events
    if events is None:
        return []
    marks = [(scale * x, scale * z, *_MARK) for x, z in mark_last_liquid(axes, result, length=length)]
    # On the axis, above or below the mark, where the name is clearest of the lines.
    top = length * scale * float(wax.z_edges[-1])
    heights = np.linspace(0.5 * _LAST_LABEL[1], max(top - 0.5 * _LAST_LABEL[1], 0.5 * _LAST_LABEL[1]), 60)
    points = np.concatenate([np.zeros((0, 2)), *(points for _, points in lines)])
    boxes = [*((x, y, 0.06, 0.06) for x, y in points), *marks]
    room = np.minimum(_room(np.zeros(len(heights)), heights, boxes, _LAST_LABEL), 1.2)
    clear = room - 0.3 * np.abs(heights - marks[0][1]) / top
    at = float(heights[int(np.argmax(clear))])
    when = events.fully_set
    told = "softest place\nat the end" if when is None else f"last liquid\n{hours_minutes(when)} h"
    axes.text(
        0.0, at / scale, told, ha="center", va="center", fontsize=SMALL, fontweight="bold", path_effects=list(HALO),
        zorder=5, linespacing=1.05,
    )  # fmt: skip
    return [(0.0, at, *_LAST_LABEL), *marks]


def mark_last_liquid(axes: Axes, result: Result, *, length: float, size: float = 7.0) -> list[tuple[float, float]]:
    """Mark the place that sets last with a cross of a size [pt], on both sides of the axis; return these places.

    They are in units of the axes, of which there are so many to the metre (length [1/m]).
    """
    r, z = result.required_events().last_liquid
    # The innermost ring of cells stands for the axis.
    r = 0.0 if r <= result.required_wax().r[0] else r
    places = [(length * x, length * z) for x in np.unique([-r, r])]
    axes.plot(
        *zip(*places, strict=True), linestyle="none", marker="P", markersize=size, color="white",
        markeredgecolor="black", markeredgewidth=0.8, zorder=4, gid="last liquid",
    )  # fmt: skip
    return places


def _name_isochrones(
    axes: Axes, result: Result, lines: list[tuple[float, Array]], taken: list[_Box], *, length: float, scale: float
) -> None:
    """Write on each line when it is, where there is most room; a line without room stays without a name."""
    wax = result.required_wax()
    radius, depth = length * scale * float(wax.r_edges[-1]), length * scale * float(wax.z_edges[-1])
    taken = list(taken)
    for level, points in lines:
        inside = (np.abs(points[:, 0]) < radius - 0.5 * _LABEL[0]) & (
            np.abs(points[:, 1] - 0.5 * depth) < 0.5 * (depth - _LABEL[1])
        )
        room = _room(points[inside, 0], points[inside, 1], taken, _LABEL)
        if not len(room) or room.max() < 1.0:
            continue
        x, z = points[inside][int(np.argmax(np.minimum(room, 3.0)))]
        taken.append((x, z, *_LABEL))
        axes.text(
            x / scale, z / scale, hours_minutes(level), ha="center", va="center", fontsize=SMALL,
            path_effects=list(HALO), zorder=5, gid="isochrone",
        )  # fmt: skip


def _room(x: Array, z: Array, taken: Sequence[_Box], size: tuple[float, float]) -> Array:
    """How clear of everything drawn labels at some places would be: 1 is touching the nearest."""
    a, b, wide, high = np.array([*taken, (9e9, 9e9, 1.0, 1.0)]).T
    across, up = (np.abs(np.subtract.outer(at, to)) for at, to in ((x, a), (z, b)))
    clear = np.maximum(across / (0.5 * (wide + size[0])), up / (0.5 * (high + size[1])))
    found: Array = np.minimum(clear.min(axis=1), 9.0)
    return found
