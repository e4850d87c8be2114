"""The wax from the flakes to the pour, against time."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from coolsim.report.figures.panels import heading, time_axis
from coolsim.report.figures.style import DASHES, HALO, HOUR, INKS, PAGE_WIDTH, SMALL, Drawing, styled
from coolsim.report.wording import hours_minutes, in_units, temperature_text
from coolsim.studies.workshop.melting import Melting
from coolsim.units import System

_HEIGHT = 4.6
_AFTER_END = 1.08


@styled
def draw_melting(found: Melting, *, units: System = "metric") -> Figure:
    """Draw temperatures and the melted share against time.

    Parameters
    ----------
    found : Melting
        The melt.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        Melt, and what lies round the pitcher, above; the share that has melted below; upright lines where the last wax
        has melted, the oil is added, and the wax may be poured.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_melting, melt_batch, with_overrides
    >>> figure = draw_melting(melt_batch(with_overrides(built_in_pair()[0], {"batch.jars": 4})))
    >>> figure.axes[0].get_ylabel()
    'temperature [°C]'
    """
    scale, offset, degree = in_units("temperature", units)
    figure = Drawing(figsize=(PAGE_WIDTH, _HEIGHT), layout="constrained")
    heading(figure, "Melting", found.scenario.title)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[3.0, 1.0])
    hours = found.time / HOUR
    looks = (("melt", found.temperature, INKS[0], DASHES[0]), ("water, then room", found.water, INKS[1], DASHES[1]))
    for name, values, colour, dashes in looks:
        upper.plot(hours, scale * values + offset, color=colour, linestyle=dashes, gid=name)
    clear = scale * found.clear + offset
    upper.axhline(clear, color="0.4", linewidth=0.8, linestyle=":")
    upper.annotate(
        f"clear point {temperature_text(found.clear, units)}", (1.0, clear), xycoords=("axes fraction", "data"),
        xytext=(-2, -3), textcoords="offset points", ha="right", va="top", fontsize=SMALL, path_effects=list(HALO),
    )  # fmt: skip
    upper.set_ylabel(f"temperature [{degree}]")
    lower.plot(hours, 100.0 * found.melted, color=INKS[0], gid="melted")
    lower.set_ylabel("melted [%]")
    lower.set_ylim(-4.0, 104.0)
    longest = _AFTER_END * max(float(found.time[-1]), found.pour)
    moments = [(found.all_melted, "all melted"), (found.oil_at, "add the oil"), (found.pour, "pour")]
    placed: list[float] = []
    for time, name in reversed(moments):
        level = sum(abs(time - other) < 0.16 * longest for other in placed)
        placed.append(time)
        for axes in (upper, lower):
            axes.axvline(time / HOUR, color="black", linewidth=0.9, linestyle=":")
        upper.annotate(
            f"{name} {hours_minutes(time)}", (time / HOUR, 1.0), xycoords=("data", "axes fraction"),
            xytext=(2, 3 + 10 * level), textcoords="offset points", fontsize=SMALL, annotation_clip=False,
        )  # fmt: skip
    time_axis(lower, longest)
    lower.set_xlabel("time since the pitcher was put into the water [h:mm]")
    keys = [Line2D([], [], color=colour, linestyle=dashes, label=name) for name, _, colour, dashes in looks]
    figure.legend(handles=keys, loc="outside lower center", ncols=2, handlelength=3.4)
    return figure
