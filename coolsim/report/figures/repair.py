"""Hot air on a set top as a figure: depth and temperatures against seconds, and the top before and after."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from coolsim.report.figures.common import (
    DASHES,
    DOTTED,
    HALO,
    INKS,
    PAGE_WIDTH,
    SMALL,
    radius_axis,
    round_step,
    styled,
    titles_fit,
)
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


def _seconds_axis(axes: Axes, longest: float) -> None:
    axes.set_xlim(0.0, longest)
    axes.xaxis.set_major_locator(MultipleLocator(round_step(longest, _TICKS, _MOST_TICKS)))
    axes.set_xlabel("hot air blown for [s]")


def _needed(axes: Axes, found: Repair, height: float) -> None:
    """Mark the smallest time that reaches all, if there is one."""
    time = found.reaches
    if time is None:
        return
    axes.axvline(time, color=_GREY, linewidth=0.8, linestyle=DASHES[1])
    axes.text(time, height, f" {blown_text(time)}", fontsize=SMALL, color=_GREY, va="top")


def _line(axes: Axes, value: float, text: str, longest: float, *, left: bool = False) -> None:
    axes.axhline(value, color=_GREY, linewidth=0.8, linestyle=DOTTED)
    place, side = (0.02, "left") if left else (0.985, "right")
    axes.text(place * longest, value, text, fontsize=SMALL, color=_GREY, ha=side, va="bottom", path_effects=HALO)


def _draw_films(axes: Axes, films: tuple[Repair, Repair], units: System) -> None:
    """Shade the depth in the middle between the weakest and the strongest jet."""
    scale, _, _ = in_units("length", units)
    seconds = films[0].seconds
    weak, strong = (np.interp(seconds, one.seconds, one.depth_in_middle) for one in films)
    label = f"film {films[0].hot_air.film:g} to {format_quantity(films[1].hot_air.film, 'film_coefficient')}"
    axes.fill_between(seconds, scale * weak, scale * strong, color=INKS[5], alpha=0.3, linewidth=0.0, label=label)


def _draw_depths(axes: Axes, found: Repair, films: tuple[Repair, Repair] | None, longest: float, units: System) -> None:
    scale, _, unit = in_units("length", units)
    curves = ((found.depth_in_middle, "in the middle", "middle"), (found.depth_at_glass, "at the glass", "glass"))
    for number, (curve, name, gid) in enumerate(curves):
        label = name.replace("glass", vessel_word(found))
        axes.plot(
            found.seconds, scale * curve, color=INKS[number + 1], linestyle=DASHES[number], label=label, gid=gid
        )  # fmt: skip
    marks = []
    if "level" in found.goals:
        marks.append((found.levels_from, f"levels the dish: {length_text(found.levels_from, units)}"))
    if "open" in found.goals and found.before.cavity_roof is not None:
        roof = found.before.cavity_roof
        marks.append((roof, f"roof of the cavity: {length_text(roof, units)}"))
    if films is not None:
        _draw_films(axes, films, units)
    ends = [at(one, one.depth_in_middle, longest) for one in films or ()]
    ends += [at(found, curve, longest) for curve, *_ in curves] + [depth for depth, _ in marks]
    deepest = max(ends)
    for depth, text in marks:
        # Deep marks stand over the curves on the left, shallow ones under them on the right.
        _line(axes, scale * depth, text, longest, left=depth > 0.4 * deepest)
    axes.set_ylim(0.0, scale * _HEADROOM * deepest)
    _needed(axes, found, scale * _HEADROOM * deepest)
    _seconds_axis(axes, longest)
    axes.set_ylabel(f"melted depth [{unit}]")
    axes.legend(loc="upper left")


def _draw_temperatures(axes: Axes, found: Repair, longest: float, units: System) -> None:
    scale, offset, degree = in_units("temperature", units)
    vessel = vessel_word(found)
    curves = ((found.surface, "wax surface, hottest", "surface"), (found.rim, f"rim of the {vessel}", "rim"))
    for number, (curve, name, gid) in enumerate(curves):
        axes.plot(
            found.seconds, scale * curve + offset, color=INKS[number + 2], linestyle=DASHES[number], label=name, gid=gid
        )
    marks = [(found.hot_air.hot_to_touch, "hot to the touch")]
    if found.hottest_oil is not None:
        marks.append((found.hottest_oil, "hottest that the oil may meet"))
    for limit, text in marks:
        _line(axes, scale * limit + offset, f"{text}: {temperature_text(limit, units)}", longest)
    values = [at(found, curve, longest) for curve, *_ in curves] + [limit for limit, _ in marks]
    low = float(min(found.surface[0], found.rim[0]))
    top = low + _HEADROOM * (max(values) - low)
    axes.set_ylim(scale * low + offset, scale * top + offset)
    _needed(axes, found, scale * top + offset)
    _seconds_axis(axes, longest)
    axes.set_ylabel(f"temperature [{degree}]")
    axes.legend(loc="upper left")


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
