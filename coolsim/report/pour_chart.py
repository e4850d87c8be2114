"""The page to pin to the wall: how hot to pour in which room, bare beside boxed."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle
from matplotlib.ticker import MaxNLocator

from coolsim.errors import OutputError
from coolsim.model.section import Array
from coolsim.report.figure import HALO, LARGE, SMALL, blank, plain_text, styled, titles_fit
from coolsim.report.pour_text import PLACES, own_scenario
from coolsim.report.wording import CAUTION, difference_text, hours_minutes, in_units, temperature_text
from coolsim.studies.pour import Choice, Limit, Place, PourStudy
from coolsim.units import System

_HEIGHT = 7.3
_FOOT = 0.2
_LETTERS = 168
_TITLE_LETTERS = 70
_SET_STEPS = (5, 10, 15, 20, 30, 60, 120, 240)
_MOST_SET_LINES = 6
_FLATNESS_LINES = 4
_LEAST_BETWEEN = 0.02
_LABEL_HEIGHT = 0.85
_ROUND_OFF = 1e-9
_LINE, _HATCH = "#222222", "#8a8a8a"
_LOOKS: dict[Limit, tuple[str, str, str]] = {
    "too near freezing": ("#f1f1f1", "..", "too near freezing"),
    "wax maker's limit": ("#d4d4d4", "xx", "above the wax maker's limit"),
    "fragrance limit": ("#d4d4d4", "++", "above the fragrance's limit"),
    "jar shock": ("#dddddd", "//", "too hot for the jar (shock)"),
    "skin stays": ("#ebebeb", "\\\\", "first skin at the glass stays"),
    "too slow": ("#e4e4e4", "--", "not set in the time allowed"),
    "failed": ("#ffffff", "oo", "could not be computed"),
}


@styled
def draw_pour_chart(study: PourStudy, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the chart of room and pour temperature.

    Parameters
    ----------
    study : PourStudy
        A study over at least two rooms and two pour temperatures.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        Bare and boxed side by side: hatched what a limit rejects, white what is left, the recommended line, contours
        of the time to set and, where pours pass, of the flatness. Limits, notes and cautions stand below.

    Raises
    ------
    OutputError
        If the study has only one room or one pour.
    """
    choices: dict[Place, list[Choice]] = {place: [] for place in PLACES}
    for choice in study.choices:
        choices[choice.place].append(choice)
    if len(choices["bare"]) < 2 or len(choices["bare"][0].candidates) < 2:
        raise OutputError(
            "the chart of room and pour needs at least two rooms and two pours. Give a range of rooms, such as 15C:27C."
        )
    figure = blank(height=_HEIGHT, into=into)
    grid = figure.subplot_mosaic([["bare", "boxed"], ["foot", "foot"]], height_ratios=[1.0 - _FOOT, _FOOT])
    if into is None:
        # A page has a heading of its own.
        figure.suptitle(
            f"How hot to pour: {titles_fit(own_scenario(study).title, _TITLE_LETTERS, lines=1)}",
            fontsize=LARGE + 3,
            fontweight="bold",
        )
    met: set[Limit] = set()
    for place, found in choices.items():
        axes = grid[place]
        met |= _rejected(axes, found, units)
        _contours(axes, found, units)
        _recommended(axes, found, units)
        axes.set_title(_heading(place, study, units), fontsize=LARGE)
        degree = in_units("temperature", units)[2]
        axes.set_xlabel(f"room temperature [{degree}]")
        axes.set_ylabel(f"pour temperature [{degree}]")
    _foot(grid["foot"], study, met, units)
    return figure


def _heading(place: Place, study: PourStudy, units: System) -> str:
    fixed = {choice.jar for choice in study.choices if choice.place == place}
    jar = "jar as warm as the room"
    if len(fixed) == 1:
        jar = f"jar at {temperature_text(fixed.pop(), units)}"
    return f"{PLACES[place]}, {jar}"


def _shown(celsius: float | Array, units: System) -> Array:
    scale, offset, _ = in_units("temperature", units)
    return np.asarray(scale * np.asarray(celsius) + offset)


def _edges(middles: Array) -> Array:
    between = 0.5 * (middles[1:] + middles[:-1])
    return np.concatenate([[1.5 * middles[0] - 0.5 * middles[1]], between, [1.5 * middles[-1] - 0.5 * middles[-2]]])


def _plane(found: Sequence[Choice], units: System) -> tuple[Array, Array]:
    rooms = _shown(np.array([choice.room for choice in found]), units)
    pours = _shown(np.array([one.pour for one in found[0].candidates]), units)
    return rooms, pours


def _rejected(axes: Axes, found: Sequence[Choice], units: System) -> set[Limit]:
    """Hatch what is rejected; return the limits that did it."""
    rooms, pours = _plane(found, units)
    across, up = _edges(rooms), _edges(pours)
    met: set[Limit] = set()
    for column, choice in enumerate(found):
        start = 0
        # Cells with the same limit become one field, so that no seams show.
        for row in range(1, len(choice.candidates) + 1):
            limit = _first(choice, start)
            if row < len(choice.candidates) and _first(choice, row) == limit:
                continue
            if limit is not None:
                colour, hatch, _ = _LOOKS[limit]
                axes.add_patch(
                    Rectangle(
                        (across[column], up[start]),
                        across[column + 1] - across[column],
                        up[row] - up[start],
                        facecolor=colour,
                        edgecolor=_HATCH,
                        hatch=hatch,
                        linewidth=0.0,
                        zorder=0.5,
                    )
                )
                met.add(limit)
            start = row
    axes.set_xlim(across[0], across[-1])
    axes.set_ylim(up[0], up[-1])
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MaxNLocator(9, integer=True))
    return met


def _first(choice: Choice, row: int) -> Limit | None:
    rejected = choice.candidates[row].rejected
    return rejected[0] if rejected else None


def _field(found: Sequence[Choice], name: str, *, passing: bool) -> Array:
    rows = []
    for choice in found:
        values = [np.nan if passing and one.rejected else one.number(name) for one in choice.candidates]
        rows.append([np.nan if value is None else value for value in values])
    return np.array(rows).T


def _contours(axes: Axes, found: Sequence[Choice], units: System) -> None:
    rooms, pours = _plane(found, units)
    minutes = _field(found, "fully_set_s", passing=False) / 60.0
    if np.isfinite(minutes).any():
        span = float(np.nanmax(minutes) - np.nanmin(minutes))
        step = next((step for step in _SET_STEPS if span / step <= _MOST_SET_LINES), _SET_STEPS[-1])
        levels = np.arange(step * np.ceil(np.nanmin(minutes) / step), np.nanmax(minutes), step)
        drawn = _lines(axes, (rooms, pours, minutes), levels, "-")
        # Labels high up, where hatching leaves the recommended line alone.
        row = round(_LABEL_HEIGHT * (len(pours) - 1))
        crossings = [_crossing(rooms, minutes[row], level) for level in levels]
        places = [(float(room), float(pours[row])) for room in crossings if room is not None]
        _label(axes, drawn, lambda level: f"{hours_minutes(60.0 * level)} h", places)
    length, _, unit = in_units("length", units)
    flatness = length * _field(found, "flatness_m", passing=True)
    if np.isfinite(flatness).any():
        low, high = float(np.nanmin(flatness)), float(np.nanmax(flatness))
        if high - low > _LEAST_BETWEEN * max(abs(low), abs(high)):
            levels = np.asarray(MaxNLocator(_FLATNESS_LINES).tick_values(low, high))
            digits = max(1, int(np.ceil(-np.log10(levels[1] - levels[0]) - _ROUND_OFF)))
            drawn = _lines(axes, (rooms, pours, flatness), levels, (0, (4, 2)))
            _label(axes, drawn, lambda level: f"{level:.{digits}f} {unit}", None)


def _lines(
    axes: Axes, field: tuple[Array, Array, Array], levels: Array, dashes: str | tuple[int, tuple[int, int]]
) -> QuadContourSet | None:
    x, y, values = field
    inside = levels[(levels > np.nanmin(values)) & (levels < np.nanmax(values))]
    if not len(inside):
        return None
    return axes.contour(
        x, y, np.ma.masked_invalid(values), levels=inside, colors=_LINE, linestyles=[dashes], linewidths=0.9
    )


def _label(
    axes: Axes,
    drawn: QuadContourSet | None,
    text: Callable[[float], str],
    places: list[tuple[float, float]] | None,
) -> None:
    if drawn is None:
        return
    labels = axes.clabel(drawn, fmt=text, fontsize=SMALL, inline=True, manual=places or False)
    for one in labels:
        one.set_path_effects(list(HALO))


def _crossing(rooms: Array, values: Array, level: float) -> float | None:
    """Find where a row passes a level, if it does."""
    for left in range(len(rooms) - 1):
        low, high = sorted((values[left], values[left + 1]))
        if low < level <= high:
            share = (level - values[left]) / (values[left + 1] - values[left])
            return float(rooms[left] + share * (rooms[left + 1] - rooms[left]))
    return None


def _recommended(axes: Axes, found: Sequence[Choice], units: System) -> None:
    best = [choice.recommended for choice in found]
    rooms = _shown(np.array([choice.room for choice in found]), units)
    pours = np.array([np.nan if one is None else float(_shown(one.pour, units)) for one in best])
    axes.plot(rooms, pours, color="black", linewidth=2.4, marker="o", markersize=6, path_effects=list(HALO), zorder=4)
    for choice, one, room, pour in zip(found, best, rooms, pours, strict=True):
        if one is None:
            axes.annotate(
                "none\npasses",
                (room, float(np.mean(axes.get_ylim()))),
                ha="center",
                va="center",
                fontsize=SMALL,
                fontweight="bold",
                path_effects=list(HALO),
                zorder=5,
            )
            continue
        axes.annotate(
            temperature_text(one.pour, units),
            (room, pour),
            xytext=(0, 7),
            textcoords="offset points",
            ha="center",
            fontsize=SMALL + 1,
            fontweight="bold",
            path_effects=list(HALO),
            zorder=5,
        )
        good = _shown(np.array([choice.as_good[0].pour, choice.as_good[-1].pour]), units)
        axes.plot([room, room], good, color="black", linewidth=5.0, alpha=0.3, solid_capstyle="butt", zorder=3)


def _foot(axes: Axes, study: PourStudy, met: set[Limit], units: System) -> None:
    axes.set_axis_off()
    unit = in_units("length", units)[2]
    keys: list[Line2D | Patch] = [
        Line2D([], [], color="black", linewidth=2.4, marker="o", markersize=6, label="recommended pour"),
        Line2D([], [], color="black", linewidth=5.0, alpha=0.3, label="as good"),
        Line2D([], [], color=_LINE, linewidth=0.9, label="fully set after [h:mm]"),
        Line2D([], [], color=_LINE, linewidth=0.9, linestyle=(0, (4, 2)), label=f"middle minus rim [{unit}]"),
    ]
    for limit, (colour, hatch, label) in _LOOKS.items():
        if limit in met:
            keys.append(Patch(facecolor=colour, edgecolor=_HATCH, hatch=hatch, linewidth=0.0, label=label))
    axes.legend(handles=keys, loc="upper left", ncols=4, borderaxespad=0.0, handlelength=2.6, handleheight=1.2)
    notes = "\n".join(
        line for paragraph in (_fixed(study, units), CAUTION) for line in textwrap.wrap(paragraph, _LETTERS)
    )
    axes.text(0.0, 0.0, plain_text(notes), transform=axes.transAxes, ha="left", va="bottom", fontsize=SMALL)


def _fixed(study: PourStudy, units: System) -> str:
    jar = own_scenario(study).jar
    wax = f"{jar.wax.name}, freezing from {temperature_text(jar.wax.freezing_starts, units)}"
    twin = "" if study.twin == "bare" or not study.made_up else " The box is that of the built-in pair."
    made_up = " The workshop and its figures are invented." if own_scenario(study).invented else ""
    return (
        f"{wax}. Limits: the first skin at the glass melts again;"
        f" at least {difference_text(study.margin, units)} above freezing; at most"
        f" {difference_text(jar.vessel.shock_limit, units)} above the jar; set within"
        f" {hours_minutes(study.time_allowed)} h. Hatched: rejected, by the first limit it breaks. Recommended:"
        f" the least dish and cavity among the rest.{twin}{made_up}"
    )
