"""When things happen: the events of a run, read off its history.

Crossings are located in enthalpy, which is straight in time where temperature has a kink, and between steps.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import enthalpy_at, enthalpy_at_fraction
from coolsim.model.materials import Wax
from coolsim.model.problem import ROOM, Path
from coolsim.model.section import Array
from coolsim.solve.history import History
from coolsim.solve.network import Network
from coolsim.solve.result import Events, Ledger, Skin
from coolsim.solve.surface import at_radius
from coolsim.solve.wax_body import WaxBody, last_above

_LEAST_TURNED_OVER = 1e-5
_NO_HEAT = 1e-12
_THROUGH_THE_CELL = 5.0


def wax_body(network: Network) -> WaxBody | None:
    """Find the wax of a network; None unless exactly one block is wax."""
    found = [index for index, block in enumerate(network.blocks) if isinstance(block.material, Wax)]
    if len(found) != 1:
        return None
    grid = network.grid
    cells = np.flatnonzero(network.block == found[0])
    rows, columns = np.unique(grid.row[cells]), np.unique(grid.column[cells])
    shape = (len(rows), len(columns))
    bottom = float(grid.z_edges[rows[0]])
    return WaxBody(
        cells=cells.reshape(shape),
        r=grid.r[columns],
        z=grid.z[rows] - bottom,
        r_edges=grid.r_edges[columns[0] : columns[-1] + 2],
        z_edges=grid.z_edges[rows[0] : rows[-1] + 2] - bottom,
        bottom=bottom,
        volume=network.volume[cells].reshape(shape),
        table=network.tables[found[0]],
    )


def find_events(network: Network, history: History, wax: WaxBody, touched: Array) -> Events:
    """Read the events off a history, and what `surface_set` reads off it [s]."""
    problem = network.problem
    answers, softness = problem.answers, problem.melt.softness
    time = history.time
    enthalpy = history.enthalpy[:, wax.cells.ravel()]
    rim = at_radius(wax, touched, float(wax.r_edges[-1]))
    axis = at_radius(wax, touched, 0.0)
    wick = at_radius(wax, _surface_below(network, history, wax, answers.wick), 0.0)
    hottest = enthalpy.max(axis=1)
    fully_set, _ = _last_of_all(
        time, enthalpy, hottest, enthalpy_at_fraction(wax.table, softness.liquid_at(answers.carry))
    )
    stiff = last_above(time, hottest - enthalpy_at_fraction(wax.table, softness.liquid_at(softness.feeds_below)))
    # As solid as the room makes it: what is left is what stays liquid where the wax is as warm as it is then.
    coolest = float(enthalpy_at(wax.table, np.asarray(history.room[-1] + answers.cool_within)))
    solid, last = _last_of_all(time, enthalpy, hottest, max(coolest, wax.table.solidus))
    cool = last_above(time, _wax_temperature(network, wax, hottest) - history.room - answers.cool_within)
    return Events(
        rim_set=_within(np.fmin(rim, np.fmin.reduce(touched)), time[-1]),
        wick_free_until=_within(wick, time[-1]),
        top_closed=_within(np.maximum(axis, touched.max()), time[-1]),
        fully_set=_within(fully_set, time[-1]),
        top_final=_within(stiff, time[-1]),
        solid_throughout=_within(solid, time[-1]),
        cool=_within(cool, time[-1]),
        first_skin=_first_skin(network, history, wax, enthalpy @ wax.volume.ravel() / wax.volume.sum()),
        last_liquid=_place(wax, last),
    )


def surface_set(network: Network, history: History, wax: WaxBody) -> Array:
    """When each column of the surface bears a fingertip, shape (nr,) [s]; NaN where the run ended before."""
    return _surface_below(network, history, wax, network.problem.answers.touch)


def _surface_below(network: Network, history: History, wax: WaxBody, stress: float) -> Array:
    """When a stress [Pa] no longer moves the softest wax as deep as a fingertip feels, by column [s]."""
    problem = network.problem
    softest = _softest_down_to(history, wax, problem.answers.touch_depth)
    level = enthalpy_at_fraction(wax.table, problem.melt.softness.liquid_at(stress))
    return last_above(history.time, softest - level)


def _within(time: float | Array, end: float) -> float | None:
    """Return a time that the run reached, or None."""
    return float(time) if time <= end else None


def _last_of_all(time: Array, enthalpy: Array, hottest: Array, level: float) -> tuple[float, int]:
    """When the last of all cells falls below an enthalpy for good [s], as `last_above` does, and which cell that is.

    The `hottest` of each step is known, so that only the cells are asked that are above in the last step in which any
    is. NaN and the hottest cell where one still is.
    """
    above = np.flatnonzero(hottest > level)
    if not len(above):
        return float(time[0]), 0
    before = above[-1]
    if before == len(time) - 1:
        return np.nan, int(np.argmax(enthalpy[-1]))
    cells = np.flatnonzero(enthalpy[before] > level)
    passed = last_above(time[before : before + 2], enthalpy[before : before + 2, cells] - level)
    return float(passed.max()), int(cells[np.argmax(passed)])


def _softest_down_to(history: History, wax: WaxBody, reach: float) -> Array:
    """Largest enthalpy down to a depth under each place of the surface, shape (nt, nr) [J/m3]."""
    depth = wax.z_edges[-1] - wax.z
    first = int(np.searchsorted(-depth, -reach))
    if first == len(depth):
        return history.enthalpy[:, wax.cells[-1]]
    # The row below takes part as far as it is reached.
    below = max(first - 1, 0)
    enthalpy = history.enthalpy[:, wax.cells[below:]]
    softest: Array = enthalpy[:, first - below :].max(axis=1)
    if first:
        share = (reach - depth[first]) / (depth[first - 1] - depth[first])
        softest = np.maximum(softest, enthalpy[:, 1] + share * (enthalpy[:, 0] - enthalpy[:, 1]))
    return softest


def _wax_temperature(network: Network, wax: WaxBody, enthalpy: Array) -> Array:
    """Temperature of wax of given enthalpies [°C]."""
    tables = network.cells.of(np.full(enthalpy.shape, wax.cells[0, 0]))
    return tables.temperature(enthalpy, tables.piece(enthalpy))


def _place(wax: WaxBody, cell: int) -> tuple[float, float]:
    """Radius and height of a cell of the wax; the innermost ring is the axis."""
    row, column = divmod(cell, len(wax.r))
    on_axis = column == 0 and wax.r_edges[0] == 0.0
    return 0.0 if on_axis else float(wax.r[column]), float(wax.z[row])


def _first_skin(network: Network, history: History, wax: WaxBody, content: Array) -> Skin | None:
    """Find a skin at the inner wall while the mean of the melt is still well above the start of freezing.

    `content` is the mean enthalpy of the wax at each step [J/m3].

    The wall is judged over the middle half of the wax: at the bottom wax always freezes onto the base first, and that
    does not show. What begins to freeze at a wall that was free before is no first skin but the setting itself: thin
    metal is as hot as the melt at once, and then the air cools it. The wall is judged from five times the time that
    heat takes through the cell at it: before, its temperature is one of the grid, lowest after one such time, however
    fine the grid, and 2 K too low then.
    """
    depth = wax.z_edges[-1]
    wall = _inner_wall_temperature(network, history, wax, (wax.z >= 0.25 * depth) & (wax.z <= 0.75 * depth))
    if wall is None:
        return None
    time = history.time
    starts = float(wax.table.temperature[-1])
    judged = wall.mean(axis=1)
    liquid = len(wax.table.base) - 1
    diffusivity = float(wax.table.potential_slope[liquid])
    hot = _wax_temperature(network, wax, content) > starts + network.problem.answers.skin_margin
    hot &= time >= _THROUGH_THE_CELL * (wax.r_edges[-1] - wax.r_edges[-2]) ** 2 / diffusivity
    frozen = hot & (judged < starts)
    if not frozen.any() or (hot & ~frozen)[: np.argmax(frozen)].any():
        return None
    at = int(np.argmin(np.where(hot, judged, np.inf)))
    free = np.flatnonzero(hot[at:] & (judged[at:] >= starts))
    melted = None
    if len(free):
        after = at + int(free[0])
        melted = float(np.interp(starts, judged[after - 1 : after + 1], time[after - 1 : after + 1]))
    answers, softness = network.problem.answers, network.problem.melt.softness
    rim = _wax_temperature(network, wax, _softest_down_to(history, wax, answers.touch_depth)[at:, -1])
    bears = float(enthalpy_at_fraction(wax.table, softness.liquid_at(answers.touch)))
    return Skin(
        formed=float(time[np.argmax(frozen)]),
        coldest=float(judged[at]),
        coldest_at=float(time[at]),
        melted_again=melted,
        warmest=float(judged[at:][hot[at:]].max()) - starts,
        rim_warmest=float(rim.max() - _wax_temperature(network, wax, np.array([bears]))[0]),
    )


def _inner_wall_temperature(network: Network, history: History, wax: WaxBody, rows: NDArray[np.bool_]) -> Array | None:
    """Temperature where wax and wall meet, at each step and in some of the rows [°C]; None without a wall."""
    outermost = wax.cells[rows, -1]
    beyond = outermost + 1
    grid = network.grid
    if beyond[-1] >= len(grid.row) or not (grid.row[beyond] == grid.row[outermost]).all():
        return None
    if not (grid.column[beyond] == grid.column[outermost] + 1).all():
        return None
    cells = np.stack([outermost, beyond])
    tables = network.cells.of(cells)
    enthalpy = history.enthalpy[:, cells]
    piece = tables.piece(enthalpy)
    temperature = tables.temperature(enthalpy, piece)
    edge = grid.r_edges[grid.column[beyond[0]]]
    conductivity = tables.conductivity(piece)
    to_wall = conductivity[:, 0] / (edge - grid.r[grid.column[outermost]])
    from_wall = conductivity[:, 1] / (edge * np.log(grid.r[grid.column[beyond]] / edge))
    wall: Array = (to_wall * temperature[:, 0] + from_wall * temperature[:, 1]) / (to_wall + from_wall)
    return wall


def close_ledger(network: Network, history: History) -> Ledger:
    """Compare the heat that left with the heat that is gone.

    Equation (40) of `coolsim.theory`.
    """
    problem = network.problem
    stored = history.enthalpy @ network.volume
    if network.nodes:
        capacity = np.array([node.capacity for node in network.nodes])
        stored = stored + history.nodes @ capacity + history.owed.sum(axis=1)
    to_room = history.lost.sum(axis=1) - history.to_nodes.sum(axis=1) - history.released
    leaving = [index for index, link in enumerate(problem.node_links) if ROOM in link.ends]
    to_room = to_room + history.carried[:, leaving].sum(axis=1)
    given_off = history.given_before + stored[0] - stored
    moved = float(np.abs(history.enthalpy[-1] - history.enthalpy[0]) @ network.volume)
    # What is stored is rounded off: a run that is over at once turns over less than that lets the ledger see.
    least = max(_LEAST_TURNED_OVER * float(np.abs(history.enthalpy[0]) @ network.volume), _NO_HEAT)
    turnover = max(float(np.abs(to_room).max()), float(np.abs(history.lost).max(initial=0.0)), moved, least)
    paths: Sequence[Path] = ("top", "side", "base")
    by_path = {
        path: sum(float(history.lost[-1, index]) for index, law in enumerate(network.faces.laws) if law.path == path)
        for path in paths
    }
    whole = sum(by_path.values())
    return Ledger(
        given_off=float(given_off[-1]),
        to_room=float(to_room[-1]),
        open_share=float(np.abs(given_off - to_room).max()) / turnover,
        by_path=tuple((path, by_path[path] / whole if abs(whole) > _NO_HEAT else 0.0) for path in paths),
    )
