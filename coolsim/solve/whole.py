"""One time step with both directions solved together.

Alternating directions leave an error of the order of (dt^2/4) times the product of a cell's rates along r and along z.
In thin metal both are several per second: its temperature is then wrong by kelvins and turns round in sign from step to
step. Where a section holds metal the step is therefore the backward differentiation formula of second order (Gear 1971,
from memory), which damps quick modes wholly, with all cells in one symmetric band matrix and Newton in enthalpy as in
`Stepper`. It costs several times as much per step.
"""

from __future__ import annotations

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.freezing import Pieces
from coolsim.model.properties import Inert
from coolsim.model.section import Array
from coolsim.solve.lapack import dpbsv
from coolsim.solve.network import Network, sums
from coolsim.solve.runs import PerRun
from coolsim.solve.stepper import NEWTON_MOST, State, Step, Stepper

METAL_DIFFUSIVITY = 2e-6
"""Thermal diffusivity from which a block counts as metal [m2/s]; glass has 5e-7, stone 1.3e-6, steel 1.4e-5. Thin
walls of a foam with 4e-6 ended 0.6 K colder than the room."""


def holds_metal(network: Network) -> bool:
    """Tell whether some block of a network conducts like metal, so that both directions have to be solved together."""
    materials = [block.material for block in network.blocks]
    return any(
        isinstance(one, Inert) and one.conductivity / (one.density * one.heat_capacity) > METAL_DIFFUSIVITY
        for one in materials
    )


class WholeStepper(Stepper):
    """Advances a network of one run with both directions solved together.

    Temperatures of the linear system and of the table may differ by `newton_tolerance` [K].
    """

    def __init__(self, network: Network, *, newton_tolerance: PerRun) -> None:
        super().__init__(network, newton_tolerance=newton_tolerance)
        order = network.axial.order
        # Neighbours along z as (lower, higher) indices in row order; along r they are i and i + 1.
        self._below, self._above = order[:-1], order[1:]
        joined = (self._above > self._below) & (np.diff(network.grid.column[order]) == 0)
        self._upright = np.flatnonzero(joined)
        self._below, self._above = self._below[joined], self._above[joined]
        distance = self._above - self._below
        self._width = int(distance.max(initial=1))
        # Lower band storage, column by column: entry (i + d, i) of the matrix stands at [d, i].
        self._place = distance + self._below * (self._width + 1)

    def advance(self, state: State, dt: PerRun) -> Step:
        """Make one step of a length [s] from a state, which stays as it is.

        Equation (13) of `coolsim.theory`.
        """
        dt, network, faces = float(dt), self.network, self.network.faces
        last, end = state.last, state.time + dt
        ratio = dt / float(last.dt) if last else 0.0
        carry, weight = ratio**2 / (1.0 + 2.0 * ratio), (1.0 + ratio) / (1.0 + 2.0 * ratio) * dt
        expected = state.enthalpy + dt * state.rate
        piece = network.cells.piece(expected)
        laws = self._laws(state, expected, piece, end, dt)
        outer = laws.exchange
        released = self._released(end)
        stirred = self._stirring.source(expected)
        gains = laws.gain + (released if stirred is None else released + stirred)
        right = state.enthalpy + carry * last.change if last else state.enthalpy
        right = network.volume * right + weight * gains
        loss = sums(faces.cell, outer.to_air, len(network.volume))
        enthalpy, temperature, newton, settled = self._solve_whole(
            right, weight * laws.across_r, weight * laws.across_z, weight * loss, piece
        )
        face_cell = temperature.take(faces.cell)
        leaving = outer.to_air * (face_cell - outer.outside) - outer.inflow
        outside, arriving = self.surroundings.settle(state.outside, outer, leaving, face_cell, end)
        lost, arrived = weight * self._by_boundary(leaving), weight * arriving
        heat: PerRun = float(weight * np.sum(released))
        if last:
            # What is booked follows the same formula as the enthalpy, so the ledger closes.
            lost, arrived, heat = (
                lost + carry * last.lost,
                arrived + carry * last.to_nodes,
                heat + carry * last.released,
            )
        outside.owed = outside.owed + arrived - outer.given
        outside.owed_over = np.maximum(dt, outside.owed_over - dt)
        outside.gaps = self._gaps.means(temperature, laws.across_r)
        return Step(
            dt=dt,
            change=enthalpy - state.enthalpy,
            enthalpy=enthalpy,
            outside=outside,
            lost=lost,
            to_nodes=arrived,
            carried=outer.carried,
            released=heat,
            settled=[settled],
            newton=[newton],
            circulates=[stirred is not None],
            around=self._around(outer.outside),
            bend=[0.0],
        )

    def _solve_whole(
        self, right: Array, across_r: Array, across_z: Array, loss: Array, piece: Pieces
    ) -> tuple[Array, Array, int, bool]:
        """Solve volume * H + (across, loss) * T(H) = right.

        H, the linear system's T, the iterations, and whether they settled.
        """
        cells, volume = self.network.cells, self.network.volume
        upright = across_z[self._upright]
        diagonal = loss.copy()
        diagonal[:-1] += across_r
        diagonal[1:] += across_r
        count = len(diagonal)
        diagonal += sums(self._below, upright, count) + sums(self._above, upright, count)
        matrix = np.zeros((count, self._width + 1))
        matrix[:-1, 1] = -across_r
        # Where rows hold one cell only, neighbours along z are neighbours in row order too.
        matrix.reshape(-1)[self._place] -= upright
        for iteration in range(1, NEWTON_MOST + 1):
            capacity = cells.capacity(piece)
            at_zero = cells.at_zero(piece)
            matrix[:, 0] = diagonal + volume * capacity
            _, linear, failed = dpbsv(matrix.T, right - volume * at_zero, lower=True, overwrite_b=True)
            if failed:
                raise SolverError("the band matrix is not positive definite: some conductance is not positive")
            enthalpy, before = capacity * linear + at_zero, piece
            piece = cells.piece(enthalpy)
            if not self._straying(cells, enthalpy, piece, before, linear, self.runs.of_cell):
                # Of the flows themselves: what one cell loses another gains to the last digit, which the solution of
                # the system is short of where thin metal conducts well.
                left = right - loss * linear
                along_r = across_r * (linear[:-1] - linear[1:])
                left[:-1] -= along_r
                left[1:] += along_r
                along_z = upright * (linear[self._below] - linear[self._above])
                left += sums(self._above, along_z, count) - sums(self._below, along_z, count)
                return left / volume, linear, iteration, True
        return right, right, NEWTON_MOST, False
