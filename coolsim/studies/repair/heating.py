"""The runs of a repair: hot air on the set top of a bare jar, and the top as it sets again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coolsim.model.hot_air import RIM, HotAir, under_hot_air
from coolsim.model.jar import Jar
from coolsim.model.layout import problem_of
from coolsim.model.problem import Problem, with_stirred_wax
from coolsim.model.section import Array, Integers
from coolsim.solve.assemble import result_of
from coolsim.solve.integrate import Progress, integrate
from coolsim.solve.network import Network, build
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.solve.start import Start

_LONGEST_STEP, _FIRST_STEP, _TOLERANCE = 2.0, 0.1, 0.5


@dataclass(frozen=True, kw_only=True)
class Heating:
    """What hot air does to a set top, from the moment when it is switched on.

    `rim` is the temperature of the rim of the vessel, where it meets the air, and `coldest` that of its coldest
    place, (nt,) [°C].
    """

    result: Result
    rim: Array
    coldest: Array


def heat(jar: Jar, cooled: Result, hot: HotAir, *, on_step: Callable[[Progress], None] | None = None) -> Heating:
    """Blow hot air on the top of a jar that has set, from the end of its run up to the longest time.

    A jar in a box or in water is taken out of it and stood on a part of the bench that is as cold as the room.
    """
    problem = _bare(jar)
    accuracy = replace(
        problem.accuracy,
        tolerance=min(problem.accuracy.tolerance, _TOLERANCE),
        first_step=_FIRST_STEP,
        longest_step=_LONGEST_STEP,
    )
    network = build(with_stirred_wax(replace(under_hot_air(problem, hot), accuracy=accuracy)))
    start = _taken_out(jar, cooled, network)
    history = integrate(network, start=start, until=start.time + hot.longest, on_step=on_step)
    result = result_of(network, history, name=jar.name)
    faces = network.faces
    at = next(index for index, law in enumerate(faces.laws) if law.name == RIM)
    rim = history.surface[:, faces.start[at] : faces.start[at] + faces.count[at]].max(axis=1)
    vessel = result.temperatures(_cells_of(result.block, result.parts, "glass"))
    return Heating(result=result, rim=rim, coldest=vessel.min(axis=1))


def set_again(
    jar: Jar, heating: Heating, seconds: float, *, on_step: Callable[[Progress], None] | None = None
) -> Result:
    """Let a top set again whose air is switched off so long after it was switched on [s], until the wax is cool again.

    All wax goes over to its freezing curve, with the heat it has: mush drops by a few kelvin at that moment.
    """
    start = heating.result.state_at(heating.result.time[0] + seconds)
    problem = replace(_bare(jar), horizon=start.time + jar.horizon)
    return simulate(problem, name=jar.name, start=start, on_step=on_step)


def _bare(jar: Jar) -> Problem:
    return problem_of(replace(jar, surround=None, water=None, places=None))


def _cells_of(block: Integers, parts: tuple[str, ...], part: str) -> Integers:
    return np.flatnonzero(np.isin(block, [index for index, name in enumerate(parts) if name == part]))


def _taken_out(jar: Jar, cooled: Result, network: Network) -> Start:
    """State of the bare jar at the end of a run; what is not in it, or was cut otherwise, is as cold as the room."""
    state = cooled.state_at(float(cooled.time[-1]))
    room = jar.room.at(state.time)
    parts = tuple(block.part for block in network.blocks)
    cold = build(replace(network.problem, start=lambda r, _: np.full(len(r), room))).start
    enthalpy = cold.copy()
    for part in dict.fromkeys(parts):
        here = _cells_of(network.block, parts, part)
        there = _cells_of(cooled.block, cooled.parts, part)
        if len(here) == len(there):
            enthalpy[here] = state.enthalpy[there]
    temperature = network.cells.temperature(enthalpy, network.cells.piece(enthalpy))
    faces, none = network.faces, np.zeros(0)
    return Start(
        time=state.time,
        enthalpy=enthalpy,
        nodes=none,
        owed=none,
        owed_over=0.0,
        surface=temperature[faces.cell],
        gaps=(),
        lost=np.zeros(len(faces.laws)),
        to_nodes=none,
        carried=none,
        released=0.0,
        given_off=0.0,
    )
