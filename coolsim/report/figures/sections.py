"""Temperature maps of the whole section at chosen times: one row for each run, one column for each time.

After four times the rows start again below.
"""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure

from coolsim.report.figures.section_panel import (
    Scales,
    draw_front_lines,
    draw_key,
    draw_leaders,
    draw_still,
    fields_at,
    room_corner,
    room_text,
    scales_of,
)
from coolsim.report.figures.style import NORMAL, PAGE_WIDTH, Runs, blank, colours, room_in, styled, titles_fit
from coolsim.report.wording import hours_minutes, in_units
from coolsim.solve.result import Result
from coolsim.units import System

_LETTERS_PER_INCH = 11
_BOTTOM = 0.75
_SIDES, _TITLES = 1.0, 0.75
_MOST_COLUMNS = 4
_WIDEST_PANEL, _NARROWEST = 3.4, 6.0
_SMALLEST_PANEL, _NARROWER, _LEAST_LEFT = 1.2, 0.97, 0.01


@styled
def draw_sections(
    runs: Runs, times: Sequence[float], *, units: System = "metric", into: SubFigure | None = None
) -> Figure | SubFigure:
    """Draw the temperature of the whole section, cut through the axis, at several times.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one row of panels for each.
    times : sequence of float
        When [s]; one column for each. A run that ended before shows its last state and says so.
    units : {"metric", "us"}
        Units of the workshop.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        All panels with one scale of temperature, and those of a row with one of length; more than four times are
        carried on below. Solid line: the solid front; dashed line: the end
        of freezing. Dotted areas are air that is filled in, not solved as cells: a gap straight from face to face,
        the air of a box at its one temperature. Flaps are drawn as thick as the board beside the vessel.

    Raises
    ------
    ValueError
        If there is no run or no time, or a time lies before the pour.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_sections, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_sections([("Bare", simulate(quick.jar))], [1800.0, 7200.0])
    >>> figure.axes[0].get_xlabel()
    'radius [mm]'
    """
    if not runs or not len(times):
        raise ValueError("a map needs at least one run and one time")
    if min(times) < 0.0:
        raise ValueError(f"{min(times):g} s is before the pour")
    columns = -(-len(times) // -(-len(times) // _MOST_COLUMNS))
    parts = [times[at : at + columns] for at in range(0, len(times), columns)]
    # Few columns would make giants of the panels.
    panel = min((PAGE_WIDTH - _SIDES) / columns, _WIDEST_PANEL)
    scales = scales_of(runs, times, units=units, panel=panel)
    row = panel * scales.top / (2 * scales.width) + _TITLES
    strips = [(title, result, part) for part in parts for title, result in runs]
    if into is not None:
        # Panels that are too high for the page get narrower, down to where names have no room beside the jar.
        while panel > _SMALLEST_PANEL and _BOTTOM + row * len(strips) > room_in(into)[1]:
            panel *= _NARROWER
            scales = scales_of(runs, times, units=units, panel=panel)
            row = panel * scales.top / (2 * scales.width) + _TITLES
    width = max(_SIDES + panel * columns, _NARROWEST)
    figure = blank(width=width, height=_BOTTOM + row * len(strips), into=into)
    ratios = [*([row] * len(strips)), _BOTTOM]
    if into is not None:
        # What is left of the page stays below, or each title would hang far above its panels.
        ratios.append(max(room_in(into)[1] - sum(ratios), _LEAST_LEFT))
    rows = figure.subfigures(len(ratios), 1, height_ratios=ratios, squeeze=False)[:, 0]
    for strip, (title, result, part) in zip(rows, strips, strict=False):
        letters = int(_LETTERS_PER_INCH * width)
        strip.suptitle(titles_fit(title, letters, lines=1), fontsize=NORMAL + 1, fontweight="bold", x=0.01, ha="left")
        panels = strip.subplots(1, columns, squeeze=False, sharey=True)[0]
        for axes in panels[len(part) :]:
            axes.set_axis_off()
        for column, (axes, time) in enumerate(zip(panels, part, strict=False)):
            _panel(axes, result, time, scales, named=column == 0)
        panels[0].set_ylabel(f"height [{scales.unit}]")
    draw_key(rows[len(strips)], runs, scales)
    return figure


def _panel(axes: Axes, result: Result, time: float, scales: Scales, *, named: bool) -> None:
    ended = time > result.time[-1]
    shown = min(time, float(result.time[-1]))
    scale, offset, _ = in_units("temperature", scales.units)
    for field in fields_at(result, shown):
        drawn = axes.pcolormesh(
            scales.length * field.x, scales.length * field.z, scale * field.values + offset, cmap=colours(),
            norm=scales.degrees, shading="gouraud", rasterized=True,
        )  # fmt: skip
        drawn.set_gid(field.what)
    draw_still(axes, result, scales, named=named)
    draw_leaders(axes, [place for _, place in draw_front_lines(axes, result, shown, scales)], scales, side=1.0)
    title = f"{hours_minutes(time)} h"
    axes.set_title(f"{title} (ended {hours_minutes(shown)} h)" if ended else title, pad=3)
    room_corner(axes).set_text(room_text(result, shown, scales.units))
