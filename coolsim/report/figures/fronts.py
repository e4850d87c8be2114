"""How far in from the glass the wax has set, as one bar for each jar."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure, SubFigure
from matplotlib.patches import Rectangle

from coolsim.model.section import Array
from coolsim.report.figures.panels import clock_ticks, vessels
from coolsim.report.figures.style import HOUR, SMALL, Runs, blank, colours, styled, titles_fit
from coolsim.report.wording import hours_minutes, length_text
from coolsim.solve.result import Result
from coolsim.studies.workshop.moments import moment_text
from coolsim.units import System

_QUARTERS = (0.0, 25.0, 50.0, 75.0, 100.0)
# Heights in a row, which is an inch high [-].
_BAR, _TIMES, _TITLE, _CLOCK = (0.16, 0.52), 0.59, 0.86, 0.14
_ROW, _BELOW = 0.95, 0.55
_HATCH = "xxxx"
_FINE = 200
_TITLE_LETTERS = 70
_MOST_TICKS = 6


@styled
def draw_fronts(
    runs: Runs, *, units: System = "metric", poured: Sequence[float | None] = (), into: SubFigure | None = None
) -> Figure | SubFigure:
    """Draw how far in from the glass the wax has set, and when.

    Parameters
    ----------
    runs : sequence of (str, Result)
        Titles and results; one bar for each.
    units : {"metric", "us"}
        Units of the workshop.
    poured : sequence of (float or None), optional
        When each was poured, since midnight [s]: its times are then those of the clock, too.
    into : SubFigure, optional
        Part of a page to draw into; a figure of its own if left out.

    Returns
    -------
    Figure
        A bar for each run, from the glass on its left to the middle on its right. Its colour says when all wax from the
        glass to there had set, from the bottom to the top; the times stand over each quarter of the way, and over the
        end of it that at which the jar is fully set. Hatched: not set when the run ended.

    Raises
    ------
    ValueError
        If there is no run, or one holds no wax.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_fronts, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_fronts([("Bare", simulate(quick.jar))])
    >>> figure.axes[0].get_xlabel()
    'way from the glass to the middle [%]'
    """
    if not runs:
        raise ValueError("bars need at least one run")
    fronts = [set_inwards(result) for _, result in runs]
    latest = max((float(one[np.isfinite(one)].max(initial=0.0)) for _, one in fronts), default=0.0) or HOUR
    hours = Normalize(0.0, latest / HOUR)
    clocks = [*poured, *[None] * len(runs)][: len(runs)]
    # With times of the clock there are two lines of times over each bar.
    rise = _CLOCK if any(clock is not None for clock in clocks) else 0.0
    figure = blank(height=_ROW * (1.0 + rise) * len(runs) + _BELOW, into=into)
    axes = figure.subplots()
    for number, ((title, result), (way, time), clock) in enumerate(zip(runs, fronts, clocks, strict=True)):
        base = (1.0 + rise) * (len(runs) - 1 - number)
        _bar(axes, base, way, time, hours)
        _times(axes, base, way, time, result, clock=clock, units=units)
        radius = length_text(float(result.required_wax().r_edges[-1]), units)
        inside = vessels([result])
        size = f"{inside} to middle: {radius}" if inside else f"radius: {radius}"
        axes.text(0.0, base + _TITLE + rise, titles_fit(title, _TITLE_LETTERS, lines=1), fontweight="bold", va="center")
        axes.text(100.0, base + _TITLE + rise, size, fontsize=SMALL, ha="right", va="center")
    axes.set_xlim(0.0, 100.0)
    axes.set_ylim(0.0, (1.0 + rise) * len(runs))
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xticks(_QUARTERS)
    axes.set_xlabel(f"way from the {vessels(result for _, result in runs) or 'outside'} to the middle [%]")
    scale = figure.colorbar(ScalarMappable(hours, colours()), ax=axes, pad=0.02, aspect=max(8.0, 8.0 * len(runs)))
    scale.set_label("set at [h:mm since the pour]" if len(runs) > 1 else "set at [h:mm]")
    clock_ticks(scale.ax.yaxis, latest / HOUR, _MOST_TICKS)
    return figure


def set_inwards(result: Result) -> tuple[Array, Array]:
    """Way from the glass to the middle [%], and when all wax on it had set, from the bottom to the top [s].

    NaN beyond what was still soft when the run ended. The end of the way is where the jar is fully set.
    """
    wax = result.required_wax()
    radius = float(wax.r_edges[-1])
    columns = np.asarray(result.set_time()).max(axis=0)[::-1]
    # A maximum with NaN is NaN, and stays so.
    inwards = np.maximum.accumulate(columns)
    way = 100.0 * (1.0 - wax.r[::-1] / radius)
    return np.array([0.0, *way, 100.0]), np.array([inwards[0], *inwards, inwards[-1]])


def _bar(axes: Axes, base: float, way: Array, time: Array, hours: Normalize) -> None:
    """Fill a bar as far as the wax has set; hatch the rest."""
    low, high = base + _BAR[0], base + _BAR[1]
    known = np.isfinite(time)
    end = float(way[known].max(initial=0.0))
    if end > 0.0:
        x = np.linspace(0.0, end, _FINE + 1)
        filled = np.interp(0.5 * (x[1:] + x[:-1]), way[known], time[known]) / HOUR
        axes.pcolormesh(
            x, [low, high], filled[None, :], cmap=colours(), norm=hours, edgecolors="face", linewidth=0.2, gid="set"
        )  # fmt: skip
    if end < 100.0:
        axes.add_patch(
            Rectangle((end, low), 100.0 - end, high - low, facecolor="white", hatch=_HATCH, edgecolor="0.4", gid="soft")
        )
    axes.add_patch(Rectangle((0.0, low), 100.0, high - low, fill=False, edgecolor="black", clip_on=False))


def _times(
    axes: Axes, base: float, way: Array, time: Array, result: Result, *, clock: float | None, units: System
) -> None:
    """Write over each quarter of the way when it had set."""
    for quarter in _QUARTERS:
        # Between the last column that has set and the first that has not there is no time.
        reached = float(np.interp(quarter, way, time))
        last = quarter == _QUARTERS[-1]
        if np.isfinite(reached):
            told = f"{hours_minutes(reached)} h"
            if clock is not None:
                told = f"{moment_text(reached, clock, units)}\n{told}"
            told = f"fully set {told}" if last else told
        elif last:
            told = f"not set when the run ended at {hours_minutes(result.time[-1])} h"
        else:
            continue
        axes.plot(
            [quarter] * 2, [base + _BAR[0], base + _TIMES - 0.01], color="black", linewidth=1.2, clip_on=False,
            gid="quarter",
        )  # fmt: skip
        axes.text(
            quarter, base + _TIMES, told, fontsize=SMALL, ha="right" if last else "center" if quarter else "left",
            va="bottom", fontweight="bold" if last else "normal", linespacing=1.1,
        )  # fmt: skip
