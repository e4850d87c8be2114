"""From the start to the end of a run, with steps as long as the error allows.

Output is apart from the loop: what every step produced is kept in a `History`, and questions are asked of that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import SolverError
from coolsim.model.freezing import enthalpy_at_fraction
from coolsim.model.materials import Wax
from coolsim.model.problem import Problem
from coolsim.model.section import Array
from coolsim.solve.exchange import FaceState
from coolsim.solve.history import History, Recorder
from coolsim.solve.join import abreast
from coolsim.solve.network import Network
from coolsim.solve.runs import PerRun, Run
from coolsim.solve.start import Start
from coolsim.solve.stepper import State, Step, Stepper
from coolsim.solve.whole import WholeStepper, holds_metal

_Kind = TypeVar("_Kind", np.float64, np.bool_)

_SAFETY = 0.9
_SHRINK_MOST, _GROW_MOST = 0.2, 1.6
_ACCEPTED_UP_TO = 2.0
_SHORTEST_STEP = 1e-6
_NEWTON_SHARE = 0.1
# Where the melt carries its heat is foreseen for mid-step: were all steps 0.7 relaxation times long, tops would close
# 1 % early. Longer ones are made where a step errs by less than this [K].
_MIXING_STEP_SHARE, _MIXING_STEP_MOST, _MIXING_ERROR = 0.45, 2.0, 0.2
_NODES_MOST = 5.0
_BEND_MOST = 10.0
_ELSEWHERE = 30.0
_PAST_MOST, _PAST_TRIES = 2.0, 6
_LAST_LIQUID_STEP = 0.006
_LAST_LIQUID_CUT = 1.0 / 6.0
_PAST_COOL = 1.1
_LAID_ANEW_BELOW = 0.6
"""Share of the runs still going below which they are laid together anew [-]: those that have ended cost as much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """What an observer is told after each step.

    How far the run is and where it ends at the latest [s], and the hottest wax, or cell where there is no wax [°C].
    """

    time: float
    horizon: float
    hottest: float


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
    circulates the step is also kept below half the relaxation time of the melt, or below twice that time where it errs
    by less than 0.2 K and than half the tolerance. A step is taken again in halves if a temperature bent in it by more
    than ten times the tolerance, or went past the extremes of the start and of what lies outside by more than twice the
    tolerance. Unless all steps are asked to have one length, the first is no longer than the quickest cell needs:
    alternating directions would throw that cell past its neighbours. The vanishing of the last liquid is singular, so a
    long step in which it happens is taken again in pieces.
    A run that goes on from a state begins with such a first step, too; heat booked and owed before stays booked and
    owed.
    """
    loop = _Loop(network, start, until)
    while not loop.done:
        loop.step(on_step)
    return loop.histories()[0]


def integrate_abreast(networks: Sequence[Network]) -> tuple[History, ...]:
    """Run several cut problems to their ends, each as `integrate` would, through one stepper.

    Their numbers differ from those of single runs by round-off. None of them may hold metal. SolverError or
    MaterialError if one of them cannot be finished: run them one by one then.
    """
    found: dict[int, History] = {}
    going = list(range(len(networks)))
    loop = _Loop(abreast(networks))
    while going:
        loop.step()
        if loop.share_going < _LAID_ANEW_BELOW:
            found |= {going[place]: history for place, history in loop.histories().items()}
            if not loop.done:
                loop.keep_going([networks[number] for number in going])
            going = [number for number in going if number not in found]
    return tuple(found[number] for number in range(len(networks)))


@dataclass(slots=True)
class _Course:
    """How one run fares: where its clock stands, how long its last steps were and what they cost [s, -]."""

    run: Run
    end: float
    stops_when_cool: bool
    dt: float
    time: float = 0.0
    last: float = 0.0
    before: float = 0.0
    circulates: bool = False
    rejected: int = 0
    newton: int = 0
    past: int = 0
    stirred: float = 0.0
    above_cool: float = math.inf
    cool_in: float = math.inf
    left: float = math.inf
    ended: str | None = None

    def next_step(self) -> float:
        """Length of the next step [s]."""
        problem = self.run.problem
        dt = self.dt
        if self.circulates:
            longest = min(max(_MIXING_STEP_SHARE, self.stirred / problem.melt.relaxation), _MIXING_STEP_MOST)
            dt = min(dt, longest * problem.melt.relaxation)
        dt = min(dt, problem.accuracy.longest_step, self.cool_in)
        self.left = self.end - self.time
        if dt >= self.left:
            dt = self.left
        elif 2.0 * dt > self.left:
            dt = 0.5 * self.left
        self.dt = dt
        return dt

    def is_cool(self, above: float) -> bool:
        """Tell whether the wax is cool that is so much above the room [K], and foresee when it will be."""
        above -= self.run.problem.answers.cool_within
        fallen, self.above_cool = self.above_cool - above, above
        # A run ends with the step in which its wax gets cool: a little past it, and not by a long step.
        self.cool_in = max(_PAST_COOL * self.last * above / fallen, 1.0) if 0.0 < fallen < math.inf else math.inf
        return above <= 0.0

    def lead(self) -> float:
        """By how much the rate is expected to have moved on, as a multiple of its last change [-]."""
        return (self.dt + self.last) / (self.last + self.before) if self.last and self.before else 0.0

    def accepts(self, seen: _Seen, number: int) -> bool:
        """Judge a step, and choose the length of the next one, or of another try.

        Equation (14) of `coolsim.theory`.
        """
        dt, tolerance = self.dt, self.run.problem.accuracy.tolerance
        if not seen.step.settled[number]:
            return self._again(dt * _SHRINK_MOST)
        self.newton += seen.step.newton[number]
        self.circulates = seen.step.circulates[number]
        factor = 1.0
        if self.before:
            off = max(dt * max(math.sqrt(seen.worst[number]), seen.elsewhere[number] / _ELSEWHERE), 1e-12 * tolerance)
            # Nodes are stepped ahead of the faces: where the two drive each other, long steps would let them swing.
            error = max(off / tolerance, seen.swing[number] / (_NODES_MOST * tolerance))
            factor = _SAFETY * error ** (-1.0 / 3.0)
            if error > _ACCEPTED_UP_TO:
                return self._again(dt * max(_SHRINK_MOST, factor))
            factor = min(_GROW_MOST, max(_SHRINK_MOST, factor))
            self.stirred = dt * _SAFETY * (off / min(_MIXING_ERROR, 0.5 * tolerance)) ** (-1.0 / 3.0)
            if seen.step.bend[number] > _BEND_MOST * tolerance:
                return self._again(0.5 * dt)
        if self.past < _PAST_TRIES and seen.passed[number] > _PAST_MOST * tolerance:
            self.past += 1
            return self._again(0.5 * dt)
        if seen.vanishes[number] and dt > _LAST_LIQUID_STEP * self.time:
            self.rejected += 1
            self.dt = dt * _LAST_LIQUID_CUT
            return False
        self.before, self.last = self.last, dt
        # Met exactly: what happens then must neither be missed by rounding nor met twice.
        self.time = self.end if dt == self.left else self.time + dt
        # The length that went past would do so again.
        self.dt = dt * (min(factor, 1.0) if self.past else factor)
        self.past = 0
        return True

    def _again(self, dt: float) -> bool:
        if dt < _SHORTEST_STEP:
            raise SolverError(
                f"at {self.time:.0f} s the time step fell below {_SHORTEST_STEP} s;"
                " check that material values are realistic"
            )
        self.rejected += 1
        self.dt = dt
        return False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the step of each run is judged by, each a list with an entry for each run.

    How far the rate found is off the expected one, as a rate of change of temperature: its mean square over the wax
    (of the jar where it is largest) [K2/s2], and the most in any cell [K/s]; how far a node departs from where it was
    going, and the temperatures from their extremes [K]; whether the last liquid of some kind vanishes.
    """

    step: Step
    worst: list[float]
    elsewhere: list[float]
    swing: list[float]
    passed: list[float]
    vanishes: list[bool]


class _Loop:
    """Steps the runs of a network until they have ended."""

    def __init__(self, network: Network, start: Start | None = None, until: float | None = None) -> None:
        self._set_up(network)
        runs = self._runs
        self._state = self._stepper.begin(start)
        time = 0.0 if start is None else start.time
        ends = [problem.horizon if until is None else until for problem in runs.problems]
        if min(ends) <= time:
            raise ValueError(f"the run would end at {min(ends):g} s, not after its start at {time:g} s")
        self._until = until
        self._courses = [
            _Course(
                run=run,
                end=end,
                stops_when_cool=until is None and run.problem.stop_when_cool,
                dt=run.problem.accuracy.first_step,
                time=time,
                circulates=run.problem.melt.mixing == "stratified",
            )
            for run, end in zip(network.runs, ends, strict=True)
        ]
        if any(course.dt < course.run.problem.accuracy.longest_step for course in self._courses):
            for course, rate in zip(self._courses, self._stepper.quickest_rates(self._state), strict=True):
                if course.dt < course.run.problem.accuracy.longest_step:
                    course.dt = min(course.dt, 1.0 / rate)
        self._rate = self._earlier = np.zeros_like(self._state.enthalpy)
        self._node_rate = np.zeros_like(self._state.outside.nodes)
        temperature = self._state.temperature
        ends_found = zip(runs.least(temperature), runs.most(temperature), strict=True)
        self._extremes = [
            _Extremes(run.problem, coldest, hottest)
            for run, (coldest, hottest) in zip(network.runs, ends_found, strict=True)
        ]
        self._softest = self._watch.softest(self._state.enthalpy)
        rooms = self._stepper.surroundings.rooms(self._state.time)
        self._recorder = Recorder(network, self._state, rooms, start)

    def _set_up(self, network: Network) -> None:
        self.network, self._runs = network, network.all_runs
        engine = WholeStepper if holds_metal(network) else Stepper
        tolerances = [_NEWTON_SHARE * problem.accuracy.tolerance for problem in self._runs.problems]
        self._stepper = engine(network, newton_tolerance=self._runs.each(tolerances))
        self._watch = _Watch(network)
        self._scale = 1.0 / network.sensible

    @property
    def done(self) -> bool:
        """Whether all runs have ended."""
        return all(course.ended for course in self._courses)

    @property
    def share_going(self) -> float:
        """Share of the runs that have not ended [-]."""
        return sum(not course.ended for course in self._courses) / len(self._courses)

    def step(self, on_step: Callable[[Progress], None] | None = None) -> None:
        """Make a step of each run, and keep those that are accurate enough."""
        runs, state, courses = self._runs, self._state, self._courses
        lengths = [course.dt if course.ended else course.next_step() for course in courses]
        lead = runs.over_cells(runs.each([course.lead() for course in courses]))
        state.rate = self._rate + (self._rate - self._earlier) * lead
        step = self._stepper.advance(state, runs.each(lengths))
        temperature = self._stepper.temperature(step.enthalpy)
        rate = step.change / runs.over_cells(step.dt)
        seen, softest = self._look(step, state, rate, temperature)
        accepted = [not course.ended and course.accepts(seen, number) for number, course in enumerate(courses)]
        if not any(accepted):
            return
        node_rate = (step.outside.nodes - state.outside.nodes) / runs.over(step.dt, runs.of_node)
        after = State(
            runs.each([course.time for course in courses]), step.enthalpy, temperature, rate, step.outside, step
        )
        if all(accepted):
            self._earlier, self._rate, self._node_rate = self._rate, rate, node_rate
        else:
            self._take_back(after, [number for number, one in enumerate(accepted) if not one])
            cells = runs.over_cells(np.array(accepted))
            self._earlier = np.where(cells, self._rate, self._earlier)
            self._rate = np.where(cells, rate, self._rate)
            self._node_rate = np.where(runs.over(np.array(accepted), runs.of_node), node_rate, self._node_rate)
        self._softest = softest if all(accepted) else self._watch.softest(after.enthalpy)
        self._state = after
        rooms = self._stepper.surroundings.rooms(after.time)
        self._recorder.keep(step, after, rooms, accepted)
        hottest = self._watch.most(temperature)
        for course, hot, room, one in zip(courses, hottest, rooms, accepted, strict=True):
            if not one:
                continue
            if on_step is not None:
                on_step(Progress(time=course.time, horizon=course.end, hottest=hot))
            if course.stops_when_cool and course.is_cool(hot - room):
                course.ended = "cool"
            elif course.time >= course.end:
                course.ended = "horizon" if self._until is None else "until"

    def _look(self, step: Step, state: State, rate: Array, temperature: Array) -> tuple[_Seen, list[float]]:
        runs = self._runs
        off = rate - state.rate
        off *= self._scale
        swing = step.outside.nodes - state.outside.nodes - runs.over(step.dt, runs.of_node) * self._node_rate
        coldest, hottest = runs.least(temperature), runs.most(temperature)
        softest = self._watch.softest(step.enthalpy)
        seen = _Seen(
            step=step,
            worst=self._watch.worst_mean(np.square(off)),
            elsewhere=runs.most(np.abs(off)),
            swing=runs.most_of(np.abs(swing), runs.of_node, nothing=0.0) if len(swing) else [0.0] * runs.count,
            passed=[
                watch.passed((low, high), around)
                for watch, low, high, around in zip(self._extremes, coldest, hottest, step.around, strict=True)
            ],
            vanishes=self._watch.vanishes(self._softest, softest),
        )
        return seen, softest

    def _take_back(self, after: State, numbers: Sequence[int]) -> None:
        """Put the runs of these numbers back to where they were before the step."""
        before, old, new = self._state, self._state.outside, after.outside
        known_at, owed_over = np.array(new.known_at), np.array(new.owed_over)
        swings = None if new.swings is None else new.swings.copy()
        for number in numbers:
            run = self.network.runs[number]
            for fresh, kept in ((after.enthalpy, before.enthalpy), (after.temperature, before.temperature)):
                fresh[run.cells] = kept[run.cells]
            new.surface[run.faces], new.surface_rate[run.faces] = old.surface[run.faces], old.surface_rate[run.faces]
            if swings is not None:
                swings[run.faces] = False if old.swings is None else old.swings[run.faces]
            new.gaps[run.gaps] = old.gaps[run.gaps]
            new.nodes[run.nodes], new.owed[run.nodes] = old.nodes[run.nodes], old.owed[run.nodes]
            known_at[number] = np.asarray(old.known_at)[number]
            owed_over[number] = np.asarray(old.owed_over)[number]
        new.known_at, new.owed_over, new.swings = known_at, owed_over, swings

    def histories(self) -> dict[int, History]:
        """All steps of the runs that have ended, by their numbers."""
        return {
            number: self._recorder.history(number, rejected=course.rejected, newton=course.newton, ended=course.ended)
            for number, course in enumerate(self._courses)
            if course.ended
        }

    def keep_going(self, networks: Sequence[Network]) -> None:
        """Lay those that have not ended together anew: `networks` are those of all."""
        keep = [number for number, course in enumerate(self._courses) if not course.ended]
        was = [self.network.runs[number] for number in keep]
        before, outside = self._state, self._state.outside
        self._set_up(abreast([networks[number] for number in keep]))
        runs, now = self._runs, self.network.runs

        def moved(values: NDArray[_Kind], what: str) -> NDArray[_Kind]:
            found: NDArray[_Kind] = np.zeros(
                (sum(len(values[getattr(run, what)]) for run in was), *values.shape[1:]), values.dtype
            )
            for old, new in zip(was, now, strict=True):
                found[getattr(new, what)] = values[getattr(old, what)]
            return found

        def chosen(values: PerRun) -> PerRun:
            return runs.each(np.asarray(values).take(keep).tolist())

        self._state = State(
            chosen(before.time),
            moved(before.enthalpy, "cells"),
            moved(before.temperature, "cells"),
            moved(before.rate, "cells"),
            FaceState(
                moved(outside.surface, "faces"),
                moved(outside.surface_rate, "faces"),
                chosen(outside.known_at),
                moved(outside.gaps, "gaps"),
                moved(outside.nodes, "nodes"),
                moved(outside.owed, "nodes"),
                chosen(outside.owed_over),
                None if outside.swings is None else moved(outside.swings, "faces"),
            ),
            None,
        )
        self._rate, self._earlier = moved(self._rate, "cells"), moved(self._earlier, "cells")
        self._node_rate = moved(self._node_rate, "nodes")
        self._courses = [self._courses[number] for number in keep]
        for course, run in zip(self._courses, now, strict=True):
            course.run = run
        self._extremes = [self._extremes[number] for number in keep]
        self._softest = self._watch.softest(self._state.enthalpy)
        self._recorder.keep_going(self.network, keep, moved)


class _Extremes:
    """Watches the maximum principle: without sources nothing passes the extremes of the start and of what lies outside.

    Alternating directions can go past them where a thin wall meets a thin base.
    """

    def __init__(self, problem: Problem, coldest: float, hottest: float) -> None:
        self._holds = problem.source is None and not any(law.flux for law in problem.boundaries)
        self._coldest, self._hottest = coldest, hottest

    def passed(self, ends: tuple[float, float], around: tuple[float, float]) -> float:
        """Tell how far the coldest and the hottest pass the extremes of the start and of all that lay outside [K]."""
        if not self._holds:
            return 0.0
        self._coldest, self._hottest = min(self._coldest, around[0]), max(self._hottest, around[1])
        return max(self._coldest - ends[0], ends[1] - self._hottest)


class _Watch:
    """The wax of each run: how far off its rate is, how hot it is, and the last of it that is softer than some level.

    Where a run has no wax all its cells stand for it.
    """

    def __init__(self, network: Network) -> None:
        bodies, levels, counts = [], [], []
        for run in network.runs:
            blocks, melt = network.block[run.cells], run.problem.melt
            softness, carry = melt.softness, run.problem.answers.carry
            fractions = (softness.liquid_at(carry), softness.liquid_at(softness.feeds_below), 0.0)
            wax = [index for index in np.unique(blocks) if isinstance(network.blocks[index].material, Wax)]
            counts.append(max(1, len(wax)))
            for index in wax:
                bodies.append(run.cells.start + np.flatnonzero(blocks == index))
                levels.append([enthalpy_at_fraction(network.tables[index], x) for x in fractions])
            if not wax:
                bodies.append(np.arange(run.cells.start, run.cells.stop))
                levels.append([])
        self._cells = np.concatenate(bodies)
        self._lengths = [len(one) for one in bodies]
        self._start = np.cumsum([0, *self._lengths])[:-1]
        self._of_run = [slice(end - count, end) for end, count in zip(np.cumsum(counts), counts, strict=True)]
        self._levels = levels

    def _each(self, values: list[float]) -> list[list[float]]:
        return [values[part] for part in self._of_run]

    def worst_mean(self, values: Array) -> list[float]:
        """Find the largest of the means of the bodies of wax of each run."""
        # Not a dot product: on large grids BLAS would start threads for it, which then cost more than the run.
        sums = np.add.reduceat(values.take(self._cells), self._start).tolist()
        means = [total / length for total, length in zip(sums, self._lengths, strict=True)]
        return [max(each) for each in self._each(means)]

    def most(self, values: Array) -> list[float]:
        """Find the largest value in the wax of each run."""
        return [max(each) for each in self._each(self.softest(values))]

    def softest(self, values: Array) -> list[float]:
        """Find the largest value in each body of wax."""
        found: list[float] = np.maximum.reduceat(values.take(self._cells), self._start).tolist()
        return found

    def vanishes(self, before: list[float], after: list[float]) -> list[bool]:
        """Tell of each run whether the last of some body passes one of its levels between two of `softest`."""
        passes = [
            any(old > level >= new for level in levels)
            for old, new, levels in zip(before, after, self._levels, strict=True)
        ]
        return [any(passes[part]) for part in self._of_run]
