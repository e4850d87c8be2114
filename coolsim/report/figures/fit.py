"""The log against the model, before and after a fit."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from coolsim.errors import OutputError
from coolsim.report.figures.panels import heading, time_axis
from coolsim.report.figures.style import DASHED, HOUR, INKS, MARKERS, PAGE_WIDTH, SMALL, plain_text, styled
from coolsim.report.wording import hours_minutes, in_units
from coolsim.studies.fit.fit import Fit
from coolsim.units import System

_HEIGHT, _MISFIT_SHARE = 6.6, 0.42
_MOST_MARKS = 90
_LONGER = 1.03


@styled
def draw_fit(fit: Fit, *, units: System = "metric") -> Figure:
    """Draw the readings with the curves before (dashed) and after a fit (solid), and model minus log below them."""
    if fit.log is None:
        raise OutputError("a fit without a log has nothing to draw. Give a log, or no figures.")
    scale, offset, degree = in_units("temperature", units)
    longest = _LONGER * fit.log.end
    figure = Figure(figsize=(PAGE_WIDTH, _HEIGHT), layout="constrained")
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[1.0, _MISFIT_SHARE])
    heading(figure, "Log and model", fit.scenario.title)
    for index, probe in enumerate(fit.log.probes):
        ink, marker = INKS[index % len(INKS)], MARKERS[index % len(MARKERS)]
        hours = probe.time / HOUR
        every = max(1, len(hours) // _MOST_MARKS)
        upper.plot(
            hours[::every], scale * probe.temperature[::every] + offset, marker, color=ink, markersize=3.4,
            markerfacecolor="white", markeredgewidth=0.8, label=plain_text(f"{probe.name}, logged"), gid=f"log-{index}",
        )  # fmt: skip
        for shown, dashes, when, width in ((fit.before, DASHED, "before", 1.0), (fit.after, "-", "after", 1.6)):
            inside = shown.time <= longest
            upper.plot(
                shown.time[inside] / HOUR, scale * shown.temperature[index][inside] + offset, linestyle=dashes,
                color=ink, linewidth=width, zorder=1.5, gid=f"{when}-{index}",
            )  # fmt: skip
            lower.plot(
                hours, scale * (np.interp(probe.time, shown.time, shown.temperature[index]) - probe.temperature),
                linestyle=dashes, color=ink, linewidth=width, gid=f"misfit-{when}-{index}",
            )  # fmt: skip
    lower.axhline(0.0, color="0.4", linewidth=0.6)
    upper.set_ylabel(f"temperature [{degree}]")
    lower.set_ylabel(f"model minus log [{'K' if units == 'metric' else degree}]")
    _events(upper, fit, longest)
    handles = [
        *upper.get_legend_handles_labels()[0],
        Line2D([], [], color="0.2", linestyle=DASHED, linewidth=1.0, label="model before"),
        Line2D([], [], color="0.2", linewidth=1.6, label="model after the fit"),
    ]
    upper.legend(handles=handles, loc="upper right")
    for axes in (upper, lower):
        axes.grid(color="0.9", linewidth=0.5)
        axes.set_axisbelow(True)
    time_axis(lower, longest)
    return figure


def _events(axes: Axes, fit: Fit, longest: float) -> None:
    for number, one in enumerate(fit.seen):
        if one.time > longest:
            continue
        low, high = (max(one.time - one.spread, 0.0) / HOUR, (one.time + one.spread) / HOUR)
        axes.axvspan(low, high, ymax=0.06, color="0.75", linewidth=0.0)
        axes.text(
            one.time / HOUR, 0.075 + 0.05 * (number % 2), f"{one.event} seen {hours_minutes(one.time)}",
            transform=axes.get_xaxis_transform(), ha="center", va="bottom", fontsize=SMALL,
        )  # fmt: skip
