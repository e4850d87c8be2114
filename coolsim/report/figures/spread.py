"""Cooling curves, times of setting, and the top with what is hidden in it, as bands."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from coolsim.answers.catalogue import BY_KEY, LEAST_LENGTH, LEAST_VOLUME, in_group
from coolsim.report.figures.panels import heading, time_axis
from coolsim.report.figures.style import DASHED, HALO, HOUR, PAGE_WIDTH, SMALL, Drawing, plain_text, styled, titles_fit
from coolsim.report.wording import capital, hours_minutes, in_units, listed
from coolsim.studies.spread.spread import Band, Spread, SpreadAnswer
from coolsim.units import Kind, System

_COLUMNS = 3
_PANEL_HEIGHT, _TIMES_HEIGHT, _TOP_HEIGHT, _REST = 2.15, 2.0, 1.35, 1.0
_DEPTHS = ("depth_m", "dish_m", "hole_m")
_VOLUMES = ("void_volume_m3", "cavity_volume_m3")
_OF_THE_TOP = "the top is "
_ROOM_FOR_TEXT = 1.8
_LEAST = {"length": LEAST_LENGTH, "volume": LEAST_VOLUME}
_PANEL_LETTERS = 40
_SHADE, _EDGE, _LINE = "#cfdde9", "#6b8299", "#000000"
_BAR = 0.5
_CLEAR, _INNER = 0.12, 0.3
_PAD = 0.12


@styled
def draw_spread(found: Spread, *, units: System = "metric") -> Figure:
    """Draw how far cooling curves, times of setting, and the top with its voids spread.

    Parameters
    ----------
    found : Spread
        The spread.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        A panel for each point: the band in which eight cases in ten lie, their median, and the curve with the values of
        the scenario. Below them the same for the times of setting, and for the depths of the top and the voids in the
        wax, with how often the top is of which kind.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> from coolsim import built_in_pair, draw_spread, spread, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> with ThreadPoolExecutor(max_workers=1) as executor:
    ...     found = spread(quick, keys=["films.side_factor"], runs=8, executor=executor)
    >>> draw_spread(found).get_suptitle()
    'Spread: Tumbler, bare on the bench'
    """
    scale, offset, degree = in_units("temperature", units)
    rows = max(1, -(-len(found.bands) // _COLUMNS))
    heights = [rows * _PANEL_HEIGHT, _TIMES_HEIGHT, _TOP_HEIGHT]
    figure = Drawing(figsize=(PAGE_WIDTH, sum(heights) + _REST))
    # Names beside an axis come out some points wider in a picture than the layout, at its lower resolution, finds.
    figure.set_layout_engine("constrained", w_pad=_PAD)
    heading(figure, "Spread", found.scenario.title)
    upper, middle, lower = figure.subfigures(3, 1, height_ratios=heights, squeeze=False)[:, 0]
    grid = upper.add_gridspec(rows, _COLUMNS)
    longest = float(found.time[-1])
    first: Axes | None = None
    for number, band in enumerate(found.bands):
        axes = upper.add_subplot(grid[number // _COLUMNS, number % _COLUMNS], sharey=first)
        first = first or axes
        _draw_band(axes, band, found.time / HOUR, scale, offset)
        axes.set_title(titles_fit(band.name, _PANEL_LETTERS, lines=1), loc="left", fontweight="bold")
        time_axis(axes, longest)
        if number % _COLUMNS == 0:
            axes.set_ylabel(f"temperature [{degree}]")
        axes.grid(color="0.92", linewidth=0.5)
        axes.set_axisbelow(True)
    _draw_times(middle.subplots(), found, longest)
    _draw_top(lower, found, units)
    keys = [
        Patch(facecolor=_SHADE, edgecolor=_EDGE, linewidth=0.8, label="eight cases in ten (10 % to 90 %)"),
        Line2D([], [], color=_LINE, linewidth=1.6, label="median of the cases"),
        Line2D([], [], color=_LINE, linewidth=0.9, linestyle=DASHED, label="with the values of the scenario"),
    ]
    figure.legend(handles=keys, loc="outside lower center", ncols=3, handlelength=3.0)
    return figure


def _draw_band(axes: Axes, band: Band, hours: np.ndarray, scale: float, offset: float) -> None:
    low, median, high, own = (scale * values + offset for values in (band.low, band.median, band.high, band.nominal))
    axes.fill_between(hours, low, high, color=_SHADE, linewidth=0.0, gid="band")
    for name, values in (("low", low), ("high", high)):
        axes.plot(hours, values, color=_EDGE, linewidth=0.8, gid=name)
    axes.plot(hours, own, color=_LINE, linewidth=0.9, linestyle=DASHED, gid="own")
    axes.plot(hours, median, color=_LINE, linewidth=1.6, gid="median")
    # Where there is room for letters.
    inside = np.abs(hours / hours[-1] - 0.5) < _INNER
    widest = int(np.argmax(np.where(inside, high - low, -np.inf)))
    for text, values, aside, side in (("90 %", high, 4, "left"), ("10 %", low, -4, "right")):
        axes.annotate(
            text, (hours[widest], values[widest]), xytext=(aside, aside), textcoords="offset points", ha=side,
            va="bottom" if aside > 0 else "top", fontsize=SMALL, color=_EDGE, path_effects=list(HALO),
        )  # fmt: skip


def _draw_times(axes: Axes, found: Spread, longest: float) -> None:
    def write(value: float) -> str:
        return "later" if math.isinf(value) else hours_minutes(value)

    shown = [(answer.called, found.answer(answer.key)) for answer in in_group("setting")]
    _draw_answers(axes, shown, write, scale=1.0 / HOUR, end=longest / HOUR)
    axes.set_title("Setting: median (10 % to 90 %)", loc="left", fontweight="bold")
    time_axis(axes, longest)


def _draw_top(part: SubFigure, found: Spread, units: System) -> None:
    """Draw depths of the top, and volumes of what is hollow in the wax."""
    kinds = [f"{one.name.removeprefix(_OF_THE_TOP)} in {100.0 * one.share:.0f} %" for one in found.chances
             if one.name.startswith(_OF_THE_TOP) and one.share >= 0.005]  # fmt: skip
    depths, volumes = part.subplots(1, 2)
    told = f": {listed(kinds)} of the cases" if kinds else ""
    _draw_sizes(depths, found, _DEPTHS, "length", units)
    depths.set_title(f"Top{told}", loc="left", fontweight="bold")
    _draw_sizes(volumes, found, _VOLUMES, "volume", units)
    volumes.set_title("Hollow in the wax", loc="left", fontweight="bold")


def _draw_sizes(axes: Axes, found: Spread, keys: Sequence[str], kind: Kind, units: System) -> None:
    scale, _, unit = in_units(kind, units)
    digits = 1 if units == "metric" else 2

    def write(value: float) -> str:
        return f"{scale * value:z.{digits}f}"

    shown = [(BY_KEY[key].called, found.answer(key)) for key in keys]
    highest = max(one.high or 0.0 for _, one in shown)
    end = _ROOM_FOR_TEXT * scale * max(highest, _LEAST[kind])
    _draw_answers(axes, shown, write, scale=scale, end=end)
    axes.set_xlim(min(0.0, axes.get_xlim()[0]), end)
    axes.set_xlabel(f"{'depth' if kind == 'length' else 'volume'} [{unit}]")


def _draw_answers(
    axes: Axes, named: Sequence[tuple[str, SpreadAnswer]], write: Callable[[float], str], *, scale: float, end: float
) -> None:
    """Draw answers that occur as bars below each other, on an axis up to an end, times so much [per unit]."""
    shown = [(capital(name), one) for name, one in named if one.low is not None and math.isfinite(one.low)]
    for place, (label, one) in enumerate(reversed(shown)):
        low, median, high = (float(value or 0.0) for value in (one.low, one.median, one.high))
        right = min(scale * high, end)
        axes.barh(
            place, right - scale * low, left=scale * low, height=_BAR, color=_SHADE, edgecolor=_EDGE, linewidth=0.8,
            gid=label,
        )  # fmt: skip
        for value, width, dashes in ((median, 1.6, "-"), (one.nominal, 0.9, DASHED)):
            if value is not None and scale * value <= end:
                axes.plot(
                    [scale * value] * 2, [place - _BAR / 2, place + _BAR / 2], color=_LINE, linewidth=width,
                    linestyle=dashes,
                )  # fmt: skip
        text = f"{write(median)} ({write(low)} to {write(high)})"
        room = right / end > 1.0 - _CLEAR
        axes.annotate(
            text, (scale * low if room else right, place), xytext=(-4 if room else 4, 0), textcoords="offset points",
            ha="right" if room else "left", va="center", fontsize=SMALL,
        )  # fmt: skip
    axes.set_yticks(range(len(shown)), [plain_text(label) for label, _ in reversed(shown)])
    axes.set_ylim(-0.6, max(len(shown) - 0.4, 0.6))
    axes.grid(axis="x", color="0.92", linewidth=0.5)
    axes.set_axisbelow(True)
