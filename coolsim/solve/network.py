"""A problem cut into cells: heat capacities, conductances between neighbours and faces to the air.

Cells are vectors in row order (see `Grid`). Neighbours along r are neighbours in row order, neighbours along z in
column order; a zero conductance separates the lines, so all lines of one direction form one tridiagonal system.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coolsim.model.freezing import CellTables, EnthalpyTable, enthalpy_at, enthalpy_table
from coolsim.model.materials import Wax
from coolsim.model.problem import ROOM, Boundary, Film, Node, Problem
from coolsim.model.section import Array, Block, Grid, Integers, cut
from coolsim.solve.runs import Run, Runs

_SAME_TEMPERATURE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairs:
    """Neighbouring cells along one direction.

    - `order` (n,): Row-order index of the cells, line after line along this direction.
    - `steady` (n - 1,): Conductance where it never changes, else 0 [W/K].
    - `uniform` (n - 1,): Conductance per conductivity inside a block whose conductivity changes, else 0 [m].
    - `mixed` (m,): Pairs in which a changing block meets another block.
    - `mixed_near`, `mixed_far` (m,): Half-cell conductance per conductivity on either side [m].
    - `mixed_resistance` (m,): Contact resistance of those faces [K/W].
    """

    order: Integers
    steady: Array
    uniform: Array
    mixed: Integers
    mixed_near: Array
    mixed_far: Array
    mixed_resistance: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class GapPairs:
    """Faces that look at each other across an air gap along r.

    - `at` (m,): Row-order index of the cells on the inner side; those on the outer side follow them.
    - `inner_half`, `outer_half` (m,): Conductance from the cells' middles to the faces [W/K].
    - `area` (m,): Face areas [m2].
    - `film`: Convective coefficient [W/m2/K].
    - `emissivity`: Effective emissivity between the faces [-].
    """

    at: Integers
    inner_half: Array
    outer_half: Array
    area: Array
    film: Film
    emissivity: float

    def start(self, temperature: Array) -> tuple[float, float]:
        """Mean temperatures of the two faces by area, while they are as warm as their cells [°C]."""
        inner, outer = (float(np.average(temperature[at], weights=self.area)) for at in (self.at, self.at + 1))
        return inner, outer


@dataclass(frozen=True, slots=True, kw_only=True)
class Faces:
    """All faces with a boundary law, boundary after boundary, those along r first.

    - `laws`: The laws, in order.
    - `cell` (m,): Row-order index of the cell behind each face.
    - `area` (m,): Face area [m2].
    - `half` (m,): Conductance from the cell's middle to its face, per conductivity [m].
    - `start` (b,): First face of each boundary.
    - `count` (b,): Number of its faces.
    - `along_r`: How many of the faces lie along r [-].
    - `r`, `z` (m,): Where the faces are [m].
    """

    laws: tuple[Boundary, ...]
    cell: Integers
    area: Array
    half: Array
    start: Integers
    count: Integers
    along_r: int
    r: Array
    z: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Everything about a problem that does not change while it runs.

    - `problem`: What was stated.
    - `grid`: Its cells.
    - `blocks`: What fills them.
    - `tables`: One per block.
    - `block` (n,): Block of each cell.
    - `cells`: The same tables for all cells at once.
    - `volume` (n,): Cell volumes [m3].
    - `sensible` (n,): Heat capacity without latent heat, the scale of errors [J/m3/K].
    - `start` (n,): Enthalpy at the start [J/m3].
    - `radial`, `axial`: Neighbours.
    - `gaps`: Air gaps.
    - `faces`: Faces to the air.
    - `nodes`: Bodies of one temperature; a spread one in pieces, in the order of the faces.
    - `constant`: Whether no conductivity changes.
    - `runs`: Which of all that is of which run; the problem is that of the first.
    """

    problem: Problem
    grid: Grid
    blocks: tuple[Block, ...]
    tables: tuple[EnthalpyTable, ...]
    block: Integers
    cells: CellTables
    volume: Array
    sensible: Array
    start: Array
    radial: Pairs
    axial: Pairs
    gaps: tuple[GapPairs, ...]
    faces: Faces
    nodes: tuple[Node, ...]
    constant: bool
    runs: tuple[Run, ...]

    @property
    def all_runs(self) -> Runs:
        """Which run everything belongs to."""
        links = sum(len(run.problem.node_links) for run in self.runs)
        return Runs(self.runs, faces=len(self.faces.cell), laws=len(self.faces.laws), links=links)


def build(problem: Problem) -> Network:
    """Cut a problem into cells, neighbours and faces.

    ValueError if a law names a part, span or node that does not exist.

    Equation (8) of `coolsim.theory`.
    """
    grid = cut(problem.section, refinement=problem.accuracy.refinement)
    blocks = problem.section.blocks
    block = grid.block[grid.row, grid.column]
    tables = tuple(enthalpy_table(one.material) for one in blocks)
    sensible = np.array([_sensible(one.material) for one in blocks])[block]
    if problem.start is None:
        temperature = np.array([one.start for one in blocks])[block]
    else:
        temperature = problem.start(grid.r[grid.column], grid.z[grid.row])
    start = np.empty(len(block))
    for index, table in enumerate(tables):
        start[block == index] = enthalpy_at(table, temperature[block == index])
    halves = _half_conductances(grid)
    changing = np.array([_changes(one.material) for one in blocks])[block]
    steady_conductivity = np.array([_solid_conductivity(one.material) for one in blocks])[block]
    resistance = _contact_resistances(problem)
    faces = _faces(problem, grid, block, halves)
    gaps = _gaps(problem, grid, block, halves, steady_conductivity)
    nodes = in_pieces(problem.nodes, faces)
    return Network(
        problem=problem,
        grid=grid,
        blocks=blocks,
        tables=tables,
        block=block,
        cells=CellTables(tables, block),
        volume=grid.volume,
        sensible=sensible,
        start=start,
        radial=_pairs(
            np.arange(len(block)),
            grid.row,
            grid.column,
            halves.outwards,
            halves.inwards,
            halves.outer_area,
            block,
            changing,
            steady_conductivity,
            resistance,
        ),
        axial=_pairs(
            grid.by_column,
            grid.column,
            grid.row,
            halves.up,
            halves.down,
            halves.level_area,
            block,
            changing,
            steady_conductivity,
            resistance,
        ),
        gaps=gaps,
        faces=faces,
        nodes=nodes,
        constant=not changing.any(),
        runs=(whole_run(problem, cells=len(block), faces=faces, gaps=len(gaps), nodes=len(nodes)),),
    )


def whole_run(problem: Problem, *, cells: int, faces: Faces, gaps: int, nodes: int) -> Run:
    """Say that all of a network belongs to one run: so many cells, gaps and nodes [-], and the faces."""
    return Run(
        problem=problem,
        cells=slice(0, cells),
        faces=slice(0, len(faces.cell)),
        laws=slice(0, len(faces.laws)),
        gaps=slice(0, gaps),
        nodes=slice(0, nodes),
        links=slice(0, len(problem.node_links)),
    )


def _sensible(material: object) -> float:
    if isinstance(material, Wax):
        return material.density * min(material.heat_capacity_solid, material.heat_capacity_liquid)
    return material.density * material.heat_capacity  # type: ignore[attr-defined, no-any-return]


def _solid_conductivity(material: object) -> float:
    if isinstance(material, Wax):
        return material.conductivity_solid
    return material.conductivity  # type: ignore[attr-defined, no-any-return]


def _changes(material: object) -> bool:
    return isinstance(material, Wax) and material.conductivity_solid != material.conductivity_liquid


@dataclass(frozen=True, slots=True, kw_only=True)
class _Halves:
    """Per cell: conductance per conductivity from its middle to each face, and the face areas."""

    outwards: Array
    inwards: Array
    up: Array
    down: Array
    outer_area: Array
    inner_area: Array
    level_area: Array


def _half_conductances(grid: Grid) -> _Halves:
    """Find the halves that equation (9) of `coolsim.theory` puts in series."""
    height = np.diff(grid.z_edges)[grid.row]
    covered = grid.covered[grid.column]
    inner, outer, middle = grid.r_edges[grid.column], grid.r_edges[grid.column + 1], grid.r[grid.column]
    outer_area = 2 * np.pi * outer * height * covered
    inner_area = 2 * np.pi * inner * height * covered
    level_area = np.pi * (outer**2 - inner**2) * covered
    # A block round the axis holds a profile a + b r^2, for which area over distance is exact; a wall holds a + b ln r.
    with np.errstate(divide="ignore"):
        wall_out = 2 * np.pi * height * covered / np.log(outer / middle)
        wall_in = np.where(inner > 0, 2 * np.pi * height * covered / np.log(middle / np.maximum(inner, 1e-300)), 0.0)
    block = grid.block[grid.row, grid.column]
    round_axis = np.bincount(block[inner == 0.0], minlength=block.max() + 1)[block] > 0
    return _Halves(
        outwards=np.where(round_axis, outer_area / (outer - middle), wall_out),
        inwards=np.where(round_axis, inner_area / (middle - inner), wall_in),
        up=2 * level_area / height,
        down=2 * level_area / height,
        outer_area=outer_area,
        inner_area=inner_area,
        level_area=level_area,
    )


def _contact_resistances(problem: Problem) -> Array:
    """Resistance of unit area between two blocks [m2 K/W], by their indices; zero without a contact."""
    count = len(problem.section.blocks)
    found = np.zeros((count, count))
    for contact in problem.contacts:
        first, second = (_blocks_of(problem, part, "contact") for part in contact.parts)
        found[np.ix_(first, second)] = found[np.ix_(second, first)] = 1.0 / contact.conductance
    np.fill_diagonal(found, 0.0)
    return found


def _blocks_of(problem: Problem, part: str, what: str) -> list[int]:
    indices = [index for index, block in enumerate(problem.section.blocks) if block.part == part]
    if not indices:
        parts = sorted({block.part for block in problem.section.blocks})
        raise ValueError(f"{what}: there is no part '{part}' in the section; it has {', '.join(parts)}")
    return indices


def _holds(problem: Problem, part: str, what: str) -> NDArray[np.bool_]:
    """Tell of each block whether it is of a part."""
    found = np.zeros(len(problem.section.blocks), dtype=np.bool_)
    found[_blocks_of(problem, part, what)] = True
    return found


def _pairs(
    order: Integers,
    line: Integers,
    place: Integers,
    half_far: Array,
    half_near: Array,
    area: Array,
    block: Integers,
    changing: NDArray[np.bool_],
    conductivity: Array,
    resistance: Array,
) -> Pairs:
    """Neighbours along one direction; `half_far` leads to the face a cell shares with the next of its line.

    Equation (9) of `coolsim.theory`.
    """
    near, far = order[:-1], order[1:]
    touching = (line[near] == line[far]) & (place[near] + 1 == place[far])
    with np.errstate(divide="ignore", invalid="ignore"):
        geometry = np.where(touching, 1.0 / (1.0 / half_far[near] + 1.0 / half_near[far]), 0.0)
        contact = np.where(touching, resistance[block[near], block[far]], 0.0) / area[near]
        series = 1.0 / (
            1.0 / (half_far[near] * conductivity[near]) + contact + 1.0 / (half_near[far] * conductivity[far])
        )
    inside = touching & changing[near] & (block[near] == block[far])
    mixed = np.flatnonzero(touching & (changing[near] | changing[far]) & ~inside)
    steady = np.where(touching & ~changing[near] & ~changing[far], series, 0.0)
    return Pairs(
        order=order,
        steady=steady,
        uniform=np.where(inside, geometry, 0.0),
        mixed=mixed,
        mixed_near=half_far[near][mixed],
        mixed_far=half_near[far][mixed],
        mixed_resistance=contact[mixed],
    )


def _gaps(problem: Problem, grid: Grid, block: Integers, halves: _Halves, conductivity: Array) -> tuple[GapPairs, ...]:
    found = []
    same_row = grid.row[:-1] == grid.row[1:]
    apart = grid.column[:-1] + 1 < grid.column[1:]
    for link in problem.links:
        inner = _holds(problem, link.inner, "link")[block[:-1]]
        outer = _holds(problem, link.outer, "link")[block[1:]]
        at = np.flatnonzero(same_row & apart & inner & outer)
        if not len(at):
            raise ValueError(f"link: '{link.inner}' and '{link.outer}' do not face each other across a gap")
        # Heat that neighbours do not take crosses the gap only where there is board to take it.
        share = grid.covered[grid.column[at + 1]]
        found.append(
            GapPairs(
                at=at,
                inner_half=halves.outwards[at] * conductivity[at] * share,
                outer_half=halves.inwards[at + 1] * conductivity[at + 1],
                area=halves.outer_area[at] * share,
                film=link.film,
                emissivity=link.emissivity,
            )
        )
    return tuple(found)


def _faces(problem: Problem, grid: Grid, block: Integers, halves: _Halves) -> Faces:
    known = {ROOM, *(node.name for node in problem.nodes)}
    along_r = [law for law in problem.boundaries if law.facing in ("outwards", "inwards")]
    along_z = [law for law in problem.boundaries if law.facing in ("up", "down")]
    cells: list[Integers] = []
    for law in (*along_r, *along_z):
        for target in (law.air, law.sees):
            if isinstance(target, str) and target not in known:
                raise ValueError(f"boundary '{law.name}': there is no node '{target}'; known are {sorted(known)}")
        cells.append(_faces_of(problem, law, grid, block))
    r_edge = {"outwards": 1, "inwards": 0}
    z_edge = {"up": 1, "down": 0}
    area, half, r, z = [], [], [], []
    for law, cell in zip((*along_r, *along_z), cells, strict=True):
        if law.facing in r_edge:
            outward = law.facing == "outwards"
            area.append(law.share * (halves.outer_area if outward else halves.inner_area)[cell])
            half.append(law.share * (halves.outwards if outward else halves.inwards)[cell])
            r.append(grid.r_edges[grid.column[cell] + r_edge[law.facing]])
            z.append(grid.z[grid.row[cell]])
        else:
            area.append(law.share * halves.level_area[cell])
            half.append(law.share * halves.up[cell])
            r.append(grid.r[grid.column[cell]])
            z.append(grid.z_edges[grid.row[cell] + z_edge[law.facing]])
    count = np.array([len(cell) for cell in cells], dtype=np.int64)
    empty = [np.zeros(0)]
    return Faces(
        laws=(*along_r, *along_z),
        cell=np.concatenate(cells) if cells else np.zeros(0, dtype=np.int64),
        area=np.concatenate(area or empty),
        half=np.concatenate(half or empty),
        start=np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.int64) if cells else count,
        count=count,
        along_r=int(count[: len(along_r)].sum()),
        r=np.concatenate(r or empty),
        z=np.concatenate(z or empty),
    )


def _faces_of(problem: Problem, law: Boundary, grid: Grid, block: Integers) -> Integers:
    """Cells of the law's part whose neighbour in the law's direction is air or nothing."""
    step = {"outwards": (0, 1), "inwards": (0, -1), "up": (1, 0), "down": (-1, 0)}[law.facing]
    found: Integers = np.flatnonzero(_holds(problem, law.part, f"boundary '{law.name}'")[block])
    rows, columns = grid.row[found] + step[0], grid.column[found] + step[1]
    inside = (rows >= 0) & (rows < grid.block.shape[0]) & (columns >= 0) & (columns < grid.block.shape[1])
    chosen = ~inside
    chosen[inside] = grid.block[rows[inside], columns[inside]] < 0
    if law.facing == "inwards":
        chosen &= grid.r_edges[grid.column[found]] > 0.0
    if law.spans:
        radial = law.facing in ("up", "down")
        named = np.array([name in law.spans for name in (grid.radial_span if radial else grid.axial_span)])
        chosen &= named[(grid.column if radial else grid.row)[found]]
    found = found[chosen]
    if not len(found):
        raise ValueError(f"boundary '{law.name}': part '{law.part}' has no free face {law.facing} there")
    return found


def in_pieces(nodes: Sequence[Node], faces: Faces) -> tuple[Node, ...]:
    """Cut spread nodes like the faces that meet them: one node for each face, with its capacity by their areas.

    ValueError if the laws that name one have different numbers of faces.
    """
    found: list[Node] = []
    for node in nodes:
        meet = [index for index, law in enumerate(faces.laws) if node.name in (law.air, law.sees)]
        if not node.split or not meet:
            found.append(node)
            continue
        if len({int(faces.count[index]) for index in meet}) > 1:
            raise ValueError(f"the laws that name '{node.name}' have different numbers of faces")
        first = slice(faces.start[meet[0]], faces.start[meet[0]] + faces.count[meet[0]])
        share = faces.area[first] / faces.area[first].sum()
        found += [
            replace(node, name=f"{node.name}, piece {number}", capacity=node.capacity * float(part))
            for number, part in enumerate(share, start=1)
        ]
    return tuple(found)


def sums(place: NDArray[np.intp], value: Array, count: int) -> Array:
    """Sum the values of each of `count` [-] places; 0 where nothing belongs."""
    return np.asarray(np.bincount(place, value, count), dtype=np.float64)


def lines_of(pairs: Pairs) -> Integers:
    """Tell which cells conduct to each other along one direction.

    - `pairs`: Neighbours along it.
    - Returns line of each cell, in row order.
    """
    joined = pairs.steady + pairs.uniform > 0.0
    joined[pairs.mixed] = True
    line = np.empty(len(pairs.order), dtype=np.int64)
    line[pairs.order] = np.concatenate([[0], np.cumsum(~joined)])
    return line


class Conductances:
    """Conductances between the neighbours of a network, along r and along z at once.

    Inside a freezing block the flux is the difference of the Kirchhoff potential over the distance, written as a secant
    conductivity: a harmonic mean of cell values is only first order at a sharp front.

    Equation (10) of `coolsim.theory`.
    """

    def __init__(self, network: Network) -> None:
        radial, axial = network.radial, network.axial
        count = len(radial.order)
        # The two directions behind each other; the pair between them joins nothing.
        self._order = np.concatenate([radial.order, axial.order])
        nothing = [0.0]
        self._steady = np.concatenate([radial.steady, nothing, axial.steady])
        self._uniform = np.concatenate([radial.uniform, nothing, axial.uniform])
        self._mixed = np.concatenate([radial.mixed, axial.mixed + count])
        self._near, self._far = self._order.take(self._mixed), self._order.take(self._mixed + 1)
        self._mixed_near = np.concatenate([radial.mixed_near, axial.mixed_near])
        self._mixed_far = np.concatenate([radial.mixed_far, axial.mixed_far])
        self._mixed_resistance = np.concatenate([radial.mixed_resistance, axial.mixed_resistance])
        self._count = count

    def at(self, temperature: Array, potential: Array, conductivity: Array) -> tuple[Array, Array]:
        """Conductances [W/K] between neighbours in row order and in column order.

        They are those at temperatures [°C], potentials [W/m] and conductivities [W/m/K] of the cells.
        """
        warmth = temperature.take(self._order)
        theta = potential.take(self._order)
        difference = warmth[1:] - warmth[:-1]
        secant = theta[1:] - theta[:-1]
        (alike,) = (np.abs(difference) <= _SAME_TEMPERATURE).nonzero()
        if len(alike):
            difference[alike] = 2.0
            secant[alike] = conductivity.take(self._order.take(alike)) + conductivity.take(self._order.take(alike + 1))
        secant /= difference
        secant *= self._uniform
        secant += self._steady
        if len(self._mixed):
            secant[self._mixed] = 1.0 / (
                1.0 / (self._mixed_near * conductivity.take(self._near))
                + self._mixed_resistance
                + 1.0 / (self._mixed_far * conductivity.take(self._far))
            )
        return secant[: self._count - 1], secant[self._count :]
