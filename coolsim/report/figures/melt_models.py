"""The answers of a jar under each model of the melt, side by side."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.lines import Line2D
from matplotlib.ticker import MultipleLocator

from coolsim.answers.catalogue import BY_KEY
from coolsim.answers.text import value_text
from coolsim.report.figures.panels import time_axis
from coolsim.report.figures.style import DASHES, HOUR, INKS, MARKERS, PAGE_WIDTH, SMALL, Drawing, styled, titles_fit
from coolsim.report.wording import in_units, length_text
from coolsim.solve.curves import temperature_of_point
from coolsim.studies.checks.melt_models import MODELS, MeltModels
from coolsim.units import System

NEAR_TOP = 5e-3
"""Depth under the poured surface of the point whose cooling is drawn; a tenth of the depth of the wax if less [m]."""

_TIMES = ("rim_set_s", "wick_free_until_s", "top_closed_s", "fully_set_s")
_DEPTHS = ("dish_m", "hole_m")
_APART = 0.27
_CROWDED = 6 * HOUR
_ROOM_FOR_TEXT = 1.75
_HEIGHT, _KEY_HEIGHT, _MARGIN = 2.75, 0.35, 0.12


@styled
def draw_melt_models(found: Sequence[tuple[str, MeltModels]], *, units: System = "metric") -> Figure:
    """Draw what depends on the model of the melt.

    Parameters
    ----------
    found : sequence of (str, MeltModels)
        Titles and runs; a row of panels for each.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        For each jar when the top and the whole set, dish and hole as dots with the difference from the stratified
        melt, and the temperature on the axis near the top against time, under each model.

    Raises
    ------
    ValueError
        If there is no jar.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_melt_models, melt_models, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_melt_models([("Bare", melt_models(quick))])
    >>> figure.axes[1].get_xlabel()
    'depth [mm]'
    """
    if not found:
        raise ValueError("there is no jar to draw")
    height = _HEIGHT * len(found) + _KEY_HEIGHT
    figure = Drawing(figsize=(PAGE_WIDTH, height), layout=ConstrainedLayoutEngine(w_pad=_MARGIN))
    grid = figure.subplots(len(found), 3, squeeze=False, width_ratios=[1.1, 0.9, 1.0])
    factor, _, unit = in_units("length", units)
    for (title, one), (times, depths, curves) in zip(found, grid, strict=True):
        _dots(times, one, _TIMES, scale=HOUR, units=units)
        time_axis(times, HOUR * times.get_xlim()[1])
        times.set_title(titles_fit(title, 60), loc="left", fontweight="bold")
        _dots(depths, one, _DEPTHS, scale=1.0 / factor, units=units)
        depths.set_xlabel(f"depth [{unit}]")
        _curves(curves, one, units)
    figure.legend(handles=_key(found), loc="outside lower center", ncols=len(MODELS), handlelength=3.4)
    return figure


def _dots(axes: Axes, found: MeltModels, names: Sequence[str], *, scale: float, units: System) -> None:
    """Draw a dot for each answer and model, with its value and how far it is off the stratified melt."""
    values = [value for name in names for model in MODELS if (value := found.value(name, model)) is not None]
    axes.set_xlim(0.0, _ROOM_FOR_TEXT * max(values, default=scale) / scale)
    for row, name in enumerate(names):
        if row % 2:
            axes.axhspan(row - 0.5, row + 0.5, color="0.95", linewidth=0.0, zorder=0)
        for number, model in enumerate(MODELS):
            value, off = found.value(name, model), found.difference(name, model)
            height = row + (number - 1) * _APART
            if value is None:
                axes.text(0.0, height, "  not reached", va="center", fontsize=SMALL, color=INKS[number])
                continue
            axes.plot(
                value / scale, height, linestyle="none", marker=MARKERS[number], markersize=5, color=INKS[number],
                clip_on=False, gid=f"{name}-{model}",
            )  # fmt: skip
            text = value_text(BY_KEY[name], value, units)
            if number and off is not None:
                text += f" ({100.0 * off:+.0f} %)".replace("-0 %", "+0 %")
            axes.annotate(
                text, xy=(value / scale, height), xytext=(6, 0), textcoords="offset points", va="center",
                fontsize=SMALL, color=INKS[number],
            )  # fmt: skip
    axes.set_ylim(len(names) - 0.5, -0.5)
    axes.set_yticks(range(len(names)), [BY_KEY[name].called for name in names])
    axes.tick_params(axis="y", length=0.0)


def _curves(axes: Axes, found: MeltModels, units: System) -> None:
    scale, offset, degree = in_units("temperature", units)
    wax = found.results[0].required_wax()
    depth = float(wax.z_edges[-1])
    under = min(NEAR_TOP, 0.1 * depth)
    for number, (model, result) in enumerate(zip(MODELS, found.results, strict=True)):
        temperature = temperature_of_point(result, 0.0, depth - under)
        axes.plot(
            result.time / HOUR, scale * temperature + offset, color=INKS[number], linestyle=DASHES[number],
            marker=MARKERS[number], markersize=3.2, markevery=(0.05 + 0.04 * number, 0.15), gid=f"axis-{model}",
        )  # fmt: skip
    longest = max(float(result.time[-1]) for result in found.results)
    time_axis(axes, longest)
    if longest > _CROWDED:
        # The usual ticks are for a panel as wide as the page.
        axes.xaxis.set_major_locator(MultipleLocator(2.0))
    axes.set_ylabel(f"temperature [{degree}]")
    axes.set_title(f"Axis, {length_text(under, units)} under the surface", loc="left")


def _key(found: Sequence[tuple[str, MeltModels]]) -> list[Line2D]:
    factors = {one.scenario.jar.melt.conductivity_factor for _, one in found}
    times = f", {factors.pop():g} ×" if len(factors) == 1 else ""
    names = ("stratified melt", f"effective conductivity{times}", "no mixing: pure conduction")
    return [
        Line2D(
            [], [], color=INKS[number], linestyle=DASHES[number], marker=MARKERS[number], markersize=5, label=name
        )
        for number, name in enumerate(names)
    ]  # fmt: skip
