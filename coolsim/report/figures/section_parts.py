"""What a drawing of the section is made of: fields of temperature, air that is filled in, outlines and fronts.

All of it is laid out from the left to the right of the axis, so that the section appears as it is cut through.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coolsim.model.cell import BOX_AIR, FLAPS_INSIDE, FLAPS_OUTSIDE
from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.section import Array
from coolsim.solve.result import Result
from coolsim.solve.smooth import smooth
from coolsim.solve.wax_body import WaxBody

_FINER = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A rectangle coloured smoothly between points [m]: temperatures [°C], or what isolines are drawn of."""

    what: str
    x: Array
    z: Array
    values: Array
    air: bool = False


def cells_of(result: Result, name: str) -> NDArray[np.bool_]:
    """Where on the grid the blocks of a part are."""
    blocks = [index for index, part in enumerate(result.parts) if part == name]
    found: NDArray[np.bool_] = np.isin(result.grid.block, blocks)
    return found


def solved_parts(result: Result, time: float) -> list[Field]:
    """Lay out the solved blocks at a time [s], one on each side of a hole round the axis.

    Temperatures are drawn on straight from the middles of the outermost cells to the faces, within the range that the
    section has; jumps at contacts stay jumps.
    """
    grid = result.grid
    plane = result.temperature_map(time)
    coldest, hottest = np.nanmin(plane), np.nanmax(plane)
    found = []
    for index, part in enumerate(result.parts):
        rows, columns = (np.flatnonzero((grid.block == index).any(axis=axis)) for axis in (1, 0))
        low, high = grid.r_edges[columns[0]], grid.r_edges[columns[-1] + 1]
        bottom, top = grid.z_edges[rows[0]], grid.z_edges[rows[-1] + 1]
        values = plane[np.ix_(rows, columns)]
        r, values = drawn_on(grid.r[columns], values, low if low > 0.0 else None, high)
        z, turned = drawn_on(grid.z[rows], values.T, bottom, top)
        # A straight line through coarse cells can leave the range of temperatures, which no conductor does.
        values = np.clip(turned.T, coldest, hottest)
        right = Field(what=part, x=r, z=z, values=values)
        found += [right, _on_the_left(right)] if low > 0.0 else [_on_both_sides(right)]
    return found


def _on_the_left(right: Field) -> Field:
    return replace(right, x=-right.x[::-1], values=right.values[:, ::-1])


def _on_both_sides(right: Field) -> Field:
    left = _on_the_left(right)
    return replace(right, x=np.concatenate([left.x, right.x]), values=np.hstack([left.values, right.values]))


def gap_air(result: Result, time: float) -> list[Field]:
    """Fill the air gap beside the vessel at a time [s], straight from one face to the other."""
    grid, air = result.grid, _gap_cells(result)
    if not air.any():
        return []
    rows, columns = (np.flatnonzero(air.any(axis=axis)) for axis in (1, 0))
    plane = result.temperature_map(time)
    first, last = columns[0], columns[-1]
    left, right = plane[rows, first - 1], plane[rows, last + 1]
    x = np.array([grid.r_edges[first], grid.r_edges[last + 1]])
    z, turned = drawn_on(grid.z[rows], np.stack([left, right]), grid.z_edges[rows[0]], grid.z_edges[rows[-1] + 1])
    right = Field(what="gap", x=x, z=z, values=turned.T, air=True)
    return [right, _on_the_left(right)]


def _gap_cells(result: Result) -> NDArray[np.bool_]:
    """Air that has solved cells on both sides along r."""
    filled = result.grid.block >= 0
    before = np.maximum.accumulate(filled, axis=1)
    behind = np.maximum.accumulate(filled[:, ::-1], axis=1)[:, ::-1]
    # Air inside the board but above the vessel has nothing but the axis on its other side.
    gap: NDArray[np.bool_] = ~filled & before & behind
    return gap


def box_air(result: Result, time: float) -> list[Field]:
    """Fill headspace and air above the rim in a box at a time [s], at the temperature of their node."""
    air = node_temperature(result, BOX_AIR, time)
    board = board_columns(result)
    if air is None or board is None:
        return []
    grid = result.grid
    inside = (grid.block < 0) & (np.arange(grid.block.shape[1]) < board[0]) & ~_gap_cells(result)
    # Only above all that is filled on the axis: not what is beside the bench or the pad.
    inside &= np.arange(grid.block.shape[0])[:, None] > np.flatnonzero(grid.block[:, 0] >= 0)[-1]
    if not inside.any():
        return []
    found = []
    rows = np.flatnonzero(inside.any(axis=1))
    # One rectangle for each band of rows that is equally wide: the headspace, and the air above the rim.
    bands = np.split(rows, np.flatnonzero((inside[rows[1:]] != inside[rows[:-1]]).any(axis=1)) + 1)
    for band in bands:
        columns = np.flatnonzero(inside[band[0]])
        reach = float(grid.r_edges[columns[-1] + 1])
        found.append(
            Field(
                what="box air",
                x=np.array([-reach, reach]),
                z=grid.z_edges[[band[0], band[-1] + 1]],
                values=np.full((2, 2), air),
                air=True,
            )
        )
    return found


def held(result: Result, reach: float) -> list[Field]:
    """Fill what keeps its temperature beside the vessel, out to a radius [m]: one field for each side."""
    inner = float(result.grid.r_edges[-1])
    return [
        Field(
            what=one.name,
            x=np.sort(side * np.array([inner, reach])),
            z=np.array([0.0, one.top]),
            values=np.full((2, 2), one.temperature),
        )
        for one in result.held
        for side in (-1.0, 1.0)
    ]


def board_columns(result: Result) -> tuple[int, int] | None:
    """First and last column of the board round the vessel; None for a bare one."""
    columns = np.flatnonzero(cells_of(result, "board").any(axis=0))
    return (int(columns[0]), int(columns[-1])) if len(columns) else None


def node_temperature(result: Result, name: str, time: float) -> float | None:
    """Temperature of a node at a time [s], straight between steps [°C]; None if there is no such node."""
    names = [node for node, _ in result.nodes]
    if name not in names:
        return None
    return float(np.interp(time, result.time, result.history.nodes[:, names.index(name)]))


def flaps(result: Result, time: float) -> list[Field]:
    """Draw closed flaps at a time [s], as thick as the board beside the vessel, each side as warm as its node."""
    inside, outside = (node_temperature(result, name, time) for name in (FLAPS_INSIDE, FLAPS_OUTSIDE))
    board = board_columns(result)
    if inside is None or outside is None or board is None:
        return []
    edges = result.grid.r_edges
    reach, thick = edges[board[1] + 1], edges[board[1] + 1] - edges[board[0]]
    top = result.grid.z_edges[-1]
    return [
        Field(
            what="flaps",
            x=np.array([-reach, reach]),
            z=top + thick * np.array([0.0, 1.0]),
            values=np.array([[inside, inside], [outside, outside]]),
        )
    ]


def outlines(result: Result, *, surface: bool = True) -> list[tuple[Array, Array]]:
    """Edges between parts, and of parts against air: x and z of each stretch [m], on both sides of the axis.

    The surface that the wax was poured to may be left out.
    """
    grid = result.grid
    number = {part: index for index, part in enumerate(dict.fromkeys(result.parts))}
    part = np.array([-1, *(number[one] for one in result.parts)])[grid.block + 1]
    framed = np.pad(part, 1, constant_values=-1)
    upright = np.argwhere((framed[1:-1, 1:] != framed[1:-1, :-1]).T)
    if grid.r_edges[0] <= 0.0:
        # The axis is no edge.
        upright = upright[upright[:, 0] > 0]
    lower, upper = framed[:-1, 1:-1], framed[1:, 1:-1]
    left_out = -2 if surface else number.get("wax", -2)
    level = np.argwhere((lower != upper) & ~((lower == left_out) & (upper < 0)))
    r, z = grid.r_edges, grid.z_edges
    found = [(r[[line, line]], z[[first, last]]) for line, first, last in _joined(upright)]
    found += [(r[[first, last]], z[[line, line]]) for line, first, last in _joined(level)]
    return [(sign * x, z) for x, z in found for sign in (1.0, -1.0)]


def _joined(edges: NDArray[np.intp]) -> list[tuple[int, int, int]]:
    """Join edges that follow each other on a line, by line and number in rising order: line, and both ends."""
    behind = np.any(np.diff(edges, axis=0) != [0, 1], axis=1)
    runs = np.split(edges, np.flatnonzero(behind) + 1) if len(edges) else []
    return [(int(run[0, 0]), int(run[0, 1]), int(run[-1, 1]) + 1) for run in runs]


def on_wax(wax: WaxBody, values: Array) -> Field:
    """Draw values of the wax cells on straight to its faces and to both sides of the axis."""
    r, values = drawn_on(wax.r, values, None, float(wax.r_edges[-1]))
    z, turned = drawn_on(wax.z, values.T, 0.0, float(wax.z_edges[-1]))
    return _on_both_sides(Field(what="wax", x=r, z=z + wax.bottom, values=turned.T))


def drawn_on(places: Array, values: Array, first: float | None, last: float) -> tuple[Array, Array]:
    """Draw values at places [m] on straight to the ends of their second direction, if the first end is not None."""
    if len(places) == 1:
        ends = [last] if first is None else [first, last]
        return np.array(ends), np.repeat(values, len(ends), axis=1)

    def beyond(a: int, b: int, place: float) -> Array:
        share = (place - places[a]) / (places[b] - places[a])
        drawn: Array = values[:, [a]] + share * (values[:, [b]] - values[:, [a]])
        return drawn

    middle, columns = [places], [values]
    if first is not None:
        middle, columns = [np.array([first]), *middle], [beyond(0, 1, first), *columns]
    return np.concatenate([*middle, [last]]), np.hstack([*columns, beyond(-1, -2, last)])


def softness(result: Result, time: float, fraction: float) -> Field:
    """Enthalpy of the wax above the one at a liquid fraction [-] at a time [s], in J/m3: zero on that front."""
    wax = result.required_wax()
    return on_wax(wax, result.enthalpy_at(time)[wax.cells] - enthalpy_at_fraction(wax.table, fraction))


def finer(field: Field) -> Field:
    """Put points between the points of a field, so that its isolines are smooth, without new maxima or minima."""
    x, z = (_between(places) for places in (field.x, field.z))
    return replace(field, x=x, z=z, values=smooth(field.z, smooth(field.x, field.values.T, x).T, z))


def _between(places: Array) -> Array:
    steps = np.arange((len(places) - 1) * _FINER + 1) / _FINER
    finer_places: Array = np.interp(steps, np.arange(len(places)), places)
    return finer_places


def on_pixels(fields: Iterable[Field], x: Array, z: Array) -> Array:
    """Lay out values of fields on pixels with their middles at x and z [m], straight between points; NaN outside."""
    found = np.full((len(z), len(x)), np.nan)
    for field in fields:
        rows, columns = under(field, x, z)
        if not len(columns) or not len(rows):
            # Thinner than a pixel: its outline shows where it is.
            continue
        left, across = _shares(field.x, x[columns])
        below, up = _shares(field.z, z[rows])
        wide = (1.0 - across) * field.values[:, left] + across * field.values[:, left + 1]
        found[np.ix_(rows, columns)] = (1.0 - up)[:, None] * wide[below] + up[:, None] * wide[below + 1]
    return found


def under(field: Field, x: Array, z: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Find the rows and columns of the pixels that a field covers, by their middles at x and z [m]."""
    return (
        np.flatnonzero((z >= field.z[0]) & (z <= field.z[-1])),
        np.flatnonzero((x >= field.x[0]) & (x <= field.x[-1])),
    )


def _shares(points: Array, places: Array) -> tuple[NDArray[np.intp], Array]:
    """Point before each place, and how far the place is on the way to the next one."""
    before = np.clip(np.searchsorted(points, places, side="right") - 1, 0, len(points) - 2)
    return before, (places - points[before]) / (points[before + 1] - points[before])
