"""Heat between the section's faces, the room and the nodes, during one time step."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import SolverError
from coolsim.model.problem import ROOM
from coolsim.model.radiation import radiation_film
from coolsim.model.section import Array
from coolsim.solve.films import Films
from coolsim.solve.lapack import dpbsv
from coolsim.solve.network import Network, lines_of, sums
from coolsim.solve.runs import PerRun, Runs

Conductance = float | Callable[[float, float], float]
"""Of a node link [W/K], or a law of the two temperatures [°C]."""

_FIXED_TEMPERATURE_FILM = 1e12
_NO_EXCHANGE = 1e-300
_FOLLOWS_FROM = 4.0
# A film that grows with the 0.8th power of the difference, as in water about 4 °C, swings from 0.7 on.
_SWINGS_FROM = 0.5


@dataclass(slots=True)
class FaceState:
    """Temperatures outside the cells.

    Those of the (m,) faces when they were last known [°C], their rates [K/s] and when that was [s], minus infinity
    before the first step; the means of the two faces of each air gap, shape (g, 2) [°C]; those of the (k,) nodes [°C].
    `owed` is the heat that the section has given to a node beyond what its temperature shows yet [J], `owed_over` the
    length of the step in which that arose [s]. `swings` tells of the faces whether their films are not led on, see
    `Surroundings.settle`.
    """

    surface: Array
    surface_rate: Array
    known_at: PerRun
    gaps: Array
    nodes: Array
    owed: Array
    owed_over: PerRun = 0.0
    swings: NDArray[np.bool_] | None = None


@dataclass(slots=True, kw_only=True)
class Exchange:
    """Linear laws of all (m,) faces for one step: heat leaving a cell is `to_air * (T - outside) - inflow` [W].

    Conductances from cell to face and to what lies outside [W/K]; the temperature there, air and surroundings weighted
    [°C]; the share of a given flux that reaches the cell [W]; film and radiation times area [W/K]; films across the air
    gaps [W/m2/K]. Of the nodes: conductances of the faces that meet them, and their sum for each [W/K], temperatures at
    the end of the step [°C], heat booked in them from faces and along each link [J].
    """

    to_face: Array
    to_air: Array
    outside: Array
    inflow: Array
    convected: Array
    radiated: Array
    across: Array
    meeting: Array
    weight: Array
    nodes: Array
    given: Array
    carried: Array


class Surroundings:
    """Film, radiation and node laws of a network; `steady` tells whether they are the same in every step."""

    def __init__(self, network: Network) -> None:
        faces, runs = network.faces, network.all_runs
        laws = faces.laws
        self._faces, self._runs = faces, runs
        self._emissivity = np.repeat([law.emissivity for law in laws], faces.count)
        self._radiates = bool(np.any(self._emissivity))
        self._no_radiation = np.zeros(len(faces.cell))
        self._flux = np.repeat([law.flux for law in laws], faces.count) * faces.area
        total = np.add.reduceat(faces.area, faces.start) if len(laws) else np.zeros(0)
        self._weight = faces.area / np.repeat(total, faces.count)
        self._capacity = np.array([node.capacity for node in network.nodes])
        # Temperatures outside are looked up in one vector: the rooms, the nodes, then the numbers that laws give.
        self._numbers: list[float] = []
        self._law_air = np.zeros(len(laws), dtype=np.intp)
        sees = np.zeros(len(laws), dtype=np.intp)
        split = np.zeros((2, len(laws)), dtype=np.bool_)
        links: list[tuple[Conductance, int, int]] = []
        for number, run in enumerate(network.runs):
            places = {ROOM: number}
            places |= {node.name: runs.count + run.nodes.start + at for at, node in enumerate(network.nodes[run.nodes])}
            # A law that meets a spread node finds its pieces behind each other.
            spread = {node.name for node in run.problem.nodes if node.split}
            places |= {name: places[f"{name}, piece 1"] for name in spread if f"{name}, piece 1" in places}
            for at in np.arange(len(laws))[run.laws].tolist():
                law = laws[at]
                self._law_air[at] = number if callable(law.air) else self._place(law.air, places, len(network.nodes))
                sees[at] = self._place(law.sees, places, len(network.nodes))
                split[:, at] = law.air in spread, law.sees in spread
            links += [
                (link.conductance, places[first], places[second])
                for link in run.problem.node_links
                for first, second in (link.ends,)
            ]
        self._air = np.repeat(self._law_air, faces.count)
        self._sees = np.repeat(sees, faces.count)
        within = np.arange(len(faces.cell)) - np.repeat(faces.start, faces.count)
        by_face = np.repeat(split, faces.count, axis=1)
        self._air += within * by_face[0]
        self._sees += within * by_face[1]
        self._meets_spread = by_face.any(axis=0)
        # Which faces meet nodes, by their films and then by radiation, and which node each.
        met = np.concatenate([self._air, self._sees]) - runs.count
        (self._meets,) = ((met >= 0) & (met < len(network.nodes))).nonzero()
        self._met, self._meeting = met.take(self._meets), np.tile(np.arange(len(self._air)), 2).take(self._meets)
        self._pieces = {
            int(index): slice(faces.start[index], faces.start[index] + faces.count[index])
            for index in np.flatnonzero(split[0])
        }
        line = lines_of(network.radial)
        self._tolerance = runs.over(runs.each([one.accuracy.tolerance for one in runs.problems]), runs.of_face)
        self._holds = (network.volume * network.sensible).take(faces.cell)
        self._line, self._line_holds = line.take(faces.cell), sums(line, network.volume * network.sensible, len(line))
        self._profiles = [
            (slice(start, start + count), law.air, int(number))
            for law, start, count, number in zip(laws, faces.start, faces.count, runs.of_law, strict=True)
            if callable(law.air)
        ]
        self._links = _NodeLinks(links, runs, nodes=len(network.nodes))
        films = [law.film if callable(law.film) else min(law.film, _FIXED_TEMPERATURE_FILM) for law in laws]
        self._film_laws = any(callable(film) for film in films)
        # All films of a step at once, behind each other: of faces, along links, across gaps. Their two temperatures are
        # looked up in one vector: what lies outside, the means of the faces, both sides of each gap.
        films += [conductance for conductance, _, _ in links] + [gap.film for gap in network.gaps]
        self._films = Films(films)
        outside = runs.count + len(network.nodes) + len(self._numbers)
        means, sides = outside + np.arange(len(laws)), outside + len(laws) + 2 * np.arange(len(network.gaps))
        self._first = np.concatenate([means, self._links.first, sides])
        self._second = np.concatenate([self._law_air, self._links.second, sides + 1])
        ends = np.cumsum([0, len(laws), len(links), len(network.gaps)]).tolist()
        self._parts = [slice(*between) for between in pairwise(ends)]
        self._rooms = [one.room for one in runs.problems]
        steady = [room for room in self._rooms if not callable(room)]
        self._steady_rooms = steady if len(steady) == len(self._rooms) else None
        self._steady_films = not self._film_laws and not self._radiates
        self.steady = (
            self._steady_films
            and not network.nodes
            and self._steady_rooms is not None
            and not any(callable(law.air) for law in laws)
        )

    def _place(self, target: float | str, places: Mapping[str, int], nodes: int) -> int:
        """Where a target stands in the vector of temperatures outside; a number is put there."""
        if isinstance(target, str):
            return places[target]
        self._numbers.append(float(target))
        return self._runs.count + nodes + len(self._numbers) - 1

    def rooms(self, times: PerRun) -> list[float]:
        """Room temperature [°C] of each run at a time since its start [s]."""
        if self._steady_rooms is not None:
            return self._steady_rooms
        each = zip(self._rooms, self._runs.to_list(times), strict=True)
        return [float(room(time)) if callable(room) else room for room, time in each]

    def exchange(self, state: FaceState, half_geometry: Array, when: PerRun, dt: PerRun) -> Exchange:
        """Laws of the faces at a time and over a step [s], with the conductances from cells to faces [W/K].

        Its nodes are those at the end of the step.

        Equation (16) of `coolsim.theory`.
        """
        faces, runs = self._faces, self._runs
        rooms = self.rooms(when)
        since = np.maximum(when - state.known_at, 0.0)
        ahead = runs.over(np.where(np.isfinite(since), since, 0.0), runs.of_face) * state.surface_rate
        surface = state.surface + (ahead if state.swings is None else np.where(state.swings, 0.0, ahead))
        before = np.concatenate([rooms, state.nodes, self._numbers])
        film, along, across = self._laws_at(state, surface, before)
        radiative = self._no_radiation
        if self._radiates:
            radiative = radiation_film(surface, before.take(self._sees), emissivity=1.0) * self._emissivity
        convected, radiated = film * faces.area, radiative * faces.area
        both = convected + radiated
        expected = self._expected(state, surface, both, dt) if self._pieces else surface
        after, nodes, given = before, state.nodes, state.owed
        meeting = weight = carried = state.nodes
        if len(nodes):
            meeting = np.concatenate([convected, radiated]).take(self._meets)
            weight = sums(self._met, meeting, len(nodes))
            nodes, given, carried = self._step_nodes(state, weight, self._heat(meeting, expected), along, before, dt)
            after = np.concatenate([rooms, nodes, self._numbers])
        air = after.take(self._air)
        for part, profile, number in self._profiles:
            air[part] = profile(faces.r[part], faces.z[part], runs.of_one(when, number))
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
            across=across,
            meeting=meeting,
            weight=weight,
            nodes=nodes,
            given=given,
            carried=carried,
        )

    def _laws_at(self, state: FaceState, surface: Array, outside: Array) -> tuple[Array, Array, Array]:
        """Film of each face and across each gap [W/m2/K], conductance of each link between them [W/K].

        For the temperatures of the faces, and those outside that were valid last [°C].
        """
        faces = self._faces
        means = np.add.reduceat(surface * self._weight, faces.start) if len(faces.start) else surface
        known = np.concatenate([outside, means, state.gaps.ravel()])
        second = known.take(self._second)
        for index, faced in self._pieces.items():
            second[index] = self._weight[faced] @ outside.take(self._air[faced])
        films = self._films.at(known.take(self._first), second)
        of_laws, along, across = (films[part] for part in self._parts)
        return np.repeat(of_laws, faces.count), along, across

    def _expected(self, state: FaceState, ahead: Array, exchanged: Array, dt: PerRun) -> Array:
        """Face temperatures that the nodes are stepped with: led on, but for walls that follow a spread node at once.

        A piece of a spread node holds next to nothing. Faces led on, and the heat owed, put it on the parabola through
        the last three temperatures of its walls. Walls that follow it within the step then swing up with it: if the
        node holds nothing, in steps of more than four times the heat capacity of the wall over its film. With the last
        temperature of the wall, and the heat owed, it is a straight line, which is stable in steps of any length.
        """
        could = sums(
            self._line, exchanged * self._meets_spread * self._runs.over(dt, self._runs.of_face), len(self._line_holds)
        )
        follows = (could > _FOLLOWS_FROM * self._line_holds).take(self._line) & self._meets_spread
        return np.where(follows, state.surface, ahead)

    def _heat(self, meeting: Array, surface: Array) -> Array:
        """Sum for each node of conductances times temperature of the faces that meet it [W]."""
        return sums(self._met, meeting * surface.take(self._meeting), len(self._capacity))

    def _step_nodes(
        self, state: FaceState, weight: Array, heat: Array, along: Array, before: Array, dt: PerRun
    ) -> tuple[Array, Array, Array]:
        """Backward Euler over the step with the faces where they are expected; stable however light the air is.

        What a node is owed from a longer step comes back in as long a time: all at once it would drive the
        temperature of light air away.

        Equation (30) of `coolsim.theory`.
        """
        runs = self._runs
        share = np.minimum(1.0, dt / np.maximum(state.owed_over, _NO_EXCHANGE))
        length = runs.over(dt, runs.of_node)
        due = state.owed * runs.over(share, runs.of_node)
        stored = self._capacity / length
        right = stored * state.nodes + due / length + heat
        nodes, flow = self._links.solve(stored + weight, right, before, along)
        return nodes, due + length * (heat - weight * nodes), runs.over(dt, runs.of_link) * flow

    def settle(
        self, state: FaceState, exchange: Exchange, leaving: Array, face_cell: Array, when: PerRun
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
            arriving = self._heat(exchange.meeting, surface) - exchange.weight * exchange.nodes
        runs = self._runs
        # Endless before the first step: a face that starts as warm as its cell has no rate yet.
        elapsed = runs.over(when - state.known_at, runs.of_face)
        rate = (surface - state.surface) / elapsed
        swings: NDArray[np.bool_] | None = None
        if self._film_laws:
            # Of faces that turned round, whether they follow their films within the step.
            swings = rate * state.surface_rate < 0.0
            if swings.any():
                held_by = 1.0 / (1.0 / exchange.to_face + elapsed / self._holds)
                swings &= exchange.convected > _SWINGS_FROM * held_by
                swings &= np.abs(elapsed * rate) > self._tolerance
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


class _NodeLinks:
    """Links between nodes, and of nodes to the room: one symmetric band system, since links join nodes of one run."""

    def __init__(self, links: Sequence[tuple[Conductance, int, int]], runs: Runs, *, nodes: int) -> None:
        """Each link has a conductance, and where its ends stand among the rooms of the runs and their nodes."""
        self.first = np.array([first for _, first, _ in links], dtype=np.intp)
        self.second = np.array([second for _, _, second in links], dtype=np.intp)
        self._rooms = runs.count
        # Nodes without links are worked out each for itself.
        linked = np.unique(np.concatenate([self.first, self.second]))
        self._linked = linked[linked >= runs.count] - runs.count
        row = np.full(runs.count + nodes, -1)
        row[runs.count + self._linked] = np.arange(len(self._linked))
        ends = np.sort(np.stack([row.take(self.first), row.take(self.second)]), axis=0)
        self._width = 1 + int((ends[1] - ends[0])[ends[0] >= 0].max(initial=0))
        # Where each link adds its conductance to a diagonal, and where it takes it from what is below that.
        (self._joins,) = (ends[0] >= 0).nonzero()
        (one, self._link) = (ends >= 0).nonzero()
        self._at = np.concatenate([ends[one, self._link], ends[0].take(self._joins)]) * self._width
        self._at[len(one) :] += (ends[1] - ends[0]).take(self._joins)

    def solve(self, stored: Array, right: Array, before: Array, conductance: Array) -> tuple[Array, Array]:
        """Solve for the nodes: stored * T + flows along the links = right; temperatures [°C], flow of each link [W].

        `before` holds the temperatures outside that were valid last, rooms first [°C]; conductances of the links [W/K].
        """
        nodes = right / stored
        if not len(self.first):
            return nodes, nodes[:0]
        known = np.concatenate([before[: self._rooms], np.zeros_like(nodes)])
        # What the room gives to a node is known.
        given = sums(self.first, conductance * known.take(self.second), len(known))
        given += sums(self.second, conductance * known.take(self.first), len(known))
        flows = np.concatenate([conductance.take(self._link), -conductance.take(self._joins)])
        band = sums(self._at, flows, len(self._linked) * self._width).reshape(-1, self._width)
        band[:, 0] += stored.take(self._linked)
        wanted = (right + given[self._rooms :]).take(self._linked)
        _, found, failed = dpbsv(band.T, wanted, lower=True, overwrite_b=True)
        if failed:
            raise SolverError("the system of the nodes is not positive definite: some conductance is not positive")
        nodes[self._linked] = found
        known[self._rooms :] = nodes
        return nodes, conductance * (known.take(self.first) - known.take(self.second))
