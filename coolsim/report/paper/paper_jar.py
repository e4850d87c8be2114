"""A jar of paper to cut out, roll and glue: set times on its wall, and on discs across it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import cos, pi, radians, sin
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize
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
_MOST_LINES = 6
_CUT, _FOLD = 1.6, 0.9
_NAMES_APART, _NAMED = 3.6, 62.0
_ROUND = 181
_BUILD = (
    "Cut along thick lines, fold along dashed ones. Roll the strip with the print outside, and glue the flap under"
    " its other end. The discs are on the next page. Thin lines: wax that sets at the"
    " same time, in hours and minutes after the pour; what sets early is dark."
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
    name = "glue here, under the other end"
    axes.text(
        length + 0.5 * flap, 0.5 * tall, name, rotation=90, ha="center", va="center", fontsize=SMALL, gid="flap"
    )  # fmt: skip
    base, depth = PER_METRE * jar.vessel.base, PER_METRE * jar.depth
    axes.add_patch(Rectangle((0.0, 0.0), length, base, facecolor=GLASS, edgecolor="none", zorder=0.5))
    field, times = _field(result)
    z = base + PER_METRE * field.z
    wall = field.values[:, -1]
    _shades(axes, np.tile([0.0, length], (len(z), 1)), np.tile(z[:, None], 2), np.tile(wall[:, None], 2), field)
    crossed = _crossings(z, wall, times)
    _lines(axes, [[(0.0, height), (length, height)] for _, height in crossed], 0.6, "set time")
    count = max(int(length * float(scale) / _NAMED), 1)
    for time, height in _apart(crossed, _NAMES_APART / float(scale)):
        for number in range(count):
            _name(axes, time, (number + 0.5) * length / count, height)
    rim = 0.0 if result.shrinkage is None else PER_METRE * result.shrinkage.rim_dip
    for height, told in ((base + depth, "poured to here"), (base + depth - rim, "")):
        _lines(axes, [[(0.0, height), (length, height)]], 0.8, "level", dashes=DOTTED if told else "-")
        if told:
            axes.text(3.0, height + 1.0, told, fontsize=SMALL, va="bottom")
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
    field, times = _field(result)
    last = result.required_events().last_liquid
    rim = 0.0 if result.shrinkage is None else result.shrinkage.rim_dip
    step = (2.0 * radius + _BETWEEN / float(scale)) * inch
    x = 0.5 * PAPERS[frame.paper][0] - step
    for number, (what, height, level) in enumerate(
        (
            ("the top", float(field.z[-1]), float(field.z[-1]) - rim),
            ("where the last liquid sits", last[1], last[1]),
            ("the bottom of the wax", float(field.z[0]), 0.0),
        )
    ):
        extent = (-radius - 1.0, -radius - 1.0, radius + 1.0, radius + 1.0)
        axes = true_axes(page, x + number * step, top - (radius + 1.0) * inch - 0.05, extent, scale)
        _disc(axes, radius, field, height, times, scale=float(scale))
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


def _ruler(page: Figure, frame: Frame, units: System) -> None:
    draw_ruler(page, frame.left, frame.bottom + 0.36, units=units, size=SMALL)
    frame.writer([page], "", left=4.6, width=4.0, top=frame.bottom + 0.45).text(PRINT_AT, size=SMALL + 1.0)


def _field(result: Result) -> tuple[Field, Array]:
    """Lay out the set times of the half that is right of the axis, and choose the times of the lines [s]."""
    set_time = result.set_time()
    whole = set_field(result, set_time)
    right = whole.x >= 0.0
    field = Field(what="set time", x=whole.x[right], z=whole.z, values=whole.values[:, right])
    latest = float(set_time[np.isfinite(set_time)].max(initial=0.0))
    return field, isochrone_levels(set_time, latest, 2 * _MOST_LINES)


def _shades(axes: Axes, x: Array, y: Array, values: Array, field: Field) -> None:
    """Colour by set time, what sets early dark; what is still soft stays white."""
    known = field.values[np.isfinite(field.values)]
    shown = np.ma.masked_invalid(values)
    if not len(known) or shown.count() == 0:
        return
    edges = np.linspace(min(float(known.min()), 0.0) - 1.0, float(known.max()) + 1.0, 41)
    axes.contourf(x, y, shown, levels=edges, cmap=colours(), norm=Normalize(0.0, float(known.max())), zorder=0.6)


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
    """Leave out what lies closer to the one before than so much [same units], for names not to overlap."""
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


def _disc(axes: Axes, radius: float, field: Field, height: float, times: Array, *, scale: float) -> None:
    """Draw a cut across the jar at a height [m] with its tabs, of a radius [mm]."""
    axes.add_patch(Circle((0.0, 0.0), radius, facecolor=GLASS, edgecolor="none", zorder=0.5))
    r = PER_METRE * field.x
    values = np.array([np.interp(height, field.z, column) for column in field.values.T])
    turn = np.linspace(0.0, 2.0 * pi, _ROUND)
    _shades(axes, np.outer(np.cos(turn), r), np.outer(np.sin(turn), r), np.tile(values, (_ROUND, 1)), field)
    crossed = _crossings(r, values, times)
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
