"""Hot air on a set top as a figure: depth and temperatures against seconds, and the top before and after."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from coolsim.model.section import Array
from coolsim.report.figures.panels import radius_axis, round_step
from coolsim.report.figures.style import DASHES, DOTTED, HALO, INKS, PAGE_WIDTH, SMALL, styled, titles_fit
from coolsim.report.text.repair import at, blown_text, vessel_word
from coolsim.report.wording import in_units, length_text, temperature_text
from coolsim.studies.repair.repair import Repair
from coolsim.units import System, format_quantity

_HEIGHT = 3.4
_TICKS = (5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0)
_MOST_TICKS = 7
_BEYOND = 1.8
_SHORTEST = 60.0
_GREY = "0.35"
_HEADROOM = 1.12

_Curve = tuple[Array, str, str]  # values, name, gid
_Mark = tuple[float, str, bool]  # height, text, whether on the left


@styled
def draw_repair(
    found: Repair, *, title: str, units: System = "metric", films: tuple[Repair, Repair] | None = None
) -> Figure:
    """Draw what hot air does to a set top.

    Parameters
    ----------
    found : Repair
        The repair.
    title : str
        What the jar is called.
    units : {"metric", "us"}
        Units of the workshop.
    films : (Repair, Repair), optional
        The same with the weakest and the strongest jet, as `coolsim.studies.repair.repair.over_films` gives them.

    Returns
    -------
    Figure
        Melted depth, with lines where it levels the dish and where the cavity begins; temperatures of the surface and
        of the rim, with lines for what burns the hand and what the oil bears; and the top before and after.

    Examples
    --------
    >>> from coolsim import built_in_pair, draw_repair, repair, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> figure = draw_repair(repair(quick), title="Bare")
    >>> figure.axes[0].get_ylabel()
    'melted depth [mm]'
    """
    figure = Figure(figsize=(PAGE_WIDTH, _HEIGHT), layout="constrained")
    depths, temperatures, tops = figure.subplots(1, 3, width_ratios=[1.0, 1.0, 0.9])
    longest = _end(found)
    _draw_depths(depths, found, films, longest, units)
    _draw_temperatures(temperatures, found, longest, units)
    _draw_tops(tops, found, units)
    depths.set_title(titles_fit(title, 50), loc="left", fontweight="bold")
    return figure


def _end(found: Repair) -> float:
    """End of the axes [s]: somewhat beyond the last time that is asked for."""
    asked = [time for time in (found.levelled, found.opened, found.too_hot) if time is not None]
    if found.reaches is None or not asked:
        return float(found.seconds[-1])
    return float(min(found.seconds[-1], max(_BEYOND * max(asked), _SHORTEST)))


def _draw_against_seconds(
    axes: Axes, found: Repair, longest: float, curves: Sequence[_Curve], marks: Sequence[_Mark], *, label: str,
    ink: int, low: float, high: float, band: tuple[Array, Array, Array, str] | None = None,
) -> None:  # fmt: skip
    """Draw curves, level lines with a text on the right or the left, and the smallest time that reaches all."""
    for number, (curve, name, gid) in enumerate(curves):
        axes.plot(found.seconds, curve, color=INKS[number + ink], linestyle=DASHES[number], label=name, gid=gid)
    if band is not None:
        seconds, low_edge, high_edge, name = band
        axes.fill_between(seconds, low_edge, high_edge, color=INKS[5], alpha=0.3, linewidth=0.0, label=name)
    for value, text, left in marks:
        axes.axhline(value, color=_GREY, linewidth=0.8, linestyle=DOTTED)
        place, side = (0.02, "left") if left else (0.985, "right")
        axes.text(place * longest, value, text, fontsize=SMALL, color=_GREY, ha=side, va="bottom", path_effects=HALO)
    axes.set_ylim(low, high)
    if found.reaches is not None:
        axes.axvline(found.reaches, color=_GREY, linewidth=0.8, linestyle=DASHES[1])
        axes.text(found.reaches, high, f" {blown_text(found.reaches)}", fontsize=SMALL, color=_GREY, va="top")
    axes.set_xlim(0.0, longest)
    axes.xaxis.set_major_locator(MultipleLocator(round_step(longest, _TICKS, _MOST_TICKS)))
    axes.set_xlabel("hot air blown for [s]")
    axes.set_ylabel(label)
    axes.legend(loc="upper left")


def _between_films(films: tuple[Repair, Repair], scale: float) -> tuple[Array, Array, Array, str]:
    """Depth in the middle with the weakest and with the strongest jet, against seconds."""
    seconds = films[0].seconds
    weak, strong = (np.interp(seconds, one.seconds, one.depth_in_middle) for one in films)
    label = f"film {films[0].hot_air.film:g} to {format_quantity(films[1].hot_air.film, 'film_coefficient')}"
    return seconds, scale * weak, scale * strong, label


def _draw_depths(axes: Axes, found: Repair, films: tuple[Repair, Repair] | None, longest: float, units: System) -> None:
    scale, _, unit = in_units("length", units)
    depths = [(found.levels_from, "levels the dish")] if "level" in found.goals else []
    if "open" in found.goals and found.before.cavity_roof is not None:
        depths.append((found.before.cavity_roof, "roof of the cavity"))
    ends = [at(one, one.depth_in_middle, longest) for one in films or ()]
    ends += [at(found, curve, longest) for curve in (found.depth_in_middle, found.depth_at_glass)]
    deepest = max(*ends, *(depth for depth, _ in depths))
    _draw_against_seconds(
        axes, found, longest,
        [
            (scale * found.depth_in_middle, "in the middle", "middle"),
            (scale * found.depth_at_glass, f"at the {vessel_word(found)}", "glass"),
        ],
        # Deep marks stand over the curves on the left, shallow ones under them on the right.
        [(scale * depth, f"{text}: {length_text(depth, units)}", depth > 0.4 * deepest) for depth, text in depths],
        label=f"melted depth [{unit}]", ink=1, low=0.0, high=scale * _HEADROOM * deepest,
        band=None if films is None else _between_films(films, scale),
    )  # fmt: skip


def _draw_temperatures(axes: Axes, found: Repair, longest: float, units: System) -> None:
    scale, offset, degree = in_units("temperature", units)
    limits = [(found.hot_air.hot_to_touch, "hot to the touch")]
    if found.hottest_oil is not None:
        limits.append((found.hottest_oil, "hottest that the oil may meet"))
    highest = max(*(at(found, curve, longest) for curve in (found.surface, found.rim)), *(one for one, _ in limits))
    low = float(min(found.surface[0], found.rim[0]))
    _draw_against_seconds(
        axes, found, longest,
        [
            (scale * found.surface + offset, "wax surface, hottest", "surface"),
            (scale * found.rim + offset, f"brim of the {vessel_word(found)}", "rim"),
        ],
        [(scale * limit + offset, f"{text}: {temperature_text(limit, units)}", False) for limit, text in limits],
        label=f"temperature [{degree}]", ink=2, low=scale * low + offset,
        high=scale * (low + _HEADROOM * (highest - low)) + offset,
    )  # fmt: skip


def _draw_tops(axes: Axes, found: Repair, units: System) -> None:
    scale, _, unit = in_units("length", units)
    before = found.before
    profiles = [(before.level, "before", "before")]
    if found.after is not None:
        profiles.append((found.after.level, "after, set again", "after"))
    for number, (level, name, gid) in enumerate(profiles):
        radius = scale * np.concatenate([-before.r[::-1], before.r])
        below = scale * (np.concatenate([level[::-1], level]) - before.pour_level)
        axes.plot(radius, below, color=INKS[number], linestyle=DASHES[number], label=name, gid=gid)
    lowest = scale * float(min(level.min() for level, *_ in profiles) - before.pour_level)
    axes.set_ylim(_HEADROOM * lowest, -0.25 * lowest)
    axes.axhline(0.0, color=_GREY, linewidth=0.8, linestyle=DOTTED)
    axes.text(0.0, 0.0, "poured", fontsize=SMALL, color=_GREY, ha="center", va="bottom")
    radius_axis(axes, unit)
    axes.set_ylabel(f"top over the pour level [{unit}]")
    axes.set_title("The top, stretched", loc="left")
    axes.legend(loc="lower right")
