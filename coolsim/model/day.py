"""What happens to a jar in the course of its day, and the course of the room's temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coolsim.model.jar import Change, Jar, Room
from coolsim.model.layout import problem_of
from coolsim.model.problem import Problem

DAY = 86400.0
"""Length of a day [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseOfRoom:
    """Room temperature by the clock.

    Rows of time after midnight [s] and temperature [°C], straight between them and the same every day. The pour is
    after midnight [s], too.
    """

    rows: tuple[tuple[float, float], ...]
    pour: float

    def __call__(self, time: float) -> float:
        """Temperature [°C] at a time since the pour [s]."""
        clocks, temperatures = zip(*self.rows, strict=True)
        return float(np.interp((self.pour + time) % DAY, clocks, temperatures, period=DAY))


@dataclass(frozen=True, slots=True, kw_only=True)
class NightOfRoom:
    """A room that cools in the night and warms again, as a cosine over the day.

    Temperatures [°C], and the times of the lowest and of the pour after midnight [s]. It is warmest twelve hours from
    the coldest.
    """

    warmest: float
    lowest: float
    coldest: float
    pour: float

    def __call__(self, time: float) -> float:
        """Temperature [°C] at a time since the pour [s]."""
        phase = 2.0 * math.pi * (self.pour + time - self.coldest) / DAY
        return 0.5 * (self.warmest + self.lowest) - 0.5 * (self.warmest - self.lowest) * math.cos(phase)


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """A part of the day in which a jar stands as it is, from a time since the pour on [s].

    `moved` tells whether only the jar itself has seen what was before; `happens` says what begins it, empty for the
    pour.
    """

    problem: Problem
    begins: float
    moved: bool
    happens: str


def phases_of(jar: Jar) -> tuple[Phase, ...]:
    """State the problem of each part of a jar's day; ValueError if changes are out of order or beyond the run."""
    times = [0.0, *(change.time for change in jar.changes), jar.horizon]
    if not all(earlier < later for earlier, later in pairwise(times)):
        raise ValueError("changes must come one after the other, after the pour and before the horizon")
    first = Phase(problem=problem_of(replace(jar, changes=())), begins=0.0, moved=False, happens="")
    return (first, *(_phase(jar, change) for change in jar.changes))


def arranged(jar: Jar, change: Change) -> Jar:
    """State how a jar stands from a change on, in a room as it is then.

    What it meets for the first time begins with that.
    """
    support = jar.support if jar.support.underside == "held" else replace(jar.support, start=None)
    return replace(
        jar,
        changes=(),
        surround=None if change.surround is None else replace(change.surround, start=None),
        support=support,
        lid=change.lid,
        vessel=replace(jar.vessel, foot=change.foot),
        room=Room(temperature=jar.room.at(change.time), air_speed=change.air_speed),
    )


def _phase(jar: Jar, change: Change) -> Phase:
    problem = replace(problem_of(arranged(jar, change)), room=jar.room.temperature)
    return Phase(problem=problem, begins=change.time, moved=change.moved, happens=change.happens)
