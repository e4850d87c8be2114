"""A box of jars from above: when the top of each closes and when each is set, and where the box lets heat out."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Colormap, LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Patch, Polygon, Rectangle

from coolsim.model.cell import FLAPS_INSIDE
from coolsim.model.places import Place
from coolsim.overview import time_cell
from coolsim.report.figures.panels import time_axis
from coolsim.report.figures.section_parts import board_columns
from coolsim.report.figures.style import DASHES, DOTTED, HALO, HOUR, LARGE, SMALL, blank, room_in, styled, titles_fit
from coolsim.report.wording import length_text
from coolsim.solve.together import BoxResult
from coolsim.units import System

_GREYS: Colormap = LinearSegmentedColormap.from_list("time", ["#ffffff", "#3a3a3a"])
_BOARD, _BOARD_HATCH, _NOT_SET_HATCH = "#d8c8a8", "//////", "xxx"
_DARK = 0.62
_LETTERS = 20.0
# In inches: the widest and tallest plan, what stands over and under it, and the scale of time with the key.
_PLAN_WIDTH, _TALLEST, _LOWEST, _AROUND, _SCALE = 8.5, 4.6, 1.3, 0.75, 1.55
_FLAP, _NUMBER, _RING = 0.06, 0.035, 0.1
_BAND, _CLOSED, _SET, _HIGH = 0.4, 0.62, 0.88, 1.1
_AFTER_END, _STEPS = 1.04, 500
_SAME_TIME, _BEFORE = 60.0, 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class _Times:
    """When the top of each jar closes and when it is fully set [s]; None where the run ended before."""

    closed: dict[Place, float | None]
    fully_set: dict[Place, float | None]

    @property
    def known(self) -> list[float]:
        return [time for times in (self.closed, self.fully_set) for time in times.values() if time is not None]

    @property
    def grey(self) -> Normalize:
        """From white to dark [s]: the first jar that sets is light, the last one dark."""
        known = [time for time in self.fully_set.values() if time is not None] or self.known or [HOUR]
        first, last = min(known), max(known)
        return Normalize(first - max(_BEFORE * (last - first), _SAME_TIME), last)

    @property
    def last(self) -> set[Place]:
        """Places that are fully set last, unless all are alike or one is not set."""
        times = [time for time in self.fully_set.values() if time is not None]
        if len(times) < len(self.fully_set) or max(times) - min(times) < _SAME_TIME:
            return set()
        return {place for place, time in self.fully_set.items() if time == max(times)}


@styled
def draw_box(found: BoxResult, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the plan of a box with the times of its jars.

    Parameters
    ----------
    found : BoxResult
        The run.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        The box from above, to scale: in each jar when its top has closed and below it when it is fully set, the darker
        the later, with a ring round those that are last; the board, its flaps, and a mark on the wall beside each side
        of a jar that faces it. Below it the same grey against the time since the pour, with a mark for each kind of
        place, and what happens to the box on the way.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from coolsim import Places, built_in_pair, draw_box, simulate_box, with_overrides
    >>> quick = with_overrides(built_in_pair()[1], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> places = Places(rows=2, columns=3, length=0.29, width=0.195, pitch_along=0.09, pitch_across=0.09)
    >>> figure = draw_box(simulate_box(replace(quick, places=places)))
    >>> figure.axes[1].get_xlabel()
    'time since the pour [h:mm]'
    """
    events = {place: found.at(place).required_events() for kind in found.kinds for place in kind.places}
    times = _Times(
        closed={place: one.top_closed for place, one in events.items()},
        fully_set={place: one.fully_set for place, one in events.items()},
    )
    grey = times.grey
    around = _beyond(found) + _NUMBER * max(found.places.length, found.places.width)
    width, height = (2.0 * around + one for one in (found.places.length, found.places.width))
    plan = min(max(_PLAN_WIDTH * height / width, _LOWEST), _TALLEST)
    figure = blank(height=plan + _AROUND + _SCALE, into=into)
    if into is not None:
        plan = max(room_in(into)[1] - _AROUND - _SCALE, 0.5 * _LOWEST)
    axes, scale = figure.subplots(2, 1, height_ratios=[plan + _AROUND, _SCALE - 0.6])
    letters = min(LARGE, _LETTERS * found.diameter * min(_PLAN_WIDTH / width, plan / height))
    _draw_plan(axes, found, times, grey, letters=letters)
    inside = f"{length_text(found.places.length, units)} × {length_text(found.places.width, units)} inside"
    axes.set_title(titles_fit(found.name or "A box", 80, lines=1), fontweight="bold", pad=18.0)
    axes.annotate(
        f"from above, {inside}; in each jar when its top has closed and, below, when it is fully set [h:mm]",
        (0.5, 1.0), (0.0, 5.0), xycoords="axes fraction", textcoords="offset points", ha="center", fontsize=SMALL,
    )  # fmt: skip
    _draw_scale(scale, found, times, grey)
    handles = _keys(found, times)
    figure.legend(handles=handles, loc="outside lower center", ncols=-(-len(handles) // 2), handlelength=2.2)
    return figure


def _beyond(found: BoxResult) -> float:
    """How far out the numbers of rows and columns stand: beyond board and open flaps [m]."""
    flap = 0.0 if FLAPS_INSIDE in found.nodes else _FLAP
    return _board(found) + (flap + _NUMBER) * max(found.places.length, found.places.width)


def _board(found: BoxResult) -> float:
    """Thickness of the wall of the box [m]; 0 if no jar stands beside it."""
    for result in found.results:
        columns = board_columns(result)
        if columns is not None:
            edges = result.grid.r_edges
            return float(edges[columns[1] + 1] - edges[columns[0]])
    return 0.0


def _draw_plan(axes: Axes, found: BoxResult, times: _Times, grey: Normalize, *, letters: float) -> None:
    """Draw the box from above in millimetres, its first row above."""
    along, across = 1e3 * found.places.length, 1e3 * found.places.width
    board, flap = 1e3 * _board(found), _FLAP * max(along, across)
    _draw_flaps(axes, along, across, board=board, flap=flap, closed=FLAPS_INSIDE in found.nodes)
    inside = np.array([(0.0, 0.0), (along, 0.0), (along, across), (0.0, across), (0.0, 0.0)])
    outside = inside + board * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)])
    axes.add_patch(
        Polygon(
            np.concatenate([outside, inside[::-1]]), facecolor=_BOARD, edgecolor="0.35", hatch=_BOARD_HATCH,
            linewidth=0.0, zorder=1.5, gid="board",
        )
    )  # fmt: skip
    for corners in (inside, outside):
        axes.plot(*corners.T, color="black", linewidth=0.8, zorder=1.6, gid="wall")
    _draw_dividers(axes, found)
    for place in found.places:
        _draw_jar(axes, found, place, times, grey, letters=letters)
    beyond = 1e3 * _beyond(found)
    for number in range(1, found.places.columns + 1):
        _number(axes, number, _middle(found, (1, number))[0], across + beyond)
    for number in range(1, found.places.rows + 1):
        _number(axes, number, -beyond, _middle(found, (number, 1))[1])
    edge = beyond + _NUMBER * max(along, across)
    axes.set_xlim(-edge, along + edge)
    axes.set_ylim(across + edge, -beyond)
    axes.set_aspect("equal")
    axes.set(xticks=[], yticks=[])
    axes.spines[:].set_visible(False)


def _number(axes: Axes, number: int, x: float, y: float) -> None:
    axes.text(x, y, str(number), ha="center", va="center", fontsize=SMALL)


def _middle(found: BoxResult, place: Place) -> tuple[float, float]:
    """Where the axis of a jar is, from the upper left corner of the box [mm]."""
    along, across = found.places.middle(place)
    return 1e3 * (0.5 * found.places.length + along), 1e3 * (0.5 * found.places.width + across)


def _draw_flaps(axes: Axes, along: float, across: float, *, board: float, flap: float, closed: bool) -> None:
    """Draw where closed flaps meet over the jars, or the beginnings of flaps that are folded out."""
    if closed:
        half = 0.5 * min(along, across)
        seam = [(0.0, half), (along, half)] if along >= across else [(half, 0.0), (half, across)]
        axes.plot(*np.transpose(seam), color="0.35", linewidth=1.2, linestyle=DASHES[1], zorder=1.8, gid="flaps meet")
        return
    low, high, slant = -board, flap, 0.3 * flap
    right, lower = along + board, across + board
    for corners in (
        [(low, low), (low + slant, low - high), (right - slant, low - high), (right, low)],
        [(low, lower), (low + slant, lower + high), (right - slant, lower + high), (right, lower)],
        [(low, low), (low - high, low + slant), (low - high, lower - slant), (low, lower)],
        [(right, low), (right + high, low + slant), (right + high, lower - slant), (right, lower)],
    ):
        axes.add_patch(
            Polygon(
                corners, facecolor="#f1ead9", edgecolor="0.35", linewidth=0.8, linestyle=DASHES[1], zorder=1.2,
                gid="flap",
            )
        )  # fmt: skip


def _draw_dividers(axes: Axes, found: BoxResult) -> None:
    places = found.places
    if not places.dividers:
        return
    columns = [_middle(found, (1, column))[0] for column in range(1, places.columns + 1)]
    rows = [_middle(found, (row, 1))[1] for row in range(1, places.rows + 1)]
    lines = [([0.5 * (one + other)] * 2, [0.0, 1e3 * places.width]) for one, other in itertools.pairwise(columns)]
    lines += [([0.0, 1e3 * places.length], [0.5 * (one + other)] * 2) for one, other in itertools.pairwise(rows)]
    for x, y in lines:
        axes.plot(x, y, color="0.45", linewidth=1.4, zorder=1.4, gid="divider")


def _draw_jar(axes: Axes, found: BoxResult, place: Place, times: _Times, grey: Normalize, *, letters: float) -> None:
    centre, radius = _middle(found, place), 500.0 * found.diameter
    if place in found.places.empty:
        axes.add_patch(
            Circle(
                centre, radius, facecolor="white", edgecolor="0.35", linewidth=0.9, linestyle=DOTTED, zorder=2.0,
                gid=f"jar-{place[0]}-{place[1]}",
            )
        )  # fmt: skip
        axes.text(*centre, "empty", ha="center", va="center", fontsize=letters, zorder=4)
        return
    closed, fully_set = times.closed[place], times.fully_set[place]
    axes.add_patch(
        Circle(
            centre, radius, facecolor="white" if fully_set is None else _GREYS(grey(fully_set)), edgecolor="black",
            linewidth=0.9, hatch=_NOT_SET_HATCH if fully_set is None else None, zorder=2.0,
            gid=f"jar-{place[0]}-{place[1]}",
        )
    )  # fmt: skip
    if place in times.last:
        axes.add_patch(
            Circle(
                centre,
                radius + 1e3 * _ring(found),
                fill=False,
                edgecolor="black",
                linewidth=2.4,
                zorder=2.1,
                gid="last",
            )
        )
    dark = fully_set is not None and grey(fully_set) > _DARK
    told = "not set" if fully_set is None else time_cell(fully_set)
    first = "not closed" if closed is None else time_cell(closed)
    for up, text, weight in ((0.7, first, "normal"), (-0.7, told, "bold")):
        axes.annotate(
            text, centre, (0.0, up * letters), textcoords="offset points", ha="center", va="center", fontsize=letters,
            zorder=4, color="white" if dark else "black", fontweight=weight,
            path_effects=list(HALO) if fully_set is None else [],
        )  # fmt: skip
    for beside, way in zip(found.places.sides(place), ((0, -1), (0, 1), (-1, 0), (1, 0)), strict=True):
        if beside[0] is None:
            _mark_exposed(axes, found, centre, way, size=0.75 * letters)


def _ring(found: BoxResult) -> float:
    """How far outside of a jar its ring goes, however close the neighbours stand [m]."""
    places = found.places
    sizes = [(places.columns, places.pitch_along), (places.rows, places.pitch_across)]
    nearest = min([pitch for count, pitch in sizes if count > 1], default=2.0 * found.diameter)
    return max(min(_RING * 0.5 * found.diameter, 0.25 * (nearest - found.diameter)), 0.0)


def _mark_exposed(
    axes: Axes, found: BoxResult, centre: tuple[float, float], way: tuple[int, int], *, size: float
) -> None:
    """Mark the wall of the box where a jar faces it on the side of a way (right and down are positive)."""
    half = 0.5e3 * _board(found)
    x = centre[0] if way[0] == 0 else -half if way[0] < 0 else 1e3 * found.places.length + half
    y = centre[1] if way[1] == 0 else -half if way[1] < 0 else 1e3 * found.places.width + half
    marker = {(0, -1): "^", (0, 1): "v", (-1, 0): "<", (1, 0): ">"}[way]
    axes.plot(
        [x], [y], linestyle="none", marker=marker, markersize=size, markerfacecolor="white", markeredgecolor="black",
        markeredgewidth=0.9, zorder=3, clip_on=False, gid="exposed",
    )  # fmt: skip


def _draw_scale(axes: Axes, found: BoxResult, times: _Times, grey: Normalize) -> None:
    """Draw the grey of all times against time, with a mark for each kind of place, and the changes on the way."""
    run = float(found.history.time[-1])
    changes = [(time, what) for time, what in found.results[0].changes if time < run]
    end = _AFTER_END * max([*times.known, *(time for time, _ in changes)], default=run)
    time_axis(axes, end)
    edges = np.linspace(0.0, end, _STEPS + 1)
    if any(time is not None for time in times.fully_set.values()):
        axes.pcolormesh(
            edges / HOUR, [0.0, _BAND], 0.5 * (edges[1:] + edges[:-1])[None, :], cmap=_GREYS, norm=grey, gid="scale",
            edgecolors="face", linewidth=0.2,
        )  # fmt: skip
    axes.add_patch(Rectangle((0.0, 0.0), end / HOUR, _BAND, fill=False, edgecolor="black", linewidth=0.8))
    for gid, height, marker, face, of in (
        ("closed", _CLOSED, "o", "white", times.closed),
        ("set", _SET, "s", "black", times.fully_set),
    ):
        reached = {of[kind.places[0]] for kind in found.kinds}
        for time in sorted(one for one in reached if one is not None):
            axes.plot(
                [time / HOUR], [height], linestyle="none", marker=marker, markersize=5.5, markerfacecolor=face,
                markeredgecolor="black" if face == "white" else "white", gid=gid,
            )  # fmt: skip
    for number, (time, what) in enumerate(changes):
        axes.axvline(time / HOUR, color="0.3", linewidth=1.0, linestyle=DOTTED, gid="change")
        side = "left" if time < 0.5 * end else "right"
        axes.annotate(
            what, (time / HOUR, 1.0), (3.0 if side == "left" else -3.0, 2.0 + number * 1.3 * SMALL),
            xycoords=("data", "axes fraction"), textcoords="offset points", ha=side, va="bottom", fontsize=SMALL,
        )  # fmt: skip
    axes.set_ylim(0.0, _HIGH)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)


def _keys(found: BoxResult, times: _Times) -> list[Patch | Line2D]:
    def mark(marker: str, face: str, label: str) -> Line2D:
        return Line2D(
            [], [], linestyle="none", marker=marker, markersize=6, markerfacecolor=face, color="black", label=label
        )

    handles: list[Patch | Line2D] = [mark("o", "white", "top closed, one mark for each kind of place")]
    if any(time is not None for time in times.fully_set.values()):
        handles.append(mark("s", "black", "fully set, likewise"))
    if times.last:
        ring = mark("o", "none", "ring: the last to be fully set")
        ring.set(markersize=9, markeredgewidth=2.2)
        handles.append(ring)
    handles.append(mark(">", "white", "side of a jar that faces the wall"))
    handles.append(Patch(facecolor=_BOARD, edgecolor="0.35", hatch=_BOARD_HATCH, label="board of the box"))
    if FLAPS_INSIDE in found.nodes:
        handles.append(
            Line2D([], [], color="0.35", linewidth=1.2, linestyle=DASHES[1], label="flaps closed: they meet")
        )
    else:
        handles.append(
            Patch(facecolor="#f1ead9", edgecolor="0.35", linestyle=DASHES[1], label="flaps open, only their beginnings")
        )
    if found.places.dividers:
        handles.append(Line2D([], [], color="0.45", linewidth=1.4, label="divider"))
    return handles
