"""What a run leaves behind: every step that it made."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from coolsim.model.section import Array
from coolsim.solve.network import Network
from coolsim.solve.start import Start
from coolsim.solve.stepper import State, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """All steps of a run.

    - `time` (nt,): Since the pour [s]; the first entry is 0, or when the run went on from.
    - `enthalpy` (nt, n): Enthalpy of the cells in row order [J/m3].
    - `surface` (nt, m): Temperature of the faces to the air, in the middle of the step that led there [°C].
    - `nodes` (nt, k): Temperatures of the nodes [°C].
    - `owed` (nt, k): Heat given to the nodes and not yet in their temperature [J].
    - `owed_over` (nt,): Length of the step in which that arose [s].
    - `gaps` (nt, g, 2): Mean temperatures of the two faces of each air gap [°C].
    - `room` (nt,): Room temperature [°C].
    - `lost` (nt, b): Heat that has left through each boundary so far [J].
    - `to_nodes` (nt, k): The part of that which went to each node [J].
    - `carried` (nt, l): Heat that has gone along each node link so far [J].
    - `released` (nt,): Heat of sources so far [J].
    - `rejected`, `newton`: Steps taken again, and Newton iterations in all [-].
    - `ended`: Why the run ended.
    - `given_before`: Heat given off before the first entry [J]; 0 at the pour.
    """

    time: Array
    enthalpy: Array
    surface: Array
    nodes: Array
    owed: Array
    owed_over: Array
    gaps: Array
    room: Array
    lost: Array
    to_nodes: Array
    carried: Array
    released: Array
    rejected: int
    newton: int
    ended: str
    given_before: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What an observer is told after each step.

    How far the run is and where it ends at the latest [s], and the hottest wax, or cell where there is no wax [°C].
    """

    time: float
    horizon: float
    hottest: float


_COLUMNS = (
    "time", "enthalpy", "surface", "nodes", "owed", "owed_over", "gaps", "room", "lost", "to_nodes", "carried",
    "released",
)  # fmt: skip


class Recorder:
    """Keeps the accepted steps of all runs of a network, and what each has booked so far."""

    def __init__(self, network: Network, state: State, rooms: Sequence[float], start: Start | None) -> None:
        self._runs, self._of = network.runs, network.all_runs
        if start is None:
            self.lost, self.carried = np.zeros(len(network.faces.laws)), np.zeros(len(self._of.of_link))
            self.to_nodes, self.given_before = np.zeros_like(state.outside.nodes), 0.0
            self.released = [0.0] * self._of.count
        else:
            self.lost, self.carried, self.to_nodes = start.lost, start.carried, start.to_nodes
            self.released, self.given_before = [start.released], start.given_off
        self._rows: list[list[tuple[float | Array, ...]]] = [[] for _ in self._runs]
        self._keep(state, rooms, range(self._of.count))

    def keep(self, step: Step, state: State, rooms: Sequence[float], accepted: Sequence[bool]) -> None:
        """Book what a step moved in the runs that accepted it, and keep where they are now."""
        of = self._of
        taken = of.each([float(one) for one in accepted])
        self.lost = self.lost + step.lost * of.over(taken, of.of_law)
        self.carried = self.carried + step.carried * of.over(taken, of.of_link)
        self.to_nodes = self.to_nodes + step.to_nodes * of.over(taken, of.of_node)
        moved = zip(self.released, of.to_list(step.released), accepted, strict=True)
        self.released = [before + more if one else before for before, more, one in moved]
        self._keep(state, rooms, [number for number, one in enumerate(accepted) if one])

    def _keep(self, state: State, rooms: Sequence[float], numbers: Sequence[int]) -> None:
        outside = state.outside
        times, owed_over = self._of.to_list(state.time), self._of.to_list(outside.owed_over)
        for number in numbers:
            run = self._runs[number]
            self._rows[number].append(
                (times[number], state.enthalpy[run.cells], outside.surface[run.faces], outside.nodes[run.nodes],
                 outside.owed[run.nodes], owed_over[number], outside.gaps[run.gaps], rooms[number],
                 self.lost[run.laws], self.to_nodes[run.nodes], self.carried[run.links], self.released[number])
            )  # fmt: skip

    def history(self, number: int, *, rejected: int, newton: int, ended: str) -> History:
        """Give all steps of the run of a number, with its counts of rejected steps and Newton iterations [-]."""
        columns = [np.array(column) for column in zip(*self._rows[number], strict=True)]
        return History(
            **dict(zip(_COLUMNS, columns, strict=True)),
            rejected=rejected,
            newton=newton,
            ended=ended,
            given_before=self.given_before,
        )

    def keep_going(self, network: Network, keep: Sequence[int], moved: Callable[[Array, str], Array]) -> None:
        """Go on with some of the runs, laid together anew in a network: `moved` lays out what each of them has."""
        self._runs, self._of = network.runs, network.all_runs
        self._rows = [self._rows[number] for number in keep]
        self.released = [self.released[number] for number in keep]
        self.lost, self.carried = moved(self.lost, "laws"), moved(self.carried, "links")
        self.to_nodes = moved(self.to_nodes, "nodes")
