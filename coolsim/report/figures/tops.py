"""The top of the wax and what is hidden under it, to scale and stretched."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D

from coolsim.report.figures.cut import (
    DIMENSIONS_WIDTH,
    POURED,
    Vessel,
    caption,
    draw_cavity,
    draw_dimensions,
    draw_pour_level,
    draw_vessel,
    draw_wax,
    draw_wick,
    inner_radius,
    is_hollow,
    keys,
    leave_room,
    ruled,
    surface,
    top_dimensions,
    vessel_of,
)
from coolsim.report.figures.panels import height_label, panel_grid, radius_axis, vessels
from coolsim.report.figures.style import DASHES, INKS, PAGE_WIDTH, SMALL, Runs, blank, room_in, styled, titles_fit
from coolsim.report.wording import hours_minutes, in_units, length_text, top_text
from coolsim.solve.contraction import NEAR_AXIS, Shrinkage
from coolsim.solve.result import Result
from coolsim.solve.smooth import smooth
from coolsim.units import System

# In inches: beside a panel, its title, caption and axis above and below it, and the key.
_BESIDE, _AROUND, _KEY = 0.95, 1.2, 0.3
_MARGIN, _SIDES, _LOWEST_HEAD = 0.03, 1.03, 10e-3
_LETTERS_PER_INCH = 10
_WIDEST_PANEL = 5.0
_STRETCHES = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 50)
_PROFILE_HEIGHT, _PROFILE_POINTS = 2.6, 201
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
        The jar cut through its axis, with rulers, a wick, and the cavity under the top if there is one to speak of:
        smooth, with the volume that was found and its roof as deep under the surface as it lies. Beside it how far rim,
        dish and hole go down; below it what the top is called, and how deep it may be with stiffer and softer wax.

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
    jars = [vessel_of(result) for _, result in runs]
    pieces = [piece for vessel in jars for piece in vessel.pieces]
    radius = length * max([*(piece[2] for piece in pieces), *(inner_radius(top) for top in tops)])
    bottom = length * min([0.0, *(piece[1] for piece in pieces)])
    height = length * max([*(piece[3] for piece in pieces), *(_LOWEST_HEAD + top.pour_level for top in tops)])
    margin = _MARGIN * (height - bottom)
    columns = min(len(runs), 2)
    rows = -(-len(runs) // columns)
    width = min(_WIDEST_PANEL, PAGE_WIDTH / columns)
    scale = (width - _BESIDE - DIMENSIONS_WIDTH) / (2 * _SIDES * radius)
    tall = scale * (height - bottom + 2.0 * margin)
    figure = blank(width=width * columns, height=rows * (tall + _AROUND) + _KEY, into=into)
    leave_room(figure)
    if into is not None:
        scale = min(scale, ((room_in(into)[1] - _KEY) / rows - _AROUND) / tall * scale)
    panels, grid = panel_grid(figure, len(runs), columns)
    for axes, (title, result), top, vessel in zip(panels, runs, tops, jars, strict=True):
        _panel(axes, result, top, vessel, length=length, units=units)
        axes.set_title(titles_fit(title, int(width * _LETTERS_PER_INCH)), fontweight="bold")
        axes.set_xlim(-_SIDES * radius, _SIDES * radius)
        axes.set_ylim(bottom - margin, height + margin)
        axes.set_aspect("equal")
        radius_axis(axes, unit)
        ruled(axes, units, inches=scale)
    for axes in grid[:, 0]:
        axes.set_ylabel(height_label(unit))
    hollow = any(is_hollow(top, result.answers) for (_, result), top in zip(runs, tops, strict=True))
    handles = keys(vessel=vessels(result for _, result in runs), hollow=hollow)
    figure.legend(handles=handles, loc="outside lower center", ncols=len(handles))
    return figure


def _panel(axes: Axes, result: Result, top: Shrinkage, vessel: Vessel, *, length: float, units: System) -> None:
    radius = inner_radius(top)
    draw_vessel(axes, vessel, length)
    draw_wax(axes, top.r, radius, top.level, length)
    draw_wick(axes, radius, top.pour_level, length)
    draw_pour_level(axes, radius, top.pour_level, length)
    right = max((piece[2] for piece in vessel.pieces), default=radius)
    levels, names = [(radius, top.pour_level)], [POURED]
    told = f"not set when the run ended\nat {hours_minutes(result.time[-1])} h"
    if _is_set(result):
        if is_hollow(top, result.answers):
            draw_cavity(axes, top, length, units)
        levels, names = top_dimensions(top.pour_level, radius, (top.rim_dip, top.half_dip, top.centre_dip), units)
        told = top_text(result, units)
    draw_dimensions(axes, right, levels, names, length)
    caption(axes, told)


def _is_set(result: Result) -> bool:
    return result.events is not None and result.events.fully_set is not None


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
    radius = length * max(inner_radius(top) for top in tops)
    deepest = length * max(float((top.pour_level - top.level).max()) for top in tops)
    inches = (width - 1.0) / (2.1 * radius)
    span = 1.2 * max(deepest, _FLATTEST / inches)
    stretch = max((one for one in _STRETCHES if span * inches * one <= _PROFILE_HEIGHT), default=1)
    figure = blank(width=width, height=span * inches * stretch + 1.1, into=into)
    axes = figure.subplots()
    for index, ((title, result), top) in enumerate(zip(runs, tops, strict=True)):
        ink, dash = INKS[index % len(INKS)], DASHES[index % len(DASHES)]
        places, levels = surface(top.r, inner_radius(top), top.level)
        # The axis is in it twice.
        places, known = np.unique(places, return_index=True)
        r = np.linspace(places[0], places[-1], _PROFILE_POINTS)
        level = length * (smooth(places, levels[known], r) - top.pour_level)
        label = titles_fit(title, int(0.5 * width * _LETTERS_PER_INCH))
        if not _is_set(result):
            label += f" (not set at {hours_minutes(result.time[-1])} h)"
        axes.plot(length * r, level, color=ink, linestyle=dash, label=label, gid="top")
        near = length * NEAR_AXIS
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
