"""A second time integrator for the equations of a cut problem, to hold the product's one against.

It shares with the product the cells, the property tables and the laws of films and melt, and nothing of the way
through time: backward differences of second order with variable steps, fully implicit in both directions at once, one
banded Cholesky factorisation per Newton iteration in enthalpy. Slower, but without splitting and damping every mode.
"""

import numpy as np
from scipy.linalg import cho_solve_banded, cholesky_banded

from coolsim.model.radiation import radiation_film
from coolsim.solve.history import History
from coolsim.solve.mixing import Stirring
from coolsim.solve.network import Network

_NEWTON_MOST = 25
_SETTLED = 1e-4  # K
_ERROR_SHARE = 0.2  # of the distance between a quadratic forecast and the step, about 2/11 for even steps


def integrate_implicitly(network: Network, *, tolerance: float, longest_step: float, until_cool=True) -> History:
    """Run a problem without nodes and air gaps whose faces see only the room."""
    problem = network.problem
    if problem.nodes or network.gaps or callable(problem.room):
        raise ValueError("the second opinion knows neither nodes nor air gaps nor a changing room")
    equations = _Equations(network)
    stirring = Stirring(network)
    wax = network.block == [block.part for block in problem.section.blocks].index("wax")
    times, states, lost = [0.0], [network.start], [np.zeros(len(network.faces.laws))]
    dt = problem.accuracy.first_step
    while times[-1] < problem.horizon:
        circulates = stirring.source(states[-1]) is not None
        dt = min(dt, longest_step, 0.2 * problem.melt.relaxation if circulates else np.inf)
        forecast = polynomial_forecast(times, states, times[-1] + dt)
        scheme = backward_differences(times, dt)
        solved = equations.step(scheme, states, dt, forecast, stirring.source(forecast))
        if solved is None:
            dt *= 0.3
            continue
        enthalpy, leaving = solved
        factor = 1.3
        if len(times) > 3:
            off = (enthalpy - forecast) / network.sensible
            error = _ERROR_SHARE * np.sqrt(np.mean(off[wax] ** 2)) / tolerance
            factor = min(1.5, 0.9 * max(error, 1e-9) ** (-1.0 / 3.0))
            if error > 1.5:
                dt *= max(0.2, factor)
                continue
        times.append(times[-1] + dt)
        states.append(enthalpy)
        # Heat that left is integrated by the same formula, so that it balances what the cells lost.
        now, last, before = scheme
        lost.append((dt * leaving - last * lost[-1] - (before * lost[-2] if before else 0.0)) / now)
        hottest = equations.temperature(enthalpy)[wax].max()
        if until_cool and hottest - problem.room <= problem.answers.cool_within:
            break
        dt *= factor
    steps = len(times)
    return History(
        time=np.array(times),
        enthalpy=np.array(states),
        surface=np.zeros((steps, 0)),
        nodes=np.zeros((steps, 0)),
        owed=np.zeros((steps, 0)),
        owed_over=np.zeros(steps),
        gaps=np.zeros((steps, 0, 2)),
        room=np.full(steps, problem.room),
        lost=np.array(lost),
        to_nodes=np.zeros((steps, 0)),
        carried=np.zeros((steps, 0)),
        released=np.zeros(steps),
        rejected=0,
        newton=0,
        ended="cool",
    )


def backward_differences(times, dt):
    """Weights of the new, the last and the state before in dt times the rate of change; first order to begin with."""
    if len(times) < 3:
        return 1.0, -1.0, 0.0
    ratio = dt / (times[-1] - times[-2])
    return (1.0 + 2.0 * ratio) / (1.0 + ratio), -(1.0 + ratio), ratio**2 / (1.0 + ratio)


def polynomial_forecast(times, states, time):
    """Polynomial through the last three states, or fewer, at a later time."""
    last = min(3, len(times))
    value = np.zeros_like(states[-1])
    for i in range(-last, 0):
        weight = 1.0
        for j in range(-last, 0):
            if j != i:
                weight *= (time - times[j]) / (times[i] - times[j])
        value += weight * states[i]
    return value


def _across(pairs, temperature, potential, conductivity):
    """Conductances of neighbours: the Kirchhoff potential's secant within a block, halves in series between blocks."""
    difference = np.diff(temperature)
    apart = np.abs(difference) > 1e-7
    secant = 0.5 * (conductivity[1:] + conductivity[:-1])
    secant[apart] = np.diff(potential)[apart] / difference[apart]
    across = pairs.steady + secant * pairs.uniform
    at = pairs.mixed
    across[at] = 1.0 / (
        1.0 / (pairs.mixed_near * conductivity[at])
        + pairs.mixed_resistance
        + 1.0 / (pairs.mixed_far * conductivity[at + 1])
    )
    return across


class _Equations:
    """The semi-discrete equations V dH/dt = flows(T) of a network, and one implicit step of them."""

    def __init__(self, network: Network):
        self.network = network
        pairs = []
        for one in (network.radial, network.axial):
            first, second = one.order[:-1], one.order[1:]
            joined = np.ones(len(first), dtype=bool)
            joined[one.steady + one.uniform == 0.0] = False
            joined[one.mixed] = True
            pairs.append((one, first, second, joined))
        self._pairs = pairs
        self._width = max(int((np.abs(second - first)[joined]).max()) for _, first, second, joined in pairs)
        self._boundary = np.repeat(np.arange(len(network.faces.laws)), network.faces.count)

    def temperature(self, enthalpy):
        cells = self.network.cells
        return cells.temperature(enthalpy, cells.piece(enthalpy))

    def step(self, scheme, states, dt, forecast, stirred):
        network = self.network
        cells, volume, faces = network.cells, network.volume, network.faces
        now, last, before = scheme
        history = -last * states[-1] - (before * states[-2] if before else 0.0)
        enthalpy = forecast
        room = network.problem.room
        for _ in range(_NEWTON_MOST):
            piece = cells.piece(enthalpy)
            temperature = cells.temperature(enthalpy, piece)
            matrix = np.zeros((self._width + 1, len(enthalpy)))
            self._conduct(matrix, enthalpy, piece, temperature)
            to_room = self._to_room(temperature, cells.conductivity(piece))
            np.add.at(matrix[0], faces.cell, to_room)
            stored = now / dt * volume * cells.capacity(piece)
            matrix[0] += stored
            right = stored * temperature + volume / dt * (history - now * enthalpy)
            np.add.at(right, faces.cell, to_room * room)
            if stirred is not None:
                right += stirred
            linear = cho_solve_banded(
                (cholesky_banded(matrix, lower=True, check_finite=False), True), right, check_finite=False
            )
            enthalpy = enthalpy + cells.capacity(piece) * (linear - temperature)
            if np.abs(self.temperature(enthalpy) - linear).max() < _SETTLED:
                return enthalpy, np.bincount(self._boundary, to_room * (linear[faces.cell] - room))
        return None

    def _conduct(self, matrix, enthalpy, piece, temperature):
        cells = self.network.cells
        potential, conductivity = cells.potential(enthalpy, piece), cells.conductivity(piece)
        for pairs, first, second, joined in self._pairs:
            order = pairs.order
            across = _across(pairs, temperature[order], potential[order], conductivity[order])[joined]
            a, b = first[joined], second[joined]
            np.add.at(matrix[0], a, across)
            np.add.at(matrix[0], b, across)
            matrix[b - a, a] -= across

    def _to_room(self, temperature, conductivity):
        """Conductance from each cell behind a face to the room, films and radiation at the face's temperature."""
        faces, room = self.network.faces, self.network.problem.room
        half = faces.half * conductivity[faces.cell]
        both = 10.0 * faces.area
        for _ in range(4):
            surface = (half * temperature[faces.cell] + both * room) / (half + both)
            film = np.zeros_like(both)
            for index, law in enumerate(faces.laws):
                part = self._boundary == index
                mean = np.average(surface[part], weights=faces.area[part])
                film[part] = law.film(mean, room) if callable(law.film) else law.film
                film[part] += radiation_film(surface[part], room, emissivity=1.0) * law.emissivity
            both = film * faces.area
        return half * both / (half + both)
