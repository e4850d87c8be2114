"""The page to pin to the wall: how hot to pour in which room, between the limits on both sides."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from coolsim.errors import OutputError
from coolsim.model.section import Array
from coolsim.overview import NOT_REACHED, hours_minutes
from coolsim.report.figures.panels import heading
from coolsim.report.figures.style import HALO, LARGE, PAGE_WIDTH, SMALL, blank, plain_text, room_in, styled
from coolsim.report.text.pour import DECIDES, PLACES, limit_reasons
from coolsim.report.wording import capital, caution_for, in_units, temperature_text
from coolsim.scenario.wording import INVENTED
from coolsim.studies.pour.choose import PourChoice, PourStudy, Stand, Wall, degrees_text
from coolsim.studies.pour.limits import KEEP_OFF, Limit
from coolsim.units import System, format_quantity

_HEIGHT = 7.3
_FOOT = 0.22
_HALF_PAGE = 7.0
_LETTERS = 16.8
_BEYOND, _ASIDE = 4.0, 0.09
_NARROW = 0.95
_WIDE = 3.5
_OVER = 30.0  # pt, clear of the times over the panel
_HALF_STEP = 0.5
_MOST_MARKS, _FEW_MARKS = 13, 6
_LETTER = 0.55
_HATCH = "#8a8a8a"
_BAND, _NEAR = "#ffffff", "#f4f4f4"
_LOOKS = {"low": ("#ededed", ".."), "high": ("#d8d8d8", "//")}
_CALLED: dict[Limit, str] = {
    "too near freezing": "too near freezing",
    "cloudy": "too near freezing",
    "wax maker's limit": "above the wax maker's limit",
    "fragrance limit": "above the fragrance's limit",
    "jar shock": "glass may crack",
    "skin stays": "first skin stays",
    "too slow": "not set in time",
    "passes too seldom": "passes in too few of the cases",
}


@styled
def draw_pour_chart(study: PourStudy, *, units: System = "metric", into: SubFigure | None = None) -> Figure | SubFigure:
    """Draw the chart of room and pour temperature, a panel for each way the jar stands.

    A band goes through the pours that are as good, between what is hatched: below it is too cold, above it too hot,
    each named by the limit that begins there. In the band stands the pour to take in each room that was run, and above
    the panel how long the jar takes to set then. It needs two rooms and two pours.
    """
    choices: dict[Stand, list[PourChoice]] = {place: [] for place in study.stands}
    for choice in study.choices:
        choices[choice.place].append(choice)
    if any(len(found) < 2 or len(found[0].candidates) < 2 for found in choices.values()):
        raise OutputError(
            "the chart of room and pour needs at least two rooms and two pours. Give a range of rooms, such as 15C:27C."
        )
    figure = blank(height=_HEIGHT, into=into)
    grid = figure.subplot_mosaic([list(choices), ["foot"] * len(choices)], height_ratios=[1.0 - _FOOT, _FOOT])
    if into is None:
        # A page has a heading of its own.
        heading(figure, "How hot to pour", study.scenario().title, letters=70, size=LARGE + 3)
    ends = _ends(study.choices, units)
    for place, found in choices.items():
        _panel(grid[place], _Panel(choices=tuple(found), units=units), ends, _heading(place, study, units))
    hot = any(choice.high is not None for choice in study.choices)
    # A page of a handout has its cautions elsewhere.
    cautions = [caution_for(list(study.stands.values()))] if into is None else []
    width = PAGE_WIDTH if into is None else room_in(into)[0]
    _foot(grid["foot"], [*_notes(study, units), *cautions], units, hot=hot, width=width)
    return figure


def _heading(place: Stand, study: PourStudy, units: System) -> str:
    fixed = {choice.jar for choice in study.choices if choice.place == place}
    jar = f"at {temperature_text(fixed.pop(), units)}" if len(fixed) == 1 else "as warm as the room"
    return f"{PLACES[place]}, jar {jar}"


def _degrees(celsius: float | Array, units: System) -> Array:
    scale, offset, _ = in_units("temperature", units)
    return np.asarray(scale * np.asarray(celsius) + offset)


def _ends(choices: Sequence[PourChoice], units: System) -> tuple[float, float]:
    """Find between which pours all panels are drawn: the limits, and a little beyond, where their names stand."""
    walls = [wall.pour for choice in choices for wall in (choice.low, choice.high) if wall is not None]
    open_ones = [one.pour for choice in choices for one in choice.candidates if "cloudy" not in one.rejected]
    at = [*walls, *(open_ones if any(choice.high is None for choice in choices) else open_ones[:0])]
    low, high = _degrees(np.array([min(at) - _BEYOND, max(at) + _BEYOND]), units)
    return float(low), float(high)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Panel:
    """The choices of one panel, rooms from cold to warm."""

    choices: tuple[PourChoice, ...]
    units: System

    @property
    def rooms(self) -> Array:
        """Rooms, in the units of the workshop."""
        return _degrees(np.array([choice.room for choice in self.choices]), self.units)

    def walls(self) -> tuple[Array, Array]:
        """Where it gets too cold and too hot in each room, in the units of the workshop; NaN where nothing is."""
        low = [np.nan if choice.low is None else choice.low.pour for choice in self.choices]
        high = [np.nan if choice.high is None else choice.high.pour for choice in self.choices]
        # Where all that were tried are too cold, nothing is left below the other limit.
        low = [
            max(cold, hot) if choice.recommended is None and hot > cold else cold
            for choice, cold, hot in zip(self.choices, low, high, strict=True)
        ]
        return _degrees(np.array(low), self.units), _degrees(np.array(high), self.units)

    def band(self) -> tuple[Array, Array]:
        """Lower and upper end of what is as good in each room, half a degree beyond the pours; NaN if none passes."""
        ends = [(one[0].pour, one[-1].pour) if (one := choice.as_good) else (np.nan, np.nan) for choice in self.choices]
        low, high = _degrees(np.array(ends).T, self.units)
        return low - _HALF_STEP, high + _HALF_STEP

    def passing(self) -> list[Array]:
        """Numbers of neighbouring rooms in which something passes, and of those in which nothing does, in turn."""
        there = np.array([choice.recommended is not None for choice in self.choices])
        return np.split(np.arange(len(there)), np.flatnonzero(np.diff(there)) + 1)


def _panel(axes: Axes, panel: _Panel, ends: tuple[float, float], title: str) -> None:
    rooms, units = panel.rooms, panel.units
    aside = _ASIDE * float(rooms[-1] - rooms[0])
    axes.set_xlim(rooms[0] - aside, rooms[-1] + aside)
    axes.set_ylim(*ends)
    axes.set_facecolor(_NEAR)
    low, high = panel.walls()
    _wall(axes, panel, "low", low, [choice.low for choice in panel.choices])
    _wall(axes, panel, "high", high, [choice.high for choice in panel.choices])
    _band(axes, panel)
    _marks(axes, panel)
    degree = in_units("temperature", units)[2]
    every = -(-len(rooms) // _MOST_MARKS)
    axes.set_xticks(rooms[::every], [degrees_text(one.room, units).partition(" ")[0] for one in panel.choices[::every]])
    axes.yaxis.set_major_locator(MaxNLocator(9, integer=True))
    axes.set_xlabel(f"room temperature [{degree}]")
    axes.set_ylabel(f"pour temperature [{degree}]")
    above = axes.secondary_xaxis("top")
    best = [choice.recommended for choice in panel.choices[::every]]
    times = [None if one is None else one.number("fully_set_s") for one in best]
    above.set_xticks(rooms[::every], [NOT_REACHED if time is None else hours_minutes(time) for time in times])
    above.tick_params(length=0.0, labelsize=SMALL)
    above.set_xlabel("fully set after [h:mm]", fontsize=SMALL)
    axes.set_title(title, fontsize=LARGE, pad=_OVER)


def _beyond_rooms(axes: Axes, rooms: Array, values: Array) -> tuple[Array, Array]:
    """Lead a line on to both edges of the panel, straight."""
    left, right = axes.get_xlim()
    first = values[0] + (values[1] - values[0]) * (left - rooms[0]) / (rooms[1] - rooms[0])
    last = values[-1] + (values[-1] - values[-2]) * (right - rooms[-1]) / (rooms[-1] - rooms[-2])
    return np.array([left, *rooms, right]), np.array([first, *values, last])


def _wall(axes: Axes, panel: _Panel, name: str, at: Array, walls: Sequence[Wall | None]) -> None:
    """Hatch what is beyond the limits of a side, and name on it each limit where it is the first."""
    named = [wall.limit for wall in walls if wall is not None]
    if len(named) < len(walls):
        # Metal has no limit above, unless a data sheet states one.
        return
    x, y = _beyond_rooms(axes, panel.rooms, at)
    end = axes.get_ylim()[0 if name == "low" else 1]
    colour, hatch = _LOOKS[name]
    drawn = axes.fill_between(x, y, end, facecolor=colour, hatch=hatch, edgecolor=_HATCH, linewidth=0.0, zorder=1.0)
    drawn.set_gid(name)
    axes.plot(x, y, color="black", linewidth=1.8, zorder=2.0, gid=f"{name} limit")
    _, other = _beyond_rooms(axes, panel.rooms, panel.walls()[1 if name == "low" else 0])
    # Clear of both walls where they cross.
    clear = np.fmin(y, other) if name == "low" else np.fmax(y, other)
    edges = [0, *(index for index in range(1, len(named)) if named[index] != named[index - 1]), len(named)]
    inside = axes.get_position().width * axes.figure.bbox.width / axes.figure.dpi
    for first, last in pairwise(edges):
        left = x[0] if first == 0 else 0.5 * (panel.rooms[first - 1] + panel.rooms[first])
        right = x[-1] if last == len(named) else 0.5 * (panel.rooms[last - 1] + panel.rooms[last])
        letters = int(inside * (right - left) / (x[-1] - x[0]) / (_LETTER * SMALL / 72.0))
        middle = 0.5 * (left + right)
        beside = np.interp(np.linspace(left, right, 9)[2:-2], x, clear)
        level = float(beside.min() if name == "low" else beside.max())
        axes.annotate(
            "\n".join(textwrap.wrap(_CALLED[named[first]], max(letters, 8))), (middle, level),
            xytext=(0, -11 if name == "low" else 11), textcoords="offset points", ha="center",
            va="top" if name == "low" else "bottom", fontsize=SMALL + 1.0, path_effects=list(HALO), zorder=5.0,
        )  # fmt: skip


def _band(axes: Axes, panel: _Panel) -> None:
    """Draw the band of what is as good; towards a room where none passes it ends where the limits meet."""
    rooms, (low, high), (cold, hot) = panel.rooms, panel.band(), panel.walls()
    x, edge, lower, upper = axes.get_xlim(), len(rooms) - 1, low, high
    for run in panel.passing():
        if np.isnan(low[run[0]]):
            continue
        points = [(rooms[index], lower[index], upper[index]) for index in run]
        for end, step in ((run[0], -1), (run[-1], 1)):
            if end in (0, edge) and not 0 <= end + step <= edge:
                inner = end - step if len(run) > 1 else end
                share = (x[step > 0] - rooms[end]) / (rooms[end] - rooms[inner]) if inner != end else 0.0
                led = [one[end] + share * (one[end] - one[inner]) for one in (lower, upper)]
                tip = (x[step > 0], min(led), max(led))
            else:
                tip = _meeting(rooms, cold, hot, int(end), int(end + step))
            points.insert(len(points) if step > 0 else 0, tip)
        at, below, above = np.array(points).T
        axes.fill_between(at, below, above, facecolor=_BAND, linewidth=0.0, zorder=3.0).set_gid("pour here")
        for line in (below, above):
            axes.plot(at, line, color="black", linewidth=1.0, zorder=3.5, gid="pour here")


def _meeting(rooms: Array, cold: Array, hot: Array, here: int, there: int) -> tuple[float, float, float]:
    """Find where the limits on both sides meet between a room where some pour passes and one where none does."""
    between, beyond = hot[here] - cold[here], hot[there] - cold[there]
    share = float(between / (between - beyond)) if beyond < between and not np.isnan(beyond) else 0.5
    share = min(share, 1.0)
    at = cold[here] + share * (cold[there] - cold[here])
    return float(rooms[here] + share * (rooms[there] - rooms[here])), float(at), float(at)


def _marks(axes: Axes, panel: _Panel) -> None:
    """Write the pour to take in each room, that none passes, and what the band means."""
    rooms, units, (low, high) = panel.rooms, panel.units, panel.walls()
    ends = np.array(axes.get_ylim())
    x, every = axes.get_xlim(), -(-len(rooms) // _MOST_MARKS)
    inside = axes.get_position().width * axes.figure.bbox.width / axes.figure.dpi
    for run in panel.passing():
        if panel.choices[run[0]].recommended is None:
            middle = run[len(run) // 2]
            wide = inside * (rooms[run[-1]] - rooms[run[0]]) / (x[1] - x[0]) >= _NARROW
            at = np.nanmean([low[middle], ends[1] if np.isnan(high[middle]) else high[middle]])
            axes.text(
                rooms[middle], at, "none passes" if wide else "none\npasses", ha="center", va="center",
                fontsize=SMALL + 0.5, fontweight="bold",
                bbox={"facecolor": "white", "edgecolor": "black", "linewidth": 0.6, "pad": 2.0}, zorder=6.0,
            )  # fmt: skip
    short = len(rooms) > _FEW_MARKS
    for room, choice in list(zip(rooms, panel.choices, strict=True))[::every]:
        best = choice.recommended
        if best is not None:
            told = degrees_text(best.pour, units)
            axes.text(
                room, float(_degrees(best.pour, units)), told.partition(" ")[0] if short else told, ha="center",
                va="center", fontsize=SMALL + 1.5, fontweight="bold", path_effects=list(HALO), zorder=6.0,
            )  # fmt: skip

    lower, upper = panel.band()
    widest = int(np.argmax(np.nan_to_num(upper - lower)))
    if upper[widest] - lower[widest] > _WIDE:
        best = panel.choices[widest].recommended
        at = 0.5 * (lower[widest] + upper[widest]) if best is None else float(_degrees(best.pour, units))
        axes.annotate(
            "pour here", (rooms[widest], at), xytext=(0, -13), textcoords="offset points", ha="center", va="center",
            fontsize=SMALL + 0.5, zorder=6.0,
        )  # fmt: skip


def _foot(axes: Axes, paragraphs: Sequence[str], units: System, *, hot: bool, width: float) -> None:
    axes.set_axis_off()
    off = format_quantity(KEEP_OFF, "temperature_difference", system=units)
    keys: list[Line2D | Patch] = [
        Patch(facecolor=_BAND, edgecolor="black", linewidth=1.0,
              label=f"pour here: all as good, {off} off the limits if any is"),
        Line2D([], [], color="black", linewidth=1.8, label="limit"),
    ]  # fmt: skip
    for name, told in (("low", "too cold"), *([("high", "too hot")] if hot else [])):
        colour, hatch = _LOOKS[name]
        keys.append(Patch(facecolor=colour, edgecolor=_HATCH, hatch=hatch, linewidth=0.0, label=told))
    axes.legend(
        handles=keys,
        loc="upper left",
        ncols=4 if width > _HALF_PAGE else 2,
        borderaxespad=0.0,
        handlelength=2.6,
        handleheight=1.2,
    )
    notes = "\n".join(
        line
        for paragraph in paragraphs
        for line in textwrap.wrap(paragraph.replace(" °", "\N{NO-BREAK SPACE}°"), int(_LETTERS * width))
    )
    axes.text(0.0, 0.0, plain_text(notes), transform=axes.transAxes, ha="left", va="bottom", fontsize=SMALL)


def _notes(study: PourStudy, units: System) -> list[str]:
    """Say why the limits are limits, what the pour does not decide, and what is held fixed."""
    met = {wall.limit for choice in study.choices for wall in (choice.low, choice.high) if wall is not None}
    reasons = [why for limit, (why, _) in limit_reasons(study, units).items() if limit in met]
    jar = study.scenario().jar
    if jar.vessel.shock_limit is None:
        reasons.append("metal is safe from thermal shock")
    fixed = f"{capital(jar.wax.name)}, freezing from {temperature_text(jar.wax.freezing_starts, units)}."
    if study.own == "bare" and study.made_up:
        fixed += " The box is that of the built-in pair."
    if study.scenario().invented:
        fixed += f" {INVENTED}"
    return [" ".join(f"{capital(why)}." for why in reasons), DECIDES, fixed]
