"""A jar of paper to cut out, roll and glue: set times on its wall, and on discs across it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import cos, pi, radians, sin
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from coolsim.model.jar import Jar
from coolsim.model.section import Array
from coolsim.report.figures.cut import GLASS
from coolsim.report.figures.section_parts import Field
from coolsim.report.figures.set_map import isochrone_levels, set_field
from coolsim.report.figures.style import DASHED, DOTTED, HALO, SMALL, colours
from coolsim.report.paper.page import PAPERS, Frame
from coolsim.report.paper.true_size import MM, PER_METRE, PRINT_AT, draw_ruler, largest_scale, scale_text, true_axes
from coolsim.report.paper.typeset import text_width
from coolsim.report.wording import capital, hours_minutes, length_text
from coolsim.solve.result import Result
from coolsim.units import System

FLAP = 12.0
"""Width of the flap for the glue, whatever the scale [mm of paper]."""

_EDGE = 8.0 * MM
_TEXT = 1.5
_TABS, _TAB, _NARROW = (45.0, 135.0, 225.0, 315.0), 0.23, 0.7
_PLAY = 0.5
_BETWEEN = 6.0
_MOST_LINES, _INK = 7, 0.5
_CUT, _FOLD = 1.6, 0.9
_LINES_APART, _NAMES_APART, _NAMED = 1.2, 3.6, 62.0
_ROUND, _MARK = 181, 4.0
_GLUE = ("glue here, under the other end", "glue")
_BUILD = (
    "Cut along thick lines, fold along dashed ones. Roll the strip with the print outside, and glue the flap under its"
    " other end. Marks with a number say where the discs of the next page go. Thin lines: what sets at the same time,"
    " in hours and minutes after the pour; what sets early is darker. Grey: the jar itself."
)


def paper_jar(frame: Frame, title: str, jar: Jar, result: Result, *, units: System) -> list[Figure]:
    """Draw the strip of the wall and the discs, in real size if they have room on the paper, else in a part of it."""
    wide = PAPERS[frame.paper][0] - 2.0 * _EDGE
    across, tall = PER_METRE * jar.vessel.diameter, PER_METRE * jar.vessel.height
    high = frame.top - frame.bottom - _TEXT
    scale = largest_scale(pi * across, tall, lambda _: (wide - FLAP * MM, high))
    scale = min(scale, largest_scale(3.0 * across, across, lambda _: (wide - 2.0 * _BETWEEN * MM, high)))
    return [_strip_page(frame, title, jar, result, scale, units), _discs_page(frame, title, jar, result, scale, units)]


def _page(frame: Frame, heading: str, told: str, scale: Fraction) -> tuple[Figure, float]:
    """Start a page with what it says; return it and how far down there is room [in]."""
    page = frame.page(heading)
    column = frame.writer([page], heading)
    column.text(f"{capital(scale_text(scale))}. {told}", size=SMALL + 1.5)
    return page, column.y


def _strip_page(frame: Frame, title: str, jar: Jar, result: Result, scale: Fraction, units: System) -> Figure:
    """Draw the wall, unrolled."""
    page, top = _page(frame, f"A jar to roll: {title}", _BUILD, scale)
    length, tall = PER_METRE * pi * jar.vessel.diameter, PER_METRE * jar.vessel.height
    flap = FLAP / float(scale)
    x = 0.5 * (PAPERS[frame.paper][0] - (length + flap) * float(scale) * MM)
    axes = true_axes(page, x, top - tall * float(scale) * MM - 0.1, (0.0, 0.0, length + flap, tall), scale)
    whole = length + flap
    _lines(axes, [[(0.0, 0.0), (whole, 0.0), (whole, tall), (0.0, tall), (0.0, 0.0)]], _CUT, "strip")
    _lines(axes, [[(length, 0.0), (length, tall)]], _FOLD, "fold", dashes=DASHED)
    name = next(one for one in _GLUE if text_width(one, SMALL) < 0.95 * tall * float(scale) * MM or one == _GLUE[-1])
    axes.text(
        length + 0.5 * flap, 0.5 * tall, name, rotation=90, ha="center", va="center", fontsize=SMALL, gid="flap"
    )  # fmt: skip
    base, depth = PER_METRE * jar.vessel.base, PER_METRE * jar.depth
    axes.add_patch(Rectangle((0.0, 0.0), length, base, facecolor=GLASS, edgecolor="none", zorder=0.5))
    field, latest = _right(result), result.required_events().fully_set or float(result.time[-1])
    z, wall = base + PER_METRE * field.z, field.values[:, -1]
    times = _times(wall)
    ends = np.tile([0.0, length], (len(z), 1))
    _shades(axes, ends, np.tile(z[:, None], 2), np.tile(wall[:, None], 2), times, latest)
    crossed = _apart(_crossings(z, wall, times), _LINES_APART / float(scale))
    _lines(axes, [[(0.0, height), (length, height)] for _, height in crossed], 0.6, "set time")
    count = max(int(length * float(scale) / _NAMED), 1)
    for time, height in _apart(crossed, _NAMES_APART / float(scale)):
        for number in range(count):
            _name(axes, time, (number + 0.5) * length / count, height)
    _lines(axes, [[(0.0, base + depth), (length, base + depth)]], 0.8, "poured to here", dashes=DOTTED)
    mark = _MARK / float(scale)
    axes.text(4.0 * mark, base + depth + 1.0, "poured to here", fontsize=SMALL, va="bottom")
    for number, (_, _, level) in enumerate(_levels(result), start=1):
        height = base + PER_METRE * level
        _lines(axes, [[(0.0, height), (mark, height)], [(length - mark, height), (length, height)]], _CUT, "disc")
        # One after the other: in a shallow jar the marks are close.
        for x in ((0.8 + 0.6 * number) * mark, length - (0.8 + 0.6 * number) * mark):
            axes.text(x, height, f"{number}", ha="center", va="center", fontsize=SMALL, fontweight="bold")
    _ruler(page, frame, units)
    return page


def _discs_page(frame: Frame, title: str, jar: Jar, result: Result, scale: Fraction, units: System) -> Figure:
    """Draw cuts across the jar: at the top, where the last liquid sits, and at the bottom of the wax."""
    told = (
        "Cut along thick lines, fold the tabs down along dashed ones, and glue each disc inside the roll, as far below"
        " the upper edge as it says, the last one first: then the jar stands."
    )
    page, top = _page(frame, f"Discs for the jar to roll: {title}", told, scale)
    radius = 0.5 * (PER_METRE * jar.vessel.diameter - _PLAY / float(scale))
    inch = float(scale) * MM
    field, latest = _right(result), result.required_events().fully_set or float(result.time[-1])
    step = (2.0 * radius + _BETWEEN / float(scale)) * inch
    x = 0.5 * PAPERS[frame.paper][0] - step
    last = result.required_events().last_liquid
    for number, (what, height, level) in enumerate(_levels(result)):
        extent = (-radius - 1.0, -radius - 1.0, radius + 1.0, radius + 1.0)
        axes = true_axes(page, x + number * step, top - (radius + 1.0) * inch - 0.05, extent, scale)
        _disc(axes, radius, field, height, latest, scale=float(scale))
        if number == 1:
            places = {(0.0, 0.0)} if last[0] <= result.required_wax().r[0] else {(PER_METRE * last[0], 0.0)}
            axes.plot(
                *zip(*places, strict=True), linestyle="none", marker="P", markersize=8, color="white",
                markeredgecolor="black", zorder=4, gid="last liquid",
            )  # fmt: skip
        below = (jar.vessel.height - jar.vessel.base - level) * float(scale)
        column = frame.writer([page], "", top=top - 2.0 * (radius + 1.0) * inch - 0.15)
        column.left, column.width = x + number * step - radius * inch, 2.0 * radius * inch
        column.text(f"{number + 1}  {capital(what)}", size=SMALL + 1.5, weight="bold", after=0.03)
        column.text(f"{length_text(below, units)} below the upper edge", size=SMALL + 1.0)
    _ruler(page, frame, units)
    return page


def _levels(result: Result) -> tuple[tuple[str, float, float], ...]:
    """Tell where the discs are cut, and where they are glued in, above the bottom of the wax [m]."""
    depth, last = float(result.required_wax().z_edges[-1]), result.required_events().last_liquid[1]
    rim = 0.0 if result.shrinkage is None else result.shrinkage.rim_dip
    return (
        ("the top", depth, depth - rim),
        ("where the last liquid sits", last, last),
        ("half-way from there to the bottom", 0.5 * last, 0.5 * last),
    )


def _ruler(page: Figure, frame: Frame, units: System) -> None:
    draw_ruler(page, frame.left, frame.bottom + 0.36, units=units, size=SMALL)
    frame.writer([page], "", left=4.6, width=4.0, top=frame.bottom + 0.45).text(PRINT_AT, size=SMALL + 1.0)


def _right(result: Result) -> Field:
    """Lay out the set times of the half that is right of the axis."""
    whole = set_field(result, result.set_time())
    right = whole.x >= 0.0
    return Field(what="set time", x=whole.x[right], z=whole.z, values=whole.values[:, right])


def _times(values: Array) -> Array:
    """Choose the times of the lines on a piece [s]."""
    known = values[np.isfinite(values)]
    times = isochrone_levels(values, float(known.max(initial=0.0)), _MOST_LINES)
    # Drawn on to the faces of the wax, what sets at once would set before.
    return times[times > 0.0]


def _shades(axes: Axes, x: Array, y: Array, values: Array, times: Array, latest: float) -> None:
    """Shade what sets between two times, early ones darker, up to the latest of the whole jar [s].

    The shades are light: paper that is full of ink does not stick.
    """
    shown = np.ma.masked_invalid(values)
    if not shown.count():
        return
    edges = np.concatenate([[shown.min() - 1.0], times, [shown.max() + 1.0]])
    middles = 0.5 * (edges[1:] + edges[:-1]) / (latest or 1.0)
    inks = [tuple(1.0 - _INK * (1.0 - np.array(colours()(middle)[:3]))) for middle in np.clip(middles, 0.0, 1.0)]
    axes.contourf(x, y, shown, levels=edges, colors=inks, zorder=0.6)


def _crossings(places: Array, values: Array, times: Array) -> list[tuple[float, float]]:
    """Find where along a line of places values [s] pass each of some times: time, and place in the units of these."""
    found = []
    for time in times:
        off = values - time
        for index in np.flatnonzero((off[:-1] < 0.0) != (off[1:] < 0.0)):
            if np.isfinite(off[index : index + 2]).all():
                share = off[index] / (off[index] - off[index + 1])
                found.append((float(time), float(places[index] + share * (places[index + 1] - places[index]))))
    return found


def _apart(crossed: list[tuple[float, float]], least: float) -> list[tuple[float, float]]:
    """Leave out what lies closer to the one before than so much [same units]: neither lines nor names run together."""
    found: list[tuple[float, float]] = []
    for time, place in sorted(crossed, key=lambda one: one[1]):
        if not found or place - found[-1][1] >= least:
            found.append((time, place))
    return found


def _name(axes: Axes, time: float, x: float, y: float) -> None:
    axes.text(
        x, y, hours_minutes(time), ha="center", va="center", fontsize=SMALL, path_effects=list(HALO), zorder=3,
        gid="set time",
    )  # fmt: skip


def _disc(axes: Axes, radius: float, field: Field, height: float, latest: float, *, scale: float) -> None:
    """Draw a cut across the jar at a height [m] with its tabs, of a radius [mm]."""
    axes.add_patch(Circle((0.0, 0.0), radius, facecolor=GLASS, edgecolor="none", zorder=0.5))
    r = PER_METRE * field.x
    values = np.array([np.interp(height, field.z, column) for column in field.values.T])
    turn = np.linspace(0.0, 2.0 * pi, _ROUND)
    times = _times(values)
    round_about = np.outer(np.cos(turn), r), np.outer(np.sin(turn), r)
    _shades(axes, *round_about, np.tile(values, (_ROUND, 1)), times, latest)
    crossed = _apart(_crossings(r, values, times), _LINES_APART / scale)
    for _, place in crossed:
        axes.add_patch(Circle((0.0, 0.0), place, fill=False, linewidth=0.6, zorder=2, gid="set time"))
    for time, place in _apart(crossed, _NAMES_APART / scale):
        _name(axes, time, 0.0, place)
    deep = min(_TAB * radius, 9.0 / scale)
    half = np.arcsin(deep / radius)
    cuts, folds = [], []
    for angle, after in zip(_TABS, (*_TABS[1:], 360.0 + _TABS[0]), strict=True):
        middle = radians(angle)
        arc = np.linspace(middle - half, middle + half, 31)
        folds.append(np.column_stack([radius * np.cos(arc), radius * np.sin(arc)]))
        far = [(radius + deep, side * _NARROW * deep) for side in (-1.0, 1.0)]
        outer = [
            (out * cos(middle) - aside * sin(middle), out * sin(middle) + aside * cos(middle)) for out, aside in far
        ]
        between = np.linspace(middle + half, radians(after) - half, 61)
        cuts.append(np.vstack([folds[-1][0], *outer, folds[-1][-1]]))
        cuts.append(np.column_stack([radius * np.cos(between), radius * np.sin(between)]))
    _lines(axes, cuts, _CUT, "disc")
    _lines(axes, folds, _FOLD, "fold", dashes=DASHED)


def _lines(
    axes: Axes, lines: Sequence[Sequence[tuple[float, float]] | Array], linewidth: float, gid: str, *, dashes: Any = "-"
) -> None:
    axes.add_collection(
        LineCollection(
            lines, colors="black", linewidths=linewidth, linestyles=[dashes], zorder=2.5, gid=gid, clip_on=False
        ),
        autolim=False,
    )
