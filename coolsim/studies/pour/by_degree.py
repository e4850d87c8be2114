"""Rooms and pours degree by degree: the pours of a study in some rooms, and what lies between those rooms.

In each room of the study all pours are known, run on a coarser cut or worked out (`coolsim.studies.pour.between`).
Between rooms times are smooth in their logarithm and tops as they are: a cubic through the four rooms next to it gives
them. A first skin is that of the next colder room, where it stays sooner. All is moved by what the run of the scenario
itself has in its own room, and some pairs are run on its own cut to see how far the others are off.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import BY_KEY, in_group
from coolsim.errors import ScenarioError
from coolsim.model.section import Array
from coolsim.scenario import Scenario, changed
from coolsim.studies.pour.choose import (
    TIME_ALLOWED,
    Candidate,
    PourChoice,
    PourStudy,
    choices_of,
    choose_pour,
    common_changes,
    usual_pours,
)
from coolsim.studies.pour.limits import ROUND_OFF
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.sweep import SweptRow, point_of, sweep
from coolsim.studies.sweep.workers import workers_for

TRIED = ((0.15, 0.7), (0.4, 0.2), (0.65, 0.9), (0.9, 0.45))
"""Where pairs are run that were worked out, as shares of the way through rooms and pours [-]."""

SAFETY = 3.0
"""Stated errors are so many times the largest that was found [-]: four pairs do not meet the worst."""

_SAME = 0.01  # K
_STEPS, _MOST_ROOMS = (1.0, 2.0, 5.0, 10.0), 31
_NEAR = 4  # rooms
_COARSER, _LONGER = 0.75, 4.0
_LEAST_REFINEMENT, _LARGEST_TOLERANCE = 0.5, 1.0
# Not that of the rim, which begins at a length beside a skin that stays.
_TIMES = tuple(answer.key for answer in in_group("setting") if answer.key != "rim_set_s")
_DEPTHS = ("depth_m", "rim_dip_m", "dish_m", "hole_m")


@dataclass(frozen=True, slots=True, kw_only=True)
class ByDegree:
    """The answers of one jar in rooms and at pours of every degree or so.

    Parameters
    ----------
    choices : tuple of PourChoice
        One for each room, from cold to warm, with a candidate for each pour, from cold to hot.
    own : (int, int)
        Which room and which pour are those of the scenario.
    studied : tuple of int
        Rooms of the study itself; the others lie between them.
    runs, tried : int
        How many runs are behind it, and how many more were made to see how far it is off [-].
    off_time, off_depth : float
        How far a time [-] and a depth of the top [m] may be off those of a run: `SAFETY` times what was found.
    """

    choices: tuple[PourChoice, ...]
    own: tuple[int, int]
    studied: tuple[int, ...]
    runs: int
    tried: int
    off_time: float
    off_depth: float

    @property
    def rooms(self) -> tuple[float, ...]:
        """The rooms [°C]."""
        return tuple(choice.room for choice in self.choices)

    @property
    def pours(self) -> tuple[float, ...]:
        """The pours [°C]."""
        return tuple(one.pour for one in self.choices[0].candidates)


def shared_pours(scenarios: Sequence[Scenario], rooms: Sequence[float]) -> tuple[float, ...]:
    """List the usual pours that some jars have in common in some rooms [°C], and at which they are poured [°C]."""
    starts = [max(rooms) if one.jar.vessel.start is None else one.jar.vessel.start for one in scenarios]
    usual = (usual_pours(one, hottest_jar=start) for one, start in zip(scenarios, starts, strict=True))
    own = scenarios[0].jar.pour
    common = set.intersection(*map(set, usual))
    return tuple(sorted({own, *(pour for pour in common if abs(pour - own) > _SAME)}))


def by_degree(
    scenario: Scenario,
    known: Mapping[str, Value],
    *,
    rooms: Sequence[str] | None,
    pours: Sequence[str | float],
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> ByDegree:
    """Work out the answers of a jar in rooms and at pours of every degree.

    `known` are the answers of its own run. `rooms` are those to study, its own among them; None for its own alone.
    `pours` have its own among them [°C]. The others are those of `choose_pour`; `workers` is a number of processes [-].
    ScenarioError if a room or a pour is not possible, or a run failed.
    """
    with workers_for(len(pours) * len(rooms or [""]), executor, workers) as makers:
        study = choose_pour(
            # What this moves is made good by the own run.
            changed(scenario, coarser_cut(scenario)),
            alone=True,
            rooms=rooms,
            pours=pours,
            executor=makers,
            journal=journal,
            on_row=on_row,
        )
        return _with_degrees(scenario, study, known, every_degree=rooms is not None, executor=makers, journal=journal)


def coarser_cut(scenario: Scenario) -> dict[str, Any]:
    """List by dotted key what cuts runs a little more coarsely; what is coarse already stays as it is."""
    own, cut = scenario.jar.accuracy, {}
    if own.refinement * _COARSER >= _LEAST_REFINEMENT:
        cut["run.refinement"] = own.refinement * _COARSER
    if own.tolerance * _LONGER <= _LARGEST_TOLERANCE:
        cut["run.tolerance"] = own.tolerance * _LONGER
    return cut


def _with_degrees(
    scenario: Scenario,
    study: PourStudy,
    known: Mapping[str, Value],
    *,
    every_degree: bool,
    executor: Executor,
    journal: Journal | Path | None,
) -> ByDegree:
    """Work out what lies between the rooms of a study, and run some of it."""
    faults = [one.fault for choice in study.choices for one in choice.candidates if one.fault is not None]
    if faults:
        raise ScenarioError(list(dict.fromkeys(faults)))
    studied = [choice.room for choice in study.choices]
    degrees = _with_rooms_between(studied, scenario) if every_degree else studied
    tried_pours = [one.pour for one in study.choices[0].candidates]
    own = _nearest(degrees, scenario.jar.room.at(0.0)), _nearest(tried_pours, scenario.jar.pour)
    moved = _moved(study.choices[_nearest(studied, degrees[own[0]])].candidates[own[1]], known)
    found = [_in_room(study, studied, room, moved) for room in degrees]
    found[own[0]][own[1]] = dict(known)
    always = common_changes(scenario, TIME_ALLOWED)
    rows = [
        SweptRow(
            point=point_of(
                scenario, {**always, **({"room.temperature": room} if every_degree else {}), "pour.temperature": pour}
            ),
            answers=answers,
            fault=None,
        )
        for room, line in zip(degrees, found, strict=True)
        for pour, answers in zip(tried_pours, line, strict=True)
    ]
    choices = choices_of(rows, replace(study, choices=()))
    tried = _tried(len(degrees), len(tried_pours), own)
    asked = [rows[room * len(tried_pours) + pour] for room, pour in tried]
    runs = sweep([row.point for row in asked], executor=executor, journal=journal)
    off_time, off_depth = _off(asked, runs)
    return ByDegree(
        choices=choices,
        own=own,
        studied=tuple(_nearest(degrees, room) for room in studied),
        runs=len(rows) if study.between is None else study.between.runs,
        tried=len(runs),
        off_time=SAFETY * off_time,
        off_depth=SAFETY * off_depth,
    )


def _nearest(places: Sequence[float], place: float) -> int:
    return min(range(len(places)), key=lambda index: abs(places[index] - place))


def _with_rooms_between(studied: Sequence[float], scenario: Scenario) -> list[float]:
    """List rooms [°C] with whole degrees of the workshop between them."""
    factor, shift = (1.8, 32.0) if scenario.units == "us" else (1.0, 0.0)
    first, last = (factor * end + shift for end in (studied[0], studied[-1]))
    step = next((one for one in _STEPS if (last - first) / one < _MOST_ROOMS), _STEPS[-1])
    steps = range(math.ceil(first / step - ROUND_OFF), math.floor(last / step + ROUND_OFF) + 1)
    whole = [(index * step - shift) / factor for index in steps]
    return sorted([*studied, *(one for one in whole if all(abs(one - room) > _SAME for room in studied))])


def _moved(candidate: Candidate, known: Mapping[str, Value]) -> dict[str, float]:
    """By what factor the answers of the scenario's own run differ from those of the study."""
    told = {key: candidate.number(key) for key in known if _is_worked_out(key)}
    return {key: run / one for key, one in told.items() if one and (run := number_of(known[key])) is not None}


def _is_worked_out(key: str) -> bool:
    return BY_KEY[key].group not in ("pour", "skin")


def _in_room(
    study: PourStudy, studied: Sequence[float], room: float, moved: Mapping[str, float]
) -> list[dict[str, Value]]:
    """Work out the answers of all pours in a room [°C]."""
    colder = max(index for index, one in enumerate(studied) if one <= room + _SAME)
    beside = range(colder, min(colder + 1 + (room > studied[colder] + _SAME), len(studied)))
    start = max(min(colder - 1, len(studied) - _NEAR), 0)
    near = range(start, min(start + _NEAR, len(studied)))
    found: list[dict[str, Value]] = []
    for number, candidate in enumerate(study.choices[colder].candidates):
        answers = dict(candidate.answers or {})
        for key in filter(_is_worked_out, answers):
            told = {index: study.choices[index].candidates[number].number(key) for index in near}
            # Where a time is not reached in all of those rooms, the two next to it count.
            for rooms in (near, beside):
                values = np.array([value for index in rooms if (value := told[index]) is not None])
                if len(values) == len(rooms):
                    weights = _polynomial([studied[index] for index in rooms], room)
                    answers[key] = _between(values, weights, key in _TIMES) * moved.get(key, 1.0)
                    break
            else:
                answers[key] = answers[key] if isinstance(answers[key], str) else None
        found.append(answers)
    return found


def _between(values: Array, weights: Array, a_time: bool) -> float:
    if a_time:
        return float(np.exp(weights @ np.log(values)))
    told = float(weights @ values)
    return max(told, 0.0) if values.min() >= 0.0 else told


def _polynomial(places: Sequence[float], place: float) -> Array:
    """Weights of values at some places in the polynomial through them, at another one."""
    return np.array([math.prod((place - two) / (one - two) for two in places if two != one) for one in places])


def _tried(rooms: int, pours: int, own: tuple[int, int]) -> list[tuple[int, int]]:
    found = {(round(room * (rooms - 1)), round(pour * (pours - 1))) for room, pour in TRIED}
    return sorted(found - {own})


def _off(told: Sequence[SweptRow], runs: Sequence[SweptRow]) -> tuple[float, float]:
    """Find the largest difference of a time [-] and of a depth [m] to those of runs."""
    time, depth = 0.0, 0.0
    for one, run in zip(told, runs, strict=True):
        if one.answers is None or run.answers is None:
            return math.inf, math.inf
        for key in (*_TIMES, *_DEPTHS):
            ours, theirs = number_of(one.answers[key]), number_of(run.answers[key])
            if ours is not None and theirs:
                off = abs(ours - theirs)
                time, depth = (time, max(depth, off)) if key in _DEPTHS else (max(time, off / theirs), depth)
    return time, depth
