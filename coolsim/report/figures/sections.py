"""Temperature maps of the whole section: one row for each run, one column for each event or chosen time.

After four of them the rows start again below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure

from coolsim.answers.catalogue import BY_KEY
from coolsim.report.figures.field_map import FieldMap
from coolsim.report.figures.panels import height_label
from coolsim.report.figures.section_panel import (
    Scales,
    draw_front_lines,
    draw_key,
    draw_leaders,
    draw_still,
    draw_sunk_top,
    fields_at,
    room_corner,
    room_text,
    scales_of,
)
from coolsim.report.figures.style import NORMAL, PAGE_WIDTH, Runs, blank, room_in, styled, titles_fit
from coolsim.report.wording import hours_minutes, in_units
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result
from coolsim.units import System

_LETTERS_PER_INCH = 11
_BOTTOM = 0.75
_SIDES, _TITLES, _EVENT = 1.0, 0.75, 0.15
_MOST_COLUMNS = 4
_WIDEST_PANEL, _NARROWEST = 3.4, 6.0
_MOMENTS = ("rim_set", "top_closed", "fully_set", "top_final")
_SHARES = (0.125, 0.25, 0.5, 1.0)
_SMALLEST_PANEL, _NARROWER, _LEAST_LEFT = 1.2, 0.97, 0.01


@styled
def draw_sections(
    runs: Runs, times: Sequence[float] = (), *, units: System = "metric", into: SubFigure | None = None
) -> Figure | SubFigure:
    """Draw the temperature of the whole section, cut through the axis, at several times.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one row of panels for each.
    times : sequence of float, optional
        When [s]; one column for each. A run that ended before shows its last state and says so. Left out or empty, a
        column for each event that a run has reached: the rim has set, the top has closed, all has set, the top has
        sunk for good; each panel says its time.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        All panels with one scale of temperature, and those of a row with one of length; more than four times are
        carried on below. Heights count from the bottom of the wax, whose top is drawn as far as it has sunk. Solid
        line: the solid front; dashed line: the stiff front. Dotted areas are air that is filled in, not solved as
        cells: a gap straight from face to face, the air of a box at its one temperature. Flaps are drawn as thick as
        the board beside the vessel.

    Raises
    ------
    ValueError
        If there is no run, or a time lies before the pour.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_sections, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_sections([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'radius [mm]'
    """
    if not runs:
        raise ValueError("a map needs at least one run")
    if len(times) and min(times) < 0.0:
        raise ValueError(f"{min(times):g} s is before the pour")
    shown = [_at_times(result, times) for _, result in runs] if len(times) else _at_events(runs)
    count = len(shown[0])
    columns = -(-count // -(-count // _MOST_COLUMNS))
    starts = range(0, count, columns)
    # Few columns would make giants of the panels.
    panel = min((PAGE_WIDTH - _SIDES) / columns, _WIDEST_PANEL)
    over = _TITLES + _EVENT * any("\n" in one.title for moments in shown for one in moments)
    scales, row = _sized(runs, shown, units, panel, over)
    strips = [
        (title, result, moments[start : start + columns])
        for start in starts
        for (title, result), moments in zip(runs, shown, strict=True)
    ]
    if into is not None:
        # Panels that are too high for the page get narrower, down to where names have no room beside the jar.
        while panel > _SMALLEST_PANEL and _BOTTOM + row * len(strips) > room_in(into)[1]:
            panel *= _NARROWER
            scales, row = _sized(runs, shown, units, panel, over)
    width = max(_SIDES + panel * columns, _NARROWEST)
    figure = blank(width=width, height=_BOTTOM + row * len(strips), into=into)
    ratios = [*([row] * len(strips)), _BOTTOM]
    if into is not None:
        # What is left of the page stays below, or each title would hang far above its panels.
        ratios.append(max(room_in(into)[1] - sum(ratios), _LEAST_LEFT))
    rows = figure.subfigures(len(ratios), 1, height_ratios=ratios, squeeze=False)[:, 0]
    for strip, (title, result, moments) in zip(rows, strips, strict=False):
        letters = int(_LETTERS_PER_INCH * width)
        strip.suptitle(titles_fit(title, letters, lines=1), fontsize=NORMAL + 1, fontweight="bold", x=0.01, ha="left")
        panels = strip.subplots(1, columns, squeeze=False, sharey=True)[0]
        for axes in panels[len(moments) :]:
            axes.set_axis_off()
        tops = result.tops_at([one.time for one in moments]) if result.wax is not None else [None] * len(moments)
        for column, (axes, one, top) in enumerate(zip(panels, moments, tops, strict=False)):
            _panel(axes, result, one, top, scales, named=column == 0)
        panels[0].set_ylabel(height_label(scales.unit))
    draw_key(rows[len(strips)], runs, scales)
    return figure


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moment:
    """A time within a run [s], and what stands over its panel."""

    time: float
    title: str


def _at_times(result: Result, times: Sequence[float]) -> list[_Moment]:
    end = float(result.time[-1])
    return [
        _Moment(time=time, title=f"{hours_minutes(time)} h")
        if time <= end
        else _Moment(time=end, title=f"{hours_minutes(time)} h (ended {hours_minutes(end)} h)")
        for time in times
    ]


def _at_events(runs: Runs) -> list[list[_Moment]]:
    """Choose the panels of each run by the events that any of them has reached; times of their own without any."""
    reached = [field for field in _MOMENTS if any(_when(result, field) is not None for _, result in runs)]
    if not reached:
        longest = max(float(result.time[-1]) for _, result in runs)
        return [_at_times(result, [share * longest for share in _SHARES]) for _, result in runs]
    return [[_at_event(result, field) for field in reached] for _, result in runs]


def _when(result: Result, field: str) -> float | None:
    return None if result.events is None else getattr(result.events, field)


def _at_event(result: Result, field: str) -> _Moment:
    time, name, end = _when(result, field), BY_KEY[f"{field}_s"].called, float(result.time[-1])
    if time is None:
        return _Moment(time=end, title=f"{name}: later\n(ended {hours_minutes(end)} h)")
    return _Moment(time=time, title=f"{name}\n{hours_minutes(time)} h")


def _sized(
    runs: Runs, shown: Sequence[Sequence[_Moment]], units: System, panel: float, over: float
) -> tuple[Scales, float]:
    """Scales of panels so wide [in], and how high a row of them is with so much over it [in]."""
    times = [[one.time for one in moments] for moments in shown]
    scales = scales_of(runs, times, units=units, panel=panel)
    return scales, panel * (scales.top - scales.low) / (2 * scales.width) + over


def _panel(axes: Axes, result: Result, moment: _Moment, top: Shrinkage | None, scales: Scales, *, named: bool) -> None:
    draw_still(axes, result, scales, named=named)
    scale, offset, _ = in_units("temperature", scales.units)
    fields = (replace(one, values=scale * one.values + offset) for one in fields_at(result, moment.time))
    axes.add_artist(FieldMap(fields, scales.degrees, length=scales.length)).set_gid("temperatures")
    fronts = [place for _, place in draw_front_lines(axes, result, moment.time, scales)]
    if top is not None:
        draw_sunk_top(axes, result, top, moment.time, scales)
    draw_leaders(axes, fronts, scales, side=1.0)
    axes.set_title(moment.title, pad=3)
    room_corner(axes).set_text(room_text(result, moment.time, scales.units))
