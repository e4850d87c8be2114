"""From the start to the end of a run, with steps as long as the error allows.

Output is apart from the loop: what every step produced is kept in a `History`, and questions are asked of that.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from coolsim.errors import SolverError
from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.materials import Wax
from coolsim.model.section import Array, Integers
from coolsim.solve.network import Network
from coolsim.solve.start import Start
from coolsim.solve.stepper import State, Step, Stepper, ends_of
from coolsim.solve.whole import WholeStepper, holds_metal

_SAFETY = 0.9
_SHRINK_MOST, _GROW_MOST = 0.2, 1.6
_ACCEPTED_UP_TO = 2.0
_SHORTEST_STEP = 1e-6
_NEWTON_SHARE = 0.1
# Stirring is taken at a mid-step predicted from the last two rates, which is stable up to half the relaxation time;
# longer steps would swing it up, and heat the top above what was poured.
_MIXING_STEP_SHARE = 0.45
_NODES_MOST = 5.0
_BEND_MOST = 10.0
_ELSEWHERE = 30.0
_PAST_MOST, _PAST_TRIES = 2.0, 6
_LAST_LIQUID_STEP = 0.003
_LAST_LIQUID_CUT = 1.0 / 6.0


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


class _Recorder:
    def __init__(self, state: State, room: float, start: Start | None, boundaries: int, links: int) -> None:
        if start is None:
            self.lost, self.carried = np.zeros(boundaries), np.zeros(links)
            self.to_nodes, self.released, self.given_before = np.zeros_like(state.outside.nodes), 0.0, 0.0
        else:
            self.lost, self.carried, self.to_nodes = start.lost, start.carried, start.to_nodes
            self.released, self.given_before = start.released, start.given_off
        self._rows: list[tuple[float | Array, ...]] = []
        self.keep(state, room)

    def book(self, step: Step) -> None:
        self.lost = self.lost + step.lost
        self.carried = self.carried + step.carried
        self.to_nodes = self.to_nodes + step.to_nodes
        self.released += step.released

    def keep(self, state: State, room: float) -> None:
        outside = state.outside
        gaps = np.array(outside.gaps).reshape(-1, 2)
        self._rows.append(
            (state.time, state.enthalpy, outside.surface, outside.nodes, outside.owed, outside.owed_over, gaps, room,
             self.lost, self.to_nodes, self.carried, self.released)
        )  # fmt: skip

    def history(self, *, rejected: int, newton: int, ended: str) -> History:
        columns = [np.array(column) for column in zip(*self._rows, strict=True)]
        names = (
            "time",
            "enthalpy",
            "surface",
            "nodes",
            "owed",
            "owed_over",
            "gaps",
            "room",
            "lost",
            "to_nodes",
            "carried",
            "released",
        )
        return History(
            **dict(zip(names, columns, strict=True)),
            rejected=rejected,
            newton=newton,
            ended=ended,
            given_before=self.given_before,
        )


def integrate(
    network: Network,
    *,
    start: Start | None = None,
    until: float | None = None,
    on_step: Callable[[Progress], None] | None = None,
) -> History:
    """Run a cut problem to its end.

    - `network`: The cut problem.
    - `start`: Where to go on from; left out, from the pour.
    - `until`: Stop exactly then [s], however warm the wax is; left out, at the problem's own end.
    - `on_step`: Called with a `Progress` after each step.
    - Returns all steps.
    - SolverError: If the steps would have to become shorter than a microsecond.
    - ValueError: If the start does not fit the network, or the end does not lie after it.

    Notes
    -----
    The error of a step is estimated from the difference between the rate of change found and the rate extrapolated
    from the two steps before, root-mean-square over the wax (of the jar where it is largest), as a temperature; in no
    cell may it be thirty times as large. No node may depart by more than five times the tolerance from where its last
    two temperatures lead: it is stepped ahead of the faces that meet it, and could swing with them. While wax
    circulates the step is also kept below half the relaxation time of the melt. A step is taken again in halves if a
    temperature bent in it by more than ten times the tolerance, or went past the extremes of the start and of what
    lies outside by more than twice the tolerance. Unless all steps are asked to have one length, the first is no
    longer than the quickest cell needs: alternating directions would throw that cell past its neighbours. The
    vanishing of the last liquid is singular, so a long step in which it happens is taken again in pieces.
    A run that goes on from a state begins with such a first step, too; heat booked and owed before stays booked and
    owed.
    """
    problem = network.problem
    accuracy, melt = problem.accuracy, problem.melt
    engine = WholeStepper if holds_metal(network) else Stepper
    stepper = engine(network, newton_tolerance=_NEWTON_SHARE * accuracy.tolerance)
    state = stepper.begin(start)
    end = problem.horizon if until is None else until
    if end <= state.time:
        raise ValueError(f"the run would end at {end:g} s, not after its start at {state.time:g} s")
    wax = np.flatnonzero([isinstance(block.material, Wax) for block in network.blocks])
    bodies = [np.flatnonzero(network.block == index) for index in wax] or [np.arange(len(network.block))]
    watched = np.concatenate(bodies)
    ends = np.cumsum([len(body) for body in bodies])
    each = [slice(last - len(body), last) for body, last in zip(bodies, ends, strict=True)]
    scale = 1.0 / network.sensible
    moments = (*map(melt.softness.liquid_at, (problem.answers.carry, melt.softness.feeds_below)), 0.0)
    vanishing = _Vanishing(network, wax, moments, state.enthalpy)
    extremes = _Extremes(network, state.temperature)
    room = stepper.surroundings.room
    recorder = _Recorder(state, room(state.time), start, len(network.faces.laws), len(problem.node_links))
    found = earlier = np.zeros_like(state.enthalpy)
    nodes = np.zeros_like(state.outside.nodes)
    dt, last, before = accuracy.first_step, 0.0, 0.0
    if dt < accuracy.longest_step:
        dt = min(dt, 1.0 / stepper.quickest_rate(state))
    rejected = newton = past = 0
    ended = "horizon" if until is None else "until"
    circulates = melt.mixing == "stratified" and len(wax) > 0
    while state.time < end:
        if circulates:
            dt = min(dt, _MIXING_STEP_SHARE * melt.relaxation)
        dt = min(dt, accuracy.longest_step)
        left = end - state.time
        if dt >= left:
            dt = left
        elif 2.0 * dt > left:
            dt = 0.5 * left
        if last and before:
            state.rate = found + (found - earlier) * ((dt + last) / (last + before))
        step = stepper.advance(state, dt)
        if step is None:
            rejected += 1
            dt = _shorter(dt * _SHRINK_MOST, state.time)
            continue
        newton += step.newton
        circulates = step.circulates
        rate = step.change / dt
        if before:
            off = (rate - state.rate) * scale
            elsewhere = max(float(off.max()), -float(off.min())) / _ELSEWHERE
            off = off.take(watched)
            # Not a dot product: on large grids BLAS would start threads for it, which then cost more than the run.
            square = np.square(off)
            worst = max(float(square[body].mean()) for body in each)
            error = dt * max(math.sqrt(worst), elsewhere) / accuracy.tolerance
            if len(nodes):
                # Nodes are stepped ahead of the faces: where the two drive each other, long steps would let them swing.
                swing = step.outside.nodes - state.outside.nodes - dt * nodes
                error = max(error, float(np.abs(swing).max()) / (_NODES_MOST * accuracy.tolerance))
            factor = _SAFETY * max(error, 1e-12) ** (-1.0 / 3.0)
            if error > _ACCEPTED_UP_TO:
                rejected += 1
                dt = _shorter(dt * max(_SHRINK_MOST, factor), state.time)
                continue
            factor = min(_GROW_MOST, max(_SHRINK_MOST, factor))
        else:
            factor = 1.0
        if before and step.bend > _BEND_MOST * accuracy.tolerance:
            rejected += 1
            dt = _shorter(0.5 * dt, state.time)
            continue
        temperature = stepper.temperature(step.enthalpy)
        if past < _PAST_TRIES and extremes.passed(temperature, step.around) > _PAST_MOST * accuracy.tolerance:
            rejected += 1
            past += 1
            dt = _shorter(0.5 * dt, state.time)
            continue
        if vanishing.within(step.enthalpy) and dt > _LAST_LIQUID_STEP * state.time:
            rejected += 1
            dt *= _LAST_LIQUID_CUT
            continue
        vanishing.follow()
        earlier, found = found, rate
        before, last = last, dt
        recorder.book(step)
        # Met exactly: what happens then must neither be missed by rounding nor met twice.
        time = end if dt == left else state.time + dt
        nodes = (step.outside.nodes - state.outside.nodes) / dt
        state = State(time, step.enthalpy, temperature, rate, step.outside, step)
        recorder.keep(state, room(state.time))
        hottest = float(state.temperature.take(watched).max())
        if on_step is not None:
            on_step(Progress(time=state.time, horizon=end, hottest=hottest))
        if until is None and problem.stop_when_cool and hottest - room(state.time) <= problem.answers.cool_within:
            ended = "cool"
            break
        # The length that went past would do so again.
        dt *= min(factor, 1.0) if past else factor
        past = 0
    return recorder.history(rejected=rejected, newton=newton, ended=ended)


class _Extremes:
    """Watches the maximum principle: without sources nothing passes the extremes of the start and of what lies outside.

    Alternating directions can go past them where a thin wall meets a thin base.
    """

    def __init__(self, network: Network, temperature: Array) -> None:
        problem = network.problem
        self._holds = problem.source is None and not any(law.flux for law in network.faces.laws)
        self._coldest, self._hottest = ends_of(temperature)

    def passed(self, temperature: Array, around: tuple[float, float]) -> float:
        """Tell how far temperatures pass the extremes of the start and of all that has lain outside [K]."""
        if not self._holds:
            return 0.0
        self._coldest, self._hottest = min(self._coldest, around[0]), max(self._hottest, around[1])
        coldest, hottest = ends_of(temperature)
        return max(self._coldest - coldest, hottest - self._hottest)


class _Vanishing:
    """Watches for the step in which the last wax above some liquid fraction freezes."""

    def __init__(self, network: Network, blocks: Integers, fractions: tuple[float, ...], enthalpy: Array) -> None:
        self._cells = [np.flatnonzero(network.block == block) for block in blocks]
        self._levels = [[enthalpy_at_fraction(network.tables[block], x) for x in fractions] for block in blocks]
        self._now = self._next = [float(enthalpy.take(cells).max()) for cells in self._cells]

    def within(self, enthalpy: Array) -> bool:
        """Tell whether one of the levels is passed on the way to these enthalpies."""
        self._next = [float(enthalpy.take(cells).max()) for cells in self._cells]
        return any(
            before > level >= after
            for before, after, levels in zip(self._now, self._next, self._levels, strict=True)
            for level in levels
        )

    def follow(self) -> None:
        """Accept the step that was looked at last."""
        self._now = self._next


def _shorter(dt: float, time: float) -> float:
    if dt < _SHORTEST_STEP:
        raise SolverError(
            f"at {time:.0f} s the time step fell below {_SHORTEST_STEP} s; check that material values are realistic"
        )
    return dt
