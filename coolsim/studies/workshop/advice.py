"""What a change does to the top of this very jar: each change is run, and held against the run without it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from coolsim.answers.answer import Value, number_of
from coolsim.answers.catalogue import ANSWERS
from coolsim.errors import ScenarioError
from coolsim.scenario import Scenario
from coolsim.studies.pour.choose import MARGIN
from coolsim.studies.pour.remedies import COVER
from coolsim.studies.sweep.journal import Journal
from coolsim.studies.sweep.sweep import Point, SweptRow, point_of, sweep
from coolsim.units import System

TopChange = Literal[
    "put it into the box",
    "leave it bare",
    "warm the jar",
    "warm the room",
    "cool the room",
    "pour hotter",
    "pour cooler",
    "fill less",
    "still air",
    "close the flaps",
    "open the flaps",
    "cover the flaps",
]

SAME_WITHIN = 0.05
"""Tops, dishes and cavities that differ by less are called the same: the grid tells them no better apart [-]."""

_STEPS: dict[System, dict[str, float]] = {
    "metric": {"jar": 15.0, "room": 4.0, "pour": 5.0},
    "us": {"jar": 25.0 / 1.8, "room": 8.0 / 1.8, "pour": 10.0 / 1.8},
}
_HOTTEST_JAR, _WARMEST_ROOM, _COLDEST_ROOM = 60.0, 30.0, 10.0
_LESS = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedChange:
    """A change that was tried: the answers of its run, or why there are none.

    `value` is what it goes to, a temperature [°C] or the share of the fill that is left [-]; None for a change
    without a number.
    """

    change: TopChange
    value: float | None
    answers: dict[str, Value] | None
    fault: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """The changes that were tried with one scenario, and its answers without a change."""

    scenario: Scenario
    usual: dict[str, Value]
    trials: tuple[TriedChange, ...]

    def effects(self, trial: TriedChange) -> dict[str, int]:
        """Tell what a change does to the top: 1 where it is better, -1 worse, 0 the same within what can be told apart.

        By the keys of answers that differences can be told of; empty if the wax has not set in one of the two
        runs.
        """
        changed = trial.answers or {}
        if not all(isinstance(one.get("fully_set_s"), float) for one in (self.usual, changed)):
            return {}
        return {
            answer.key: _better(
                number_of(self.usual[answer.key]) or 0.0, number_of(changed[answer.key]) or 0.0, answer.tells_from
            )
            for answer in ANSWERS
            if answer.tells_from is not None
        }


def try_changes(
    pairs: Sequence[tuple[Scenario, Scenario]],
    *,
    executor: Executor | None = None,
    workers: int | None = None,
    journal: Journal | Path | None = None,
    on_row: Callable[[SweptRow, int, int], None] | None = None,
) -> tuple[Advice, ...]:
    """Run scenarios, each with its other of bare and boxed, with one thing changed at a time; `workers` is a count [-].

    The options are those of `sweep`. ScenarioError if one of the scenarios itself cannot be run.
    """
    tried: list[list[tuple[TopChange, float | None, Point | None, str | None]]] = []
    points: list[Point] = []
    for scenario, other in pairs:
        points.append(_point(scenario, {}))
        changes = []
        for change, value, overrides, fault in _changes(scenario, other):
            point = None
            if fault is None:
                tried_point = _point(other, {}) if overrides is None else _point(scenario, overrides)
                fault = tried_point.fault
                if fault is None:
                    point = tried_point
                    points.append(point)
            changes.append((change, value, point, fault))
        tried.append(changes)
    rows = iter(sweep(points, executor=executor, workers=workers, journal=journal, on_row=on_row))
    found = []
    for (scenario, _), changes in zip(pairs, tried, strict=True):
        usual = next(rows)
        if usual.answers is None:
            raise ScenarioError(usual.fault or f"{scenario.where}: cannot be run.")
        trials = []
        for change, value, point, fault in changes:
            row = None if point is None else next(rows)
            answers, said = (None, fault) if row is None else (row.answers, row.fault)
            trials.append(TriedChange(change=change, value=value, answers=answers, fault=said))
        found.append(Advice(scenario=scenario, usual=usual.answers, trials=tuple(trials)))
    return tuple(found)


def _changes(
    scenario: Scenario, other: Scenario
) -> Iterator[tuple[TopChange, float | None, dict[str, Any] | None, str | None]]:
    """List changes: what, to what value, by which keys (None for the other scenario), and why it is not to be tried."""
    jar, surround, steps = scenario.jar, scenario.jar.surround, _STEPS[scenario.units]
    if (surround is None) != (other.jar.surround is None):
        yield ("put it into the box" if surround is None else "leave it bare"), None, None, None
    room = jar.room.at(0.0)
    start = room if jar.vessel.start is None else jar.vessel.start
    if start + steps["jar"] <= _HOTTEST_JAR:
        warmed = start + steps["jar"]
        yield "warm the jar", warmed, {"vessel.temperature": warmed}, None
    if room + steps["room"] <= _WARMEST_ROOM:
        yield "warm the room", room + steps["room"], {"room.temperature": room + steps["room"]}, None
    if room - steps["room"] >= _COLDEST_ROOM:
        yield "cool the room", room - steps["room"], {"room.temperature": room - steps["room"]}, None
    hotter, cooler = jar.pour + steps["pour"], jar.pour - steps["pour"]
    above = min(scenario.pour_limits.values(), default=None)
    fault = "against the data sheet" if above is not None and hotter > above else None
    yield "pour hotter", hotter, {"pour.temperature": hotter}, fault
    fault = "too near freezing" if cooler < jar.wax.freezing_starts + MARGIN else None
    yield "pour cooler", cooler, {"pour.temperature": cooler}, fault
    yield "fill less", _LESS, {"pour.level": _LESS * jar.depth}, None
    if jar.room.air_speed:
        yield "still air", None, {"room.air_speed": 0.0}, None
    if surround is not None and surround.flaps == "open":
        yield "close the flaps", None, {"surround.flaps": "closed"}, None
    elif surround is not None:
        yield "open the flaps", None, {"surround.flaps": "open", "surround.cover_thickness": None}, None
        if not surround.cover:
            yield "cover the flaps", COVER, {"surround.cover_thickness": COVER}, None


def _point(scenario: Scenario, overrides: dict[str, Any]) -> Point:
    return point_of(scenario, {"report": None, **overrides})


def _better(before: float, after: float, least: float) -> int:
    before, after = abs(before), abs(after)
    if abs(after - before) <= max(least, SAME_WITHIN * before):
        return 0
    return 1 if after < before else -1
