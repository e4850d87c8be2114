"""What panels share: grids of them, axes of time and radius, headings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.figure import Figure, SubFigure
from matplotlib.ticker import MultipleLocator
from numpy.typing import NDArray

from coolsim.model.freezing_curve import END
from coolsim.report.figures.style import AXIS, HOUR, LARGE, titles_fit
from coolsim.report.wording import called, hours_minutes
from coolsim.solve.result import Result

_TICK_STEPS = (1 / 60, 1 / 12, 1 / 6, 0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0)
_MOST_TICKS = 9


def clock(hours: float, _: float | None = None) -> str:
    """Write hours [h] as hours and minutes, beside the ticks of an axis too."""
    return hours_minutes(hours * HOUR)


def round_step(span: float, steps: Sequence[float], most: int) -> float:
    """Take the smallest of ascending steps [-] that a span holds at most so many times [-]."""
    return next((step for step in steps if span / step <= most), steps[-1])


def clock_ticks(axis: Axis, hours: float, most: int) -> None:
    """Give an axis of so many hours [h] at most so many ticks [-], written as hours and minutes."""
    axis.set_major_locator(MultipleLocator(round_step(hours, _TICK_STEPS, most)))
    axis.set_major_formatter(clock)


def time_axis(axes: Axes, longest: float) -> None:
    """Make the x axis, drawn against hours, one of hours and minutes since the pour up to the longest time [s]."""
    hours = longest / HOUR
    axes.set_xlim(0.0, hours)
    clock_ticks(axes.xaxis, hours, _MOST_TICKS)
    # Panels below each other share their axis, but each has its figures beside its name.
    axes.tick_params(labelbottom=True)
    axes.set_xlabel("time since the pour [h:mm]")


def radius_axis(axes: Axes, unit: str) -> None:
    """Make the x axis one of radii, which count from the axis of the jar to both sides."""
    axes.xaxis.set_major_formatter(lambda x, _: f"{abs(x):g}")
    axes.set_xlabel(f"radius [{unit}]")


def height_label(unit: str) -> str:
    """Name an axis of heights, which count from the bottom of the wax in every figure."""
    return f"height above\nwax bottom [{unit}]"


def draw_axis(axes: Axes) -> None:
    """Draw the axis of the jar."""
    axes.axvline(0.0, color="black", linewidth=0.4, dashes=AXIS, zorder=1.5)


def panel_grid(part: Figure | SubFigure, count: int, columns: int) -> tuple[list[Axes], NDArray[Any]]:
    """Cut a page into so many panels [-] in so many columns [-] with shared heights; return them, and all in rows."""
    grid = part.subplots(-(-count // columns), columns, squeeze=False, sharey=True)
    for empty in grid.ravel()[count:]:
        empty.set_axis_off()
    return list(grid.ravel()[:count]), grid


def columns_for(count: int) -> int:
    """Columns [-] in which so many panels [-] fill a page best."""
    return {1: 1, 2: 2, 4: 2}.get(count, 3)


def heading(figure: Figure | SubFigure, what: str, title: str, *, letters: int = 80, size: float = LARGE + 2) -> None:
    """Write over a figure what it shows and of what, in letters of a size [pt], at most so many [-] of the title."""
    figure.suptitle(f"{what}: {titles_fit(title, letters, lines=1)}", fontsize=size, fontweight="bold")


def vessels(results: Iterable[Result]) -> str:
    """Name what the vessels are made of for the reader, "glass or metal"; empty without any."""
    return " or ".join(dict.fromkeys(called(result, "glass") for result in results if "glass" in result.parts))


def setting_range(result: Result) -> tuple[float, float, float]:
    """Temperatures [°C] at which the wax of a run starts to freeze, at which it has set, and at which 90 % is solid."""
    table = result.required_wax().table
    starts, sets, ends = np.interp((1.0, result.sets_at, END), table.liquid, table.temperature)
    return float(starts), float(sets), float(ends)


def spaced(wanted: Sequence[float], *, line: float, low: float, high: float) -> list[float]:
    """Shift names of a height apart that want to stand at ascending heights, and below the top of a column [-]."""
    heights: list[float] = []
    for height in wanted:
        heights.append(max(height, heights[-1] + line if heights else low + 0.5 * line))
    limit = high - 0.5 * line
    for index in reversed(range(len(heights))):
        heights[index] = min(heights[index], limit)
        limit = heights[index] - line
    return heights
