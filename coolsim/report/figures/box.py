"""A box of jars from above: when each jar sets, how flat it gets, and how the kinds of place cool."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Rectangle
from matplotlib.ticker import Locator, MaxNLocator, MultipleLocator

from coolsim.answers.catalogue import BY_KEY
from coolsim.model.cell import BOX_AIR
from coolsim.model.places import Place
from coolsim.report.figures.panels import clock, round_step, time_axis
from coolsim.report.figures.style import (
    DASHES,
    HALO,
    HOUR,
    INKS,
    NORMAL,
    PAGE_WIDTH,
    SMALL,
    colours,
    plain_text,
    styled,
    titles_fit,
)
from coolsim.report.wording import in_units, length_text
from coolsim.solve.together import BoxResult
from coolsim.units import System

_LIGHT = 0.6
_LETTERS = 20.0
_MOST_TICKS = 6
_TICK_STEPS = (1 / 60, 1 / 12, 1 / 6, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0)
_PLAN_WIDTH, _LOWEST, _TALLEST, _AROUND, _CURVES_HEIGHT = 4.0, 1.5, 3.6, 1.5, 2.5
_BESIDE = 0.04
_MOST_CURVES = len(INKS) - 2


@styled
def draw_box(found: BoxResult, *, units: System = "metric") -> Figure:
    """Draw the plan of a box, and the temperatures in it.

    Parameters
    ----------
    found : BoxResult
        The run.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        The box from above twice: when each jar is fully set, and its dish and hole; and below, against time,
        the hottest wax of each kind of place (the most and the least exposed ones, if there are many), the air over
        the jars and the room.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, built_in_pair, draw_box, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=2, columns=3, length=0.29, width=0.195, pitch_along=0.09, pitch_across=0.09)
    >>> figure = draw_box(simulate_box(replace(quick, places=places)))
    >>> figure.axes[0].get_title().splitlines()[0]
    'fully set [h:mm]'
    """
    places = found.places
    plan = min(max(_PLAN_WIDTH * places.width / places.length, _LOWEST), _TALLEST)
    figure = Figure(figsize=(PAGE_WIDTH, plan + _AROUND + _CURVES_HEIGHT), layout="constrained")
    panels = figure.subplot_mosaic([["set", "flat"], ["curves", "curves"]], height_ratios=[plan + 0.5, _CURVES_HEIGHT])
    # As large as the shorter of the letters' own size and what fits a jar.
    beside = _BESIDE * max(places.length, places.width)
    scale = min(_PLAN_WIDTH / (places.length + 4.0 * beside), plan / (places.width + 3.0 * beside))
    letters = min(NORMAL, _LETTERS * scale * found.diameter)
    for name, shown in (("set", _set_times(found)), ("flat", _depth(found, units))):
        bar = _plan(panels[name], found, shown, units, letters=letters, wide=_PLAN_WIDTH / plan)
        if bar is not None:
            key = figure.colorbar(bar, ax=panels[name], shrink=0.85, aspect=18, pad=0.02)
            key.locator = shown.locator
            key.update_ticks()
            key.ax.yaxis.set_major_formatter(shown.tick)
    lines = _curves(panels["curves"], found, units)
    figure.legend(handles=lines, loc="outside lower center", ncols=3, handlelength=3.4)
    figure.suptitle(titles_fit(found.name, 90), fontweight="bold", fontsize=NORMAL)
    return figure


@dataclass(frozen=True, kw_only=True)
class _OnPlan:
    """What a plan shows of each place: its value, what is written there, and the ticks of the scale."""

    title: str
    values: dict[Place, float | None]
    texts: dict[Place, str]
    tick: Callable[[float, float], str]
    locator: Locator


def _set_times(found: BoxResult) -> _OnPlan:
    set_at = {place: found.at(place).required_events().fully_set for kind in found.kinds for place in kind.places}
    values = {place: None if time is None else time / HOUR for place, time in set_at.items()}
    known = [hours for hours in values.values() if hours is not None] or [0.0]
    return _OnPlan(
        title=f"{BY_KEY['fully_set_s'].called} [h:mm]",
        values=values,
        texts={place: clock(hours) for place, hours in values.items() if hours is not None},
        tick=clock,
        locator=MultipleLocator(round_step(max(known) - min(known), _TICK_STEPS, _MOST_TICKS)),
    )


def _depth(found: BoxResult, units: System) -> _OnPlan:
    length, _, unit = in_units("length", units)
    values: dict[Place, float | None] = {}
    texts: dict[Place, str] = {}
    for kind, result in zip(found.kinds, found.results, strict=True):
        top = None if result.required_events().top_final is None else result.shrinkage
        values |= dict.fromkeys(kind.places, None if top is None else length * top.depth)
        if top is not None:
            dish, hole = (length_text(one, units).rpartition(" ")[0] for one in (top.dish, top.hole))
            texts |= dict.fromkeys(kind.places, f"{dish} + {hole}")
    return _OnPlan(
        title=f"{BY_KEY['dish_m'].called} + {BY_KEY['hole_m'].called} [{unit}] (estimates)",
        values=values,
        texts=texts,
        tick=lambda value, _: f"{value:.3g}",
        locator=MaxNLocator(_MOST_TICKS),
    )


def _plan(
    axes: Axes, found: BoxResult, shown: _OnPlan, units: System, *, letters: float, wide: float
) -> ScalarMappable | None:
    """Draw the jars from above; return their scale of colour if they differ."""
    places, values, length = found.places, shown.values, in_units("length", units)[0]
    known = [value for value in values.values() if value is not None]
    low, high = (min(known), max(known)) if known else (0.0, 1.0)
    scale = Normalize(low, high if high > low else low + max(abs(low), 1.0) * 1e-3)
    across, along = length * places.width, length * places.length
    axes.add_patch(Rectangle((0.0, 0.0), along, across, fill=False, linewidth=2.0, edgecolor="0.45", gid="wall"))
    columns = [places.middle((1, column))[0] for column in range(1, places.columns + 1)]
    rows = [places.middle((row, 1))[1] for row in range(1, places.rows + 1)]
    between: dict[str, Any] = {"color": "0.6", "linewidth": 1.0, "gid": "divider"}
    for one, other in itertools.pairwise(columns) if places.dividers else ():
        axes.plot([length * (0.5 * places.length + 0.5 * (one + other))] * 2, [0.0, across], **between)
    for one, other in itertools.pairwise(rows) if places.dividers else ():
        axes.plot([0.0, along], [length * (0.5 * places.width + 0.5 * (one + other))] * 2, **between)
    for place in places:
        x, y = (length * one for one in places.middle(place))
        centre = (0.5 * along + x, 0.5 * across + y)
        value = values.get(place)
        colour = "none" if value is None else colours()(scale(value))
        empty = place in places.empty
        axes.add_patch(
            Circle(
                centre, 0.5 * length * found.diameter, facecolor=colour, edgecolor="0.2", linewidth=0.8,
                linestyle=":" if empty else "-", gid=f"jar-{place[0]}-{place[1]}",
            )
        )  # fmt: skip
        written = "empty" if empty else "not set" if value is None else shown.texts[place]
        dark = value is not None and scale(value) < _LIGHT
        axes.text(*centre, written, ha="center", va="center", color="white" if dark else "black", fontsize=letters)
    beside = _BESIDE * max(along, across)
    numbers = [(0.5 * along + length * x, across + beside, number) for number, x in enumerate(columns, start=1)]
    numbers += [(-beside, 0.5 * across + length * y, number) for number, y in enumerate(rows, start=1)]
    for x, y, number in numbers:
        axes.text(x, y, str(number), ha="center", va="center", fontsize=SMALL)
    # The panel keeps its shape whatever that of the box.
    half = max(0.5 * along + 2.0 * beside, 0.5 * (across + 3.0 * beside) * wide)
    axes.set_xlim(0.5 * along - half, 0.5 * along + half)
    axes.set_ylim(across + 2.0 * beside, -beside)
    axes.set_aspect("equal")
    axes.set(xticks=[], yticks=[])
    axes.spines[:].set_visible(False)
    inside = f"{length_text(places.length, units)} × {length_text(places.width, units)} inside"
    axes.set_title(f"{shown.title}\nrows and columns from above, {inside}", fontweight="normal")
    return ScalarMappable(scale, colours()) if known and high > low else None


def _curves(axes: Axes, found: BoxResult, units: System) -> list[Line2D]:
    factor, offset, degree = in_units("temperature", units)
    kinds = list(zip(found.kinds, found.results, strict=True))
    if len(kinds) > _MOST_CURVES:
        by_time = sorted(kinds, key=lambda one: one[1].required_events().fully_set or math.inf)
        kinds = [by_time[0], by_time[-1]]
    time = found.history.time / HOUR
    lines: list[Line2D] = []
    for number, (kind, result) in enumerate(kinds):
        lines += axes.plot(
            time, factor * result.hottest_wax() + offset, color=INKS[number], linestyle=DASHES[number],
            label=plain_text(f"hottest wax, {kind.name}"), gid=f"wax-{kind.name}",
        )  # fmt: skip
    if BOX_AIR in found.nodes:
        air = found.history.nodes[:, found.nodes.index(BOX_AIR)]
        lines += axes.plot(
            time, factor * air + offset, color=INKS[-2], linestyle=DASHES[-2], label="air over the jars", gid="air"
        )
    room = factor * np.asarray(found.history.room) + offset
    lines += axes.plot(time, room, color=INKS[-1], linestyle=DASHES[-1], label="room", gid="room")
    for when, happens in found.results[0].changes:
        if when < found.history.time[-1]:
            axes.axvline(when / HOUR, color="0.6", linewidth=0.8, linestyle=":", zorder=0, gid="change")
            axes.text(
                when / HOUR, 0.99, happens, transform=axes.get_xaxis_transform(), rotation=90, fontsize=SMALL,
                ha="right", va="top", color="0.3", path_effects=HALO,
            )  # fmt: skip
    time_axis(axes, float(found.history.time[-1]))
    axes.set_ylabel(f"temperature [{degree}]")
    return lines
