"""Curves against time read off a run: named points, the solid front, the wall outside and the shares of heat."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.problem import Path
from coolsim.model.section import Array, Integers
from coolsim.solve.result import Result
from coolsim.solve.wax_body import WaxBody

PATHS: tuple[Path, ...] = ("top", "side", "base")

_IN_FROM_GLASS = 2e-3
_LARGEST_SHARE_IN = 0.1
_ROUND_OFF = 1e-8
_SHARE_OF_HEAT_JUDGED = 0.01


def usual_points(wax: WaxBody) -> MappingProxyType[str, tuple[float, float]]:
    """Points of the wax whose cooling tells most, by name: radius and height above the bottom of the wax [m].

    "Rim" and "near the glass" are 2 mm from the glass, or a tenth of the radius where that is less.
    """
    radius, depth = float(wax.r_edges[-1]), float(wax.z_edges[-1])
    near = radius - min(_IN_FROM_GLASS, _LARGEST_SHARE_IN * radius)
    return MappingProxyType(
        {
            "surface centre": (0.0, depth),
            "surface rim": (near, depth),
            "centre": (0.0, 0.5 * depth),
            "near the glass": (near, 0.5 * depth),
        }
    )


def temperature_of_point(result: Result, r: float, z: float) -> Array:
    """Temperature [°C] of one point at all steps.

    The point has a radius, and a height above the bottom of the wax, or of a section without wax [m]. The
    temperature is straight between the middles of cells of the same block and beyond the outermost ones; on the axis it
    is that of the innermost cell. ValueError if the point is in the air or outside of the section.
    """
    grid = result.grid
    height = z + (result.wax.bottom if result.wax is not None else 0.0)
    column, row = _interval(grid.r_edges, r), _interval(grid.z_edges, height)
    block = -1 if column is None or row is None else int(grid.block[row, column])
    if block < 0:
        raise ValueError(
            f"the point r {1e3 * r:.1f} mm, z {1e3 * z:.1f} mm is in the air or outside the section of '{result.name}'"
        )
    rows, columns = np.nonzero(grid.block == block)
    rows, columns = np.unique(rows), np.unique(columns)
    # Round the axis a profile is flat: drawn on straight, it would overshoot where the last liquid freezes.
    middles = grid.r[columns]
    across = _weights(middles, max(r, middles[0]) if grid.r_edges[columns[0]] == 0.0 else r)
    up = _weights(grid.z[rows], height)
    index = np.full(grid.block.shape, -1)
    index[grid.row, grid.column] = np.arange(len(grid.row))
    temperature = np.zeros(len(result.time))
    for place, share in up:
        for other, part in across:
            cell = index[rows[place], columns[other]]
            temperature += share * part * result.temperatures(np.array([cell]))[:, 0]
    return temperature


def _interval(edges: Array, place: float) -> int | None:
    """Index of the interval that holds a place; a place on an edge belongs to the lower one."""
    if not edges[0] - _ROUND_OFF <= place <= edges[-1] + _ROUND_OFF:
        return None
    return int(np.clip(np.searchsorted(edges, place - _ROUND_OFF) - 1, 0, len(edges) - 2))


def _weights(middles: Array, place: float) -> tuple[tuple[int, float], ...]:
    """Cells and their shares for a straight line through the two middles next to a place."""
    if len(middles) == 1:
        return ((0, 1.0),)
    before = int(np.clip(np.searchsorted(middles, place) - 1, 0, len(middles) - 2))
    share = float((place - middles[before]) / (middles[before + 1] - middles[before]))
    return (before, 1.0 - share), (before + 1, share)


def outside_of_wall(result: Result) -> Array | None:
    """Temperature [°C] of the outer face of the vessel at half the depth of the wax, at all steps.

    None without a vessel. It is drawn on from the middles of the two outermost cells to the face, or is that of the
    only cell.
    """
    wax, grid = result.wax, result.grid
    if wax is None:
        return None
    height = 0.5 * float(wax.z_edges[-1])
    row = _interval(grid.z_edges, wax.bottom + height)
    vessel = [index for index, part in enumerate(result.parts) if part == "glass"]
    columns = np.flatnonzero(np.isin(grid.block[row], vessel))
    if not len(columns):
        return None
    return temperature_of_point(result, float(grid.r_edges[columns[-1] + 1]), height)


def front_radius(result: Result) -> Array:
    """Radius [m] out to which the wax at half its depth has not set, at all steps.

    That of the glass before a front has formed, NaN once all is set at that height. The front is where the liquid
    fraction is `Result.sets_at`. It is located in enthalpy, straight in r squared between cells, so that it also runs
    smoothly into the axis.
    """
    wax = result.required_wax()
    height = 0.5 * float(wax.z_edges[-1])
    excess = _mixed([(_excess(result, wax.cells[row]), share) for row, share in _weights(wax.z, height)])
    places, values = _with_ends(wax.r**2, excess, float(wax.r_edges[0]) ** 2, float(wax.r_edges[-1]) ** 2)
    radius: Array = np.sqrt(_outermost_positive(places, values))
    return radius


def front_heights(result: Result) -> tuple[Array, Array]:
    """Heights [m] on the axis of the front that rises and of the one that comes down, at all steps.

    Before they have formed 0 and the depth of the wax; NaN once all is set on the axis. Located as in `front_radius`.
    """
    wax = result.required_wax()
    inner = _weights(wax.r**2, float(wax.r_edges[0]) ** 2)
    on_axis = _mixed([(_excess(result, wax.cells[:, column]), share) for column, share in inner])
    depth = float(wax.z_edges[-1])
    places, values = _with_ends(wax.z, on_axis, 0.0, depth)
    down = _outermost_positive(places, values)
    rise = depth - _outermost_positive(depth - places[::-1], values[:, ::-1])
    return rise, down


def _mixed(parts: list[tuple[Array, float]]) -> Array:
    """Weighted sum of arrays."""
    total: Array = np.sum([share * values for values, share in parts], axis=0)
    return total


def _excess(result: Result, cells: Integers) -> Array:
    """Enthalpy above the one at which wax counts as set [J/m3]."""
    wax = result.required_wax()
    excess: Array = result.history.enthalpy[:, cells] - enthalpy_at_fraction(wax.table, result.sets_at)
    return excess


def _with_ends(middles: Array, values: Array, first: float, last: float) -> tuple[Array, Array]:
    """Values drawn on straight from the middles of cells to the first and the last edge."""
    low, high = (
        _mixed([(values[:, place], share) for place, share in _weights(middles, end)]) for end in (first, last)
    )
    return np.concatenate([[first], middles, [last]]), np.column_stack([low, values, high])


def _outermost_positive(places: Array, values: Array) -> Array:
    """Where each row is above zero for the last time, straight between places; NaN where it nowhere is."""
    positive = values > 0.0
    last = values.shape[1] - 1 - np.argmax(positive[:, ::-1], axis=1)
    after = np.minimum(last + 1, values.shape[1] - 1)
    rows = np.arange(len(values))
    here, there = values[rows, last], values[rows, after]
    falls = here - there
    share = np.divide(here, falls, out=np.zeros(len(values)), where=positive.any(axis=1) & (last < after))
    found: Array = np.where(positive.any(axis=1), places[last] + share * (places[after] - places[last]), np.nan)
    return found


def heat_shares(result: Result) -> dict[Path, Array]:
    """Shares [-] of the heat lost so far that left through top, side and base, at all steps.

    NaN while less than a hundredth of the heat of the whole run has left: a little heat taken up by a cold jar makes
    shares meaningless.
    """
    lost = {path: result.heat_lost(path) for path in PATHS}
    total = lost["top"] + lost["side"] + lost["base"]
    judged = total >= _SHARE_OF_HEAT_JUDGED * total[-1] if total[-1] > 0 else np.zeros(len(total), dtype=bool)
    return {
        path: np.divide(heat, total, out=np.full(len(total), np.nan), where=judged & (total > 0))
        for path, heat in lost.items()
    }


def starting_temperature(result: Result, part: str) -> float | None:
    """Volume mean of the temperature [°C] of a part when the run starts; None if the section has no such part."""
    blocks = [index for index, one in enumerate(result.parts) if one == part]
    cells = np.flatnonzero(np.isin(result.block, blocks))
    if not len(cells):
        return None
    grid = result.grid
    temperature = result.temperature_map(0.0)[grid.row, grid.column]
    return float(np.average(temperature[cells], weights=grid.volume[cells]))
