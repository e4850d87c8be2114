"""The page to pin to the wall: how hot to pour in which room, bare beside boxed."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from coolsim.errors import OutputError
from coolsim.model.section import Array
from coolsim.report.figures.panels import heading, round_step
from coolsim.report.figures.style import DASHED, HALO, LARGE, SMALL, blank, plain_text, styled
from coolsim.report.text.pour import PLACES, limits_text, own_scenario
from coolsim.report.wording import CAUTION, hours_minutes, in_units, temperature_text
from coolsim.scenario.wording import INVENTED
from coolsim.studies.pour.choose import Limit, PourChoice, PourStudy, Stand
from coolsim.studies.pour.remedies import limits_met
from coolsim.units import System

_HEIGHT = 7.3
_FOOT = 0.2
_LETTERS = 168
_SET_STEPS = (5, 10, 15, 20, 30, 60, 120, 240)
_MOST_SET_LINES = 6
_DEPTH_LINES = 4
_LEAST_BETWEEN = 0.02
_LEAST_DEPTH = {"metric": 0.2, "us": 0.01}
_SET_LABELS, _DEPTH_LABELS = 0.9, 0.3
_FROM_EDGE, _CLEAR, _LEAST_CLEAR, _PLACES = 0.07, 0.13, 0.06, 60
_MOST_MARKS, _MARK_WIDTH, _MARK_RISE = 7, 0.1, 0.035
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
    "passes too seldom": ("#ebebeb", "\\\\", "passes in too few of the cases"),
}


@styled
def draw_pour_chart(study: PourStudy, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the chart of room and pour temperature: bare and boxed side by side.

    Hatched is what a limit rejects, white what is left, with the recommended line, contours of the time to set and, in
    the white, of how deep the middle is. Nothing is drawn beyond the rooms and pours that were run, of which it
    needs two each.
    """
    choices: dict[Stand, list[PourChoice]] = {place: [] for place in PLACES}
    for choice in study.choices:
        clear = tuple(one for one in choice.candidates if "cloudy" not in one.rejected)
        choices[choice.place].append(replace(choice, candidates=clear))
    if len(choices["bare"]) < 2 or len(choices["bare"][0].candidates) < 2:
        raise OutputError(
            "the chart of room and pour needs at least two rooms and two pours. Give a range of rooms, such as 15C:27C."
        )
    figure = blank(height=_HEIGHT, into=into)
    grid = figure.subplot_mosaic([["bare", "boxed"], ["foot", "foot"]], height_ratios=[1.0 - _FOOT, _FOOT])
    if into is None:
        # A page has a heading of its own.
        heading(figure, "How hot to pour", own_scenario(study).title, letters=70, size=LARGE + 3)
    met: set[Limit] = set()
    for place, found in choices.items():
        axes = grid[place]
        met |= set(limits_met(found))
        hatched = _rejected(axes, found, study, units)
        line, letters = _recommended(axes, found, units)
        _contours(axes, found, hatched, line, letters, units)
        axes.set_title(_heading(place, study, units), fontsize=LARGE)
        degree = in_units("temperature", units)[2]
        axes.set_xlabel(f"room temperature [{degree}]")
        axes.set_ylabel(f"pour temperature [{degree}]")
    # A page of a handout has its cautions elsewhere.
    deep = any(one.get_gid() == "depth" for place in choices for one in grid[place].collections)
    _foot(grid["foot"], [_fixed(study, units), *([CAUTION] if into is None else [])], met, units, deep=deep)
    return figure


def _heading(place: Stand, study: PourStudy, units: System) -> str:
    fixed = {choice.jar for choice in study.choices if choice.place == place}
    jar = f"at {temperature_text(fixed.pop(), units)}" if len(fixed) == 1 else "as warm as the room"
    return f"{PLACES[place]}, jar {jar}"


def _degrees(celsius: float | Array, units: System) -> Array:
    scale, offset, _ = in_units("temperature", units)
    return np.asarray(scale * np.asarray(celsius) + offset)


def _plane(found: Sequence[PourChoice], units: System) -> tuple[Array, Array]:
    rooms = _degrees(np.array([choice.room for choice in found]), units)
    pours = _degrees(np.array([one.pour for one in found[0].candidates]), units)
    return rooms, pours


def _rejected(axes: Axes, found: Sequence[PourChoice], study: PourStudy, units: System) -> list[QuadContourSet]:
    """Hatch what is rejected, the limit that is named first on top; return the hatchings."""
    rooms, pours = _plane(found, units)
    axes.set_xlim(rooms[0], rooms[-1])
    axes.set_ylim(pours[0], pours[-1])
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MaxNLocator(9, integer=True))
    met = limits_met(found)
    hatched = []
    for rank, limit in enumerate(_LOOKS):
        if limit in met:
            colour, hatch, _ = _LOOKS[limit]
            drawn = axes.contourf(
                rooms, pours, _excess(limit, found, study), levels=[0.0, np.inf], colors=[colour], hatches=[hatch],
                zorder=0.9 - 0.01 * rank,
            )  # fmt: skip
            drawn.set(edgecolor=_HATCH, linewidth=0.0, gid=limit)
            hatched.append(drawn)
    return hatched


def _excess(limit: Limit, found: Sequence[PourChoice], study: PourStudy) -> Array:
    """Tell how far each run is beyond a limit: above zero where it breaks it, linear in between where it can be."""
    jar = study.scenario(found[0].place).jar
    limits = study.scenario(found[0].place).pour_limits
    pours = np.array([[one.pour for one in choice.candidates] for choice in found]).T
    broken = np.array([[limit in one.rejected for one in choice.candidates] for choice in found]).T
    if limit == "too near freezing":
        return jar.wax.freezing_starts + study.margin - pours
    if limit == "wax maker's limit":
        return pours - limits["wax.highest_temperature"]
    if limit == "fragrance limit":
        return pours - limits["wax.fragrance_limit"]
    if limit == "jar shock":
        return np.asarray(pours - np.array([choice.jar for choice in found]) - jar.vessel.shock_limit)
    if limit == "too slow":
        late = _on_plane(found, "fully_set_s") - study.time_allowed
        return np.asarray(np.where(np.isnan(late), np.where(broken, study.time_allowed, -study.time_allowed), late))
    if limit == "skin stays":
        # Midway between the hottest pour at which it stays and the next, and a line from room to room.
        upper = np.concatenate([pours[1:], 2.0 * pours[-1:] - pours[-2:-1]])
        hottest = np.where(broken, 0.5 * (pours + upper), pours[0]).max(axis=0)
        return np.asarray(hottest - pours)
    if limit == "passes too seldom":
        return np.array([_too_seldom(choice, study.share) for choice in found]).T
    return np.where(broken, 1.0, -1.0)


def _too_seldom(choice: PourChoice, share: float) -> Array:
    """Tell how far each pour of a room is below the share; beyond other limits like the last one within them."""
    within = [
        index for index, one in enumerate(choice.candidates) if not set(one.rejected).difference({"passes too seldom"})
    ]
    if not within:
        return np.full(len(choice.candidates), -share)
    passes = [choice.candidates[index].passes or 0.0 for index in within]
    return np.asarray(share - np.interp(np.arange(len(choice.candidates)), within, passes))


def _on_plane(found: Sequence[PourChoice], name: str) -> Array:
    values = [[one.number(name) for one in choice.candidates] for choice in found]
    return np.array(values, dtype=float).T


def _contours(
    axes: Axes,
    found: Sequence[PourChoice],
    hatched: Sequence[QuadContourSet],
    line: Array,
    letters: Array,
    units: System,
) -> None:
    rooms, pours = _plane(found, units)
    taken = [(float(x), float(y)) for x, y in axes.transLimits.transform(line)]
    minutes = _on_plane(found, "fully_set_s") / 60.0
    if np.isfinite(minutes).any():
        span = float(np.nanmax(minutes) - np.nanmin(minutes))
        step = round_step(span, _SET_STEPS, _MOST_SET_LINES)
        levels = np.arange(step * np.ceil(np.nanmin(minutes) / step), np.nanmax(minutes), step)
        _draw_lines(
            axes, (rooms, pours, minutes), levels, lambda level: f"{hours_minutes(60.0 * level)} h", dashes="-",
            gid="set", zorder=2.0, height=_SET_LABELS, taken=taken, letters=letters, hidden_by=(),
        )  # fmt: skip
    length, _, unit = in_units("length", units)
    depths = length * _on_plane(found, "depth_m")
    passing = np.array([[not one.rejected for one in choice.candidates] for choice in found]).T
    shown = depths[passing & np.isfinite(depths)]
    if shown.size and np.ptp(shown) > _LEAST_BETWEEN * np.abs(shown).max():
        levels = np.asarray(MaxNLocator(_DEPTH_LINES).tick_values(shown.min(), shown.max()))
        least = _LEAST_DEPTH[units]
        if levels[1] - levels[0] < least - _ROUND_OFF:
            # Closer lines would show the grid of the runs rather than the wax.
            levels = least * np.arange(np.floor(shown.min() / least), np.ceil(shown.max() / least) + 1.0)
        digits = max(1, int(np.ceil(-np.log10(levels[1] - levels[0]) - _ROUND_OFF)))
        # Under the hatching: they end where the white ends.
        _draw_lines(
            axes, (rooms, pours, depths), levels, lambda level: f"{level:.{digits}f} {unit}", dashes=DASHED,
            gid="depth", zorder=0.5, height=_DEPTH_LABELS, taken=taken, letters=letters, hidden_by=hatched,
        )  # fmt: skip


def _draw_lines(
    axes: Axes, plane: tuple[Array, Array, Array], levels: Array, text: Callable[[float], str], *, dashes: Any,
    gid: str, zorder: float, height: float, taken: list[tuple[float, float]], letters: Array,
    hidden_by: Sequence[QuadContourSet],
) -> None:  # fmt: skip
    """Draw lines, and label each once where it can be seen, near a height of the panel; not where letters stand."""
    x, y, values = plane
    levels = levels[(levels > np.nanmin(values)) & (levels < np.nanmax(values))]
    if not len(levels):
        return
    drawn = axes.contour(
        x, y, np.ma.masked_invalid(values), levels=levels, colors=_LINE, linestyles=[dashes], linewidths=0.9,
        zorder=zorder,
    )  # fmt: skip
    drawn.set_gid(gid)
    covers = [path for cover in hidden_by for path in cover.get_paths()]
    places = []
    for path in drawn.get_paths():
        pieces = [_along(np.asarray(piece)) for piece in path.to_polygons(closed_only=False)]
        on_line = np.concatenate([np.empty((0, 2)), *pieces])
        seen = np.array([not any(cover.contains_point(point) for cover in covers) for point in on_line], dtype=bool)
        on_line = on_line[seen]
        share = axes.transLimits.transform(on_line) if len(on_line) else on_line
        inside = ((share > _FROM_EDGE) & (share < 1.0 - _FROM_EDGE)).all(axis=1)
        for letter in axes.transLimits.transform(letters) if len(letters) else ():
            inside &= np.hypot(*(share - letter).T) > _LEAST_CLEAR
        if not inside.any():
            continue
        on_line, share = on_line[inside], share[inside]
        clear = np.min([np.hypot(*(share - other).T) for other in taken] or [np.full(len(share), np.inf)], axis=0).clip(
            max=_CLEAR
        )
        best = np.lexsort((np.abs(share[:, 1] - height), -clear))[0]
        places.append((float(on_line[best, 0]), float(on_line[best, 1])))
        taken.append((float(share[best, 0]), float(share[best, 1])))
    if places:
        for one in axes.clabel(drawn, fmt=text, fontsize=SMALL, inline=True, manual=places):
            one.set_path_effects(list(HALO))


def _along(points: Array) -> Array:
    """Return places along a line, close to each other."""
    at = np.linspace(0.0, len(points) - 1.0, _PLACES)
    number = np.arange(len(points))
    return np.column_stack([np.interp(at, number, points[:, axis]) for axis in (0, 1)])


def _recommended(axes: Axes, found: Sequence[PourChoice], units: System) -> tuple[Array, Array]:
    """Draw the recommended line and what is as good; return places along them, and those that letters cover."""
    best = [choice.recommended for choice in found]
    rooms = _degrees(np.array([choice.room for choice in found]), units)
    pours = np.array([np.nan if one is None else float(_degrees(one.pour, units)) for one in best])
    axes.plot(
        rooms, pours, color="black", linewidth=2.4, marker="o", markersize=6, path_effects=list(HALO), zorder=4,
        clip_on=False,
    )  # fmt: skip
    along, letters = [_along(np.column_stack([rooms, pours]))], [np.empty((0, 2))]
    middle = float(np.mean(axes.get_ylim()))
    for run in np.split(np.arange(len(found)), np.flatnonzero(np.diff(np.isnan(pours))) + 1):
        if np.isnan(pours[run[0]]):
            _mark(axes, float(np.mean(rooms[run[[0, -1]]])), middle, "none\npasses", 0, SMALL)
    # Side by side as many as fit.
    every = -(-len(found) // _MOST_MARKS)
    for number, (choice, one) in enumerate(zip(found, best, strict=True)):
        if one is None:
            continue
        room, pour = float(rooms[number]), float(pours[number])
        good = _degrees(np.array([choice.as_good[0].pour, choice.as_good[-1].pour]), units)
        axes.plot(
            [room, room], good, color="black", linewidth=5.0, alpha=0.3, solid_capstyle="butt", zorder=3, clip_on=False
        )
        along.append(_along(np.column_stack([[room, room], good])))
        if number % every == 0:
            # Where the line comes down to the edge of the panel, the letters beside its end stand below it.
            inner = {0: pours[1], len(found) - 1: pours[-2]}.get(number, pour)
            side = -1 if inner > pour else 1
            letters.append(_mark(axes, room, pour, temperature_text(one.pour, units), side, SMALL + 1))
    points = np.concatenate([*along, *letters])
    return points[np.isfinite(points).all(axis=1)], np.concatenate(letters)


def _mark(axes: Axes, room: float, pour: float, text: str, side: int, size: float) -> Array:
    """Write over, under or on a point, without leaving the panel; return roughly what the letters cover."""
    share = axes.transLimits.transform((room, pour))
    at_the_end = share[1] > 1.0 - _FROM_EDGE if side > 0 else share[1] < _FROM_EDGE
    over = -side if at_the_end else side
    aside = "left" if share[0] < _FROM_EDGE else "right" if share[0] > 1.0 - _FROM_EDGE else "center"
    axes.annotate(
        text, (room, pour), xytext=({"left": 6, "right": -6}.get(aside, 0), 8 * over), textcoords="offset points",
        ha=aside, va={0: "center", 1: "bottom", -1: "top"}[over], fontsize=size, fontweight="bold",
        path_effects=list(HALO), zorder=5,
    )  # fmt: skip
    middle = share[0] + {"left": 1.0, "right": -1.0}.get(aside, 0.0) * _MARK_WIDTH / 2
    across = middle + np.linspace(-0.5, 0.5, _PLACES) * _MARK_WIDTH
    covered = np.column_stack([across, np.full(_PLACES, share[1] + over * _MARK_RISE)])
    return np.asarray(axes.transLimits.inverted().transform(covered))


def _foot(axes: Axes, paragraphs: Sequence[str], met: set[Limit], units: System, *, deep: bool) -> None:
    axes.set_axis_off()
    unit = in_units("length", units)[2]
    keys: list[Line2D | Patch] = [
        Line2D([], [], color="black", linewidth=2.4, marker="o", markersize=6, label="recommended pour"),
        Line2D([], [], color="black", linewidth=5.0, alpha=0.3, label="as good"),
        Line2D([], [], color=_LINE, linewidth=0.9, label="fully set after [h:mm]"),
    ]
    # Where the pour hardly changes the depth, no line is drawn.
    if deep:
        label = f"middle below the rim [{unit}]"
        keys.append(Line2D([], [], color=_LINE, linewidth=0.9, linestyle=DASHED, label=label))
    for limit, (colour, hatch, label) in _LOOKS.items():
        if limit in met:
            keys.append(Patch(facecolor=colour, edgecolor=_HATCH, hatch=hatch, linewidth=0.0, label=label))
    axes.legend(handles=keys, loc="upper left", ncols=4, borderaxespad=0.0, handlelength=2.6, handleheight=1.2)
    notes = "\n".join(
        line
        for paragraph in paragraphs
        for line in textwrap.wrap(paragraph.replace(" °", "\N{NO-BREAK SPACE}°"), _LETTERS)
    )
    axes.text(0.0, 0.0, plain_text(notes), transform=axes.transAxes, ha="left", va="bottom", fontsize=SMALL)


def _fixed(study: PourStudy, units: System) -> str:
    jar = own_scenario(study).jar
    wax = f"{jar.wax.name}, freezing from {temperature_text(jar.wax.freezing_starts, units)}"
    twin = "" if study.twin == "bare" or not study.made_up else " The box is that of the built-in pair."
    made_up = f" {INVENTED}" if own_scenario(study).invented else ""
    often = ""
    if study.cases is not None:
        often = f" All are to be kept in at least {100 * study.share:.0f} % of {study.cases} cases (estimates)."
    return (
        f"{wax}. Limits: {'; '.join(limits_text(study, units))}.{often} Hatched: rejected, by the first limit"
        " it breaks. Recommended: the middle of those with the least dish and cavity."
        f"{twin}{made_up}"
    )
