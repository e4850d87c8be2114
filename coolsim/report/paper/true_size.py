"""Drawings in real size on paper, or in a stated part of it, and a ruler that proves it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.text import Text

from coolsim.errors import OutputError
from coolsim.report.paper.typeset import put, text_width
from coolsim.units import System

MM = 1.0 / 25.4
"""A millimetre of paper [in]."""

PER_METRE = 1000.0
"""Such axes are in millimetres of the jar [1/m]."""

PRINT_AT = "Print at 100 %: only then is this ruler true."
"""What makes the size on paper that of the file."""

SCALES = tuple(Fraction(*one) for one in ((1, 1), (3, 4), (2, 3), (1, 2), (1, 3), (1, 4), (1, 5), (1, 6), (1, 8)))
"""Parts of the real size in which a jar may be drawn [-]."""

_RULED = 100
_MARKS = {10: 0.16, 5: 0.11, 1: 0.07}
_INCHES, _PARTS = 4, 16
_INCH_MARKS = {16: 0.16, 8: 0.13, 4: 0.11, 2: 0.09, 1: 0.07}


def largest_scale(
    wide: float, high: float, room: Callable[[Fraction], tuple[float, float]], scales: Sequence[Fraction] = SCALES
) -> Fraction:
    """Choose the largest scale [-] in which something so wide and high [mm] has room on paper [in].

    The room may depend on the scale; OutputError if it is too large for all of them.
    """
    for scale in scales:
        across, up = room(scale)
        if scale * wide * MM <= across and scale * high * MM <= up:
            return scale
    raise OutputError(f"A drawing of {wide:.0f} mm × {high:.0f} mm does not fit on this paper. Take a larger one.")


def scale_text(scale: Fraction) -> str:
    """Say how large something is drawn.

    >>> scale_text(Fraction(1)), scale_text(Fraction(1, 2))
    ('real size (1 : 1)', 'not real size: 1 : 2')
    """
    ratio = ratio_text(scale)
    return f"real size ({ratio})" if scale == 1 else f"not real size: {ratio}"


def ratio_text(scale: Fraction) -> str:
    """Write a scale as a ratio."""
    return f"{scale.numerator} : {scale.denominator}"


def true_axes(
    page: Figure, x: float, y: float, extent: tuple[float, float, float, float], scale: Fraction | float = 1
) -> Axes:
    """Lay axes on a page in which a millimetre of the jar is one of the paper, times a scale [-].

    Their origin lies at a place from the lower left corner of the paper [in], and they reach to the left, down, right
    and up of it [mm].
    """
    left, low, right, high = extent
    wide, tall = page.get_size_inches()
    inch = MM * float(scale)
    axes = page.add_axes(
        ((x + left * inch) / wide, (y + low * inch) / tall, (right - left) * inch / wide, (high - low) * inch / tall)
    )
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.patch.set_visible(False)
    for spine in axes.spines.values():
        spine.set_visible(False)
    axes.xaxis.set_visible(False)
    axes.yaxis.set_visible(False)
    return axes


def draw_ruler(page: Figure, x: float, y: float, *, units: System, size: float) -> float:
    """Draw a ruler of 100 mm to the right of a place on paper [in], with inches above it in US units.

    Numbers are of a size [pt]. Return how high it reaches above its line, below which the millimetres hang [in].
    """
    _ruled(page, x, y, [one * MM for one in range(_RULED + 1)], _MARKS, -1.0, "ruler mm")
    for one in range(0, _RULED + 1, 10):
        told = f"{one} mm" if one == _RULED else f"{one}"
        _number(page, told, x + one * MM, y - 0.18, size, "top")
    if units != "us":
        return 0.0
    _ruled(page, x, y, [one / _PARTS for one in range(_INCHES * _PARTS + 1)], _INCH_MARKS, 1.0, "ruler in")
    for one in range(_INCHES + 1):
        _number(page, f"{one} in" if one == _INCHES else f"{one}", x + one, y + 0.18, size, "bottom")
    return 0.18 + size / 72.0


def _ruled(
    page: Figure, x: float, y: float, places: Sequence[float], marks: dict[int, float], way: float, gid: str
) -> None:
    lines = [[(x + places[0], y), (x + places[-1], y)]]
    for number, place in enumerate(places):
        tall = next(length for every, length in marks.items() if number % every == 0)
        lines.append([(x + place, y), (x + place, y + way * tall)])
    page.add_artist(LineCollection(lines, colors="black", linewidths=0.5, transform=page.dpi_scale_trans, gid=gid))


def _number(page: Figure, told: str, x: float, y: float, size: float, va: str) -> None:
    put(page, told, x - 0.5 * text_width(told.partition(" ")[0], size), y, size=size, va=va)


def fitted(text: str, width: float, size: float, weight: str = "normal", *, least: float = 0.7) -> tuple[str, float]:
    """Set a line smaller until it is so wide [in] at most, down to a share of its size [pt], and cut it off there.

    >>> fitted("A jar", 9.0, 12.0)
    ('A jar', 12.0)
    """
    wide = text_width(text, size, weight)
    if wide <= width:
        return text, size
    smaller = size * max(least, width / wide)
    if text_width(text, smaller, weight) <= width:
        return text, smaller
    ends = (f"{text[:end].rstrip()} …" for end in range(len(text), 0, -1))
    return next((one for one in ends if text_width(one, smaller, weight) <= width), "…"), smaller


def line(
    page: Figure, text: str, x: float, y: float, *, width: float, size: float, weight: str = "normal", ha: str = "left"
) -> Text:
    """Write a line on its base at a place on paper [in], smaller if it is wider than that [in]."""
    told, fits = fitted(text, width, size, weight)
    return put(page, told, x, y, size=fits, weight=weight, ha=ha, va="baseline")  # type: ignore[return-value]
