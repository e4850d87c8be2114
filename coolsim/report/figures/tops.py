"""The top of the wax and what is hidden under it, to scale and stretched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle

from coolsim.model.section import Array
from coolsim.report.figures.panels import columns_for, draw_axis, panel_grid, radius_axis, vessels
from coolsim.report.figures.section_parts import Field, solved_parts
from coolsim.report.figures.style import DASHES, HALO, INKS, PAGE_WIDTH, SMALL, Runs, blank, styled, titles_fit
from coolsim.report.wording import hours_minutes, in_units, length_text, volume_text
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage
from coolsim.solve.result import Result
from coolsim.units import System

_WAX, _GLASS = "#e3dcc8", "#aab4bb"
_HATCH = "xxxx"
_OUTLINE = 1.6
_THINNEST = 1e-4
_TRACE = 0.02
_LETTERS_PER_INCH = 10
_WIDEST_PANEL = 4.4
_STRETCHES = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 50)
_PROFILE_HEIGHT = 2.6
_FLATTEST = 0.05


def _shrunk(runs: Runs) -> list[Shrinkage]:
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
def draw_tops(runs: Runs, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the jar with the final top and the hidden cavity, to scale.

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
        The section mirrored about the axis. The cavity is drawn as deep under the surface as it lies, in one piece for
        each ring of cells.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_tops, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_tops([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'radius [mm]'
    """
    tops = _shrunk(runs)
    length, _, unit = in_units("length", units)
    jars = [_jar(result) for _, result in runs]
    radius = 1.08 * length * max(float(part.x[-1]) for parts in jars for part in parts)
    bottom = length * min(float(part.z[0]) for parts in jars for part in parts)
    height = length * max(float(part.z[-1]) for parts in jars for part in parts)
    low, high = bottom - 0.04 * (height - bottom), height + 0.08 * (height - bottom)
    columns = columns_for(len(runs))
    rows = -(-len(runs) // columns)
    width = min(_WIDEST_PANEL, PAGE_WIDTH / columns)
    height = rows * ((width - 0.7) / (2 * radius) * (high - low) + 1.15) + 0.3
    figure = blank(width=width * columns, height=height, into=into)
    panels, grid = panel_grid(figure, len(runs), columns)
    for axes, (title, result), top, parts in zip(panels, runs, tops, jars, strict=True):
        _panel(axes, result, top, parts, length=length, units=units)
        axes.set_title(titles_fit(title, int(width * _LETTERS_PER_INCH)), fontweight="bold")
        axes.set_xlim(-radius, radius)
        axes.set_ylim(low, high)
        axes.set_aspect("equal")
        radius_axis(axes, unit)
    for axes in grid[:, 0]:
        axes.set_ylabel(f"height above\nwax bottom [{unit}]")
    named = vessels(result for _, result in runs)
    hollow = any(_is_hollow(result, top) for (_, result), top in zip(runs, tops, strict=True))
    handles = [
        Patch(facecolor=_WAX, edgecolor="black", label="wax"),
        *([Patch(facecolor="white", edgecolor="black", hatch=_HATCH, label="hidden cavity")] if hollow else []),
        *([Patch(facecolor=_GLASS, edgecolor="black", label=named)] if named else []),
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=len(handles))
    return figure


def _jar(result: Result) -> list[Field]:
    """Wax and vessel, heights from the bottom of the wax."""
    bottom = result.required_wax().bottom
    parts = [part for part in solved_parts(result, 0.0) if part.what in ("glass", "wax")]
    return [replace(part, z=part.z - bottom) for part in parts]


def _panel(axes: Axes, result: Result, top: Shrinkage, parts: Sequence[Field], *, length: float, units: System) -> None:
    wax = result.required_wax()
    inside, poured = length * float(wax.r_edges[-1]), length * top.pour_level
    # Lines first, faces over them: of touching pieces only the outline of the whole stays.
    for line, order in ((_OUTLINE, 1.0), (0.0, 1.1)):
        for part in parts:
            if part.what == "glass":
                corner, size = (part.x[0], part.z[0]), (part.x[-1] - part.x[0], part.z[-1] - part.z[0])
                axes.add_patch(
                    Rectangle(
                        (length * corner[0], length * corner[1]), length * size[0], length * size[1],
                        facecolor=_GLASS, edgecolor="black", linewidth=line, zorder=order, gid="glass",
                    )
                )  # fmt: skip
    r, level = _mirrored(top, length)
    axes.fill_between(r, 0.0, level, facecolor=_WAX, edgecolor="none", zorder=1.2)
    axes.plot(r, level, color="black", linewidth=1.4, zorder=3, gid="top", solid_joinstyle="round")
    axes.plot([-inside, inside], [poured] * 2, color="black", linewidth=0.7, linestyle=(0, (4, 3)), gid="pour level")
    if _is_hollow(result, top):
        _draw_cavity(axes, result, top, length)
    axes.text(0.96 * inside, poured, "poured to here", ha="right", va="bottom", fontsize=SMALL, path_effects=list(HALO))
    axes.text(
        0.0, 0.25 * poured, _told(result, top, units), ha="center", va="center", fontsize=SMALL,
        zorder=5, bbox={"facecolor": _WAX, "edgecolor": "none", "pad": 1.5},
    )  # fmt: skip
    draw_axis(axes)


def _is_set(result: Result) -> bool:
    return result.events is not None and result.events.fully_set is not None


def _is_hollow(result: Result, top: Shrinkage) -> bool:
    """Whether there is a cavity to speak of."""
    return top.cavity_volume >= result.answers.cavity_from


def _told(result: Result, top: Shrinkage, units: System) -> str:
    if not _is_set(result):
        return f"not set when the run\nended at {hours_minutes(result.time[-1])} h"
    places = (("rim", top.rim_dip), ("half-way", top.half_dip), ("middle", top.centre_dip))
    told = "\n".join(f"{place} {length_text(dip, units)} lower" for place, dip in places)
    if top.cavity_roof is not None and _is_hollow(result, top):
        roof = length_text(top.cavity_roof, units)
        told += f"\ncavity {volume_text(top.cavity_volume, units)},\n{roof} under the top"
    return told


def _mirrored(top: Shrinkage, length: float) -> tuple[Array, Array]:
    """Profile from the left wall to the right, drawn on to the axis straight in r², in which it is smooth there."""
    radius = float(np.sqrt(top.area.sum() / np.pi))
    r = np.concatenate([[0.0], top.r, [radius]])
    middle = top.level[0]
    if len(top.r) > 1:
        middle -= (top.level[1] - top.level[0]) * top.r[0] ** 2 / (top.r[1] ** 2 - top.r[0] ** 2)
    level = np.concatenate([[middle], top.level, top.level[-1:]])
    return length * np.concatenate([-r[::-1], r]), length * np.concatenate([level[::-1], level])


def _draw_cavity(axes: Axes, result: Result, top: Shrinkage, length: float) -> None:
    """Hatch the cavity in each ring in one piece, from its roof down, as deep under the surface as it lies."""
    wax = result.required_wax()
    thickness = (top.cavity * np.diff(wax.z_edges)[:, None]).sum(axis=0)
    # Thinner than a line is drawn, it would look like more than it is.
    there = thickness > _THINNEST
    if not there.any():
        return
    highest = len(wax.z) - np.argmax(top.cavity[::-1] > _TRACE, axis=0)
    roof = wax.z_edges[highest]
    roof = length * np.where(there, roof, np.nan)
    floor = roof - length * thickness
    edges = length * wax.r_edges
    axes.stairs(
        np.concatenate([roof[::-1], roof]), np.concatenate([-edges[:0:-1], edges]),
        baseline=np.concatenate([floor[::-1], floor]), fill=True, facecolor="white", edgecolor="black",
        linewidth=0.8, hatch=_HATCH, zorder=2.5, gid="cavity",
    )  # fmt: skip


@styled
def draw_top_profiles(runs: Runs, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the final tops over each other, with the vertical scale stretched.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one line for each.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        Height of the surface against the level it was poured to. How much the vertical scale is stretched stands above
        the line of that level. A short bar shows the mean within 5 mm of the axis, which is what the tables call the
        middle.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_top_profiles, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_top_profiles([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'radius [mm]'
    """
    tops = _shrunk(runs)
    length, _, unit = in_units("length", units)
    width = 0.75 * PAGE_WIDTH
    radius = length * max(float(np.sqrt(top.area.sum() / np.pi)) for top in tops)
    deepest = length * max(float(np.max(top.pour_level - top.level)) for top in tops)
    inches = (width - 1.0) / (2.1 * radius)
    span = 1.2 * max(deepest, _FLATTEST / inches)
    stretch = max((one for one in _STRETCHES if span * inches * one <= _PROFILE_HEIGHT), default=1)
    figure = blank(width=width, height=span * inches * stretch + 1.1, into=into)
    axes = figure.subplots()
    for index, ((title, result), top) in enumerate(zip(runs, tops, strict=True)):
        ink, dash = INKS[index % len(INKS)], DASHES[index % len(DASHES)]
        r, level = _mirrored(top, length)
        label = titles_fit(title, int(0.5 * width * _LETTERS_PER_INCH))
        if not _is_set(result):
            label += f" (not set at {hours_minutes(result.time[-1])} h)"
        axes.plot(r, level - length * top.pour_level, color=ink, linestyle=dash, label=label, gid="top")
        near = length * max(NEAR_AXIS, float(top.r[0]))
        axes.plot([-near, near], [-length * top.centre_dip] * 2, color=ink, linestyle=dash, linewidth=0.8, gid="middle")
    axes.axhline(0.0, color="black", linewidth=0.6)
    told = "to scale" if stretch == 1 else f"vertical scale stretched {stretch} times"
    for side, text in ((-1.0, told), (1.0, "poured to here")):
        axes.text(side * radius, 0.0, text, ha="left" if side < 0 else "right", va="bottom", fontsize=SMALL)
    axes.set_xlim(-1.05 * radius, 1.05 * radius)
    axes.set_ylim(-0.88 * span, 0.12 * span)
    axes.set_aspect(stretch)
    radius_axis(axes, unit)
    axes.set_ylabel(f"level against the pour [{unit}]")
    handles, labels = axes.get_legend_handles_labels()
    bar = Line2D([], [], color="black", linewidth=0.8)
    mean = f"mean within {length_text(NEAR_AXIS, units)} of the axis"
    figure.legend([*handles, bar], [*labels, mean], loc="outside lower center", ncols=min(len(runs) + 1, 3))
    return figure
