"""Hot air on a set top as a figure: what happens when, as one strip of time, over the jar before and after."""

from __future__ import annotations

import textwrap
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle

from coolsim.report.figures.cut import (
    DIMENSIONS_WIDTH,
    Vessel,
    caption,
    cavity_outlines,
    draw_cavity,
    draw_dimensions,
    draw_pour_level,
    draw_vessel,
    draw_wax,
    draw_wick,
    inner_radius,
    keys,
    leave_room,
    ruled,
    surface,
    top_dimensions,
)
from coolsim.report.figures.panels import height_label, radius_axis, spaced
from coolsim.report.figures.style import HALO, PAGE_WIDTH, SMALL, Drawing, styled, titles_fit
from coolsim.report.text.repair import after_text, at, blown_text, vessel_word
from coolsim.report.wording import in_units, length_text, shape_text, temperature_text
from coolsim.studies.repair.repair import Repair, RepairedTop
from coolsim.units import System

_LOOKS = {
    "hot air": ("#f0c9a0", "////"),
    "setting": ("#f6ecd9", "...."),
    "still hot": ("#f6dcc0", "\\\\\\\\"),
    "cooling": ("#e4eaee", ""),
}
_MELTED = "#e9a86c"
_MELT_HATCH = "....."
_STRIP_HEIGHT, _PANEL, _AROUND = 2.15, 0.5 * PAGE_WIDTH, 1.55
_BESIDE = 0.95
# Of the width of the strip: the part for the hot air, the breaks, and the last part; its heights, and a letter [-].
_HOT_PART, _BREAK, _LAST_PART = 0.44, 0.015, 0.06
_LOW, _HIGH, _LEADER, _TEXT, _LETTER = 0.20, 0.40, 0.50, 0.53, 0.0064
_BEYOND = 1.06
_WIDEST_SLOT = 0.17
_BELOW_CUT, _CALLED, _LEAST_CUT, _SIDES, _HEAD = 8e-3, 10e-3, 20e-3, 1.03, 3e-3


class _Event(NamedTuple):
    """A moment on the strip: place on it, time in words, and what happens."""

    place: float
    time: str
    happens: str


class _Stretch(NamedTuple):
    """A part of the strip that looks alike."""

    name: str
    left: float
    right: float


@styled
def draw_repair(
    found: Repair, *, title: str, units: System = "metric", films: tuple[Repair, Repair] | None = None
) -> Figure:
    """Draw what hot air does to a set top.

    Parameters
    ----------
    found : Repair
        The repair.
    title : str
        What the jar is called.
    units : {"metric", "us"}
        Units of the workshop.
    films : (Repair, Repair), optional
        The same with the weakest and the strongest jet, as `coolsim.studies.repair.repair.over_films` gives them.

    Returns
    -------
    Figure
        A strip of time, from the air switched on to the wax near the room, with what happens on it (the seconds of the
        hot air on a scale of their own, with what a stronger and a weaker jet need); and below it the upper part of the
        jar, cut through its axis, to scale: before, with what the hot air melts, and after it has set again.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_repair, repair, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_repair(repair(quick), title="Bare")
    >>> figure.axes[1].get_title()
    'Before'
    """
    radius = found.scenario.jar.vessel.inner_radius + found.scenario.jar.vessel.wall
    low, high = _limits(found)
    scale = (_PANEL - _BESIDE - DIMENSIONS_WIDTH) / (2.0 * _SIDES * radius)
    cut = scale * (high - low) + _AROUND
    figure = Drawing(figsize=(PAGE_WIDTH, _STRIP_HEIGHT + cut), layout="constrained")
    leave_room(figure)
    grid = figure.add_gridspec(2, 2, height_ratios=[_STRIP_HEIGHT, cut])
    strip = figure.add_subplot(grid[0, :])
    _draw_strip(strip, found, films, units)
    strip.set_title(titles_fit(title, 90, lines=1), loc="left", fontweight="bold")
    length, _, unit = in_units("length", units)
    panels = [figure.add_subplot(grid[1, 0]), *([figure.add_subplot(grid[1, 1])] if found.after is not None else [])]
    for axes in panels:
        _draw_cut(axes, found, length, units, after=axes is not panels[0])
        axes.set_xlim(-_SIDES * length * radius, _SIDES * length * radius)
        axes.set_ylim(length * low, length * high)
        axes.set_aspect("equal")
        radius_axis(axes, unit)
        ruled(axes, units, inches=scale / length)
    panels[0].set_ylabel(height_label(unit))
    if found.after is None:
        _say_why_not(figure.add_subplot(grid[1, 1]), found)
    handles = keys(vessel=vessel_word(found), hollow="open" in found.goals)
    if _melts_until(found) is not None:
        melted = "melted when the air goes off" if found.needed is not None else "melted when it gets too hot"
        handles.insert(1, Patch(facecolor=_MELTED, edgecolor="0.2", hatch=_MELT_HATCH, linewidth=0.6, label=melted))
    figure.legend(handles=handles, loc="outside lower center", ncols=len(handles))
    return figure


def _say_why_not(axes: Axes, found: Repair) -> None:
    axes.set(xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    why = f"No: all is not reached within {blown_text(found.hot_air.longest)}"
    if found.too_hot is not None:
        why = f"Not with this air: after {blown_text(found.too_hot)}\nthe wax is too hot for its oil"
    axes.text(0.5, 0.6, why, ha="center", va="center", transform=axes.transAxes)


def _melts_until(found: Repair) -> float | None:
    """When the air goes off, or must because the wax gets too hot for its oil [s]."""
    return found.needed if found.needed is not None else found.too_hot


def _ends(found: Repair, films: tuple[Repair, Repair] | None) -> float:
    """End of the scale of the hot air [s]: a little beyond all that happens on it."""
    jets = [one.reaches for one in films or () if one.reaches is not None]
    asked = [time for time in (found.needed, found.too_hot, *jets) if time is not None]
    return float(min(_BEYOND * max(asked, default=found.seconds[-1]), found.seconds[-1]))


def _events(found: Repair, end: float, units: System) -> tuple[_Event, ...]:
    """List what happens while the air is on, in order of time; the scale goes to an end [s]."""
    off, word = _melts_until(found), vessel_word(found)
    stop = found.seconds[-1] if off is None else off
    hot: list[tuple[float, str]] = [(0.0, "air on")]
    for time, happens in (
        (found.touch, f"the brim of the {word} burns the hand"),
        (found.shock, f"the {word} may crack"),
        (found.levelled, "the dish is level"),
        (found.opened, "melted through to the cavity"),
    ):
        # What decides about the time needs no second name.
        if time is not None and blown_text(time) != blown_text(stop) and time < stop:
            hot.append((time, happens))
    if off is not None:
        depth = length_text(at(found, found.depth_in_middle, off), units)
        wax, rim = (temperature_text(at(found, one, off), units) for one in (found.surface, found.rim))
        what = "air off" if found.needed is not None else "too hot for the oil"
        hot.append((off, f"{what}\nmelted {depth} deep\nsurface {wax}\nbrim {rim}"))
    else:
        hot.append((stop, "all is not reached"))
    width = 1.0 if found.after is None else _HOT_PART
    return tuple(_Event(width * time / end, blown_text(time), happens) for time, happens in sorted(hot))


def _afterwards(found: Repair, after: RepairedTop) -> tuple[tuple[_Event, ...], tuple[_Stretch, ...]]:
    """List what happens when the air is off, and the stretches of the strip until then."""
    start, last = _HOT_PART + _BREAK, 1.0 - _LAST_PART - _BREAK
    cold = [(after.set_after, "set again"), (after.touchable_after, f"no {vessel_word(found)} burns the hand")]
    known = sorted((time, happens) for time, happens in cold if time is not None)
    until = _BEYOND * max([1.0, *(time for time, _ in known)])
    if len(known) == len(cold):
        known[1] = (known[1][0], f"{known[1][1]}\nmay be moved")
    places = [start + (last - start) * time / until for time, _ in known]
    events = [_Event(place, after_text(time), what) for place, (time, what) in zip(places, known, strict=True)]
    if after.cool_after is not None:
        events.append(_Event(1.0, after_text(after.cool_after), "near the room\nlid on"))
    set_at = last if after.set_after is None else start + (last - start) * after.set_after / until
    moved = max([set_at, *places])
    stretches = (_Stretch("setting", start, set_at), _Stretch("still hot", set_at, moved))
    rest = (_Stretch("cooling", moved, last), _Stretch("cooling", 1.0 - _LAST_PART, 1.0))
    return tuple(events), (*stretches, *rest)


def _draw_strip(axes: Axes, found: Repair, films: tuple[Repair, Repair] | None, units: System) -> None:
    """Draw the strip, what its stretches are, and its events over it, each led to its name."""
    end, off, after = _ends(found, films), _melts_until(found), found.after
    events = _events(found, end, units)
    width = 1.0 if after is None else _HOT_PART
    stretches: tuple[_Stretch, ...] = (_Stretch("hot air", 0.0, width * (end if off is None else off) / end),)
    boxes = [(0.0, width, "since the air is on")]
    if after is not None:
        more, rest = _afterwards(found, after)
        events, stretches = (*events, *more), (*stretches, *rest)
        boxes += [(width + _BREAK, 1.0 - _LAST_PART - _BREAK, "since the air is off"), (1.0 - _LAST_PART, 1.0, "")]
    for left, right, told in boxes:
        axes.add_patch(
            Rectangle(
                (left, _LOW), right - left, _HIGH - _LOW, fill=False, edgecolor="black", clip_on=False, zorder=3
            )
        )  # fmt: skip
        axes.text(left, _LOW - 0.03, told, fontsize=SMALL, ha="left", va="top")
    for one in stretches:
        colour, hatch = _LOOKS[one.name]
        axes.add_patch(
            Rectangle(
                (one.left, _LOW), one.right - one.left, _HIGH - _LOW, facecolor=colour, edgecolor="0.45",
                linewidth=0.0, hatch=hatch, gid=one.name,
            )
        )  # fmt: skip
        if one.right - one.left > _LETTER * (len(one.name) + 2):
            axes.text(
                0.5 * (one.left + one.right), 0.5 * (_LOW + _HIGH), one.name, ha="center", va="center", fontsize=SMALL,
                path_effects=list(HALO),
            )  # fmt: skip
    jets = sorted(one.reaches for one in films or () if one.reaches is not None)
    if len(jets) > 1 and found.needed is not None:
        first, last = (width * time / end for time in jets)
        axes.plot([first, last], [_LOW - 0.05] * 2, color="black", linewidth=1.0, marker="|", markersize=6, gid="jets")
        told = f"strong to weak jet: {blown_text(jets[0])} to {blown_text(jets[1])}"
        axes.text(width, _LOW - 0.11, told, fontsize=SMALL, ha="right", va="top")
    slot = min(_WIDEST_SLOT, 1.0 / len(events))
    places = spaced([event.place for event in events], line=slot, low=0.0, high=1.0)
    for event, place in zip(events, places, strict=True):
        axes.plot(
            [event.place, event.place, place], [_LOW, _HIGH + 0.03, _LEADER], color="black", linewidth=0.8,
            clip_on=False, gid="event",
        )  # fmt: skip
        letters = int(slot / _LETTER) - 1
        lines = [line for one in event.happens.split("\n") for line in textwrap.wrap(one, letters)]
        axes.text(place, _TEXT, "\n".join(lines), ha="center", va="bottom", fontsize=SMALL, linespacing=1.15)
        axes.annotate(
            event.time, (place, _TEXT), (0.0, len(lines) * 1.17 * SMALL + 3.0), textcoords="offset points",
            ha="center", va="bottom", fontweight="bold",
        )  # fmt: skip
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(0.0, 1.0)
    axes.set(xticks=[], yticks=[])
    axes.spines[:].set_visible(False)


def _limits(found: Repair) -> tuple[float, float]:
    """Heights that the cut shows [m]: from the rim of the vessel down to below what is melted or hollow."""
    vessel, before = found.scenario.jar.vessel, found.before
    lowest = before.pour_level - _LEAST_CUT
    if "open" in found.goals:
        lowest = min([lowest, *(float(one[:, 1].min()) - _CALLED for one in cavity_outlines(before))])
    return max(lowest - _BELOW_CUT, -vessel.base - _HEAD), vessel.height - vessel.base + _HEAD


def _draw_cut(axes: Axes, found: Repair, length: float, units: System, *, after: bool) -> None:
    """Draw the jar before, with what melts until the air goes off, or after."""
    vessel, before, again = found.scenario.jar.vessel, found.before, found.after
    outer, inner, rim = 0.5 * vessel.diameter, vessel.inner_radius, vessel.height - vessel.base
    sides = [(-outer, 0.0, -inner, rim), (inner, 0.0, outer, rim), (-outer, -vessel.base, outer, 0.0)]
    radius = inner_radius(before)
    level = again.level if after and again is not None else before.level
    draw_vessel(axes, Vessel(pieces=tuple(sides)), length)
    draw_wax(axes, before.r, radius, level, length)
    draw_wick(axes, radius, before.pour_level, length)
    draw_pour_level(axes, radius, before.pour_level, length)
    if after and again is not None:
        dip = before.pour_level - float(level[-1])
        dips = (dip, dip + again.dish, dip + again.dish + again.hole)
        axes.set_title(f"After {blown_text(found.needed)} of hot air, set again", fontweight="bold")
        told = f"{again.verdict}, {length_text(again.dish + again.hole, units)}"
    else:
        off = _melts_until(found)
        if off is not None:
            _draw_melted(axes, found, off, length)
        if "open" in found.goals:
            draw_cavity(axes, before, length, units, low=_limits(found)[0])
        dips = (before.rim_dip, before.half_dip, before.centre_dip)
        axes.set_title("Before", fontweight="bold")
        told = shape_text(before.dish, before.hole, found.band, found.scenario.jar.answers, units)
    levels, names = top_dimensions(before.pour_level, radius, dips, units)
    draw_dimensions(axes, outer, levels, names, length)
    caption(axes, told)


def _draw_melted(axes: Axes, found: Repair, time: float, length: float) -> None:
    """Hatch what has melted at a time since the air was switched on [s]."""
    before = found.before
    depth = np.array([np.interp(time, found.seconds, column) for column in found.depth.T])
    x, top = surface(before.r, inner_radius(before), before.level)
    floor = top - np.interp(np.abs(x), found.r, depth)
    axes.fill_between(
        length * x, length * floor, length * top, facecolor=_MELTED, edgecolor="0.2", hatch=_MELT_HATCH, linewidth=0.6,
        zorder=2.0, gid="melted",
    )  # fmt: skip
