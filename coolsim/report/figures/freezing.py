"""How much of a wax is liquid, against temperature, as it cools and as it melts."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from coolsim.model.freezing import on_heating
from coolsim.model.freezing_curve import END, liquid_at, temperature_at
from coolsim.model.properties import Wax
from coolsim.report.figures.panels import heading
from coolsim.report.figures.style import DASHES, DOTTED, HALO, INKS, MARKERS, PAGE_WIDTH, SMALL, Drawing, styled
from coolsim.report.wording import in_units, temperature_text
from coolsim.units import System

MOST_WAXES = len(INKS)
"""How many waxes one figure can hold and tell apart [-]."""

_HEIGHT = 4.2
_ROOM, _COLDEST, _BEYOND = 20.0, 0.0, 6.0
_TICKS = 5.0
_SIGN = 4.5
_SIGNED, _APART = (0.2, 0.5, 0.8), 0.03
_GREY = "0.35"
_COOLING, _HEATING = (DASHES[0], "cooling"), (DASHES[1], "heating")


@styled
def draw_freezing(waxes: Sequence[Wax], *, units: System = "metric") -> Figure:
    """Draw the liquid share of waxes against temperature.

    Parameters
    ----------
    waxes : sequence of Wax
        One wax, or up to `MOST_WAXES`.
    units : {"metric", "us"}
        Units of the workshop.

    Returns
    -------
    Figure
        For each wax the curve by which it freezes, and the one by which it melts, with lines at 20 °C and, of a wax
        that is alone, its start and end of freezing and its clear point.

    Raises
    ------
    ValueError
        If there are no waxes, or more than the figure tells apart.

    Examples
    --------
    >>> from coolsim import catalogue_wax, draw_freezing
    >>> draw_freezing([catalogue_wax("soft-vegetable")]).axes[0].get_ylabel()
    'liquid [%]'
    """
    if not 1 <= len(waxes) <= MOST_WAXES:
        raise ValueError(f"draw 1 to {MOST_WAXES} waxes, not {len(waxes)}")
    scale, offset, degree = in_units("temperature", units)
    figure = Drawing(figsize=(PAGE_WIDTH, _HEIGHT), layout="constrained")
    alone = len(waxes) == 1
    heading(figure, "Freezing and melting", waxes[0].name if alone else f"{len(waxes)} waxes")
    axes = figure.subplots()
    warmest = max(wax.clear_point for wax in waxes) + _BEYOND
    coldest = max(_COLDEST, min(_ROOM, *(math.floor(wax.freezing[0][0] / _TICKS) * _TICKS for wax in waxes)))
    for index, wax in enumerate(waxes):
        for curve, dashes, kind in ((wax.freezing, *_COOLING), (on_heating(wax).freezing, *_HEATING)):
            ends = [(min(coldest, curve[0][0]), 0.0), *curve, (warmest, 1.0)]
            temperature, liquid = np.array(ends).T
            temperature = scale * temperature + offset
            axes.plot(temperature, 100.0 * liquid, color=INKS[index], linestyle=dashes, gid=f"{kind} {wax.name}")
            if not alone:
                signs = [share + _APART * index for share in _SIGNED]
                at = [scale * temperature_at(curve, share) + offset for share in signs]
                axes.plot(at, [100.0 * one for one in signs], MARKERS[index], color=INKS[index], markersize=_SIGN)
    _draw_room(axes, waxes[0] if alone else None, units)
    if alone:
        _draw_marks(axes, waxes[0], units)
    axes.set_xlim(scale * coldest + offset, scale * warmest + offset)
    axes.set_ylim(-3.0, 108.0)
    axes.set_xlabel(f"temperature [{degree}]")
    axes.set_ylabel("liquid [%]")
    keys = [Line2D([], [], color=_GREY, linestyle=dashes, label=name) for dashes, name in (_COOLING, _HEATING)]
    if not alone:
        looks = zip(waxes, INKS, MARKERS, strict=False)
        keys += [Line2D([], [], color=ink, marker=sign, markersize=_SIGN, label=wax.name) for wax, ink, sign in looks]
    figure.legend(handles=keys, loc="outside lower center", ncols=4, handlelength=3.4)
    return figure


def _draw_room(axes: Axes, wax: Wax | None, units: System) -> None:
    """Draw a line at a usual room temperature, and say how much of a wax that is alone is liquid there."""
    scale, offset, _ = in_units("temperature", units)
    at = scale * _ROOM + offset
    liquid = "" if wax is None else f": {100.0 * liquid_at(wax.freezing, _ROOM):.0f} % liquid"
    axes.axvline(at, color=_GREY, linewidth=0.8, linestyle=DOTTED)
    axes.annotate(
        f"{temperature_text(_ROOM, units)}{liquid}", (at, 1.0), xycoords=("data", "axes fraction"), xytext=(3, -2),
        textcoords="offset points", va="top", fontsize=SMALL, color=_GREY, path_effects=list(HALO),
    )  # fmt: skip


def _draw_marks(axes: Axes, wax: Wax, units: System) -> None:
    """Mark where a wax starts and ends to freeze, and where it is clear."""
    scale, offset, _ = in_units("temperature", units)
    marks = (
        (wax.freezing_starts, 1.0, "freezing starts", (-2, 4), "right", "bottom"),
        (wax.freezing_ends, END, "90 % is solid", (6, -4), "left", "top"),
        (wax.clear_point, 1.0, "clear", (2, 4), "left", "bottom"),
    )
    for celsius, share, name, away, across, up in marks:
        place = (scale * celsius + offset, 100.0 * share)
        axes.plot(*place, "o", color=INKS[0], markersize=_SIGN, gid=name)
        axes.annotate(
            f"{name}, {temperature_text(celsius, units, digits=1)}", place, xytext=away, textcoords="offset points",
            ha=across, va=up, fontsize=SMALL, path_effects=list(HALO),
        )  # fmt: skip
