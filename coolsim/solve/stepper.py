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
from scipy.linalg.lapack import dptsv

from coolsim.errors import SolverError
from coolsim.model.freezing import CellTables, Pieces
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array
from coolsim.solve.exchange import Exchange, FaceState, Surroundings
from coolsim.solve.mixing import Stirring
from coolsim.solve.network import Conductances, Network, sums
from coolsim.solve.start import Start

NEWTON_MOST = 12
"""Newton iterations after which a step counts as too long [-]."""


@dataclass(slots=True)
class State:
    """Where a run stands at a time [s].

    Enthalpy of the cells [J/m3], their temperature [°C], the expected rate of change of the enthalpy [W/m3], what lies
    outside, and the step that led here.
    """

    time: float
    enthalpy: Array
    temperature: Array
    rate: Array
    outside: FaceState
    last: Step | None


@dataclass(slots=True, kw_only=True)
class Step:
    """What one step of a length [s] produced.

    Change of the enthalpy and enthalpy after conduction [J/m3], temperatures outside after it, and the heat through
    each boundary, to each node, along each node link and of the source [J]. `newton` counts iterations [-],
    `circulates` tells whether any wax is still stirred, `around` has the coldest and hottest of what lay outside of the
    cells [°C]. `bend` is how far a temperature in mid-step stood above the middle of those at the ends, twice [K]: the
    second half of an alternating step repeats the flow along r of the first, and can throw a cell that is about to
    freeze through the end of freezing.
    """

    dt: float
    change: Array
    enthalpy: Array
    outside: FaceState
    lost: Array
    to_nodes: Array
    carried: Array
    released: float
    newton: int
    circulates: bool
    around: tuple[float, float]
    bend: float = 0.0


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
    return float(temperature.min(initial=math.inf)), float(temperature.max(initial=-math.inf))


class Stepper:
    """Advances a network by one step at a time.

    Temperatures of the linear system and of the table may differ by `newton_tolerance` [K].
    """

    def __init__(self, network: Network, *, newton_tolerance: float) -> None:
        self.network = network
        self.surroundings = Surroundings(network)
        self._newton_tolerance = newton_tolerance
        faces, order = network.faces, network.axial.order
        self._cells_z = CellTables(network.tables, network.block[order])
        self._volume_z = network.volume[order]
        self._back = np.argsort(order)
        self._face_z = self._back[faces.cell[faces.along_r :]]
        conductivity = network.cells.conductivity(network.cells.piece(network.start))
        self._half_steady = faces.half * conductivity[faces.cell]
        self._between_cells = Conductances(network)
        self._stirring = Stirring(network)
        self._gap_weights = tuple(gap.area / gap.area.sum() for gap in network.gaps)
        self._steady = network.constant and not network.gaps and self.surroundings.steady
        self._steady_laws: _StepLaws | None = None
        grid = network.grid
        self._r, self._z = grid.r[grid.column], grid.z[grid.row]

    def begin(self, start: Start | None = None) -> State:
        """State to start from: one that another run has reached, or the pour, with faces as warm as their cells.

        ValueError if the start is of another network.
        """
        network = self.network
        if start is not None:
            self._refuse_other(start)
            temperature = self.temperature(start.enthalpy)
            surface, gaps, nodes = start.surface, start.gaps, start.nodes
            outside = FaceState(
                surface, np.zeros_like(surface), None, gaps, nodes, start.owed, owed_over=start.owed_over
            )
            return State(start.time, start.enthalpy, temperature, np.zeros_like(temperature), outside, None)
        temperature = self.temperature(network.start)
        nodes = np.array([node.start for node in network.nodes])
        surface = temperature[network.faces.cell]
        gaps = tuple(
            (float(np.mean(temperature[gap.at])), float(np.mean(temperature[gap.at + 1]))) for gap in network.gaps
        )
        outside = FaceState(surface, np.zeros_like(surface), None, gaps, nodes, np.zeros_like(nodes))
        return State(0.0, network.start.copy(), temperature, np.zeros_like(network.start), outside, None)

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

    def quickest_rate(self, state: State) -> float:
        """Rate at which the quickest cell follows its neighbours [1/s].

        A step of alternating directions that is long against its inverse throws that cell past them.
        """
        network = self.network
        piece = network.cells.piece(state.enthalpy)
        laws = self._laws(state, state.enthalpy, piece, state.time, 1.0)
        along_r = np.concatenate([laws.across_r, [0.0]]) + np.concatenate([[0.0], laws.across_r]) + laws.loss_r
        along_z = np.concatenate([laws.across_z, [0.0]]) + np.concatenate([[0.0], laws.across_z]) + laws.loss_z
        both = along_r + along_z.take(self._back)
        return float((both / (network.volume * network.cells.capacity(piece))).max())

    def temperature(self, enthalpy: Array) -> Array:
        """Temperature [°C] of the cells by their enthalpy [J/m3]."""
        return self.network.cells.temperature(enthalpy, self.network.cells.piece(enthalpy))

    def advance(self, state: State, dt: float) -> Step | None:
        """Make one step of a length [s] from a state, which stays as it is; None if Newton did not settle."""
        network, faces, problem = self.network, self.network.faces, self.network.problem
        order, half, split = network.axial.order, 0.5 * dt, network.faces.along_r
        middle = half * state.rate
        middle += state.enthalpy
        piece = network.cells.piece(middle)
        laws = self._laws(state, middle, piece, state.time + half, dt)
        outer = laws.exchange
        released: Array | float = 0.0
        if problem.source is not None:
            released = problem.source(self._r, self._z, state.time + half) * network.volume
        stirred = self._stirring.source(middle)
        gains = released if stirred is None else released + stirred

        t_old = state.temperature.take(order)
        exchange = t_old[1:] - t_old[:-1]
        exchange *= laws.across_z
        explicit = laws.gain_z - laws.loss_z * t_old
        explicit[:-1] += exchange
        explicit[1:] -= exchange
        explicit += laws.gain_r_by_column
        right = explicit.take(self._back)
        right += gains
        right *= half
        right += network.volume * state.enthalpy
        first = self._solve(network.cells, network.volume, right, laws.across_r, laws.loss_r, half, piece)
        if first is None:
            return None
        h_half, t_half, count_r = first
        # The second half repeats the flow along r of the first: its right side is 2 V H - right + gains.
        content = network.volume * h_half
        content *= 2.0
        content -= right
        content += half * (laws.gain + gains)
        guess = dt * state.rate
        guess += state.enthalpy
        second = self._solve(
            self._cells_z,
            self._volume_z,
            content.take(order),
            laws.across_z,
            laws.loss_z,
            half,
            network.cells.piece(guess).take(order),
        )
        if second is None:
            return None
        h_new, t_new, count_z = second
        face_cell = np.concatenate(
            [t_half.take(faces.cell[:split]), 0.5 * (t_old.take(self._face_z) + t_new.take(self._face_z))]
        )
        leaving = outer.to_air * (face_cell - outer.outside) - outer.inflow
        outside, arriving = self.surroundings.settle(state.outside, outer, leaving, face_cell, state.time + half)
        arrived = dt * arriving
        outside.owed = outside.owed + arrived - outer.given
        outside.owed_over = max(dt, outside.owed_over - dt)
        outside.gaps = self._gap_faces(t_half, laws.across_r)
        enthalpy = h_new.take(self._back)
        return Step(
            dt=dt,
            change=enthalpy - state.enthalpy,
            enthalpy=enthalpy,
            outside=outside,
            lost=dt * self._by_boundary(leaving),
            to_nodes=arrived,
            carried=outer.carried,
            released=float(dt * np.sum(released)),
            newton=count_r + count_z,
            circulates=stirred is not None,
            around=ends_of(outer.outside),
            bend=float((2.0 * t_half - state.temperature - t_new.take(self._back)).max()),
        )

    def _by_boundary(self, leaving: Array) -> Array:
        start = self.network.faces.start
        return np.add.reduceat(leaving, start) if len(start) else np.zeros(0)

    def _solve(
        self, cells: CellTables, volume: Array, right: Array, coupling: Array, loss: Array, half: float, piece: Pieces
    ) -> tuple[Array, Array, int] | None:
        """Solve volume * H + half * (coupling, loss) * T(H) = right; give H, the linear system's T, the iterations."""
        diagonal = half * loss
        beside = -half * coupling
        diagonal[:-1] -= beside
        diagonal[1:] -= beside
        # LAPACK wants room for a link, which a single cell does not have.
        beside = beside if len(beside) else np.zeros(1)
        for count in range(1, NEWTON_MOST + 1):
            capacity = cells.capacity(piece)
            at_zero = cells.at_zero(piece)
            stored = volume * capacity
            stored += diagonal
            rest = volume * at_zero
            np.subtract(right, rest, out=rest)
            _, _, linear, failed = dptsv(stored, beside, rest, overwrite_d=True, overwrite_b=True)
            if failed:
                raise SolverError("a tridiagonal system is not positive definite: some conductance is not positive")
            capacity *= linear
            capacity += at_zero
            enthalpy, before = capacity, piece
            piece = cells.piece(enthalpy)
            if not self._strays(cells, enthalpy, piece, before, linear):
                return enthalpy, linear, count
        return None

    def _strays(self, cells: CellTables, enthalpy: Array, piece: Pieces, before: Pieces, linear: Array) -> bool:
        """Tell whether a cell left the straight piece it was solved on by more than the tolerance."""
        changed = np.flatnonzero(piece != before)
        if not len(changed):
            return False
        off = cells.temperature(enthalpy[changed], piece[changed]) - linear[changed]
        return bool(max(off.max(), -off.min()) >= self._newton_tolerance)

    def _laws(self, state: State, enthalpy: Array, piece: Pieces, when: float, dt: float) -> _StepLaws:
        """Conductances and face laws for one step; worked out once if nothing in them can change."""
        if self._steady_laws is not None:
            return self._steady_laws
        faces, split, count = self.network.faces, self.network.faces.along_r, len(self.network.volume)
        across_r, across_z, half_face = self._conductances(enthalpy, piece, state.outside.gaps)
        exchange = self.surroundings.exchange(state.outside, half_face, when, dt)
        towards = exchange.to_air * exchange.outside + exchange.inflow
        laws = _StepLaws(
            exchange=exchange,
            across_r=across_r,
            across_z=across_z,
            loss_r=sums(faces.cell[:split], exchange.to_air[:split], count),
            loss_z=sums(self._face_z, exchange.to_air[split:], count),
            gain_z=sums(self._face_z, towards[split:], count),
            gain_r_by_column=sums(self._back[faces.cell[:split]], towards[:split], count),
            gain=sums(faces.cell, towards, count),
        )
        if self._steady:
            self._steady_laws = laws
        return laws

    def _conductances(
        self, enthalpy: Array, piece: Pieces, gap_faces: tuple[tuple[float, float], ...]
    ) -> tuple[Array, Array, Array]:
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
            half_face = faces.half * conductivity[faces.cell]
        if network.gaps:
            across_r = across_r.copy()
        for gap, (warm, cold) in zip(network.gaps, gap_faces, strict=True):
            film = gap.film(warm, cold) if callable(gap.film) else gap.film
            if gap.emissivity:
                film += radiation_film(warm, cold, emissivity=gap.emissivity)
            across_r[gap.at] = 1.0 / (1.0 / gap.inner_half + 1.0 / (film * gap.area) + 1.0 / gap.outer_half)
        return across_r, across_z, half_face

    def _gap_faces(self, temperature: Array, across: Array) -> tuple[tuple[float, float], ...]:
        means = []
        for gap, weight in zip(self.network.gaps, self._gap_weights, strict=True):
            warm, cold = temperature.take(gap.at), temperature.take(gap.at + 1)
            flow = across.take(gap.at) * (warm - cold)
            faces = warm - flow / gap.inner_half, cold + flow / gap.outer_half
            means.append((float(weight @ faces[0]), float(weight @ faces[1])))
        return tuple(means)
