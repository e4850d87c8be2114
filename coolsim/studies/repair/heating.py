"""The runs of a repair: hot air on the set top of a bare jar, and the top as it sets again.

Set wax changes to its stable form while the jar stands, and melts in that form with the heat of melting, which is
larger than that of the first freezing. How the two are kept apart:

- The air is switched on over wax that has changed: it begins with its temperature, by its melting curve. What the
  change of form gave off has gone into the room before, and is counted nowhere.
- When the air is switched off, what has melted freezes in the first form again, and the rest is as it was. So each
  place keeps its temperature and the share of it that has melted, and its melt holds the heat of freezing from then on.
  Melt that is warmer than its first crystals goes on as it is; mush finds its balance on the freezing curve and is a
  few kelvin colder or warmer at once. The difference between the two heats is what the stable form gave off before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from coolsim.model.day import arranged
from coolsim.model.freezing import CellTables, enthalpy_at, enthalpy_of_mixture
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

    `rim` is the temperature of the brim of the vessel, where it meets the air, and `coldest` that of its coldest
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

    All wax goes over to its freezing curve, with what has melted of it.
    """
    start = heating.result.state_at(heating.result.time[0] + seconds)
    problem = replace(_bare(jar), horizon=start.time + jar.horizon)
    start = replace(start, enthalpy=_by_freezing(heating.result, start, build(problem)))
    return simulate(problem, name=jar.name, start=start, on_step=on_step)


def _by_freezing(heated: Result, start: Start, network: Network) -> Array:
    """Enthalpy of the cells on their freezing curves, with the temperature and the melt that they have [J/m3].

    Equation (42) of `coolsim.theory`.
    """
    found: Array = start.enthalpy.copy()
    melting = CellTables(heated.tables, heated.block)

    def state(enthalpy: Array) -> tuple[Array, Array]:
        piece = melting.piece(enthalpy)
        return melting.temperature(enthalpy, piece), melting.liquid(enthalpy, piece)

    (cold, at_first), (temperature, liquid) = state(heated.history.enthalpy[0]), state(start.enthalpy)
    melted = (liquid - at_first) / (1.0 - at_first)
    for index, table in enumerate(network.tables):
        here = network.block == index
        if len(table.base) > 1:
            before = enthalpy_at(table, cold[here])
            kept = np.interp(before, table.base[1:], table.liquid[1:])
            found[here] = enthalpy_of_mixture(table, temperature[here], kept + melted[here] * (1.0 - kept))
    return found


def _bare(jar: Jar) -> Problem:
    """State the problem of the jar as its day leaves it, out of the box and without a lid."""
    if jar.changes:
        last = jar.changes[-1]
        jar = replace(arranged(jar, last), room=replace(jar.room, air_speed=last.air_speed))
    return problem_of(replace(jar, surround=None, water=None, places=None, lid=None))


def _cells_of(block: Integers, parts: tuple[str, ...], part: str) -> Integers:
    return np.flatnonzero(np.isin(block, [index for index, name in enumerate(parts) if name == part]))


def _taken_out(jar: Jar, cooled: Result, network: Network) -> Start:
    """State of the bare jar at the end of a run; what is not in it, or was cut otherwise, is as cold as the room."""
    time = float(cooled.time[-1])
    room = jar.room.at(time)
    parts = tuple(block.part for block in network.blocks)
    last = cooled.temperatures(np.arange(len(cooled.block)))[-1]
    temperature = np.full(len(network.block), room)
    for part in dict.fromkeys(parts):
        here = _cells_of(network.block, parts, part)
        there = _cells_of(cooled.block, cooled.parts, part)
        if len(here) == len(there) and not np.isnan(last[there]).any():
            temperature[here] = last[there]
    enthalpy = np.empty_like(temperature)
    for index, table in enumerate(network.tables):
        here = network.block == index
        enthalpy[here] = enthalpy_at(table, temperature[here])
    faces, none = network.faces, np.zeros(0)
    return Start(
        time=time,
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
