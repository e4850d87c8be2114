"""Heat between the section's faces, the room and the nodes, during one time step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coolsim.model.problem import ROOM, AirTemperature
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array
from coolsim.solve.network import Network

_FIXED_TEMPERATURE_FILM = 1e12
_NO_EXCHANGE = 1e-300


@dataclass(slots=True)
class FaceState:
    """Temperatures outside the cells.

    Parameters
    ----------
    surface, surface_rate : (m,) ndarray
        Temperatures of the faces in the middle of the last step [°C] and their rates [K/s].
    age : float
        How long ago that was [s].
    gaps : tuple of (float, float)
        Mean temperatures of the two faces of each air gap [°C].
    nodes : (k,) ndarray
        Node temperatures [°C].
    owed : (k,) ndarray
        Heat the section has given to a node beyond what the node's temperature shows yet [J].
    """

    surface: Array
    surface_rate: Array
    age: float
    gaps: tuple[tuple[float, float], ...]
    nodes: Array
    owed: Array


@dataclass(slots=True, kw_only=True)
class Exchange:
    """Linear laws of all faces for one step: heat leaving a cell is `to_air * (T - outside) - inflow` [W].

    Parameters
    ----------
    to_face, to_air : (m,) ndarray
        Conductance from cell to face and from cell to what lies outside [W/K].
    outside : (m,) ndarray
        Temperature of what lies outside, air and surroundings weighted [°C].
    inflow : (m,) ndarray
        Share of a given flux that reaches the cell [W].
    convected, radiated : (m,) ndarray
        Film and radiation of each face times its area [W/K].
    nodes, given, carried : ndarray
        Node temperatures at the end of the step [°C], heat booked in them from faces [J] and heat along each node
        link [J].
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
    """Film, radiation and node laws of a network.

    Parameters
    ----------
    network : Network
        The cut problem.

    Attributes
    ----------
    steady : bool
        Whether the laws are the same in every step.
    """

    def __init__(self, network: Network) -> None:
        problem, faces = network.problem, network.faces
        laws = faces.laws
        self._faces = faces
        self._places = {ROOM: 0} | {node.name: index + 1 for index, node in enumerate(problem.nodes)}
        self._film_laws = [(index, law.film) for index, law in enumerate(laws) if callable(law.film)]
        fixed = np.array([0.0 if callable(law.film) else law.film for law in laws])
        self._fixed_films = np.minimum(fixed, _FIXED_TEMPERATURE_FILM)
        self._emissivity = np.repeat([law.emissivity for law in laws], faces.count)
        self._radiates = bool(np.any(self._emissivity))
        self._no_radiation = np.zeros(len(faces.cell))
        self._flux = np.repeat([law.flux for law in laws], faces.count) * faces.area
        total = np.add.reduceat(faces.area, faces.start) if len(laws) else np.zeros(0)
        self._weight = faces.area / np.repeat(total, faces.count)
        self._capacity = np.array([node.capacity for node in problem.nodes])
        self._links = [
            (self._places[link.ends[0]], self._places[link.ends[1]], link.conductance) for link in problem.node_links
        ]
        self._room = problem.room
        self._air = [self._place(law.air) for law in laws]
        self._sees = [self._place(law.sees) for law in laws]
        self._steady_films = not self._film_laws and not self._radiates
        self.steady = (
            self._steady_films
            and not problem.nodes
            and not callable(problem.room)
            and not any(callable(law.air) for law in laws)
        )
        self._repeated_films = np.repeat(self._fixed_films, faces.count)

    def _place(self, target: AirTemperature) -> int | AirTemperature:
        return self._places[target] if isinstance(target, str) else target

    def room(self, time: float) -> float:
        """Room temperature at a time.

        Parameters
        ----------
        time : float
            Time since the start [s].

        Returns
        -------
        float
            Temperature [°C].
        """
        return float(self._room(time)) if callable(self._room) else float(self._room)

    def exchange(self, state: FaceState, half_geometry: Array, time: float, dt: float) -> Exchange:
        """Laws of the faces for one step.

        Parameters
        ----------
        state : FaceState
            Temperatures outside the cells.
        half_geometry : (m,) ndarray
            Conductance from cell to face [W/K].
        time, dt : float
            Start and length of the step [s].

        Returns
        -------
        Exchange
            Coefficients at the middle of the step, nodes at its end.
        """
        faces = self._faces
        middle = time + 0.5 * dt
        room = self.room(middle)
        surface = state.surface + (0.5 * dt + state.age) * state.surface_rate
        film, radiative = self._coefficients(surface, room, state.nodes, middle)
        convected, radiated = film * faces.area, radiative * faces.area
        nodes, given, carried = self._step_nodes(state, surface, convected, radiated, room, dt)
        air = self._spread(self._air, room, nodes, middle)
        both = convected + radiated
        if self._radiates or len(nodes):
            sees = self._spread(self._sees, room, nodes, middle)
            outside = (convected * air + radiated * sees) / np.maximum(both, _NO_EXCHANGE)
        else:
            outside = air
        fraction = 1.0 / (half_geometry + both)
        return Exchange(
            to_face=half_geometry,
            to_air=half_geometry * both * fraction,
            outside=outside,
            inflow=self._flux * half_geometry * fraction,
            convected=convected,
            radiated=radiated,
            nodes=nodes,
            given=given,
            carried=carried,
        )

    def _coefficients(self, surface: Array, room: float, nodes: Array, time: float) -> tuple[Array, Array]:
        faces = self._faces
        if self._steady_films:
            return self._repeated_films, self._no_radiation
        films = self._fixed_films
        if self._film_laws:
            films = films.copy()
            means = np.add.reduceat(surface * self._weight, faces.start).tolist()
            known = [room, *nodes.tolist()]
            for index, law in self._film_laws:
                place = self._air[index]
                films[index] = law(means[index], known[place] if isinstance(place, int) else float(place))  # type: ignore[arg-type]
        if not self._radiates:
            return np.repeat(films, faces.count), self._no_radiation
        sees = self._spread(self._sees, room, nodes, time)
        return np.repeat(films, faces.count), radiation_film(surface, sees, emissivity=1.0) * self._emissivity

    def _spread(self, places: list[int | AirTemperature], room: float, nodes: Array, time: float) -> Array:
        """Temperature outside each face."""
        faces = self._faces
        known = [room, *nodes.tolist()]
        values = [known[place] if type(place) is int else (0.0 if callable(place) else place) for place in places]
        spread: Array = np.repeat(np.array(values, dtype=float), faces.count)
        for index, place in enumerate(places):
            if callable(place):
                part = slice(faces.start[index], faces.start[index] + faces.count[index])
                spread[part] = place(faces.r[part], faces.z[part], time)
        return spread

    def _step_nodes(
        self, state: FaceState, surface: Array, convected: Array, radiated: Array, room: float, dt: float
    ) -> tuple[Array, Array, Array]:
        """Backward Euler over the step with the faces where they are expected; stable however light the air is."""
        count = len(self._capacity)
        if not count:
            return state.nodes, state.owed, np.zeros(0)
        matrix = np.diag(self._capacity / dt)
        right = self._capacity / dt * state.nodes + state.owed / dt
        weight, heat = self._gathered(convected, radiated, surface)
        matrix[np.diag_indices(count)] += weight
        right += heat
        known = np.concatenate([[room], state.nodes])
        conductances = []
        for first, second, law in self._links:
            value = law(float(known[first]), float(known[second])) if callable(law) else law
            conductances.append(value)
            matrix[first - 1, first - 1] += value
            if second:
                matrix[second - 1, second - 1] += value
                matrix[first - 1, second - 1] -= value
                matrix[second - 1, first - 1] -= value
            else:
                right[first - 1] += value * room
        nodes = np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
        after = np.concatenate([[room], nodes])
        carried = np.array(
            [dt * g * (after[a] - after[b]) for (a, b, _), g in zip(self._links, conductances, strict=True)]
        )
        return nodes, state.owed + dt * (heat - weight * nodes), carried

    def _gathered(self, convected: Array, radiated: Array, surface: Array) -> tuple[Array, Array]:
        """Per node: sum of the conductances of its faces [W/K], and the same weighted with face temperature [W]."""
        start = self._faces.start
        count = len(self._capacity) + 1
        weight, heat = np.zeros(count), np.zeros(count)
        for places, conductance in ((self._air, convected), (self._sees, radiated)):
            total = np.add.reduceat(conductance, start)
            warmth = np.add.reduceat(conductance * surface, start)
            for index, place in enumerate(places):
                if type(place) is int:
                    weight[place] += total[index]
                    heat[place] += warmth[index]
        return weight[1:], heat[1:]

    def settle(
        self, state: FaceState, exchange: Exchange, leaving: Array, face_cell: Array, dt: float
    ) -> tuple[FaceState, float]:
        """Temperatures outside the cells after a step, gaps excepted, and the heat the faces gave to the nodes.

        Parameters
        ----------
        state : FaceState
            Before the step.
        exchange : Exchange
            Its laws.
        leaving : (m,) ndarray
            Mean heat flow out of the cells through their faces [W].
        face_cell : (m,) ndarray
            Mean temperature of the cells behind the faces [°C].
        dt : float
            Length of the step [s].

        Returns
        -------
        FaceState
            After the step.
        float
            Heat from faces to nodes [J].

        Notes
        -----
        The nodes were stepped with expected face temperatures. What the faces really gave beyond that is kept as
        `owed` and enters the nodes' next step, so no heat gets lost between the two.
        """
        surface = face_cell - leaving / exchange.to_face
        owed, to_nodes = state.owed, 0.0
        if len(self._capacity):
            weight, heat = self._gathered(exchange.convected, exchange.radiated, surface)
            arrived = dt * (heat - weight * exchange.nodes)
            to_nodes = float(arrived.sum())
            owed = state.owed + arrived - exchange.given
        between = state.age + 0.5 * dt
        after = FaceState(
            surface=surface,
            surface_rate=(surface - state.surface) / between if state.age else np.zeros_like(surface),
            age=0.5 * dt,
            gaps=state.gaps,
            nodes=exchange.nodes,
            owed=owed,
        )
        return after, to_nodes
