"""One time step: nonlinear alternating directions on the enthalpy.

Peaceman & Rachford 1955 (J. Soc. Indust. Appl. Math. 3:28): half a step implicit along r, half a step implicit along
z. Each half is a Newton iteration in enthalpy, one symmetric tridiagonal system for all lines together. The fluxes
that are booked are those of the linear systems, so heat is conserved to round-off even where Newton stopped early.
Conductivities and films are taken at the middle of the step, extrapolated from the last one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.freezing import CellTables, Pieces
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array, Integers
from coolsim.solve.exchange import Exchange, FaceState, Surroundings
from coolsim.solve.lapack import dptsv
from coolsim.solve.mixing import Moved, Stirring
from coolsim.solve.network import Conductances, Network, sums
from coolsim.solve.runs import PerRun
from coolsim.solve.start import Start

NEWTON_MOST = 12
"""Newton iterations after which a step counts as too long [-]."""


@dataclass(slots=True)
class State:
    """Where runs stand, each at a time of its own [s].

    Enthalpy of the cells [J/m3], their temperature [°C], the expected rate of change of the enthalpy [W/m3], what lies
    outside, and the step that led here.
    """

    time: PerRun
    enthalpy: Array
    temperature: Array
    rate: Array
    outside: FaceState
    last: Step | None


@dataclass(slots=True, kw_only=True)
class Step:
    """What one step of a length [s] produced.

    Change of the enthalpy and enthalpy after conduction [J/m3], temperatures outside after it, and the heat through
    each boundary, to each node, along each node link and of the source [J]. For each run: `settled` tells whether
    Newton did, `newton` counts iterations [-], `around` has the coldest and hottest of what lay outside of the cells
    [°C], `circulates` tells whether any wax is still stirred, and `bend` is how far a temperature in mid-step
    stood above the middle of those at the ends, twice [K]: the second half of an alternating step repeats the flow
    along r of the first, and can throw a cell that is about to freeze through the end of freezing.
    """

    dt: PerRun
    change: Array
    enthalpy: Array
    outside: FaceState
    lost: Array
    to_nodes: Array
    carried: Array
    released: PerRun
    settled: list[bool]
    newton: list[int]
    circulates: list[bool]
    around: list[tuple[float, float]]
    bend: list[float]


@dataclass(frozen=True, slots=True, kw_only=True)
class _StepLaws:
    """Conductances between cells, and losses to and gains from outside, per cell: gain - loss * T [W]."""

    exchange: Exchange
    across_r: Array
    across_z: Array
    loss_r: Array
    loss_z: Array
    gain_z: Array
    gain_r_by_column: Array
    gain: Array


def ends_of(temperature: Array) -> tuple[float, float]:
    """Find the coldest and the hottest of some temperatures [°C]; infinite, the wrong way round, if there are none."""
    coldest, hottest = (
        np.minimum.reduce(temperature, initial=math.inf),
        np.maximum.reduce(temperature, initial=-math.inf),
    )
    return float(coldest), float(hottest)


class Stepper:
    """Advances the runs of a network by one step each at a time.

    Temperatures of the linear system and of the table may differ by `newton_tolerance` [K], one for each run.
    """

    def __init__(self, network: Network, *, newton_tolerance: PerRun) -> None:
        self.network = network
        self.runs = network.all_runs
        self.surroundings = Surroundings(network)
        self._newton_tolerance = newton_tolerance
        faces, order = network.faces, network.axial.order
        self._cells_z = network.cells.of(order)
        self._volume_z = network.volume[order]
        self._back = np.argsort(order)
        self._cell_r, self._cell_z = faces.cell[: faces.along_r], faces.cell[faces.along_r :]
        self._face_r, self._face_z = self._back[self._cell_r], self._back[self._cell_z]
        conductivity = network.cells.conductivity(network.cells.piece(network.start))
        self._half_steady = faces.half * conductivity[faces.cell]
        self._between_cells = Conductances(network)
        self._stirring = Stirring(network)
        self._gaps = _Gaps(network)
        self._faces_by_run = np.argsort(self.runs.of_face, kind="stable")
        owners, self._first_face = np.unique(self.runs.of_face.take(self._faces_by_run), return_index=True)
        self._with_faces = owners.tolist()
        self._steady = network.constant and not network.gaps and self.surroundings.steady
        self._steady_laws: _StepLaws | None = None
        self._sources = [
            (number, run, run.problem.source)
            for number, run in enumerate(network.runs)
            if run.problem.source is not None
        ]
        grid = network.grid
        self._r, self._z = grid.r[grid.column], grid.z[grid.row]

    def begin(self, start: Start | None = None) -> State:
        """State to start from: one that another run has reached, or the pour, with faces as warm as their cells.

        ValueError if the start is of another network.
        """
        network, never = self.network, self.runs.each([-math.inf] * self.runs.count)
        if start is not None:
            self._refuse_other(start)
            temperature = self.temperature(start.enthalpy)
            gaps = np.array(start.gaps).reshape(-1, 2)
            outside = FaceState(
                start.surface, np.zeros_like(start.surface), never, gaps, start.nodes, start.owed, start.owed_over
            )
            return State(start.time, start.enthalpy, temperature, np.zeros_like(temperature), outside, None)
        temperature = self.temperature(network.start)
        nodes = np.array([node.start for node in network.nodes])
        surface = temperature[network.faces.cell]
        gaps = np.array([gap.start(temperature) for gap in network.gaps]).reshape(-1, 2)
        pour = self.runs.each([0.0] * self.runs.count)
        outside = FaceState(surface, np.zeros_like(surface), never, gaps, nodes, np.zeros_like(nodes), pour)
        return State(pour, network.start.copy(), temperature, np.zeros_like(network.start), outside, None)

    def _refuse_other(self, start: Start) -> None:
        network = self.network
        problem = network.problem
        for what, found, wanted in (
            ("cells", len(start.enthalpy), len(network.start)),
            ("faces", len(start.surface), len(network.faces.cell)),
            ("nodes", len(start.nodes), len(network.nodes)),
            ("air gaps", len(start.gaps), len(network.gaps)),
            ("boundaries", len(start.lost), len(network.faces.laws)),
            ("node links", len(start.carried), len(problem.node_links)),
        ):
            if found != wanted:
                raise ValueError(f"the start has {found} {what} and the problem {wanted}: it is of another problem")

    def quickest_rates(self, state: State) -> list[float]:
        """Rate at which the quickest cell of each run follows its neighbours [1/s].

        A step of alternating directions that is long against its inverse throws that cell past them.
        """
        network = self.network
        piece = network.cells.piece(state.enthalpy)
        laws = self._laws(state, state.enthalpy, piece, state.time, self.runs.each([1.0] * self.runs.count))
        along_r = _beside(laws.across_r, laws.loss_r)
        along_z = _beside(laws.across_z, laws.loss_z)
        both = along_r + along_z.take(self._back)
        return self.runs.most(both / (network.volume * network.cells.capacity(piece)))

    def temperature(self, enthalpy: Array) -> Array:
        """Temperature [°C] of the cells by their enthalpy [J/m3]."""
        return self.network.cells.temperature(enthalpy, self.network.cells.piece(enthalpy))

    def advance(self, state: State, dt: PerRun) -> Step:
        """Make one step of a length [s] from a state, which stays as it is.

        Equation (11) of `coolsim.theory`.
        """
        network, runs = self.network, self.runs
        order, half = network.axial.order, 0.5 * dt
        over = runs.over_cells(half)
        middle = over * state.rate
        middle += state.enthalpy
        piece = network.cells.piece(middle)
        laws = self._laws(state, middle, piece, state.time + half, dt)
        outer = laws.exchange
        # Both halves are stated as flows [W]: what a cell holds per half a step is volume/half times its enthalpy.
        hold, hold_z = network.volume / over, self._volume_z / over
        stirred = self._stirring.at(middle)

        t_old = state.temperature.take(order)
        exchange = t_old[1:] - t_old[:-1]
        exchange *= laws.across_z
        explicit = laws.gain_z - laws.loss_z * t_old
        explicit[:-1] += exchange
        explicit[1:] -= exchange
        explicit += laws.gain_r_by_column
        right = explicit.take(self._back)
        gains = laws.gain
        released = self._released(state.time + half) if self._sources else None
        if released is not None:
            right += released
            gains = gains + released
        right += hold * state.enthalpy
        drawn = hold
        if stirred is not None:
            gains = gains.copy()
            gains[stirred.cells] += stirred.arriving
            right[stirred.cells] += stirred.arriving
            drawn = hold.copy()
            drawn[stirred.cells] += stirred.leaving
        h_half, t_half, count_r, settled_r = self._solve(
            network.cells, drawn, right, laws.across_r, laws.loss_r, piece, runs.of_cell
        )
        # The second half repeats the flow along r of the first: its right side is 2 V H - right + gains.
        content = hold * h_half
        content *= 2.0
        content -= right
        content += gains
        if stirred is not None:
            # Where the melt goes was foreseen, what leaves the cells was solved for; the two differ a little.
            content[stirred.cells] -= 2.0 * stirred.surplus(h_half)
        guess = 2.0 * middle
        guess -= state.enthalpy
        h_new, t_new, count_z, settled_z = self._solve(
            self._cells_z,
            hold_z,
            content.take(order),
            laws.across_z,
            laws.loss_z,
            network.cells.piece(guess).take(order),
            runs.of_cell,
        )
        face_cell = np.concatenate(
            [t_half.take(self._cell_r), 0.5 * (t_old.take(self._face_z) + t_new.take(self._face_z))]
        )
        leaving = outer.to_air * (face_cell - outer.outside) - outer.inflow
        outside, arriving = self.surroundings.settle(state.outside, outer, leaving, face_cell, state.time + half)
        arrived = runs.over(dt, runs.of_node) * arriving
        outside.owed = outside.owed + arrived - outer.given
        outside.owed_over = np.maximum(dt, outside.owed_over - dt)
        outside.gaps = self._gaps.means(t_half, laws.across_r)
        enthalpy = h_new.take(self._back)
        bend = 2.0 * t_half
        bend -= state.temperature
        bend -= t_new.take(self._back)
        return Step(
            dt=dt,
            change=enthalpy - state.enthalpy,
            enthalpy=enthalpy,
            outside=outside,
            lost=runs.over(dt, runs.of_law) * self._by_boundary(leaving),
            to_nodes=arrived,
            carried=outer.carried,
            released=0.0 * dt if released is None else dt * runs.total(released),
            settled=[a and b for a, b in zip(settled_r, settled_z, strict=True)],
            newton=[a + b for a, b in zip(count_r, count_z, strict=True)],
            circulates=self._circulating(stirred),
            around=self._around(outer.outside),
            bend=runs.most(bend),
        )

    def _released(self, when: PerRun) -> Array:
        """Heat of the sources in each cell at a time [W]."""
        released = np.zeros(len(self.network.volume))
        for number, run, source in self._sources:
            at = self.runs.of_one(when, number)
            released[run.cells] = source(self._r[run.cells], self._z[run.cells], at) * self.network.volume[run.cells]
        return released

    def _circulating(self, stirred: Moved | None) -> list[bool]:
        found = [False] * self.runs.count
        if stirred is not None:
            for number in self.runs.of_cell.take(stirred.cells.take(stirred.pools)).tolist():
                found[number] = True
        return found

    def _around(self, outside: Array) -> list[tuple[float, float]]:
        if self.runs.single:
            return [ends_of(outside)]
        found = [(math.inf, -math.inf)] * self.runs.count
        by_run = outside.take(self._faces_by_run)
        coldest, hottest = (each.reduceat(by_run, self._first_face).tolist() for each in (np.minimum, np.maximum))
        for number, low, high in zip(self._with_faces, coldest, hottest, strict=True):
            found[number] = low, high
        return found

    def _by_boundary(self, leaving: Array) -> Array:
        start = self.network.faces.start
        return np.add.reduceat(leaving, start) if len(start) else np.zeros(0)

    def _solve(
        self, cells: CellTables, hold: Array, right: Array, coupling: Array, loss: Array, piece: Pieces, owner: Integers
    ) -> tuple[Array, Array, list[int], list[bool]]:
        """Solve hold * H + (coupling, loss) * T(H) = right.

        H, the linear system's T, and of each run the number of iterations and whether they settled. Runs that have
        settled are left out of further iterations.

        Equation (12) of `coolsim.theory`.
        """
        diagonal = _beside(coupling, loss)
        # LAPACK wants room for a link, which a single cell does not have.
        beside = -coupling if len(coupling) else np.zeros(1)
        counts = [1] * self.runs.count
        active, at = self.runs.count, None
        enthalpy = linear = right
        straying: list[int] = []
        for _ in range(NEWTON_MOST):
            for number in straying:
                counts[number] += 1
            capacity = cells.capacity(piece)
            at_zero = cells.at_zero(piece)
            stored = hold * capacity
            stored += diagonal
            rest = hold * at_zero
            np.subtract(right, rest, out=rest)
            _, _, solved, failed = dptsv(stored, beside, rest, overwrite_d=True, overwrite_b=True)
            if failed:
                raise SolverError("a tridiagonal system is not positive definite: some conductance is not positive")
            capacity *= solved
            capacity += at_zero
            before, piece = piece, cells.piece(capacity)
            if at is None:
                enthalpy, linear = capacity, solved
            else:
                enthalpy[at], linear[at] = capacity, solved
            straying = self._straying(cells, capacity, piece, before, solved, owner)
            if not straying:
                break
            if len(straying) < active:
                # Couplings between runs are zero, so what stays of the lines still is lines.
                active = len(straying)
                again = np.zeros(self.runs.count, dtype=np.bool_)
                again[straying] = True
                stays = np.flatnonzero(again.take(owner))
                at = stays if at is None else at.take(stays)
                cells, owner, piece = cells.of(stays), owner.take(stays), piece.take(stays)
                hold, right, diagonal = hold.take(stays), right.take(stays), diagonal.take(stays)
                beside = beside.take(stays[:-1]) if len(stays) > 1 else np.zeros(1)
        return enthalpy, linear, counts, [number not in straying for number in range(self.runs.count)]

    def _straying(
        self, cells: CellTables, enthalpy: Array, piece: Pieces, before: Pieces, linear: Array, owner: Integers
    ) -> list[int]:
        """List the runs of which a cell left the straight piece it was solved on by more than the tolerance."""
        (changed,) = (piece != before).nonzero()
        if not len(changed):
            return []
        off = cells.temperature(enthalpy.take(changed), piece.take(changed))
        off -= linear.take(changed)
        np.abs(off, out=off)
        if self.runs.single:
            return [0] if np.maximum.reduce(off) >= self._newton_tolerance else []
        of_run = owner.take(changed)
        strays = off >= np.asarray(self._newton_tolerance).take(of_run)
        return sorted(set(of_run.compress(strays).tolist()))

    def _laws(self, state: State, enthalpy: Array, piece: Pieces, when: PerRun, dt: PerRun) -> _StepLaws:
        """Conductances and face laws for one step; worked out once if nothing in them can change."""
        if self._steady_laws is not None:
            return self._steady_laws
        faces, split, count = self.network.faces, self.network.faces.along_r, len(self.network.volume)
        across_r, across_z, half_face = self._conductances(enthalpy, piece)
        exchange = self.surroundings.exchange(state.outside, half_face, when, dt)
        if self.network.gaps:
            across_r = across_r.copy()
            across_r[self._gaps.at] = self._gaps.conductances(exchange.across, state.outside.gaps)
        towards = exchange.to_air * exchange.outside + exchange.inflow
        laws = _StepLaws(
            exchange=exchange,
            across_r=across_r,
            across_z=across_z,
            loss_r=sums(self._cell_r, exchange.to_air[:split], count),
            loss_z=sums(self._face_z, exchange.to_air[split:], count),
            gain_z=sums(self._face_z, towards[split:], count),
            gain_r_by_column=sums(self._face_r, towards[:split], count),
            gain=sums(faces.cell, towards, count),
        )
        if self._steady:
            self._steady_laws = laws
        return laws

    def _conductances(self, enthalpy: Array, piece: Pieces) -> tuple[Array, Array, Array]:
        """Conductances along r, along z, and from the cells to their faces, for enthalpies in mid-step [W/K]."""
        network, faces = self.network, self.network.faces
        if network.constant:
            across_r, across_z, half_face = network.radial.steady, network.axial.steady, self._half_steady
        else:
            cells = network.cells
            temperature = cells.temperature(enthalpy, piece)
            potential = cells.potential(enthalpy, piece)
            conductivity = cells.conductivity(piece)
            across_r, across_z = self._between_cells.at(temperature, potential, conductivity)
            half_face = faces.half * conductivity.take(faces.cell)
        return across_r, across_z, half_face


class _Gaps:
    """The air gaps of a network behind each other."""

    def __init__(self, network: Network) -> None:
        gaps = network.gaps
        none = [np.zeros(0)]
        counts = [len(gap.at) for gap in gaps]
        self.at = np.concatenate([gap.at for gap in gaps] or [np.zeros(0, dtype=np.int64)])
        self._beyond = self.at + 1
        self._area = np.concatenate([gap.area for gap in gaps] or none)
        self._inner_half = np.concatenate([gap.inner_half for gap in gaps] or none)
        self._outer_half = np.concatenate([gap.outer_half for gap in gaps] or none)
        self._halves = 1.0 / self._inner_half + 1.0 / self._outer_half
        self._emissivity = np.array([gap.emissivity for gap in gaps])
        self._counts = np.array(counts, dtype=np.int64)
        self._start = np.cumsum([0, *counts])[:-1]
        self._weight = np.concatenate([gap.area / gap.area.sum() for gap in gaps] or none)

    def conductances(self, film: Array, faces: Array) -> Array:
        """Conductances across the gaps [W/K], by their films [W/m2/K] and the mean temperatures of their faces [°C].

        The latter have the shape (g, 2).

        Equation (29) of `coolsim.theory`.
        """
        film = film + self._emissivity * radiation_film(faces[:, 0], faces[:, 1], emissivity=1.0)
        conductance: Array = 1.0 / (self._halves + 1.0 / (np.repeat(film, self._counts) * self._area))
        return conductance

    def means(self, temperature: Array, across: Array) -> Array:
        """Mean temperatures of the two faces of each gap, shape (g, 2) [°C].

        For the temperatures of the cells [°C] and the conductances between them along r [W/K].
        """
        if not len(self.at):
            return np.zeros((0, 2))
        warm, cold = temperature.take(self.at), temperature.take(self._beyond)
        flow = across.take(self.at) * (warm - cold)
        sides = (warm - flow / self._inner_half, cold + flow / self._outer_half)
        return np.array([np.add.reduceat(side * self._weight, self._start) for side in sides]).T


def _beside(across: Array, loss: Array) -> Array:
    """Sum of the conductances of each cell to its neighbours along one direction and to its faces [W/K]."""
    total = loss.copy()
    total[:-1] += across
    total[1:] += across
    return total
