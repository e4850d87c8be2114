"""Curves against time: cooling at named points, and where the heat went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle

from coolsim.answers.catalogue import BY_KEY
from coolsim.model.freezing_curve import END
from coolsim.model.section import Array
from coolsim.report.figures.cut import GLASS, WAX
from coolsim.report.figures.panels import draw_axis, panel_grid, setting_range, spaced, time_axis, vessels
from coolsim.report.figures.section_parts import solved_parts
from coolsim.report.figures.style import (
    DASHES,
    DOTTED,
    HALO,
    HOUR,
    INKS,
    MARKERS,
    PAGE_WIDTH,
    SMALL,
    Runs,
    blank,
    plain_text,
    styled,
    titles_fit,
)
from coolsim.report.wording import hours_minutes, in_units, temperature_text
from coolsim.solve.curves import PATHS, heat_shares, outside_of_wall, temperature_of_point, usual_points
from coolsim.solve.result import Result
from coolsim.units import System

_AFTER_END = 1.02
_POINT = 1 / 72.0
_LETTER = 0.62
_LEVEL = 1.35
_ROOM = "room"
_KEY_WIDTH, _BESIDE = 1.5, 0.35
_SETS, _FREEZES = "0.80", "0.93"
_EVENTS = ("rim_set", "top_closed", "fully_set")
_TITLE_LETTERS = 100


@styled
def draw_cooling_curves(
    runs: Runs,
    *,
    units: System = "metric",
    points: Mapping[str, tuple[float, float]] | None = None,
    into: SubFigure | None = None,
) -> Figure | SubFigure:
    """Draw the temperature at named points against time.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one panel for each, below each other over the same time.
    units : {"metric", "us"}
        Units of the workshop.
    points : mapping of str to (float, float), optional
        Radius and height above the bottom of the wax [m] of the points, by name; the usual ones if left out or empty.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        The points, the outside of the vessel and the room, with a drawing of their places beside them; bands of the
        temperatures at which the wax sets, and goes on to freeze; upright lines where the rim has set, the top has
        closed and all has set.

    Raises
    ------
    ValueError
        If there is no run, one holds no wax, or a point is in the air.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_cooling_curves, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_cooling_curves([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'time since the pour [h:mm]'
    """
    longest = _longest(runs)
    # The last name must end before the page does.
    for _, result in runs:
        for time, _, text in reached_events(result):
            longest = max(longest, time + HOUR * _width(text, longest))
    scale, offset, degree = in_units("temperature", units)
    wall = vessels(result for _, result in runs)
    wall = f"{'wall' if ' or ' in wall else wall or 'wall'} outside"
    curves = [
        {name: scale * values + offset for name, values in _temperatures(result, points, wall).items()}
        for _, result in runs
    ]
    highest = max(float(values.max()) for found in curves for values in found.values())
    lowest = min(float(values.min()) for found in curves for values in found.values())
    names = [*dict.fromkeys(name for found in curves for name in found if name != _ROOM), _ROOM]
    figure = blank(height=2.6 * len(runs) + 0.9, into=into)
    widths = [PAGE_WIDTH - _KEY_WIDTH, _KEY_WIDTH]
    panels = figure.subplots(len(runs), 2, squeeze=False, sharex="col", width_ratios=widths)
    handles: dict[str, Line2D] = {}
    for (axes, key), (title, result), found in zip(panels, runs, curves, strict=True):
        hours = result.time / HOUR
        bands = _draw_setting_range(axes, result, units)
        for name, values in found.items():
            number = names.index(name)
            (handles[name],) = axes.plot(
                hours, values, label=plain_text(name), gid=name, **_look(number), markersize=3.2,
                marker=MARKERS[number % len(MARKERS)],
                markevery=_marked(hours, longest / HOUR, number % len(MARKERS)),
            )  # fmt: skip
        time_axis(axes, longest)
        axes.set_ylabel(f"temperature [{degree}]")
        margin = 0.04 * (highest - lowest)
        axes.set_ylim(lowest - margin, highest + margin)
        levels = _event_lines(axes, result, longest) if result.events is not None else 0
        axes.set_title(
            titles_fit(title, _TITLE_LETTERS), loc="left", fontweight="bold", pad=4 + levels * _LEVEL * SMALL
        )
        _end_of_run(axes, result, longest)
        _draw_places(key, result, {name: handles[name] for name in found}, points, units)
    panels[0, 1].set_title("where the curves are", fontsize=SMALL)
    figure.legend(
        handles=[*(handles[name] for name in names), *bands], loc="outside lower center", ncols=4, handlelength=3.4
    )
    return figure


def _draw_setting_range(axes: Axes, result: Result, units: System) -> list[Patch]:
    """Draw bands of the temperatures at which the wax sets, and freezes further; return what the key shows of them."""
    scale, offset, _ = in_units("temperature", units)
    celsius = setting_range(result)
    starts, sets, ends = (scale * one + offset for one in celsius)
    for low, high, colour, gid in ((sets, starts, _SETS, "sets"), (ends, sets, _FREEZES, "freezes")):
        axes.axhspan(low, high, facecolor=colour, edgecolor="none", zorder=0, gid=gid)
    told = " to ".join(dict.fromkeys(temperature_text(one, units) for one in celsius[:2]))
    axes.annotate(
        f"here it sets: {told}", (1.0, starts), xycoords=("axes fraction", "data"), xytext=(-3, 2),
        textcoords="offset points", ha="right", va="bottom", fontsize=SMALL, path_effects=list(HALO),
    )  # fmt: skip
    return [
        Patch(facecolor=_SETS, label="here it sets"),
        Patch(facecolor=_FREEZES, label=f"goes on freezing, to {100.0 * (1.0 - END):.0f} % solid"),
    ]


def _draw_places(
    axes: Axes,
    result: Result,
    handles: Mapping[str, Line2D],
    points: Mapping[str, tuple[float, float]] | None,
    units: System,
) -> None:
    """Draw the jar cut through its axis, with the sign of each curve at its place; that of the room is beside it."""
    length, wax = in_units("length", units)[0], result.required_wax()
    parts = [part for part in solved_parts(result, 0.0) if part.what in ("wax", "glass")]
    for part in parts:
        x, z = length * part.x[[0, -1]], length * (part.z[[0, -1]] - wax.bottom)
        colour = WAX if part.what == "wax" else GLASS
        axes.add_patch(
            Rectangle((x[0], z[0]), x[1] - x[0], z[1] - z[0], facecolor=colour, edgecolor="black", linewidth=0.5)
        )
    outside, half = max(float(part.x[-1]) for part in parts), 0.5 * float(wax.z_edges[-1])
    places = points or usual_points(wax)
    for name, handle in handles.items():
        radius, height = places.get(name, ((1.0 + _BESIDE) * outside if name == _ROOM else outside, half))
        axes.plot(
            length * radius, length * height, linestyle="none", marker=handle.get_marker(), color=handle.get_color(),
            markersize=5.5, markeredgecolor="white", markeredgewidth=0.5, zorder=3, clip_on=False, gid=name,
        )  # fmt: skip
    draw_axis(axes)
    axes.set_xlim(-1.05 * length * outside, (1.05 + _BESIDE) * length * outside)
    axes.set_aspect("equal")
    axes.set_axis_off()


def _look(number: int) -> dict[str, Any]:
    """Colour and dashes of a line; no two of the first 36 are alike."""
    return {"color": INKS[number % len(INKS)], "linestyle": DASHES[(number + number // len(INKS)) % len(DASHES)]}


def _longest(runs: Runs) -> float:
    """End of the axis of time [s]; ValueError without runs."""
    if not runs:
        raise ValueError("curves need at least one run")
    return _AFTER_END * max(float(result.time[-1]) for _, result in runs)


def _temperatures(result: Result, points: Mapping[str, tuple[float, float]] | None, wall: str) -> dict[str, Array]:
    """Temperatures by name [°C]."""
    places = points or usual_points(result.required_wax())
    found = {name: temperature_of_point(result, r, z) for name, (r, z) in places.items()}
    outside = outside_of_wall(result)
    if outside is not None:
        found[wall] = outside
    found[_ROOM] = np.asarray(result.history.room)
    return found


def _marked(hours: Array, longest: float, number: int) -> list[int]:
    """Choose the steps that get markers: evenly in time, each curve a little later than the one before."""
    wanted = longest * (np.arange(8) + 0.2 + 0.6 * number / len(INKS)) / 8
    steps = np.searchsorted(hours, wanted[wanted <= hours[-1]])
    return sorted({int(step) for step in steps if step < len(hours)})


def _event_lines(axes: Axes, result: Result, longest: float) -> int:
    """Draw upright lines at the events, named above the axes on as many levels as needed; return how many."""
    ends: list[float] = []
    # From the last to the first: of two names that are too close the earlier goes up, so its line crosses neither.
    for time, field, text in reversed(reached_events(result)):
        hour = time / HOUR
        end = hour + _width(text, longest)
        # Clear of the names beside it, and of the lines that go on up to higher ones.
        level = next((level for level in range(len(ends)) if end <= min(ends[level:])), len(ends))
        ends[level : level + 1] = [hour]
        axes.axvline(hour, color="black", linewidth=0.9, linestyle=DOTTED, zorder=1, gid=field)
        axes.annotate(
            text, xy=(hour, 1.0), xycoords=("data", "axes fraction"), xytext=(0, 2 + level * _LEVEL * SMALL),
            textcoords="offset points", ha="left", va="bottom", fontsize=SMALL, annotation_clip=False,
            arrowprops={
                "arrowstyle": "-", "linestyle": DOTTED, "linewidth": 0.9, "shrinkA": 0, "shrinkB": 0,
                "relpos": (0.0, 0.0),
            },
        )  # fmt: skip
    return len(ends)


def reached_events(result: Result, fields: Sequence[str] = _EVENTS) -> list[tuple[float, str, str]]:
    """List the events that a run has reached: time [s], field of `Events` or "change", and name with the time."""
    if result.events is None:
        return []
    times = [(getattr(result.events, field), field, BY_KEY[f"{field}_s"].called) for field in fields]
    times += [(time, "change", happens) for time, happens in result.changes if time < result.time[-1]]
    return sorted((time, field, f"{name} {hours_minutes(time)}") for time, field, name in times if time is not None)


def _width(text: str, longest: float) -> float:
    """Width of a name above a panel as wide as the page, with a letter's space behind it [h]."""
    return (len(text) + 1) * _LETTER * SMALL * _POINT / (PAGE_WIDTH - _KEY_WIDTH - 1.0) * longest / HOUR


def _end_of_run(axes: Axes, result: Result, longest: float) -> None:
    """Say where a run ends, if another one goes on visibly longer."""
    end = float(result.time[-1])
    if end > 0.93 * longest:
        return
    why = "cool, run ends" if result.ended == "cool" else "run ends"
    axes.axvline(end / HOUR, color="0.45", linewidth=0.7, zorder=1)
    axes.text(
        end / HOUR, 0.97, f" {why}\n {hours_minutes(end)}", transform=axes.get_xaxis_transform(), va="top",
        fontsize=SMALL, color="0.25",
    )  # fmt: skip


@styled
def draw_heat_shares(runs: Runs, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw which shares of the heat lost so far left through top, side and base.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one panel for each.
    units : {"metric", "us"}
        Units of the workshop; shares have none, so it makes no difference.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        Three curves for each run, named at their ends with the share of the whole run.

    Raises
    ------
    ValueError
        If there is no run.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_heat_shares, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_heat_shares([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'time since the pour [h:mm]'
    """
    longest = _longest(runs)
    columns = min(len(runs), 2)
    figure = blank(width=PAGE_WIDTH if columns > 1 else 6.0, height=2.9 * -(-len(runs) // columns) + 0.3, into=into)
    panels, grid = panel_grid(figure, len(runs), columns)
    for axes, (title, result) in zip(panels, runs, strict=True):
        shares = heat_shares(result)
        ends = {path: float(100.0 * shares[path][-1]) for path in PATHS}
        named = sorted((path for path in PATHS if np.isfinite(ends[path])), key=lambda path: ends[path])
        apart = spaced([ends[path] for path in named], line=7.5, low=-np.inf, high=np.inf)
        heights = dict(zip(named, apart, strict=True))
        for number, path in enumerate(PATHS):
            look = _look(number)
            axes.plot(result.time / HOUR, 100.0 * shares[path], gid=path, **look)
            if path in heights:
                axes.annotate(
                    f"{path} {ends[path]:.0f} %", xy=(result.time[-1] / HOUR, heights[path]), xytext=(4, 0),
                    textcoords="offset points", va="center", fontsize=SMALL, color=INKS[number], fontweight="bold",
                    path_effects=list(HALO), annotation_clip=False,
                )  # fmt: skip
        time_axis(axes, longest * 1.16)
        axes.set_ylim(0.0, 100.0)
        axes.grid(True, axis="y", linewidth=0.3, color="0.8")
        axes.set_title(titles_fit(title, 50), loc="left", fontweight="bold")
    for axes in grid[:, 0]:
        axes.set_ylabel("share of the heat lost so far [%]")
    return figure
