"""Heat between the section's faces, the room and the nodes, during one time step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coolsim.model.problem import ROOM
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array
from coolsim.solve.network import Network, lines_of, sums

_FIXED_TEMPERATURE_FILM = 1e12
_NO_EXCHANGE = 1e-300
_FOLLOWS_FROM = 4.0
# A film that grows with the 0.8th power of the difference, as in water about 4 °C, swings from 0.7 on.
_SWINGS_FROM = 0.5


@dataclass(slots=True)
class FaceState:
    """Temperatures outside the cells.

    Those of the (m,) faces when they were last known [°C], their rates [K/s] and when that was [s], None before the
    first step; the means of the two faces of each air gap [°C]; those of the (k,) nodes [°C]. `owed` is the heat that
    the section has given to a node beyond what its temperature shows yet [J], `owed_over` the length of the step in
    which that arose [s]. `swings` tells of the faces whether their films are not led on, see `Surroundings.settle`.
    """

    surface: Array
    surface_rate: Array
    known_at: float | None
    gaps: tuple[tuple[float, float], ...]
    nodes: Array
    owed: Array
    owed_over: float = 0.0
    swings: NDArray[np.bool_] | None = None


@dataclass(slots=True, kw_only=True)
class Exchange:
    """Linear laws of all (m,) faces for one step: heat leaving a cell is `to_air * (T - outside) - inflow` [W].

    Conductances from cell to face and to what lies outside [W/K]; the temperature there, air and surroundings weighted
    [°C]; the share of a given flux that reaches the cell [W]; film and radiation times area [W/K]. Of the nodes:
    temperatures at the end of the step [°C], heat booked in them from faces and along each link [J].
    """

    to_face: Array
    to_air: Array
    outside: Array
    inflow: Array
    convected: Array
    radiated: Array
    nodes: Array
    given: Array
    carried: Array


class Surroundings:
    """Film, radiation and node laws of a network; `steady` tells whether they are the same in every step."""

    def __init__(self, network: Network) -> None:
        problem, faces = network.problem, network.faces
        laws = faces.laws
        self._faces = faces
        self._film_laws = [(index, law.film) for index, law in enumerate(laws) if callable(law.film)]
        fixed = np.array([0.0 if callable(law.film) else law.film for law in laws])
        self._fixed_films = np.minimum(fixed, _FIXED_TEMPERATURE_FILM)
        self._emissivity = np.repeat([law.emissivity for law in laws], faces.count)
        self._radiates = bool(np.any(self._emissivity))
        self._no_radiation = np.zeros(len(faces.cell))
        self._flux = np.repeat([law.flux for law in laws], faces.count) * faces.area
        total = np.add.reduceat(faces.area, faces.start) if len(laws) else np.zeros(0)
        self._weight = faces.area / np.repeat(total, faces.count)
        self._capacity = np.array([node.capacity for node in network.nodes])
        # Temperatures outside are looked up in one vector: the room, the nodes, then the numbers that laws give.
        places: dict[str | float, int] = {ROOM: 0}
        places |= {node.name: index + 1 for index, node in enumerate(network.nodes)}
        # A law that meets a spread node finds its pieces behind each other.
        spread = {node.name for node in problem.nodes if node.split}
        places |= {name: places[f"{name}, piece 1"] for name in spread if f"{name}, piece 1" in places}
        given = [target for law in laws for target in (law.air, law.sees) if not callable(target)]
        self._numbers = [float(target) for target in given if not isinstance(target, str)]
        places |= {number: index + len(network.nodes) + 1 for index, number in enumerate(self._numbers)}
        self._law_air = [0 if callable(law.air) else places[law.air] for law in laws]
        self._air = np.repeat(np.array(self._law_air, dtype=np.intp), faces.count)
        self._sees = np.repeat(np.array([places[law.sees] for law in laws], dtype=np.intp), faces.count)
        self._pieces: dict[int, slice] = {}
        for index, (law, start, count) in enumerate(zip(laws, faces.start, faces.count, strict=True)):
            if law.air in spread:
                self._air[start : start + count] += np.arange(count)
                self._pieces[index] = slice(start, start + count)
            if law.sees in spread:
                self._sees[start : start + count] += np.arange(count)
        self._meets_spread = np.repeat([law.air in spread or law.sees in spread for law in laws], faces.count)
        line = lines_of(network.radial)
        self._tolerance = problem.accuracy.tolerance
        self._holds = (network.volume * network.sensible).take(faces.cell)
        self._line, self._line_holds = line.take(faces.cell), sums(line, network.volume * network.sensible, len(line))
        self._profiles = [
            (slice(start, start + count), law.air)
            for law, start, count in zip(laws, faces.start, faces.count, strict=True)
            if callable(law.air)
        ]
        self._link_laws = [link.conductance for link in problem.node_links]
        self._link_ends = [(places[first], places[second]) for first, second in (x.ends for x in problem.node_links)]
        incidence = np.zeros((len(self._link_ends), len(network.nodes) + 1))
        for row, (first, second) in enumerate(self._link_ends):
            incidence[row, first], incidence[row, second] = 1.0, -1.0
        # Nodes without links are worked out each for itself.
        linked = incidence[:, 1:].any(axis=0)
        self._linked = np.flatnonzero(linked)
        self._incidence, self._to_room = incidence[:, 1 + self._linked], -incidence[:, 0]
        self._room = problem.room
        self._steady_films = not self._film_laws and not self._radiates
        self.steady = (
            self._steady_films
            and not network.nodes
            and not callable(problem.room)
            and not any(callable(law.air) for law in laws)
        )
        self._repeated_films = np.repeat(self._fixed_films, faces.count)

    def room(self, time: float) -> float:
        """Room temperature [°C] at a time since the start [s]."""
        return float(self._room(time)) if callable(self._room) else float(self._room)

    def exchange(self, state: FaceState, half_geometry: Array, when: float, dt: float) -> Exchange:
        """Laws of the faces at a time and over a step [s], with the conductances from cells to faces [W/K].

        Its nodes are those at the end of the step.
        """
        faces = self._faces
        room = self.room(when)
        surface = state.surface
        if state.known_at is not None:
            ahead = (when - state.known_at) * state.surface_rate
            surface = surface + (ahead if state.swings is None else np.where(state.swings, 0.0, ahead))
        before = np.array([room, *state.nodes.tolist(), *self._numbers])
        film, radiative = self._coefficients(surface, before)
        convected, radiated = film * faces.area, radiative * faces.area
        expected = self._expected(state, surface, convected + radiated, dt) if self._pieces else surface
        nodes, given, carried = self._step_nodes(state, expected, convected, radiated, before, dt)
        after = np.array([room, *nodes.tolist(), *self._numbers])
        air = after.take(self._air)
        for part, profile in self._profiles:
            air[part] = profile(faces.r[part], faces.z[part], when)
        both = convected + radiated
        if self._radiates:
            outside = (convected * air + radiated * after.take(self._sees)) / np.maximum(both, _NO_EXCHANGE)
        else:
            outside = air
        fraction = half_geometry / (half_geometry + both)
        return Exchange(
            to_face=half_geometry,
            to_air=both * fraction,
            outside=outside,
            inflow=self._flux * fraction,
            convected=convected,
            radiated=radiated,
            nodes=nodes,
            given=given,
            carried=carried,
        )

    def _coefficients(self, surface: Array, outside: Array) -> tuple[Array, Array]:
        """Film and radiation coefficient of each face, for the temperatures outside that were valid last [W/m2/K]."""
        faces = self._faces
        if self._steady_films:
            return self._repeated_films, self._no_radiation
        film = self._repeated_films
        if self._film_laws:
            films = self._fixed_films.copy()
            means = np.add.reduceat(surface * self._weight, faces.start).tolist()
            air = outside.tolist()
            for index, law in self._film_laws:
                faced = self._pieces.get(index)
                beyond = (
                    air[self._law_air[index]]
                    if faced is None
                    else float(self._weight[faced] @ outside.take(self._air[faced]))
                )
                films[index] = law(means[index], beyond)
            film = np.repeat(films, faces.count)
        if not self._radiates:
            return film, self._no_radiation
        return film, radiation_film(surface, outside.take(self._sees), emissivity=1.0) * self._emissivity

    def _expected(self, state: FaceState, ahead: Array, exchanged: Array, dt: float) -> Array:
        """Face temperatures that the nodes are stepped with: led on, but for walls that follow a spread node at once.

        A piece of a spread node holds next to nothing. Faces led on, and the heat owed, put it on the parabola through
        the last three temperatures of its walls. Walls that follow it within the step then swing up with it: if the
        node holds nothing, in steps of more than four times the heat capacity of the wall over its film. With the last
        temperature of the wall, and the heat owed, it is a straight line, which is stable in steps of any length.
        """
        could = dt * sums(self._line, exchanged * self._meets_spread, len(self._line_holds))
        follows = (could > _FOLLOWS_FROM * self._line_holds).take(self._line) & self._meets_spread
        return np.where(follows, state.surface, ahead)

    def _step_nodes(
        self, state: FaceState, surface: Array, convected: Array, radiated: Array, before: Array, dt: float
    ) -> tuple[Array, Array, Array]:
        """Backward Euler over the step with the faces where they are expected; stable however light the air is.

        What a node is owed from a longer step comes back in as long a time: all at once it would drive the
        temperature of light air away.
        """
        if not len(self._capacity):
            return state.nodes, state.owed, state.nodes
        due = state.owed * min(1.0, dt / state.owed_over) if state.owed_over else state.owed
        weight, heat = self._gathered(convected, radiated, surface)
        known = before.tolist()
        conductance = np.array(
            [
                law(known[first], known[second]) if callable(law) else law
                for law, (first, second) in zip(self._link_laws, self._link_ends, strict=True)
            ]
        )
        room = known[0]
        stored = self._capacity / dt
        right = stored * state.nodes + due / dt + heat
        nodes = right / (stored + weight)
        linked = self._linked
        weighted = self._incidence.T * conductance
        matrix = weighted @ self._incidence
        matrix.flat[:: len(linked) + 1] += (stored + weight)[linked]
        nodes[linked] = np.linalg.solve(matrix, right[linked] + weighted @ self._to_room * room)
        carried = dt * conductance * (self._incidence @ nodes[linked] - self._to_room * room)
        return nodes, due + dt * (heat - weight * nodes), carried

    def _gathered(self, convected: Array, radiated: Array, surface: Array) -> tuple[Array, Array]:
        """Per node: sum of the conductances of its faces [W/K], and the same weighted with face temperature [W]."""
        count = len(self._capacity) + 1
        most = count + len(self._numbers)
        weight = sums(self._air, convected, most) + sums(self._sees, radiated, most)
        heat = sums(self._air, convected * surface, most) + sums(self._sees, radiated * surface, most)
        return weight[1:count], heat[1:count]

    def settle(
        self, state: FaceState, exchange: Exchange, leaving: Array, face_cell: Array, when: float
    ) -> tuple[FaceState, Array]:
        """Temperatures outside the cells after a step, gaps and heat owed excepted; heat flow from faces to nodes [W].

        They follow from the heat flow out of the cells through their faces [W] and the temperature of the cells behind
        them [°C] at a time [s]. The nodes were stepped with expected face temperatures. What the faces really gave
        beyond that is kept as `owed` and enters the nodes' next step, so no heat gets lost between the two.

        A face swings if it turned round in this step, by more than a step may err, and follows its film within it,
        because the cell behind it holds little or conducts badly: thin metal or foam in water. A film that grows as the
        third root of the difference, or quicker, led on along such steps throws its face to the other side each time,
        further and further. With the last temperature of the face instead it settles.
        """
        surface = face_cell - leaving / exchange.to_face
        arriving = exchange.nodes
        if len(self._capacity):
            weight, heat = self._gathered(exchange.convected, exchange.radiated, surface)
            arriving = heat - weight * exchange.nodes
        rate = np.zeros_like(surface)
        swings: NDArray[np.bool_] | None = None
        if state.known_at is not None:
            elapsed = when - state.known_at
            rate = (surface - state.surface) / elapsed
            if self._film_laws:
                held_by = 1.0 / (1.0 / exchange.to_face + elapsed / self._holds)
                swings = exchange.convected > _SWINGS_FROM * held_by
                swings &= (rate * state.surface_rate < 0.0) & (np.abs(elapsed * rate) > self._tolerance)
        after = FaceState(
            surface=surface,
            surface_rate=rate,
            known_at=when,
            gaps=state.gaps,
            nodes=exchange.nodes,
            owed=state.owed,
            owed_over=state.owed_over,
            swings=swings,
        )
        return after, arriving
