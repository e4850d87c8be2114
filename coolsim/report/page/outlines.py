"""The cut jar as outlines that an SVG draws, in tenths of a millimetre: from the axis outwards, from the wax downwards.

What is inside the wax is outlined right of the axis alone: the page mirrors it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.figure import Figure
from matplotlib.path import Path

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.section import Array, Integers
from coolsim.report.figures.cut import cavity_outlines, inner_radius, is_hollow, surface
from coolsim.report.figures.section_parts import Field, finer, flaps, held, on_wax, softness, solved_parts
from coolsim.report.wording import called
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.result import Result

TENTHS = 1e4
"""Tenths of a millimetre in a metre [1/m]."""

_FINE = 0.5  # tenths of a millimetre: nobody sees less
_BESIDE, _BESIDE_WATER = 1.03, 1.3  # of what stands on the bench, as far as it is drawn
_DEEP = 60.0  # tenths of a millimetre of bench


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part that does not change: what it is, and its left, upper, right and lower edge."""

    what: str
    box: tuple[int, int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """The wax at a time, as paths of an SVG: empty where there is nothing to draw.

    `wax` lies under the top, `top` is the top itself; `soft` has not set yet, `front` and `stiff` are the two fronts;
    `bands` are as warm as between two levels each, the coldest first; `cavity` is hidden under the top.
    """

    wax: str
    top: str
    soft: str
    front: str
    stiff: str
    bands: tuple[str, ...]
    cavity: str


def parts_of(result: Result) -> tuple[Part, ...]:
    """List what stands still round the wax, from behind to the front, with the wax as it was poured."""
    bottom = result.required_wax().bottom
    fields = [*solved_parts(result, 0.0), *flaps(result, 0.0)]
    reach = max(float(np.abs(field.x).max()) for field in fields if field.what != "bench")
    reach *= _BESIDE_WATER if result.held else _BESIDE
    found = []
    for field in (*held(result, reach), *fields):
        left, right = (float(np.clip(end, -reach, reach)) for end in (field.x[0], field.x[-1]))
        low, high = (float(end) - bottom for end in (field.z[0], field.z[-1]))
        if field.what == "bench":
            low = max(low, high - _DEEP / TENTHS)
        found.append(Part(what=field.what, box=_box(left, high, right, low)))
    return tuple(sorted(found, key=lambda part: part.what == "wax"))


def named(result: Result, part: Part) -> str:
    """Name a part as figures do."""
    return called(result, part.what)


def pictures(result: Result, times: Sequence[float], levels: Sequence[float]) -> Iterator[Picture]:
    """Draw the wax at times [s], with bands between levels of temperature [°C]; the last state stays after the end."""
    wax, axes = result.required_wax(), Figure().add_subplot()

    def regions(field: Field, levels: Sequence[float]) -> list[str]:
        drawn = axes.contourf(field.x, field.z, field.values, levels=levels, colors="black")
        found = [_path(path) for path in drawn.get_paths()]
        drawn.remove()
        return found

    def lines(field: Field, levels: Sequence[float]) -> list[str]:
        if not any(field.values.min() < level < field.values.max() for level in levels):
            return [""] * len(levels)
        drawn = axes.contour(field.x, field.z, field.values, levels=levels, colors="black")
        found = [_path(path) for path in drawn.get_paths()]
        drawn.remove()
        return found

    # Heat above that of wax which has just set, and that of stiff wax: one field has both fronts.
    stiff = enthalpy_at_fraction(wax.table, result.stiff_at) - enthalpy_at_fraction(wax.table, result.sets_at)
    levels_of_fronts = sorted({0.0, min(stiff, 0.0)})
    for time, top in zip(times, result.tops_at(list(times)), strict=True):
        now = min(time, float(result.time[-1]))
        solid = _right(finer(softness(result, now, result.sets_at)), wax.bottom)
        warm = _right(on_wax(wax, result.temperature_map(now)[_rows(result)]), wax.bottom)
        soft = regions(solid, [0.0, 2.0 * float(solid.values.max())])[0] if solid.values.max() > 0.0 else ""
        fronts = lines(solid, levels_of_fronts)
        yield Picture(
            **_top(top),
            soft=soft,
            front=fronts[-1],
            stiff=fronts[0],
            bands=tuple(regions(warm, levels)),
            cavity="".join(_lines(TENTHS * one * [1.0, -1.0], closed=True) for one in _cavities(top, result)),
        )


def profile(top: Shrinkage) -> list[tuple[float, float]]:
    """Points of a top from the axis to the wall: radius, and depth below where it was poured to [mm]."""
    x, z = surface(top.r, inner_radius(top), top.level)
    right = x >= 0.0
    points = np.column_stack([x[right], top.pour_level - z[right]]) * TENTHS
    return [(round(float(r) / 10.0, 1), round(float(depth) / 10.0, 2)) for r, depth in _thinned(points, _FINE)]


def _rows(result: Result) -> tuple[Integers, Integers]:
    """Where the wax cells lie on the plane."""
    cells = result.required_wax().cells
    return result.grid.row[cells], result.grid.column[cells]


def _right(field: Field, bottom: float) -> Field:
    """Take what is right of the axis, drawn on to it flat, in tenths of a millimetre and downwards."""
    right = field.x > 0.0
    x, values = field.x[right], field.values[:, right]
    first = field.values[:, [int(np.argmin(np.abs(field.x)))]]
    return replace(
        field, x=TENTHS * np.concatenate([[0.0], x]), z=-TENTHS * (field.z - bottom), values=np.hstack([first, values])
    )


def _top(top: Shrinkage) -> dict[str, str]:
    radius = inner_radius(top)
    x, z = surface(top.r, radius, top.level)
    points = _thinned(TENTHS * np.column_stack([x, -z]), 0.5 * _FINE)
    corners = TENTHS * np.array([[radius, 0.0], [-radius, 0.0]])
    return {"wax": _lines(np.vstack([points, corners]), closed=True), "top": _lines(points)}


def _cavities(top: Shrinkage, result: Result) -> list[Array]:
    return cavity_outlines(top) if is_hollow(top, result.answers) else []


def _box(left: float, high: float, right: float, low: float) -> tuple[int, int, int, int]:
    return round(TENTHS * left), round(-TENTHS * high), round(TENTHS * right), round(-TENTHS * low)


def _path(path: Path) -> str:
    """Write a path of straight lines; closed pieces stay closed."""
    vertices, codes = np.asarray(path.vertices), np.asarray(path.codes)
    if not len(vertices):
        return ""
    starts = np.flatnonzero(codes == Path.MOVETO)
    pieces = []
    for start, end in zip(starts, [*starts[1:], len(codes)], strict=True):
        closed = codes[end - 1] == Path.CLOSEPOLY
        piece = vertices[start : end - 1] if closed else vertices[start:end]
        pieces.append(_lines(_thinned(piece, _FINE), closed=bool(closed)))
    return "".join(pieces)


def _lines(points: Array, *, closed: bool = False) -> str:
    """Write points as whole numbers, each from the one before it, without those that fall on it."""
    whole = np.rint(points).astype(int)
    steps = np.diff(whole, axis=0)
    steps = steps[np.any(steps != 0, axis=1)]
    if not len(steps):
        return ""
    told = "l" + " ".join(f"{x} {y}" for x, y in steps)
    return f"M{whole[0, 0]} {whole[0, 1]}{told}{'z' if closed else ''}".replace(" -", "-")


def _thinned(points: Array, within: float) -> Array:
    """Leave out points that lie so near to the line through those that stay."""
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(points) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        between, along = points[first + 1 : last] - points[first], points[last] - points[first]
        length = float(np.hypot(*along))
        off = np.hypot(*between.T) if length == 0.0 else np.abs(between @ [-along[1], along[0]]) / length
        worst = int(np.argmax(off))
        if off[worst] > within:
            middle = first + 1 + worst
            keep[middle] = True
            todo += [(first, middle), (middle, last)]
    return points[keep]
