"""What was measured against the model, before and after a fit, and how far each value is known."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.lines import Line2D

from coolsim.report.figures.panels import heading, time_axis
from coolsim.report.figures.style import DASHED, HOUR, INKS, MARKERS, PAGE_WIDTH, SMALL, Drawing, plain_text, styled
from coolsim.report.wording import hours_minutes, in_units
from coolsim.scenario.plausible import SIGMAS_IN_RANGE
from coolsim.studies.fit.fit import Fit, FittedJar
from coolsim.studies.fit.probe_curves import EVENTS
from coolsim.units import System

_LOG, _MISFIT, _FIELD, _AROUND = 4.6, 2.0, 0.24, 1.5  # inches
_MOST_MARKS = 90
_PAD = 0.12
_LONGER = 1.03


@styled
def draw_fit(fit: Fit, *, units: System = "metric") -> Figure:
    """Draw each log with the curves before (dashed) and after a fit (solid), model minus log, and the intervals."""
    logged = [jar for jar in fit.jars if jar.measured.log is not None]
    heights = [*(height for _ in logged for height in (_LOG, _MISFIT)), _AROUND + _FIELD * len(fit.fields)]
    # Names of keys beside the axis come out wider in a picture than the layout, at its lower resolution, finds.
    figure = Drawing(figsize=(PAGE_WIDTH, sum(heights)), layout=ConstrainedLayoutEngine(w_pad=_PAD))
    panels = figure.subplots(len(heights), 1, squeeze=False, height_ratios=heights)[:, 0]
    heading(
        figure,
        "Log and model" if logged else "Fitted values",
        " and ".join(dict.fromkeys(jar.measured.scenario.title for jar in fit.jars)),
    )
    for number, jar in enumerate(logged):
        draw_log(panels[2 * number], panels[2 * number + 1], jar, number, units)
        panels[2 * number].set_title(plain_text(jar.measured.name), loc="left", fontsize=SMALL)
    _draw_intervals(figure, panels[-1], fit)
    return figure


def draw_log(upper: Axes, lower: Axes | None, jar: FittedJar, number: int, units: System) -> None:
    """Draw the log of a jar by its number [-], with the curves before and after the fit; model minus log below."""
    scale, offset, degree = in_units("temperature", units)
    longest = _LONGER * max(float(probe.time[-1]) for probe in jar.measured.probes)
    for index, probe in enumerate(jar.measured.probes):
        ink, marker = INKS[index % len(INKS)], MARKERS[index % len(MARKERS)]
        name = f"{number}-{index}"
        hours = probe.time / HOUR
        every = max(1, len(hours) // _MOST_MARKS)
        upper.plot(
            hours[::every], scale * probe.temperature[::every] + offset, marker, color=ink, markersize=3.4,
            markerfacecolor="white", markeredgewidth=0.8, label=plain_text(f"{probe.name}, logged"), gid=f"log-{name}",
        )  # fmt: skip
        # A few filled signs say without colour whose model a curve is.
        signs: dict[str, Any] = {
            "color": ink, "marker": marker, "markersize": 4.0, "markevery": (0.06 + 0.03 * index, 0.2)
        }  # fmt: skip
        for shown, dashes, when, width in ((jar.before, DASHED, "before", 1.0), (jar.after, "-", "after", 1.6)):
            inside = shown.time <= longest
            upper.plot(
                shown.time[inside] / HOUR, scale * shown.temperature[index][inside] + offset, linestyle=dashes,
                linewidth=width, zorder=1.5, gid=f"{when}-{name}", **signs,
            )  # fmt: skip
            if lower is None:
                continue
            lower.plot(
                hours, scale * (np.interp(probe.time, shown.time, shown.temperature[index]) - probe.temperature),
                linestyle=dashes, linewidth=width, gid=f"misfit-{when}-{name}", **signs,
            )  # fmt: skip
    upper.set_ylabel(f"temperature [{degree}]")
    _events(upper, jar, longest)
    handles = [
        *upper.get_legend_handles_labels()[0],
        Line2D([], [], color="0.2", linestyle=DASHED, linewidth=1.0, label="model before (filled signs)"),
        Line2D([], [], color="0.2", linewidth=1.6, label="model after the fit (filled signs)"),
    ]
    upper.legend(handles=handles, loc="upper right")
    if lower is not None:
        lower.axhline(0.0, color="0.4", linewidth=0.6)
        lower.set_ylabel(f"model minus log [{degree}]")
        upper.sharex(lower)
        upper.tick_params(labelbottom=False)
    drawn = [upper] if lower is None else [upper, lower]
    for axes in drawn:
        axes.grid(color="0.9", linewidth=0.5)
        axes.set_axisbelow(True)
    time_axis(drawn[-1], longest)


def _draw_intervals(figure: Figure, axes: Axes, fit: Fit) -> None:
    """Draw the 95 % interval of each value over its plausible range, each range as wide as the panel's grey band."""
    half = 0.5 * SIGMAS_IN_RANGE
    axes.axvspan(-half, half, color="0.93", linewidth=0.0, label="plausible before")
    axes.axvline(0.0, color="0.4", linewidth=0.6)
    for row, one in enumerate(fit.fields):
        centre, *places = (one.known.to_space(value) for value in (one.known.centre, one.low, one.value, one.high))
        low, value, high = ((place - centre) / one.known.sigma for place in places)
        first = row == 0
        axes.plot(
            [low, high], [row, row], color=INKS[0], linewidth=2.0, solid_capstyle="butt", gid=f"interval-{row}",
            label="95 % interval" if first else None,
        )  # fmt: skip
        axes.plot(
            [value], [row], MARKERS[0], color=INKS[0], markersize=4.5, gid=f"value-{row}",
            label="fitted" if first else None,
        )  # fmt: skip
    axes.set_yticks(range(len(fit.fields)), [plain_text(one.known.key) for one in fit.fields])
    axes.set_ylim(len(fit.fields) - 0.5, -0.5)
    axes.set_xticks([-half, 0.0, half], ["lowest plausible", "before the fit", "highest plausible"])
    figure.legend(*axes.get_legend_handles_labels(), loc="outside lower center", ncols=3)


def _events(axes: Axes, jar: FittedJar, longest: float) -> None:
    for number, one in enumerate(seen for seen in jar.measured.seen if seen.what in EVENTS):
        if one.value > longest:
            continue
        low, high = (max(one.value - one.deviation, 0.0) / HOUR, (one.value + one.deviation) / HOUR)
        axes.axvspan(low, high, ymax=0.06, color="0.75", linewidth=0.0)
        axes.text(
            one.value / HOUR, 0.075 + 0.05 * (number % 2), f"{one.what} seen {hours_minutes(one.value)}",
            transform=axes.get_xaxis_transform(), ha="center", va="bottom", fontsize=SMALL,
        )  # fmt: skip
