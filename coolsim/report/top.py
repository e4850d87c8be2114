"""The top of the wax and what is hidden under it, to scale and stretched."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle

from coolsim.model.section import Array
from coolsim.report.figure import DASHES, HALO, INKS, PAGE_WIDTH, SMALL, blank, styled, titles_fit
from coolsim.report.wording import in_units, length_text, volume_text
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result
from coolsim.units import System

_WAX, _GLASS = "#d9d2bd", "#9aa5ad"
_LEAST_HOLLOW = 0.02
_LETTERS_PER_INCH = 10
_COLUMNS = {1: 1, 2: 2, 4: 2}
_WIDEST_PANEL = 4.4
_STRETCHES = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 50)
_PROFILE_HEIGHT = 2.6
_FLATTEST = 0.05


def _shrunk(runs: Sequence[tuple[str, Result]]) -> list[Shrinkage]:
    """Contractions of all runs; ValueError where one holds no wax."""
    found = []
    for title, result in runs:
        if result.shrinkage is None:
            raise ValueError(f"'{title}' holds no wax, so it has no top")
        found.append(result.shrinkage)
    if not found:
        raise ValueError("a figure of the top needs at least one run")
    return found


@styled
def draw_tops(runs: Sequence[tuple[str, Result]], *, units: System = "metric") -> Figure:
    """Draw the jar with the final top and the hidden cavity, to scale.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one panel for each.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        The section mirrored about the axis. The cavity is drawn as deep under the surface as it lies, in one piece for
        each ring of cells.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.
    """
    tops = _shrunk(runs)
    length, _, unit = in_units("length", units)
    bodies = [result.required_wax() for _, result in runs]
    radius = length * max(float(wax.r_edges[-1]) for wax in bodies) * 1.2
    depth = length * max(top.pour_level for top in tops)
    columns = _COLUMNS.get(len(runs), 3)
    rows = -(-len(runs) // columns)
    width = min(_WIDEST_PANEL, PAGE_WIDTH / columns)
    figure = blank(width=width * columns, height=rows * ((width - 0.8) / (2 * radius) * 1.3 * depth + 1.0) + 0.3)
    grid = figure.subplots(rows, columns, squeeze=False, sharey=True)
    for empty in grid.ravel()[len(runs) :]:
        empty.set_axis_off()
    for axes, (title, result), top in zip(grid.ravel(), runs, tops, strict=False):
        _panel(axes, result, top, length=length, units=units)
        axes.set_title(titles_fit(title, int(width * _LETTERS_PER_INCH)), fontweight="bold")
        axes.set_xlim(-radius, radius)
        axes.set_ylim(-0.08 * depth, 1.22 * depth)
        axes.set_aspect("equal")
        axes.set_xlabel(f"radius [{unit}]")
        axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    for axes in grid[:, 0]:
        axes.set_ylabel(f"height above\nwax bottom [{unit}]")
    handles = [
        Patch(facecolor=_WAX, edgecolor="black", label="wax, set"),
        Patch(facecolor="white", edgecolor="black", hatch="xxxx", label="hidden cavity"),
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=2)
    return figure


def _panel(axes: Axes, result: Result, top: Shrinkage, *, length: float, units: System) -> None:
    wax = result.required_wax()
    inside, floor = length * float(wax.r_edges[-1]), length * top.pour_level
    r, level = _mirrored(top, length)
    axes.fill_between(r, 0.0, level, facecolor=_WAX, edgecolor="none", zorder=1)
    axes.plot(r, level, color="black", linewidth=1.2, zorder=3, gid="top")
    axes.plot([-inside, inside], [floor, floor], color="black", linewidth=0.7, linestyle=(0, (4, 3)), gid="pour level")
    for side in (-1, 1):
        axes.plot([side * inside] * 2, [0.0, 1.15 * floor], color=_GLASS, linewidth=3.0, zorder=2)
    axes.plot([-inside, inside], [0.0, 0.0], color=_GLASS, linewidth=3.0, zorder=2)
    _draw_cavity(axes, result, top, length)
    axes.text(0.97 * inside, floor, "poured to here", ha="right", va="bottom", fontsize=SMALL, path_effects=list(HALO))
    told = f"middle {length_text(top.centre_dip, units)}, rim {length_text(top.rim_dip, units)} lower"
    if top.cavity_roof is not None and top.cavity_volume >= result.answers.cavity_from:
        told += f"\ncavity {volume_text(top.cavity_volume, units)}, {length_text(top.cavity_roof, units)} under the top"
    axes.text(0.0, 0.32 * floor, told, ha="center", va="center", fontsize=SMALL, path_effects=list(HALO), zorder=5)
    axes.axvline(0.0, color="black", linewidth=0.4, dashes=(12, 3, 2, 3), zorder=1.5)


def _mirrored(top: Shrinkage, length: float) -> tuple[Array, Array]:
    """Profile from the left wall to the right, steps between rings kept."""
    radius = np.sqrt(np.cumsum(top.area) / np.pi)
    r = np.concatenate([[0.0], np.repeat(radius, 2)[:-1]])
    level = np.repeat(top.level, 2)
    return length * np.concatenate([-r[::-1], r]), length * np.concatenate([level[::-1], level])


def _draw_cavity(axes: Axes, result: Result, top: Shrinkage, length: float) -> None:
    """Hatch the cavity in each ring in one piece, from its roof down, as deep under the surface as it lies."""
    wax = result.required_wax()
    hollow = np.where(top.cavity > _LEAST_HOLLOW, top.cavity, 0.0)
    heights = (hollow * np.diff(wax.z_edges)[:, None]).sum(axis=0)
    sunk = top.pour_level - np.interp(wax.r, top.r, top.level)
    for column in np.flatnonzero(heights > 0.0):
        roof = wax.z_edges[np.flatnonzero(hollow[:, column])[-1] + 1] - sunk[column]
        inner, outer = wax.r_edges[column], wax.r_edges[column + 1]
        for start in (inner, -outer):
            axes.add_patch(
                Rectangle(
                    (length * start, length * (roof - heights[column])), length * (outer - inner),
                    length * heights[column], facecolor="white", edgecolor="0.2", linewidth=0.0, hatch="xxxx",
                    zorder=2.5, gid="cavity",
                )
            )  # fmt: skip


@styled
def draw_top_profiles(runs: Sequence[tuple[str, Result]], *, units: System = "metric") -> Figure:
    """Draw the final tops over each other, with the vertical scale stretched.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one line for each.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        Height of the surface against the level it was poured to. How much the vertical scale is stretched stands on
        its axis.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.
    """
    tops = _shrunk(runs)
    length, _, unit = in_units("length", units)
    width = 0.75 * PAGE_WIDTH
    radius = length * max(float(np.sqrt(top.area.sum() / np.pi)) for top in tops)
    deepest = length * max(float(np.max(top.pour_level - top.level)) for top in tops)
    inches = (width - 1.0) / (2.1 * radius)
    span = 1.2 * max(deepest, _FLATTEST / inches)
    stretch = max((one for one in _STRETCHES if span * inches * one <= _PROFILE_HEIGHT), default=1)
    figure = blank(width=width, height=span * inches * stretch + 1.1)
    axes = figure.subplots()
    for index, ((title, _), top) in enumerate(zip(runs, tops, strict=True)):
        r, level = _mirrored(top, length)
        axes.plot(
            r, level - length * top.pour_level, color=INKS[index % len(INKS)], linestyle=DASHES[index % len(DASHES)],
            label=titles_fit(title, int(0.5 * width * _LETTERS_PER_INCH)),
        )  # fmt: skip
    axes.axhline(0.0, color="black", linewidth=0.6)
    axes.set_xlim(-1.05 * radius, 1.05 * radius)
    axes.set_ylim(-0.92 * span, 0.08 * span)
    axes.set_aspect(stretch)
    axes.set_xlabel(f"radius [{unit}]")
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    told = "to scale" if stretch == 1 else f"stretched {stretch} times"
    axes.set_ylabel(f"below the pour [{unit}]\n({told})")
    figure.legend(loc="outside lower center", ncols=min(len(runs), 3))
    return figure
