"""Isochrones: when each place of the wax set, and where the last liquid was."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter, MaxNLocator, MultipleLocator

from coolsim.model.section import Array
from coolsim.report.figure import HALO, PAGE_WIDTH, SMALL, blank, colours, styled, titles_fit
from coolsim.report.section_parts import finer, on_wax, outlines
from coolsim.report.wording import hours_minutes, in_units
from coolsim.solve.result import Result
from coolsim.units import System

_STEPS = (1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 180.0, 240.0, 360.0, 720.0)
_MOST_LINES = 10
_MOST_TICKS = 10
_HOUR = 3600.0
_COLUMNS = {1: 1, 2: 2, 4: 2}
_WIDEST_PANEL = 4.4
_SCALE = 0.9
_BESIDE = 0.7
_LABEL = (0.34, 0.16)
_LAST_LABEL = (0.95, 0.34)
_LAST_BELOW = 0.2


@styled
def draw_set_map(runs: Sequence[tuple[str, Result]], *, units: System = "metric") -> Figure:
    """Draw when each place of the wax set for good.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one panel for each.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        The wax cut through its axis, with one scale of colour for all panels. Lines join places that set at the same
        time; a cross marks the place that set last. Hatched: still soft when the run ended.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.
    """
    if not runs:
        raise ValueError("a map needs at least one run")
    times = [result.set_time() for _, result in runs]
    bodies = [result.required_wax() for _, result in runs]
    latest = max((float(one[np.isfinite(one)].max(initial=0.0)) for one in times), default=0.0) or _HOUR
    hours = Normalize(0.0, latest / _HOUR)
    length, _, unit = in_units("length", units)
    columns = _COLUMNS.get(len(runs), 3)
    rows = -(-len(runs) // columns)
    width = min(_WIDEST_PANEL, (PAGE_WIDTH - _SCALE) / columns)
    radius = length * max(float(wax.r_edges[-1]) for wax in bodies) * 1.14
    depth = length * max(float(wax.z_edges[-1]) for wax in bodies)
    scale = (width - _BESIDE) / (2 * radius)
    figure = blank(width=width * columns + _SCALE, height=rows * (1.14 * depth * scale + 0.95) + 0.2)
    grid = figure.subplots(rows, columns, squeeze=False, sharey=True)
    panels = grid.ravel()
    for empty in panels[len(runs) :]:
        empty.set_axis_off()
    panels = panels[: len(runs)]
    for axes, (title, result), set_time in zip(panels, runs, times, strict=True):
        axes.set_xlim(-radius, radius)
        axes.set_ylim(-0.07 * depth, 1.07 * depth)
        _panel(axes, result, set_time, hours, length=length, scale=scale)
        axes.set_title(titles_fit(title, int(width * 11)), fontweight="bold")
        axes.set_xlabel(f"radius [{unit}]")
    for axes in grid[:, 0]:
        axes.set_ylabel(f"height above wax bottom [{unit}]")
    bar = figure.colorbar(ScalarMappable(hours, colours()), ax=list(panels), pad=0.02, aspect=30)
    bar.set_label("set at [h:mm since the pour]")
    bar.ax.yaxis.set_major_locator(MultipleLocator(_step(latest, _MOST_TICKS) / _HOUR))
    bar.ax.yaxis.set_major_formatter(FuncFormatter(lambda hour, _: hours_minutes(hour * _HOUR)))
    if any(np.isnan(one).any() for one in times):
        hatched = Patch(facecolor="white", edgecolor="black", hatch="////", label="still soft when the run ended")
        figure.legend(handles=[hatched], loc="outside lower center")
    return figure


def _step(longest: float, most: int) -> float:
    """Round step between lines or ticks [s]."""
    return 60.0 * next((step for step in _STEPS if longest / (60.0 * step) <= most), _STEPS[-1])


def _panel(axes: Axes, result: Result, set_time: Array, hours: Normalize, *, length: float, scale: float) -> None:
    """Draw one run; `scale` is inches of paper per unit of length, to keep labels apart."""
    wax = result.required_wax()
    soft = np.isnan(set_time)
    if soft.any():
        # Cell by cell: no colour can be drawn on into what has not set.
        edges = length * np.concatenate([-wax.r_edges[:0:-1], wax.r_edges])
        values = np.ma.masked_invalid(np.hstack([set_time[:, ::-1], set_time]) / _HOUR)
        drawn = axes.pcolormesh(edges, length * wax.z_edges, values, cmap=colours(), norm=hours, rasterized=True)
        field = on_wax(wax, soft.astype(float))
        axes.contourf(
            length * field.x, length * (field.z - wax.bottom), field.values, levels=[0.5, 2.0], colors="none",
            hatches=["////"],
        ).set_gid("still soft")  # fmt: skip
    else:
        field = on_wax(wax, set_time)
        drawn = axes.pcolormesh(
            length * field.x, length * (field.z - wax.bottom), field.values / _HOUR, cmap=colours(), norm=hours,
            shading="gouraud", rasterized=True,
        )  # fmt: skip
    drawn.set_gid("set time")
    stretches = [length * np.column_stack([x, z - wax.bottom]) for x, z in outlines(result)]
    axes.add_collection(LineCollection(stretches, colors="black", linewidths=0.7, gid="outlines"))
    axes.axvline(0.0, color="black", linewidth=0.4, dashes=(12, 3, 2, 3), zorder=1.5)
    taken = _last_liquid(axes, result, length, scale)
    _isochrones(axes, result, set_time, taken, hours, length=length, scale=scale)
    axes.set_aspect("equal")
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 2.5, 5, 10]))


_Box = tuple[float, float, float, float]


def _last_liquid(axes: Axes, result: Result, length: float, scale: float) -> list[_Box]:
    """Mark and name the place that sets last; return the boxes that this takes up, in inches."""
    wax, events = result.required_wax(), result.events
    if events is None:
        return []
    r, z = events.last_liquid
    # The innermost ring of cells stands for the axis.
    r = 0.0 if r <= wax.r[0] else r
    depth = float(wax.z_edges[-1])
    axes.plot(
        length * np.unique([-r, r]), length * np.full(len({-r, r}), z), linestyle="none", marker="P", markersize=7,
        color="white", markeredgecolor="black", markeredgewidth=0.8, zorder=4, gid="last liquid",
    )  # fmt: skip
    when = events.fully_set
    told = "softest place\nat the end" if when is None else f"last liquid\n{hours_minutes(when)} h"
    below = z > 0.5 * depth
    at = z + (-_LAST_BELOW if below else _LAST_BELOW) * depth
    axes.text(
        0.0, length * at, told, ha="center", va="center", fontsize=SMALL, fontweight="bold", path_effects=list(HALO),
        zorder=5, linespacing=1.05,
    )  # fmt: skip
    marks = [(length * x * scale, length * z * scale, 0.2, 0.2) for x in (-r, r)]
    return [(0.0, length * at * scale, *_LAST_LABEL), *marks]


def _isochrones(
    axes: Axes, result: Result, set_time: Array, taken: list[_Box], hours: Normalize, *, length: float, scale: float
) -> None:
    """Draw lines of equal time and write on each when that is, where there is most room."""
    wax = result.required_wax()
    finite = set_time[np.isfinite(set_time)]
    step = _step(float(hours.vmax or 1.0) * _HOUR, _MOST_LINES)
    levels = [
        level
        for level in np.arange(step, 1000 * step, step)
        if finite.min(initial=np.inf) < level < finite.max(initial=0.0)
    ]
    if not levels:
        return
    field = on_wax(wax, set_time)
    if np.isfinite(set_time).all():
        field = finer(field)
    drawn = axes.contour(
        length * field.x, length * (field.z - wax.bottom), np.ma.masked_invalid(field.values), levels=levels,
        colors="black", linewidths=0.9,
    )  # fmt: skip
    drawn.set_path_effects(list(HALO))
    drawn.set_gid("isochrones")
    radius, depth = length * float(wax.r_edges[-1]), length * float(wax.z_edges[-1])
    inside = (scale * radius - 0.5 * _LABEL[0], scale * depth - 0.5 * _LABEL[1])
    taken = list(taken)
    for level, path in zip(drawn.levels, drawn.get_paths(), strict=True):
        points = scale * np.asarray(path.vertices, dtype=float)
        points = points[
            (np.abs(points[:, 0]) < inside[0]) & (points[:, 1] < inside[1]) & (points[:, 1] > 0.5 * _LABEL[1])
        ]
        room = np.array([_room(x, z, taken) for x, z in points])
        if not len(room) or room.max() < 1.0:
            continue
        x, z = points[int(np.argmax(np.minimum(room, 3.0)))]
        taken.append((x, z, *_LABEL))
        axes.text(
            x / scale, z / scale, hours_minutes(level), ha="center", va="center", fontsize=SMALL,
            path_effects=list(HALO), zorder=5, gid="isochrone",
        )  # fmt: skip


def _room(x: float, z: float, taken: Sequence[_Box]) -> float:
    """How clear of everything written a label would be: 1 is touching the nearest."""
    clear = (
        max(abs(x - a) / (0.5 * (wide + _LABEL[0])), abs(z - b) / (0.5 * (high + _LABEL[1])))
        for a, b, wide, high in taken
    )
    return min(itertools.chain([9.0], clear))
